"""The drawing of a sheet part: flat pattern, sections, folded views, tables, notes and title block.

Everything a fabricator needs is on it. A part that is legible on the small sheet with all its tables gets
that one, else the large one; where that would make its views too small, cutting and bending get a sheet
each. Tables that do not fit go on further sheets.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from mountgen.geometry import Vec2
from mountgen.package.drawing_arrangement import (
    Arrangement,
    Shown,
    best_arrangement,
    smallest_arrangement,
)
from mountgen.package.drawing_flat import draw_flat
from mountgen.package.drawing_flat_labels import draw_flat_labels
from mountgen.package.drawing_folded import draw_folded
from mountgen.package.drawing_frame import Title, draw_sheet, heading
from mountgen.package.drawing_labels import Patch
from mountgen.package.drawing_notes import (
    PartOrder,
    apart_notes,
    cut_notes,
    cut_tables,
    fold_notes,
    fold_tables,
    scale_text,
)
from mountgen.package.drawing_paper import BLOCK, CAPTION, CLEAR, Paper
from mountgen.package.drawing_section import sections
from mountgen.package.drawing_section_view import draw_section
from mountgen.package.drawing_tables import Table, draw_column, draw_table, shelved, stacked
from mountgen.package.svg import MEDIUM, SMALL, Words, words
from mountgen.package.svg_text import text_width, wrapped

NOTE_LINE = 4.2


@dataclass(frozen=True)
class SheetBody:
    """The marks of one sheet without frame and title block."""

    paper: Paper
    title: Title
    marks: tuple[str, ...]


@dataclass(frozen=True)
class _Plan:
    """What stands where on a sheet: views, placed tables, notes, and the columns of tables that are left."""

    paper: Paper
    views: Arrangement
    tables: tuple[tuple[Table, Vec2], ...]
    notes: Patch
    rest: tuple[list[Table], ...] = ()


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
    plans = _plans(order)
    tabled = frozenset(axis for plan in plans if (flat := plan.views.flat_view) for axis in flat.tabled)
    if tabled != order.tabled:
        return part_sheets(replace(order, tabled=tabled))
    return [body for plan in plans for body in _bodies(plan)]


def _bodies(plan: _Plan) -> Iterator[SheetBody]:
    shown = plan.views.shown
    marks = [
        *_views(plan.views),
        *(mark for table, at in plan.tables for mark in draw_table(table, at)),
        *draw_notes("Notes", _notes(shown), plan.notes),
    ]
    yield SheetBody(plan.paper, _title(shown, scale_text(plan.views.main_scale)), tuple(marks))
    yield from _columns_on_sheets(plan.rest, shown.order.style.large, _title(shown, "–"))


def _plans(order: PartOrder) -> list[_Plan]:
    """One sheet for everything; two, for cutting and for bending, when that shows more at full size."""
    found = tuple(sections(order.part))
    whole = _sheet(Shown(order, found))
    if not found or whole.views.scales.smallest >= 1.0:
        return [whole]
    apart = [_sheet(Shown(order, ())), _sheet(Shown(order, found, flat=False))]
    gained = min(1.0, *(plan.views.scales.smallest for plan in apart))
    return apart if gained > whole.views.scales.smallest else [whole]


def _sheet(shown: Shown) -> _Plan:
    """The small sheet where everything on it is legible, else the large one."""
    small = _below(shown)
    if small and small.views.scales.smallest >= 1.0:
        return small
    large = _among(shown) or _beside(shown)
    return small if small and small.views.scales.smallest >= large.views.scales.smallest else large


def _tables(shown: Shown) -> list[Table]:
    cut = cut_tables(shown.order) if shown.flat else []
    return [*cut, *(fold_tables(shown.order) if shown.folded else [])]


def _notes(shown: Shown) -> list[str]:
    own = cut_notes(shown.order) if shown.flat else apart_notes(shown.order)
    return [*own, *(fold_notes(shown.order) if shown.folded else [])]


def _views_area(paper: Paper, notes: Patch) -> Patch:
    """What a lying sheet leaves above its notes and its title block."""
    low, high = paper.space.low, paper.space.high
    bottom = min(paper.above_block, notes.low[1] - CLEAR)
    return Patch((low[0] + CLEAR, low[1] + CLEAR), (high[0] - CLEAR, bottom))


def _among(shown: Shown) -> _Plan | None:
    """A lying sheet with the tables where the views leave room, notes left of the title block; None when
    some table finds none."""
    paper, tables = shown.order.style.large, _tables(shown)
    notes = beside_block(paper, _notes(shown))
    area = _views_area(paper, notes)
    views = best_arrangement(shown, area, [(table.width, table.height) for table in tables])
    return _Plan(paper, views, tuple(zip(tables, views.tables, strict=True)), notes) if views else None


def _beside(shown: Shown) -> _Plan:
    """A lying sheet with the tables in a column right of the views, and on further sheets."""
    paper = shown.order.style.large
    notes = beside_block(paper, _notes(shown))
    area = _views_area(paper, notes)
    (left, top), (right, bottom) = area.low, area.high
    first, *rest = stacked(_tables(shown), paper.above_block - top)
    tables_x = right - max((table.width for table in first), default=0.0)
    placed, _ = shelved(first, 0.0)
    tables = tuple((table, (tables_x, top + y)) for table, (_, y) in placed)
    area = Patch((left, top), (tables_x - CLEAR, bottom))
    views = best_arrangement(shown, area) or smallest_arrangement(shown, area)
    return _Plan(paper, views, tables, notes, tuple(rest))


def beside_block(paper: Paper, notes: Sequence[str]) -> Patch:
    """The paper left of the title block, as high as the block or as the notes need."""
    low, high = paper.space.low, paper.space.high
    left, right = low[0] + CLEAR, high[0] - BLOCK[0] - CLEAR
    top = min(paper.block[1] - 2.5, high[1] - 1.0 - notes_height(notes, right - left))
    return Patch((left, top), (right, high[1]))


def _below(shown: Shown) -> _Plan | None:
    """An upright sheet: views, under them the tables in shelves, notes, the title block; None when that
    leaves no room for the views."""
    paper = shown.order.style.small
    low, high = paper.space.low, paper.space.high
    left, width = low[0] + CLEAR, high[0] - low[0] - 2 * CLEAR
    height = notes_height(_notes(shown), width)
    notes = Patch((left, paper.above_block - height), (high[0] - CLEAR, paper.above_block))
    placed, depth = shelved(_tables(shown), width)
    top = notes.low[1] - CLEAR - depth
    if top < low[1] + 4 * CAPTION or any(x + table.width > width for table, (x, _) in placed):
        return None
    tables = tuple((table, (left + x, top + y)) for table, (x, y) in placed)
    views = best_arrangement(shown, Patch((left, low[1] + CLEAR), (high[0] - CLEAR, top - CLEAR)))
    return _Plan(paper, views, tables, notes) if views else None


def _title(shown: Shown, scale: str) -> Title:
    order = shown.order
    is_half = bool(order.flat.bend_lines) and not (shown.flat and shown.folded)
    what = (", flat" if shown.flat else ", bending") if is_half else ""
    return Title(
        owner=order.owner,
        number=order.part.number,
        name=order.part.name,
        document=f"Part drawing{what}",
        issued=order.issued,
        scale=scale,
        units="mm" if order.units == "mm" else "mm [inch]",
        projection=order.style.projection,
        revision=order.revision,
    )


def _views(arranged: Arrangement) -> Iterator[str]:
    corners = iter(arranged.corners)
    if view := arranged.flat_view:
        name = "Flat pattern" if arranged.shown.order.flat.bend_lines else "Plate"
        yield _caption(name, arranged.scales.flat, next(corners))
        yield from draw_flat(view)
        yield from draw_flat_labels(view, arranged.flat_area)
    for plan in arranged.section_plans:
        letter = plan.section.letter
        yield _caption(f"{letter}–{letter}", arranged.scales.section, next(corners))
        yield from draw_section(plan)
    if folded := arranged.folded:
        yield _caption("Folded", arranged.scales.folded, next(corners))
        yield from draw_folded(*folded)


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
