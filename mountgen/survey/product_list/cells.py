"""From the cells of a column to numbers, many at a time, without deciding yet what 1,250 means.

A *bare* number carries no unit; it is kept as written, and the column's unit comes in later. A number is
*ambiguous* when its only mark may stand for decimals or for thousands (1,250 and 1.250): it is kept as a
decimal, a thousandth of what it would be otherwise. *Evidence* is what a number that can be read in one
way says about the marks of its column: 300,5 has a decimal comma, and so has 1.299,99.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import cast

import numpy as np
from numpy.typing import NDArray

from mountgen.survey.product_list.fields import ListField, unit_ratio, unit_word
from mountgen.survey.product_list.rows import Cell, Shown, Unreadable, shown
from mountgen.units import (
    ANGLE,
    LENGTH,
    LONGEST_TEXT,
    MASS,
    UnitError,
    quoted,
    read_angle,
    read_length,
    read_quantity,
)

EMPTY = 1
BARE = 2
BAD = 4
AMBIGUOUS_COMMA = 8
AMBIGUOUS_POINT = 16
DECIMAL_COMMA = 32
DECIMAL_POINT = 64
OTHER_UNIT = 128
AMBIGUOUS = AMBIGUOUS_COMMA | AMBIGUOUS_POINT
NO_VALUE = frozenset({"", "-", "--", "---", "–", "—", "−"})
"""What people write where there is nothing to write."""

Floats = NDArray[np.float64]
Marks = NDArray[np.uint8]
_Reading = tuple[float, float, int]
"""Value, plus-minus and marks of one cell."""

_PLAIN = r"(?:[0-9]{1,9}|[0-9]{1,7}[.,](?:[0-9]{1,2}|[0-9]{4,16})|(?:0[0-9]{0,6}|[0-9]{4,7})[.,][0-9]{3})"
_PLAIN_LINES = re.compile(rf"(?>{_PLAIN}\n)*+")
_ODD_LINES = re.compile(rf"^(?!{_PLAIN}$).*$", re.MULTILINE)
"""Whole columns of numbers that can be read in one way; most lists hold nothing else."""
_QUANTITY = re.compile(
    r"(?P<sign>[+−-]?) ?(?P<number>[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+)(?P<exponent>[eE][+-]?[0-9]{1,2})?"
    r" ?(?P<unit>[a-zA-Z\"°][a-zA-Z.]*)?"
)
_AMBIGUOUS_NUMBER = re.compile(r"[1-9][0-9]{0,2}[.,][0-9]{3}")
_AMBIGUOUS_WITHIN = re.compile(r"(?<![0-9.,])[1-9][0-9]{0,2}[.,][0-9]{3}(?![0-9.,])")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?:([.,])[0-9]{3})(?:\1[0-9]{3})*")
_SPACED = re.compile(
    r"(?<![0-9.,])([1-9][0-9]{0,2}(?:(?:[ \u00a0\u202f][0-9]{3})+|(?:['’][0-9]{3})+))(?![0-9'’/]| [0-9])"
)
"""Thousands divided by spaces or apostrophes."""
_LAST_WORD = re.compile(r"(?:[a-zA-Z.]+|[\"'°])\Z")
_MOST_REMEMBERED = 1 << 16


@dataclass(frozen=True)
class Numbers:
    """The numbers of a column: bare ones as written, others in mm or degrees; nan where there is none.
    `complaints` says by row why a cell is BAD."""

    values: Floats
    plus_minus: Floats
    marks: Marks
    complaints: dict[int, str]


class NumberReader:
    """Reads the cells of one column, block by block; equal texts are read once."""

    def __init__(self, field: ListField, unit: str | None) -> None:
        self._kind = _KINDS[field.kind]
        self._named = field.kind
        self._negative = field.low < 0
        self._unit = unit
        self._known: dict[Cell, _Reading] = {}

    def read(self, cells: Sequence[Cell]) -> Numbers:
        """The numbers of a block of cells."""
        kinds = set(map(type, cells))
        if kinds == {float}:
            return _same_marks(np.array(cells, np.float64), BARE)
        if kinds == {str}:
            return self._read_texts(cast("list[str]", list(cells)))
        return self._one_by_one(cells)

    def _read_texts(self, texts: list[str]) -> Numbers:
        """Plain numbers all at once, the others one by one; texts over several lines are none of them."""
        lines = "\n".join(texts) + "\n"
        if _PLAIN_LINES.fullmatch(lines) and lines.count("\n") == len(texts):
            return _plain(lines, len(texts))
        if lines.count("\n") != len(texts) or "\r" in lines:
            return self._one_by_one(texts)
        odd = set(_ODD_LINES.findall(lines))
        at = [place for place, text in enumerate(texts) if text in odd]
        if 2 * len(at) > len(texts):
            return self._one_by_one(texts)
        others = self._one_by_one([texts[place] for place in at])
        for place in at:
            texts[place] = "0"
        plain = _plain("\n".join(texts) + "\n", len(texts))
        for whole, part in (
            (plain.values, others.values),
            (plain.plus_minus, others.plus_minus),
            (plain.marks, others.marks),
        ):
            whole[at] = part
        return Numbers(
            plain.values,
            plain.plus_minus,
            plain.marks,
            {at[place]: text for place, text in others.complaints.items()},
        )

    def _one_by_one(self, cells: Sequence[Cell]) -> Numbers:
        if len(self._known) > _MOST_REMEMBERED:
            self._known.clear()
        for cell in set(cells).difference(self._known):
            self._known[cell] = self._reading(cell)
        readings = [self._known[cell] for cell in cells]
        count = len(readings)
        numbers = Numbers(
            np.fromiter((reading[0] for reading in readings), np.float64, count),
            np.fromiter((reading[1] for reading in readings), np.float64, count),
            np.fromiter((reading[2] for reading in readings), np.uint8, count),
            {},
        )
        for at in np.flatnonzero(numbers.marks & BAD).tolist():
            numbers.complaints[at] = self._complaint(cells[at])
        return numbers

    def _reading(self, cell: Cell) -> _Reading:
        if isinstance(cell, str):
            return self._read_text(_SPACED.sub(_without_spaces, cell.strip()))
        if isinstance(cell, Shown):
            return self._with_unit(cell.value, 0, cell.unit)
        if isinstance(cell, Unreadable) or not np.isfinite(cell):
            return _NOTHING_READ
        return (cell, 0.0, BARE)

    def _read_text(self, text: str) -> _Reading:
        if text in NO_VALUE:
            return (float("nan"), 0.0, EMPTY)
        match = _QUANTITY.fullmatch(text) if len(text) <= LONGEST_TEXT else None
        number = _number(match) if match else None
        if match is None or number is None:
            return self._read_by_units(text)
        unit = match["unit"]
        if unit is None:
            return (number[0], 0.0, number[1] | BARE)
        return self._with_unit(*number, unit) if self._kind.has(unit) else self._read_by_units(text)

    def _with_unit(self, value: float, marks: int, unit: str) -> _Reading:
        if not self._kind.has(unit):
            return _NOTHING_READ
        ratio = unit_ratio(unit)
        other = OTHER_UNIT if self._unit and ratio != unit_ratio(self._unit) else 0
        return (value * ratio.numerator / ratio.denominator, 0.0, marks | other)

    def _read_by_units(self, text: str) -> _Reading:
        """Fractions, feet and inches, +/-: whatever the survey's own texts may hold."""
        if _AMBIGUOUS_WITHIN.search(text):
            return _NOTHING_READ
        try:
            return (*self._kind.read(text, None, self._negative), self._other_unit(text))
        except UnitError:
            pass  # it may be a bare number
        try:
            return (*self._kind.read(text, "bare", self._negative), BARE)
        except UnitError:
            return _NOTHING_READ

    def _other_unit(self, text: str) -> int:
        """Whether the unit at the end of a text is another than the header's."""
        match = _LAST_WORD.search(text)
        unit = unit_word(match[0], self._named) if match else None
        return OTHER_UNIT if self._unit and unit and unit_ratio(unit) != unit_ratio(self._unit) else 0

    def _complaint(self, cell: Cell) -> str:
        if isinstance(cell, Unreadable):
            return f"{quoted(cell.text)}, {cell.why}"
        text = shown(cell).strip()
        if _AMBIGUOUS_WITHIN.search(text) and not _AMBIGUOUS_NUMBER.fullmatch(text):
            return f"{quoted(text)}, with a number in it that can be read in two ways"
        try:
            self._kind.read(text, "bare", self._negative)
        except UnitError as error:
            return f"{error.found}; expected {error.expected}"
        return f"{quoted(text)}, which cannot be read"


@dataclass(frozen=True)
class _Kind:
    """How one kind of quantity is read: whether it has a unit, and (text, 'bare' or None, may be negative)
    to value and plus-minus; a bare number is an error unless 'bare'."""

    has: Callable[[str], str | None]
    read: Callable[[str, str | None, bool], tuple[float, float]]


def _read_length(text: str, bare: str | None, negative: bool) -> tuple[float, float]:
    read = read_length(text, "mm" if bare else None, negative=negative)
    return float(read), read.plus_minus


def _read_angle(text: str, _bare: str | None, negative: bool) -> tuple[float, float]:
    return read_angle(text, negative=negative), 0.0


def _read_mass(text: str, bare: str | None, _negative: bool) -> tuple[float, float]:
    return read_quantity(text, MASS, "kg", bare=bare is not None), 0.0


_KINDS = MappingProxyType(
    {
        "length": _Kind(LENGTH.unit, _read_length),
        "angle": _Kind(ANGLE.unit, _read_angle),
        "mass": _Kind(MASS.unit, _read_mass),
    }
)
_NOTHING_READ: _Reading = (float("nan"), 0.0, BAD)


def _plain(lines: str, count: int) -> Numbers:
    """The numbers of lines that hold nothing but a number each, all of them readable in one way."""
    marks = BARE | (DECIMAL_COMMA if "," in lines else 0) | (DECIMAL_POINT if "." in lines else 0)
    values = np.fromiter(map(float, lines.replace(",", ".").split()), np.float64, count)
    return _same_marks(values, marks)


def _same_marks(values: Floats, marks: int) -> Numbers:
    return Numbers(values, np.zeros(len(values)), np.full(len(values), marks, np.uint8), {})


def _without_spaces(match: re.Match[str]) -> str:
    return re.sub(r"[^0-9]", "", match[1])


def _number(match: re.Match[str]) -> tuple[float, int] | None:
    """Value and marks of the digits; None when commas and points are mixed up."""
    digits = match["number"]
    used = [letter for letter in digits if letter in ",."]
    sign = -1.0 if match["sign"] in ("-", "−") else 1.0
    plain, marks = _plain_digits(digits, used, ambiguous=match["exponent"] is None)
    if plain is None:
        return None
    return sign * float(plain + (match["exponent"] or "")), marks


def _plain_digits(digits: str, used: list[str], *, ambiguous: bool) -> tuple[str | None, int]:
    """Digits with a decimal point at most, and what their marks say."""
    if not used:
        return digits, 0
    last = used[-1]
    if len(used) == 1:
        comma = last == ","
        if ambiguous and _AMBIGUOUS_NUMBER.fullmatch(digits):
            return digits.replace(",", "."), AMBIGUOUS_COMMA if comma else AMBIGUOUS_POINT
        return digits.replace(",", "."), DECIMAL_COMMA if comma else DECIMAL_POINT
    if len(set(used)) == 1:
        whole = re.sub("[,.]", "", digits) if _GROUPED.fullmatch(digits) else None
        return whole, DECIMAL_POINT if last == "," else DECIMAL_COMMA
    whole, _, rest = digits.rpartition(last)
    if last in whole or not _GROUPED.fullmatch(whole):
        return None, 0
    return re.sub("[,.]", "", whole) + "." + rest, DECIMAL_COMMA if last == "," else DECIMAL_POINT


def joined(blocks: Sequence[Numbers]) -> Numbers:
    """The blocks of a column, one behind the other; no blocks make no rows."""
    if not blocks:
        return Numbers(np.zeros(0), np.zeros(0), np.zeros(0, np.uint8), {})
    complaints: dict[int, str] = {}
    start = 0
    for block in blocks:
        complaints.update((start + at, text) for at, text in block.complaints.items())
        start += len(block.values)
    return Numbers(
        np.concatenate([block.values for block in blocks]),
        np.concatenate([block.plus_minus for block in blocks]),
        np.concatenate([block.marks for block in blocks]),
        complaints,
    )
