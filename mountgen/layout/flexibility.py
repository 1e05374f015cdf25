"""How a mount gives way, as a chain of springs, for many candidates at once (unit load method).

A mount is a chain from rail to head: nothing closes a ring. So a force on a point turns every spring between
that point and the rail by its couple about the spring, and each turn carries along whatever hangs behind it.
A *spring* turns about the three world axes, and may yield along them. A bar is two springs at its Gauss
points, which is exact, for a bar's couple is linear along it. Every number may be an array; all shapes that
fit each other will do.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from mountgen.demand import Floats

Numbers = Floats | float
Three = tuple[Numbers, Numbers, Numbers]

NOTHING: Three = (0.0, 0.0, 0.0)
GAUSS = (0.5 - math.sqrt(1 / 12), 0.5 + math.sqrt(1 / 12))
"""Where the two Gauss points of a bar lie, as a share of its length; each stands for half of it."""


@dataclass(frozen=True)
class Spring:
    """At a place (mm): rad for each N mm about x, y and z; mm for each N along x, y and z."""

    at: Three
    turn: Three
    push: Three = NOTHING


@dataclass(frozen=True)
class Body:
    """A rigid body: middle (mm), kg, and kg mm2 about its own x, y and z."""

    at: Three
    kg: Numbers
    inertia: Three = NOTHING


def bar(start: Three, end: Three, length: Numbers, turn: Three) -> tuple[Spring, ...]:
    """A straight bar as springs; `turn` is rad/mm for each N mm: 1 / EI, or 1 / GJ about its own length."""
    half: Three = (turn[0] * length / 2, turn[1] * length / 2, turn[2] * length / 2)
    return tuple(Spring(_between(start, end, share), half) for share in GAUSS)


def joint(at: Three, stiffness: float) -> Spring:
    """A joint that gives way to couples about every axis alike, N mm/rad."""
    turn = 1 / stiffness
    return Spring(at, (turn, turn, turn))


def moved(springs: Sequence[Spring], load_at: Three, seen_at: Three, axis: int) -> Three:
    """mm that a point moves along x, y and z for a force of 1 N on another along an axis (0, 1, 2).

    Springs are taken from the last one on: those near the rail depend on most that may be chosen, so that
    arrays stay small for as long as they can.
    """
    a, b, c = axis, (axis + 1) % 3, (axis + 2) % 3
    travel: list[Numbers] = [0.0, 0.0, 0.0]
    for spring in reversed(springs):
        lever = _lever(load_at, spring)
        reach = lever if seen_at is load_at else _lever(seen_at, spring)
        about_b, about_c = spring.turn[b] * lever[c], spring.turn[c] * lever[b]
        travel[a] = travel[a] + (about_b * reach[c] + about_c * reach[b])
        travel[b] = travel[b] - about_c * reach[a]
        travel[c] = travel[c] - about_b * reach[a]
        if spring.push is not NOTHING:
            travel[a] = travel[a] + spring.push[a]
    return travel[0], travel[1], travel[2]


def slowest(shared: Sequence[Spring], branches: Sequence[tuple[Sequence[Spring], Body]]) -> Floats:
    """1 / omega^2 (s2) of the slowest way in which bodies swing on branches of one shared chain.

    Each body moves in six ways. With X = M^1/2 F M^1/2 the result is (trace X^8)^1/8, which lies above the
    largest eigenvalue, by 9 % when the two largest are the same and less the farther they are apart. X is
    built as W^T W, with a row of W for each way in which a spring gives.
    """
    bodies = [(6 * number, body) for number, (_, body) in enumerate(branches)]
    loaded = [(spring, bodies) for spring in shared]
    loaded += [
        (spring, [one]) for (springs, _), one in zip(branches, bodies, strict=True) for spring in springs
    ]
    rows = [row for spring, carried in loaded for row in _rows(spring, carried)]
    shape = np.broadcast_shapes(*(np.shape(value) for row in rows for value in row.values()))
    ways = np.zeros((*shape, len(rows), 6 * len(branches)))
    for number, row in enumerate(rows):
        for column, value in row.items():
            ways[..., number, column] = value
    matrix = ways.swapaxes(-1, -2) @ ways
    squared = matrix @ matrix
    fourth = squared @ squared
    result: Floats = np.sqrt(np.sqrt(np.linalg.norm(fourth, axis=(-2, -1)))) / 1000.0
    return result


def _rows(spring: Spring, bodies: list[tuple[int, Body]]) -> Iterator[dict[int, Numbers]]:
    """For each way in which a spring gives, what the bodies' ways of moving load it by: couple or force of a
    unit acceleration of a unit square root of mass, times the root of the flexibility."""
    levers = [(first, body, _lever(body.at, spring)) for first, body in bodies]
    for axis in range(3):
        turn, b, c = np.sqrt(spring.turn[axis]), (axis + 1) % 3, (axis + 2) % 3
        row: dict[int, Numbers] = {}
        for first, body, lever in levers:
            root = np.sqrt(body.kg) * turn
            row[first + b], row[first + c] = -lever[c] * root, lever[b] * root
            if body.inertia is not NOTHING:
                row[first + 3 + axis] = np.sqrt(body.inertia[axis]) * turn
        yield row
        if spring.push is not NOTHING:
            push = np.sqrt(spring.push[axis])
            yield {first + axis: push * np.sqrt(body.kg) for first, body in bodies}


def _lever(at: Three, spring: Spring) -> Three:
    return at[0] - spring.at[0], at[1] - spring.at[1], at[2] - spring.at[2]


def _between(start: Three, end: Three, share: float) -> Three:
    x, y, z = (a + (b - a) * share for a, b in zip(start, end, strict=True))
    return x, y, z
