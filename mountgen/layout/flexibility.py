"""How a point of the mast gives way to a force on it: 3 x 3 flexibilities in mm/N, by unit loads.

Axes as in the world: x along the line, y across, z up. The point hangs on post and arm by a rigid lever:
`arm` along y and `side` towards -x from the post's axis, `drop` below the arm. For a force F on it the
post's or arm's inner moment is m . F with a row m that is linear along the bar, and each bar adds the
integral of m m^T / (E I) or / (G J) over its length (Castigliano's second theorem; unit load method).
With h, a, b, d for height, arm, side and drop, and s from the tip of each bar, the rows are

    post, bending    (s - d, 0, b) and (0, d - s, a)
    post, torsion    (-a, -b, 0)
    arm, bending     (0, d, s) and (-s, -b, 0)
    arm, torsion     (-d, 0, b)
    leg              (h - d, 0, b) and (0, d - h, a)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mountgen.demand import Floats

Numbers = Floats | float


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


@dataclass(frozen=True)
class Flexibility:
    """A symmetric 3 x 3 matrix, mm/N, by its six numbers: arrays of shapes that fit each other."""

    xx: Floats
    yy: Floats
    zz: Floats
    xy: Floats
    xz: Floats
    yz: Floats


def flexibility(lever: Lever, bars: Bars) -> Flexibility:
    """What a force at the lever's end moves it by, leg, post and arm together."""
    h, a, b, d = (np.asarray(v, dtype=np.float64) for v in (lever.height, lever.arm, lever.side, lever.drop))
    post_ei, post_gj, arm_ei, arm_gj, leg = bars.post_ei, bars.post_gj, bars.arm_ei, bars.arm_gj, bars.leg
    over, beside = h - d, a**2 + b**2
    sway = h * (d**2 - d * h + h**2 / 3) / post_ei
    tip = a**3 / (3 * arm_ei)
    return Flexibility(
        xx=sway + a**2 * h / post_gj + tip + d**2 * a / arm_gj + over**2 / leg,
        yy=sway + b**2 * h / post_gj + (b**2 + d**2) * a / arm_ei + over**2 / leg,
        zz=beside * h / post_ei + tip + b**2 * a / arm_gj + beside / leg,
        xy=a * b * h / post_gj + b * a**2 / (2 * arm_ei),
        xz=b * h * (h / 2 - d) / post_ei - d * b * a / arm_gj + b * over / leg,
        yz=a * h * (d - h / 2) / post_ei + d * a**2 / (2 * arm_ei) - a * over / leg,
    )


def softest(matrix: Flexibility) -> Floats:
    """mm/N in the direction in which the point gives way most: the largest eigenvalue.

    In closed form, for many candidates at once: with the mean q of the diagonal and p^2 a sixth of the
    sum of squares of A - q I, it is q + 2 p cos(arccos(det((A - q I) / p) / 2) / 3) (Smith, Eigenvalues of
    a symmetric 3 x 3 matrix, Communications of the ACM 4, 1961). Where the two largest are the same, half
    of the digits are lost.
    """
    xy, xz, yz = matrix.xy, matrix.xz, matrix.yz
    q = (matrix.xx + matrix.yy + matrix.zz) / 3
    x, y, z = matrix.xx - q, matrix.yy - q, matrix.zz - q
    p = np.sqrt((x**2 + y**2 + z**2 + 2 * (xy**2 + xz**2 + yz**2)) / 6)
    det = x * (y * z - yz**2) - xy * (xy * z - yz * xz) + xz * (xy * yz - y * xz)
    alike = p == 0
    cosine = np.clip(det / np.where(alike, 1.0, 2 * p**3), -1.0, 1.0)
    result: Floats = q + 2 * p * np.cos(np.arccos(cosine) / 3)
    return result
