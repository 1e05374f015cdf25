"""First-order stiffness of a mast: unit loads on a chain of springs, for every product and candidate at once.

The load path is that of the space frame of `structure`, which solves the chosen mount in full; here the rail
angle counts as if its screws were as near to the fold as they may be, and sheets by their rough areas. Both
agree within the bands below.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from mountgen.demand import Floats
from mountgen.layout import rules
from mountgen.layout.flexibility import (
    NOTHING,
    About,
    Body,
    Chain,
    Numbers,
    Spring,
    Three,
    chain,
    moved,
    slowest,
)

Indices = NDArray[np.intp]

SAG_BAND = 0.25
"""Share by which change of sag may differ between the estimate and the frame."""
SAG_FLOOR = 0.06
"""mm of change of sag below which the difference does not count."""
GIVE_BAND = 0.05
"""The same share for what a hand moves."""
FREQUENCY_BAND = 0.2
"""The same share for the first frequency."""


@dataclass(frozen=True)
class Swinging:
    """What frequencies depend on: bodies, and the chains from the rail to each place where they hang. `post`
    ends where head and controller part, `root` at the post's upper end."""

    to_foot: Chain
    to_post: Chain
    to_root: Chain
    to_head: Chain
    to_box: Chain
    head: Body
    root: Body
    arm: Body
    box: Body
    wheel: Body


@dataclass(frozen=True)
class Mast:
    """A mast as springs and bodies; arrays of shapes that fit each other.

    `foot` is rail and rail angle, `shared` goes on from there up the post and carries head and controller
    alike, `to_root`, `to_head` and `to_box` carry one of them. `head` is everything that tilts with the
    nozzles, `box` the controller with its bracket, `root` what moves with the post's upper end, `wheel` the
    encoder with what holds it. `nozzle` is the middle of the column.
    """

    foot: tuple[Spring, ...]
    shared: tuple[Spring, ...]
    to_root: tuple[Spring, ...]
    to_head: tuple[Spring, ...]
    to_box: tuple[Spring, ...]
    head: Body
    hand_at: Three
    root: Body
    arm: Body
    box: Body
    wheel: Body
    nozzle: Three
    tilt_deg: Floats
    reach: tuple[Spring, ...] = ()
    """The arm from its root to the ear, after `to_root`."""

    @cached_property
    def swinging(self) -> Swinging:
        """The same with its chains summed up."""
        to_foot = chain(self.foot)
        to_post = to_foot + chain(self.shared)
        to_root = to_post + chain(self.to_root) + chain(self.reach)
        ends = (to_root + chain(self.to_head), to_post + chain(self.to_box))
        return Swinging(
            to_foot, to_post, to_root, *ends, self.head, self.root, self.arm, self.box, self.wheel
        )


def sag(mast: Mast) -> Floats:
    """mm by which weight moves the nozzles in the stand-off direction (y upright, -z downward)."""
    chains = mast.swinging
    carried = (
        (chains.to_head, mast.head),
        (chains.to_root, mast.arm),
        (chains.to_post, mast.box),
        (chains.to_foot, mast.wheel),
    )
    total = sum((_down(mast, springs, body) for springs, body in carried), start=np.zeros(1))
    return -total


def _down(mast: Mast, springs: Chain, body: Body) -> Floats:
    """Stand-off that a body pulled up by its own weight would add."""
    return standoff(mast, moved(springs, body.at, mast.nozzle, 2)) * body.kg * rules.GRAVITY


def standoff(mast: Mast, motion: Three) -> Floats:
    """mm of a motion out of the nozzle face."""
    tilt = np.radians(mast.tilt_deg)
    result: Floats = motion[1] * np.cos(tilt) - motion[2] * np.sin(tilt)
    return result


def give(mast: Mast, hand: float) -> Floats:
    """mm that a leaning hand (N) moves the nozzles in the stand-off direction, whichever way it leans."""
    whole = mast.swinging.to_head
    moves = [np.abs(standoff(mast, moved(whole, mast.hand_at, mast.nozzle, axis))) for axis in range(3)]
    result: Floats = hand * np.maximum(np.maximum(moves[0], moves[1]), moves[2])
    return result


def first_frequency(swinging: Swinging) -> Floats:
    """Hz, rather too low than too high: head and controller swing on the shared chain, and what else moves
    is added by Dunkerley's formula, in the level direction in which it gives way most."""
    both = slowest(swinging.to_post, ((swinging.to_head, swinging.head), (swinging.to_box, swinging.box)))
    on_top = _alone(swinging.to_root, swinging.root) + _alone(swinging.to_root, swinging.arm)
    result: Floats = 1 / (2 * np.pi * np.sqrt(both + on_top + _alone(swinging.to_foot, swinging.wheel)))
    return result


def head_frequency(swinging: Swinging) -> Floats:
    """Hz of the head alone, along the flow: never less than the first frequency, and quick to find."""
    head = swinging.head
    slow = moved(swinging.to_head, head.at, head.at, 0)[0] * head.kg / 1000.0
    result: Floats = 1 / (2 * np.pi * np.sqrt(slow))
    return result


def _alone(whole: Chain, body: Body) -> Floats:
    """1 / omega^2 (s2) of a body alone, along the flow or across, whichever is slower."""
    along, across = (moved(whole, body.at, body.at, axis)[axis] for axis in (0, 1))
    result: Floats = np.maximum(along, across) * body.kg / 1000.0
    return result


class Picker:
    """A few candidates of many whose arrays fit (poses, posts, angles, frames): arrays of (poses, few)."""

    def __init__(self, posts: Indices, angles: Indices, frames: Indices) -> None:
        self._places = (posts, angles, frames)
        self._seen: dict[int, Numbers] = {}
        self._wheres: dict[tuple[int, ...], Indices] = {}

    def _where(self, sizes: tuple[int, ...]) -> Indices:
        """Places in the flat array of posts, angles and frames, each of them at least one."""
        if sizes not in self._wheres:
            places = zip(self._places, sizes, strict=True)
            self._wheres[sizes] = np.ravel_multi_index([p if n > 1 else 0 * p for p, n in places], sizes)
        return self._wheres[sizes]

    def number(self, value: Numbers) -> Numbers:
        if not isinstance(value, np.ndarray):
            return value
        if id(value) not in self._seen:
            whole = value.reshape((1,) * (4 - value.ndim) + value.shape)
            self._seen[id(value)] = whole.reshape(len(whole), -1)[:, self._where(whole.shape[1:])]
        return self._seen[id(value)]

    def three(self, values: Three) -> Three:
        if values is NOTHING:
            return values
        return self.number(values[0]), self.number(values[1]), self.number(values[2])

    def chain(self, whole: Chain) -> Chain:
        x, y, z = (About(*(self.number(getattr(a, f.name)) for f in fields(a))) for a in whole.about)
        return Chain((x, y, z), self.three(whole.push))

    def springs(self, springs: Sequence[Spring]) -> tuple[Spring, ...]:
        return tuple(Spring(self.three(s.at), self.three(s.turn), self.three(s.push)) for s in springs)

    def body(self, one: Body) -> Body:
        return Body(self.three(one.at), self.number(one.kg), self.three(one.inertia))


def picked(swinging: Swinging, few: Picker) -> Swinging:
    """A few candidates."""
    return Swinging(
        to_foot=few.chain(swinging.to_foot),
        to_post=few.chain(swinging.to_post),
        to_root=few.chain(swinging.to_root),
        to_head=few.chain(swinging.to_head),
        to_box=few.chain(swinging.to_box),
        head=few.body(swinging.head),
        root=few.body(swinging.root),
        arm=few.body(swinging.arm),
        box=few.body(swinging.box),
        wheel=few.body(swinging.wheel),
    )
