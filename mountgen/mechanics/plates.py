"""A rail's thin web under a bracket: how far it gives, its stress, how large a backing plate must be.

Words: the *web* is a rectangular plate, long along the rail (x), `height` across it (y, from the low edge). A
*patch* is a stiff rectangle on it: the bracket's foot, or a backing plate that is much stiffer than the web.
Its *travel* is that of its centre square to the web; its *tilt* is dw/dy (about the rail's axis), its *swing*
dw/dx (about the upright axis). A couple is positive where it turns the patch the positive way.

Stress is that of bending at the web's surface, square to the patch's outline, at least two thicknesses away
from its corners: there plate theory has a peak without bound, which real corners, and yielding, smooth away.

It knows nothing of membrane stress (small deflections) and nothing of local dents under single bolts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from mountgen.mechanics.plate_formulas import plate_stiffness_d
from mountgen.mechanics.plate_grid import (
    Edge,
    PlateGrid,
    PlateStiffness,
    eliminated,
    end_curvature,
    held_unknowns,
)
from mountgen.mechanics.ranges import Floats, require_between, require_positive

FIRST_CELL = 1.0
"""Size of the cells that touch the patch's outline, in thicknesses of the web; each further one doubles.

At half this size stress and give change by less than 1 %."""

LEAST_GAP = 0.1
"""Least width of web beside a patch, in thicknesses: slivers of plate lose digits."""

LEAST_CELLS = 4.0
"""The first cell is never more than this part of its stretch."""

FILLED = 0.75
"""No line beyond this part of a stretch, so that its last cell is not a sliver."""

CORNER = 2.0
"""Stretch at the patch's corners without stress values, in thicknesses of the web."""

SIZE_STEPS = 8
"""Halvings when the size of a backing plate is sought: 1/256 of the room there is."""


@dataclass(frozen=True)
class Web:
    """A rail's web: mm and MPa. `low` and `high` edges are the flanges, `ends` the two far ends."""

    height: float
    length: float
    thickness: float
    e_mpa: float
    poisson: float
    low: Edge = "clamped"
    high: Edge = "clamped"
    ends: Edge = "supported"

    def __post_init__(self) -> None:
        require_positive(height=self.height, length=self.length, thickness=self.thickness, e_mpa=self.e_mpa)
        require_between(0.0, 0.5, poisson=self.poisson)


@dataclass(frozen=True)
class Patch:
    """A stiff rectangle in the middle of the web's length: mm; `centre` from the web's low edge."""

    width: float
    height: float
    centre: float

    def __post_init__(self) -> None:
        require_positive(width=self.width, height=self.height, centre=self.centre)

    @property
    def low(self) -> float:
        return self.centre - self.height / 2

    @property
    def high(self) -> float:
        return self.centre + self.height / 2

    def grown(self, by: float) -> Patch:
        """Larger by `by` mm on all four sides."""
        return replace(self, width=self.width + 2 * by, height=self.height + 2 * by)


@dataclass(frozen=True)
class PatchLoad:
    """What a bracket does to its patch: N square to the web, N mm of tilt and of swing."""

    force: float = 0.0
    tilt_couple: float = 0.0
    swing_couple: float = 0.0

    @property
    def vector(self) -> Floats:
        return np.array([self.force, self.tilt_couple, self.swing_couple])


@dataclass(frozen=True)
class PatchResponse:
    """How a web answers at its patch.

    `flexibility` (3, 3): travel (mm), tilt and swing (rad) for 1 N, 1 N mm of tilt and 1 N mm of swing.
    `unit_stress` (points, 3): MPa around the patch's outline for the same.
    """

    flexibility: Floats
    unit_stress: Floats

    def motion(self, load: PatchLoad) -> Floats:
        """Travel, mm, tilt and swing, rad."""
        result: Floats = self.flexibility @ load.vector
        return result

    def stress(self, load: PatchLoad) -> float:
        """Largest bending stress around the patch, MPa, 0 or more."""
        return float(np.abs(self.unit_stress @ load.vector).max())


def patch_response(web: Web, patch: Patch) -> PatchResponse:
    """Travel, turns and stress of a stiff patch on a web; ValueError when the patch leaves the web.

    Source: Kirchhoff plate on a grid of bicubic elements, see `plate_grid`. Twice the web is solved, once for
    what is even about the middle of the length, once for what is odd.

    Args:
        web: the plate.
        patch: the stiff rectangle.
    """
    _require_inside(web, patch)
    even, even_stress = _half_plate(web, patch, "symmetric")
    odd, odd_stress = _half_plate(web, patch, "antisymmetric")
    flexibility = np.zeros((3, 3))
    flexibility[:2, :2], flexibility[2:, 2:] = even, odd
    near = np.hstack([even_stress, odd_stress])
    return PatchResponse(flexibility, np.vstack([near, near * [1.0, 1.0, -1.0]]))


def needed_patch(web: Web, patch: Patch, load: PatchLoad, limit_mpa: float, rim: float) -> Patch | None:
    """The least backing plate, larger than the bracket's foot by the same on all sides, that keeps a stress.

    The foot itself when it is large enough; None when not even a plate that leaves `rim` to both flanges
    is. The plate counts as stiff: at twice the web's thickness it is eight times as stiff.

    Args:
        web: the plate.
        patch: the bracket's foot.
        load: on the patch.
        limit_mpa: stress not to be passed, MPa, above 0.
        rim: to stay clear of at the web's edges (the flange's inside radius), mm, above 0.
    """
    require_positive(limit_mpa=limit_mpa, rim=rim)

    def is_enough(by: float) -> bool:
        return patch_response(web, patch.grown(by)).stress(load) <= limit_mpa

    if is_enough(0.0):
        return patch
    low, high = 0.0, min(patch.low, web.height - patch.high, (web.length - patch.width) / 2) - rim
    if high <= 0.0 or not is_enough(high):
        return None
    for _ in range(SIZE_STEPS):
        middle = (low + high) / 2
        low, high = (low, middle) if is_enough(middle) else (middle, high)
    return patch.grown(high)


def _require_inside(web: Web, patch: Patch) -> None:
    room = {"below": patch.low, "above": web.height - patch.high, "beside": web.length - patch.width}
    for where, gap in room.items():
        if gap < LEAST_GAP * web.thickness:
            raise ValueError(f"the patch must leave some web {where} it, found {gap:g} mm")


def _half_plate(web: Web, patch: Patch, middle: Edge) -> tuple[Floats, Floats]:
    """Flexibility and unit stresses of what is even (travel, tilt) or odd (swing) about the middle."""
    grid = _grid(web, patch, middle)
    columns, rows = _patch_lines(grid, patch)
    count, size = len(columns), grid.column_size
    stiff = _rigid_shapes(grid, patch, middle)
    on_patch = np.repeat(rows, 2)
    inside = np.tile(np.concatenate([on_patch, on_patch]), count)
    stiffness = PlateStiffness(grid)
    added, follow = eliminated(grid, stiffness, count)
    near = stiffness.columns(count)
    near[-size:, -size:] += added
    rest = np.flatnonzero(~held_unknowns(grid)[:count].reshape(-1) & ~inside)
    motion = stiff.copy()
    motion[rest] = -np.linalg.solve(near[np.ix_(rest, rest)], (near @ stiff)[rest])
    flexibility = np.asarray(np.linalg.inv(2 * stiff.T @ near @ motion), dtype=np.float64)
    motion = np.vstack([motion, follow @ motion[-size:]])
    bending = 6 * grid.stiffness_d / web.thickness**2
    curved = _outline_curvatures(
        grid, patch, motion.reshape(count + 1, 2, len(grid.y), 2, -1), CORNER * web.thickness
    )
    return flexibility, np.asarray(bending * curved @ flexibility, dtype=np.float64)


def _grid(web: Web, patch: Patch, middle: Edge) -> PlateGrid:
    first, half, tall = FIRST_CELL * web.thickness, patch.width / 2, patch.height / 2
    inner, outer = half - _doubling(half, first)[::-1], half + _doubling(web.length / 2 - half, first)[1:]
    y = [
        (patch.low - _doubling(patch.low, first))[:0:-1],
        patch.low + _doubling(tall, first),
        (patch.high - _doubling(tall, first))[-2::-1],
        patch.high + _doubling(web.height - patch.high, first)[1:],
    ]
    stiffness_d = plate_stiffness_d(web.thickness, web.e_mpa, web.poisson)
    sides = (middle, web.ends, web.low, web.high)
    return PlateGrid(np.concatenate([inner, outer]), np.concatenate(y), stiffness_d, web.poisson, sides)


def _doubling(room: float, first: float) -> Floats:
    """Grid lines from 0 to the room's end: `first`, twice that, four times and so on, mm."""
    first = min(first, room / LEAST_CELLS)
    count = math.ceil(math.log2(FILLED * room / first))
    return np.array([0.0, *(first * 2.0**power for power in range(count)), room])


def _patch_lines(grid: PlateGrid, patch: Patch) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """Columns on the patch, and which rows are."""
    slack = 1e-9 * (patch.width + patch.height)
    columns = np.flatnonzero(grid.x <= patch.width / 2 + slack)
    return columns, np.abs(grid.y - patch.centre) <= patch.height / 2 + slack


def _rigid_shapes(grid: PlateGrid, patch: Patch, middle: Edge) -> Floats:
    """Unknowns of the patch's columns for a unit of travel and of tilt, or of swing, (unknowns, 2 or 1)."""
    columns, rows = _patch_lines(grid, patch)
    x, y = np.meshgrid(grid.x[columns], grid.y - patch.centre, indexing="ij")
    shapes = np.zeros((len(columns), 2, len(grid.y), 2, 3))
    shapes[:, 0, :, 0] = np.stack([np.ones_like(x), y, x], axis=-1)
    shapes[:, 0, :, 1, 1] = 1.0
    shapes[:, 1, :, 0, 2] = 1.0
    shapes[:, :, ~rows] = 0.0
    chosen = slice(0, 2) if middle == "symmetric" else slice(2, 3)
    return shapes[..., chosen].reshape(len(columns) * grid.column_size, -1)


def _outline_curvatures(grid: PlateGrid, patch: Patch, motion: Floats, clear: float) -> Floats:
    """Curvature square to the patch's outline just outside it, (points, cases), corners left out.

    `motion` holds columns, w or w_x, rows, value or derivative across, cases.
    """
    columns, rows = _patch_lines(grid, patch)
    side, (low, *_, high) = columns[-1], np.flatnonzero(rows)
    found = []
    for column in columns[:-1]:
        if column == 0 or patch.width / 2 - grid.x[column] >= clear * (1 - 1e-9):
            for row, step in ((low, -1), (high, 1)):
                near, far = motion[column, 0, row], motion[column, 0, row + step]
                found.append(
                    end_curvature(grid.y[row + step] - grid.y[row], near[0], near[1], far[0], far[1])
                )
    for row in np.arange(low + 1, high):
        if min(grid.y[row] - patch.low, patch.high - grid.y[row]) >= clear * (1 - 1e-9):
            near, far = motion[side, :, row, 0], motion[side + 1, :, row, 0]
            found.append(end_curvature(grid.x[side + 1] - grid.x[side], near[0], near[1], far[0], far[1]))
    return np.array(found)
