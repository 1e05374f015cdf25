"""Products that need no change against one another, and the order in which groups of them are visited.

A *setting* is what a person moves: post reading, arm reading, tilt. A *group* has one setting and one delay.
Readings are rounded to what a person can set, so that products are not told apart by what nobody can see.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from mountgen.demand import Floats
from mountgen.layout.readings import Readings
from mountgen.package.changeover_order import small_order, travel

TILT_STEP, DELAY_STEP, LEAST_STEP = 0.1, 0.1, 0.1
"""deg and mm; as finely as they are written."""
MM_PER_DEG = 1.0
"""mm of movement that a degree of tilt counts as (rule of this project)."""

Rows = NDArray[np.intp]


@dataclass(frozen=True)
class Group:
    """One line of the sheet: its mark, the rows of its products, and what is set for them, mm and deg."""

    mark: str
    rows: Rows
    post: float
    arm: float
    tilt_deg: float
    delay: float

    @property
    def movement(self) -> tuple[float, float, float]:
        """Where its setting stands, in mm of movement."""
        return (self.post, self.arm, self.tilt_deg * MM_PER_DEG)


def groups_of(found: Readings, step: float) -> tuple[Group, ...]:
    """Every group, in an order that moves little; `step` is what a person can set, mm. A group's readings
    are the middle of its products'."""
    step = max(step, LEAST_STEP)
    steps = np.array([step, step, TILT_STEP, DELAY_STEP])
    every = np.column_stack([found.post, found.arm, found.tilt_deg, found.delay])
    rounded = np.rint(every / steps).astype(np.int64)
    _, member = np.unique(rounded, axis=0, return_inverse=True)
    order = np.argsort(member.reshape(-1), kind="stable")
    starts = np.concatenate([[0], np.cumsum(np.bincount(member.reshape(-1)))[:-1]])
    low, high = (pick.reduceat(every[order], starts) for pick in (np.minimum, np.maximum))
    values, rows = (low + high) / 2, np.split(order, starts[1:])
    return tuple(
        Group(mark_of(at), rows[i], *(float(value) for value in values[i]))
        for at, i in enumerate(_visited(values))
    )


def _visited(values: Floats) -> Iterator[int]:
    """Rows of post, arm, tilt and delay: settings in a small order, the delays of one setting by size."""
    settings, member = np.unique(values[:, :3] * [1.0, 1.0, MM_PER_DEG], axis=0, return_inverse=True)
    rank = np.empty(len(settings), dtype=np.intp)
    rank[small_order(settings)] = np.arange(len(settings))
    return (int(row) for row in np.lexsort((values[:, 3], rank[member.reshape(-1)])))


def total_travel(groups: Sequence[Group]) -> float:
    """mm of movement when the groups are visited one after the other."""
    return travel(np.array([group.movement for group in groups]))


def in_day_order(
    groups: Sequence[Group], names: Sequence[str], day: Sequence[str]
) -> list[tuple[Group, str]]:
    """What is set in the course of a day: groups with the products of each stretch without a change."""
    group_of = {names[row]: group for group in groups for row in group.rows.tolist()}
    stops: list[tuple[Group, str]] = []
    for name in day:
        group = group_of[name]
        if stops and stops[-1][0] is group:
            stops[-1] = (group, f"{stops[-1][1]}, {name}")
        else:
            stops.append((group, name))
    return stops


def moves(groups: Sequence[Group]) -> list[tuple[float, float, float] | None]:
    """What post, arm and tilt change by against the line before; None for the first."""
    changes = ((b.post - a.post, b.arm - a.arm, b.tilt_deg - a.tilt_deg) for a, b in pairwise(groups))
    return [None, *changes]


def mark_of(at: int) -> str:
    """A, B ... Z, AA, AB ..."""
    letters = ""
    at += 1
    while at:
        at, rest = divmod(at - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
