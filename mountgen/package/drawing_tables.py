"""Tables on a drawing: as wide as their texts, split where a column of the sheet is full."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from mountgen.geometry import Vec2
from mountgen.package.drawing_labels import Patch
from mountgen.package.svg import NARROW, SMALL, VISIBLE, Words, box, line, words
from mountgen.package.svg_text import text_width

ROW = 4.8
"""mm; height of a row."""
PADDING = 1.2
TITLE = 5.5
BETWEEN = 4.0


@dataclass(frozen=True)
class Table:
    """A title, the column heads and the rows; every row has as many cells as there are heads."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    @property
    def widths(self) -> list[float]:
        """Width of each column, mm."""
        wide = [text_width(head, SMALL, bold=True) for head in self.heads]
        for row in self.rows:
            wide = [max(w, text_width(cell, SMALL)) for w, cell in zip(wide, row, strict=True)]
        return [w + 2 * PADDING for w in wide]

    @property
    def width(self) -> float:
        return max(sum(self.widths), text_width(self.title, SMALL, bold=True))

    @property
    def height(self) -> float:
        return TITLE + ROW * (1 + len(self.rows))


def table_patch(table: Table, at: Vec2) -> Patch:
    """The paper that a table covers from its upper left corner."""
    return Patch(at, (at[0] + table.width, at[1] + table.height))


def stacked(tables: Sequence[Table], height: float) -> list[list[Table]]:
    """Tables in columns of at most `height` mm; one that does not fit is continued in the next."""
    columns: list[list[Table]] = [[]]
    room = height
    for table in tables:
        rest: Table | None = table
        while rest:
            fitting = int((room - TITLE - ROW) // ROW)
            if fitting < min(3, len(rest.rows)) and columns[-1]:
                columns.append([])
                room = height
                continue
            part, rest = _cut(rest, max(fitting, 1))
            columns[-1].append(part)
            room -= part.height + BETWEEN
    return columns


def shelved(tables: Sequence[Table], width: float) -> tuple[list[tuple[Table, Vec2]], float]:
    """Tables side by side in shelves of at most `width` mm: each with its upper left corner from that of the
    first shelf, and the height of all shelves."""
    placed: list[tuple[Table, Vec2]] = []
    x, y, tallest = 0.0, 0.0, 0.0
    for table in tables:
        if x and x + table.width > width:
            x, y, tallest = 0.0, y + tallest + BETWEEN, 0.0
        placed.append((table, (x, y)))
        x += table.width + BETWEEN
        tallest = max(tallest, table.height)
    return placed, y + tallest


def _cut(table: Table, count: int) -> tuple[Table, Table | None]:
    if len(table.rows) <= count:
        return table, None
    title = table.title.removesuffix(" (continued)") + " (continued)"
    return replace(table, rows=table.rows[:count]), replace(table, title=title, rows=table.rows[count:])


def draw_column(tables: Sequence[Table], at: Vec2) -> Iterator[str]:
    """Tables below each other, from their upper left corner."""
    x, y = at
    for table in tables:
        yield from draw_table(table, (x, y))
        y += table.height + BETWEEN


def draw_table(table: Table, at: Vec2) -> Iterator[str]:
    x, y = at
    yield words(Words(table.title, (x, y + SMALL + 0.8), bold=True), "table-title")
    top, widths = y + TITLE, table.widths
    height, width = ROW * (1 + len(table.rows)), sum(widths)
    yield box((x, top), (width, height), VISIBLE, "cells")
    for i in range(1, len(table.rows) + 1):
        yield line((x, top + i * ROW), (x + width, top + i * ROW), VISIBLE if i == 1 else NARROW)
    edge = x
    for i, column in enumerate(widths):
        if i:
            yield line((edge, top), (edge, top + height))
        for k, row in enumerate((table.heads, *table.rows)):
            at_cell = (edge + PADDING, top + k * ROW + (ROW + SMALL) / 2)
            yield words(Words(row[i], at_cell, bold=k == 0), "head" if k == 0 else "cell")
        edge += column
