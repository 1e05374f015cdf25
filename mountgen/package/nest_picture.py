"""Pictures of the nest: a sheet with its parts, a bar with its pieces; in paper millimetres, y downwards."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from mountgen.fabrication.bars import CutBar
from mountgen.fabrication.nest_records import NestedSheet
from mountgen.geometry import Contour, Vec2, Vertex
from mountgen.package.svg import (
    NARROW,
    SMALL,
    Anchor,
    Pen,
    Words,
    box,
    curve,
    line,
    number,
    sheet,
    words,
)
from mountgen.package.svg_text import text_width
from mountgen.sheet.flat import FlatPattern
from mountgen.units import System, format_length

WIDTH = 174.0
"""mm of paper"""
MOST_HEIGHT = 90.0
"""mm of paper that a sheet's picture may be high."""
THIN = Pen(0.18)
REST = Pen(0.25, "3 0.75")
TINY = 1.8
"""mm; height of part numbers and positions."""
WORTH, SMALL_SHARE, LARGEST = 1.5, 0.45, 0.4
"""From what gain on parts are drawn once more, how large the sheet is then, the largest scale for parts."""
BAR_HEIGHT = 9.0
BAR_PLOT = 26.0
PART_FILL, HOLE_FILL, TRIM_FILL = "#e3e3e3", "#ffffff", "#9a9a9a"
Flats = Mapping[str, FlatPattern]


@dataclass(frozen=True)
class _View:
    """What of a sheet is drawn where: turned clockwise by a quarter or not, from sheet point `low` at the
    paper's (0, base)."""

    scale: float
    low: Vec2
    base: float
    turned: bool = False

    def contour(self, drawn: Contour) -> Contour:
        """In paper coordinates; y is turned over, so the bulges run the other way round."""
        lying = (drawn.turned(-90.0) if self.turned else drawn).moved(-self.low[0], -self.low[1])
        k = self.scale
        return Contour(tuple(Vertex(v.x * k, self.base - v.y * k, -v.bulge) for v in lying.vertices))


def sheet_picture(nested: NestedSheet, flats: Flats, units: System) -> str:
    """The sheet to scale, its datum at the lower left, with the remaining strip; where the parts would be
    small, they are drawn once more and larger, lying across the paper."""
    length, width = nested.stock.length, nested.stock.width
    whole = min(WIDTH / length, MOST_HEIGHT / width)
    low_x, low_y, high_x, high_y = _parts_box(nested, flats)
    turned = high_y - low_y > high_x - low_x
    size = (high_y - low_y, high_x - low_x) if turned else (high_x - low_x, high_y - low_y)
    larger = min(WIDTH / size[0], MOST_HEIGHT / size[1], LARGEST)
    if larger < WORTH * whole:
        view = _View(whole, (0.0, 0.0), width * whole + 0.5)
        marks = [*_sheet_marks(nested, flats, view, units), *_part_marks(nested, flats, view)]
        return sheet((WIDTH, view.base + 0.5), marks)
    small = _View(whole * SMALL_SHARE, (0.0, 0.0), width * whole * SMALL_SHARE + 0.5)
    bottom = small.base + 6.0 + size[1] * larger
    large = _View(larger, (low_y, -high_x) if turned else (low_x, low_y), bottom, turned)
    way = "a quarter turned: the sheet's length runs downwards" if turned else "as it lies"
    marks = [
        *_sheet_marks(nested, flats, small, units),
        words(Words(f"parts enlarged, {way}", (0.0, small.base + 4.5), TINY)),
        *_part_marks(nested, flats, large),
    ]
    return sheet((WIDTH, bottom + 0.5), marks)


def _parts_box(nested: NestedSheet, flats: Flats) -> tuple[float, float, float, float]:
    bounds = [placed.contour(flats[placed.number].outline).bounds for placed in nested.placed]
    low_x, low_y, high_x, high_y = zip(*bounds, strict=True)
    return min(low_x), min(low_y), max(high_x), max(high_y)


def _sheet_marks(nested: NestedSheet, flats: Flats, view: _View, units: System) -> Iterator[str]:
    """The sheet's border, its parts in outline, and the remaining strip with its size."""
    rest, scale = nested.remaining, view.scale
    for placed in nested.placed:
        yield _filled(view.contour(placed.contour(flats[placed.number].outline)), PART_FILL)
    if rest.area > 0.0:
        high = view.base - (rest.y + rest.width) * scale
        yield box((rest.x * scale, high), (rest.length * scale, rest.width * scale), REST)
        said = f"remaining {format_length(rest.length, units)} x {format_length(rest.width, units)}"
        lying = text_width(said, SMALL) < rest.length * scale - 2.0
        if lying or text_width(said, SMALL) < rest.width * scale - 2.0:
            middle = ((rest.x + rest.length / 2) * scale, high + rest.width / 2 * scale)
            yield words(Words(said, middle, SMALL, "middle", turned=not lying))
    yield box((0.0, 0.5), (nested.stock.length * scale, nested.stock.width * scale), Pen(0.5))


def _part_marks(nested: NestedSheet, flats: Flats, view: _View) -> Iterator[str]:
    """Every part with its holes, and over them its number."""
    for placed in nested.placed:
        flat = flats[placed.number]
        yield _filled(view.contour(placed.contour(flat.outline)), PART_FILL)
        for hole in flat.holes:
            yield _filled(view.contour(placed.contour(hole.hole.contour)), HOLE_FILL)
    for placed in nested.placed:
        yield _number(placed.number, view.contour(placed.contour(flats[placed.number].outline)))


def _filled(contour: Contour, colour: str) -> str:
    return curve(contour, THIN).replace('fill="none"', f'fill="{colour}"')


def _number(text: str, outline: Contour) -> str:
    """The part's number in the middle of the box around it, along its longer side where it must."""
    low_x, low_y, high_x, high_y = outline.bounds
    x, y = (low_x + high_x) / 2, (low_y + high_y) / 2
    upright = text_width(text, TINY, bold=True) > high_x - low_x and high_y - low_y > high_x - low_x
    at = (x + TINY / 2, y) if upright else (x, y + TINY / 2)
    said = words(Words(text, at, TINY, "middle", turned=upright, bold=True), "number")
    halo = f'<text paint-order="stroke" stroke="{PART_FILL}" stroke-width="0.9"'
    return said.replace("<text", halo, 1)


def bar_picture(bar: CutBar, units: System) -> str:
    """The bar as a strip, to scale along it: pieces, cuts and where they stand, the remaining piece."""
    return sheet((WIDTH, BAR_PLOT), _bar_marks(bar, (WIDTH - 2.0) / bar.stock_length, units))


def _bar_marks(bar: CutBar, scale: float, units: System) -> Iterator[str]:
    top, base = 8.0, 8.0 + BAR_HEIGHT
    yield _block(0.0, bar.pieces[0].start * scale, TRIM_FILL)
    for piece in bar.pieces:
        yield _block(piece.start * scale, piece.length * scale, PART_FILL)
        yield from _in_block(piece.number, (piece.start * scale, piece.length * scale), top)
    for at in bar.cuts:
        kerf = min(bar.saw.kerf, bar.stock_length - at)
        yield _block(at * scale, max(kerf * scale, 0.3), "#000000")
    start = bar.stock_length - bar.remaining
    if bar.remaining > 0.0:
        yield box((1.0 + start * scale, top), (bar.remaining * scale, BAR_HEIGHT), REST)
        said = f"remaining {format_length(bar.remaining, units)}"
        yield from _in_block(said, (start * scale, bar.remaining * scale), top)
    yield box((1.0, top), (bar.stock_length * scale, BAR_HEIGHT), NARROW)
    yield from _positions(bar, scale, (base, base + 4.0), units)


def _positions(bar: CutBar, scale: float, heights: Vec2, units: System) -> Iterator[str]:
    """Each cut's distance from the datum end, under it where there is room; the rows change by turns."""
    base, row = heights
    yield words(Words("datum end", (1.0, 6.0), TINY))
    for index, at in enumerate(bar.cuts):
        x = 1.0 + at * scale
        y = row + (index % 2) * 3.2
        anchor: Anchor = "end" if x > WIDTH - 15.0 else "start" if x < 8.0 else "middle"
        yield line((x, base), (x, y - TINY - 0.4), THIN)
        yield words(Words(format_length(at, units), (x, y), TINY, anchor), "cut")


def _block(x: float, length: float, colour: str) -> str:
    at = f'x="{number(1.0 + x)}" y="8" width="{number(length)}" height="{number(BAR_HEIGHT)}"'
    return f'<rect {at} fill="{colour}"/>'


def _in_block(text: str, start_and_length: Vec2, top: float) -> Iterator[str]:
    """The text in the middle of a block of the strip; above it where the block is too short."""
    start, length = start_and_length
    lying = text_width(text, SMALL) < length - 1.0
    y = top + (BAR_HEIGHT + SMALL) / 2 if lying else top - 1.5
    yield words(Words(text, (1.0 + start + length / 2, y), SMALL if lying else TINY, "middle"), "number")
