"""The bar plan by column generation, with its proof.

A *column* is a load that may be used any number of times. The linear programme over all columns is solved by
adding those that its prices call for, one knapsack for each size (Gilmore and Gomory 1961, from memory); its
value, raised to the next cost that whole bars can have, is the bound. The plan is the best whole-number
choice among the columns. Where it misses the bound, every column whose reduced cost is within the gap is
listed: a better plan could use no other, so that the best choice among them is the minimum. Jobs of a
hundred pieces and more may end without the proof; the bound then says how far the plan may be off.

No clock limits the search, only numbers of columns and of nodes: the same orders give the same plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import LinearConstraint, linprog, milp

from mountgen.fabrication.bars_knapsack import load_worth_most
from mountgen.fabrication.bars_problem import Load, Loads, Problem, Solution

MOST_ROUNDS = 1000
MOST_COLUMNS = 5000
MOST_NODES = 1000
SMALL = 1e-6
"""Share of a bar's cost that rounding may make."""

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class _Prices:
    """Of the linear programme: its value, what a piece of each length is worth, what a bar of each size
    costs beyond its own cost because its number is limited."""

    value: float
    pieces: Floats
    bars: Floats


def best_plan(problem: Problem, start: Loads | None) -> Solution:
    """The cheapest plan; `start` is one that is known, if any."""
    if not problem.sizes:
        return Solution(None, 0, is_proven=True)
    columns = list(dict.fromkeys([*(start or ()), *_single_columns(problem)]))
    prices = _priced(problem, columns)
    bound = _next_cost(problem, prices.value)
    if bound is None:
        return Solution(None, 0, is_proven=True)
    enough = (bound - prices.value) / bound
    plan = _cheaper(problem, start, _whole_choice(problem, columns, enough)[0])
    if plan is not None and problem.cost(plan) <= bound:
        return Solution(plan, bound, is_proven=True)
    gap = problem.cost(plan) - prices.value if plan is not None else np.inf
    within = tuple(islice(_columns_within(problem, prices, gap), MOST_COLUMNS + 1))
    if len(within) > MOST_COLUMNS:
        return Solution(plan, bound, is_proven=False)
    found, is_least = _whole_choice(problem, dict.fromkeys([*columns, *within]), 0.0)
    plan = _cheaper(problem, plan, found)
    settled = problem.cost(plan) if is_least and plan is not None else bound
    return Solution(plan, settled, is_proven=is_least)


def _cheaper(problem: Problem, one: Loads | None, other: Loads | None) -> Loads | None:
    return min((plan for plan in (one, other) if plan is not None), key=problem.cost, default=None)


def _missing_cost(problem: Problem) -> float:
    """Of a piece that is not cut at all: more than any plan costs."""
    return float(max(problem.costs) * (problem.count + 1))


def _single_columns(problem: Problem) -> Iterator[Load]:
    """For each length and size, as many as the bar takes."""
    for size, it in enumerate(problem.sizes):
        for kind, (length, demand) in enumerate(zip(problem.lengths, problem.demands, strict=True)):
            number = min(demand, it.room // length)
            if number:
                yield Load(size, tuple(number if k == kind else 0 for k in range(len(problem.lengths))))


def _priced(problem: Problem, columns: list[Load]) -> _Prices:
    """Adds columns until none is worth more than it costs; gives the prices of that moment."""
    known = set(columns)
    for _ in range(MOST_ROUNDS):
        prices = _prices(problem, columns)
        fresh = [load for load in _called_for(problem, prices) if load not in known]
        if not fresh:
            return prices
        columns += fresh
        known.update(fresh)
    raise ArithmeticError("column generation did not come to an end")


def _matrix(problem: Problem, columns: Sequence[Load]) -> Floats:
    """Rows: pieces of each length, then bars of each size; a column a load."""
    held = np.array([load.held for load in columns], dtype=float).T
    size = np.array([load.size for load in columns])
    return np.vstack([held, (size == np.arange(len(problem.sizes))[:, None]).astype(float)])


def _prices(problem: Problem, columns: Sequence[Load]) -> _Prices:
    """The linear programme, with an extra column a length for pieces that are not cut."""
    kinds = len(problem.lengths)
    matrix = np.hstack([_matrix(problem, columns), np.eye(kinds + len(problem.sizes), kinds)])
    costs = [*(float(problem.costs[load.size]) for load in columns), *[_missing_cost(problem)] * kinds]
    signs = np.array([-1.0] * kinds + [1.0] * len(problem.sizes))
    rights = [*(-d for d in problem.demands), *(size.limit for size in problem.sizes)]
    solved = linprog(costs, A_ub=matrix * signs[:, None], b_ub=rights, method="highs")
    marginals = np.abs(solved.ineqlin.marginals)
    return _Prices(float(solved.fun), marginals[:kinds], marginals[kinds:])


def _called_for(problem: Problem, prices: _Prices) -> Iterator[Load]:
    """For each size the load that is worth most, if that is more than the bar costs."""
    for size, it in enumerate(problem.sizes):
        least = (problem.costs[size] + prices.bars[size]) * (1 + SMALL)
        held = load_worth_most(problem, prices.pieces, it.room, least)
        if held is not None:
            yield Load(size, held)


def _next_cost(problem: Problem, value: float) -> int | None:
    """The least cost at or above a value that whole bars can have; nothing if the bars do not reach it."""
    costs = np.array(problem.costs, dtype=float)
    solved = milp(
        costs,
        integrality=np.ones(len(costs)),
        bounds=(0, [size.limit for size in problem.sizes]),
        constraints=LinearConstraint(costs[None, :], value - SMALL * float(costs.min()), np.inf),
        options={"mip_rel_gap": 0.0},
    )
    return round(solved.fun) if solved.x is not None else None


def _whole_choice(problem: Problem, columns: Iterable[Load], enough: float) -> tuple[Loads | None, bool]:
    """The cheapest plan that the columns make, if any, and whether it is certain that there is none cheaper
    by more than the share `enough`."""
    columns = list(columns)
    low = np.array([*problem.demands, *[0] * len(problem.sizes)], dtype=float)
    high = np.array([*[np.inf] * len(problem.demands), *(size.limit for size in problem.sizes)])
    solved = milp(
        [float(problem.costs[load.size]) for load in columns],
        integrality=np.ones(len(columns)),
        constraints=LinearConstraint(_matrix(problem, columns), low, high),
        options={"mip_rel_gap": max(0.0, enough), "node_limit": MOST_NODES},
    )
    if solved.x is None:
        return None, solved.status == 2
    chosen = [load for load, n in zip(columns, np.rint(solved.x), strict=True) for _ in range(int(n))]
    return _without_surplus(problem, chosen), solved.status == 0


def _without_surplus(problem: Problem, chosen: list[Load]) -> Loads:
    """The plan with no more pieces than are wanted; what is over is left off the last bars."""
    left = list(problem.demands)
    kept = []
    for load in sorted(chosen, key=lambda load: (-load.size, tuple(-n for n in load.held))):
        held = tuple(min(n, want) for n, want in zip(load.held, left, strict=True))
        left = [want - n for want, n in zip(left, held, strict=True)]
        if any(held):
            kept.append(Load(load.size, held))
    return tuple(kept)


def _columns_within(problem: Problem, prices: _Prices, gap: float) -> Iterator[Load]:
    """Every load whose reduced cost is at most `gap`."""
    worth = prices.pieces / np.array(problem.lengths)
    order = sorted(range(len(worth)), key=lambda kind: (-worth[kind], kind))
    for size, it in enumerate(problem.sizes):
        least = problem.costs[size] + prices.bars[size] - gap - SMALL * problem.costs[size]
        for held in _worth_at_least(problem, prices, (order, it.room), least):
            yield Load(size, held)


def _worth_at_least(
    problem: Problem, prices: _Prices, order_and_room: tuple[list[int], int], least: float
) -> Iterator[tuple[int, ...]]:
    """Loads of one bar that are worth at least so much: depth first, the best value for length first."""
    order, room = order_and_room
    stack: list[tuple[int, int, float, tuple[int, ...]]] = [(0, room, 0.0, ())]
    while stack:
        place, left, value, numbers = stack.pop()
        if place == len(order):
            by_kind = dict(zip(order, numbers, strict=True))
            if any(numbers):
                yield tuple(by_kind[kind] for kind in range(len(order)))
            continue
        kind = order[place]
        length, price = problem.lengths[kind], float(prices.pieces[kind])
        if value + left * price / length < least:
            continue
        for n in range(min(problem.demands[kind], left // length) + 1):
            stack.append((place + 1, left - n * length, value + n * price, (*numbers, n)))
