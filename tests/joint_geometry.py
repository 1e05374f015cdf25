"""What a joint looks like from outside: placed shanks, faces and holes, taken from the parts as they stand.

Nothing here reads a joint's grip, its member's hole or the plan that made it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from shapely.geometry import Point, Polygon

from mountgen.detail.records import BoughtPart, Detail, ExtrusionPart, Instance, Joint, Part
from mountgen.geometry import Contour, Placement, Vec3, arc_of, dot, subtract
from mountgen.shapes import Cylinder, primitive_box
from mountgen.sheet.tree import SheetPart

ARC_STEPS = 96
NEAR = 1e-6


def sampled(contour: Contour) -> Polygon:
    """A contour as a polygon whose corners lie on it."""
    points = []
    for a, b in contour.segments():
        points.append((a.x, a.y))
        if a.bulge:
            arc = arc_of(a, b)
            steps = range(1, ARC_STEPS)
            angles = [arc.start_deg + (arc.end_deg - arc.start_deg) * k / ARC_STEPS for k in steps]
            if a.bulge < 0:
                angles.reverse()
            points += [
                (
                    arc.centre[0] + arc.radius * math.cos(math.radians(t)),
                    arc.centre[1] + arc.radius * math.sin(math.radians(t)),
                )
                for t in angles
            ]
    return Polygon(points)


@dataclass(frozen=True)
class Face:
    """One flange as it stands: frame in the world, thickness, outline and holes as polygons."""

    part: str
    instance: str
    flange: str
    frame: Placement
    thickness: float
    outline: Polygon
    holes: tuple[Polygon, ...]

    def is_square_to(self, direction: Vec3) -> bool:
        return abs(abs(dot(self.frame.z_axis, direction)) - 1) < NEAR

    def spot(self, point: Vec3) -> Point:
        x, y, _ = self.frame.local_point(point)
        return Point(x, y)


@dataclass(frozen=True)
class Span:
    """What lies on a joint's axis, from `start` to `end` along it."""

    what: str
    start: float
    end: float


@dataclass(frozen=True)
class Mount:
    """A detailed mount with its flanges as polygons."""

    detail: Detail
    web_thickness: float

    @cached_property
    def instances(self) -> dict[str, Instance]:
        return {instance.name: instance for instance in self.detail.instances}

    @cached_property
    def parts(self) -> dict[str, Part]:
        return self.detail.parts

    @cached_property
    def faces(self) -> dict[str, tuple[Face, ...]]:
        """Every sheet instance's flanges."""
        return {
            instance.name: tuple(_faces(instance, part))
            for instance in self.detail.instances
            if isinstance(part := self.parts[instance.part], SheetPart)
        }

    def part_of(self, name: str) -> Part:
        return self.parts[self.instances[name].part]

    def hardware(self, joint: Joint, role: str) -> list[tuple[Instance, BoughtPart]]:
        """The joint's fasteners whose names hold the role."""
        found = [i for i in self.detail.instances if i.joint == joint.id and role in i.name]
        return [(i, part) for i in found if isinstance(part := self.parts[i.part], BoughtPart)]

    def shank(self, joint: Joint) -> Shank:
        """The screw's or pin's cylinder where it stands."""
        pins = self.hardware(joint, " pin")
        (instance, part) = pins[0] if pins else self.hardware(joint, " screw")[0]
        cylinder = part.shape.add[-1]
        assert isinstance(cylinder, Cylinder)
        place = instance.placement.then(cylinder.frame)
        return Shank(place.origin, place.z_axis, cylinder.diameter, cylinder.height)

    def crossed(self, joint: Joint, member: str) -> tuple[Face, Polygon] | None:
        """The flange of a member that the shank's axis goes through, and the hole around the axis."""
        shank = self.shank(joint)
        found = [
            (face, hole)
            for face in self.faces.get(member, ())
            if face.is_square_to(shank.direction)
            for hole in face.holes
            if hole.contains(face.spot(shank.start))
        ]
        assert len(found) <= 1, f"{joint.id} goes through {len(found)} holes of {member}"
        return found[0] if found else None


@dataclass(frozen=True)
class Shank:
    """A cylinder in the world, from under its head."""

    start: Vec3
    direction: Vec3
    diameter: float
    length: float

    def along(self, point: Vec3) -> float:
        return dot(subtract(point, self.start), self.direction)

    def off_axis(self, point: Vec3) -> float:
        way = subtract(point, self.start)
        return math.sqrt(max(dot(way, way) - self.along(point) ** 2, 0.0))


def _faces(instance: Instance, part: SheetPart):
    for flange, inner in part.placed_flanges():
        holes = tuple(sampled(hole.contour) for hole in flange.holes)
        frame = instance.placement.then(inner)
        yield Face(
            part.name, instance.name, flange.name, frame, part.thickness, sampled(flange.outline), holes
        )


def face_span(face: Face, shank: Shank) -> Span:
    ends = sorted(shank.along(face.frame.point((0.0, 0.0, z))) for z in (0.0, face.thickness))
    return Span(face.instance, *ends)


def member_span(mount: Mount, joint: Joint, member: str, shank: Shank) -> Span:
    """Where a member begins and ends on the axis."""
    if member == "rail":
        ends = sorted(shank.along((shank.start[0], y, shank.start[2])) for y in (0.0, mount.web_thickness))
        return Span(member, *ends)
    crossed = mount.crossed(joint, member)
    if crossed is not None:
        return face_span(crossed[0], shank)
    part, place = mount.part_of(member), mount.instances[member].placement
    if isinstance(part, ExtrusionPart):
        middle = shank.along(place.origin)
        assert abs(dot(place.z_axis, shank.direction)) < NEAR
        return Span(member, middle - part.section.size / 2, middle + part.section.size / 2)
    assert isinstance(part, BoughtPart)
    box = primitive_box(part.shape.add[0])
    ends = [shank.along(place.point(corner)) for corner in box.corners]
    return Span(member, min(ends), max(ends))


def disc_span(instance: Instance, part: BoughtPart, shank: Shank) -> Span:
    """A washer's or nut's thickness on the axis."""
    box = part.shape.box
    ends = sorted(shank.along(instance.placement.point((0.0, 0.0, z))) for z in (box.low[2], box.high[2]))
    return Span(instance.name, *ends)
