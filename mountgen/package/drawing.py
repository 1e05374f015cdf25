"""The drawing of a sheet part: flat pattern, folded views, tables, notes and title block.

Everything a fabricator needs is on it. The flat gets the largest scale of ISO 5455 that fits, the
folded views the largest that still fits beside or below it. A part that is legible on the small sheet
with all its tables gets that one; on the large sheet tables that do not fit go on further sheets.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from mountgen.geometry import Vec2
from mountgen.package.drawing_flat import FlatRequest, FlatView, Window, draw_flat, plan_flat
from mountgen.package.drawing_flat_labels import draw_flat_labels
from mountgen.package.drawing_folded import Folded, draw_folded, view_sizes
from mountgen.package.drawing_frame import Title, draw_sheet, heading
from mountgen.package.drawing_labels import Patch
from mountgen.package.drawing_notes import PartOrder, part_notes, part_tables, scale_text
from mountgen.package.drawing_paper import BLOCK, CLEAR, Paper
from mountgen.package.drawing_tables import Table, draw_column, draw_table, shelved, stacked
from mountgen.package.svg import MEDIUM, SMALL, Words, words
from mountgen.package.svg_text import text_width, wrapped

SCALES = (5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05)
"""ISO 5455, clause 5.1."""
CAPTION = 9.0
NOTE_LINE = 4.2
LEGIBLE = 1.0
"""Scale that the flat must reach on the small sheet, or what it has on the large one."""


@dataclass(frozen=True)
class SheetBody:
    """The marks of one sheet without frame and title block."""

    paper: Paper
    title: Title
    marks: tuple[str, ...]


@dataclass(frozen=True)
class _Plan:
    """What stands where on the first sheet: paper for the views, placed tables, notes, and what is left."""

    paper: Paper
    area: Patch
    tables: tuple[tuple[Table, Vec2], ...]
    notes: Patch
    rest: tuple[list[Table], ...] = ()


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
    return draw_sheet(body.paper, body.title, of, list(body.marks))


def part_sheets(order: PartOrder) -> list[SheetBody]:
    """The part's sheets: the drawing, then further sheets for tables that did not fit.

    An axis whose ordinates turn out to have no room on the flat goes to the tables, and all is laid out anew.
    """
    plan, arranged = _chosen(order)
    tabled = _placed_flat(order, arranged, plan.area.low, _room(plan.area)).tabled
    if tabled != order.tabled:
        return part_sheets(replace(order, tabled=tabled))
    marks = [
        *_views(order, arranged, plan.area),
        *(mark for table, at in plan.tables for mark in draw_table(table, at)),
        *draw_notes("Notes", part_notes(order), plan.notes),
    ]
    title = _title(order, scale_text(arranged.flat_scale))
    first = SheetBody(plan.paper, title, tuple(marks))
    return [first, *_columns_on_sheets(plan.rest, order.style.large, _title(order, "–"))]


def _chosen(order: PartOrder) -> tuple[_Plan, _Arrangement]:
    """The small sheet where everything on it is legible, else the large one."""
    large = _beside(order)
    arranged = _arranged(order, large.area)
    small = _below(order)
    if small is not None:
        found = _fitting(order, small.area)
        legible = min(LEGIBLE, _legibility(arranged))
        if found and _legibility(found[0]) >= legible:
            return small, found[0]
    return large, arranged


def _beside(order: PartOrder) -> _Plan:
    """A lying sheet: tables in a column right of the views, notes left of the title block."""
    paper = order.style.large
    low, high = paper.space.low, paper.space.high
    notes = beside_block(paper, part_notes(order))
    columns = stacked(part_tables(order), paper.above_block - low[1] - CLEAR)
    first = columns[0]
    tables_x = high[0] - CLEAR - max((table.width for table in first), default=0.0)
    bottom = min(paper.above_block, notes.low[1] - CLEAR)
    area = Patch((low[0] + CLEAR, low[1] + CLEAR), (tables_x - CLEAR, bottom))
    placed, _ = shelved(first, 0.0)
    tables = tuple((table, (tables_x, low[1] + CLEAR + y)) for table, (_, y) in placed)
    return _Plan(paper, area, tables, notes, tuple(columns[1:]))


def beside_block(paper: Paper, notes: Sequence[str]) -> Patch:
    """The paper left of the title block, as high as the block or as the notes need."""
    low, high = paper.space.low, paper.space.high
    left, right = low[0] + CLEAR, high[0] - BLOCK[0] - CLEAR
    top = min(paper.block[1] - 2.5, high[1] - 1.0 - notes_height(notes, right - left))
    return Patch((left, top), (right, high[1]))


def _below(order: PartOrder) -> _Plan | None:
    """An upright sheet: views, under them the tables in shelves, notes, the title block; None when the
    tables and notes leave no room for views."""
    paper = order.style.small
    low, high = paper.space.low, paper.space.high
    left, width = low[0] + CLEAR, high[0] - low[0] - 2 * CLEAR
    height = notes_height(part_notes(order), width)
    notes = Patch((left, paper.above_block - height), (high[0] - CLEAR, paper.above_block))
    placed, depth = shelved(part_tables(order), width)
    top = notes.low[1] - CLEAR - depth
    if top < low[1] + 4 * CAPTION or any(x + table.width > width for table, (x, _) in placed):
        return None
    tables = tuple((table, (left + x, top + y)) for table, (x, y) in placed)
    return _Plan(paper, Patch((left, low[1] + CLEAR), (high[0] - CLEAR, top - CLEAR)), tables, notes)


def _title(order: PartOrder, scale: str) -> Title:
    units = "mm" if order.units == "mm" else "mm [inch]"
    part, projection = order.part, order.style.projection
    return Title(
        owner=order.owner,
        number=part.number,
        name=part.name,
        document="Part drawing",
        issued=order.issued,
        scale=scale,
        units=units,
        projection=projection,
        revision=order.revision,
    )


def _arranged(order: PartOrder, area: Patch) -> _Arrangement:
    """The most legible scales that fit; a part too large even for the smallest runs out of its area."""
    found = _fitting(order, area)
    if found:
        return found[0]
    smallest = SCALES[-1]
    return _Arrangement(area.low, smallest, area.low if order.views else None, smallest)


def _fitting(order: PartOrder, area: Patch) -> list[_Arrangement]:
    """Every arrangement that fits, the most legible first."""
    found = [a for scale in SCALES for a in _with_folded(order, area, scale)]
    return sorted(found, key=lambda a: (-_legibility(a), -a.flat_scale, -a.folded_scale))


def _legibility(arranged: _Arrangement) -> float:
    """The flat may be twice as large as the folded views before they count as the smaller ones."""
    return min(arranged.flat_scale, 2 * arranged.folded_scale or arranged.flat_scale)


def _flat_size(order: PartOrder, scale: float, room: Vec2) -> Vec2:
    covered = plan_flat(_request(order), Window((0.0, 0.0), scale), room).covered
    return (covered.high[0] - covered.low[0], covered.high[1] - covered.low[1] + CAPTION)


def _request(order: PartOrder) -> FlatRequest:
    return FlatRequest(order.flat, order.units, order.tabled)


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
        width, height = Folded(order.views, sizes, smaller, order.units, order.style.projection).size
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
    yield from draw_flat(view)
    yield from draw_flat_labels(view, free)
    if arranged.folded_at:
        x, y = arranged.folded_at
        yield _caption("Folded", arranged.folded_scale, (x, y))
        scale, projection = arranged.folded_scale, order.style.projection
        group = Folded(order.views, view_sizes(order.views), scale, order.units, projection)
        yield from draw_folded(group, (x, y + CAPTION))


def _placed_flat(order: PartOrder, arranged: _Arrangement, corner: Vec2, room: Vec2) -> FlatView:
    """The flat with the upper left corner of all it covers at `corner`."""
    scale = arranged.flat_scale
    low = plan_flat(_request(order), Window((0.0, 0.0), scale), room).covered.low
    window = Window((corner[0] - low[0], corner[1] - low[1]), scale)
    return plan_flat(_request(order), window, room)


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


def draw_notes(name: str, notes: Sequence[str], patch: Patch) -> Iterator[str]:
    """Numbered notes under a name, in two columns from the upper left corner of `patch`."""
    left, top = patch.low
    column_width, indent = _note_widths(patch.high[0] - left)
    yield words(Words(name, (left, top + SMALL), bold=True), "note")
    top += NOTE_LINE
    lines = [wrapped(note, SMALL, column_width - indent) for note in notes]
    half = sum(len(texts) for texts in lines) / 2
    column, row = 0, 0
    for i, texts in enumerate(lines, 1):
        if column == 0 and row >= half:
            column, row = 1, 0
        x = left + column * (column_width + CLEAR)
        yield words(Words(f"{i}.", (x, top + SMALL + row * NOTE_LINE)), "note")
        for text in texts:
            yield words(Words(text, (x + indent, top + SMALL + row * NOTE_LINE)), "note")
            row += 1


def _note_widths(width: float) -> tuple[float, float]:
    """mm of a column of notes, and of the number before each."""
    return (width - CLEAR) / 2, text_width("00. ", SMALL)


def notes_height(notes: Sequence[str], width: float) -> float:
    """mm of paper that notes with their name take, two columns in `width`."""
    column_width, indent = _note_widths(width)
    counts = [len(wrapped(note, SMALL, column_width - indent)) for note in notes]
    first = 0
    for count in counts:
        if first >= sum(counts) / 2:
            break
        first += count
    return NOTE_LINE * (1 + max(first, sum(counts) - first))


def table_sheets(tables: Sequence[Table], paper: Paper, title: Title) -> list[SheetBody]:
    """Sheets of nothing but tables, in columns."""
    height = paper.above_block - paper.space.low[1] - CLEAR
    return list(_columns_on_sheets(stacked(tables, height), paper, title))


def _columns_on_sheets(columns: Sequence[Sequence[Table]], paper: Paper, title: Title) -> Iterator[SheetBody]:
    """As many columns on each sheet as fit side by side."""
    waiting = list(columns)
    low, end = paper.space.low, paper.space.high[0] - CLEAR
    while waiting:
        x = low[0] + CLEAR
        marks: list[str] = []
        while waiting:
            width = max(table.width for table in waiting[0])
            if marks and x + width > end:
                break
            marks.extend(draw_column(waiting.pop(0), (x, low[1] + CLEAR)))
            x += width + 2 * CLEAR
        yield SheetBody(paper, title, tuple(marks))
