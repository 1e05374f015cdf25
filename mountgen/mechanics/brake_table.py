"""A shop's own press-brake table: deductions that were measured on its machine, one row a bend.

A row tells what the outside lengths are longer than the flat (the *deduction*) for one material,
thickness, inside radius and angle turned through. Between two measured angles the allowance is taken in
proportion; nothing is guessed outside what was measured.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from mountgen.mechanics.bending import setback

SAME = 1e-3
"""mm and deg; a row within this is the row asked for."""


@dataclass(frozen=True)
class BrakeRow:
    """One measured bend: mm and deg; `die` is the V opening that it was made on, or None."""

    material: str
    thickness: float
    inside_radius: float
    angle_deg: float
    deduction: float
    die: float | None = None

    @property
    def allowance(self) -> float:
        """Length of the sheet in the bend, 2 setbacks - deduction, mm."""
        return 2 * setback(self.thickness, self.inside_radius, self.angle_deg) - self.deduction


class NoRowError(ValueError):
    """A table has no row for a bend: the one that is `wanted`, the nearest that is `there` ('' where the
    material has none), what to do."""

    def __init__(self, table: str, wanted: str, there: str, action: str) -> None:
        self.wanted, self.there, self.action = wanted, there, action
        nearest = there or ", and none for this material"
        super().__init__(f"{table} has no row for {wanted}{nearest}; {action}")


@dataclass(frozen=True)
class BrakeTable:
    """The rows of one material as a bend rule."""

    material: str
    rows: tuple[BrakeRow, ...]
    name: str

    @property
    def title(self) -> str:
        return self.name

    def allowance(self, thickness: float, inside_radius: float, angle_deg: float) -> float:
        """Measured allowance in mm, in proportion between the next smaller and the next larger angle.

        NoRowError naming the row that is missing and the nearest one that is there.
        """
        sheet = [row for row in self.rows if abs(row.thickness - thickness) <= SAME]
        bends = sorted(
            (row for row in sheet if abs(row.inside_radius - inside_radius) <= SAME),
            key=lambda row: row.angle_deg,
        )
        below = [row for row in bends if row.angle_deg <= angle_deg + SAME]
        above = [row for row in bends if row.angle_deg >= angle_deg - SAME]
        if not below or not above:
            raise self._missing(thickness, inside_radius, angle_deg)
        low, high = below[-1], above[0]
        if high.angle_deg - low.angle_deg <= SAME:
            return low.allowance
        share = (angle_deg - low.angle_deg) / (high.angle_deg - low.angle_deg)
        return low.allowance + share * (high.allowance - low.allowance)

    def die(self, thickness: float, inside_radius: float) -> float | None:
        """The V opening that the table names for a sheet and a radius, mm; None where it names none."""
        found = (
            row.die
            for row in self.rows
            if abs(row.thickness - thickness) <= SAME and abs(row.inside_radius - inside_radius) <= SAME
        )
        return next((die for die in found if die is not None), None)

    def _missing(self, thickness: float, inside_radius: float, angle_deg: float) -> NoRowError:
        wanted = f"{self.material}, {_bend_text(thickness, inside_radius, angle_deg)}"
        if not self.rows:
            action = "bend test pieces and add their rows, or name another bend rule"
            return NoRowError(self.name, wanted, "", action)
        near = min(self.rows, key=lambda row: _distance(row, (thickness, inside_radius, angle_deg)))
        there = _bend_text(near.thickness, near.inside_radius, near.angle_deg)
        action = "bend a test piece and add that row"
        return NoRowError(self.name, wanted, f"; the nearest is {there}", action)


def tables_by_material(rows: Iterable[BrakeRow], name: str) -> dict[str, BrakeTable]:
    """One table for each material of the rows.

    Args:
        rows: of any materials, in any order.
        name: of the table, as bend tables quote it.
    """
    sorted_rows: dict[str, list[BrakeRow]] = {}
    for row in rows:
        sorted_rows.setdefault(row.material, []).append(row)
    return {material: BrakeTable(material, tuple(own), name) for material, own in sorted_rows.items()}


def _bend_text(thickness: float, inside_radius: float, angle_deg: float) -> str:
    return f"{thickness:g} mm thick, inside radius {inside_radius:g} mm, {angle_deg:g} deg"


def _distance(row: BrakeRow, wanted: tuple[float, float, float]) -> float:
    """How different a row is: its sizes' ratios, and its angle in right angles."""
    thickness, radius, angle = wanted
    size = abs(math.log(row.thickness / thickness))
    return 4 * size + abs(row.inside_radius - radius) / thickness + abs(row.angle_deg - angle) / 90
