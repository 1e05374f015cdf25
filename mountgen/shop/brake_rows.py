"""Rows of a bend table against one another: what is doubled, contradicts another row, or cannot be."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

from mountgen.errors import Fault
from mountgen.mechanics.brake_table import SAME, BrakeRow

Key = tuple[str, float, float]


class PlacedRow(NamedTuple):
    """A row and its line."""

    line: int
    row: BrakeRow


def row_faults(path: Path, rows: Sequence[PlacedRow], dies: Sequence[float]) -> Iterator[Fault]:
    """Every fault that a row has by itself or beside the others."""
    for one in rows:
        yield from _impossible(path, one)
        yield from _no_such_die(path, one, dies)
    groups: dict[Key, list[PlacedRow]] = {}
    for one in rows:
        groups.setdefault(_key(one.row), []).append(one)
    for group in groups.values():
        yield from _group_faults(path, group)


def _key(row: BrakeRow) -> Key:
    """What rows of one sheet and radius share."""
    return row.material, _step(row.thickness), _step(row.inside_radius)


def _step(size: float) -> float:
    """Rounded to what counts as the same size."""
    return round(size / SAME) * SAME


def _bend(row: BrakeRow) -> str:
    sizes = f"{row.thickness:g} mm, inside radius {row.inside_radius:g} mm, {row.angle_deg:g} deg"
    return f"{row.material}, {sizes}"


def _impossible(path: Path, one: PlacedRow) -> Iterator[Fault]:
    """A bend takes up some sheet, and less of it than its outer face is long."""
    row = one.row
    longest = math.radians(row.angle_deg) * (row.inside_radius + row.thickness)
    if not 0 < row.allowance <= longest:
        setbacks = row.allowance + row.deduction
        least, most = max(setbacks - longest, 0.0), setbacks
        found = f"a deduction of {row.deduction:g} mm for {_bend(row)}"
        expected = f"{least:.2f} to {most:.2f} mm: outside lengths to the sharp corner less the flat"
        action = "check the deduction, and that the angle is the one the sheet is turned through"
        yield Fault(f"{path}:{one.line}", found, expected, action)


def _no_such_die(path: Path, one: PlacedRow, dies: Sequence[float]) -> Iterator[Fault]:
    die = one.row.die
    if die is not None and not any(abs(die - own) <= SAME for own in dies):
        near = min(dies, key=lambda own: abs(own - die))
        expected = "one of the shop's dies: " + ", ".join(f"{own:g}" for own in dies) + " mm"
        action = f"write {near:g}, or add {die:g} to the dies of the shop file"
        yield Fault(f"{path}:{one.line}", f"a die of {die:g} mm", expected, action)


def _group_faults(path: Path, group: list[PlacedRow]) -> Iterator[Fault]:
    """Rows of one sheet and radius: one row an angle, one die, and the more turn the more sheet."""
    first_die = next((one for one in group if one.row.die is not None), None)
    for one in group:
        if first_die and one.row.die is not None and abs(one.row.die - (first_die.row.die or 0.0)) > SAME:
            found = f"die {one.row.die:g} mm, and {first_die.row.die:g} mm in line {first_die.line}"
            action = "keep the rows of the die that is used"
            yield Fault(f"{path}:{one.line}", found, "one die for a sheet and a radius", action)
    for before, after in pairwise(sorted(group, key=lambda one: (one.row.angle_deg, one.line))):
        if after.row.angle_deg - before.row.angle_deg <= SAME:
            yield _twice(path, before, after)
        elif after.row.allowance <= before.row.allowance:
            other = f"{before.row.angle_deg:g} deg in line {before.line}"
            found = f"{_bend(after.row)} takes up less sheet than {other}"
            expected = "more sheet in a bend that turns further"
            yield Fault(f"{path}:{after.line}", found, expected, "correct one of the two deductions")


def _twice(path: Path, first: PlacedRow, second: PlacedRow) -> Fault:
    expected = "one row for a bend"
    if abs(first.row.deduction - second.row.deduction) <= SAME:
        found = f"the row of line {first.line} again ({_bend(second.row)})"
        return Fault(f"{path}:{second.line}", found, expected, "take one of them out")
    found = (
        f"deduction {second.row.deduction:g} mm for {_bend(second.row)},"
        f" and {first.row.deduction:g} mm in line {first.line}"
    )
    return Fault(f"{path}:{second.line}", found, expected, "keep the one that is right")
