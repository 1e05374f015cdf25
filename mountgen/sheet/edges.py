"""Where lines and arcs meet, and how far apart they are: exact up to rounding.

An *edge* is one line or arc of a contour. A *spine* is the middle of a hole: a point, a line or an arc
that, thickened by half the hole's width, gives the hole.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, product

from mountgen.geometry import COINCIDENT, Arc, Contour, Vec2, Vertex, arc_of, cos_deg, sin_deg
from mountgen.sheet.tree import Hole, RoundHole, Slot

SAME_CORNER = 0.01
"""mm; neighbours that meet this close to their common corner meet in it: a tangent arc leaves its line
so slowly that rounding moves the computed meeting point along it."""

Bounds = tuple[float, float, float, float]


@dataclass(frozen=True)
class Edge:
    """One line or arc from `start` to `end`, with a box around it (around the whole circle of an arc)."""

    start: Vec2
    end: Vec2
    arc: Arc | None
    box: Bounds


def edge_between(a: Vertex, b: Vertex) -> Edge:
    """The edge that leaves vertex `a` for `b`."""
    start, end = (a.x, a.y), (b.x, b.y)
    if a.bulge == 0.0:
        box = (min(a.x, b.x), min(a.y, b.y), max(a.x, b.x), max(a.y, b.y))
        return Edge(start, end, None, box)
    arc = arc_of(a, b)
    (x, y), r = arc.centre, arc.radius
    return Edge(start, end, arc, (x - r, y - r, x + r, y + r))


@lru_cache(maxsize=1024)
def edges_of(contour: Contour) -> tuple[Edge, ...]:
    """Every edge of a contour, in order; kept, because one outline is measured against many holes."""
    return tuple(edge_between(a, b) for a, b in contour.segments())


def point_gap(point: Vec2, edge: Edge) -> float:
    """Distance from a point to the nearest point of an edge."""
    if edge.arc is not None:
        return _arc_gap(point, edge.arc, edge)
    (ax, ay), (bx, by) = edge.start, edge.end
    dx, dy = bx - ax, by - ay
    square = dx * dx + dy * dy
    along = 0.0 if square == 0.0 else ((point[0] - ax) * dx + (point[1] - ay) * dy) / square
    along = min(1.0, max(0.0, along))
    return math.hypot(point[0] - ax - along * dx, point[1] - ay - along * dy)


def _arc_gap(point: Vec2, arc: Arc, edge: Edge) -> float:
    dx, dy = point[0] - arc.centre[0], point[1] - arc.centre[1]
    angle = math.degrees(math.atan2(dy, dx))
    if (angle - arc.start_deg) % 360.0 <= arc.end_deg - arc.start_deg:
        return abs(math.hypot(dx, dy) - arc.radius)
    return min(math.dist(point, edge.start), math.dist(point, edge.end))


def edge_gap(a: Edge, b: Edge) -> float:
    """Least distance between two edges; 0 when they meet."""
    if meeting_points(a, b):
        return 0.0
    here = min(point_gap(point, b) for point in _nearest_candidates(a, b))
    there = min(point_gap(point, a) for point in _nearest_candidates(b, a))
    return min(here, there)


def _nearest_candidates(edge: Edge, other: Edge) -> Iterator[Vec2]:
    """Points of `edge` of which one is nearest to `other`, unless `other` has a nearer one of its own."""
    yield edge.start
    yield edge.end
    if other.arc is None:
        return
    centre = other.arc.centre
    candidates = [_foot(centre, edge)] if edge.arc is None else _towards(edge.arc, centre)
    yield from (point for point in candidates if point_gap(point, edge) <= COINCIDENT)


def _foot(point: Vec2, line: Edge) -> Vec2:
    """Foot of the perpendicular from a point on the endless line through a straight edge."""
    (ax, ay), (bx, by) = line.start, line.end
    dx, dy = bx - ax, by - ay
    square = dx * dx + dy * dy
    if square == 0.0:
        return line.start
    along = ((point[0] - ax) * dx + (point[1] - ay) * dy) / square
    return (ax + along * dx, ay + along * dy)


def _towards(arc: Arc, point: Vec2) -> list[Vec2]:
    """The two points of the arc's circle on the line from its centre through `point`."""
    dx, dy = point[0] - arc.centre[0], point[1] - arc.centre[1]
    size = math.hypot(dx, dy)
    if size < COINCIDENT:
        return []
    x, y = arc.radius * dx / size, arc.radius * dy / size
    return [(arc.centre[0] + x, arc.centre[1] + y), (arc.centre[0] - x, arc.centre[1] - y)]


def meeting_points(a: Edge, b: Edge) -> list[Vec2]:
    """Points that two edges share: crossings, touches, and the ends of a stretch where they overlap."""
    if _boxes_apart(a.box, b.box):
        return []
    candidates = [a.start, a.end, b.start, b.end, *_crossings(a, b)]
    return [p for p in candidates if point_gap(p, a) <= COINCIDENT and point_gap(p, b) <= COINCIDENT]


def _boxes_apart(a: Bounds, b: Bounds) -> bool:
    x_apart = a[0] > b[2] + COINCIDENT or b[0] > a[2] + COINCIDENT
    return x_apart or a[1] > b[3] + COINCIDENT or b[1] > a[3] + COINCIDENT


def _crossings(a: Edge, b: Edge) -> list[Vec2]:
    """Crossings of the endless lines and full circles that the edges lie on."""
    if a.arc is None:
        return _line_crossing(a, b) if b.arc is None else _line_circle(a, b.arc)
    return _line_circle(b, a.arc) if b.arc is None else _circle_crossings(a.arc, b.arc)


def _line_circle(line: Edge, arc: Arc) -> list[Vec2]:
    direction = (line.end[0] - line.start[0], line.end[1] - line.start[1])
    return _chord_ends(arc, _foot(arc.centre, line), direction)


def _line_crossing(a: Edge, b: Edge) -> list[Vec2]:
    ux, uy = a.end[0] - a.start[0], a.end[1] - a.start[1]
    vx, vy = b.end[0] - b.start[0], b.end[1] - b.start[1]
    turn = ux * vy - uy * vx
    if abs(turn) <= 1e-12 * math.hypot(ux, uy) * math.hypot(vx, vy):
        return []
    along = ((b.start[0] - a.start[0]) * vy - (b.start[1] - a.start[1]) * vx) / turn
    return [(a.start[0] + along * ux, a.start[1] + along * uy)]


def _circle_crossings(a: Arc, b: Arc) -> list[Vec2]:
    dx, dy = b.centre[0] - a.centre[0], b.centre[1] - a.centre[1]
    apart = math.hypot(dx, dy)
    if apart < COINCIDENT:
        return []
    reach = (apart**2 + a.radius**2 - b.radius**2) / (2 * apart)
    middle = (a.centre[0] + reach * dx / apart, a.centre[1] + reach * dy / apart)
    return _chord_ends(a, middle, (-dy, dx))


def _chord_ends(arc: Arc, middle: Vec2, direction: Vec2) -> list[Vec2]:
    """Ends of the chord with this middle; a chord that just misses the circle touches it."""
    offset, size = math.dist(arc.centre, middle), math.hypot(*direction)
    if offset > arc.radius + COINCIDENT or size == 0.0:
        return []
    half = math.sqrt(max(0.0, arc.radius**2 - offset**2)) / size
    x, y = half * direction[0], half * direction[1]
    return [(middle[0] + x, middle[1] + y), (middle[0] - x, middle[1] - y)]


def self_crossing(contour: Contour) -> Vec2 | None:
    """A point where a contour crosses or touches itself, or nothing."""
    edges = edges_of(contour)
    for (i, a), (j, b) in combinations(enumerate(edges), 2):
        corners = []
        if j == i + 1:
            corners.append(a.end)
        if i == 0 and j == len(edges) - 1:
            corners.append(a.start)
        for point in meeting_points(a, b):
            if all(math.dist(point, corner) > SAME_CORNER for corner in corners):
                return point
    return None


def contours_meeting(a: Contour, b: Contour) -> Vec2 | None:
    """A point where two contours cross or touch, or nothing."""
    for first, second in product(edges_of(a), edges_of(b)):
        for point in meeting_points(first, second):
            return point
    return None


def is_inside(point: Vec2, contour: Contour) -> bool:
    """Whether a point lies inside a contour (the points of the contour itself are undefined).

    Even-odd rule on the polygon of chords; each cap between an arc and its chord turns the answer over.
    """
    inside = False
    for (a, b), edge in zip(contour.segments(), edges_of(contour), strict=True):
        right = _is_right_of(edge.start, edge.end, point)
        if (a.y > point[1]) != (b.y > point[1]):
            inside ^= right != (b.y > a.y)
        if edge.arc is not None and math.dist(point, edge.arc.centre) < edge.arc.radius:
            inside ^= right == (a.bulge > 0)
    return inside


def _is_right_of(start: Vec2, end: Vec2, point: Vec2) -> bool:
    """Whether a point lies to the right of a chord.

    Always worked out from the same end of the chord, so that two arcs on one chord agree; a point on a
    level chord counts as above it, as the even-odd rule has it.
    """
    (ax, ay), (bx, by) = sorted((start, end))
    right = (bx - ax) * (point[1] - ay) - (by - ay) * (point[0] - ax) < 0
    return right if (ax, ay) == start else not right


@lru_cache(maxsize=4096)
def spine_of(hole: Hole) -> tuple[Edge, float]:
    """The spine of a hole and half its width."""
    if isinstance(hole, RoundHole):
        at = Vertex(*hole.centre)
        return edge_between(at, at), hole.diameter / 2
    if isinstance(hole, Slot):
        reach = (hole.length - hole.width) / 2
        dx, dy = reach * cos_deg(hole.angle_deg), reach * sin_deg(hole.angle_deg)
        x, y = hole.centre
        return edge_between(Vertex(x - dx, y - dy), Vertex(x + dx, y + dy)), hole.width / 2
    bulge = math.tan(math.radians(hole.end_deg - hole.start_deg) / 4)
    first, last = (
        (hole.centre[0] + hole.radius * cos_deg(a), hole.centre[1] + hole.radius * sin_deg(a))
        for a in (hole.start_deg, hole.end_deg)
    )
    return edge_between(Vertex(*first, bulge), Vertex(*last)), hole.width / 2
