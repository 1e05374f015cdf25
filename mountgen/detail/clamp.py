"""The jaws of a clamped rail, and the screws that tie them to the rail angle's leg."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.catalogue.records import Thread
from mountgen.detail.blanks import TOWARDS_OPERATOR, X, Y, Z, corners, plate, sheet_part
from mountgen.detail.joints import JointPlan, NoHole, Placed, SlotAlong, Tapped, Through
from mountgen.geometry import Placement
from mountgen.layout import rules
from mountgen.layout.clamp import GAP, HEEL_SHORT, JAW, Clamp, heel_tangent
from mountgen.layout.rail_mast import MastLayout
from mountgen.sheet.tree import Bend, Flange


def jaws(layout: MastLayout, clamp: Clamp, toe: float) -> tuple[Placed, Placed]:
    """Both jaws; `toe` is how far they reach over the rail, mm. Their heels are bent towards the operator."""
    pattern, bend = layout.on_rail.pattern, JAW * rules.BEND_RADIUS_RATIO
    x0, x1 = pattern.columns[0] - rules.EDGE, pattern.columns[1] + rules.EDGE
    low, high = pattern.rows
    height, width = toe + GAP + heel_tangent(), x1 - x0
    made = []
    for number, name, edge in (("A12", "upper jaw", clamp.upper), ("A13", "lower jaw", clamp.lower)):
        heel = Flange("heel", plate(corners(0, 0, width, edge.depth - HEEL_SHORT - bend), sharp=(0, 1)))
        root = Flange(
            "jaw",
            plate(corners(0, 0, width, height), sharp=(2, 3)),
            bends=(Bend((width, height), (0.0, height), 90.0, bend, heel),),
        )
        back = edge.back + JAW
        if name == "upper jaw":
            place = Placement((x0, back, high - GAP - toe), X, TOWARDS_OPERATOR)
        else:
            place = Placement((x1, back, low + GAP + toe), (-1.0, 0.0, 0.0), TOWARDS_OPERATOR)
        made.append(sheet_part(number, name, JAW, root, place))
    return made[0], made[1]


def clamp_joints(layout: MastLayout, clamp: Clamp, screw: Thread) -> Iterator[JointPlan]:
    """Two screws over the rail and two under it, through the leg's slots into the jaws' threads."""
    pattern, half = layout.on_rail.pattern, layout.on_rail.pattern.slot_travel / 2
    leg = Through("rail angle", SlotAlong(Z, half, half, pattern.slot_width))
    spots = [(x, z) for z in reversed(pattern.rows) for x in pattern.columns]
    for number, (x, z) in enumerate(spots, 1):
        edge, jaw = (clamp.upper, "upper jaw") if z == pattern.rows[1] else (clamp.lower, "lower jaw")
        members = (leg, Through("rail", NoHole(), edge.depth), Through(jaw, Tapped()))
        seat = (x, layout.on_rail.leg_y - layout.on_rail.angle_thickness, z)
        label = (f"R{number}", "rail angle to rail", "rail mount")
        yield JointPlan(*label, screw, seat, Y, members, "tapped", torque_nm=clamp.torque_nm)
