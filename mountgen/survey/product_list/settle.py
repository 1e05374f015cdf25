"""Decides, for a whole column, what its ambiguous numbers and its bare numbers mean.

Ambiguous numbers (1,250) are settled by the user's `decimal`, or by the other numbers of the same
column: one that can be read in one way only shows which mark stands for decimals. Where the column holds
none, the range that is plausible for the field may settle it: when every ambiguous number, or any in a
column of ambiguous numbers alone, would be absurdly large in thousands, the mark stands for decimals. Else
the rows are refused with both readings. Which rows come first never matters.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

import numpy as np

from mountgen.survey.product_list.cells import (
    AMBIGUOUS,
    AMBIGUOUS_COMMA,
    AMBIGUOUS_POINT,
    BAD,
    BARE,
    DECIMAL_COMMA,
    DECIMAL_POINT,
    EMPTY,
    Floats,
    Marks,
    Numbers,
)
from mountgen.survey.product_list.fields import unit_ratio
from mountgen.survey.product_list.headers import Column
from mountgen.survey.product_list.records import DecimalMark
from mountgen.units import System

_UNSAID = MappingProxyType({"angle": "deg", "mass": "kg"})
"""Where only one unit is ever meant; a column of bare masses is refused before it comes here."""


@dataclass(frozen=True)
class Settled:
    """A column in mm, degrees or kg, nan where nothing was read; a complaint for each bad cell."""

    values: Floats
    plus_minus: Floats
    marks: Marks
    complaints: dict[int, str]
    notes: tuple[str, ...]


def settle(numbers: Numbers, column: Column, units: System | None, decimal: DecimalMark | None) -> Settled:
    """The column's numbers in mm or degrees. `units` is the unit of bare numbers without one."""
    unit = column.unit or _UNSAID.get(column.field.kind, units) or "mm"
    ratio = unit_ratio(unit)
    values, plus_minus = (
        _scaled(kept, numbers.marks, ratio) for kept in (numbers.values, numbers.plus_minus)
    )
    complaints = dict(numbers.complaints)
    notes = list(_mixed_marks(numbers.marks, column))
    for ambiguous, mark in ((AMBIGUOUS_COMMA, ","), (AMBIGUOUS_POINT, ".")):
        at = np.flatnonzero(numbers.marks & ambiguous)
        if not len(at):
            continue
        mean, why = _meaning(numbers.marks, values, mark, (decimal, column.field.high))
        if mean is None:
            complaints |= _both_readings(numbers, at.tolist(), mark)
            values[at] = np.nan
            continue
        values[at] *= 1000.0 if mean == "thousands" else 1.0
        notes.append(f"'{mark}' stands for {mean} in {len(at)} numbers of column '{column.header}': {why}")
    return Settled(values, plus_minus, numbers.marks, complaints, tuple(notes))


def _scaled(kept: Floats, marks: Marks, ratio: Fraction) -> Floats:
    """Bare numbers times `ratio`, the others as they are; always a new array."""
    if ratio == 1:
        return kept.copy()
    scaled = kept * float(ratio.numerator)
    scaled /= float(ratio.denominator)
    return np.where(marks & BARE, scaled, kept)


def _meaning(
    marks: Marks, values: Floats, mark: str, known: tuple[DecimalMark | None, float]
) -> tuple[str | None, str]:
    """'decimals' or 'thousands' and why; None when nothing settles it."""
    decimal, highest = known
    evidence = int(np.bitwise_or.reduce(marks)) & (DECIMAL_COMMA | DECIMAL_POINT)
    if decimal is not None:
        return "decimals" if decimal == mark else "thousands", f"decimal = '{decimal}' is given"
    if evidence:
        if evidence == DECIMAL_COMMA | DECIMAL_POINT:
            return None, ""
        shown = "," if evidence == DECIMAL_COMMA else "."
        return ("decimals" if shown == mark else "thousands"), f"other numbers of it have a decimal '{shown}'"
    return _by_size(marks, values, highest)


def _by_size(marks: Marks, values: Floats, highest: float) -> tuple[str | None, str]:
    ambiguous = marks & AMBIGUOUS != 0
    if len({int(kind) for kind in np.unique(marks[ambiguous] & AMBIGUOUS)}) > 1:
        return None, ""
    absurd = np.abs(values[ambiguous]) * 1000.0 > highest
    alone = not np.any((marks & (AMBIGUOUS | EMPTY | BAD)) == 0)
    if absurd.all() or (alone and absurd.any()):
        return "decimals", "as thousands they would be absurdly large"
    return None, ""


def _both_readings(numbers: Numbers, rows: list[int], mark: str) -> dict[int, str]:
    values = numbers.values[rows].tolist()
    return {
        row: f"'{_spelt(value, mark)}', which can be read as {value:g} or as {value * 1000:.0f}; no other "
        "number of its column settles it; write it without thousands, or say which mark is the decimal one"
        for row, value in zip(rows, values, strict=True)
    }


def _spelt(value: float, mark: str) -> str:
    return f"{value:.3f}".replace(".", mark)


def _mixed_marks(marks: Marks, column: Column) -> list[str]:
    evidence = int(np.bitwise_or.reduce(marks, initial=0)) if len(marks) else 0
    if evidence & DECIMAL_COMMA and evidence & DECIMAL_POINT:
        return [f"column '{column.header}' has decimal commas and decimal points"]
    return []
