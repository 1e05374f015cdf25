"""Papers that are printed at full size: their sizes, and bars in both directions to check the print by."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.geometry import Vec2
from mountgen.package.drawing_words import MM_PER_INCH
from mountgen.package.svg import NARROW, Words, line, words
from mountgen.units import System

PAPER: dict[System, Vec2] = {"mm": (210.0, 297.0), "in": (215.9, 279.4)}
"""ISO 216 A4; ANSI Letter."""
MARGIN = 8.0
"""mm along the paper's edges that many printers leave white."""
BAR_STEP, LYING_BAR = 8.0, 6.0
"""mm of paper that one check bar takes, upright and lying."""
BARS: dict[System, tuple[tuple[str, float, int], ...]] = {
    "mm": (("100 mm", 100.0, 10),),
    "in": (("100 mm", 100.0, 10), ("4 in", 4 * MM_PER_INCH, 4)),
}
"""Name, length (mm) and number of divisions."""
PRINT_TRUE = "Print at 100 %, no scaling: measure the bar before you use it."


def upright_bars(units: System, top: float) -> Iterator[str]:
    """Side by side along the paper's left margin, from `top` down."""
    for i, (name, long, parts) in enumerate(BARS[units]):
        x = MARGIN + BAR_STEP * i + 5.0
        yield line((x, top), (x, top + long), NARROW, f"bar {name}")
        for k in range(parts + 1):
            y, tick = top + long * k / parts, _tick(k, parts)
            yield line((x - tick, y), (x, y), NARROW)
        yield words(Words(name, (x - 2.0, top + long / 2 - 1.0), turned=True))


def lying_bars(units: System, corner: Vec2) -> Iterator[str]:
    """One below the other, from their upper left corner."""
    x, y = corner[0], corner[1] - 2.0
    for name, long, parts in BARS[units]:
        y += LYING_BAR
        yield line((x, y), (x + long, y), NARROW, f"bar {name}")
        for k in range(parts + 1):
            along = x + long * k / parts
            yield line((along, y - _tick(k, parts)), (along, y), NARROW)
        yield words(Words(name, (x + long + 3.0, y)))


def _tick(k: int, parts: int) -> float:
    return 4.0 if k in (0, parts) else 1.5
