"""Finds the header of a list and says which column holds which field, in which unit."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from mountgen.errors import Fault, SurveyError
from mountgen.survey.product_list.fields import (
    FIELDS,
    FOREIGN_UNITS,
    QUANTITIES,
    REQUIRED,
    ListField,
    plain_header,
    recognise,
    split_header,
    unit_word,
)
from mountgen.survey.product_list.rows import Cell, Row, shown
from mountgen.units import quoted

ROWS_ABOVE = 20
"""Rows that may stand above the header: titles, dates, merged groups of headers."""
MOST_COLUMNS = 1_000
_FREE_UNIT = re.compile(
    r"(?<![a-z])(mm|cm|inch|inches|zoll|millimet(?:er|re)s?|centimet(?:er|re)s?)(?![a-z])"
)
_BRACKETED_UNIT = re.compile(r"[(\[]\s*(?:in\s+)?(mm|cm|m|in|inch|ft|dm|zoll)\s*[)\]]")


@dataclass(frozen=True)
class Column:
    """A field's column: its place in a row, its header as written and the unit of its bare numbers,
    None when nothing in the file says it."""

    field: ListField
    at: int
    header: str
    unit: str | None


@dataclass(frozen=True)
class Header:
    """A header that was found: its place among the rows, how wide it is, what its columns hold."""

    place: int
    line: int
    width: int
    columns: tuple[Column, ...]
    ignored: tuple[str, ...]
    rows_taken: int
    """Rows from the top that belong to the header: 1 more when a row of units follows it."""
    unit_above: str | None
    """A unit that is named above the header, such as 'all dimensions in cm'."""


@dataclass(frozen=True)
class _Candidate:
    """A row read as a header: columns by field (several is one too many)."""

    found: dict[str, list[Column]]
    headers: tuple[str, ...]

    @property
    def score(self) -> int:
        return len(self.found)

    @property
    def missing(self) -> list[str]:
        return [name for name in REQUIRED if name not in self.found]


def find_header(where: str, rows: Sequence[Row], mapping: Mapping[str, str]) -> Header:
    """The header among the first rows of a list. Raises SurveyError when there is none, when it lacks a
    field that every list must have, or when two columns lay claim to one field."""
    _refuse_wide(where, rows)
    candidates = [_candidate(cells, mapping) for _, cells in rows[: ROWS_ABOVE + 1]]
    complete = [place for place, row in enumerate(candidates) if not row.missing]
    if not complete:
        raise SurveyError([_no_header(where, rows, candidates)])
    place = complete[0]
    line = rows[place][0]
    at, chosen = f"{where}:{line}", candidates[place]
    if faults := [*_clashes(at, chosen), *_foreign(at, chosen), *_not_there(at, chosen, mapping)]:
        raise SurveyError(faults)
    return _header(where, rows, place, candidates[place])


def header_score(rows: Sequence[Row], mapping: Mapping[str, str]) -> int:
    """How many fields the best header among these rows has; 0 when none is complete."""
    candidates = (_candidate(cells, mapping) for _, cells in rows[: ROWS_ABOVE + 1])
    return max((row.score for row in candidates if not row.missing), default=0)


def _refuse_wide(where: str, rows: Sequence[Row]) -> None:
    for line, cells in rows:
        if len(cells) > MOST_COLUMNS:
            fault = Fault(
                f"{where}:{line}",
                f"{len(cells)} columns",
                f"at most {MOST_COLUMNS}",
                "leave the columns out that say nothing about a product's size",
            )
            raise SurveyError([fault])


def refuse_unknown_fields(where: str, mapping: Mapping[str, str]) -> None:
    """Headers can be given for the fields of a product only. Raises SurveyError."""
    faults = []
    for name in mapping:
        if name not in FIELDS:
            close = difflib.get_close_matches(name, FIELDS, n=1)
            action = f"did you mean '{close[0]}'?" if close else "take it out"
            found = f"a header is given for {quoted(name)}, which is no field of a product"
            faults.append(Fault(where, found, "one of " + ", ".join(FIELDS), action))
    if faults:
        raise SurveyError(faults)


def _candidate(cells: Sequence[Cell], mapping: Mapping[str, str]) -> _Candidate:
    headers = tuple(" ".join(shown(cell).split()) for cell in cells)
    found: dict[str, list[Column]] = {}
    for at, header in enumerate(headers):
        named = _named(header, mapping) if header else None
        if named:
            found.setdefault(named[0].name, []).append(Column(named[0], at, header, named[1]))
    return _Candidate(found, headers)


def _named(header: str, mapping: Mapping[str, str]) -> tuple[ListField, str | None] | None:
    """The field of a header: what the user says, else what the header says by itself."""
    for name, wanted in mapping.items():
        field = FIELDS[name]
        base, written = split_header(header)
        unit = unit_word(written, field.kind) if written else None
        if plain_header(wanted) == plain_header(header) or (unit and plain_header(wanted) == base):
            return field, unit if field.kind in QUANTITIES else None
    known = recognise(header)
    return known if known and known[0].name not in mapping else None


def _no_header(where: str, rows: Sequence[Row], candidates: Sequence[_Candidate]) -> Fault:
    best = max(range(len(candidates)), key=lambda place: candidates[place].score)
    nearest = candidates[best]
    listed = ", ".join(quoted(header) for header in nearest.headers[:12] if header)
    expected = "a header with " + ", ".join(REQUIRED) + f" within the first {ROWS_ABOVE + 1} rows"
    if not nearest.score:
        found = f"no header; the first row reads {listed or 'nothing'}"
        return Fault(where, found, expected, "say which headers the columns have, or check the delimiter")
    found = f"no column for {', '.join(nearest.missing)} among {listed}"
    action = f"say which header holds {nearest.missing[0]}, with its unit in brackets where it has one"
    return Fault(f"{where}:{rows[best][0]}", found, expected, action)


def _clashes(where: str, row: _Candidate) -> list[Fault]:
    return [
        Fault(
            where,
            f"{' and '.join(quoted(column.header) for column in columns)} may both be the {name}",
            "one column a field",
            f"say which header holds {name}, or rename the other",
        )
        for name, columns in row.found.items()
        if len(columns) > 1
    ]


def _foreign(where: str, row: _Candidate) -> list[Fault]:
    """Headers that the user pointed to but that carry a unit nobody here can read."""
    return [
        Fault(
            where, f"header {quoted(column.header)} has an unknown unit", "mm, cm, m, in or ft", "convert it"
        )
        for columns in row.found.values()
        for column in columns
        if column.field.kind == "length" and split_header(column.header)[1] in FOREIGN_UNITS
    ]


def _not_there(where: str, row: _Candidate, mapping: Mapping[str, str]) -> list[Fault]:
    """Headers that the user gave and the list has not."""
    listed = ", ".join(quoted(header) for header in row.headers[:12] if header)
    return [
        Fault(where, f"no header {quoted(wanted)} for {name}", f"one of {listed}", "write it as in the file")
        for name, wanted in mapping.items()
        if name not in row.found
    ]


def _header(where: str, rows: Sequence[Row], place: int, row: _Candidate) -> Header:
    columns = tuple(columns[0] for columns in row.found.values())
    below = _units_below(rows[place + 1][1], columns) if place + 1 < len(rows) else {}
    if below:
        columns = tuple(_with_unit(where, rows[place + 1][0], column, below) for column in columns)
    taken = {column.at for column in columns}
    return Header(
        place=place,
        line=rows[place][0],
        width=len(row.headers),
        columns=columns,
        ignored=tuple(h for at, h in enumerate(row.headers) if h and at not in taken),
        rows_taken=place + (2 if below else 1),
        unit_above=_unit_above(where, rows[:place]),
    )


def _units_below(cells: Sequence[Cell], columns: Sequence[Column]) -> dict[str, str]:
    """Units by field when the row below the header holds units and nothing else, no name either."""
    units: dict[str, str] = {}
    for column in columns:
        text = shown(cells[column.at]).strip(" ()[]-") if column.at < len(cells) else ""
        if not text:
            continue
        unit = unit_word(text, column.field.kind) if column.field.kind in QUANTITIES else None
        if unit is None:
            return {}
        units[column.field.name] = unit
    return units


def _with_unit(where: str, line: int, column: Column, below: Mapping[str, str]) -> Column:
    unit = below.get(column.field.name)
    if unit and column.unit and unit != column.unit:
        found = f"{unit} below the header {quoted(column.header)}"
        raise SurveyError([Fault(f"{where}:{line}", found, "one unit a column", "correct one of the two")])
    return Column(column.field, column.at, column.header, column.unit or unit)


def _unit_above(where: str, rows: Sequence[Row]) -> str | None:
    found: dict[str, int] = {}
    for line, cells in rows:
        for cell in cells:
            text = shown(cell).casefold()
            for match in (*_FREE_UNIT.finditer(text), *_BRACKETED_UNIT.finditer(text)):
                found.setdefault(unit_word(match[1], "length") or match[1], line)
    if len(found) > 1:
        line = min(found.values())
        words = " and ".join(sorted(found))
        fault = Fault(
            f"{where}:{line}", f"{words} above the header", "one unit", "write the units into the header"
        )
        raise SurveyError([fault])
    return next(iter(found), None)


def unit_faults(where: str, header: Header, default: str | None) -> list[Fault]:
    """Columns of lengths whose bare numbers would be read in a unit that the file contradicts."""
    above = header.unit_above
    unsaid = [c.header for c in header.columns if c.field.kind == "length" and c.unit is None]
    if above is None or not unsaid or (default and above == unit_word(default, "length")):
        return []
    used = default or "no unit"
    found = f"a line above it says {above}, but {', '.join(unsaid)} would be read in {used}"
    action = f"write the unit into the headers, such as '{unsaid[0]} ({above})'"
    return [Fault(f"{where}:{header.line}", found, "one unit for a list", action)]
