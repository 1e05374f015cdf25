"""The A3 drawing sheet: frame, grid reference and title block.

Source: ISO 5457 (A3 420 x 297, border 20 mm on the filing side and 10 mm on the others, frame line
0.7 mm, reference fields of 50 mm counted from the middle of each side); ISO 7200 (fields of the title
block, 180 mm wide); ISO 128-3 for the first-angle symbol.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from mountgen.geometry import Vec2, polygon
from mountgen.package.drawing_labels import Patch
from mountgen.package.svg import (
    CENTRE,
    FRAME,
    LARGE,
    MEDIUM,
    NARROW,
    SMALL,
    VISIBLE,
    Words,
    box,
    curve,
    line,
    ring,
    sheet,
    words,
)
from mountgen.package.svg_text import shortened

SHEET: Vec2 = (420.0, 297.0)
SPACE = Patch((20.0, 10.0), (410.0, 287.0))
"""Inside of the frame."""
FIELD = 50.0
GRID_BAND = 5.0
BLOCK: Vec2 = (180.0, 40.0)
"""Size of the title block in the lower right corner."""
ROW = 10.0
LETTERS = "ABCDEFGH"


@dataclass(frozen=True)
class Title:
    """The fields of the title block. `issued` says what stands for the date of issue."""

    owner: str
    number: str
    name: str
    document: str
    issued: str
    scale: str
    units: str


@dataclass(frozen=True)
class _Cell:
    """A field of the title block: caption and value, in a row, from x to x (mm from the block's left)."""

    row: int
    x: Vec2
    caption: str
    value: str
    bold: bool = False


def draw_sheet(title: Title, of: tuple[int, int], marks: list[str]) -> str:
    """A whole sheet as SVG; `of` is its number and how many there are."""
    return sheet(SHEET, [*_frame(), *_title_block(title, of), *marks])


def _frame() -> Iterator[str]:
    (x0, y0), (x1, y1) = SPACE.low, SPACE.high
    yield box(SPACE.low, (x1 - x0, y1 - y0), FRAME, "frame")
    outer = (x0 - GRID_BAND, y0 - GRID_BAND)
    yield box(outer, (x1 - x0 + 2 * GRID_BAND, y1 - y0 + 2 * GRID_BAND), NARROW)
    middle = (SHEET[0] / 2, SHEET[1] / 2)
    yield from _grid((x0, x1), middle[0], (y0, y1), upright=False)
    yield from _grid((y0, y1), middle[1], (x0, x1), upright=True)


def _grid(span: Vec2, middle: float, borders: Vec2, *, upright: bool) -> Iterator[str]:
    """Ticks and names of the reference fields along two opposite borders."""
    count = 2 * math.ceil(max(span[1] - middle, middle - span[0]) / FIELD)
    first = middle - count // 2 * FIELD
    for i in range(count):
        low = max(first + i * FIELD, span[0])
        high = min(first + (i + 1) * FIELD, span[1])
        name = LETTERS[i] if upright else str(i + 1)
        for border, outwards in zip(borders, (-1.0, 1.0), strict=True):
            if low > span[0]:
                outer = border + outwards * GRID_BAND
                a, b = ((border, low), (outer, low)) if upright else ((low, border), (low, outer))
                yield line(a, b)
            across, along = border + outwards * GRID_BAND / 2, (low + high) / 2
            at = (across, along + SMALL / 2) if upright else (along, across + SMALL / 2)
            yield words(Words(name, at, SMALL, "middle"), "grid")


def _title_block(title: Title, of: tuple[int, int]) -> Iterator[str]:
    left, top = SPACE.high[0] - BLOCK[0], SPACE.high[1] - BLOCK[1]
    yield box((left, top), BLOCK, VISIBLE)
    for row in (1, 2, 3):
        yield line((left, top + row * ROW), (left + BLOCK[0], top + row * ROW))
    for cell in _cells(title, of):
        x, y = left + cell.x[0], top + cell.row * ROW
        if cell.x[0] > 0:
            yield line((x, y), (x, y + ROW))
        yield words(Words(cell.caption, (x + 1.2, y + 3.6)), "caption")
        room = cell.x[1] - cell.x[0] - 2.4
        value = shortened(cell.value, MEDIUM, room, bold=cell.bold)
        yield words(Words(value, (x + 1.2, y + 8.6), MEDIUM, bold=cell.bold), "field")
    yield from _first_angle((left + 105.0, top + 3.5 * ROW))


def _cells(title: Title, of: tuple[int, int]) -> tuple[_Cell, ...]:
    return (
        _Cell(0, (0.0, 70.0), "Legal owner", title.owner),
        _Cell(0, (70.0, 180.0), "Title", title.name, bold=True),
        _Cell(1, (0.0, 70.0), "Identification number", title.number, bold=True),
        _Cell(1, (70.0, 130.0), "Document type", title.document),
        _Cell(1, (130.0, 180.0), "General tolerances", "ISO 2768-m"),
        _Cell(2, (0.0, 35.0), "Creator", "mountgen"),
        _Cell(2, (35.0, 70.0), "Approved by", ""),
        _Cell(2, (70.0, 160.0), "Date of issue", title.issued),
        _Cell(2, (160.0, 180.0), "Revision", "–"),
        _Cell(3, (0.0, 35.0), "Scale", title.scale),
        _Cell(3, (35.0, 90.0), "Units", title.units),
        _Cell(3, (90.0, 130.0), "", ""),
        _Cell(3, (130.0, 155.0), "Size", "A3"),
        _Cell(3, (155.0, 180.0), "Sheet", f"{of[0]} of {of[1]}"),
    )


def _first_angle(centre: Vec2) -> Iterator[str]:
    """The symbol of first-angle projection: a cone's frustum, and right of it what is seen from its left."""
    x, y = centre
    big, small = 3.2, 1.6
    cone = polygon(((x - 8.0, y - small), (x, y - big), (x, y + big), (x - 8.0, y + small)))
    yield curve(cone, VISIBLE)
    yield line((x - 9.5, y), (x + 1.5, y), CENTRE)
    yield ring((x + 8.0, y), big, VISIBLE)
    yield ring((x + 8.0, y), small, VISIBLE)
    yield line((x + 3.5, y), (x + 12.5, y), CENTRE)
    yield line((x + 8.0, y - big - 1.2), (x + 8.0, y + big + 1.2), CENTRE)


def heading(text: str, at: Vec2) -> str:
    return words(Words(text, at, MEDIUM, bold=True), "heading")


def sheet_heading(text: str, at: Vec2) -> str:
    return words(Words(text, at, LARGE, bold=True), "heading")
