"""Rows of a delimited text file, each with the line where it begins."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from contextlib import suppress
from functools import partial
from itertools import islice
from pathlib import Path
from typing import TextIO

from mountgen.errors import Fault, SurveyError
from mountgen.survey.product_list.encodings import MOST_BYTES, text_encoding
from mountgen.survey.product_list.headers import ROWS_ABOVE, header_score
from mountgen.survey.product_list.records import ListOptions
from mountgen.survey.product_list.rows import Row, RowSource
from mountgen.units import quoted

DELIMITERS = (";", ",", "\t", "|")
LONGEST_LINE = 1_000_000
_NO_DELIMITER = frozenset("\"'\r\n\0.+-_ ")


def text_rows(path: Path, options: ListOptions) -> RowSource:
    """The rows of a text file; encoding and delimiter are found where they are not given.

    Raises SurveyError, also while the rows are gone through.
    """
    if path.stat().st_size > MOST_BYTES:
        raise _error(
            str(path), f"the file has {path.stat().st_size} bytes", f"at most {MOST_BYTES}", "split it"
        )
    if options.sheet is not None:
        raise _error(
            str(path), "a sheet is named for a text file", "a spreadsheet (.xlsx)", "leave 'sheet' out"
        )
    encoding = text_encoding(path, options.encoding)
    delimiter = _delimiter(path, encoding, options)
    name = {"\t": "tab"}.get(delimiter, f"'{delimiter}'")
    note = f"read as {encoding.removesuffix('-sig').upper()}, cells divided by {name}"
    rows = partial(_rows, path, encoding, delimiter)
    return RowSource(str(path), "line", rows, ragged=False, notes=(note,))


def _delimiter(path: Path, encoding: str, options: ListOptions) -> str:
    """The one given, or the one that finds the header with most known fields."""
    given = options.delimiter
    if given is not None:
        if len(given) != 1 or given in _NO_DELIMITER or given.isalnum():
            expected = "one character such as ';', ',', '|' or a tab"
            raise _error(str(path), f"delimiter {quoted(given)}", expected, "write one of them")
        return given
    scores = {mark: _score(path, encoding, mark, options) for mark in DELIMITERS}
    best = max(scores.values())
    winners = [mark for mark in DELIMITERS if scores[mark] == best]
    if best and len(winners) > 1:
        found = f"the header can be divided at {' and at '.join(quoted(mark) for mark in winners)}"
        raise _error(str(path), found, "one delimiter", "say which by 'delimiter'")
    return winners[0] if best else _commonest(path, encoding)


def _score(path: Path, encoding: str, delimiter: str, options: ListOptions) -> int:
    rows: list[Row] = []
    with suppress(csv.Error):  # a wrong delimiter tears quoted cells apart, maybe below the header
        rows.extend(islice(_csv(path, encoding, delimiter), ROWS_ABOVE + 1))
    return header_score(rows, options.columns)


def _commonest(path: Path, encoding: str) -> str:
    """The candidate that the first lines hold most of: for the words of an error only."""
    with path.open(encoding=encoding, newline="") as file:
        start = file.read(2_000)
    return max(DELIMITERS, key=start.count)


def _rows(path: Path, encoding: str, delimiter: str) -> Iterator[Row]:
    try:
        yield from _csv(path, encoding, delimiter)
    except csv.Error as error:
        found = f"a row cannot be divided into cells: {error}"
        where = f"{path}:{_line_of_error(path, encoding, delimiter)}"
    else:
        return
    expected = "quotes around a whole cell, doubled inside it"
    raise _error(where, found, expected, "mend the quotes in the row that begins there")


def _line_of_error(path: Path, encoding: str, delimiter: str) -> int:
    """Where the row begins that cannot be divided."""
    line = 1
    with path.open(encoding=encoding, newline="") as file:
        reader = _reader(path, file, delimiter)
        try:
            for _ in reader:
                line = reader.line_num + 1
        except csv.Error:
            return line
    return line


def _csv(path: Path, encoding: str, delimiter: str) -> Iterator[Row]:
    with path.open(encoding=encoding, newline="") as file:
        reader = _reader(path, file, delimiter)
        begins = 1
        for cells in reader:
            yield begins, cells
            begins = reader.line_num + 1


def _reader(path: Path, file: TextIO, delimiter: str) -> csv._reader:  # type: ignore[name-defined]
    return csv.reader(_lines(path, file), delimiter=delimiter, strict=True, skipinitialspace=True)


def _lines(path: Path, file: TextIO) -> Iterator[str]:
    """Lines, none so long that it fills the memory."""
    for number, line in enumerate(iter(partial(file.readline, LONGEST_LINE), ""), 1):
        if len(line) >= LONGEST_LINE:
            found = f"a line of {LONGEST_LINE} characters or more"
            raise _error(f"{path}:{number}", found, "one line a product", "check the file's line ends")
        yield line


def _error(where: str, found: str, expected: str, action: str) -> SurveyError:
    return SurveyError([Fault(where, found, expected, action)])
