"""The drawing of a sheet part: flat pattern, folded views, tables, notes and title block on A3.

Everything a fabricator needs is on it. The flat gets the largest scale of ISO 5455 that fits, the
folded views the largest that still fits beside or below it. Tables that do not fit go on further sheets.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from mountgen.geometry import Vec2
from mountgen.package.drawing_flat import FlatView, Window, draw_flat, plan_flat
from mountgen.package.drawing_folded import Folded, draw_folded, view_sizes
from mountgen.package.drawing_frame import BLOCK, SPACE, Title, draw_sheet, heading
from mountgen.package.drawing_labels import Patch
from mountgen.package.drawing_notes import PartOrder, part_notes, part_tables, scale_text
from mountgen.package.drawing_tables import Table, draw_column, stacked
from mountgen.package.svg import MEDIUM, SMALL, Words, words
from mountgen.package.svg_text import text_width, wrapped

SCALES = (5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05)
"""ISO 5455, clause 5.1."""
CLEAR = 4.0
"""mm kept free inside the frame and between parts of the sheet."""
CAPTION = 9.0
NOTE_LINE = 4.2
TABLES_END = SPACE.high[1] - BLOCK[1] - CLEAR - 1.0
"""y where the title block's clearance begins."""


@dataclass(frozen=True)
class SheetBody:
    """The marks of one sheet without frame and title block, and the scale for its title block."""

    title: Title
    marks: tuple[str, ...]


@dataclass(frozen=True)
class _Arrangement:
    """Where flat and folded views stand (upper left corners) and their scales."""

    flat_at: Vec2
    flat_scale: float
    folded_at: Vec2 | None = None
    folded_scale: float = 0.0


def draw_part(order: PartOrder) -> list[str]:
    """The part's sheets as SVG texts, numbered among themselves."""
    bodies = part_sheets(order)
    return [finish(body, (i, len(bodies))) for i, body in enumerate(bodies, 1)]


def finish(body: SheetBody, of: tuple[int, int]) -> str:
    """A sheet with frame and title block; `of` is its number and how many there are."""
    return draw_sheet(body.title, of, list(body.marks))


def part_sheets(order: PartOrder) -> list[SheetBody]:
    """The part's sheets: the drawing, then further sheets for tables that did not fit."""
    tables = part_tables(order)
    columns = stacked(tables, TABLES_END - SPACE.low[1] - CLEAR)
    first, rest = columns[0], columns[1:]
    tables_x = SPACE.high[0] - CLEAR - max((table.width for table in first), default=0.0)
    area = Patch(
        (SPACE.low[0] + CLEAR, SPACE.low[1] + CLEAR),
        (tables_x - CLEAR, TABLES_END),
    )
    arranged = _arranged(order, area)
    marks = [
        *_views(order, arranged, area),
        *draw_column(first, (tables_x, SPACE.low[1] + CLEAR)),
        *draw_notes("Notes", part_notes(order)),
    ]
    title = _title(order, scale_text(arranged.flat_scale))
    return [SheetBody(title, tuple(marks)), *_columns_on_sheets(rest, _title(order, "–"))]


def _title(order: PartOrder, scale: str) -> Title:
    units = "mm" if order.units == "mm" else "mm [inch]"
    part = order.part
    return Title(order.owner, part.number, part.name, "Part drawing", order.issued, scale, units)


def _arranged(order: PartOrder, area: Patch) -> _Arrangement:
    """The most legible scales that fit; a part too large even for the smallest runs out of its area."""
    found = [a for scale in SCALES for a in _with_folded(order, area, scale)]
    if found:
        return max(found, key=lambda a: (_legibility(a), a.flat_scale, a.folded_scale))
    smallest = SCALES[-1]
    return _Arrangement(area.low, smallest, area.low if order.views else None, smallest)


def _legibility(arranged: _Arrangement) -> float:
    """The flat may be twice as large as the folded views before they count as the smaller ones."""
    return min(arranged.flat_scale, 2 * arranged.folded_scale or arranged.flat_scale)


def _flat_size(order: PartOrder, scale: float, room: Vec2) -> Vec2:
    covered = plan_flat(order.flat, order.units, Window((0.0, 0.0), scale), room).covered
    return (covered.high[0] - covered.low[0], covered.high[1] - covered.low[1] + CAPTION)


def _room(area: Patch) -> Vec2:
    return (area.high[0] - area.low[0], area.high[1] - area.low[1] - CAPTION)


def _with_folded(order: PartOrder, area: Patch, scale: float) -> Iterator[_Arrangement]:
    """Arrangements with the flat at `scale`: folded views beside it, below it, or none needed."""
    flat = _flat_size(order, scale, _room(area))
    room = (area.high[0] - area.low[0], area.high[1] - area.low[1])
    if flat[0] > room[0] or flat[1] > room[1]:
        return
    if not order.views:
        yield _Arrangement(area.low, scale)
        return
    beside = (room[0] - flat[0] - CLEAR, room[1])
    below = (room[0], room[1] - flat[1] - CLEAR)
    sizes = view_sizes(order.views)
    for smaller in (s for s in SCALES if s <= scale):
        width, height = Folded(order.views, sizes, smaller, order.units).size
        if width <= beside[0] and height + CAPTION <= beside[1]:
            at = (area.low[0] + flat[0] + CLEAR, area.low[1])
            yield _Arrangement(area.low, scale, at, smaller)
        if width <= below[0] and height + CAPTION <= below[1]:
            at = (area.low[0], area.low[1] + flat[1] + CLEAR)
            yield _Arrangement(area.low, scale, at, smaller)


def _views(order: PartOrder, arranged: _Arrangement, area: Patch) -> Iterator[str]:
    x, y = arranged.flat_at
    yield _caption("Flat pattern" if order.views else "Plate", arranged.flat_scale, (x, y))
    view = _placed_flat(order, arranged, (x, y + CAPTION), _room(area))
    free = Patch((area.low[0], y + CAPTION - 1.0), _flat_end(arranged, area))
    yield from draw_flat(view, free)
    if arranged.folded_at:
        x, y = arranged.folded_at
        yield _caption("Folded", arranged.folded_scale, (x, y))
        group = Folded(order.views, view_sizes(order.views), arranged.folded_scale, order.units)
        yield from draw_folded(group, (x, y + CAPTION))


def _placed_flat(order: PartOrder, arranged: _Arrangement, corner: Vec2, room: Vec2) -> FlatView:
    """The flat with the upper left corner of all it covers at `corner`."""
    scale = arranged.flat_scale
    low = plan_flat(order.flat, order.units, Window((0.0, 0.0), scale), room).covered.low
    window = Window((corner[0] - low[0], corner[1] - low[1]), scale)
    return plan_flat(order.flat, order.units, window, room)


def _flat_end(arranged: _Arrangement, area: Patch) -> Vec2:
    """How far tags may go: up to the folded views, or to the end of the area."""
    if not arranged.folded_at:
        return area.high
    beside = arranged.folded_at[1] == area.low[1]
    if beside:
        return (arranged.folded_at[0], area.high[1])
    return (area.high[0], arranged.folded_at[1])


def _caption(name: str, scale: float, at: Vec2) -> str:
    return heading(f"{name}  {scale_text(scale)}", (at[0], at[1] + MEDIUM + 0.5))


def draw_notes(name: str, notes: Sequence[str]) -> Iterator[str]:
    """Numbered notes under a name, in two columns left of the title block."""
    left, top = SPACE.low[0] + CLEAR, SPACE.high[1] - BLOCK[1] - 2.5
    width = (SPACE.high[0] - BLOCK[0] - left - 2 * CLEAR) / 2
    indent = text_width("00. ", SMALL)
    yield words(Words(name, (left, top + SMALL), bold=True), "note")
    top += NOTE_LINE
    lines = [wrapped(note, SMALL, width - indent) for note in notes]
    half = sum(len(texts) for texts in lines) / 2
    column, row = 0, 0
    for i, texts in enumerate(lines, 1):
        if column == 0 and row >= half:
            column, row = 1, 0
        x = left + column * (width + CLEAR)
        yield words(Words(f"{i}.", (x, top + SMALL + row * NOTE_LINE)), "note")
        for text in texts:
            yield words(Words(text, (x + indent, top + SMALL + row * NOTE_LINE)), "note")
            row += 1


def table_sheets(tables: Sequence[Table], title: Title) -> list[SheetBody]:
    """Sheets of nothing but tables, in columns."""
    return list(_columns_on_sheets(stacked(tables, TABLES_END - SPACE.low[1] - CLEAR), title))


def _columns_on_sheets(columns: Sequence[Sequence[Table]], title: Title) -> Iterator[SheetBody]:
    """As many columns on each sheet as fit side by side."""
    waiting = list(columns)
    while waiting:
        x = SPACE.low[0] + CLEAR
        marks: list[str] = []
        while waiting:
            width = max(table.width for table in waiting[0])
            if marks and x + width > SPACE.high[0] - CLEAR:
                break
            marks.extend(draw_column(waiting.pop(0), (x, SPACE.low[1] + CLEAR)))
            x += width + 2 * CLEAR
        yield SheetBody(title, tuple(marks))
