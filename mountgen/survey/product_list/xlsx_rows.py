"""Rows of a spreadsheet, each with its row number.

Read are the values that the spreadsheet showed last; formulas are never worked out. A cell whose format
puts a unit behind its number is read with that unit; a date, an error, or a formula that was never worked
out is none of a number and refused where a number is needed.
"""

from __future__ import annotations

import datetime
import re
import warnings
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from itertools import islice, repeat
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import ParseError

import openpyxl

from mountgen.errors import Fault, SurveyError
from mountgen.survey.product_list.fields import unit_word
from mountgen.survey.product_list.records import ListOptions
from mountgen.survey.product_list.rows import Block, Cell, RowSource, Shown, Unreadable
from mountgen.survey.product_list.xlsx_gate import look_over
from mountgen.units import quoted

BLOCK = 1_024
MOST_ROWS = 1_048_576
"""Rows of a sheet, ECMA-376 (from memory)."""
_BROKEN = (
    zipfile.BadZipFile,
    zlib.error,
    ParseError,
    EOFError,
    LookupError,
    ValueError,
    TypeError,
    AttributeError,
    AssertionError,
    ArithmeticError,
    NotImplementedError,
)
"""What openpyxl raises on damaged files, besides errors of the file system."""
_WORDS_OF_FORMAT = re.compile(r'"([^"]*)"|\\(.)|\[\$([^\]-]*)[^\]]*\]')
_DATES = (datetime.datetime, datetime.date, datetime.time, datetime.timedelta)


def sheet_rows(path: Path, options: ListOptions) -> RowSource:
    """The rows of the one visible sheet that holds anything, or of the sheet that is named.

    Raises SurveyError, also while the rows are gone through.
    """
    for name in ("delimiter", "encoding"):
        if getattr(options, name) is not None:
            raise _error(
                str(path), f"'{name}' is given for a spreadsheet", "a text file", f"leave '{name}' out"
            )
    contents = look_over(path)
    with _workbook(path, data_only=True) as book, _quiet():
        sheet, others = _chosen_sheet(path, book, options.sheet)
    notes = [f"sheet '{sheet}'" + (f"; left out: {', '.join(others)}" if others else "")]
    if contents.formulas:
        notes.append("formulas: the values that the spreadsheet worked out last")
    if contents.hidden_rows:
        notes.append(f"{contents.hidden_rows} hidden rows in the workbook; hidden rows count like others")
    blocks = _blocks(path, sheet, formulas=contents.formulas)
    return RowSource(str(path), "row", blocks, ragged=True, notes=tuple(notes))


@contextmanager
def _workbook(path: Path, *, data_only: bool) -> Iterator[Any]:
    """An open workbook; whatever goes wrong with it while it is open is the file's fault."""
    try:
        with path.open("rb") as file:  # openpyxl leaves a file open that it cannot read
            with _quiet():
                opened = openpyxl.load_workbook(file, read_only=True, data_only=data_only, keep_links=False)
            with closing(opened) as book:
                yield book
    except _BROKEN as error:
        found = f"the spreadsheet is damaged ({type(error).__name__}: {error})"
    else:
        return
    raise _error(str(path), quoted(found).strip("'"), "an .xlsx file", "save the list again, or as CSV")


@contextmanager
def _quiet() -> Iterator[None]:
    """openpyxl warns of formats and extensions that it drops; none of them concerns values."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def _chosen_sheet(path: Path, book: Any, wanted: str | None) -> tuple[str, list[str]]:  # noqa: ANN401
    """The sheet's name, and those of the others."""
    names = [sheet.title for sheet in book.worksheets]
    if wanted is not None:
        if wanted not in names:
            listed = ", ".join(quoted(name) for name in names)
            raise _error(str(path), f"no sheet {quoted(wanted)}", f"one of {listed}", "name one of them")
        return wanted, [name for name in names if name != wanted]
    filled = [sheet.title for sheet in book.worksheets if sheet.sheet_state == "visible" and _holds(sheet)]
    if len(filled) == 1:
        return filled[0], [name for name in names if name != filled[0]]
    if not filled:
        raise _error(str(path), "no visible sheet holds anything", "a sheet with a list", "check the file")
    listed = ", ".join(quoted(name) for name in filled)
    raise _error(str(path), f"several sheets: {listed}", "one sheet", "say which by 'sheet'")


def _holds(sheet: Any) -> bool:  # noqa: ANN401
    sheet.reset_dimensions()
    return any(cell is not None for row in sheet.iter_rows(values_only=True) for cell in row)


def _blocks(path: Path, sheet: str, *, formulas: bool) -> Iterator[Block]:
    with _workbook(path, data_only=True) as book:
        if formulas:
            with _workbook(path, data_only=False) as unsolved:
                yield from _numbered(path, book[sheet], unsolved[sheet])
        else:
            yield from _numbered(path, book[sheet], None)


def _numbered(path: Path, sheet: Any, unsolved: Any) -> Iterator[Block]:  # noqa: ANN401
    sheet.reset_dimensions()
    if unsolved is not None:
        unsolved.reset_dimensions()
    beside: Iterator[Sequence[Any]] = repeat(()) if unsolved is None else unsolved.iter_rows()
    pairs = zip(sheet.iter_rows(), beside, strict=False)
    units: dict[int, str] = {}
    done = 0
    while done <= MOST_ROWS:
        with _quiet():
            rows = [_row(cells, written, units) for cells, written in islice(pairs, BLOCK)]
        if not rows:
            return
        yield Block(range(done + 1, done + 1 + len(rows)), rows)
        done += len(rows)
    raise _error(str(path), f"more than {MOST_ROWS} rows", "a sheet of the usual size", "check the file")


def _row(cells: Sequence[Any], written: Sequence[Any], units: dict[int, str]) -> list[Cell]:
    row = [_cell(cell, units) for cell in cells]
    for at, formula in enumerate(written):
        if formula.data_type == "f" and row[at] == "":
            row[at] = Unreadable(str(formula.value), "a formula whose value was never worked out")
    while row and row[-1] == "":
        row.pop()
    return row


def _cell(cell: Any, units: dict[int, str]) -> Cell:  # noqa: ANN401
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return Unreadable(str(value).upper(), "a truth value")
    if isinstance(value, int | float):
        return _number(float(value), cell, units)
    if isinstance(value, _DATES):
        return Unreadable(str(value), "a date or time; spreadsheets turn texts such as 3-5 into dates")
    if cell.data_type == "e":
        return Unreadable(str(value), "an error of the spreadsheet")
    return str(value)


def _number(value: float, cell: Any, units: dict[int, str]) -> Cell:  # noqa: ANN401
    style = cell._style_id
    if style not in units:
        units[style] = _unit_of_format(cell.number_format)
    unit = units[style]
    if not unit:
        return value
    if unit == "%":
        return Unreadable(f"{value:%}", "a percentage")
    return Shown(value, unit)


def _unit_of_format(number_format: str) -> str:
    """The unit that a number's format puts behind it, '%' for a percentage, '' for neither."""
    positive = number_format.split(";", maxsplit=1)[0]
    words = "".join("".join(groups) for groups in _WORDS_OF_FORMAT.findall(positive))
    if "%" in _WORDS_OF_FORMAT.sub("", positive):
        return "%"
    return unit_word(words, "length") or unit_word(words, "mass") or ""


def _error(where: str, found: str, expected: str, action: str) -> SurveyError:
    return SurveyError([Fault(where, found, expected, action)])
