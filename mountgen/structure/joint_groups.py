"""The groups of screws of a made mount, with all that their strength depends on, read off its joints.

Numbers that no drawing gives are named here: what T-nuts, press nuts and devices are made of.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass, replace

import numpy as np

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import Extrusion, Thread
from mountgen.detail.bridge import BEAM, FAR, TITLES
from mountgen.detail.joints import flat_point
from mountgen.detail.records import HEADS, RAILS, Detail, Instance, Joint, Member
from mountgen.detail.web_joints import slot_bar
from mountgen.geometry import Vec3, cos_deg, dot, scale, sin_deg
from mountgen.layout import rules
from mountgen.layout.clamp import Clamp
from mountgen.layout.rail_mast import MastLayout
from mountgen.layout.stand import ANGLE_LEG, SCREW_OUT
from mountgen.mechanics.prying import PulledLeg
from mountgen.sheet.edges import edges_of, point_gap
from mountgen.sheet.tree import SheetPart
from mountgen.structure.joint_strength import (
    End,
    Group,
    JointMargins,
    Leg,
    Lips,
    Plate,
    ScrewForces,
    joint_margins,
    screw_forces,
)
from mountgen.structure.records import JointLoad, Structure
from mountgen.structure.stand_frame import LEGS
from mountgen.survey.records import Survey

OUTWARDS = (
    "rail",
    "backing plate",
    "upper jaw",
    "lower jaw",
    "rail angle",
    "base plate",
    *(name for name, _ in LEGS),
    "post",
    "cross plate",
    "arm",
    "ear",
    "swing plate",
    *HEADS,
    "controller bracket",
    "controller",
)
"""Parts from rail or floor to what hangs on it: of two that are screwed together the later one hangs."""

NUT_MPA: dict[End, float] = {
    "nut": 800.0,
    "press nut": 500.0,
    "rivet nut": 380.0,
    "T-nut": 500.0,
    "device": 215.0,
    "tapped plate": 360.0,
}
"""Tensile strength of what a screw goes into: nuts of class 8 (ISO 898-2), press and T-nuts of class 5, rivet
nuts and plates of mild steel, devices' housings of aluminium (common practice)."""

RIVET_BULGE = 3.0
"""mm behind the wall that a rivet nut's bulge takes, without thread."""

TILTS = frozenset({"pivot and tilt lock", "print head to swing plate"})
"""Groups whose screws turn with the head."""


@dataclass(frozen=True)
class Made:
    """A made mount as the groups see it: the first product's setting."""

    survey: Survey
    layout: MastLayout
    detail: Detail
    catalogue: Catalogue


RAIL_GROUP = "rail angle to rail"
FAR_RAIL_GROUP = TITLES[RAIL_GROUP]


def all_margins(made: Made, structure: Structure) -> tuple[JointMargins, ...]:
    """The margins of every group that the structure knows the loads of, in the order of the load path."""
    friction = made.survey.joining.friction
    groups = _loads_of(made, structure).items()
    return tuple(joint_margins(_group_in(made, loads), tuple(loads), friction) for _, loads in groups)


def rail_screws(made: Made, structure: Structure) -> ScrewForces:
    """What the screws into the rail carry, in the order of their ids; on a bridge then the loads of those
    into the far rail."""
    groups = _loads_of(made, structure)
    feet = [groups[title] for title in (RAIL_GROUP, FAR_RAIL_GROUP) if title in groups]
    found = [screw_forces(_group_in(made, loads), tuple(loads)) for loads in feet]
    return ScrewForces(np.vstack([f.shear for f in found]), np.vstack([f.tension for f in found]))


def _group_in(made: Made, loads: list[JointLoad]) -> Group:
    joints = {joint.id: joint for joint in made.detail.joints}
    return group_of(made, loads[0].title, tuple(joints[id_] for id_ in loads[0].joints))


def _loads_of(made: Made, structure: Structure) -> dict[str, list[JointLoad]]:
    """Every group's loads over all poses; those of tilting groups turned back to the first setting."""
    first = float(made.layout.settings.tilt_deg[0])
    loads: dict[str, list[JointLoad]] = defaultdict(list)
    for pose in structure.poses:
        turn = pose.tilt_deg - first
        for load in pose.joint_loads:
            turned = turn != 0.0 and load.title in TILTS
            loads[load.title].append(_turned(load, turn) if turned else load)
    return loads


def _turned(load: JointLoad, by_deg: float) -> JointLoad:
    """The load as it looks from a head that has been tilted by so much, seen from the first setting."""
    cos, sin = cos_deg(by_deg), sin_deg(by_deg)

    def back(v: Vec3) -> Vec3:
        return v[0], v[1] * cos - v[2] * sin, v[1] * sin + v[2] * cos

    return replace(load, force=back(load.force), couple=back(load.couple))


def group_of(made: Made, title: str, joints: tuple[Joint, ...]) -> Group:
    """A group of like screws."""
    first = joints[0]
    thread = made.catalogue.thread(first.thread)
    end = _end(made.detail, first)
    bar = _bar(made, first.members[-1].instance) if end == "T-nut" else None
    outer, inner = first.members[0].instance, first.members[1].instance
    hangs = _rank(outer) > _rank(inner)
    group = Group(
        title=title,
        ids=tuple(joint.id for joint in joints),
        thread=thread,
        end=end,
        seats=tuple(joint.point for joint in joints),
        axis=first.direction,
        apart=scale(first.direction, -1.0) if hangs else first.direction,
        plane=first.members[0].thickness,
        rim=(thread.washer_outer / 2, thread.washer_outer / 2),
        torque_nm=first.torque_nm,
        engaged=_engaged(first, thread, end, bar, _wall(first)),
        nut_mpa=NUT_MPA[end],
        plates=tuple(_plates(made, joints, thread)),
        leg=_leg(made, title, joints, thread),
        lips=_lips(made, bar) if bar else None,
    )
    if title == RAIL_GROUP and made.layout.clamp is not None:
        return _gripping(group, made.layout.clamp)
    return group if bar is None else replace(group, rim=_bar_rim(group, first, bar))


def _gripping(group: Group, clamp: Clamp) -> Group:
    """The screws of a clamp act where the jaws' toes press: nearer to each other, and with less force."""
    inwards = clamp.heel * (1 / clamp.share - 1)
    middle = sum(z for _, _, z in group.seats) / len(group.seats)
    seats = tuple((x, y, z - math.copysign(inwards, z - middle)) for x, y, z in group.seats)
    return replace(group, seats=seats, share=clamp.share)


def _rank(part: str) -> int:
    return OUTWARDS.index("arm" if part == BEAM else part.removeprefix(FAR))


def _end(detail: Detail, joint: Joint) -> End:
    """What the screw goes into: a fastener of the same joint, else a device's own thread."""
    if joint.members[-1].hole == "tapped":
        return "tapped plate"
    roles = {i.name.removeprefix(f"{joint.id} ") for i in detail.instances if i.joint == joint.id}
    ends: tuple[End, ...] = ("T-nut", "press nut", "rivet nut", "nut")
    return next((end for end in ends if end in roles), "device")


def _bar(made: Made, name: str) -> Extrusion:
    """The extrusion of a bar; of a rail with slots the one whose T-nuts go into them."""
    if name.removeprefix(FAR) == "post":
        return made.layout.post
    if name in ("arm", BEAM):
        return made.layout.arm
    return slot_bar(made.survey.rail.section.slots[0], made.catalogue)


def _wall(joint: Joint) -> float:
    """Thickness of the rail's wall where it is among the members."""
    return next((m.thickness for m in joint.members if m.instance in RAILS), 0.0)


def _engaged(joint: Joint, thread: Thread, end: End, bar: Extrusion | None, wall: float) -> float:
    """mm of screw thread in the thread of its end."""
    past = joint.screw_length - joint.grip
    if bar is not None:
        return min(bar.nut_height, past - bar.lip_thickness)
    if end == "press nut":
        return thread.press_nut_height + thread.press_nut_shank
    if end == "tapped plate":
        return min(past, joint.members[-1].thickness)
    if end == "rivet nut":
        return max(thread.rivet_nut(wall).set_length - wall - RIVET_BULGE, thread.pitch)
    return min(past, thread.nut_height) if end == "nut" else past


def _bar_rim(group: Group, joint: Joint, bar: Extrusion) -> tuple[float, float]:
    """Across a bar the plate lies on its whole face."""
    name = joint.members[-1].instance.removeprefix(FAR)
    run: Vec3 = {"post": (0.0, 0.0, 1.0), "arm": (0.0, 1.0, 0.0), BEAM: (0.0, 1.0, 0.0)}.get(
        name, (1.0, 0.0, 0.0)
    )
    half = bar.size / 2
    first, second = (abs(dot(axis, run)) > 0.5 for axis in group.axes)
    return (group.rim[0] if first else half, group.rim[1] if second else half)


def _plates(made: Made, joints: tuple[Joint, ...], thread: Thread) -> list[Plate]:
    """Every plate that the screws bear on, at the hole that is nearest to an edge."""
    parts, instances = made.detail.parts, {i.name: i for i in made.detail.instances}
    found = []
    for place, member in enumerate(joints[0].members):
        if member.instance in RAILS and member.hole == "rail":
            found.append(_rail_plate(made, joints, member, thread))
        instance = instances.get(member.instance)
        part = parts[instance.part] if instance else None
        if instance is None or not isinstance(part, SheetPart) or member.hole == "none":
            continue
        spots = [
            j.point for j in joints if len(j.members) > place and j.members[place].instance == member.instance
        ]
        edge = min(edge_distance(part, instance, spot, joints[0].direction) for spot in spots)
        slotted = any(j.members[place].hole in ("slot", "arc_slot") for j in joints)
        material = made.catalogue.material(part.material)
        hole = {"fitted": thread.press_nut_hole, "tapped": thread.diameter}.get(
            member.hole, thread.clearance_medium
        )
        found.append(Plate(member.instance, part.thickness, material.ultimate_mpa, hole, edge, slotted))
    return found


def _rail_plate(made: Made, joints: tuple[Joint, ...], member: Member, thread: Thread) -> Plate:
    """The rail's web: the edge is the rail's own, up or down."""
    rail = made.survey.rail
    top = float(rail.top_above_surface)
    edge = min(min(top - j.point[2], j.point[2] - (top - rail.section.depth)) for j in joints)
    ultimate = made.catalogue.material(rail.profile.material).ultimate_mpa
    return Plate("rail", member.thickness, ultimate, thread.clearance_coarse, edge, slotted=False)


def edge_distance(part: SheetPart, instance: Instance, point: Vec3, axis: Vec3) -> float:
    """mm from a joint's axis to the nearest edge, or bend, of the flange it goes through; 0 off the part."""
    for flange, inner in part.placed_flanges():
        frame = instance.placement.then(inner)
        if abs(abs(dot(frame.z_axis, axis)) - 1) > 1e-6:
            continue
        x, y = flat_point(frame, point)
        x0, y0, x1, y1 = flange.outline.bounds
        if x0 < x < x1 and y0 < y < y1:
            return min(point_gap((x, y), edge) for edge in edges_of(flange.outline))
    return 0.0


def _lips(made: Made, bar: Extrusion) -> Lips:
    """The nut bears on each lip from the slot's edge to its own; a lip's root is where it meets the wall."""
    root = (bar.slot_inner_width - bar.slot_width) / 2
    bears = (bar.nut_width - bar.slot_width) / 2
    yield_mpa = made.catalogue.material(bar.material).yield_mpa
    return Lips(bar.nut_length, bar.lip_thickness, root - bears / 2, yield_mpa)


def _leg(made: Made, title: str, joints: tuple[Joint, ...], thread: Thread) -> Leg | None:
    """The rail leg of the rail angle, pulled at its bend by the post leg; a foot angle's leg on its base and
    the head's flange likewise."""
    layout = made.layout
    steel = made.catalogue.material(rules.SHEET)
    if title in (RAIL_GROUP, FAR_RAIL_GROUP):
        t, pattern = layout.on_rail.angle_thickness, layout.on_rail.pattern
        height = pattern.leg_z[1] - pattern.leg_z[0]
        bolt_at = pattern.columns[0] - layout.angle_x - t * (1 + 0.8 * rules.BEND_RADIUS_RATIO)
        rim, rows, pitch = pattern.leg_end_x - pattern.columns[0], 2, height / 2
    elif layout.on_floor and title.endswith("to base plate"):
        t = layout.on_floor.angle_thickness
        bolt_at = SCREW_OUT - t * (1 + 0.8 * rules.BEND_RADIUS_RATIO)
        rim, rows, pitch = ANGLE_LEG - SCREW_OUT, 1, layout.on_floor.angle_width / 2
    elif title == "print head to swing plate":
        t, head = layout.head.plate, layout.head
        xs = sorted({round(joint.point[0], 6) for joint in joints})
        bolt_at = head.swing_x - xs[-1] - 0.8 * head.bend_radius
        rim, rows = xs[-1] - head.tab_x, len(xs)
        pitch = (head.flange_high - head.flange_low) / max(len(joints) / len(xs), 1.0)
    else:
        return None
    if bolt_at <= thread.diameter / 2 or pitch <= thread.clearance_medium or rim <= 0.0:
        return None
    leg = PulledLeg(pitch, bolt_at, rim, thread.diameter, thread.clearance_medium, steel.yield_mpa)
    return Leg(leg, t, rows)
