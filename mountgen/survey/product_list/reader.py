"""Reads a list of products: a CSV or XLSX file to a table, with every row accounted for.

The steps: rows (`csv_rows`, `xlsx_rows`), header (`headers`), columns (`layout`, `cells`), what they mean
(`settle`), what is wrong with them (`judge`), the table. A fault of the whole file is an error, a fault of
one row refuses that row and no other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import chain
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from mountgen.errors import Fault, SurveyError
from mountgen.survey.product_list.cells import BARE
from mountgen.survey.product_list.csv_rows import text_rows
from mountgen.survey.product_list.filling import Filled, fill
from mountgen.survey.product_list.headers import (
    ROWS_ABOVE,
    Header,
    find_header,
    refuse_unknown_fields,
    unit_faults,
)
from mountgen.survey.product_list.judge import (
    Findings,
    doubt_proportions,
    doubt_units,
    refuse_choices,
    refuse_codes,
    refuse_unreadable,
    repeated_rows,
)
from mountgen.survey.product_list.layout import Columns, read_columns
from mountgen.survey.product_list.records import Doubt, ListOptions, ProductList, Refusal
from mountgen.survey.product_list.rows import Block, RowSource
from mountgen.survey.product_list.settle import Settled, settle
from mountgen.survey.product_list.table import ProductTable
from mountgen.survey.records import Product
from mountgen.units import System

_Remark = TypeVar("_Remark", Refusal, Doubt)

_EXAMPLE_UNITS = MappingProxyType({"length": "mm", "mass": "kg"})
"""Kinds of numbers that need a unit from somewhere."""
_SPREADSHEETS = (".xlsx", ".xlsm")


def read_products(path: Path, defaults: Product, options: ListOptions) -> ProductList:
    """The products of a list, in mm and degrees, in the file's order.

    A value that the list does not give is taken from `defaults`, except for name and sizes; of the sizes
    in `defaults` only the plus-minus counts. The place of the code on its face (above_base, below_top,
    from_near) is taken as a whole, from the row when it gives any of the three. Raises SurveyError for
    what is wrong with the file; what is wrong with a row is in the result's `refused`.
    """
    refuse_unknown_fields(str(path), options.columns)
    source = _source(path, options)
    first = next(source.blocks, Block((), ()))
    top = list(zip(first.lines[: ROWS_ABOVE + 2], first.cells, strict=False))
    header = find_header(source.where, top, options.columns)
    if faults := unit_faults(source.where, header, options.units):
        raise SurveyError(faults)
    columns = read_columns(source, chain([first], source.blocks), header)
    _refuse_without_unit(source, header, columns, options.units)
    settled = {
        column.field.name: settle(columns.numbers[column.field.name], column, options.units, options.decimal)
        for column in header.columns
        if column.field.name in columns.numbers
    }
    return _judged(columns, settled, header, (source, defaults, options))


def _source(path: Path, options: ListOptions) -> RowSource:
    try:
        if path.suffix.casefold() in _SPREADSHEETS:
            from mountgen.survey.product_list.xlsx_rows import sheet_rows

            return sheet_rows(path, options)
        return text_rows(path, options)
    except FileNotFoundError:
        fault = Fault(str(path), "there is no such file", "a list of products", "check the path")
    except IsADirectoryError:
        fault = Fault(str(path), "this is a folder", "a list of products", "name a file in it")
    except OSError as error:
        found = f"it cannot be read ({error.strerror or error})"
        fault = Fault(str(path), found, "a list of products", "check the file")
    raise SurveyError([fault])


def _refuse_without_unit(source: RowSource, header: Header, columns: Columns, units: System | None) -> None:
    """Bare numbers need a unit from somewhere: the header, or the survey."""
    faults = []
    for column in header.columns:
        said = column.unit or (units if column.field.kind == "length" else None)
        if said or column.field.kind not in _EXAMPLE_UNITS:
            continue
        bare = np.flatnonzero(columns.numbers[column.field.name].marks & BARE)
        if len(bare):
            found = f"{len(bare)} numbers without a unit in column '{column.header}'"
            where = f"{source.where}:{columns.lines[bare[0]]}"
            action = f"name the column '{column.header} ({_EXAMPLE_UNITS[column.field.kind]})'"
            action += ", or give 'units'" if column.field.kind == "length" else ""
            faults.append(Fault(where, found, "a unit in the header or in each cell", action))
    if faults:
        raise SurveyError(faults)


def _judged(
    columns: Columns,
    settled: Mapping[str, Settled],
    header: Header,
    given: tuple[RowSource, Product, ListOptions],
) -> ProductList:
    source, defaults, options = given
    refusals, doubts = Findings(), Findings()
    refuse_unreadable(columns, settled, refusals)
    choices = refuse_choices(columns, refusals)
    filled = fill(len(columns.names), settled, choices, defaults)
    refuse_codes(filled.numbers, filled.choices["face"], refusals)
    rows = _kept(len(columns.names), refusals)
    again = repeated_rows(columns, rows, [*filled.numbers.values(), *filled.choices.values()], refusals)
    kept = _kept(len(columns.names), refusals)
    single = kept[~again[kept]]
    doubts.each(columns.doubts)
    doubt_units(settled, header.columns, doubts)
    doubt_proportions(filled.numbers, single, doubts)
    read = set(single.tolist())
    doubts = Findings({row: doubts.reasons[row] for row in sorted(doubts.reasons) if row in read})
    refused = [*columns.refused, *_remarks(Refusal, columns, refusals)]
    repeated = len(kept) - len(single)
    said = [note for column in settled.values() for note in column.notes] + list(filled.notes)
    said += _unit_notes(header, columns, options.units)
    return ProductList(
        table=_table(columns, filled, single),
        rows_in_file=len(columns.names) + len(columns.refused),
        rows_repeated=repeated,
        rows_empty=columns.rows_empty,
        refused=tuple(sorted(refused, key=lambda refusal: refusal.row_number)),
        doubtful=tuple(_remarks(Doubt, columns, doubts)),
        notes=tuple(_notes(source, header, columns, said, repeated)),
    )


def _unit_notes(header: Header, columns: Columns, units: System | None) -> Iterator[str]:
    """Columns whose unit is said nowhere in the file."""
    silent = [
        column.header
        for column in header.columns
        if column.field.kind == "length" and column.unit is None
        if np.any(columns.numbers[column.field.name].marks & BARE)
    ]
    if silent:
        yield f"numbers without a unit, read in {units}: {', '.join(silent)}"


def _kept(count: int, refusals: Findings) -> NDArray[np.intp]:
    keep = np.ones(count, np.bool_)
    keep[list(refusals.reasons)] = False
    return np.flatnonzero(keep)


def _remarks(kind: type[_Remark], columns: Columns, findings: Findings) -> Iterator[_Remark]:
    for row, reasons in findings.reasons.items():
        yield kind(int(columns.lines[row]), "; ".join(reasons), columns.names[row])


def _table(columns: Columns, filled: Filled, rows: NDArray[np.intp]) -> ProductTable:
    names = np.empty(len(columns.names), dtype=object)
    names[:] = columns.names
    chosen: dict[str, Any] = {
        name: column if len(rows) == len(names) else _chosen(column, rows)
        for name, column in {"names": names, **filled.numbers, **filled.choices}.items()
    }
    return ProductTable(**chosen)


def _chosen(column: NDArray[Any], rows: NDArray[np.intp]) -> NDArray[Any]:
    """Some rows of a column; one value for all rows stays one value."""
    return np.broadcast_to(column[:1], len(rows)) if column.strides == (0,) and len(rows) else column[rows]


def _notes(
    source: RowSource, header: Header, columns: Columns, notes: Sequence[str], rows_repeated: int
) -> Iterator[str]:
    yield from source.notes
    yield f"header in {source.unit} {header.line}"
    if header.ignored:
        yield "columns left out: " + ", ".join(header.ignored)
    if columns.rows_empty:
        yield f"{columns.rows_empty} empty rows passed over"
    if rows_repeated:
        yield f"{rows_repeated} rows say again what another row says, and count once"
    yield from notes
