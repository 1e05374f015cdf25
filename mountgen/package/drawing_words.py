"""How sizes are written on drawings: millimetres, with inches in brackets for inch surveys."""

from __future__ import annotations

from mountgen.fabrication.lists import upright_angles
from mountgen.sheet.flat import BendLine, PlacedHole
from mountgen.sheet.tree import ArcSlot, RoundHole, Slot
from mountgen.units import System

MM_PER_INCH = 25.4
"""International yard and pound agreement of 1959, exact."""


def plain(value: float, decimals: int = 2) -> str:
    """A number without idle zeros: '12.5', '12.35', '0'."""
    shown = f"{round(value, decimals) + 0.0:.{decimals}f}"
    return shown.rstrip("0").rstrip(".") if decimals else shown


def length(mm: float, units: System) -> str:
    """A length in mm, with inches in brackets for inch surveys: '57.15 [2.250]'."""
    return plain(mm) if units == "mm" else f"{plain(mm)} [{mm / MM_PER_INCH + 0.0:.3f}]"


def length_unit(mm: float, units: System) -> str:
    """A length with its unit, for sentences: '3 mm', '3 mm [0.118 in]'."""
    return f"{plain(mm)} mm" if units == "mm" else f"{plain(mm)} mm [{mm / MM_PER_INCH:.3f} in]"


def angle(degrees: float) -> str:
    return f"{plain(degrees)}°"


def hole_size(placed: PlacedHole, units: System) -> str:
    """What to cut: diameter, or width, length and angle; angles counter-clockwise from x."""
    hole = placed.hole
    if isinstance(hole, RoundHole):
        return _round_size(hole, units)
    if isinstance(hole, Slot):
        sizes = f"{length(hole.width, units)} × {length(hole.length, units)}"
        return f"slot {sizes} overall, long axis {angle(hole.angle_deg % 180.0)}"
    return _arc_slot_size(hole, units)


def _round_size(hole: RoundHole, units: System) -> str:
    diameter = f"Ø{length(hole.diameter, units)}"
    if hole.kind == "tapped":
        return f"{hole.size} tapped through, core {diameter}"
    return f"{diameter} through"


def _arc_slot_size(hole: ArcSlot, units: System) -> str:
    start, end = upright_angles(hole)
    ends = f"{angle(start)} to {angle(end)}"
    return f"arc slot {length(hole.width, units)} wide, R{length(hole.radius, units)}, {ends}"


def hole_use(placed: PlacedHole) -> str:
    """What passes through it or is fitted: 'M6 clearance', 'press nut M6', 'opening' for a plain one."""
    hole = placed.hole
    if not hole.size:
        return hole.kind.replace("_", " ")
    if hole.kind == "opening":
        return hole.size
    return hole.size if hole.size.startswith(hole.kind) else f"{hole.size} {hole.kind.replace('_', ' ')}"


def bend_note(bend: BendLine) -> str:
    """What stands beside a bend line: 'B1 up'."""
    return f"{bend.tag} {bend.direction}"
