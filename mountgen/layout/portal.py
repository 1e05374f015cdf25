"""First-order stiffness of a bridge: two chains of springs that meet at the ear (force method).

Each half, from its rail over its post and along the beam to the ear, is a chain as in `flexibility`. Cut at
the ear both would move apart; six forces and couples there bring them together. Source: force method
(Castigliano). Half of the beam's mass counts at the ear, a quarter at each post.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from mountgen.demand import Floats
from mountgen.layout import rules
from mountgen.layout.flexibility import NOTHING, Body, Numbers, Spring, Three
from mountgen.layout.stiffness import Mast, Picker

UNITS: tuple[Three, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


@dataclass(frozen=True)
class Portal:
    """A bridge as two masts on one beam; `near` carries head and controller, `far` is mirrored into its place
    and nothing hangs on it. The arm of `near` is the whole beam, and its place is where the halves meet."""

    near: Mast
    far: Mast


@dataclass(frozen=True)
class Load:
    """A force and a couple at a point (N, N mm; or of any other size), and the springs between it and the
    rail of its half. As a sensor it is the direction in which motion is seen."""

    at: Three
    springs: tuple[Spring, ...]
    force: Three = NOTHING
    couple: Three = NOTHING


def mirrored(mast: Mast, far: float) -> Mast:
    """A mast as it stands on the far rail, whose outer face is at y = `far`."""

    def place(at: Three) -> Three:
        return at[0], far - np.asarray(at[1]), at[2]

    def turned(springs: Sequence[Spring]) -> tuple[Spring, ...]:
        return tuple(replace(spring, at=place(spring.at)) for spring in springs)

    return replace(
        mast,
        foot=turned(mast.foot),
        shared=turned(mast.shared),
        to_root=turned(mast.to_root),
        reach=turned(mast.reach),
        to_head=(),
        to_box=(),
        root=replace(mast.root, at=place(mast.root.at)),
    )


@dataclass(frozen=True)
class Quick:
    """mm of sag, mm that a leaning hand moves the nozzles, and Hz of the head alone, along the flow."""

    sag: Floats
    give: Floats
    head_frequency: Floats


def portal_quick(portal: Portal, hand: float) -> Quick:
    """How weight and a hand (N) move the nozzles in the stand-off direction, as `stiffness.sag` and `give`,
    and what is never less than the first frequency."""
    near, far = _bodies(portal)
    mast = portal.near
    hands = [_on_head(portal, mast.hand_at, _scaled(unit, hand)) for unit in UNITS]
    swing = _on_head(portal, mast.head.at, _scaled(UNITS[0], np.sqrt(mast.head.kg)))
    seen = [_on_head(portal, mast.nozzle, _out(portal)), swing, *hands]
    moved = _flexibility(portal, [*seen, *map(_weight, near)], [_weight(one) for one in far])
    slow = moved[..., 1, 1] / 1000.0
    sag, give = moved[..., 0, len(seen) :].sum(axis=-1), np.abs(moved[..., 0, 2 : len(seen)]).max(axis=-1)
    return Quick(sag, give, 1 / (2 * np.pi * np.sqrt(slow)))


def portal_picked(portal: Portal, few: Picker) -> Portal:
    """A few candidates."""

    def mast(one: Mast) -> Mast:
        return Mast(
            foot=few.springs(one.foot),
            shared=few.springs(one.shared),
            to_root=few.springs(one.to_root),
            to_head=few.springs(one.to_head),
            to_box=few.springs(one.to_box),
            head=few.body(one.head),
            hand_at=few.three(one.hand_at),
            root=few.body(one.root),
            arm=few.body(one.arm),
            box=few.body(one.box),
            wheel=few.body(one.wheel),
            nozzle=few.three(one.nozzle),
            tilt_deg=np.asarray(few.number(one.tilt_deg)),
            reach=few.springs(one.reach),
        )

    return Portal(mast(portal.near), mast(portal.far))


def portal_frequency(portal: Portal) -> Floats:
    """Hz, rather too low than too high: all bodies swing on the closed frame at once.

    With X = M^1/2 F M^1/2 the slowest way is taken for (trace X^8)^1/8, as in `flexibility.slowest`.
    """
    near, far = ([load for one in side for load in _swinging(one)] for side in _bodies(portal))
    matrix = _flexibility(portal, near, far)
    squared = matrix @ matrix
    trace = np.linalg.norm(squared @ squared, axis=(-2, -1))
    result: Floats = np.sqrt(1000.0) / (2 * np.pi * trace**0.125)
    return result


Hung = tuple[Body, tuple[Spring, ...]]
"""A body and the springs between it and the rail."""


def _bodies(portal: Portal) -> tuple[list[Hung], list[Hung]]:
    """Everything that hangs on the near half, and on the far one."""
    near, far, beam = portal.near, portal.far, np.asarray(portal.near.arm.kg)
    post = (*near.foot, *near.shared)
    return [
        (near.head, (*_half(near), *near.to_head)),
        (near.box, (*post, *near.to_box)),
        (replace(near.root, kg=near.root.kg + beam / 4), (*post, *near.to_root)),
        (replace(near.arm, kg=beam / 2), _half(near)),
        (near.wheel, near.foot),
    ], [(replace(far.root, kg=far.root.kg + beam / 4), (*far.foot, *far.shared, *far.to_root))]


def _half(mast: Mast) -> tuple[Spring, ...]:
    return (*mast.foot, *mast.shared, *mast.to_root, *mast.reach)


def _on_head(portal: Portal, at: Three, force: Three) -> Load:
    return Load(at, (*_half(portal.near), *portal.near.to_head), force)


def _out(portal: Portal) -> Three:
    """Out of the nozzle face."""
    tilt = np.radians(portal.near.tilt_deg)
    return 0.0, np.cos(tilt), -np.sin(tilt)


def _weight(hung: Hung) -> Load:
    body, springs = hung
    return Load(body.at, springs, (0.0, 0.0, -body.kg * rules.GRAVITY))


def _swinging(hung: Hung) -> Iterator[Load]:
    """What a body's unit accelerations of a unit square root of mass load the frame with."""
    body, springs = hung
    root = np.sqrt(body.kg)
    for unit in UNITS:
        yield Load(body.at, springs, _scaled(unit, root))
    if body.inertia is not NOTHING:
        for unit, inertia in zip(UNITS, body.inertia, strict=True):
            yield Load(body.at, springs, couple=_scaled(unit, np.sqrt(inertia)))


def _scaled(unit: Three, by: Numbers) -> Three:
    return unit[0] * by, unit[1] * by, unit[2] * by


def _flexibility(portal: Portal, near: Sequence[Load], far: Sequence[Load]) -> Floats:
    """(..., n, n): how each load moves each of them on the closed frame, those of the near half first."""
    ears = [_ears(portal, half) for half in (portal.near, portal.far)]
    one, other = _open([*near, *ears[0]]), _open([*far, *ears[1]])
    closing = np.linalg.inv(one[..., -6:, -6:] + other[..., -6:, -6:])
    to, beyond = one[..., :-6, -6:] @ closing, other[..., :-6, -6:]
    here = one[..., :-6, :-6] - to @ one[..., -6:, :-6]
    across = to @ beyond.swapaxes(-1, -2)
    there = other[..., :-6, :-6] - beyond @ closing @ beyond.swapaxes(-1, -2)
    there = np.broadcast_to(there, (*here.shape[:-2], *there.shape[-2:]))
    upper = np.concatenate([here, across], axis=-1)
    result: Floats = np.concatenate(
        [upper, np.concatenate([across.swapaxes(-1, -2), there], axis=-1)], axis=-2
    )
    return result


def _ears(portal: Portal, half: Mast) -> list[Load]:
    """Unit forces and couples on the open end of a half."""
    at, springs = portal.near.arm.at, _half(half)
    forces = [Load(at, springs, unit) for unit in UNITS]
    return [*forces, *(Load(at, springs, couple=unit) for unit in UNITS)]


def _open(loads: Sequence[Load]) -> Floats:
    """(..., n, n): how each load moves each of them on one half whose beam ends at the ear. Built as W^T W,
    with a row of W for each way in which a spring gives."""
    rows = [row for row in _rows(loads) if row]
    shape = np.broadcast_shapes(*(np.shape(value) for row in rows for value in row.values()))
    ways = np.zeros((*shape, len(rows), len(loads)))
    for number, row in enumerate(rows):
        for column, value in row.items():
            ways[..., number, column] = value
    result: Floats = ways.swapaxes(-1, -2) @ ways
    return result


def _rows(loads: Sequence[Load]) -> Iterator[dict[int, Numbers]]:
    """For each way in which a spring gives, what every load does to it, times the root of its flexibility.
    Chains share a spring where both hold the same one, not one like it."""
    carried: dict[int, tuple[Spring, list[int]]] = {}
    for number, load in enumerate(loads):
        for spring in load.springs:
            carried.setdefault(id(spring), (spring, []))[1].append(number)
    for spring, numbers in carried.values():
        couples = {number: _couple(spring, loads[number]) for number in numbers}
        for axis in range(3):
            turn = np.sqrt(spring.turn[axis])
            yield {number: couple[axis] * turn for number, couple in couples.items()}
            if spring.push is not NOTHING:
                push = np.sqrt(spring.push[axis])
                yield {number: loads[number].force[axis] * push for number in numbers}


def _couple(spring: Spring, load: Load) -> Three:
    """What a load turns a spring with: lever x force, and its own couple."""
    x, y, z = (a - b for a, b in zip(load.at, spring.at, strict=True))
    (fx, fy, fz), (cx, cy, cz) = load.force, load.couple
    return y * fz - z * fy + cx, z * fx - x * fz + cy, x * fy - y * fx + cz
