"""A quick bar plan and a quick bound: together they settle most mounts.

The plan is first-fit decreasing onto bars of one size, tried for every size and every order of them; each
bar is then exchanged for the shortest one that takes its pieces. The bound is the cheapest set of stock bars
whose rooms together take all pieces.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations_with_replacement
from math import comb

from mountgen.fabrication.bars_problem import Load, Loads, Problem

MOST_SETS = 3000
"""Sets of bars that are looked at for the bound."""


def first_fit(problem: Problem) -> Loads | None:
    """The cheapest plan of this kind; nothing where the bars do not last."""
    plans = [plan for start in range(len(problem.sizes)) if (plan := _packed(problem, start)) is not None]
    return min(plans, key=problem.cost, default=None)


def _packed(problem: Problem, start: int) -> Loads | None:
    """First fit, opening bars of size `start` first, then the others from the longest down."""
    order = [start, *(s for s in reversed(range(len(problem.sizes))) if s != start)]
    left = [size.limit for size in problem.sizes]
    opened: list[tuple[int, list[int]]] = []
    for kind, (length, demand) in enumerate(zip(problem.lengths, problem.demands, strict=True)):
        for _ in range(demand):
            held = next((held for size, held in opened if _fits(problem, size, held, length)), None)
            if held is None:
                size = next((s for s in order if left[s] and length <= problem.sizes[s].room), None)
                if size is None:
                    return None
                left[size] -= 1
                held = [0] * len(problem.lengths)
                opened.append((size, held))
            held[kind] += 1
    return tuple(_exchanged(problem, opened, left))


def _fits(problem: Problem, size: int, held: list[int], length: int) -> bool:
    return problem.taken(tuple(held)) + length <= problem.sizes[size].room


def _exchanged(problem: Problem, opened: list[tuple[int, list[int]]], left: list[int]) -> Iterator[Load]:
    """Every bar as the shortest one left over that takes its pieces."""
    for size, held in opened:
        taken = problem.taken(tuple(held))
        left[size] += 1
        shortest = next(s for s, it in enumerate(problem.sizes) if left[s] and taken <= it.room)
        left[shortest] -= 1
        yield Load(shortest, tuple(held))


def simple_bound(problem: Problem) -> int | None:
    """Cost of the cheapest set of bars with room for all pieces; nothing if there are too many sets."""
    sizes = range(len(problem.sizes))
    if not sizes or comb(problem.count + len(sizes), len(sizes)) > MOST_SETS:
        return None
    costs = (
        sum(problem.costs[s] for s in bars)
        for number in range(1, problem.count + 1)
        for bars in combinations_with_replacement(sizes, number)
        if sum(problem.sizes[s].room for s in bars) >= problem.total
        and all(bars.count(s) <= problem.sizes[s].limit for s in set(bars))
    )
    return min(costs, default=None)
