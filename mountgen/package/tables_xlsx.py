"""The fabricator's tables as a workbook: numbers as numbers, heads that stay in sight, ready to print.

Text goes in as text, whatever it begins with; nothing in the workbook is a formula. Its dates are fixed, so
that the same tables give the same bytes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from pathlib import Path

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.workbook import Workbook
from xlsxwriter.worksheet import Worksheet

from mountgen.package.tables import DECIMALS, Column, Kind, Page, Table, Value, issue_line
from mountgen.survey.records import Survey
from mountgen.units import System

CREATED = datetime(1980, 1, 1)
"""Fixed: the earliest day that the archive around a workbook can tell."""
A4, LETTER = 9, 1
"""Numbers of papers in a workbook."""
TITLE_ROWS = 2
"""The page's title and the survey; then come the tables."""
MARGIN_LETTERS = 2
LEAST_WIDTH, MOST_WIDTH = 6, 44
"""Letters that a column is wide."""
WIDEST_HEAD = 8
"""Letters after which a head is wrapped."""
LINE = 15
"""Points of a line of text."""


@dataclass(frozen=True)
class _Formats:
    """How things are written: heads, cells and sums by the kind of their column."""

    title: Format
    note: Format
    heads: dict[Kind, Format]
    cells: dict[Kind, Format]
    sums: dict[Kind, Format]


def write_workbook(path: Path, pages: Sequence[Page], survey: Survey) -> None:
    """Writes the pages to `path`, one sheet each."""
    stream = BytesIO()
    workbook = xlsxwriter.Workbook(stream, {"in_memory": True})
    workbook.set_properties({"title": "Cut and drill", "created": CREATED})
    formats = _formats(workbook)
    for page in pages:
        sheet = workbook.add_worksheet(page.title)
        _write_page(sheet, page, survey, formats)
        _set_print(sheet, page, survey.units)
    workbook.close()
    path.write_bytes(stream.getvalue())


def _formats(workbook: Workbook) -> _Formats:
    kinds: dict[Kind, dict[str, object]] = {
        kind: {"num_format": f"0.{'0' * places}"} for kind, places in DECIMALS.items()
    }
    kinds |= {"count": {"num_format": "0"}, "text": {"align": "left", "indent": 1}}
    cell = {"valign": "top", "border": 1, "border_color": "#B0B0B0", "align": "right"}
    head = {"bold": True, "text_wrap": True, "bg_color": "#E4E4E4"}
    return _Formats(
        workbook.add_format({"bold": True, "font_size": 14}),
        workbook.add_format({"font_color": "#404040"}),
        {kind: workbook.add_format({**cell, **own, **head}) for kind, own in kinds.items()},
        {kind: workbook.add_format({**cell, **own}) for kind, own in kinds.items()},
        {kind: workbook.add_format({**cell, **own, "bold": True}) for kind, own in kinds.items()},
    )


def _write_page(sheet: Worksheet, page: Page, survey: Survey, formats: _Formats) -> None:
    sheet.write_string(0, 0, page.title, formats.title)
    sheet.write_string(1, 0, issue_line(survey), formats.note)
    row = TITLE_ROWS
    for table in page.tables:
        row = _write_table(sheet, row, table, formats) + 1
    for column, width in enumerate(_widths(page)):
        sheet.set_column(column, column, width)
    sheet.freeze_panes(_head_row(page) + 1, 0)


def _head_row(page: Page) -> int:
    """The row of the first table's heads; its notes stand above it."""
    return TITLE_ROWS + len(page.tables[0].notes)


def _write_table(sheet: Worksheet, row: int, table: Table, formats: _Formats) -> int:
    """Writes a table from a row on; returns the first row below it."""
    for note in table.notes:
        sheet.write_string(row, 0, note, formats.note)
        row += 1
    lines = max(_head_lines(column.head) for column in table.columns)
    sheet.set_row(row, LINE * lines)
    for place, column in enumerate(table.columns):
        sheet.write_string(row, place, column.head, formats.heads[column.kind])
    first_sum = len(table.rows) - table.sums
    for count, cells in enumerate(table.rows):
        row += 1
        written = formats.cells if count < first_sum else formats.sums
        for place, (value, column) in enumerate(zip(cells, table.columns, strict=True)):
            _write_cell(sheet, (row, place), value, written[column.kind])
    return row + 1


def _write_cell(sheet: Worksheet, at: tuple[int, int], value: Value, form: Format) -> None:
    if value is None or value == "":
        sheet.write_blank(*at, None, form)
    elif isinstance(value, str):
        sheet.write_string(*at, value, form)
    else:
        sheet.write_number(*at, value, form)


def _head_lines(head: str) -> int:
    return math.ceil(len(head) / WIDEST_HEAD)


def _widths(page: Page) -> Iterator[int]:
    """Letters that each column needs for its cells and for its heads, which may be wrapped."""
    for place in range(max(len(table.columns) for table in page.tables)):
        needed = [letters for table in page.tables for letters in _letters(table, place)]
        yield min(max(LEAST_WIDTH, *needed) + MARGIN_LETTERS, MOST_WIDTH)


def _letters(table: Table, place: int) -> Iterator[int]:
    if place < len(table.columns):
        column = table.columns[place]
        yield max(len(word) for word in column.head.split())
        yield min(len(column.head), WIDEST_HEAD)
        yield from (len(_as_shown(row[place], column)) for row in table.rows)


def _as_shown(value: Value, column: Column) -> str:
    if value is None or isinstance(value, str):
        return value or ""
    return f"{value:.{DECIMALS.get(column.kind, 0)}f}"


def _set_print(sheet: Worksheet, page: Page, units: System) -> None:
    """Lying, as wide as the paper, heads on every page."""
    sheet.set_landscape()
    sheet.set_paper(A4 if units == "mm" else LETTER)
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0, _head_row(page))
    sheet.set_margins(left=0.4, right=0.4, top=0.5, bottom=0.6)
    sheet.set_footer(f"&L{page.title}&RPage &P of &N")
