"""The pages of the scale strips: pieces side by side at full size, with bars to check the print by.

A piece has the millimetre ruler along its left edge, names of marks beside it, and, where the survey is in
inches, sixteenths of an inch along its right edge.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from mountgen.geometry import Vec2
from mountgen.package.check_bars import (
    BAR_STEP,
    BARS,
    LYING_BAR,
    MARGIN,
    PAPER,
    PRINT_TRUE,
    lying_bars,
    upright_bars,
)
from mountgen.package.drawing_words import MM_PER_INCH
from mountgen.package.scale_strip import NAME, NUMERAL, Mark, Piece, Strip, Strips, pieces
from mountgen.package.svg import MEDIUM, SMALL, VISIBLE, Pen, Words, line, sheet, words
from mountgen.package.svg_text import displayable, shortened, wrapped
from mountgen.package.typeset import typeset
from mountgen.units import System

HEAD, FOOT, LINE_SPACE = 17.0, 66.0, 4.2
LONGEST = 160.0
"""mm of scale on one piece: both papers hold it, its tab and its title."""
LEGEND_LINES = 2
TAB = 10.0
"""mm at a piece's upper end onto which the next one is stuck."""
WIDTH: dict[System, float] = {"mm": 15.5, "in": 24.0}
"""mm of paper across: mm alone fit beside the slot of a bar of 40 mm."""
BETWEEN = 12.0
"""mm between two pieces."""
FINE, TICK = Pen(0.18), Pen(0.18)
TICKS = ((10, 4.5), (5, 3.5), (1, 2.5))
INCH_TICKS = ((16, 4.5), (4, 3.2), (2, 2.4), (1, 1.7))
"""Every so many divisions a tick of this length, mm."""
MARK_LONG, NAMES_AT = 4.6, 9.7
"""mm from the left edge to the end of a mark's line, and to where names begin; numbers stand between."""
HOW_TO = (
    "Cut the pieces out along their outlines. Stick each one onto the tab of the one before, its lower edge "
    "on the line. Degrease the bar, stick the strip on, cover it with clear tape. Then check with a steel "
    "rule: damp paper grows.",
    "Stop and lock out the line by the owner's procedure first.",
)


@dataclass(frozen=True)
class Page:
    """One page to draw: its pieces, each with its strip."""

    found: Strips
    number: int
    count: int
    shown: tuple[tuple[Strip, Piece], ...]

    @property
    def units(self) -> System:
        return self.found.survey.units

    @property
    def paper(self) -> Vec2:
        return PAPER[self.units]


@dataclass(frozen=True)
class Column:
    """Where a piece lies on the paper: its left edge, and y of its lower end."""

    piece: Piece
    left: float
    bottom: float
    width: float

    def y(self, reading: float) -> float:
        return self.bottom - (reading - self.piece.low)

    @property
    def top(self) -> float:
        return self.y(self.piece.high)


def strips_pdf(found: Strips) -> bytes:
    """The strips as PDF, one SVG unit a millimetre of paper; the same strips give the same bytes."""
    title = displayable(f"Scale strips: {found.survey.name}")
    data = {"title": title, "paper": PAPER[found.survey.units], "sheets": list(strip_pages(found))}
    return typeset("drill-template.typ", data)


def strip_pages(found: Strips) -> Iterator[str]:
    """Every page as SVG."""
    every = [(strip, piece) for strip in found.strips for piece in pieces(strip, LONGEST)]
    room = columns_on(found.survey.units)
    starts = range(0, len(every), room)
    for start in starts:
        page = Page(found, start // room + 1, len(starts), tuple(every[start : start + room]))
        yield sheet(page.paper, _page(page))


def columns_on(units: System) -> int:
    """How many pieces lie side by side on a page."""
    room = PAPER[units][0] - 2 * MARGIN - BAR_STEP * len(BARS[units])
    return int((room + BETWEEN) // (WIDTH[units] + BETWEEN))


def _page(page: Page) -> Iterator[str]:
    top = MARGIN + HEAD
    yield from _head(page)
    yield from upright_bars(page.units, top)
    left = MARGIN + BAR_STEP * len(BARS[page.units]) + 4.0
    for i, (strip, piece) in enumerate(page.shown):
        x = left + i * (WIDTH[page.units] + BETWEEN)
        yield from _piece(page, strip, Column(piece, x, top + 6.0 + TAB + LONGEST, WIDTH[page.units]))
    yield from _foot(page)


def _head(page: Page) -> Iterator[str]:
    x, y, width = MARGIN, MARGIN, page.paper[0] - 2 * MARGIN
    name = shortened(f"Scale strips: {page.found.survey.name}", MEDIUM, width, bold=True)
    yield words(Words(name, (x, y + 4.5), MEDIUM, bold=True))
    number = f"page {page.number} of {page.count}, issued {page.found.issued}, 1:1"
    yield words(Words(shortened(number, SMALL, width), (x, y + 9.5)))
    yield words(Words("rulers for post and arm, true size", (x, y + 13.7)))


def _piece(page: Page, strip: Strip, at: Column) -> Iterator[str]:
    piece, right = at.piece, at.left + at.width
    end = at.top if piece.last else at.top - TAB
    for a, b in (((at.left, at.bottom), (at.left, end)), ((right, at.bottom), (right, end))):
        yield line(a, b, FINE, "outline")
    for y, role in ((at.bottom, "low"), (at.top, "high")):
        yield line((at.left, y), (right, y), FINE, f"{role} {strip.name} {piece.number}")
    if not piece.last:
        yield line((at.left, end), (right, end), FINE, "outline")
        yield words(Words("next", (at.left + at.width / 2, at.top - 4.5), NUMERAL, "middle"))
    yield words(Words(_title(strip, piece), (at.left + at.width / 2, end - 2.0), SMALL, "middle", bold=True))
    if piece.number == 1:
        yield words(Words("end of bar", (at.left + at.width / 2, at.bottom + 3.6), NUMERAL, "middle"))
    yield from _millimetres(at)
    if page.units == "in":
        yield from _inches(at)
    for mark in strip.marks:
        yield from _mark(at, mark)


def _title(strip: Strip, piece: Piece) -> str:
    return f"{strip.name} {piece.number}"


def _millimetres(at: Column) -> Iterator[str]:
    for mm in range(math.ceil(at.piece.low), math.floor(at.piece.high) + 1):
        long = next(tick for every, tick in TICKS if mm % every == 0)
        yield line((at.left, at.y(mm)), (at.left + long, at.y(mm)), TICK, f"mm {mm}")
        if mm % 10 == 0 and mm < at.piece.high - 3.0:
            yield words(Words(str(mm), (at.left + 4.8, at.y(mm) - 0.4), NUMERAL))


def _inches(at: Column) -> Iterator[str]:
    step, right = MM_PER_INCH / 16, at.left + at.width
    for n in range(math.ceil(at.piece.low / step - 1e-9), math.floor(at.piece.high / step + 1e-9) + 1):
        long = next(tick for every, tick in INCH_TICKS if n % every == 0)
        yield line((right, at.y(n * step)), (right - long, at.y(n * step)), TICK, f"in {n}")
        if n % 16 == 0 and n * step < at.piece.high - 3.0:
            yield words(Words(f"{n // 16}″", (right - 4.7, at.y(n * step) - 0.4), NUMERAL, "end"))


def _mark(at: Column, mark: Mark) -> Iterator[str]:
    """A wide line over the ticks at the reading, and a fine one from its end to its name."""
    if not at.piece.low <= mark.at <= at.piece.high:
        return
    y, end = at.y(mark.at), at.left + MARK_LONG
    low, high = at.top + NAME / 2, at.bottom - NAME / 2
    middle = min(max(at.y(mark.label_at), low), high)
    yield line((at.left, y), (end, y), VISIBLE, f"mark {mark.at:.4f}")
    yield line((end, y), (at.left + NAMES_AT, middle), FINE, "leader")
    yield words(Words(mark.name, (at.left + NAMES_AT + 0.2, middle + NAME / 2), NAME, bold=True))


def _foot(page: Page) -> Iterator[str]:
    """Lying bars, where the strips go, how to stick them, what the marks mean."""
    x, y = MARGIN, page.paper[1] - MARGIN - FOOT + 6.0
    yield words(Words(PRINT_TRUE, (x, y), bold=True))
    yield from lying_bars(page.units, (x, y + 3.0))
    y += 3.0 + LYING_BAR * len(BARS[page.units]) + 1.5
    for text in _instructions(page.found, page.paper[0] - 2 * MARGIN):
        y += LINE_SPACE
        yield words(Words(text, (x, y)))


def _instructions(found: Strips, width: float) -> Sequence[str]:
    told = [text for one in (*found.how, *HOW_TO) for text in wrapped(one, SMALL, width)]
    legend = wrapped(found.legend, SMALL, width - 3.0)
    if len(legend) > LEGEND_LINES:
        legend = [*legend[: LEGEND_LINES - 1], f"{legend[LEGEND_LINES - 1]} …"]
    return [*told, *legend]
