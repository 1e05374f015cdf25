"""Thin rectangular plates on a grid of bicubic elements, solved in NumPy.

The deflection is bicubic in every cell, with deflection, both slopes and the twist at each grid point as
unknowns, so that slopes are continuous everywhere (Bogner, Fox and Schmit, 1965). On a grid of straight lines
the stiffness is a sum of products of beam matrices along and across the plate, and a column of grid points
meets its two neighbours only: columns are eliminated one after the other.

Unknowns of a column: deflections and slopes across of its points from low to high (w, w_y, w, w_y, ...), then
slopes along and twists in the same order (w_x, w_xy, ...).

The deflection found is never more than the true one: the plate on a grid is a little too stiff.
Source: Kirchhoff plate theory, Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, art. 21.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from mountgen.mechanics.ranges import Floats

Edge = Literal["clamped", "supported", "free", "symmetric", "antisymmetric"]
"""How a side is held; the last two stand for the other half of a plate cut along that side."""

_HELD: dict[Edge, tuple[bool, bool]] = {
    "clamped": (True, True),
    "supported": (True, False),
    "free": (False, False),
    "symmetric": (False, True),
    "antisymmetric": (True, False),
}
"""Of each side: whether deflection and whether the slope square to the side are zero."""


@dataclass(frozen=True)
class PlateGrid:
    """Grid lines along (x) and across (y), mm, and how the sides at low x, high x, low y, high y are held."""

    x: Floats
    y: Floats
    stiffness_d: float
    poisson: float
    sides: tuple[Edge, Edge, Edge, Edge]

    @property
    def column_size(self) -> int:
        """Unknowns of one column, four at each of its grid points."""
        return 4 * len(self.y)


@dataclass(frozen=True)
class _BeamMatrices:
    """Integrals of products of cubic shapes over a line: values, slopes, curvatures, curvature by value."""

    values: Floats
    slopes: Floats
    curvatures: Floats
    mixed: Floats


class PlateStiffness:
    """Stiffness of a plate without its supports, in blocks of columns.

    D times the integral of (w_xx + w_yy)^2 - 2 (1 - nu)(w_xx w_yy - w_xy^2), twice the strain energy.
    """

    def __init__(self, grid: PlateGrid) -> None:
        self._grid = grid
        x, y, nu = _beam_matrices(grid.x), _beam_matrices(grid.y), grid.poisson
        self._along = np.stack([x.curvatures, x.values, x.mixed, x.mixed.T, x.slopes])
        across = np.stack([y.values, y.curvatures, nu * y.mixed.T, nu * y.mixed, 2 * (1 - nu) * y.slopes])
        self._across = grid.stiffness_d * across.reshape(5, -1)

    def block(self, i: int, j: int) -> Floats:
        """How the unknowns of column j push those of column i, N/mm for deflections."""
        along = self._along[:, 2 * i : 2 * i + 2, 2 * j : 2 * j + 2].reshape(5, 4)
        half = self._grid.column_size // 2
        energy = (along.T @ self._across).reshape(2, 2, half, half)
        return np.asarray(energy.transpose(0, 2, 1, 3).reshape(2 * half, 2 * half), dtype=np.float64)

    def columns(self, count: int) -> Floats:
        """The first columns together."""
        size = self._grid.column_size
        whole = np.zeros((count * size, count * size))
        for i in range(count):
            for j in range(max(0, i - 1), min(count, i + 2)):
                whole[i * size : (i + 1) * size, j * size : (j + 1) * size] = self.block(i, j)
        return whole


def eliminated(grid: PlateGrid, stiffness: PlateStiffness, keep: int) -> tuple[Floats, Floats]:
    """The columns after the first `keep`, out of the way.

    What they add to the stiffness of the last column kept, and how the next column follows that one's motion,
    both (4 rows, 4 rows).

    Args:
        grid: lines and how the sides are held.
        stiffness: of the same grid.
        keep: how many columns stay, at least one fewer than there are.
    """
    held = held_unknowns(grid)
    added = np.zeros((grid.column_size, grid.column_size))
    follow = added
    for column in range(len(grid.x) - 1, keep - 1, -1):
        free = np.flatnonzero(~held[column])
        own = stiffness.block(column, column) + added
        link = stiffness.block(column, column - 1)
        follow = np.zeros_like(own)
        follow[free] = -np.linalg.solve(own[np.ix_(free, free)], link[free])
        added = link.T @ follow
    return added, follow


def held_unknowns(grid: PlateGrid) -> NDArray[np.bool_]:
    """Which unknowns the sides hold at zero, (columns, 4 rows).

    Args:
        grid: lines and how the sides are held.
    """
    held = np.zeros((len(grid.x), 2, len(grid.y), 2), dtype=np.bool_)
    low_x, high_x, low_y, high_y = (_HELD[side] for side in grid.sides)
    for place, (value, slope) in ((0, low_x), (-1, high_x)):
        held[place, 0] |= value
        held[place, 1] |= slope
    for place, (value, slope) in ((0, low_y), (-1, high_y)):
        held[:, :, place, 0] |= value
        held[:, :, place, 1] |= slope
    return held.reshape(len(grid.x), -1)


def end_curvature(step: float, near: Floats, near_slope: Floats, far: Floats, far_slope: Floats) -> Floats:
    """Second derivative at the near end of a cubic, 1/mm for deflections in mm.

    Args:
        step: from the near to the far end, mm, with its sign.
        near: value there.
        near_slope: slope there.
        far: value at the other end.
        far_slope: slope there.
    """
    result: Floats = (6 * (far - near) / step - 4 * near_slope - 2 * far_slope) / step
    return result


def _beam_matrices(lines: Floats) -> _BeamMatrices:
    count = 2 * len(lines)
    gathered = [np.zeros((count, count)) for _ in range(4)]
    for index, step in enumerate(np.diff(lines)):
        place = slice(2 * index, 2 * index + 4)
        turns = np.array([1.0, step, 1.0, step])
        scale = np.outer(turns, turns)
        for whole, pattern, power in zip(gathered, (_M0, _M1, _M2, _M20), (1, -1, -3, -1), strict=True):
            whole[place, place] += pattern * scale * step**power
    return _BeamMatrices(*gathered)


_M0 = np.array([[156.0, 22, 54, -13], [22, 4, 13, -3], [54, 13, 156, -22], [-13, -3, -22, 4]]) / 420
_M1 = np.array([[36.0, 3, -36, 3], [3, 4, -3, -1], [-36, -3, 36, -3], [3, -1, -3, 4]]) / 30
_M2 = np.array([[12.0, 6, -12, 6], [6, 4, -6, 2], [-12, -6, 12, -6], [6, 2, -6, 4]])
_M20 = np.array([[-36.0, -3, 36, -3], [-33, -4, 3, 1], [36, 3, -36, 3], [-3, 1, 33, -4]]) / 30
"""On a line of length 1: integrals of f g, f' g', f'' g'' and f'' g over the shapes of value and slope."""
