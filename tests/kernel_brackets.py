"""Brackets that several kernel tests build, with dimensions the tests' closed forms use."""

from __future__ import annotations

from mountgen.geometry import rectangle
from mountgen.sheet.tree import ArcSlot, Bend, Flange, Hole, RoundHole, SheetPart, Slot

WIDTH, THICKNESS, RADIUS = 80.0, 3.0, 4.0
FIRST_LEG, SECOND_LEG = 50.0, 60.0

ROUND = RoundHole((15.0, 20.0), 6.6)
SLOT = Slot((40.0, 30.0), 7.0, 20.0, angle_deg=90.0)
ARC_SLOT = ArcSlot((40.0, 20.0), 22.0, 6.6, 30.0, 110.0)


def bracket(root: Flange, number: str = "B-1") -> SheetPart:
    return SheetPart(number, "bracket", THICKNESS, "steel", root)


def leg(name: str, depth: float, holes: tuple[Hole, ...] = (), bends: tuple[Bend, ...] = ()) -> Flange:
    return Flange(name, rectangle(0.0, 0.0, WIDTH, depth), holes, bends)


def near_bend(angle_deg: float, child: Flange) -> Bend:
    """A bend off the whole edge y = 0 of a leg."""
    return Bend((0.0, 0.0), (WIDTH, 0.0), angle_deg, RADIUS, child)


def far_bend(depth: float, angle_deg: float, child: Flange) -> Bend:
    """A bend off the whole far edge of a leg, y = depth."""
    return Bend((WIDTH, depth), (0.0, depth), angle_deg, RADIUS, child)


def l_bracket(angle_deg: float, number: str = "L-1") -> SheetPart:
    """A round hole and a slot in the first leg, an arc slot in the second."""
    second = leg("second", SECOND_LEG, (ARC_SLOT,))
    return bracket(leg("first", FIRST_LEG, (ROUND, SLOT), (near_bend(angle_deg, second),)), number)


def z_bracket(angle_deg: float) -> SheetPart:
    """Bent one way, then the other."""
    third = leg("third", 30.0, (ROUND,))
    second = leg("second", SECOND_LEG, (SLOT,), (far_bend(SECOND_LEG, -angle_deg, third),))
    return bracket(leg("first", FIRST_LEG, (), (near_bend(angle_deg, second),)), "Z-1")


def u_bracket(angle_deg: float, base: float = 70.0, legs: float = 40.0) -> SheetPart:
    """Two legs off opposite edges of the base, bent the same way."""
    left, right = leg("left", legs, (ROUND,)), leg("right", legs, (ROUND,))
    bends = (near_bend(angle_deg, left), far_bend(base, angle_deg, right))
    return bracket(leg("base", base, (), bends), "U-1")
