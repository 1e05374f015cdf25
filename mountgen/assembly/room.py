"""Room for a key and for a part on its way in, measured with axis-parallel boxes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from mountgen.demand import Floats
from mountgen.geometry import Box, Vec3

KEY_RADIUS = 4.0
"""mm; half the corridor that a key and its ball end need."""

LINED_UP = 200.0
"""mm; no more free length in front of a head than this is looked for."""

TOUCHING = 0.05
"""mm that two boxes may run into each other and still only touch."""

WAYS: tuple[Vec3, ...] = (
    (0.0, 1.0, 0.0),
    (0.0, 0.0, -1.0),
    (0.0, 0.0, 1.0),
    (0.0, -1.0, 0.0),
    (1.0, 0.0, 0.0),
    (-1.0, 0.0, 0.0),
)
"""Directions in which a part may come in, the handiest first: from the operator, from above, and so on."""

Named = Sequence[tuple[str, Box]]


@dataclass(frozen=True)
class Things:
    """What stands there, box by box: the name of what each belongs to, and (boxes, 2, 3) corners."""

    names: tuple[str, ...]
    corners: Floats

    def but(self, *names: str) -> Things:
        """All but the boxes of these."""
        gone = frozenset(names)
        keep = [place for place, name in enumerate(self.names) if name not in gone]
        return Things(tuple(self.names[place] for place in keep), self.corners[keep])


def corners_of(boxes: Iterable[Box]) -> Floats:
    """(boxes, 2, 3): low and high corners."""
    return np.array([(box.low, box.high) for box in boxes], dtype=np.float64).reshape(-1, 2, 3)


def things_of(named: Named) -> Things:
    return Things(tuple(name for name, _ in named), corners_of(box for _, box in named))


def free_runs(point: Vec3, direction: Vec3, corners: Floats) -> Floats:
    """How far a key can be drawn straight back from a head at `point` before it meets each box, mm.

    `direction` runs from the head into the members.
    """
    enter, leave = np.zeros(len(corners)), np.full(len(corners), LINED_UP)
    for axis in range(3):
        low, high, back = corners[:, 0, axis], corners[:, 1, axis], -direction[axis]
        if abs(back) < 1e-9:
            beside = (point[axis] <= low - KEY_RADIUS) | (point[axis] >= high + KEY_RADIUS)
            leave = np.where(beside, 0.0, leave)
            continue
        one, other = (low - point[axis]) / back, (high - point[axis]) / back
        enter, leave = np.maximum(enter, np.minimum(one, other)), np.minimum(leave, np.maximum(one, other))
    result: Floats = np.where(enter < leave, enter, LINED_UP)
    return result


def least_run(point: Vec3, direction: Vec3, things: Things) -> tuple[float, str]:
    """The least free run and what ends it, '' when nothing does."""
    if not things.names:
        return LINED_UP, ""
    runs = free_runs(point, direction, things.corners)
    nearest = int(runs.argmin())
    return float(runs[nearest]), things.names[nearest]


@dataclass(frozen=True)
class Hindrance:
    """What stands in a part's way, and by how many mm it must be moved aside; 0 and '' for a free way."""

    aside: float = 0.0
    blocker: str = ""


FREE = Hindrance()


def hindrance(moved: Floats, others: Things, way: Vec3, *, along_axis: bool) -> Hindrance:
    """What keeps a part with these corners from leaving its place along `way`; `along_axis` if it was pushed
    on along that line.

    What lies in another's box at its place (a shaft in its hole, a bar in a corner of a bent plate) blocks
    every way but that along the axis.
    """
    if not len(moved) or not others.names:
        return FREE
    low, high = moved[:, None, 0], moved[:, None, 1]
    other_low, other_high = others.corners[:, 0], others.corners[:, 1]
    over = np.minimum(high, other_high) - np.maximum(low, other_low)
    aside = np.minimum(high - other_low, other_high - low)
    axis = max(range(3), key=lambda i: abs(way[i]))
    sides = [side for side in range(3) if side != axis]
    beyond = (other_high - low if way[axis] > 0 else high - other_low)[..., axis]
    met = (over[..., sides] > TOUCHING).all(2) & (beyond > TOUCHING)
    met &= ~((over > TOUCHING).all(2) & along_axis)
    if not met.any():
        return FREE
    shifts = np.where(met, aside[..., sides].min(2), 0.0)
    worst = np.unravel_index(int(shifts.argmax()), shifts.shape)
    return Hindrance(float(shifts[worst]), others.names[int(worst[1])])
