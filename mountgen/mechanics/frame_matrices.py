"""Stiffness, mass and load arrays of a space frame.

Masses inside are in tonnes, so that N, mm, t and s belong together (1 N = 1 t mm/s2). Every bar's matrices
are made in its local axes, condensed by the springs at its ends and carried to the nodes through the rigid
offsets, all bars at once.

Source of the bar's matrices: Przemieniecki, Theory of Matrix Structural Analysis, ch. 5 and 11
(Euler-Bernoulli, mass consistent with the cubic shapes).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mountgen.geometry import Vec3
from mountgen.mechanics.frame import Frame, FrameError, LoadCase, Mass, member_axes
from mountgen.mechanics.ranges import Floats

KG_PER_T = 1000.0

SINGULAR = 1e-12
"""Least eigenvalue or pivot of a stiffness matrix with ones on its diagonal; below it something is loose."""

_BENDING = np.array([[12.0, 6, -12, 6], [6, 4, -6, 2], [-12, -6, 12, -6], [6, 2, -6, 4]])
_BENDING_MASS = np.array([[156.0, 22, 54, -13], [22, 4, 13, -3], [54, 13, 156, -22], [-13, -3, -22, 4]]) / 420
_LINE = np.array([[1.0, -1.0], [-1.0, 1.0]])
_LINE_MASS = np.array([[2.0, 1.0], [1.0, 2.0]]) / 6

_AXIAL, _TWIST, _IN_XY, _IN_XZ = [0, 6], [3, 9], [1, 5, 7, 11], [2, 4, 8, 10]
_MIRRORED = np.outer([1.0, -1.0, 1.0, -1.0], [1.0, -1.0, 1.0, -1.0])
"""Turning about local y is positive where local z falls along the bar."""


@dataclass(frozen=True)
class BarMatrices:
    """All members; the first axis of every array counts members, the others a bar's 12 end motions.

    `stiffness` and `mass` (t) of the bare bars, in local axes; `give`: what the springs yield for a force on
    the bar's ends; `reach`: motion of the bars' ends from that of the nodes were the springs rigid; `hang`:
    the same with the springs; `turn` (m, 3, 3): local axes as rows; `rows` (m, 12): places in the frame.
    """

    stiffness: Floats
    mass: Floats
    give: Floats
    reach: Floats
    hang: Floats
    turn: Floats
    rows: NDArray[np.intp]


@dataclass(frozen=True)
class FrameMatrices:
    """A whole frame of n nodes: stiffness without supports and mass (t), in world axes, and how it is held.

    `axes` (6n, 6n) turns motions into the supports' axes; `springs` (6n) are the supports' stiffnesses there,
    0 where rigid; `held` (6n) is true where rigid.
    """

    bars: BarMatrices
    stiffness: Floats
    mass: Floats
    axes: Floats
    springs: Floats
    held: NDArray[np.bool_]


def frame_matrices(frame: Frame) -> FrameMatrices:
    """Stiffness and mass of all parts of a frame together.

    Args:
        frame: nodes, members, supports and masses.
    """
    bars = _bar_matrices(frame)
    size = 6 * len(frame.nodes)
    stiffness = _gathered(_transposed(bars.reach) @ bars.stiffness @ bars.hang, bars.rows, size)
    mass = _gathered(_transposed(bars.hang) @ bars.mass @ bars.hang, bars.rows, size)
    index = frame.index
    for body in frame.masses:
        rows = _rows(index[body.node])
        mass[rows, rows] += mass_matrix(body)
    axes, springs, held = _supports(frame, size)
    return FrameMatrices(bars, stiffness, mass, axes, springs, held)


def load_vectors(frame: Frame, matrices: FrameMatrices, cases: Sequence[LoadCase]) -> Floats:
    """Forces and couples on the nodes, (6n, cases), N and N mm: the cases' loads and all weights.

    Args:
        frame: the frame.
        matrices: of the same frame.
        cases: at least one.
    """
    accelerations = np.array([case.gravity for case in cases])
    vectors = matrices.mass @ rigid_travel(frame) @ accelerations.T
    index = frame.index
    for column, case in enumerate(cases):
        for load in case.loads:
            if load.node not in index:
                raise FrameError(f"load: there is no node {load.node}")
            couple = np.array(load.couple) + np.cross(load.offset, load.force)
            vectors[_rows(index[load.node]), column] += np.concatenate([load.force, couple])
    result: Floats = vectors
    return result


def rigid_travel(frame: Frame) -> Floats:
    """Motion of all nodes when the frame travels by 1 along x, y or z, (6n, 3).

    Args:
        frame: the frame.
    """
    return np.tile(np.eye(6, 3), (len(frame.nodes), 1))


def bar_loads(matrices: BarMatrices, gravity: Vec3) -> Floats:
    """Weights of the bars as forces and couples on their own ends, local axes, (m, 12).

    Args:
        matrices: of the bars.
        gravity: mm/s2.
    """
    pull = matrices.turn @ np.array(gravity)
    field = np.zeros((len(pull), 12))
    field[:, 0:3] = field[:, 6:9] = pull
    result: Floats = np.einsum("mij,mj->mi", matrices.mass, field)
    return result


def mass_matrix(body: Mass) -> Floats:
    """Mass matrix of a rigid body at its node, (6, 6), t and t mm2.

    Args:
        body: kg, mm and kg mm2.
    """
    lever = skew(body.offset)
    matrix = np.zeros((6, 6))
    matrix[:3, :3] = body.kg * np.eye(3)
    matrix[:3, 3:] = -body.kg * lever
    matrix[3:, :3] = body.kg * lever
    matrix[3:, 3:] = body.tensor - body.kg * lever @ lever
    return matrix / KG_PER_T


def skew(vector: Vec3) -> Floats:
    """The matrix S with S a = vector x a.

    Args:
        vector: any.
    """
    x, y, z = vector
    return np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])


def _bar_matrices(frame: Frame) -> BarMatrices:
    count = len(frame.members)
    axes = [member_axes(member, *ends) for member, ends in zip(frame.members, frame.bar_ends, strict=True)]
    turn = np.array([rows for rows, _ in axes]).reshape(count, 3, 3)
    lengths = np.array([size for _, size in axes])
    index = frame.index
    starts = np.array(
        [[6 * index[member.start], 6 * index[member.end]] for member in frame.members], dtype=np.intp
    )
    rows = (starts.reshape(count, 2, 1) + np.arange(6)).reshape(count, 12)
    stiffness = _bar_stiffness(frame, lengths)
    give = _springs_give(frame, stiffness)
    reach = _reach(frame, turn)
    hang = reach - give @ stiffness @ reach
    return BarMatrices(stiffness, _bar_mass(frame, lengths), give, reach, hang, turn, rows)


def _bar_stiffness(frame: Frame, lengths: Floats) -> Floats:
    bars = [member.bar for member in frame.members]
    e = np.array([bar.e_mpa for bar in bars]) / lengths
    stiffness = np.zeros((len(bars), 12, 12))
    _place(stiffness, _AXIAL, _LINE, e * np.array([bar.area for bar in bars]))
    _place(stiffness, _TWIST, _LINE, np.array([bar.g_mpa * bar.j for bar in bars]) / lengths)
    powers = _length_powers(lengths, -2)
    _place(stiffness, _IN_XY, _BENDING * powers, e * np.array([bar.iz for bar in bars]))
    _place(stiffness, _IN_XZ, _BENDING * _MIRRORED * powers, e * np.array([bar.iy for bar in bars]))
    return stiffness


def _bar_mass(frame: Frame, lengths: Floats) -> Floats:
    bars = [member.bar for member in frame.members]
    density = np.array([bar.kg_per_mm3 for bar in bars]) / KG_PER_T
    tonnes = density * np.array([bar.area for bar in bars]) * lengths
    mass = np.zeros((len(bars), 12, 12))
    _place(mass, _AXIAL, _LINE_MASS, tonnes)
    _place(mass, _TWIST, _LINE_MASS, density * lengths * np.array([bar.iy + bar.iz for bar in bars]))
    powers = _length_powers(lengths, 0)
    _place(mass, _IN_XY, _BENDING_MASS * powers, tonnes)
    _place(mass, _IN_XZ, _BENDING_MASS * _MIRRORED * powers, tonnes)
    return mass


def _place(matrices: Floats, rows: list[int], pattern: Floats, factors: Floats) -> None:
    matrices[:, np.array(rows)[:, np.newaxis], rows] = factors[:, np.newaxis, np.newaxis] * pattern


def _length_powers(lengths: Floats, travel: int) -> Floats:
    """L^travel where travel meets travel, and one power more for each turn, (m, 4, 4)."""
    turns = np.array([0, 1, 0, 1])
    powers = travel + turns[:, np.newaxis] + turns
    result: Floats = lengths[:, np.newaxis, np.newaxis] ** powers
    return result


def _springs_give(frame: Frame, stiffness: Floats) -> Floats:
    """Motion of the springs at the bars' ends for unit forces on those ends, (m, 12, 12)."""
    springs = np.array([m.start_end.springs + m.end_end.springs for m in frame.members]).reshape(-1, 12)
    soft = np.isfinite(springs)
    sprung = np.flatnonzero(soft.any(axis=1))
    give = np.zeros_like(stiffness)
    if len(sprung) == 0:
        return give
    both = soft[sprung, :, np.newaxis] & soft[sprung, np.newaxis, :]
    inner = np.where(both, stiffness[sprung], 0.0)
    diagonal = inner.diagonal(axis1=1, axis2=2) + np.where(soft, springs, 1.0)[sprung]
    inner[:, range(12), range(12)] = diagonal
    scale = 1 / np.sqrt(diagonal)
    inner = scale[:, :, np.newaxis] * inner * scale[:, np.newaxis, :]
    loose = np.flatnonzero(np.linalg.eigvalsh(inner)[:, 0] < SINGULAR)
    if len(loose):
        name = frame.members[sprung[loose[0]]].name
        raise FrameError(f"member {name}: the springs at its ends let the bar itself move freely")
    yielding = scale[:, :, np.newaxis] * np.linalg.inv(inner) * scale[:, np.newaxis, :]
    give[sprung] = np.where(both, yielding, 0.0)
    return give


def _reach(frame: Frame, turn: Floats) -> Floats:
    """Motion of the bars' ends, local, from that of their nodes, world, through the rigid offsets."""
    reach = np.zeros((len(turn), 12, 12))
    for place in (0, 3, 6, 9):
        reach[:, place : place + 3, place : place + 3] = turn
    levers = np.array([[skew(m.start_end.offset), skew(m.end_end.offset)] for m in frame.members])
    levers = levers.reshape(-1, 2, 3, 3)
    reach[:, 0:3, 3:6] = -turn @ levers[:, 0]
    reach[:, 6:9, 9:12] = -turn @ levers[:, 1]
    return reach


def _supports(frame: Frame, size: int) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    axes, stiffness = np.eye(size), np.zeros(size)
    index = frame.index
    for support in frame.supports:
        rows = _rows(index[support.node])
        own = support.axes
        turn = np.array([own.x_axis, own.y_axis, own.z_axis])
        axes[rows, rows] = np.kron(np.eye(2), turn)
        stiffness[rows] = support.stiffness
    held = np.isinf(stiffness)
    return axes, np.where(held, 0.0, stiffness), held


def _gathered(parts: Floats, rows: NDArray[np.intp], size: int) -> Floats:
    whole = np.zeros((size, size))
    np.add.at(whole, (rows[:, :, np.newaxis], rows[:, np.newaxis, :]), parts)
    return whole


def _transposed(matrices: Floats) -> Floats:
    return matrices.transpose(0, 2, 1)


def _rows(node: int) -> slice:
    return slice(6 * node, 6 * node + 6)
