"""How a point of the mast gives way to a force on it: 3 x 3 flexibilities in mm/N, by unit loads.

Axes as in the world: x along the line, y across, z up. The point hangs on post and arm by a rigid lever:
`arm` along y and `side` towards -x from the post's axis, `drop` below the arm. For a force F on it the
post's or arm's inner moment is m . F with a row m that is linear along the bar, and each bar adds the
integral of m m^T / (E I) or / (G J) over its length (Castigliano's second theorem; unit load method).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mountgen.demand import Floats

Numbers = Floats | float
Row = tuple[Numbers, Numbers, Numbers]


@dataclass(frozen=True)
class Lever:
    """Where the point sits from the post's foot, mm: post's height, then along the arm, aside, down."""

    height: Numbers
    arm: Numbers
    side: Numbers
    drop: Numbers


@dataclass(frozen=True)
class Bars:
    """Bending and torsional stiffness of post and arm, N mm2, and of the leg about x and y, N mm/rad."""

    post_ei: Numbers
    post_gj: Numbers
    arm_ei: Numbers
    arm_gj: Numbers
    leg: Numbers


def flexibility(lever: Lever, bars: Bars) -> Floats:
    """mm/N, (..., 3, 3): what a force at the lever's end moves it by, leg, post and arm together."""
    h, a, b, d = lever.height, lever.arm, lever.side, lever.drop
    parts = (
        _bar((-d, 0.0, b), (1.0, 0.0, 0.0), h, bars.post_ei),
        _bar((0.0, d, a), (0.0, -1.0, 0.0), h, bars.post_ei),
        _bar((-a, -b, 0.0), (0.0, 0.0, 0.0), h, bars.post_gj),
        _bar((0.0, d, 0.0), (0.0, 0.0, 1.0), a, bars.arm_ei),
        _bar((0.0, -b, 0.0), (-1.0, 0.0, 0.0), a, bars.arm_ei),
        _bar((-d, 0.0, b), (0.0, 0.0, 0.0), a, bars.arm_gj),
        _square((h - d, 0.0, b), bars.leg),
        _square((0.0, d - h, a), bars.leg),
    )
    return sum(parts, start=np.zeros((3, 3)))


def softest(flexibilities: Floats) -> Floats:
    """mm/N in the direction in which the point gives way most: the largest eigenvalue."""
    return np.asarray(np.linalg.eigvalsh(flexibilities)[..., -1], dtype=np.float64)


def _bar(at_tip: Row, slope: Row, length: Numbers, stiffness: Numbers) -> Floats:
    """The integral of m m^T over the bar, m = at_tip + slope s, s from the tip; over its stiffness."""
    p, q = _column(at_tip), _column(slope)
    size = np.asarray(length, dtype=np.float64)[..., None, None]
    mixed = _outer(p, q) + _outer(q, p)
    total = _outer(p, p) * size + mixed * size**2 / 2 + _outer(q, q) * size**3 / 3
    result: Floats = total / np.asarray(stiffness, dtype=np.float64)[..., None, None]
    return result


def _square(row: Row, stiffness: Numbers) -> Floats:
    column = _column(row)
    result: Floats = _outer(column, column) / np.asarray(stiffness, dtype=np.float64)[..., None, None]
    return result


def _column(row: Row) -> Floats:
    return np.stack(np.broadcast_arrays(*(np.asarray(v, dtype=np.float64) for v in row)), axis=-1)


def _outer(one: Floats, other: Floats) -> Floats:
    result: Floats = one[..., :, None] * other[..., None, :]
    return result
