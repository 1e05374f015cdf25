"""Thickness and walls of a section, found by looking from its faces through the metal.

Words: a *side* is one edge of a contour with the metal on its left. Where a ray from a side, square to
it and into the metal, comes out again ends the *thickness* there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np
import numpy.typing as npt

from mountgen.geometry import Contour, Vec2, Vertex
from mountgen.section.records import Frame, Line
from mountgen.sheet.edges import Edge, edge_between

LOOKED_AT = 240
"""Sides, the longest ones, that thicknesses are measured from."""
PAIRED = 60
"""Straight sides, the longest ones, that may bound walls: a rail with walls that count has fewer."""
SHARES = (0.1, 0.3, 0.5, 0.7, 0.9)
SAME_THICKNESS = 0.01
"""Thicknesses this share apart are one."""
TAPER_DEG = 15.0
"""Faces of one wall are at most this far from parallel."""
STOUTEST = 0.9
"""A wall is thinner than this share of its length."""
CLEAR = 1e-6
PARALLEL = 1e-9
"""rad"""

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Side:
    """One edge with the metal on its left: `bulge` as in a contour."""

    start: Vec2
    end: Vec2
    bulge: float
    edge: Edge

    @cached_property
    def length(self) -> float:
        chord = math.dist(self.start, self.end)
        sweep = abs(4 * math.atan(self.bulge))
        return chord if sweep == 0.0 else chord / 2 / math.sin(sweep / 2) * sweep

    def looking_in(self, share: float) -> tuple[Vec2, Vec2]:
        """The point at a share of the side's length, and the direction into the metal there."""
        (ax, ay), (bx, by) = self.start, self.end
        if self.edge.arc is None:
            dx, dy = (bx - ax) / self.length, (by - ay) / self.length
            return (ax + share * (bx - ax), ay + share * (by - ay)), (-dy, dx)
        arc, turns = self.edge.arc, math.copysign(1.0, self.bulge)
        first, last = (arc.start_deg, arc.end_deg) if turns > 0 else (arc.end_deg, arc.start_deg)
        angle = math.radians(first + share * (last - first))
        c, s = math.cos(angle), math.sin(angle)
        return (arc.centre[0] + arc.radius * c, arc.centre[1] + arc.radius * s), (-turns * c, -turns * s)


@dataclass(frozen=True)
class Wall:
    """Metal between two straight faces that look away from each other; mm."""

    faces: tuple[Line, Line]
    length: float
    """Along the first face, where the second is opposite."""
    thickness: float
    """Halfway along."""
    ends: Line
    """Of the middle line."""

    @property
    def along(self) -> Vec2:
        (ax, ay), (bx, by) = self.ends
        size = math.dist(*self.ends)
        return ((bx - ax) / size, (by - ay) / size)

    @property
    def middle(self) -> Vec2:
        (ax, ay), (bx, by) = self.ends
        return ((ax + bx) / 2, (ay + by) / 2)

    def framed(self, frame: Frame) -> Wall:
        """The wall in another frame."""
        one, other, ends = ((frame.point(a), frame.point(b)) for a, b in (*self.faces, self.ends))
        return Wall((one, other), self.length, self.thickness, ends)


class Metal:
    """The sides of a section, ready to be looked through."""

    def __init__(self, outline: Contour, holes: Sequence[Contour]) -> None:
        self.sides = [
            *_sides(outline, backwards=False),
            *(s for h in holes for s in _sides(h, backwards=True)),
        ]
        self._lines = [i for i, side in enumerate(self.sides) if side.edge.arc is None]
        self._arcs = [i for i, side in enumerate(self.sides) if side.edge.arc is not None]
        self._starts = np.array([self.sides[i].start for i in self._lines]).reshape(-1, 2)
        self._ends = np.array([self.sides[i].end for i in self._lines]).reshape(-1, 2)
        arcs = [arc for i in self._arcs if (arc := self.sides[i].edge.arc) is not None]
        self._centres = np.array([arc.centre for arc in arcs]).reshape(-1, 2)
        self._radii = np.array([arc.radius for arc in arcs])
        self._first = np.array([arc.start_deg for arc in arcs])
        self._sweep = np.array([arc.end_deg - arc.start_deg for arc in arcs])

    def first_hit(self, point: Vec2, direction: Vec2) -> tuple[float, int]:
        """Distance to the first side that a ray meets, and its number; infinity when there is none."""
        start, way = np.array(point), np.array(direction)
        hits = [*self._line_hits(start, way), *self._arc_hits(start, way)]
        return min(hits, default=(math.inf, -1))

    def _line_hits(self, point: Array, way: Array) -> Iterator[tuple[float, int]]:
        span = self._ends - self._starts
        turn = way[0] * span[:, 1] - way[1] * span[:, 0]
        crossing = np.abs(turn) > PARALLEL * np.hypot(span[:, 0], span[:, 1])
        safe = np.where(crossing, turn, 1.0)
        to = self._starts - point
        distance = (to[:, 0] * span[:, 1] - to[:, 1] * span[:, 0]) / safe
        share = (to[:, 0] * way[1] - to[:, 1] * way[0]) / safe
        hit = crossing & (distance > CLEAR) & (share >= -1e-9) & (share <= 1 + 1e-9)
        if hit.any():
            best = int(np.argmin(np.where(hit, distance, np.inf)))
            yield float(distance[best]), self._lines[best]

    def _arc_hits(self, point: Array, way: Array) -> Iterator[tuple[float, int]]:
        to = self._centres - point
        along = to @ way
        square = self._radii**2 - (np.sum(to * to, axis=1) - along**2)
        half = np.sqrt(np.maximum(square, 0.0))
        for distance in (along - half, along + half):
            x = point[0] + distance * way[0] - self._centres[:, 0]
            y = point[1] + distance * way[1] - self._centres[:, 1]
            angle = (np.degrees(np.arctan2(y, x)) - self._first) % 360.0
            hit = (square >= 0.0) & (distance > CLEAR) & (angle <= self._sweep)
            if hit.any():
                best = int(np.argmin(np.where(hit, distance, np.inf)))
                yield float(distance[best]), self._arcs[best]

    def longest(self) -> list[int]:
        """Numbers of the longest sides."""
        return sorted(range(len(self.sides)), key=lambda i: (-self.sides[i].length, i))[:LOOKED_AT]


def _sides(contour: Contour, *, backwards: bool) -> Iterator[Side]:
    for a, b in contour.segments():
        first, last = (Vertex(b.x, b.y, -a.bulge), Vertex(a.x, a.y)) if backwards else (a, b)
        yield Side((first.x, first.y), (last.x, last.y), first.bulge, edge_between(first, last))


def usual_thickness(metal: Metal) -> float:
    """The thickness (mm) that most of the section's length has."""
    found = []
    for i in metal.longest():
        side = metal.sides[i]
        for share in SHARES:
            distance, _ = metal.first_hit(*side.looking_in(share))
            if math.isfinite(distance):
                found.append((distance, side.length))
    found.sort()
    return _densest(found)


def _densest(found: Sequence[tuple[float, float]]) -> float:
    """The value about which, within `SAME_THICKNESS`, most weight lies."""
    best, weight, first = (0.0, 0.0), 0.0, 0
    for value, own in found:
        weight += own
        while found[first][0] < value * (1 - SAME_THICKNESS):
            weight -= found[first][1]
            first += 1
        if weight > best[0] * (1 + 1e-9):
            inside = [v for v, _ in found[first:] if v <= value]
            best = (weight, inside[len(inside) // 2])
    return best[1]


def walls(metal: Metal) -> list[Wall]:
    """The section's walls, longest first."""
    straight = [i for i in metal.longest() if metal.sides[i].edge.arc is None][:PAIRED]
    found = [wall for i, j in combinations(straight, 2) if (wall := _wall(metal, i, j)) is not None]
    return sorted(found, key=lambda wall: (-round(wall.length, 3), wall.ends))


def _wall(metal: Metal, i: int, j: int) -> Wall | None:
    """The wall between side i and the side j opposite; i is the longer one."""
    a, b = metal.sides[i], metal.sides[j]
    origin, inward = a.looking_in(0.0)
    along = (inward[1], -inward[0])
    (s0, d0), (s1, d1) = ((_dot(p, origin, along), _dot(p, origin, inward)) for p in (b.end, b.start))
    if s1 - s0 < math.cos(math.radians(TAPER_DEG)) * b.length:
        return None
    low, high = max(0.0, s0), min(a.length, s1)

    def depth(s: float) -> float:
        return d0 + (d1 - d0) * (s - s0) / (s1 - s0)

    thickness = depth((low + high) / 2)
    if not 0.0 < thickness < STOUTEST * (high - low) or not _seen(metal, a, j, (low, high)):
        return None

    def place(s: float) -> Vec2:
        off = depth(s) / 2
        return (origin[0] + s * along[0] + off * inward[0], origin[1] + s * along[1] + off * inward[1])

    return Wall(((a.start, a.end), (b.start, b.end)), high - low, thickness, (place(low), place(high)))


def _dot(point: Vec2, origin: Vec2, axis: Vec2) -> float:
    return (point[0] - origin[0]) * axis[0] + (point[1] - origin[1]) * axis[1]


def _seen(metal: Metal, a: Side, j: int, stretch: Vec2) -> bool:
    """Whether side j is what lies behind most of a stretch of side a."""
    shares = [(stretch[0] + share * (stretch[1] - stretch[0])) / a.length for share in (0.2, 0.5, 0.8)]
    return sum(metal.first_hit(*a.looking_in(share))[1] == j for share in shares) >= 2
