"""A space frame of straight bars: what it is made of, in numbers.

Words: a *node* is a named point that moves in six ways (travel along and turn about x, y, z). A *member*
is a slender straight bar between two nodes. Its ends may stand off their nodes by *rigid offsets*, and
may hang on *springs*: node, rigid offset, spring, bar. A *support* holds a node by six stiffnesses. Six
stiffnesses are always travel along x, y, z in N/mm, then turn about x, y, z in N mm/rad; `inf` is rigid,
0 is free.

A member's local x runs from start to end; its local z is the part of `up` square to that; local y
completes the right-handed set. `iy` is the second moment of area for bending about local y.

Bars follow Euler and Bernoulli: no shear deformation. Deflections are small. It knows nothing of buckling.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from mountgen.geometry import Placement, Vec3, add, cross, length, scale, subtract
from mountgen.mechanics.ranges import Floats, require_finite, require_not_negative, require_positive

Six = tuple[float, float, float, float, float, float]

RIGID: Six = (math.inf,) * 6
"""Six stiffnesses that do not give."""

FREE: Six = (0.0,) * 6
"""Six stiffnesses that do not hold."""

NOWHERE: Vec3 = (0.0, 0.0, 0.0)

WEIGHT_DOWN: Vec3 = (0.0, 0.0, -9806.65)
"""mm/s2; standard gravity in the world frame (ISO 80000-3)."""

WORLD = Placement()

DIRECTIONS = ("x", "y", "z", "about x", "about y", "about z")

LEAST_LENGTH = 1e-3
"""mm; a shorter bar between the ends of its rigid offsets is a mistake."""

PARALLEL = 1e-6
"""Sine of the least angle between a member and its `up`."""


class FrameError(ValueError):
    """A frame that is described wrongly: unknown node, doubled name, bar without a length."""


@dataclass(frozen=True)
class Bar:
    """Section and material of a member: mm2, mm4, MPa, kg/mm3.

    `j` is the torsion constant; the section's inertia about its own axis is that of iy + iz.
    """

    area: float
    iy: float
    iz: float
    j: float
    e_mpa: float
    g_mpa: float
    kg_per_mm3: float = 0.0

    def __post_init__(self) -> None:
        require_positive(area=self.area, iy=self.iy, iz=self.iz, j=self.j)
        require_positive(e_mpa=self.e_mpa, g_mpa=self.g_mpa)
        require_not_negative(kg_per_mm3=self.kg_per_mm3)


@dataclass(frozen=True)
class Node:
    """A named point, mm."""

    name: str
    at: Vec3


@dataclass(frozen=True)
class End:
    """How a bar's end hangs on its node: rigid offset from it (mm, world axes), then springs (local axes)."""

    offset: Vec3 = NOWHERE
    springs: Six = RIGID

    def __post_init__(self) -> None:
        require_finite(offset=np.array(self.offset))
        _require_stiffnesses(self.springs)


@dataclass(frozen=True)
class Member:
    """A bar from node `start` to node `end`; `up` is a direction that its local z leans to."""

    name: str
    start: str
    end: str
    bar: Bar
    up: Vec3 = (0.0, 0.0, 1.0)
    start_end: End = field(default_factory=End)
    end_end: End = field(default_factory=End)


@dataclass(frozen=True)
class Support:
    """A node held by six stiffnesses along and about the axes of `axes`."""

    node: str
    stiffness: Six = RIGID
    axes: Placement = WORLD

    def __post_init__(self) -> None:
        _require_stiffnesses(self.stiffness)


@dataclass(frozen=True)
class Mass:
    """A rigid body on a node: kg, offset of its centre of mass (mm), inertia tensor about that (kg mm2).

    `inertia` holds the tensor's xx, yy, zz, xy, xz, yz in world axes; the last three are negative
    integrals of the products.
    """

    node: str
    kg: float
    offset: Vec3 = NOWHERE
    inertia: Six = FREE

    def __post_init__(self) -> None:
        require_not_negative(kg=self.kg)
        require_finite(offset=np.array(self.offset), inertia=np.array(self.inertia))
        least = np.linalg.eigvalsh(self.tensor)[0]
        if least < -1e-9 * max(abs(value) for value in (*self.inertia, 1.0)):
            raise FrameError(f"mass on node {self.node}: an inertia tensor has no negative principal value")

    @property
    def tensor(self) -> Floats:
        xx, yy, zz, xy, xz, yz = self.inertia
        return np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])


@dataclass(frozen=True)
class Frame:
    """Nodes, members, supports and masses; every name once, every reference known."""

    nodes: tuple[Node, ...]
    members: tuple[Member, ...]
    supports: tuple[Support, ...]
    masses: tuple[Mass, ...] = ()

    def __post_init__(self) -> None:
        _require_once("node", (node.name for node in self.nodes))
        _require_once("member", (member.name for member in self.members))
        _require_once("support on node", (support.node for support in self.supports))
        known = {node.name for node in self.nodes}
        for member in self.members:
            _require_known(known, member.start, f"member {member.name}")
            _require_known(known, member.end, f"member {member.name}")
        for support in self.supports:
            _require_known(known, support.node, "support")
        for body in self.masses:
            _require_known(known, body.node, "mass")
        for member, ends in zip(self.members, self.bar_ends, strict=True):
            member_axes(member, *ends)

    @property
    def index(self) -> dict[str, int]:
        """Each node's row in arrays of results."""
        return {node.name: row for row, node in enumerate(self.nodes)}

    @property
    def bar_ends(self) -> tuple[tuple[Vec3, Vec3], ...]:
        """Where each member's bar begins and ends, mm."""
        at = {node.name: node.at for node in self.nodes}
        return tuple(
            (add(at[m.start], m.start_end.offset), add(at[m.end], m.end_end.offset)) for m in self.members
        )


@dataclass(frozen=True)
class NodalLoad:
    """A force (N) and a couple (N mm) on a node, world axes; the force acts at `offset` (mm) from it."""

    node: str
    force: Vec3 = NOWHERE
    couple: Vec3 = NOWHERE
    offset: Vec3 = NOWHERE


@dataclass(frozen=True)
class LoadCase:
    """Loads that act together; `gravity` (mm/s2) pulls at every mass and bar, see `WEIGHT_DOWN`."""

    loads: tuple[NodalLoad, ...] = ()
    gravity: Vec3 = NOWHERE


def member_axes(member: Member, begin: Vec3, end: Vec3) -> tuple[tuple[Vec3, Vec3, Vec3], float]:
    """The member's local x, y and z and its bar's length, mm; FrameError when it has none.

    Args:
        member: names the bar and the direction its local z leans to.
        begin: where the bar begins, mm.
        end: where it ends, mm.
    """
    along = subtract(end, begin)
    size = length(along)
    if not size >= LEAST_LENGTH:
        raise FrameError(f"member {member.name}: its bar has no length")
    x = scale(along, 1 / size)
    aside = cross(member.up, x)
    wide = length(aside)
    if not wide > PARALLEL * length(member.up):
        raise FrameError(f"member {member.name}: its up direction is parallel to the bar")
    y = scale(aside, 1 / wide)
    return (x, y, cross(x, y)), size


def _require_stiffnesses(six: Six) -> None:
    if len(six) != 6 or any(math.isnan(value) or value < 0 for value in six):
        raise FrameError(f"six stiffnesses of zero or more are needed, found {six}")


def _require_once(what: str, names: Iterable[str]) -> None:
    doubled = [name for name, times in Counter(names).items() if times > 1]
    if doubled:
        raise FrameError(f"{what} {doubled[0]} is there twice")


def _require_known(known: set[str], name: str, who: str) -> None:
    if name not in known:
        raise FrameError(f"{who}: there is no node {name}")
