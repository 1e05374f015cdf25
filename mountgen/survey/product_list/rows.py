"""Rows of cells, whatever file they come from.

A *cell* is the text that stood there, a number of a spreadsheet (which can be read in one way only), a
number that the spreadsheet shows with a unit, or something that is neither.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Shown:
    """A number whose format in the spreadsheet puts a unit behind it."""

    value: float
    unit: str


@dataclass(frozen=True)
class Unreadable:
    """A cell that holds neither text nor a number: a date, an error, a formula without its value."""

    text: str
    why: str


Cell = str | float | Shown | Unreadable
Row = tuple[int, Sequence[Cell]]
"""The line where the row begins (or the spreadsheet's row) and its cells."""


@dataclass(frozen=True)
class Block:
    """Some thousand rows: where each begins, and its cells."""

    lines: Sequence[int]
    cells: Sequence[Sequence[Cell]]


@dataclass(frozen=True)
class RowSource:
    """A file to be gone through once, from its first row, in blocks; only the last block may be short.

    In a text file each row has as many cells as the header (not `ragged`); a spreadsheet leaves empty
    cells out. `unit` is what is counted: 'line' or 'row'.
    """

    where: str
    unit: str
    blocks: Iterator[Block]
    ragged: bool
    notes: tuple[str, ...]


def shown(cell: Cell) -> str:
    """A cell as text."""
    if isinstance(cell, str):
        return cell
    if isinstance(cell, Shown):
        return f"{cell.value:g} {cell.unit}"
    if isinstance(cell, Unreadable):
        return cell.text
    return str(int(cell)) if float(cell).is_integer() else repr(cell)


def is_blank(cells: Sequence[Cell]) -> bool:
    """Nothing but spaces in any cell."""
    return not any(not isinstance(cell, str) or cell.strip() for cell in cells)
