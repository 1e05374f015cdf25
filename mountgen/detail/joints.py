"""Joints make the holes.

A joint is described once, where it sits in the assembled mount: an axis, the members it goes through in
order from the screw's head, and what each member gets (`Cut`). From that one description come the hole
in every member, the grip, the screw's length and the fasteners that are placed. Nothing else may place a
hole for a fastener, so two parts cannot disagree.

Words: the *seat* is the outer face of the first member on the axis; the *end* is what the screw goes
into: a nut, a press nut or a blind rivet nut in the last member, a T-nut in a bar, a tapped hole of a
plate or a device, a levelling foot or an anchor under a base. A pin and a photo-eye's barrel are joints too;
one that ends in nothing only makes openings.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import Extrusion, Thread
from mountgen.errors import SheetError
from mountgen.geometry import COINCIDENT, Placement, Vec2, Vec3, add, dot, scale
from mountgen.sheet.tree import ArcSlot, Flange, Hole, RoundHole, SheetPart, Slot

End = Literal[
    "nut", "press_nut", "rivet_nut", "t_nut", "tapped", "device", "foot", "anchor", "pin", "barrel", "none"
]


@dataclass(frozen=True)
class Clearance:
    """A round clearance hole: ISO 273 medium, or as large as the play that it must give (`diameter`)."""

    diameter: float | None = None


@dataclass(frozen=True)
class RailDrilled:
    """A hole drilled by hand in the rail: one clearance class looser, ISO 273 coarse, or as large as what
    is set into it (`diameter`)."""

    diameter: float | None = None


@dataclass(frozen=True)
class SlotAlong:
    """A straight slot of clearance width along a world direction; `ahead` and `behind` are its travel
    from the axis that way and the other. `width` is for more play than ISO 273 medium gives, or for what is
    no screw, such as a barrel, whose slot has no thread's size."""

    direction: Vec3
    ahead: float
    behind: float
    width: float | None = None
    is_for_screw: bool = True


@dataclass(frozen=True)
class ArcAbout:
    """A slot along an arc about a point of the world; the axis may turn about it by these angles,
    counter-clockwise seen against `axis`. `width` is for more play than ISO 273 medium gives."""

    centre: Vec3
    axis: Vec3
    from_deg: float
    to_deg: float
    width: float | None = None


@dataclass(frozen=True)
class PressFit:
    """A round hole of a given diameter: for a press nut's shank, a pin, a barrel."""

    diameter: float
    kind: Literal["clearance", "dowel", "opening"] = "opening"
    size: str = ""


@dataclass(frozen=True)
class Tapped:
    """A hole with the screw's own thread in the last member, a plate."""


@dataclass(frozen=True)
class NoHole:
    """The member is met in a groove or a tapped hole of its own."""


Cut = Clearance | RailDrilled | SlotAlong | ArcAbout | PressFit | Tapped | NoHole


@dataclass(frozen=True)
class Through:
    """One member of a joint and what it gets; `thickness` is for members that are no sheet part."""

    instance: str
    cut: Cut
    thickness: float = 0.0


@dataclass(frozen=True)
class JointPlan:
    """A joint before its holes are made. `direction` runs from the head into the members."""

    id: str
    title: str
    group: str
    thread: Thread
    seat: Vec3
    direction: Vec3
    members: tuple[Through, ...]
    end: End
    bar: Extrusion | None = None
    bar_axis: Vec3 = (0.0, 0.0, 1.0)
    depth: float = 0.0
    """Thread depth of a device's hole or a tapped plate; room behind the seat of a rivet nut; how far a base
    lies over the floor."""
    washer: bool = True
    torque_nm: float | None = None
    """Where less than what its end allows must do."""


@dataclass(frozen=True)
class Placed:
    """A sheet part and where it stands."""

    part: SheetPart
    placement: Placement


def into_bar(
    label: tuple[str, str, str],
    axis: tuple[Vec3, Vec3],
    plate: Through,
    bar: tuple[str, Extrusion, Vec3],
    catalogue: Catalogue,
) -> JointPlan:
    """A screw through a plate into a T-nut of a bar. `label` is id, title and group, `axis` seat and
    direction, `bar` its name, section and direction."""
    name, section, run = bar
    members = (plate, Through(name, NoHole()))
    return JointPlan(*label, catalogue.thread(section.nut_thread), *axis, members, "t_nut", section, run)


def drill(placed: Mapping[str, Placed], plans: Iterable[JointPlan]) -> dict[str, Placed]:
    """The parts with the holes of every joint in them.

    Raises SheetError when a joint's axis misses a member: no hole is ever dropped.
    """
    holes: dict[str, dict[str, list[Hole]]] = {name: defaultdict(list) for name in placed}
    for plan in plans:
        for member in plan.members:
            if member.instance in placed and not isinstance(member.cut, NoHole):
                flange, frame = _flange_on_axis(placed[member.instance], plan)
                holes[member.instance][flange].append(make_hole(frame, plan, member.cut))
    return {name: _drilled(target, holes[name]) for name, target in placed.items()}


def _drilled(target: Placed, holes: Mapping[str, list[Hole]]) -> Placed:
    return replace(target, part=replace(target.part, root=_with_holes(target.part.root, holes)))


def member_thickness(placed: Mapping[str, Placed], member: Through) -> float:
    """What a member adds to the grip, mm."""
    if member.instance in placed:
        return placed[member.instance].part.thickness
    return member.thickness


def _flange_on_axis(target: Placed, plan: JointPlan) -> tuple[str, Placement]:
    """The flange that lies square to the joint's axis and holds its point, and its frame in the world."""
    for flange, inner in target.part.placed_flanges():
        frame = target.placement.then(inner)
        if abs(abs(dot(frame.z_axis, plan.direction)) - 1) > COINCIDENT:
            continue
        if _inside_bounds(flange, flat_point(frame, plan.seat)):
            return flange.name, frame
    raise SheetError(f"joint {plan.id} ({plan.title}) misses {target.part.name}")


def _inside_bounds(flange: Flange, point: Vec2) -> bool:
    x0, y0, x1, y1 = flange.outline.bounds
    return x0 < point[0] < x1 and y0 < point[1] < y1


def flat_point(frame: Placement, point: Vec3) -> Vec2:
    """Where a point of the world falls on a flange's plane."""
    local = frame.local_point(point)
    return (round(local[0], 9), round(local[1], 9))


def make_hole(frame: Placement, plan: JointPlan, cut: Cut) -> Hole:
    """The hole of one joint in the flange whose world frame this is."""
    centre, thread = flat_point(frame, plan.seat), plan.thread
    if isinstance(cut, SlotAlong):
        return _slot(frame, centre, cut, thread)
    if isinstance(cut, ArcAbout):
        return _arc_slot(frame, centre, cut, thread)
    if isinstance(cut, PressFit):
        return RoundHole(centre, cut.diameter, cut.kind, cut.size)
    if isinstance(cut, Tapped):
        return RoundHole(centre, thread.tap_drill, "tapped", thread.name)
    return RoundHole(centre, clearance_of(cut, thread), "clearance", thread.name)


def clearance_of(cut: Cut, thread: Thread) -> float:
    """Diameter of a joint's clearance hole, or width of its slot, mm."""
    if isinstance(cut, SlotAlong | ArcAbout):
        return cut.width or thread.clearance_medium
    return (cut.diameter if isinstance(cut, Clearance) else None) or thread.clearance_medium


def _slot(frame: Placement, centre: Vec2, cut: SlotAlong, thread: Thread) -> Slot:
    along = frame.local_vector(cut.direction)
    middle = (cut.ahead - cut.behind) / 2
    at = (centre[0] + middle * along[0], centre[1] + middle * along[1])
    width = clearance_of(cut, thread)
    size = thread.name if cut.is_for_screw else ""
    angle = 90.0 if abs(along[1]) > abs(along[0]) else 0.0
    return Slot(at, width, width + cut.ahead + cut.behind, angle, "slot", size)


def _arc_slot(frame: Placement, centre: Vec2, cut: ArcAbout, thread: Thread) -> ArcSlot:
    pivot = flat_point(frame, cut.centre)
    radius, angle = _polar(pivot, centre)
    ends = (cut.from_deg, cut.to_deg)
    if dot(frame.z_axis, cut.axis) < 0:
        ends = (-cut.to_deg, -cut.from_deg)
    width = clearance_of(cut, thread)
    return ArcSlot(pivot, radius, width, angle + ends[0], angle + ends[1], "arc_slot", thread.name)


def _polar(pivot: Vec2, point: Vec2) -> tuple[float, float]:
    dx, dy = point[0] - pivot[0], point[1] - pivot[1]
    return round(math.hypot(dx, dy), 9), round(math.degrees(math.atan2(dy, dx)), 9) % 360.0


def _with_holes(flange: Flange, holes: Mapping[str, list[Hole]]) -> Flange:
    """The flange and all that hangs on it, with the holes of each by its name."""
    bends = tuple(replace(bend, child=_with_holes(bend.child, holes)) for bend in flange.bends)
    return replace(flange, holes=(*flange.holes, *holes.get(flange.name, ())), bends=bends)


def rail_drill(plan: JointPlan) -> float | None:
    """Diameter of the hole that a joint wants drilled into the rail, mm; None for a joint without one."""
    for member in plan.members:
        if isinstance(member.cut, RailDrilled):
            return member.cut.diameter or plan.thread.clearance_coarse
    return None


def along(plan: JointPlan, distance: float) -> Vec3:
    """The point on the axis that lies `distance` past the seat."""
    return add(plan.seat, scale(plan.direction, distance))
