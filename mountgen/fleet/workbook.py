"""The fleet's summary as a workbook. Text goes in as text; its dates are fixed: same fleet, same bytes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from io import BytesIO

import xlsxwriter
from xlsxwriter.workbook import Workbook

from mountgen.fleet.page import amounts, made_of, reasons
from mountgen.fleet.plan import FleetSummary

CREATED = datetime(1980, 1, 1)
LONGEST_CELL = 2_000
"""Letters of one cell that people still read."""
Cell = str | int | float


def workbook(summary: FleetSummary) -> bytes:
    """Four sheets: lines, what binds, parts with the lines that share them, stock."""
    stream = BytesIO()
    book = xlsxwriter.Workbook(stream, {"in_memory": True})
    book.set_properties({"title": "Fleet", "created": CREATED})
    lines = [(o.label, o.name, o.state, o.package, "; ".join(reasons(o))) for o in summary.outcomes]
    _sheet(book, "Lines", ("Survey", "Name", "Verdict", "Package", "What binds"), lines)
    _sheet(book, "What binds", ("Check", "Lines it fails", "Lines it is tight on"), summary.binding)
    parts = [
        (part.name, made_of(part), part.quantity, len(part.lines), label, number, count, part.digest)
        for part in summary.parts
        for label, number, count in part.lines
    ]
    heads = ("Part", "Of", "Pieces in all", "Lines", "Survey", "Number there", "Pieces there", "Digest")
    _sheet(book, "Parts", heads, parts)
    stock = [
        (need.stock, need.pieces, need.count, *amounts(need), round(need.share_used, 4), need.lacks)
        for need in summary.stock
    ]
    _sheet(book, "Stock", ("Stock", "Pieces", "Sheets or bars", "Amount", "Least", "Yield", "Lacks"), stock)
    book.close()
    return stream.getvalue()


def _sheet(book: Workbook, title: str, heads: Sequence[str], rows: Iterable[Sequence[Cell]]) -> None:
    sheet, bold = book.add_worksheet(title), book.add_format({"bold": True, "bottom": 1})
    widths = [len(head) for head in heads]
    for column, head in enumerate(heads):
        sheet.write_string(0, column, head, bold)
    for row, cells in enumerate(rows, 1):
        for column, cell in enumerate(cells):
            if isinstance(cell, str):
                sheet.write_string(row, column, cell[:LONGEST_CELL])
                widths[column] = max(widths[column], min(len(cell), 60))
            else:
                sheet.write_number(row, column, cell)
    for column, width in enumerate(widths):
        sheet.set_column(column, column, width + 2)
    sheet.freeze_panes(1, 0)
