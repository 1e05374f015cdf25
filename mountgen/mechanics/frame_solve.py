"""What a space frame does: displacements and forces under loads, natural frequencies and shapes.

`solve_static` and `solve_static_cases` need loads, `solve_modes` needs masses. A frame that can move
without resistance is refused with the node and direction that are loose.

Source: displacement method; Przemieniecki, Theory of Matrix Structural Analysis. The eigenvalue problem
is reduced by the Cholesky factor of the stiffness, so that ways of moving without mass do no harm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mountgen.geometry import Vec3
from mountgen.mechanics.frame import DIRECTIONS, NOWHERE, Frame, FrameError, LoadCase
from mountgen.mechanics.frame_matrices import (
    KG_PER_T,
    SINGULAR,
    FrameMatrices,
    bar_loads,
    frame_matrices,
    load_vectors,
    rigid_travel,
)
from mountgen.mechanics.ranges import Floats, require_positive

MASSLESS = 1e-12
"""Part of the largest 1/omega^2 below which a way of moving has no mass."""

SPARE = 8
"""Vectors that are iterated beside twice the modes that are wanted."""

LARGEST_BLOCK = 24
"""More vectors than these are not iterated."""

MOST_ROUNDS = 30

SETTLED = 1e-11
"""What may be left of an eigenvector's equation, as a part of the largest eigenvalue."""


class MechanismError(FrameError):
    """The frame can move without resistance: names a node and a direction that are loose."""


@dataclass(frozen=True)
class StaticResult:
    """What a frame does under one load case.

    `displacements` (n, 6): mm and rad of each node, world axes. `reactions` (supports, 6): N and N mm that
    each support puts on its node, world axes. `end_forces` (m, 12): N and N mm that act on each bar's start
    and end, local axes. Rows follow the frame's nodes, supports and members.
    """

    frame: Frame
    displacements: Floats
    reactions: Floats
    end_forces: Floats

    def at(self, node: str, offset: Vec3 = NOWHERE) -> Floats:
        """Travel (mm) and turn (rad), (6,), of a point held rigidly at `offset` (mm) from a node."""
        return moved_point(self.displacements[_row(self.frame, node)], offset)


@dataclass(frozen=True)
class Modes:
    """The k slowest ways a frame swings.

    `frequencies_hz` (k,), lowest first. `shapes` (k, n, 6): motion of each node, scaled so that the mode's
    mass is 1 kg. `participation` (k, 3): sqrt(kg) by which a common travel of all supports along x, y, z
    drives each mode; its square is the effective mass, kg.
    """

    frame: Frame
    frequencies_hz: Floats
    shapes: Floats
    participation: Floats

    def at(self, node: str, offset: Vec3 = NOWHERE) -> Floats:
        """Shapes, (k, 6), of a point held rigidly at `offset` (mm) from a node."""
        return moved_point(self.shapes[:, _row(self.frame, node)], offset)


def moved_point(motion: Floats, offset: Vec3) -> Floats:
    """Motion of a point that is held rigidly off a node: its travel gains turn x offset.

    Args:
        motion: of the node, mm and rad, shape (..., 6).
        offset: from the node to the point, mm.
    """
    x, y, z = offset
    about_x, about_y, about_z = motion[..., 3], motion[..., 4], motion[..., 5]
    result: Floats = motion.copy()
    result[..., 0] += about_y * z - about_z * y
    result[..., 1] += about_z * x - about_x * z
    result[..., 2] += about_x * y - about_y * x
    return result


def solve_static(frame: Frame, case: LoadCase) -> StaticResult:
    """Displacements, reactions and forces under one load case; MechanismError for a loose frame.

    Args:
        frame: nodes, members, supports and masses.
        case: loads and gravity.
    """
    return solve_static_cases(frame, (case,))[0]


def solve_static_cases(frame: Frame, cases: Sequence[LoadCase]) -> tuple[StaticResult, ...]:
    """Displacements, reactions and forces under each of many load cases, one factorisation for all.

    Args:
        frame: nodes, members, supports and masses.
        cases: at least one.
    """
    require_positive(number_of_cases=len(cases))
    matrices = frame_matrices(frame)
    loads = load_vectors(frame, matrices, cases)
    free = np.flatnonzero(~matrices.held)
    held_stiffness, _ = _factor(frame, matrices, free)
    moved = np.zeros_like(loads)
    moved[free] = np.linalg.solve(held_stiffness, (matrices.axes @ loads)[free])
    moved = matrices.axes.T @ moved
    pulled = matrices.stiffness @ moved - loads
    return tuple(
        _result(frame, matrices, case, moved[:, column], pulled[:, column])
        for column, case in enumerate(cases)
    )


def solve_modes(frame: Frame, count: int) -> Modes:
    """The slowest natural modes, undamped; fewer than `count` when the frame has fewer.

    MechanismError for a loose frame, FrameError for one without mass.

    Args:
        frame: nodes, members, supports and masses.
        count: how many modes, 1 or more.
    """
    require_positive(count=count)
    matrices = frame_matrices(frame)
    free = np.flatnonzero(~matrices.held)
    _, factor = _factor(frame, matrices, free)
    turned = matrices.axes @ matrices.mass @ matrices.axes.T
    inverse = np.linalg.inv(factor)
    slowness, vectors = _largest(inverse @ turned[np.ix_(free, free)] @ inverse.T, count)
    moving = slowness > MASSLESS * slowness.max(initial=0.0)
    if not moving.any():
        raise FrameError("a frame without mass that can move has no natural frequency")
    slowness, vectors = slowness[moving][: -count - 1 : -1], vectors[:, moving][:, : -count - 1 : -1]
    shapes = np.zeros((len(matrices.held), len(slowness)))
    shapes[free] = inverse.T @ vectors / np.sqrt(slowness * KG_PER_T)
    shapes = _signed(matrices.axes.T @ shapes)
    driven = shapes.T @ matrices.mass @ rigid_travel(frame) * KG_PER_T
    frequencies = 1 / np.sqrt(slowness) / (2 * math.pi)
    return Modes(frame, frequencies, shapes.T.reshape(len(slowness), -1, 6), driven)


def _largest(matrix: Floats, count: int) -> tuple[Floats, Floats]:
    """The largest eigenvalues of a symmetric matrix, at least `count`, rising, and their vectors.

    Subspace iteration (Bathe, Finite Element Procedures, ch. 11): for a frame's few slowest modes it is
    faster than solving for all, and keeps to small matrices that a library does not share out over threads.
    Where it would not pay or does not settle, all are solved for.
    """
    size, block = len(matrix), 2 * count + SPARE
    if block > LARGEST_BLOCK or size <= 2 * block:
        return _all_of(matrix)
    square = matrix @ matrix
    power = square @ square / float(np.square(np.trace(matrix))) ** 2
    vectors = np.random.default_rng(0).standard_normal((size, block))
    for _ in range(MOST_ROUNDS):
        basis = np.linalg.qr(power @ vectors)[0]
        values, turn = np.linalg.eigh(basis.T @ matrix @ basis)
        vectors = basis @ turn
        left = matrix @ vectors[:, -count:] - vectors[:, -count:] * values[-count:]
        if np.abs(left).max() <= SETTLED * values[-1]:
            return values, vectors
    return _all_of(matrix)


def _all_of(matrix: Floats) -> tuple[Floats, Floats]:
    values, vectors = np.linalg.eigh(matrix)
    return values, vectors


def _signed(shapes: Floats) -> Floats:
    """Each column with its largest number above zero, so that the same frame gives the same shapes."""
    largest = np.abs(shapes).argmax(axis=0)
    result: Floats = shapes * np.where(shapes[largest, np.arange(shapes.shape[1])] < 0, -1.0, 1.0)
    return result


def _factor(frame: Frame, matrices: FrameMatrices, free: NDArray[np.intp]) -> tuple[Floats, Floats]:
    """Stiffness of the free ways of moving, and its Cholesky factor."""
    whole = matrices.axes @ matrices.stiffness @ matrices.axes.T + np.diag(matrices.springs)
    stiffness = whole[np.ix_(free, free)]
    diagonal = np.diag(stiffness)
    if len(free) == 0:
        return stiffness, stiffness
    if diagonal.min() <= 0.0:
        raise _loose(frame, free[diagonal.argmin()])
    scale = np.sqrt(diagonal)
    scaled = stiffness / scale / scale[:, np.newaxis]
    try:
        factor = np.linalg.cholesky(scaled)
    except np.linalg.LinAlgError:
        raise _loosest(frame, free, scaled) from None
    if np.diag(factor).min() ** 2 < SINGULAR:
        raise _loosest(frame, free, scaled)
    return stiffness, np.asarray(factor * scale[:, np.newaxis], dtype=np.float64)


def _loosest(frame: Frame, free: NDArray[np.intp], scaled: Floats) -> MechanismError:
    """The error that names where the softest way of moving is largest."""
    vectors = np.linalg.eigh(scaled)[1]
    return _loose(frame, free[np.abs(vectors[:, 0]).argmax()])


def _loose(frame: Frame, way: np.intp) -> MechanismError:
    node, direction = divmod(int(way), 6)
    return MechanismError(
        f"node {frame.nodes[node].name} is free to move {_ALONG[direction]}: nothing holds it"
    )


_ALONG = tuple(d if d.startswith("about") else f"along {d}" for d in DIRECTIONS)


def _result(
    frame: Frame, matrices: FrameMatrices, case: LoadCase, moved: Floats, pulled: Floats
) -> StaticResult:
    bars = matrices.bars
    own = bar_loads(bars, case.gravity)
    ends = np.einsum("mij,mj->mi", bars.hang, moved[bars.rows]) + np.einsum("mij,mj->mi", bars.give, own)
    forces = np.einsum("mij,mj->mi", bars.stiffness, ends) - own
    rows = [_row(frame, support.node) for support in frame.supports]
    return StaticResult(frame, moved.reshape(-1, 6), pulled.reshape(-1, 6)[rows], forces)


def _row(frame: Frame, node: str) -> int:
    if node not in frame.index:
        raise FrameError(f"there is no node {node}")
    return frame.index[node]
