"""How a mount gives way, as a chain of springs, for many candidates at once (unit load method).

A mount is a chain from rail to head: nothing closes a ring. So a force on a point turns every spring between
that point and the rail by its couple about the spring, and each turn carries along whatever hangs behind it.
A *spring* turns about the three world axes, and may yield along them. A bar is two springs at its Gauss
points, which is exact, for a bar's couple is linear along it. Every number may be an array; all shapes that
fit each other will do.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
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
    """mm that a point moves along x, y and z for a force of 1 N on another along an axis (0, 1, 2)."""
    x, y, z = 0.0, 0.0, 0.0
    travel: list[Numbers] = [x, y, z]
    for spring in springs:
        couple = _couple(_lever(load_at, spring), axis)
        rx, ry, rz = _lever(seen_at, spring)
        tx, ty, tz = (t * c for t, c in zip(spring.turn, couple, strict=True))
        carried = (ty * rz - tz * ry, tz * rx - tx * rz, tx * ry - ty * rx)
        travel = [was + more for was, more in zip(travel, carried, strict=True)]
        travel[axis] = travel[axis] + spring.push[axis]
    return travel[0], travel[1], travel[2]


def slowest(shared: Sequence[Spring], branches: Sequence[tuple[Sequence[Spring], Body]]) -> Floats:
    """1 / omega^2 (s2) of the slowest way in which bodies swing on branches of one shared chain.

    Each body moves in six ways. With X = M^1/2 F M^1/2 the result is (trace X^8)^1/8, which lies above the
    largest eigenvalue, by 9 % when the two largest are the same and less the farther they are apart.
    """
    size = 6 * len(branches)
    entries: dict[tuple[int, int], Numbers] = {}
    for spring in shared:
        _add(entries, spring, [(6 * number, body) for number, (_, body) in enumerate(branches)])
    for number, (springs, body) in enumerate(branches):
        for spring in springs:
            _add(entries, spring, [(6 * number, body)])
    shape = np.broadcast_shapes(*(np.shape(value) for value in entries.values()))
    matrix = np.zeros((*shape, size, size))
    for (row, column), value in entries.items():
        matrix[..., row, column] = matrix[..., column, row] = value
    squared = matrix @ matrix
    fourth = squared @ squared
    result: Floats = np.sqrt(np.sqrt(np.linalg.norm(fourth, axis=(-2, -1)))) / 1000.0
    return result


def _add(entries: dict[tuple[int, int], Numbers], spring: Spring, bodies: list[tuple[int, Body]]) -> None:
    """What a spring adds: for each axis, its flexibility times the couples of two ways of moving."""
    for axis in range(3):
        ways = [way for first, body in bodies for way in _ways(spring, axis, first, body)]
        for at, (row, one) in enumerate(ways):
            scaled = one * spring.turn[axis]
            for column, other in ways[at:]:
                key = (row, column)
                entries[key] = entries.get(key, 0.0) + scaled * other
        _add_push(entries, spring.push[axis], [(first + axis, body.kg) for first, body in bodies])


def _add_push(
    entries: dict[tuple[int, int], Numbers], push: Numbers, ways: list[tuple[int, Numbers]]
) -> None:
    if isinstance(push, float) and push == 0.0:
        return
    for at, (row, one) in enumerate(ways):
        for column, other in ways[at:]:
            entries[row, column] = entries.get((row, column), 0.0) + push * np.sqrt(one * np.asarray(other))


def _ways(spring: Spring, axis: int, first: int, body: Body) -> list[tuple[int, Numbers]]:
    """The body's ways of moving that load a spring about an axis, each with its couple; forces and couples
    are those of unit accelerations of a unit square root of mass."""
    lever, root = _lever(body.at, spring), np.sqrt(body.kg)
    found: list[tuple[int, Numbers]] = [
        (first + way, _couple(lever, way)[axis] * root) for way in range(3) if way != axis
    ]
    inertia = body.inertia[axis]
    if isinstance(inertia, float) and inertia == 0.0:
        return found
    return [*found, (first + 3 + axis, np.sqrt(inertia))]


def _lever(at: Three, spring: Spring) -> Three:
    return at[0] - spring.at[0], at[1] - spring.at[1], at[2] - spring.at[2]


def _couple(lever: Three, axis: int) -> Three:
    """Lever x a unit force along an axis."""
    x, y, z = lever
    return ((0.0, z, -y), (-z, 0.0, x), (y, -x, 0.0))[axis]


def _between(start: Three, end: Three, share: float) -> Three:
    x, y, z = (a + (b - a) * share for a, b in zip(start, end, strict=True))
    return x, y, z
