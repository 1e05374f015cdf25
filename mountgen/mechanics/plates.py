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
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from mountgen.mechanics.beams import StripEnds
from mountgen.mechanics.plate_grid import (
    Edge,
    PlateGrid,
    PlateStiffness,
    eliminated,
    end_curvature,
    held_unknowns,
)
from mountgen.mechanics.ranges import Floats, require_between, require_finite, require_positive

FIRST_CELL = 1.0
"""Size of the cells that touch the patch's outline, in thicknesses of the web; each further one doubles.

At half this size stress changes by 0.1 %, give by 0.4 %."""

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

CircleEdge = Literal["clamped", "supported"]


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


def plate_stiffness_d(thickness: float, e_mpa: float, poisson: float) -> float:
    """Bending stiffness of a plate, E t^3 / (12 (1 - nu^2)), in N mm.

    Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, eq. 3.

    Args:
        thickness: mm, above 0.
        e_mpa: MPa, above 0.
        poisson: 0 to 0.5.
    """
    require_positive(thickness=thickness, e_mpa=e_mpa)
    require_between(0.0, 0.5, poisson=poisson)
    return e_mpa * thickness**3 / (12 * (1 - poisson**2))


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


def patch_strip_rotation(couple: float, span: float, patch: float, ei: float, ends: StripEnds) -> float:
    """Rotation of a stiff block in a strip under a couple on it, in rad: a web as wide as its patch.

    With l = (L - b) / 2 on each side: fixed ends M l / (2 EI (4 + 6 b/l + 3 (b/l)^2)), supported ends
    M l / (6 EI (1 + b / 2l)^2), one side free M l / EI with l = L - b. A real web, which goes on beside its
    patch, turns less. Source: slope-deflection equations; b = 0 gives Roark, Table 8.1, cases 3d, 3e, 3a.

    Args:
        couple: M, N mm, any sign.
        span: L, between the flanges, mm, above 0.
        patch: b, across the strip's bending axis, mm, 0 to below the span.
        ei: bending stiffness of the strip, N mm2, above 0; D times its width for a wide plate.
        ends: 'fixed', 'supported' or 'one_side_free'.
    """
    require_finite(couple=couple)
    require_positive(ei=ei, span_less_patch=span - patch)
    require_between(0.0, span, patch=patch)
    if ends == "one_side_free":
        return couple * (span - patch) / ei
    side = (span - patch) / 2
    ratio = patch / side
    if ends == "fixed":
        return couple * side / (2 * ei * (4 + 6 * ratio + 3 * ratio**2))
    if ends == "supported":
        return couple * side / (6 * ei * (1 + ratio / 2) ** 2)
    raise ValueError(f"ends must be fixed, supported or one_side_free, found {ends!r}")


def circular_plate_deflection(
    force: float, radius: float, stiffness_d: float, poisson: float, edge: CircleEdge
) -> float:
    """Deflection of a circular plate under a force at its centre, in mm.

    P a^2 / (16 pi D), times (3 + nu) / (1 + nu) when the edge is simply supported.
    Source: Roark, Table 11.2, cases 16 and 17; Timoshenko and Woinowsky-Krieger, art. 19.

    Args:
        force: P, N, any sign.
        radius: a, mm, above 0.
        stiffness_d: D, N mm, above 0.
        poisson: 0 to 0.5.
        edge: 'clamped' or 'supported'.
    """
    require_finite(force=force)
    require_positive(radius=radius, stiffness_d=stiffness_d)
    require_between(0.0, 0.5, poisson=poisson)
    clamped = force * radius**2 / (16 * math.pi * stiffness_d)
    return clamped if edge == "clamped" else clamped * (3 + poisson) / (1 + poisson)


def boss_rotation(
    couple: float, outer: float, boss: float, stiffness_d: float, poisson: float, edge: CircleEdge
) -> float:
    """Rotation of a stiff round boss in the centre of a circular plate under a couple, in rad.

    w = (A r + B / r + C r^3 + F r ln r) cos(phi); the couple is -4 pi D F. At the boss the plate follows it,
    at the rim it is clamped or simply supported. Source: Timoshenko and Woinowsky-Krieger, Theory of
    Plates and Shells, art. 63 (plates under antisymmetric bending); the case of Roark, Table 11.2, trunnion.

    Args:
        couple: N mm, any sign.
        outer: radius of the rim, mm, above the boss's.
        boss: radius of the boss, mm, above 0.
        stiffness_d: D, N mm, above 0.
        poisson: 0 to 0.5.
        edge: 'clamped' or 'supported'.
    """
    require_finite(couple=couple)
    require_positive(boss=boss, outer_less_boss=outer - boss, stiffness_d=stiffness_d)
    require_between(0.0, 0.5, poisson=poisson)
    r = boss / outer
    rim_clamped = [1.0, -1.0, 3.0, 1.0]
    rim_moment = [0.0, 2 - 2 * poisson, 6 + 2 * poisson, 1 + poisson]
    rows = [
        [r, 1 / r, r**3, r * math.log(r)],
        [1.0, -1 / r**2, 3 * r**2, math.log(r) + 1],
        [1.0, 1.0, 1.0, 0.0],
        rim_clamped if edge == "clamped" else rim_moment,
    ]
    terms = np.linalg.solve(np.array(rows), np.array([r, 1.0, 0.0, 0.0]))
    return -couple / (4 * math.pi * stiffness_d * float(terms[3]))


def hole_factor_in_tension(diameter: float, width: float) -> float:
    """Peak stress at a round hole in a strip over the mean stress beside the hole.

    3 - 3.13 q + 3.66 q^2 - 1.53 q^3, q = d / D. Source: Roark, Table 17.1, central circular hole, tension.

    Args:
        diameter: d of the hole, mm, above 0.
        width: D of the strip, mm, above the hole.
    """
    require_positive(diameter=diameter, width_less_diameter=width - diameter)
    q = diameter / width
    return 3 - 3.13 * q + 3.66 * q**2 - 1.53 * q**3


def hole_factor_in_bending(diameter: float, thickness: float) -> float:
    """Peak stress at a round hole in a wide plate bent out of its plane, over the stress without the hole.

    1.79 + 0.25 / (0.39 + q) + 0.81 / (1 + q^2) - 0.26 / (1 + q^3), q = d / t: 3 for a fine hole in a thick
    plate, 1.79 for a wide hole in a sheet. Source: Roark, Table 17.1, circular hole in an infinite plate.

    Args:
        diameter: d of the hole, mm, above 0.
        thickness: t, mm, above 0.
    """
    require_positive(diameter=diameter, thickness=thickness)
    q = diameter / thickness
    return 1.79 + 0.25 / (0.39 + q) + 0.81 / (1 + q**2) - 0.26 / (1 + q**3)


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
