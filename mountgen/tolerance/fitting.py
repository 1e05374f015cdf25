"""Do screws pass: rigid plates whose holes are off, laid on each other as well as they can be.

A hole pattern is rigid: it can be shifted and turned, its holes not one by one. Deviations are arrays with
one row a sample. Turning is linearised: a pattern turns by hundredths of a degree.
Source: ISO 1101 and ASME Y14.5, floating and fixed fasteners, here with all fasteners of a joint at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mountgen.demand import Floats

ROUNDS = 30
"""Of reweighting; the farthest hole is then within a per cent of the least possible."""
LEAST_WEIGHT = 1e-9
STEPS, DAMPING = 20, 1e-6
TOUCH = 1e-3
"""mm by which a screw may still stand in a hole's edge."""

Flags = NDArray[np.bool_]


def spread_along(off: Floats, along: tuple[float, float], at: Floats) -> Floats:
    """How much farther apart two holes are than they should be, once the plates were turned best, mm.

    Args:
        off: deviations of the one plate's holes from the other's, (samples, screws, 2), mm.
        along: unit vector from screw to screw in the joint's plane.
        at: the screws' places along it, ascending, (screws,), mm.
    """
    moved = off @ np.asarray(along)
    first, last = int(np.argmin(at)), int(np.argmax(at))
    result: Floats = np.abs(moved[:, last] - moved[:, first])
    return result


def half_range(off: Floats) -> Floats:
    """Farthest of the holes from the best middle of them, in one direction, mm: (samples, screws) in,
    (samples,) out."""
    result: Floats = np.ptp(off, axis=1) / 2.0
    return result


def farthest(off: Floats, places: Floats) -> Floats:
    """Farthest of the holes from its place once the pattern was shifted and turned best, mm.

    The least of the greatest distances is found by reweighted least squares, each hole weighted by how far
    off it was (Lawson's method); what is returned is never less than the least possible.

    Args:
        off: deviations, (samples, screws, 2), mm.
        places: the screws' places in the joint's plane, (screws, 2), mm.
    """
    moves = _moves(places)
    weights = np.full(off.shape[:2], 1.0 / off.shape[1])
    best = np.full(len(off), np.inf)
    for _ in range(ROUNDS):
        away = np.hypot(*np.moveaxis(off - _laid(off, moves, weights), 2, 0))
        best = np.minimum(best, away.max(axis=1))
        weights = np.maximum(weights * away, LEAST_WEIGHT)
        weights /= weights.sum(axis=1, keepdims=True)
    return best


def _moves(places: Floats) -> Floats:
    """What a shift along either axis and a turn by one radian do to every hole: (screws, 2, 3)."""
    from_middle = places - places.mean(axis=0)
    moves = np.zeros((len(places), 2, 3))
    moves[:, 0, 0] = moves[:, 1, 1] = 1.0
    moves[:, 0, 2], moves[:, 1, 2] = -from_middle[:, 1], from_middle[:, 0]
    return moves


def _laid(off: Floats, moves: Floats, weights: Floats) -> Floats:
    """Where the holes come to lie when the pattern follows the deviations as weighted."""
    normal = np.einsum("nk,kai,kaj->nij", weights, moves, moves)
    right = np.einsum("nk,kai,nka->ni", weights, moves, off)
    found = np.linalg.solve(normal, right[..., None])[..., 0]
    result: Floats = np.einsum("kai,ni->nka", moves, found)
    return result


def passes(off: Floats, places: Floats, play: float) -> Flags:
    """Which samples' screws pass all at once with a play to either side, mm.

    Those that pass when the pattern lies by plain least squares need no better place.
    """
    flat = _moves(places).reshape(-1, 3)
    follows = flat @ np.linalg.pinv(flat)
    left_over = off.reshape(len(off), -1) @ (np.eye(len(follows)) - follows)
    away = np.hypot(left_over[:, ::2], left_over[:, 1::2]).max(axis=1)
    found: Flags = away <= play
    left = np.flatnonzero(~found)
    if left.size:
        found[left] = farthest(off[left], places) <= play
    return found


@dataclass(frozen=True)
class Sandwich:
    """A plate with slots, a drilled wall and a loose plate behind it, held by the same screws. Plays are of
    a screw in each one's holes, mm to either side; the slotted plate must stand square and has it along x
    alone."""

    slotted: float
    wall: float
    loose: float

    def passes(self, slotted: Floats, loose: Floats, places: Floats) -> Flags:
        """Which samples go together. The room that lacks is convex in screws and plates, so going down
        it finds a place where there is one; a sample still without when the steps are used up counts as
        one that does not go together.

        Args:
            slotted: deviations of the slotted plate's holes along x from the wall's, (samples, screws), mm.
            loose: those of the loose plate's, (samples, screws, 2), mm.
            places: the screws' places, (screws, 2), mm.
        """
        found: Flags = half_range(slotted) <= self.slotted + self.wall
        open_ = np.flatnonzero(found)
        state = np.zeros((len(slotted), 2 * slotted.shape[1] + 4))
        moves = _moves(places)
        for _ in range(STEPS):
            lacking, slopes = self._lacking(state[open_], slotted[open_], loose[open_], moves)
            held = lacking.max(axis=1) <= TOUCH
            open_, lacking, slopes = open_[~held], lacking[~held], slopes[~held]
            if not open_.size:
                return found
            state[open_] -= _step(lacking, slopes)
        found[open_] = False
        return found

    def _lacking(self, state: Floats, slotted: Floats, loose: Floats, moves: Floats) -> tuple[Floats, Floats]:
        """mm by which every screw is outside its hole in wall, slotted and loose plate, (samples, 3 screws),
        and how that changes with the state: the screws' x and z, the slotted plate's shift, the loose
        plate's shifts and turn."""
        samples, screws = slotted.shape
        at = state[:, : 2 * screws].reshape(samples, screws, 2)
        shift, laid = state[:, 2 * screws, None], np.einsum("kai,ni->nka", moves, state[:, 2 * screws + 1 :])
        aside = np.zeros_like(at)
        aside[..., 0] = at[..., 0] - slotted - shift
        ways, over = zip(
            *(_outside(away, play) for away, play in self._rooms(at, aside, at - loose - laid)), strict=True
        )
        slopes = np.zeros((samples, 3, screws, state.shape[1]))
        for kind, way in enumerate(ways):
            for k in range(screws):
                slopes[:, kind, k, 2 * k : 2 * k + 2] = way[:, k]
        slopes[:, 1, :, 2 * screws] = -ways[1][..., 0]
        slopes[:, 2, :, 2 * screws + 1 :] = -np.einsum("nka,kai->nki", ways[2], moves)
        return np.concatenate(over, axis=1), slopes.reshape(samples, 3 * screws, -1)

    def _rooms(self, *away: Floats) -> tuple[tuple[Floats, float], ...]:
        return tuple(zip(away, (self.wall, self.slotted, self.loose), strict=True))


def _outside(away: Floats, play: float) -> tuple[Floats, Floats]:
    """Unit ways out of a hole, nothing for a screw inside, and mm by which it is outside."""
    far = np.hypot(away[..., 0], away[..., 1])
    over = np.maximum(far - play, 0.0)
    return np.where(over > 0.0, 1.0, 0.0)[..., None] * away / np.maximum(far, LEAST_WEIGHT)[..., None], over


def _step(lacking: Floats, slopes: Floats) -> Floats:
    """Gauss-Newton, damped so that what no hole holds stays where it is."""
    normal = np.einsum("nri,nrj->nij", slopes, slopes) + DAMPING * np.eye(slopes.shape[2])
    right = np.einsum("nri,nr->ni", slopes, lacking)
    result: Floats = np.linalg.solve(normal, right[..., None])[..., 0]
    return result
