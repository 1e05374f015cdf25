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


@dataclass(frozen=True)
class About:
    """What springs give that turn about one axis: in all, and by their places along the two axes that follow
    it (x, y, z, x ...), once and twice."""

    turn: Numbers
    second: Numbers
    third: Numbers
    second_twice: Numbers
    third_twice: Numbers
    both: Numbers


@dataclass(frozen=True)
class Chain:
    """Springs one behind the other, summed up: enough to tell what a force anywhere moves anywhere behind."""

    about: tuple[About, About, About]
    push: Three

    def __add__(self, other: Chain) -> Chain:
        x, y, z = (_plus(a, b) for a, b in zip(self.about, other.about, strict=True))
        push = tuple(a + b for a, b in zip(self.push, other.push, strict=True))
        return Chain((x, y, z), (push[0], push[1], push[2]))


NO_TURN = About(0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
RIGID = Chain((NO_TURN, NO_TURN, NO_TURN), NOTHING)


def _plus(one: About, other: About) -> About:
    return About(
        one.turn + other.turn,
        one.second + other.second,
        one.third + other.third,
        one.second_twice + other.second_twice,
        one.third_twice + other.third_twice,
        one.both + other.both,
    )


def chain(springs: Sequence[Spring]) -> Chain:
    """The springs summed up."""
    return sum((_alone(spring) for spring in springs), start=RIGID)


def _alone(spring: Spring) -> Chain:
    x, y, z = (_about(spring, axis) for axis in range(3))
    return Chain((x, y, z), spring.push)


def _about(spring: Spring, axis: int) -> About:
    turn, second, third = spring.turn[axis], spring.at[(axis + 1) % 3], spring.at[(axis + 2) % 3]
    if isinstance(turn, float) and turn == 0.0:
        return NO_TURN
    by_second, by_third = turn * second, turn * third
    return About(turn, by_second, by_third, by_second * second, by_third * third, by_second * third)


def moved(whole: Chain, load_at: Three, seen_at: Three, axis: int) -> Three:
    """mm that a point moves along x, y and z for a force of 1 N on another along an axis (0, 1, 2)."""
    a, b, c = axis, (axis + 1) % 3, (axis + 2) % 3
    about_b, about_c = whole.about[b], whole.about[c]
    # Turns by the load's levers: along c for those about b, along b for those about c.
    by_c = load_at[c] * about_b.turn - about_b.second
    by_b = load_at[b] * about_c.turn - about_c.third
    own = seen_at[c] * by_c - load_at[c] * about_b.second + about_b.second_twice
    own = own + (seen_at[b] * by_b - load_at[b] * about_c.third + about_c.third_twice)
    to_b = seen_at[a] * by_b - load_at[b] * about_c.second + about_c.both
    to_c = seen_at[a] * by_c - load_at[c] * about_b.third + about_b.both
    travel: list[Numbers] = [0.0, 0.0, 0.0]
    travel[a], travel[b], travel[c] = own + whole.push[a], -to_b, -to_c
    return travel[0], travel[1], travel[2]


def slowest(shared: Chain, branches: Sequence[tuple[Chain, Body]]) -> Floats:
    """1 / omega^2 (s2) of the slowest way in which bodies swing, each at the end of its chain; `shared` is
    what all chains begin with.

    Each body moves in six ways. With X = M^1/2 F M^1/2 the result is (trace X^8)^1/8, which lies above the
    largest eigenvalue, by 9 % when the two largest are the same and less the farther they are apart.
    """
    entries: dict[tuple[int, int], Numbers] = {}
    for row, (whole, one) in enumerate(branches):
        for column, (_, other) in enumerate(branches[row:], start=row):
            given = _given(whole if row == column else shared, one, other)
            entries |= {(6 * row + way, 6 * column + to): value for (way, to), value in given.items()}
    shape = np.broadcast_shapes(*(np.shape(value) for value in entries.values()))
    matrix = np.zeros((*shape, 6 * len(branches), 6 * len(branches)))
    for (way, to), value in entries.items():
        matrix[..., way, to] = matrix[..., to, way] = value
    squared = matrix @ matrix
    fourth = squared @ squared
    trace = np.einsum("...ij,...ij", fourth, fourth)
    result: Floats = trace ** (1 / 8) / 1000.0
    return result


def _given(whole: Chain, one: Body, other: Body) -> dict[tuple[int, int], Numbers]:
    """X of two bodies on a chain: how the ways of one load the ways of the other, each scaled by the root of
    its mass or inertia. Ways 0 to 2 travel along an axis, 3 to 5 turn about it."""
    entries: dict[tuple[int, int], Numbers] = {}
    masses = np.sqrt(one.kg * np.asarray(other.kg))
    for axis in range(3):
        for to, travel in enumerate(moved(whole, one.at, other.at, axis)):
            entries[axis, to] = travel * masses
        about, second, third = whole.about[axis], (axis + 1) % 3, (axis + 2) % 3
        for body, mass in ((other, one), (one, other)):
            if body.inertia is NOTHING:
                continue
            # A force on `mass` turns `body`, and the other way round.
            root = np.sqrt(body.inertia[axis] * np.asarray(mass.kg))
            for way, turned in (
                (second, about.third - mass.at[third] * about.turn),
                (third, mass.at[second] * about.turn - about.second),
            ):
                entries[(way, 3 + axis) if mass is one else (3 + axis, way)] = turned * root
        if one.inertia is not NOTHING and other.inertia is not NOTHING:
            inertia = np.sqrt(one.inertia[axis] * np.asarray(other.inertia[axis]))
            entries[3 + axis, 3 + axis] = about.turn * inertia
    return entries


def _between(start: Three, end: Three, share: float) -> Three:
    x, y, z = (a + (b - a) * share for a, b in zip(start, end, strict=True))
    return x, y, z
