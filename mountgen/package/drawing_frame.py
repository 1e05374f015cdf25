"""The drawing sheet: frame, grid reference and title block.

Source: ISO 5457 (frame line 0.7 mm, reference fields of 50 mm counted from the middle of each side);
ISO 7200 (fields of the title block, 180 mm wide); ISO 5456-2 for the symbols of projection.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from mountgen.geometry import Vec2, polygon
from mountgen.package.drawing_paper import BLOCK, Paper, Projection
from mountgen.package.svg import (
    CENTRE,
    FRAME,
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

FIELD = 50.0
GRID_BAND = 5.0
ROW = 10.0
LETTERS = "ABCDEFGH"


@dataclass(frozen=True)
class Title:
    """The fields of the title block. `issued` says what stands for the date of issue; '' is no revision."""

    owner: str
    number: str
    name: str
    document: str
    issued: str
    scale: str
    units: str
    projection: Projection
    revision: str = ""


@dataclass(frozen=True)
class _Cell:
    """A field of the title block: caption and value, in a row, from x to x (mm from the block's left)."""

    row: int
    x: Vec2
    caption: str
    value: str
    bold: bool = False


def draw_sheet(paper: Paper, title: Title, of: tuple[int, int], marks: list[str]) -> str:
    """A whole sheet as SVG; `of` is its number and how many there are."""
    return sheet(paper.size, [*_frame(paper), *_title_block(paper, title, of), *marks])


def _frame(paper: Paper) -> Iterator[str]:
    (x0, y0), (x1, y1) = paper.space.low, paper.space.high
    yield box(paper.space.low, (x1 - x0, y1 - y0), FRAME, "frame")
    outer = (x0 - GRID_BAND, y0 - GRID_BAND)
    yield box(outer, (x1 - x0 + 2 * GRID_BAND, y1 - y0 + 2 * GRID_BAND), NARROW)
    middle = (paper.size[0] / 2, paper.size[1] / 2)
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


def _title_block(paper: Paper, title: Title, of: tuple[int, int]) -> Iterator[str]:
    left, top = paper.block
    yield box((left, top), BLOCK, VISIBLE)
    for row in (1, 2, 3):
        yield line((left, top + row * ROW), (left + BLOCK[0], top + row * ROW))
    for cell in _cells(paper, title, of):
        x, y = left + cell.x[0], top + cell.row * ROW
        if cell.x[0] > 0:
            yield line((x, y), (x, y + ROW))
        yield words(Words(cell.caption, (x + 1.2, y + 3.6)), "caption")
        room = cell.x[1] - cell.x[0] - 2.4
        value = shortened(cell.value, MEDIUM, room, bold=cell.bold)
        yield words(Words(value, (x + 1.2, y + 8.6), MEDIUM, bold=cell.bold), "field")
    yield from _projection_symbol((left + 110.0, top + 3.5 * ROW), title.projection)


def _cells(paper: Paper, title: Title, of: tuple[int, int]) -> tuple[_Cell, ...]:
    return (
        _Cell(0, (0.0, 70.0), "Legal owner", title.owner),
        _Cell(0, (70.0, 180.0), "Title", title.name, bold=True),
        _Cell(1, (0.0, 70.0), "Identification number", title.number, bold=True),
        _Cell(1, (70.0, 130.0), "Document type", title.document),
        _Cell(1, (130.0, 180.0), "General tolerances", "ISO 2768-m"),
        _Cell(2, (0.0, 35.0), "Creator", "mountgen"),
        _Cell(2, (35.0, 70.0), "Approved by", ""),
        _Cell(2, (70.0, 142.0), "Date of issue", title.issued),
        _Cell(2, (142.0, 180.0), "Revision", title.revision or "–"),
        _Cell(3, (0.0, 35.0), "Scale", title.scale),
        _Cell(3, (35.0, 90.0), "Units", title.units),
        _Cell(3, (90.0, 130.0), "", ""),
        _Cell(3, (130.0, 155.0), "Size", paper.name),
        _Cell(3, (155.0, 180.0), "Sheet", f"{of[0]} of {of[1]}"),
    )


def _projection_symbol(middle: Vec2, projection: Projection) -> Iterator[str]:
    """A cone's frustum and what is seen from its narrow left end: right of it in first-angle projection, left
    of it in third-angle projection."""
    x, y = middle
    big, small = 3.2, 1.6
    cone, circles = (x - 9.0, x + 7.0) if projection == "first angle" else (x + 1.0, x - 7.0)
    corners = ((cone, y - small), (cone + 8.0, y - big), (cone + 8.0, y + big), (cone, y + small))
    yield curve(polygon(corners), VISIBLE)
    yield line((cone - 1.5, y), (cone + 9.5, y), CENTRE)
    yield ring((circles, y), big, VISIBLE)
    yield ring((circles, y), small, VISIBLE)
    yield line((circles - big - 1.3, y), (circles + big + 1.3, y), CENTRE)
    yield line((circles, y - big - 1.2), (circles, y + big + 1.2), CENTRE)


def heading(text: str, at: Vec2) -> str:
    return words(Words(text, at, MEDIUM, bold=True), "heading")
