"""Outlines as polygons that hold all of the part, and more by little: what the nest is made with.

An arc that bulges out of the part becomes the tangents around it, one that bulges into it becomes chords:
both lie outside the material, by `ARC_ERROR` at most. A *grown* outline is half the part gap larger all
round, with sharp corners, so that two parts keep their gap when their grown outlines do not overlap.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np
import shapely
from numpy.typing import NDArray

from mountgen.geometry import Contour, Vec2, Vertex, arc_of, cos_deg, sin_deg

ARC_ERROR = 0.5
"""mm; most that a polygon lies outside its arc."""
IDLE = 1e-7
"""mm; a corner this near to the line of its neighbours is left out."""
SLACK = 2e-7
"""mm; grown outlines are this much smaller, so that parts which just fit have room to be found."""

Points = NDArray[np.float64]


@dataclass(frozen=True)
class Shape:
    """A part in one of its turns. `outer` holds the part; `pieces` are the convex pieces of the grown
    outline. Its place on a sheet is that of the *datum*: the low corner of the box around `outer`."""

    number: str
    turn_deg: float
    outer: Points
    pieces: tuple[Points, ...]
    offset: Vec2
    """From the turned contour's own origin to the datum."""

    @cached_property
    def size(self) -> Vec2:
        """Of the box around `outer`."""
        high = self.outer.max(axis=0)
        return float(high[0]), float(high[1])

    @cached_property
    def likeness(self) -> bytes:
        """The same for two shapes whose outlines are the same to a nanometre."""
        corners = np.round(self.outer, 6) + 0.0
        start = int(np.lexsort(corners.T)[0])
        return np.roll(corners, -start, axis=0).tobytes()


def shape_of(number: str, outline: Contour, turn_deg: float, gap: float) -> Shape:
    """The part with this outline, turned counter-clockwise, grown by half the gap."""
    polygon = holding_polygon(outline)
    grown = polygon.buffer(gap / 2 - SLACK, join_style="mitre")
    outer, *pieces = (
        _turned(_corners(part), turn_deg) for part in (polygon, *convex_pieces(_without_holes(grown)))
    )
    low = outer.min(axis=0)
    moved = tuple(piece - low for piece in pieces)
    return Shape(number, turn_deg, outer - low, moved, (float(low[0]), float(low[1])))


def holding_polygon(outline: Contour) -> shapely.Polygon:
    """A polygon that holds the outline; its convex hull where the tangents of narrow places cross."""
    polygon = shapely.Polygon([point for a, b in outline.segments() for point in _holding(a, b)])
    polygon = polygon if polygon.is_valid else polygon.convex_hull
    return shapely.orient_polygons(polygon.simplify(IDLE))


def _holding(a: Vertex, b: Vertex) -> Iterator[Vec2]:
    """The corners from `a` up to, not including, `b`."""
    yield (a.x, a.y)
    if a.bulge == 0.0:
        return
    arc = arc_of(a, b)
    radius, sweep = arc.radius, arc.end_deg - arc.start_deg
    if a.bulge > 0.0:
        count = max(math.ceil(math.radians(sweep) / (2 * math.acos(radius / (radius + ARC_ERROR)))), 1)
        count = max(count, math.ceil(sweep / 120.0))
        step = sweep / count
        reach = radius / cos_deg(step / 2)
        angles = [arc.start_deg + step * (k + 0.5) for k in range(count)]
    else:
        most = 2 * math.acos(max(1 - ARC_ERROR / radius, 0.5))
        count = math.ceil(math.radians(sweep) / most)
        reach = radius
        angles = [arc.end_deg - sweep * k / count for k in range(1, count)]
    for angle in angles:
        yield (arc.centre[0] + reach * cos_deg(angle), arc.centre[1] + reach * sin_deg(angle))


def _without_holes(polygon: shapely.Polygon) -> shapely.Polygon:
    """The outer edge alone: a notch that growing has closed is not used."""
    return shapely.orient_polygons(shapely.Polygon(polygon.exterior).simplify(IDLE))


def _corners(polygon: shapely.Polygon) -> Points:
    return np.asarray(shapely.get_coordinates(polygon)[:-1], dtype=float)


def _turned(points: Points, turn_deg: float) -> Points:
    c, s = cos_deg(turn_deg), sin_deg(turn_deg)
    return np.asarray(points @ np.array([[c, s], [-s, c]]))


def convex_pieces(polygon: shapely.Polygon) -> list[shapely.Polygon]:
    """Convex polygons that make up a polygon: its triangles, joined as long as they stay convex."""
    if _is_convex(polygon):
        return [polygon.convex_hull]
    pieces = list(shapely.get_parts(shapely.constrained_delaunay_triangles(polygon)))
    while (pair := _convex_pair(pieces)) is not None:
        i, j, both = pair
        pieces = [*pieces[:i], *pieces[i + 1 : j], *pieces[j + 1 :], both]
    return pieces


def _convex_pair(pieces: list[shapely.Polygon]) -> tuple[int, int, shapely.Polygon] | None:
    """The first two pieces that make a convex one, and that one."""
    for (i, one), (j, other) in combinations(enumerate(pieces), 2):
        both = one.union(other)
        if both.geom_type == "Polygon" and _is_convex(both):
            return i, j, both.convex_hull
    return None


def _is_convex(polygon: shapely.Polygon) -> bool:
    return bool(polygon.convex_hull.area - polygon.area <= IDLE * polygon.length)
