"""The survey form's plan: the line seen from above, products running to the right; not to scale.

Paper coordinates in mm, y downwards. The mount side is at the bottom.
"""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.package.form_marks import badge, blank, dimension, extension_lines, filled, note, pointer
from mountgen.package.svg import CENTRE, HIDDEN, NARROW, VISIBLE, Pen, arrow, box, line, polyline, sheet

SIZE = (186.0, 71.5)
PRINT = 89.0
"""x of the print line."""
ROLLERS = (23.0, 45.0, 67.0, 111.0, 133.0, 155.0)
ROLLER, AXLE = 6.0, 2.0
FAR_RAIL, NEAR_RAIL, DEEP = 8.0, 50.0, 5.0
"""Upper edges of the two rails and their width on the paper."""
BED, BED_END = 15.5, 47.5
FAR_SIDE, NEAR_SIDE, REAR, LEADING = 21.0, 38.5, 68.0, 124.0
"""The product's four sides."""
GUIDE, GUIDE_SIZE, OPEN, CLOSED = 41.0, 1.8, 76.0, 104.0
"""The near guide's inner face, its thickness, and where it is interrupted."""
CODE, CODE_END, CODE_FAR, CODE_NEAR = 112.0, 92.0, 28.0, 33.0


def plan_view() -> str:
    """The sketch as SVG."""
    marks = (*_line_things(), *_product_things(), *_along_the_line(), *_product(), *_details())
    return sheet(SIZE, marks)


def _line_things() -> Iterator[str]:
    for at in ROLLERS:
        yield filled((at - AXLE / 2, FAR_RAIL + DEEP), (AXLE, NEAR_RAIL - FAR_RAIL - DEEP))
        yield filled((at - ROLLER / 2, BED), (ROLLER, BED_END - BED))
    for top in (FAR_RAIL, NEAR_RAIL):
        yield blank((2.0, top), (182.0, DEEP))
    yield note("far rail", (18.0, FAR_RAIL + 3.4))
    yield note("near rail", (18.0, NEAR_RAIL + 3.4))
    yield filled((2.0, 17.0), (182.0, GUIDE_SIZE))
    yield filled((2.0, GUIDE), (OPEN - 2.0, GUIDE_SIZE))
    yield filled((CLOSED, GUIDE), (184.0 - CLOSED, GUIDE_SIZE))
    yield note("far guide", (11.0, 21.5))
    yield note("near guide", (11.0, GUIDE - 1.0))
    yield line((PRINT, 1.0), (PRINT, 67.5), CENTRE)
    yield note("print line, x = 0", (PRINT, 70.6))
    yield note("you stand here: mount side, y = 0 is this rail's outer face", (40.0, 70.6))


def _product_things() -> Iterator[str]:
    size = (LEADING - REAR, NEAR_SIDE - FAR_SIDE)
    yield blank((REAR, FAR_SIDE), size)
    yield blank((28.0, FAR_SIDE), (22.0, size[1]))
    yield line((PRINT, FAR_SIDE), (PRINT, NEAR_SIDE), CENTRE)
    yield box((CODE_END, CODE_FAR), (CODE - CODE_END, CODE_NEAR - CODE_FAR), VISIBLE)
    yield note("next", (39.0, 28.5))
    yield note("product", (39.0, 32.0))
    yield note("product", (78.0, 27.0))
    yield line((160.5, 31.0), (181.0, 31.0), Pen(0.7))
    yield arrow((184.0, 31.0), (1.0, 0.0))
    yield note("flow", (174.0, 29.2))
    yield badge("U", (165.0, 31.0))


def _along_the_line() -> Iterator[str]:
    """Rollers, free rail, the guide's opening."""
    yield from extension_lines(
        ((133.0, 2.0), (133.0, BED)),
        ((155.0, 2.0), (155.0, BED)),
        ((111.0, 2.0), (111.0, BED)),
        ((OPEN, GUIDE + GUIDE_SIZE), (OPEN, 61.0)),
        ((CLOSED, GUIDE + GUIDE_SIZE), (CLOSED, 61.0)),
        ((31.0, NEAR_RAIL + DEEP), (31.0, 66.0)),
        ((164.0, NEAR_RAIL + DEEP), (164.0, 66.0)),
    )
    yield from dimension("B", (133.0, 4.0), (155.0, 4.0))
    yield from dimension("E", (PRINT, 4.0), (111.0, 4.0))
    yield from dimension("Q", (PRINT, 59.0), (OPEN, 59.0))
    yield from dimension("Q", (PRINT, 59.0), (CLOSED, 59.0))
    yield from dimension("K", (PRINT, 64.5), (31.0, 64.5))
    yield from dimension("L", (PRINT, 64.5), (164.0, 64.5))
    yield from pointer("C", (170.0, 22.5), (155.0 + ROLLER / 2, 22.5))
    yield from pointer("D", (170.0, 14.6), (155.0 + AXLE / 2, 14.2))


def _product() -> Iterator[str]:
    """The product's length and gap, the code on its top."""
    yield from extension_lines(
        ((REAR, NEAR_SIDE), (REAR, 47.5)),
        ((LEADING, NEAR_SIDE), (LEADING, 47.5)),
        ((50.0, NEAR_SIDE), (50.0, 47.5)),
        ((CODE, CODE_FAR), (CODE, 23.0)),
        ((CODE, CODE_NEAR), (119.5, CODE_NEAR)),
    )
    yield from dimension("a", (REAR, 46.0), (LEADING, 46.0), (82.0, 46.0))
    yield from dimension("e", (50.0, 46.0), (REAR, 46.0))
    yield from dimension("h", (CODE, 24.5), (LEADING, 24.5))
    yield from dimension("m", (118.0, NEAR_SIDE), (118.0, CODE_NEAR), (121.3, 30.2))
    yield badge("g", ((CODE + CODE_END) / 2, (CODE_FAR + CODE_NEAR) / 2))


def _details() -> Iterator[str]:
    """Play, skew, bulge and a thing in the way."""
    yield polyline([(LEADING, NEAR_SIDE), (LEADING + 3.2, FAR_SIDE)], HIDDEN)
    yield badge("p", (129.3, 25.0))
    yield from extension_lines(((LEADING, NEAR_SIDE), (138.0, NEAR_SIDE)))
    yield from dimension("S", (136.5, NEAR_SIDE), (136.5, GUIDE), (136.5, 31.4))
    curve = f"M78 {NEAR_SIDE}Q86 {NEAR_SIDE + 2.6} 94 {NEAR_SIDE}"
    yield f'<path d="{curve}" fill="none" stroke="#000" stroke-width="0.25"/>'
    yield from pointer("n", (98.5, 42.0), (90.5, 39.3))
    yield box((40.0, 48.5), (9.0, 9.0), Pen(0.35))
    yield line((40.0, 48.5), (49.0, 57.5), NARROW)
    yield line((49.0, 48.5), (40.0, 57.5), NARROW)
    yield badge("T", (44.5, 53.0))
