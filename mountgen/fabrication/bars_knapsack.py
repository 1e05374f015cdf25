"""The load of one bar that is worth most, exactly: a knapsack over lists of states.

A *state* is what a load takes and what it is worth. Lengths are added one after the other, those worth most
for their length first; a state is dropped when another takes no more and is worth as much, or when filling
the rest of the bar at the best price left would still not be worth what is asked for.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mountgen.fabrication.bars_problem import Problem

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class _Stage:
    """The states after a length: from which earlier state each came, with how many pieces added."""

    taken: Ints
    worth: Floats
    earlier: Ints
    added: Ints


def load_worth_most(problem: Problem, prices: Floats, room: int, least: float) -> tuple[int, ...] | None:
    """How many of each length make the load that is worth most; nothing unless that is more than `least`."""
    lengths = np.array(problem.lengths, dtype=np.int64)
    order = np.argsort(-prices / lengths, kind="stable")
    after = [*(prices[order] / lengths[order])[1:], 0.0]
    first = np.zeros(1, dtype=np.int64)
    stages = [_Stage(first, np.zeros(1), first, first)]
    for kind, best_left in zip(order, after, strict=True):
        most = min(problem.demands[kind], room // problem.lengths[kind])
        stage = _grown(stages[-1], int(lengths[kind]), float(prices[kind]), most)
        promising = (stage.taken <= room) & (stage.worth + (room - stage.taken) * best_left > least)
        stages.append(_undominated(stage, promising))
        if not stages[-1].taken.size:
            return None
    return _traced(stages, order)


def _grown(stage: _Stage, length: int, price: float, most: int) -> _Stage:
    """Every state with 0 to `most` pieces of a length."""
    numbers = np.arange(most + 1, dtype=np.int64)
    earlier = np.arange(stage.taken.size, dtype=np.int64)
    return _Stage(
        (stage.taken + numbers[:, None] * length).ravel(),
        (stage.worth + numbers[:, None] * price).ravel(),
        np.tile(earlier, numbers.size),
        np.repeat(numbers, earlier.size),
    )


def _undominated(stage: _Stage, promising: NDArray[np.bool_]) -> _Stage:
    """The promising states that are worth more than every one that takes no more."""
    chosen = np.flatnonzero(promising)
    chosen = chosen[np.lexsort((-stage.worth[chosen], stage.taken[chosen]))]
    worth = stage.worth[chosen]
    before = np.concatenate(([-np.inf], np.maximum.accumulate(worth)[:-1]))
    kept = chosen[worth > before]
    return _Stage(stage.taken[kept], stage.worth[kept], stage.earlier[kept], stage.added[kept])


def _traced(stages: list[_Stage], order: Ints) -> tuple[int, ...]:
    """The numbers of pieces behind the last state, which is worth most."""
    held = [0] * len(order)
    at = stages[-1].taken.size - 1
    for stage, kind in zip(reversed(stages[1:]), reversed(order), strict=True):
        held[kind] = int(stage.added[at])
        at = int(stage.earlier[at])
    return tuple(held)
