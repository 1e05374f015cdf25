"""A press brake's measured deductions from a text file: a header line, then one bend a row.

Columns are `material`, `thickness`, `inside radius`, `angle` (turned through), `deduction` and, where the
shop notes it, `die`, in any order. Cells stand apart by a semicolon, a comma or a tab; behind a semicolon or
a tab a number may have a decimal comma. Lengths are mm unless header (`thickness [in]`) or cell (`1/8 in`)
says another unit. Empty lines and lines that begin with # are passed over. Everything else that does not
fit is a fault of its row.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple, cast

from mountgen.errors import Fault, ShopError
from mountgen.files.complaints import nearest
from mountgen.files.text import FileKind, decoded, read_bytes
from mountgen.mechanics.brake_table import BrakeRow, BrakeTable, tables_by_material
from mountgen.shop.brake_rows import PlacedRow, row_faults
from mountgen.units import LONGEST_TEXT, UnitError, quoted, read_angle, read_length

BRAKE_TABLE = FileKind("bend table", 1_000_000, ShopError)
MOST_FAULTS = 20
DELIMITERS = (";", ",", "\t")
NEEDED = ("material", "thickness", "inside radius", "angle", "deduction")
COLUMNS = (*NEEDED, "die")
_HEADER = re.compile(r"(.*?) ?(?:[\[(] ?(mm|in|deg|°) ?[\])]|, ?(mm|in|deg|°))?")
_DECIMAL_COMMA = re.compile(r"([0-9]*),([0-9]+ ?[a-z\"°]*)")
_LENGTHS = {"thickness": 50.0, "inside radius": 500.0, "deduction": 1_000.0, "die": 500.0}
"""The most that each may be, mm."""


class Row(NamedTuple):
    """The cells of a row and the line where it begins."""

    line: int
    cells: list[str]


@dataclass(frozen=True)
class _Layout:
    """The header with the delimiter that divides it, and each column's place and unit."""

    header: Row
    delimiter: str
    columns: dict[str, int]
    units: dict[str, str]


def read_brake_table(path: Path, dies: Sequence[float]) -> dict[str, BrakeTable]:
    """The tables in `path` by material; a row's die must be one of the shop's `dies`, mm.

    Raises ShopError with every fault, at most 20, in the order of the lines.
    """
    text = decoded(path, read_bytes(path, BRAKE_TABLE), BRAKE_TABLE)
    layout, rows = _divided(path, text)
    faults: list[Fault] = []
    placed: list[PlacedRow] = []
    for row in rows:
        read = _read_row(row, layout, path)
        if isinstance(read, PlacedRow):
            placed.append(read)
        else:
            faults += read
    faults += row_faults(path, placed, dies)
    if not rows:
        found = "no row below the header"
        faults.append(Fault(str(path), found, "one row for each bend that was measured", "write the rows"))
    if faults:
        faults.sort(key=_line_of)
        raise ShopError(faults[:MOST_FAULTS])
    return tables_by_material((one.row for one in placed), f"bend table {path.name}")


def _line_of(fault: Fault) -> int:
    line = fault.where.rpartition(":")[2]
    return int(line) if line.isdecimal() else 0


def _divided(path: Path, text: str) -> tuple[_Layout, list[Row]]:
    """The rows below the header, with the delimiter at which the header shows most of the columns."""
    found: list[tuple[_Layout, list[Row]]] = []
    broken: list[Fault] = []
    for delimiter in DELIMITERS:
        try:
            header, *rows = _rows(path, text, delimiter)
            found.append((_layout(header, delimiter), rows))
        except ShopError as error:  # quotes may be sound with another delimiter
            broken += error.faults
    if not found:
        raise ShopError(broken[:1])
    layout, rows = max(found, key=lambda one: len(one[0].columns))
    if faults := list(_header_faults(path, layout)):
        raise ShopError(faults)
    return layout, rows


def _rows(path: Path, text: str, delimiter: str) -> list[Row]:
    """Every row that holds something, the header first. ShopError for odd quotes, and when there is none."""
    source = io.StringIO(text, newline="")
    reader = csv.reader(source, delimiter=delimiter, strict=True, skipinitialspace=True)
    rows: list[Row] = []
    line = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells) and not cells[0].lstrip().startswith("#"):
                rows.append(Row(line, [cell.strip() for cell in cells]))
            line = reader.line_num + 1
    except csv.Error as error:
        found = f"a row cannot be divided into cells: {error}"
        expected = "quotes around a whole cell, doubled inside it"
        raise ShopError([Fault(f"{path}:{line}", found, expected, "mend the quotes")]) from error
    if not rows:
        raise ShopError([Fault(str(path), "the file is empty", _expected_header(), "write the table")])
    return rows


def _expected_header() -> str:
    return "a header with " + ", ".join(NEEDED) + " and perhaps die"


def _layout(header: Row, delimiter: str) -> _Layout:
    columns: dict[str, int] = {}
    units: dict[str, str] = {}
    for at, cell in enumerate(header.cells):
        name, unit = _column(cell)
        if name in COLUMNS and name not in columns:
            columns[name] = at
            units[name] = unit
    return _Layout(header, delimiter, columns, units)


def _column(cell: str) -> tuple[str, str]:
    """The name and the unit of a header's cell: 'Inside_radius [mm]' is 'inside radius' in 'mm'."""
    plain = " ".join(cell.replace("_", " ").lower().split())
    match = _HEADER.fullmatch(plain)
    return (match[1], match[2] or match[3] or "") if match else (plain, "")


def _header_faults(path: Path, layout: _Layout) -> Iterator[Fault]:
    where = f"{path}:{layout.header.line}"
    missing = [name for name in NEEDED if name not in layout.columns]
    seen: set[str] = set()
    for cell in layout.header.cells:
        name, unit = _column(cell)
        if name in seen:
            yield Fault(where, f"two columns {quoted(name)}", "each column once", "take one out")
        elif name not in COLUMNS:
            close = nearest(name, COLUMNS)
            missing = [one for one in missing if one != close]
            action = f"did you mean '{close}'?" if close else "take the column out"
            yield Fault(where, f"a column {quoted(cell)}", "one of " + ", ".join(COLUMNS), action)
        elif unit and (unit in ("mm", "in")) != (name in _LENGTHS):
            wanted = "mm or in" if name in _LENGTHS else "deg" if name == "angle" else "no unit"
            yield Fault(where, f"a column {quoted(cell)}", wanted, "correct the unit")
        seen.add(name)
    for name in missing:
        yield Fault(where, f"no column '{name}'", _expected_header(), "add it")


def _read_row(row: Row, layout: _Layout, path: Path) -> PlacedRow | list[Fault]:
    """A bend, or every fault of its row."""
    where, width = f"{path}:{row.line}", len(layout.header.cells)
    if len(row.cells) != width:
        action = "write them all; where commas divide the cells, a number has a decimal point"
        return [Fault(where, f"{len(row.cells)} cells", f"{width}, as the header has", action)]
    cells = {name: row.cells[at] for name, at in layout.columns.items()}
    material = cells.pop("material")
    values = {
        name: _value(where, name, cell, layout) for name, cell in cells.items() if cell or name != "die"
    }
    faults = [value for value in values.values() if isinstance(value, Fault)]
    if not material or not material.isprintable() or len(material) > LONGEST_TEXT:
        faults.insert(0, Fault(where, f"material {quoted(material)}", "a material's name", "write it"))
    if faults:
        return faults
    thickness, radius, angle, deduction = (cast("float", values[name]) for name in NEEDED[1:])
    die = cast("float | None", values.get("die"))
    return PlacedRow(row.line, BrakeRow(material, thickness, radius, angle, deduction, die))


def _value(where: str, name: str, cell: str, layout: _Layout) -> float | Fault:
    if not cell:
        return Fault(where, f"no {name}", "a number in every column but die", "write it, or take the row out")
    comma = _DECIMAL_COMMA.fullmatch(cell) if layout.delimiter != "," else None
    text = f"{comma[1]}.{comma[2]}" if comma else cell
    read: Callable[[str], float] = read_angle if name == "angle" else _length_reader(layout.units[name])
    most, unit = (_LENGTHS[name], "mm") if name in _LENGTHS else (179.0, "deg")
    try:
        value = read(text)
    except UnitError as error:
        return Fault(where, f"{name} is {error.found}", error.expected, error.action)
    if not 0 < value <= most:
        found = f"{name} is {quoted(cell)}, which is {value:g} {unit}"
        return Fault(where, found, f"more than 0 and at most {most:g} {unit}", "correct it")
    return value


def _length_reader(unit: str) -> Callable[[str], float]:
    def read(text: str) -> float:
        length = read_length(text, "in" if unit == "in" else "mm")
        if length.plus_minus:
            raise UnitError(f"{quoted(text)}, with +/-", "a length without +/-", "leave the +/- out")
        return float(length)

    return read
