"""How every piece moves from the first product's setting to any other's.

The settings tell how far arm and head go and turn; which pieces go along is read from the detail itself, by
comparing it at the settings that differ most. Movements stay in the plane across the line, so they are the
same in the working view and in the world.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from mountgen.checks.scene import Scene
from mountgen.detail.mast import detail
from mountgen.detail.records import Detail, Instance
from mountgen.geometry import Placement, Vec3, add, cos_deg, length, scale, sin_deg, subtract

SAME = 1e-6
"""mm, and parts of a unit vector, that two placements may differ by and still be one."""


@dataclass(frozen=True)
class Move:
    """A turn about the world's x axis, then a shift."""

    turn_deg: float
    dy: float
    dz: float

    def moved(self, place: Placement) -> Placement:
        """Where the move takes a placement."""
        if self.turn_deg == 0.0:
            return replace(place, origin=add(place.origin, (0.0, self.dy, self.dz)))
        turned = Placement((0.0, self.dy, self.dz), (1.0, 0.0, 0.0), self._turn((0.0, 0.0, 1.0)))
        return turned.then(place)

    def _turn(self, vector: Vec3) -> Vec3:
        cos, sin = cos_deg(self.turn_deg), sin_deg(self.turn_deg)
        return (vector[0], cos * vector[1] - sin * vector[2], sin * vector[1] + cos * vector[2])


@dataclass(frozen=True)
class _Way:
    """One way of following the settings."""

    across: bool
    up: bool
    turns: bool = False


WAYS: Mapping[str, _Way] = MappingProxyType(
    {
        "fixed": _Way(across=False, up=False),
        "lift": _Way(across=False, up=True),
        "across": _Way(across=True, up=False),
        "carriage": _Way(across=True, up=True),
        "head": _Way(across=True, up=True, turns=True),
    }
)
"""Up and down with the cross joint, in and out, both, and turning about the head's pivot too."""


def move(scene: Scene, way: str, product: int) -> Move:
    """What a piece that follows the settings in this way does from the first product to another."""
    settings, how = scene.layout.settings, WAYS[way]
    dy = float(settings.pivot_y[product] - settings.pivot_y[0]) if how.across else 0.0
    dz = float(settings.pivot_z[product] - settings.pivot_z[0]) if how.up else 0.0
    turn = float(settings.tilt_deg[0] - settings.tilt_deg[product]) if how.turns else 0.0
    if turn == 0.0:
        return Move(0.0, dy, dz)
    pivot = (0.0, float(settings.pivot_y[0]), float(settings.pivot_z[0]))
    back = Move(turn, 0.0, 0.0).moved(Placement(scale(pivot, -1.0))).origin
    kept = add(pivot, back)
    return Move(turn, dy + kept[1], dz + kept[2])


def ways(scene: Scene) -> dict[str, str]:
    """Which way every instance follows the settings.

    Raises ValueError for a piece that none of the ways takes to where the detail has it.
    """
    others = {k: _at(scene, k) for k in _telling_products(scene)}
    moves = {(way, k): move(scene, way, k) for way in WAYS for k in others}
    found = {}
    for instance in scene.detail.instances:
        fits = (way for way in WAYS if _fits(instance, way, moves, others))
        way = next(fits, None)
        if way is None:
            raise ValueError(f"{instance.name}: its way from setting to setting is not known")
        found[instance.name] = way
    return found


_Places = Mapping[str, Placement]


def _fits(
    instance: Instance, way: str, moves: Mapping[tuple[str, int], Move], others: Mapping[int, _Places]
) -> bool:
    return all(
        stands_at(moves[way, k].moved(instance.placement), places[instance.name], bool(instance.joint))
        for k, places in others.items()
    )


def stands_at(a: Placement, b: Placement, spins: bool) -> bool:
    """Whether two placements are one; what `spins`, as fasteners do, may be turned about its own z axis."""
    pairs = [(a.origin, b.origin), (a.z_axis, b.z_axis)]
    if not spins:
        pairs.append((a.x_axis, b.x_axis))
    return all(p == q or length(subtract(p, q)) < SAME for p, q in pairs)


def _at(scene: Scene, product: int) -> _Places:
    other: Detail = detail(scene.survey, scene.layout, scene.catalogue, product)
    return {instance.name: instance.placement for instance in other.instances}


def _telling_products(scene: Scene) -> list[int]:
    """Few products that differ from the first one in all that any does: across, up and in tilt."""
    settings = scene.layout.settings
    rows = [abs(one - one[0]) > SAME for one in (settings.pivot_y, settings.pivot_z, settings.tilt_deg)]
    wanted = np.array(rows)
    chosen: list[int] = []
    while wanted.any():
        product = int(wanted.sum(axis=0).argmax())
        chosen.append(product)
        wanted = wanted[~wanted[:, product]]
    return chosen
