"""Where a rail angle's first screws may be, beside its fold."""

from __future__ import annotations

from mountgen.layout import rules

AIR = 4.0
"""mm between the bend and a washer."""
SLOT_HALF = 4.2
"""mm; half the widest slot that an M6 washer still covers, 0.7 of its diameter."""


def first_column(angle: float, washer: float) -> float:
    """mm from the post leg's far face to the first column of screws: past the bend a washer lies flat, and
    the slot's edge keeps clear of the die (common practice, as in `sheet.rules`).

    Args:
        angle: thickness of the rail angle, mm.
        washer: its outer diameter, mm.
    """
    return angle * rules.BEND_RADIUS_RATIO + max(AIR + washer / 2, rules.HOLE_TO_BEND * angle + SLOT_HALF)


def leg_edge(angle: float, least: float) -> float:
    """mm from a slot's middle to the rail leg's edge: at least `least`, and one and a half thicknesses of
    plate beside the slot (common practice, as in `sheet.rules`).

    Args:
        angle: thickness of the rail angle, mm.
        least: mm.
    """
    return max(least, 1.5 * angle + SLOT_HALF)
