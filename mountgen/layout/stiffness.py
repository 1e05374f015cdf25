"""First-order stiffness of a mast: unit loads on a chain of springs, for every product and candidate at once.

The load path is that of the space frame of `structure`, which solves the chosen mount in full; here the rail
angle counts as if its screws were as near to the fold as they may be, and sheets by their rough areas. Both
agree within the bands below.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mountgen.demand import Floats
from mountgen.layout import rules
from mountgen.layout.flexibility import NOTHING, Body, Numbers, Spring, Three, moved, slowest

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


def sag(mast: Mast) -> Floats:
    """mm by which weight moves the nozzles in the stand-off direction (y upright, -z downward)."""
    to_box = (*mast.foot, *mast.shared)
    to_root = (*to_box, *mast.to_root)
    whole = (*to_root, *mast.to_head)
    carried = ((whole, mast.head), (to_root, mast.arm), (to_box, mast.box), (mast.foot, mast.wheel))
    total = sum((_down(mast, springs, body) for springs, body in carried), start=np.zeros(1))
    return -total


def _down(mast: Mast, springs: Sequence[Spring], body: Body) -> Floats:
    """Stand-off that a body pulled up by its own weight would add."""
    return _standoff(mast, moved(springs, body.at, mast.nozzle, 2)) * body.kg * rules.GRAVITY


def _standoff(mast: Mast, motion: Three) -> Floats:
    tilt = np.radians(mast.tilt_deg)
    result: Floats = motion[1] * np.cos(tilt) - motion[2] * np.sin(tilt)
    return result


def give(mast: Mast, hand: float) -> Floats:
    """mm that a leaning hand (N) moves the nozzles in the stand-off direction, whichever way it leans."""
    whole = (*mast.foot, *mast.shared, *mast.to_root, *mast.to_head)
    moves = [np.abs(_standoff(mast, moved(whole, mast.hand_at, mast.nozzle, axis))) for axis in range(3)]
    result: Floats = hand * np.maximum(np.maximum(moves[0], moves[1]), moves[2])
    return result


def first_frequency(mast: Mast) -> Floats:
    """Hz, rather too low than too high: head and controller swing on the shared chain, and what else moves
    is added by Dunkerley's formula, in the level direction in which it gives way most."""
    shared = (*mast.foot, *mast.shared)
    to_root = (*shared, *mast.to_root)
    both = slowest(shared, (((*mast.to_root, *mast.to_head), mast.head), (mast.to_box, mast.box)))
    rest = _alone(to_root, mast.root) + _alone(to_root, mast.arm) + _alone(mast.foot, mast.wheel)
    result: Floats = 1 / (2 * np.pi * np.sqrt(both + rest))
    return result


def head_frequency(mast: Mast) -> Floats:
    """Hz of the head alone, along the flow: never less than the first frequency, and quick to find."""
    whole = (*mast.foot, *mast.shared, *mast.to_root, *mast.to_head)
    slow = moved(whole, mast.head.at, mast.head.at, 0)[0] * mast.head.kg / 1000.0
    result: Floats = 1 / (2 * np.pi * np.sqrt(slow))
    return result


def _alone(springs: Sequence[Spring], body: Body) -> Floats:
    """1 / omega^2 (s2) of a body alone, along the flow or across, whichever is slower."""
    along, across = (moved(springs, body.at, body.at, axis)[axis] for axis in (0, 1))
    result: Floats = np.maximum(along, across) * body.kg / 1000.0
    return result


def picked(mast: Mast, frames: Indices, posts: Indices, angles: Indices) -> Mast:
    """A few candidates of a mast whose arrays fit (frames, poses, posts, angles): arrays of (few, poses)."""
    seen: dict[int, Numbers] = {}

    def number(value: Numbers) -> Numbers:
        if not isinstance(value, np.ndarray):
            return value
        if id(value) not in seen:
            whole = value.reshape((1,) * (4 - value.ndim) + value.shape)
            sizes = (whole.shape[0], *whole.shape[2:])
            at, post, angle = (p * (s > 1) for p, s in zip((frames, posts, angles), sizes, strict=True))
            seen[id(value)] = whole[at, :, post, angle]
        return seen[id(value)]

    def three(values: Three) -> Three:
        return values if values is NOTHING else (number(values[0]), number(values[1]), number(values[2]))

    def chain(springs: tuple[Spring, ...]) -> tuple[Spring, ...]:
        return tuple(Spring(three(s.at), three(s.turn), three(s.push)) for s in springs)

    def body(one: Body) -> Body:
        return Body(three(one.at), number(one.kg), three(one.inertia))

    return Mast(
        foot=chain(mast.foot),
        shared=chain(mast.shared),
        to_root=chain(mast.to_root),
        to_head=chain(mast.to_head),
        to_box=chain(mast.to_box),
        head=body(mast.head),
        hand_at=three(mast.hand_at),
        root=body(mast.root),
        arm=body(mast.arm),
        box=body(mast.box),
        wheel=body(mast.wheel),
        nozzle=three(mast.nozzle),
        tilt_deg=np.asarray(number(mast.tilt_deg)),
    )
