"""Judges every row: what is missing, out of range, contradictory or said twice is refused with its reason.

Nothing here depends on the order of the rows: two rows with one name that differ are both refused, since
nobody can tell which of them is right.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from mountgen.survey.product_list.cells import EMPTY, OTHER_UNIT, Floats
from mountgen.survey.product_list.fields import FIELDS, QUANTITIES, SIZES, ListField
from mountgen.survey.product_list.headers import Column
from mountgen.survey.product_list.layout import Columns
from mountgen.survey.product_list.settle import Settled
from mountgen.units import quoted

ODD_FACTOR = 5.0
ODD_SPREADS = 4.0
FEWEST_FOR_ODD = 20
"""Rows below which the list's own proportions say nothing."""
_MAD_TO_SIGMA = 1.4826
"""Median absolute deviation to standard deviation for normally distributed values (common practice)."""

Truths = NDArray[np.bool_]


@dataclass
class Findings:
    """Reasons by row, in the order in which they were found."""

    reasons: dict[int, list[str]] = field(default_factory=dict)

    def add(self, rows: Truths | Sequence[int], reason: str) -> None:
        """The same reason for all these rows."""
        where = np.flatnonzero(rows).tolist() if isinstance(rows, np.ndarray) else rows
        for row in where:
            self.reasons.setdefault(row, []).append(reason)

    def each(self, reasons: Mapping[int, str], before: str = "") -> None:
        """Each row its own reason."""
        for row, reason in reasons.items():
            self.reasons.setdefault(row, []).append(before + reason)


def refuse_unreadable(columns: Columns, settled: Mapping[str, Settled], findings: Findings) -> None:
    """Names, sizes and other numbers that are missing, cannot be read or are out of range."""
    findings.each(columns.complaints)
    for name, column in settled.items():
        words = name.replace("_", " ")
        findings.each(column.complaints, f"{words} is ")
        if name in SIZES:
            findings.add(column.marks & EMPTY != 0, f"no {words}")
        _refuse_out_of_range(FIELDS[name], column, findings)


def _refuse_out_of_range(field: ListField, column: Settled, findings: Findings) -> None:
    unit = QUANTITIES[field.kind].base
    lowest = column.values - (column.plus_minus if field.low >= 0 else 0.0)
    outside = (column.values < field.low) | (column.values > field.high) | (lowest < min(field.low, 0.0))
    words = field.name.replace("_", " ")
    for row in np.flatnonzero(outside).tolist():
        off = f" +/- {column.plus_minus[row]:g}" if column.plus_minus[row] else ""
        found = f"{words} is {column.values[row]:g}{off} {unit}"
        findings.add([row], f"{found}, not within {field.low:g} {unit} to {field.high:g} {unit}")


def refuse_choices(columns: Columns, findings: Findings) -> dict[str, list[str]]:
    """Words of columns with a choice, '' where none is given; others are refused."""
    read: dict[str, list[str]] = {}
    for name, texts in columns.choices.items():
        choices = FIELDS[name].choices
        words = {
            text: choices.get(" ".join(text.casefold().replace("_", " ").split())) for text in set(texts)
        }
        for text, word in words.items():
            if text and word is None:
                rows = [row for row, other in enumerate(texts) if other == text]
                expected = ", ".join(dict.fromkeys(choices.values()))
                findings.add(rows, f"{name} is {quoted(text)}; expected one of {expected}")
        read[name] = [words[text] or "" for text in texts]
    return read


def refuse_codes(numbers: Mapping[str, Floats], face: NDArray[np.str_], findings: Findings) -> None:
    """Codes whose place is not said, said twice, or not on the product."""
    low, high, near = (~np.isnan(numbers[name]) for name in ("above_base", "below_top", "from_near"))
    side, refused = face == "near_side", frozenset(findings.reasons)
    findings.add(side & low & high, "both above_base and below_top for a code on the near side")
    findings.add(side & ~low & ~high, "neither above_base nor below_top for a code on the near side")
    findings.add(side & near, "from_near for a code on the near side")
    findings.add(~side & ~near, "no from_near for a code on the top")
    findings.add(~side & (low | high), "above_base or below_top for a code on the top")
    for start, size, room in (
        ("from_leading", "code_along", "length"),
        ("above_base", "code_across", "height"),
        ("below_top", "code_across", "height"),
        ("from_near", "code_across", "width"),
    ):
        ends = numbers[start] + numbers[size]
        beyond = np.flatnonzero(ends > numbers[room]).tolist()
        for row in [row for row in beyond if row not in refused]:
            reason = f"its code ends {ends[row]:g} mm along its {room}, which is {numbers[room][row]:g} mm"
            findings.add([row], reason)


def repeated_rows(
    columns: Columns, rows: NDArray[np.intp], values: Sequence[NDArray[np.generic]], findings: Findings
) -> Truths:
    """Which of `rows` come after another of the same name. Where all of a name are alike, these are left
    out; rows that share a name but differ in a value, or in the capitals of the name, are refused."""
    groups = _same_names(columns.names, rows)
    members = np.array([row for group in groups for row in group], np.intp)
    firsts = np.array([group[0] for group in groups for _ in group], np.intp)
    differs = np.zeros(len(columns.names), np.bool_)
    differs[members] = [
        columns.names[row] != columns.names[first] for row, first in zip(members, firsts, strict=True)
    ]
    for column in values:
        differs[members] |= ~_alike(column[members], column[firsts])
    again = np.zeros(len(columns.names), np.bool_)
    again[members[members != firsts]] = True
    for group in groups:
        if differs[group].any():
            lines = ", ".join(str(columns.lines[row]) for row in group[:6])
            listed = lines + (" and others" if len(group) > 6 else "")
            name = quoted(columns.names[group[0]])
            findings.add(group, f"{name} is in the list with different values ({listed})")
    return again


def _same_names(names: Sequence[str], rows: NDArray[np.intp]) -> list[list[int]]:
    """Rows whose names differ at most in capitals, group by group; names that stand alone are left out.

    Hashes come first, so that a million different names need no table of a million texts.
    """
    if not len(rows):
        return []
    hashes = np.fromiter((hash(names[row].casefold()) for row in rows.tolist()), np.int64, len(rows))
    order = np.argsort(hashes, kind="stable")
    same = hashes[order][1:] == hashes[order][:-1]
    candidates = np.zeros(len(rows), np.bool_)
    candidates[order[1:][same]] = True
    candidates[order[:-1][same]] = True
    groups: dict[str, list[int]] = {}
    for row in rows[candidates].tolist():
        groups.setdefault(names[row].casefold(), []).append(row)
    return [group for group in groups.values() if len(group) > 1]


def _alike(one: NDArray[np.generic], other: NDArray[np.generic]) -> Truths:
    """Equal, or both absent."""
    absent = (one != one) & (other != other)  # noqa: PLR0124  only nan differs from itself
    return np.asarray((one == other) | absent, np.bool_)


def doubt_units(settled: Mapping[str, Settled], columns: Sequence[Column], findings: Findings) -> None:
    """Cells that carry another unit than their header: the cell's own is taken."""
    for column in columns:
        if column.field.name in settled:
            rows = settled[column.field.name].marks & OTHER_UNIT != 0
            findings.add(rows, f"{column.field.name} carries another unit than its header '{column.header}'")


def doubt_proportions(sizes: Mapping[str, Floats], rows: NDArray[np.intp], findings: Findings) -> None:
    """Products with one side out of all proportion to its other two, by what is usual in this list.

    A side over the geometric mean of the other two is odd when it differs from the list's median by more
    than a factor of ODD_FACTOR and by more than ODD_SPREADS robust standard deviations. A slip of the
    decimal mark or a wrong unit shows up so; in a list of fewer than FEWEST_FOR_ODD rows nothing does.
    """
    if len(rows) < FEWEST_FOR_ODD:
        return
    logs = {name: np.log(sizes[name][rows]) for name in SIZES}
    total = logs["length"] + logs["width"] + logs["height"]
    for name in SIZES:
        ratio = logs[name] - (total - logs[name]) / 2
        off = ratio - np.median(ratio)
        spread = _MAD_TO_SIGMA * float(np.median(np.abs(off)))
        odd = np.abs(off) > max(np.log(ODD_FACTOR), ODD_SPREADS * spread)
        for at in np.flatnonzero(odd).tolist():
            row = int(rows[at])
            times = float(np.exp(abs(off[at])))
            word = "large" if off[at] > 0 else "small"
            size = sizes[name][row]
            reason = (
                f"its {name} of {size:g} mm is {times:.1f} times too {word} for the list's usual proportions"
            )
            findings.add([row], reason)
