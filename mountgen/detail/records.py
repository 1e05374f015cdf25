"""The detailed mount: parts, where each stands, and the joints that hold them together.

An *instance* is one placed copy of a part. A *joint* is one fastener (with its washers and nut) and the
members it goes through; it makes the hole in each of them. Numbers of handed parts end in -L or -R.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from mountgen.catalogue.records import Extrusion
from mountgen.geometry import Box, Placement, Vec3
from mountgen.shapes import Shape
from mountgen.sheet.tree import SheetPart

HEADS = ("print head", "print head 2", "print head 3")
"""Names of the heads of a mount, the lowest first."""
Kind = Literal["sheet", "extrusion", "bought"]
HoleName = Literal["clearance", "slot", "arc_slot", "fitted", "tapped", "rail", "none"]
"""What a joint cuts into a member: 'fitted' is a press fit or a pin, 'none' a groove or thread of its own."""

FAR_RAIL = "far rail"
RAILS = frozenset({"rail", FAR_RAIL})
"""What the rails are called among a joint's members."""

Rgb = tuple[float, float, float]


@dataclass(frozen=True)
class EndFeature:
    """Work on the cut bar: a tapped core bore at an end, or a hole across it at `at` from the datum end."""

    kind: Literal["end_tap", "cross_hole"]
    at: float
    size: str
    diameter: float
    depth: float
    face: str


@dataclass(frozen=True)
class ExtrusionPart:
    """A cut length of T-slot extrusion. Its frame: origin at the centre of the datum end, z along it."""

    number: str
    name: str
    section: Extrusion
    length: float
    material: str
    features: tuple[EndFeature, ...] = ()
    finish: str = ""

    @property
    def boxes(self) -> tuple[Box, ...]:
        """The bar as one box in its own frame."""
        half = self.section.size / 2
        return (Box((-half, -half, 0.0), (half, half, self.length)),)


@dataclass(frozen=True)
class BoughtPart:
    """A part that is bought: standard or catalogue designation, its simple shape and its mass."""

    number: str
    name: str
    designation: str
    shape: Shape
    mass_kg: float
    material: str
    colour: Rgb

    @property
    def boxes(self) -> tuple[Box, ...]:
        """A box around each of its primitives, in its own frame."""
        return self.shape.boxes


MadePart = SheetPart | ExtrusionPart
Part = SheetPart | ExtrusionPart | BoughtPart


@dataclass(frozen=True)
class Instance:
    """One placed copy. `name` is unique in the mount; `group` is its sub-assembly ('mast', 'head' ...);
    `joint` is the id of the joint whose fastener it is, or ''."""

    name: str
    part: str
    placement: Placement
    group: str
    joint: str = ""


@dataclass(frozen=True)
class Member:
    """One part that a joint goes through, in order from the fastener's head: the hole it gets."""

    instance: str
    hole: HoleName
    thickness: float


@dataclass(frozen=True)
class Joint:
    """One fastener along an axis. `point` is where the head seats (under its washer, if any), and
    `direction` runs from the head towards the nut."""

    id: str
    title: str
    thread: str
    point: Vec3
    direction: Vec3
    members: tuple[Member, ...]
    grip: float
    screw_length: float
    torque_nm: float
    torque_source: str
    key: str
    fastener: str


@dataclass(frozen=True)
class RailHole:
    """A hole to drill in a rail's web: x along the line, z from the conveying surface; `holds` is what
    is set into it for good, such as a rivet nut, or ''; `rail` is 'rail' for the near one or 'far rail'."""

    tag: str
    x: float
    z: float
    diameter: float
    joint: str
    holds: str = ""
    rail: str = "rail"


@dataclass(frozen=True)
class Cable:
    """A device's cable to the controller: the points of its route where it is longest, the length that all
    settings need and the bend radius that it must keep (mm); `own` is the length of one that is fixed to its
    device, 0 for one that is chosen."""

    number: str
    device: str
    points: tuple[Vec3, ...]
    needed: float
    bend_radius: float
    own: float = 0.0


@dataclass(frozen=True)
class FloorHole:
    """A hole to drill in the floor: x along the line, y across it, diameter and depth."""

    tag: str
    x: float
    y: float
    diameter: float
    depth: float
    joint: str


@dataclass(frozen=True)
class Detail:
    """The whole mount in detail."""

    sheets: tuple[SheetPart, ...]
    extrusions: tuple[ExtrusionPart, ...]
    bought: tuple[BoughtPart, ...]
    instances: tuple[Instance, ...]
    joints: tuple[Joint, ...]
    rail_holes: tuple[RailHole, ...]
    cables: tuple[Cable, ...] = ()
    floor_holes: tuple[FloorHole, ...] = ()

    @cached_property
    def parts(self) -> dict[str, Part]:
        """Every part by number."""
        everything: tuple[Part, ...] = (*self.sheets, *self.extrusions, *self.bought)
        return {part.number: part for part in everything}

    def quantity(self, number: str) -> int:
        return sum(instance.part == number for instance in self.instances)
