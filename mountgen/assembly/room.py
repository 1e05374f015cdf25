"""Room for a key and for a part on its way in, measured with axis-parallel boxes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

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


def free_run(point: Vec3, direction: Vec3, box: Box) -> float:
    """How far a key can be drawn straight back from a head at `point` before it meets the box, mm.

    `direction` runs from the head into the members.
    """
    enter, leave = 0.0, LINED_UP
    for axis in range(3):
        low, high = box.low[axis] - KEY_RADIUS, box.high[axis] + KEY_RADIUS
        back = -direction[axis]
        if abs(back) < 1e-9:
            if not low < point[axis] < high:
                return LINED_UP
            continue
        one, other = (box.low[axis] - point[axis]) / back, (box.high[axis] - point[axis]) / back
        enter, leave = max(enter, min(one, other)), min(leave, max(one, other))
    return enter if enter < leave else LINED_UP


def least_run(point: Vec3, direction: Vec3, things: Iterable[tuple[str, Box]]) -> tuple[float, str]:
    """The least free run and what ends it, '' when nothing does."""
    runs = ((free_run(point, direction, box), name) for name, box in things)
    return min(runs, key=lambda run: run[0], default=(LINED_UP, ""))


@dataclass(frozen=True)
class Hindrance:
    """What stands in a part's way, and by how many mm it must be moved aside; 0 and '' for a free way."""

    aside: float = 0.0
    blocker: str = ""


FREE = Hindrance()


def hindrance(moved: Sequence[Box], others: Named, way: Vec3, *, along_axis: bool) -> Hindrance:
    """What keeps a part from leaving its place along `way`; `along_axis` if it was pushed on along that line.

    What lies in another's box at its place (a shaft in its hole, a bar in a corner of a bent plate) blocks
    every way but that along the axis.
    """
    if not moved or not others:
        return FREE
    low, high = _corners(moved)
    other_low, other_high = _corners([box for _, box in others])
    over = np.minimum(high[:, None], other_high) - np.maximum(low[:, None], other_low)
    aside = np.minimum(high[:, None] - other_low, other_high - low[:, None])
    axis = max(range(3), key=lambda i: abs(way[i]))
    beyond = (other_high - low[:, None] if way[axis] > 0 else high[:, None] - other_low)[..., axis]
    met = (np.delete(over, axis, 2) > TOUCHING).all(2) & (beyond > TOUCHING)
    met &= ~((over > TOUCHING).all(2) & along_axis)
    if not met.any():
        return FREE
    shifts = np.where(met, np.delete(aside, axis, 2).min(2), 0.0)
    worst = np.unravel_index(int(shifts.argmax()), shifts.shape)
    return Hindrance(float(shifts[worst]), others[int(worst[1])][0])


def _corners(boxes: Sequence[Box]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    return np.array([box.low for box in boxes]), np.array([box.high for box in boxes])
