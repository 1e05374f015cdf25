"""Goes through the rows of a list once and turns them, block by block, into columns."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from mountgen.errors import Fault, SurveyError
from mountgen.survey.product_list.cells import NO_VALUE, NumberReader, Numbers, joined
from mountgen.survey.product_list.fields import QUANTITIES
from mountgen.survey.product_list.headers import Column, Header
from mountgen.survey.product_list.records import Refusal
from mountgen.survey.product_list.rows import (
    Block,
    Cell,
    RowSource,
    Unreadable,
    is_blank,
    shown,
)
from mountgen.units import quoted

LONGEST_NAME = 80
_SCIENTIFIC = re.compile(r"^[0-9](?:[.,][0-9]+)?[eE]\+?[0-9]{1,2}$", re.MULTILINE)
_EXACT_INTEGERS = 10**15
"""Spreadsheets keep 15 digits of a number."""


@dataclass(frozen=True)
class Columns:
    """A list by columns: line, name and cells of each row that has as many cells as the header; rows that
    do not are refused already. `complaints` and `doubts` concern names."""

    lines: NDArray[np.int64]
    names: list[str]
    numbers: Mapping[str, Numbers]
    choices: Mapping[str, list[str]]
    complaints: Mapping[int, str]
    doubts: Mapping[int, str]
    refused: tuple[Refusal, ...]
    rows_empty: int


@dataclass
class _Gathered:
    """What the blocks gave so far."""

    lines: list[NDArray[np.int64]] = field(default_factory=list)
    names: list[str] = field(default_factory=list)
    numbers: dict[str, list[Numbers]] = field(default_factory=dict)
    choices: dict[str, list[str]] = field(default_factory=dict)
    complaints: dict[int, str] = field(default_factory=dict)
    doubts: dict[int, str] = field(default_factory=dict)
    refused: list[Refusal] = field(default_factory=list)
    rows_empty: int = 0


def read_columns(source: RowSource, blocks: Iterable[Block], header: Header) -> Columns:
    """Every row below the header, which stands in the first block.

    Raises SurveyError when there is none.
    """
    readers = {
        column.field.name: NumberReader(column.field, column.unit)
        for column in header.columns
        if column.field.kind in QUANTITIES
    }
    gathered = _Gathered()
    skipped = header.rows_taken
    for block in blocks:
        below = Block(block.lines[skipped:], block.cells[skipped:])
        skipped = 0
        _take(_fitting(below, header, source, gathered), header.columns, readers, gathered)
    if not gathered.names and not gathered.refused:
        where = f"{source.where}:{header.line}"
        raise _error(where, "no rows below the header", "a row for each product", "export the list again")
    return _columns(gathered, readers)


def _columns(gathered: _Gathered, readers: Mapping[str, NumberReader]) -> Columns:
    nothing = np.zeros(0, np.int64)
    return Columns(
        lines=np.concatenate([nothing, *gathered.lines]),
        names=gathered.names,
        numbers={name: joined(gathered.numbers.pop(name, [])) for name in readers},
        choices=gathered.choices,
        complaints=gathered.complaints,
        doubts=gathered.doubts,
        refused=tuple(gathered.refused),
        rows_empty=gathered.rows_empty,
    )


def _fitting(block: Block, header: Header, source: RowSource, gathered: _Gathered) -> Block:
    """The rows of a block that have as many cells as the header and are not empty."""
    blank = {
        at
        for at, cells in enumerate(block.cells)
        if (not cells or not cells[0] or (isinstance(cells[0], str) and cells[0].isspace()))
        and is_blank(cells)
    }
    gathered.rows_empty += len(blank)
    if not blank and set(map(len, block.cells)) == {header.width}:
        return block
    lines, fitting = [], []
    for at, (line, cells) in enumerate(zip(block.lines, block.cells, strict=True)):
        if at in blank:
            continue
        cut = _cut(cells, header.width, ragged=source.ragged)
        if cut is None:
            gathered.refused.append(_wrong_width(line, cells, header.width))
        else:
            lines.append(line)
            fitting.append(cut)
    return Block(lines, fitting)


def _cut(cells: Sequence[Cell], width: int, *, ragged: bool) -> Sequence[Cell] | None:
    """The row in the header's width; None when cells are missing or too many hold something."""
    if len(cells) >= width:
        return cells[:width] if ragged or is_blank(cells[width:]) else None
    return [*cells, *[""] * (width - len(cells))] if ragged else None


def _wrong_width(line: int, cells: Sequence[Cell], width: int) -> Refusal:
    reason = f"{len(cells)} cells where the header has {width}"
    if len(cells) > width:
        reason += "; a cell that holds the delimiter must stand in quotes"
    return Refusal(line, reason, quoted(" | ".join(shown(cell) for cell in cells[:20])))


def _take(
    block: Block,
    columns: Sequence[Column],
    readers: Mapping[str, NumberReader],
    gathered: _Gathered,
) -> None:
    if not block.lines:
        return
    gathered.lines.append(np.array(block.lines, np.int64))
    for column in columns:
        cells = [row[column.at] for row in block.cells]
        name = column.field.name
        if name in readers:
            gathered.numbers.setdefault(name, []).append(readers[name].read(cells))
        elif column.field.kind == "name":
            _take_names(cells, gathered)
        else:
            gathered.choices.setdefault(name, []).extend(_choice(cell) for cell in cells)


def _choice(cell: Cell) -> str:
    text = shown(cell).strip()
    return "" if text in NO_VALUE else text


def _take_names(cells: Sequence[Cell], gathered: _Gathered) -> None:
    start = len(gathered.names)
    names = [" ".join((cell if isinstance(cell, str) else shown(cell)).split()) for cell in cells]
    gathered.names += names
    if not (all(names) and "".join(names).isprintable() and max(map(len, names)) <= LONGEST_NAME):
        gathered.complaints.update(
            (start + at, reason) for at, name in enumerate(names) if (reason := _bad_name(name))
        )
    if not set(map(type, cells)) <= {str}:
        _judge_spreadsheet_names(cells, start, gathered)
    if _SCIENTIFIC.search("\n".join(names)):
        doubt = "its name looks like a number that a spreadsheet has shortened"
        gathered.doubts.update(
            (start + at, doubt) for at, name in enumerate(names) if _SCIENTIFIC.search(name)
        )


def _bad_name(name: str) -> str | None:
    if not name:
        return "no name"
    if len(name) > LONGEST_NAME:
        return f"a name of {len(name)} characters, more than {LONGEST_NAME}"
    return None if name.isprintable() else f"a name with unprintable characters, {quoted(name)}"


def _judge_spreadsheet_names(cells: Sequence[Cell], start: int, gathered: _Gathered) -> None:
    for at, cell in enumerate(cells):
        if isinstance(cell, Unreadable):
            gathered.complaints[start + at] = f"the name is {quoted(cell.text)}, {cell.why}"
        elif isinstance(cell, float) and abs(cell) >= _EXACT_INTEGERS:
            gathered.doubts[start + at] = "its name is a number of more digits than a spreadsheet keeps"


def _error(where: str, found: str, expected: str, action: str) -> SurveyError:
    return SurveyError([Fault(where, found, expected, action)])
