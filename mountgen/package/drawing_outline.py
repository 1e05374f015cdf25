"""What fixes an outline on its drawing, each dimension once: ordinates, radii, rises of arcs, angles.

A corner's coordinate needs an ordinate unless it lies on the outline's box, which the datum and the overall
sizes fix. A slanting edge at a round angle may stand for one ordinate that no other corner shares. The
radius that most corners have stands in a note; the others stand at their corners. An arc that is an edge
is fixed by its ends and its radius; one that is nearly or more than a half circle by its ends and its rise,
since there the radius tells its height badly.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from mountgen.geometry import Arc, Vec2, cos_deg, sin_deg
from mountgen.package.drawing_corners import Corner, corners
from mountgen.package.drawing_ordinates import SAME, is_one
from mountgen.sheet.flat import BendLine, FlatPattern

ROUND_DEG = 5.0
"""A slanting edge is given by its angle when that is a multiple of this."""
EXACT_DEG = 1e-6
SHOWN = 2
"""Decimals of a length in mm on a drawing."""
WELL_TOLD_DEG = 150.0
"""Up to this sweep, and at a half circle, an arc between two corners is given by its radius."""
HALF_CIRCLE_DEG = 0.05


@dataclass(frozen=True)
class Slant:
    """A slanting edge given by its angle to the horizontal: its two corners (places in the list), the angle,
    and the coordinate that it stands for."""

    ends: tuple[int, int]
    angle_deg: float
    corner: int
    axis: int


@dataclass(frozen=True)
class OutlineSizes:
    """The corners of an outline and what is said of them. `ordinates` are (corner, axis), in order."""

    corners: tuple[Corner, ...]
    general_radius: float
    slants: tuple[Slant, ...]
    ordinates: tuple[tuple[int, int], ...]

    @property
    def own_radii(self) -> tuple[int, ...]:
        """Corners between straight edges whose radius is not the general one."""
        count = len(self.corners)
        return tuple(
            i
            for i, corner in enumerate(self.corners)
            if corner.leaves_by is None
            and self.corners[(i - 1) % count].leaves_by is None
            and abs(corner.radius - self.general_radius) > SAME
        )

    @property
    def arcs(self) -> tuple[int, ...]:
        """Corners that an arc leaves."""
        return tuple(i for i, corner in enumerate(self.corners) if corner.leaves_by)


def outline_sizes(flat: FlatPattern) -> OutlineSizes:
    """The least that must be said of a flat's outline beside its overall size."""
    found = corners(flat.outline)
    on_box = {
        (i, axis)
        for i, corner in enumerate(found)
        for axis in (0, 1)
        if min(abs(corner.at[axis]), abs(corner.at[axis] - flat.size[axis])) <= SAME
    }
    slants = tuple(_slants(found, flat, on_box))
    by_angle = {(slant.corner, slant.axis) for slant in slants}
    needed = ((i, axis) for i in range(len(found)) for axis in (0, 1))
    ordinates = tuple(one for one in needed if one not in on_box and one not in by_angle)
    return OutlineSizes(found, _usual_radius(found), slants, ordinates)


def feature_values(flat: FlatPattern, axis: int) -> list[float]:
    """Ordinates that holes and bend lines have along an axis."""
    holes = [placed.hole.centre[axis] for placed in flat.holes]
    return [0.0, *holes, *(bend.start[axis] for bend in flat.bend_lines if axis in bend_axes(bend))]


def bend_axes(bend: BendLine) -> tuple[int, ...]:
    """Axes along which one ordinate places the bend line; none for a slanting one."""
    return tuple(axis for axis in (0, 1) if abs(bend.start[axis] - bend.end[axis]) <= SAME)


def _usual_radius(found: tuple[Corner, ...]) -> float:
    """What most corners between straight edges have; of equals the largest."""
    straight = [
        round(corner.radius, 4)
        for i, corner in enumerate(found)
        if corner.leaves_by is None and found[i - 1].leaves_by is None
    ]
    counts = Counter(straight)
    return max(counts, key=lambda radius: (counts[radius], radius)) if counts else 0.0


def _slants(found: tuple[Corner, ...], flat: FlatPattern, on_box: set[tuple[int, int]]) -> Iterator[Slant]:
    """Edges whose angle takes an ordinate's place, no two with a corner in common."""
    taken: set[int] = set()
    for i in range(len(found)):
        ends = (i, (i + 1) % len(found))
        turn = _round_angle(found[ends[0]], found[ends[1]])
        if turn is None or taken & set(ends):
            continue
        free = [
            Slant(ends, turn, end, axis)
            for end in ends
            for axis in (0, 1)
            if (end, axis) not in on_box and _is_alone(found, flat, end, axis)
        ]
        exact = [slant for slant in free if _is_told(found, slant)]
        if exact:
            taken |= set(ends)
            yield max(exact, key=lambda slant: _decimals(found[slant.corner].at[slant.axis]))


def _round_angle(a: Corner, b: Corner) -> float | None:
    """The edge's angle to the horizontal if it is straight, slanting and at a round angle."""
    dx, dy = (abs(b.at[k] - a.at[k]) for k in (0, 1))
    if a.leaves_by or min(dx, dy) <= SAME:
        return None
    turn = math.degrees(math.atan2(dy, dx))
    nearest = ROUND_DEG * round(turn / ROUND_DEG)
    return nearest if abs(turn - nearest) <= EXACT_DEG and 0.0 < nearest < 90.0 else None


def _is_alone(found: tuple[Corner, ...], flat: FlatPattern, corner: int, axis: int) -> bool:
    """Whether nothing else on the flat has this ordinate."""
    value = found[corner].at[axis]
    others = [c.at[axis] for i, c in enumerate(found) if i != corner] + feature_values(flat, axis)
    return not any(is_one(other, value) for other in others)


def _is_told(found: tuple[Corner, ...], slant: Slant) -> bool:
    """Whether the angle and the other three coordinates, as they are written, give this one back."""
    here, axis = found[slant.corner].at, slant.axis
    there = found[sum(slant.ends) - slant.corner].at
    across = round(here[1 - axis], SHOWN) - round(there[1 - axis], SHOWN)
    rise = math.tan(math.radians(slant.angle_deg))
    reach = abs(across) * (rise if axis == 1 else 1 / rise)
    told = round(there[axis], SHOWN) + math.copysign(reach, here[axis] - there[axis])
    return abs(told - here[axis]) <= SAME


def _decimals(value: float) -> int:
    """How many decimals the value has as it is written."""
    return next((count for count in range(SHOWN) if abs(value - round(value, count)) < SAME), SHOWN)


def told_by_radius(arc: Arc) -> bool:
    """Whether an arc between two corners is given by its radius; by its rise if not."""
    sweep = arc.end_deg - arc.start_deg
    return sweep <= WELL_TOLD_DEG or abs(sweep - 180.0) <= HALF_CIRCLE_DEG


def rise(arc: Arc) -> float:
    """How far an arc stands out from the straight line between its ends, mm."""
    return arc.radius * (1.0 - cos_deg((arc.end_deg - arc.start_deg) / 2))


def arc_middle(arc: Arc) -> Vec2:
    """The point halfway along an arc."""
    turn = (arc.start_deg + arc.end_deg) / 2
    return (arc.centre[0] + arc.radius * cos_deg(turn), arc.centre[1] + arc.radius * sin_deg(turn))


def rounding_middle(found: tuple[Corner, ...], i: int) -> Vec2:
    """The point halfway along the arc that rounds a corner; the corner itself when it is sharp."""
    corner = found[i]
    ways = [_way(corner.at, found[k % len(found)].at) for k in (i - 1, i + 1)]
    middle = (ways[0][0] + ways[1][0], ways[0][1] + ways[1][1])
    size = math.hypot(*middle)
    half_sine = math.sqrt(max(0.0, 1 - (size / 2) ** 2))
    if corner.radius == 0.0 or size == 0.0 or half_sine == 0.0:
        return corner.at
    reach = corner.radius * (1 / half_sine - 1)
    return (corner.at[0] + reach * middle[0] / size, corner.at[1] + reach * middle[1] / size)


def _way(a: Vec2, b: Vec2) -> Vec2:
    size = math.dist(a, b)
    return ((b[0] - a[0]) / size, (b[1] - a[1]) / size)
