"""What a list of products is read with, and what comes out of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from mountgen.survey.product_list.table import ProductTable
from mountgen.units import System

DecimalMark = Literal[",", "."]


@dataclass(frozen=True)
class ListOptions:
    """What the user may say about a list. None leaves it to the file, or asks where the file is silent.

    `columns` gives headers by field, such as {"length": "Tiefe (mm)"}; `units` is the unit of bare numbers
    in columns that name none; `decimal` settles what 1,250 means; `sheet` names a sheet of a spreadsheet.
    """

    columns: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    units: System | None = None
    delimiter: str | None = None
    encoding: str | None = None
    sheet: str | None = None
    decimal: DecimalMark | None = None


@dataclass(frozen=True, slots=True)
class Refusal:
    """A row that was not read: the line where it begins (its row in a spreadsheet), why, and its name, or
    its cells when their number is wrong."""

    row_number: int
    reason: str
    text: str


@dataclass(frozen=True, slots=True)
class Doubt:
    """A row that was read though something about it looks odd; the fields are those of Refusal."""

    row_number: int
    reason: str
    text: str


@dataclass(frozen=True, eq=False)
class ProductList:
    """A list that was read. Every row of the file is accounted for.

    `rows_in_file` counts the rows below the header that are not wholly empty; it equals `rows_read` and
    the refused rows together. A row that repeats another one in every value is counted as read, but
    stands in `table` once: `rows_read` is the length of the table and `rows_repeated` together.
    """

    table: ProductTable
    rows_in_file: int
    rows_repeated: int
    rows_empty: int
    refused: tuple[Refusal, ...]
    doubtful: tuple[Doubt, ...]
    notes: tuple[str, ...]

    @property
    def rows_read(self) -> int:
        """Rows whose values stand in the table."""
        return len(self.table) + self.rows_repeated
