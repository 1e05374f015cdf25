"""What a floor stand does to the floor: whether it tips, whether it slides, what its anchors carry.

Masses are those of the frame at each corner pose with the base's own; floor and base are rigid here. Places
are x, y and z from the floor, mm. A hand leans on the head, level from any side or downwards.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from mountgen.geometry import Vec2, Vec3, add, scale
from mountgen.layout import rules
from mountgen.layout.stand import Base, least_safety
from mountgen.mechanics.tipping import (
    PointMass,
    Push,
    foot_loads,
    least_ballast,
    sliding_safety,
    tilt_of_tipping,
)
from mountgen.mechanics.tipping import Stand as Standing
from mountgen.structure.frame_model import frame_model, mount_of
from mountgen.structure.frame_records import Model
from mountgen.structure.joint_groups import Made
from mountgen.structure.records import Structure

FLOOR_FRICTION = 0.2
"""Of steel feet on smooth, dusty concrete (rule of this project, below common practice)."""
LEVEL: tuple[Vec2, ...] = ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))
"""Ways in which a hand pushes level."""


@dataclass(frozen=True)
class FloorLoad:
    """One corner pose: the base, all masses with the base's own, where the hand leans, and its force, N."""

    base: Base
    masses: tuple[PointMass, ...]
    hand_at: Vec3
    hand: float

    @property
    def standing(self) -> Standing:
        return Standing(self.masses, self.base.feet)

    @property
    def safety(self) -> float:
        """Moment that holds over moment that tips."""
        return least_safety(self.base, self.masses, self.hand_at, self.hand)

    @property
    def tilt_deg(self) -> float:
        """By which it may be knocked out of plumb before it falls."""
        return tilt_of_tipping(self.standing)

    @property
    def sliding(self) -> float:
        """Friction under the feet over the hand's push."""
        return sliding_safety(self.standing.weight, self.hand, FLOOR_FRICTION)

    def ballast(self, safety: float) -> float:
        """kg on the middle of the base that give a safety against a level push; inf where none does."""
        return least_ballast(self.standing, Push(self.hand, self.hand_at[2]), safety, self.base.middle)

    @property
    def anchor_pull(self) -> float:
        """N that pulls the worst anchor. Source: see `tipping.foot_loads`."""
        return max(0.0, -min(float(np.min(loads)) for loads in self._anchor_loads()))

    def _anchor_loads(self) -> Iterator[np.ndarray]:
        """Of every anchor, N downwards, for every way of the hand."""
        weight, (x, y, _) = self.standing.weight, self.standing.centre
        off = self.hand * self.hand_at[2] / weight
        for a, b in LEVEL:
            yield foot_loads(self.base.feet, weight, (x + a * off, y + b * off))
        leaning = Standing((*self.masses, PointMass(self.hand / rules.GRAVITY, self.hand_at)), self.base.feet)
        yield foot_loads(self.base.feet, leaning.weight, leaning.centre[:2])

    @property
    def anchor_shear(self) -> float:
        """N across the worst anchor: an even share of the push, and that of its turn about the base's middle.

        Source: elastic vector method, the worst of both added up without their directions.
        """
        feet = np.array(self.base.feet) - np.array(self.base.middle)
        radii = np.hypot(feet[:, 0], feet[:, 1])
        lever = max(abs(self.hand_at[axis] - self.base.middle[axis]) for axis in (0, 1))
        return float(self.hand / len(feet) + self.hand * lever * radii.max() / np.sum(radii**2))


def floor_loads(made: Made, structure: Structure) -> tuple[FloorLoad, ...]:
    """Every corner pose of a stand."""
    stand = made.layout.on_floor
    assert stand is not None
    mount = mount_of(made.survey, made.layout, made.detail, made.catalogue)
    base, down = mount.bodies["base"], (0.0, 0.0, -stand.floor)
    own = PointMass(base.kg, add(base.centre, down))
    found = []
    for pose in structure.poses:
        model = frame_model(mount, pose.product)
        at = {node.name: node.at for node in model.frame.nodes}
        masses = (own, *(PointMass(one.kg, add(one.at, down)) for one in frame_masses(model)))
        hand_at = add(add(at["head"], model.push), down)
        found.append(FloorLoad(stand.base, masses, hand_at, made.survey.joining.hand_force))
    return tuple(found)


def frame_masses(model: Model) -> Iterator[PointMass]:
    """The bodies of a frame, and its bars at their middles, in the world."""
    at = {node.name: node.at for node in model.frame.nodes}
    for body in model.frame.masses:
        yield PointMass(body.kg, add(at[body.node], body.offset))
    for member, (begin, end) in zip(model.frame.members, model.frame.bar_ends, strict=True):
        kg = member.bar.kg_per_mm3 * member.bar.area * math.dist(begin, end)
        yield PointMass(kg, scale(add(begin, end), 0.5))
