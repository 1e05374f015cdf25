"""The survey form's front view: a cut across the line, seen in the direction of flow; not to scale.

Paper coordinates in mm, y downwards. The mount side is on the left.
"""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.package.form_marks import dimension, extension_lines, filled, note, pointer
from mountgen.package.svg import HIDDEN, NARROW, VISIBLE, Pen, box, line, polyline, sheet

SIZE = (122.0, 93.0)
WEB, FAR, FLANGE = 24.0, 110.0, 9.0
"""Outer faces of the two rails, and how far the flanges reach in."""
BED, BED_END = 38.0, 96.0
SURFACE, FLOOR = 56.0, 89.0
RAIL_TOP, RAIL_END = 61.0, 78.0
NEAR, WIDE, TOP, FLAP = 47.0, 82.0, 23.0, 17.5
"""The product's sides, top, and the tip of its lid flap."""
GUIDE, FAR_GUIDE, GUIDE_LOW, GUIDE_HIGH = 44.0, 88.0, 46.0, 38.0
CODE = Pen(1.4)


def front_view() -> str:
    """The sketch as SVG."""
    marks = (*_things(), *_heights(), *_across(), *_product())
    return sheet(SIZE, marks)


def _things() -> Iterator[str]:
    yield line((2.0, FLOOR), (SIZE[0] - 2.0, FLOOR), VISIBLE)
    yield note("floor", (66.0, FLOOR + 3.2))
    yield polyline(_channel(WEB, 1.0), Pen(0.9))
    yield polyline(_channel(FAR, -1.0), Pen(0.9))
    yield filled((WEB + 0.6, SURFACE + 2.2), (FAR - WEB - 1.2, 1.6))
    yield filled((BED, SURFACE), (BED_END - BED, 6.0))
    yield box((NEAR, TOP), (WIDE - NEAR, SURFACE - TOP), VISIBLE)
    yield line((WIDE, TOP), (76.0, FLAP), HIDDEN)
    yield filled((GUIDE - 3.0, GUIDE_HIGH), (3.0, GUIDE_LOW - GUIDE_HIGH))
    yield box((GUIDE - 8.0, GUIDE_HIGH + 2.0), (5.0, 4.0), NARROW)
    yield filled((FAR_GUIDE, GUIDE_HIGH), (3.0, GUIDE_LOW - GUIDE_HIGH))
    yield from _heads()
    yield note("near rail", (14.0, 84.5))
    yield note("far rail", (FAR + 6.5, 70.5))
    yield note("product", (72.0, 41.0))
    yield note("y = 0", (WEB - 6.5, 5.2))
    yield note("z = 0", (114.5, SURFACE + 0.9))
    yield note("guide", (FAR_GUIDE + 1.5, GUIDE_HIGH - 1.2))
    yield note("bed", (66.0, SURFACE + 4.0))


def _channel(web: float, inward: float) -> list[tuple[float, float]]:
    tip = web + inward * FLANGE
    return [(tip, RAIL_TOP), (web, RAIL_TOP), (web, RAIL_END), (tip, RAIL_END)]


def _heads() -> Iterator[str]:
    """Where the print head will be: upright before the near side, or downward over the top."""
    yield box((29.0, 24.0), (15.0, 11.0), HIDDEN)
    yield note("print head", (36.5, 28.7))
    yield note("upright", (36.5, 32.2))
    yield box((54.0, 8.5), (17.0, 11.0), HIDDEN)
    yield note("or", (62.5, 12.2))
    yield note("downward", (62.5, 15.9))


def _heights() -> Iterator[str]:
    """What is measured upwards: floor, rail, guides, product."""
    yield from extension_lines(
        ((3.0, SURFACE), (BED, SURFACE)),
        ((13.5, RAIL_TOP), (WEB, RAIL_TOP)),
        ((10.0, GUIDE_HIGH), (GUIDE - 3.0, GUIDE_HIGH)),
        ((16.0, GUIDE_LOW), (GUIDE - 3.0, GUIDE_LOW)),
        ((WIDE, TOP), (99.0, TOP)),
        ((76.0, FLAP), (108.0, FLAP)),
        ((BED_END, SURFACE), (108.0, SURFACE)),
    )
    yield from dimension("A", (6.0, FLOOR), (6.0, SURFACE))
    yield from dimension("G", (16.0, SURFACE), (16.0, RAIL_TOP), (16.0, 68.0))
    yield from dimension("P", (20.0, SURFACE), (20.0, GUIDE_LOW))
    yield from dimension("P", (12.0, SURFACE), (12.0, GUIDE_HIGH), (12.0, 44.0))
    yield from dimension("c", (97.0, SURFACE), (97.0, TOP), (97.0, 32.0))
    yield from dimension("d", (105.0, SURFACE), (105.0, FLAP), (105.0, 32.0))
    yield from pointer("H", (13.0, 74.5), (WEB, 74.5))


def _across() -> Iterator[str]:
    """What is measured across the line, from the near rail's outer face."""
    yield from extension_lines(
        ((WEB, 2.0), (WEB, RAIL_TOP)),
        ((WEB, RAIL_END), (WEB, 85.0)),
        ((FAR, RAIL_END), (FAR, 85.0)),
        ((BED, SURFACE + 6.0), (BED, 67.0)),
        ((GUIDE, GUIDE_LOW), (GUIDE, 72.0)),
        ((FAR_GUIDE, GUIDE_LOW), (FAR_GUIDE, 77.0)),
        ((GUIDE - 8.0, GUIDE_LOW - 2.0), (GUIDE - 8.0, 52.0)),
        ((NEAR, 2.0), (NEAR, TOP)),
        ((WIDE, 2.0), (WIDE, TOP)),
    )
    yield from dimension("F", (WEB, 65.5), (BED, 65.5))
    yield from dimension("M", (WEB, 70.8), (GUIDE, 70.8))
    yield from dimension("N", (WEB, 75.5), (FAR_GUIDE, 75.5))
    yield from dimension("J", (WEB, 83.0), (FAR, 83.0))
    yield from dimension("R", (GUIDE - 8.0, 50.5), (GUIDE, 50.5), (32.4, 50.5))
    yield from dimension("f", (WEB, 4.5), (NEAR, 4.5))
    yield from dimension("b", (NEAR, 4.5), (WIDE, 4.5), (75.0, 4.5))


def _product() -> Iterator[str]:
    """The code on the near side, seen on its edge."""
    yield line((NEAR, 30.5), (NEAR, 37.0), CODE)
    yield note("code", (58.5, 34.5))
    yield from extension_lines(((NEAR, 37.0), (54.0, 37.0)), ((NEAR, 30.5), (54.0, 30.5)))
    yield from dimension("j", (52.5, SURFACE), (52.5, 37.0))
    yield from dimension("k", (52.5, 30.5), (52.5, TOP), (57.0, 26.7))
