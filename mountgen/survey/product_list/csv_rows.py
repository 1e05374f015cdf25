"""Rows of a delimited text file, each with the line where it begins."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from contextlib import suppress
from itertools import accumulate, islice
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from mountgen.errors import Fault, SurveyError
from mountgen.survey.product_list.encodings import MOST_BYTES, text_encoding
from mountgen.survey.product_list.headers import ROWS_ABOVE, header_score
from mountgen.survey.product_list.records import ListOptions
from mountgen.survey.product_list.rows import Block, Row, RowSource
from mountgen.units import quoted

if TYPE_CHECKING:
    from _csv import Reader

BLOCK = 16_384
_LINE_END = re.compile(r"\r\n|\r|\n")
DELIMITERS = (";", ",", "\t", "|")
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
    return RowSource(str(path), "line", _blocks(path, encoding, delimiter), ragged=False, notes=(note,))


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
    with path.open(encoding=encoding, newline="") as file, suppress(csv.Error):
        # a wrong delimiter tears quoted cells apart; what stands above them may still be the header
        for cells in islice(_reader(file, delimiter), ROWS_ABOVE + 1):
            rows.append((len(rows) + 1, cells))
    return header_score(rows, options.columns)


def _commonest(path: Path, encoding: str) -> str:
    """The candidate that the first lines hold most of: for the words of an error only."""
    with path.open(encoding=encoding, newline="") as file:
        start = file.read(2_000)
    return max(DELIMITERS, key=start.count)


def _blocks(path: Path, encoding: str, delimiter: str) -> Iterator[Block]:
    with path.open(encoding=encoding, newline="") as file:
        reader = _reader(file, delimiter)
        done = 0
        try:
            while rows := list(islice(reader, BLOCK)):
                yield Block(_lines(rows, done + 1, reader.line_num - done), rows)
                done = reader.line_num
            return
        except csv.Error as error:
            found = f"a row cannot be divided into cells: {error}"
    where = f"{path}:{_line_of_error(path, encoding, delimiter)}"
    expected = "quotes around a whole cell, doubled inside it"
    raise _error(where, found, expected, "mend the quotes in the row that begins there")


def _lines(rows: Sequence[Sequence[str]], first: int, count: int) -> Sequence[int]:
    """Where each row begins; a quoted cell may run over several lines."""
    if count == len(rows):
        return range(first, first + count)
    lengths = [1 + sum(len(_LINE_END.findall(cell)) for cell in cells) for cells in rows]
    return list(accumulate(lengths[:-1], initial=first))


def _line_of_error(path: Path, encoding: str, delimiter: str) -> int:
    """Where the row begins that cannot be divided."""
    line = 1
    with path.open(encoding=encoding, newline="") as file, suppress(csv.Error):
        reader = _reader(file, delimiter)
        for _ in reader:
            line = reader.line_num + 1
    return line


def _reader(file: TextIO, delimiter: str) -> Reader:
    return csv.reader(file, delimiter=delimiter, strict=True, skipinitialspace=True)


def _error(where: str, found: str, expected: str, action: str) -> SurveyError:
    return SurveyError([Fault(where, found, expected, action)])
