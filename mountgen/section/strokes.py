"""Lines and arcs in space, as a drawing holds them, and curves turned into them.

Words: a *stroke* is one line or arc in the drawing's own unit and space. An arc is kept as its ends, its
middle point and its centre, so that it needs no plane and no sense of rotation, and a mirrored one needs
no special care. No arc here sweeps more than `WIDEST`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from mountgen.geometry import Vec2, Vec3, add, cross, dot, length, scale, subtract

WIDEST = 1.6 * math.pi
"""rad; a wider arc is cut in two: its chord would be too short to say where its centre is."""
FLATTEST = 1e-9
"""An arc whose height is less than this share of its chord is a line."""
DEEPEST = 12
"""Halvings of a curve before it is called too wild."""


class WildCurveError(ValueError):
    """A curve that lines and arcs cannot follow."""


@dataclass(frozen=True)
class Stroke:
    """A line, or with `middle` and `centre` an arc."""

    start: Vec3
    end: Vec3
    middle: Vec3 | None = None
    centre: Vec3 | None = None

    @property
    def points(self) -> tuple[Vec3, ...]:
        inner = (self.middle, self.centre)
        return (self.start, self.end, *(point for point in inner if point is not None))


@dataclass(frozen=True)
class Drawn:
    """One entity of a drawing: its name for messages, its strokes, and whether they only come close."""

    title: str
    strokes: tuple[Stroke, ...]
    approximated: bool = False


Lift = Callable[[Vec3], Vec3]
"""From an entity's own coordinates to those of the drawing."""


def arc_strokes(centre: Vec3, radius: float, start: float, sweep: float, lift: Lift) -> Iterator[Stroke]:
    """An arc of an entity's own plane (angles in rad, counter-clockwise), in pieces of at most `WIDEST`."""
    pieces = math.ceil(sweep / WIDEST)
    angles = [start + sweep * i / (2 * pieces) for i in range(2 * pieces + 1)]
    x, y, z = centre
    points = [lift((x + radius * math.cos(a), y + radius * math.sin(a), z)) for a in angles]
    if math.isclose(sweep, 2 * math.pi, rel_tol=1e-12):
        points[-1] = points[0]
    for i in range(0, 2 * pieces, 2):
        yield Stroke(points[i], points[i + 2], points[i + 1], lift(centre))


def bulge_strokes(
    vertices: Sequence[tuple[float, float, float]], elevation: float, lift: Lift
) -> Iterator[Stroke]:
    """The strokes of a polyline's vertices (x, y, bulge), each vertex's bulge towards the next one."""
    for a, b in pairwise(vertices):
        yield from _bulge_span(a, b, elevation, lift)


def _bulge_span(
    a: tuple[float, float, float], b: tuple[float, float, float], elevation: float, lift: Lift
) -> Iterator[Stroke]:
    (ax, ay, bulge), (bx, by, _) = a, b
    start, end = lift((ax, ay, elevation)), lift((bx, by, elevation))
    if abs(bulge) < FLATTEST or (ax, ay) == (bx, by):
        yield Stroke(start, end)
        return
    k = (1 / bulge - bulge) / 4
    x, y = (ax + bx) / 2 - k * (by - ay), (ay + by) / 2 + k * (bx - ax)
    middle = ((ax + bx) / 2 + bulge * (by - ay) / 2, (ay + by) / 2 - bulge * (bx - ax) / 2)
    centre = lift((x, y, elevation))
    if 4 * math.atan(abs(bulge)) <= WIDEST:
        yield Stroke(start, end, lift((*middle, elevation)), centre)
        return
    quarters = [
        lift((*_on_arc((x, y), middle, share * 2 * math.atan(bulge)), elevation)) for share in (-0.5, 0.5)
    ]
    top = lift((*middle, elevation))
    yield Stroke(start, top, quarters[0], centre)
    yield Stroke(top, end, quarters[1], centre)


def _on_arc(centre: Vec2, point: Vec2, turn: float) -> Vec2:
    dx, dy = point[0] - centre[0], point[1] - centre[1]
    c, s = math.cos(turn), math.sin(turn)
    return (centre[0] + c * dx - s * dy, centre[1] + s * dx + c * dy)


def fitted_strokes(
    curve: Callable[[float], Vec3], knots: Sequence[float], tolerance: float
) -> Iterator[Stroke]:
    """Lines and arcs that stay within `tolerance` of a curve; they meet at every one of its `knots`.

    WildCurveError when `DEEPEST` halvings are not enough.
    """
    for low, high in pairwise(knots):
        yield from _fitted(curve, (low, high), tolerance, DEEPEST)


def _fitted(
    curve: Callable[[float], Vec3], span: tuple[float, float], tolerance: float, left: int
) -> Iterator[Stroke]:
    points = [curve(span[0] + (span[1] - span[0]) * i / 8) for i in range(9)]
    stroke = through(points[0], points[4], points[8])
    if _is_near(stroke, points, tolerance):
        yield stroke
        return
    if left == 0:
        raise WildCurveError("a curve turns too sharply")
    middle = (span[0] + span[1]) / 2
    yield from _fitted(curve, (span[0], middle), tolerance, left - 1)
    yield from _fitted(curve, (middle, span[1]), tolerance, left - 1)


def through(start: Vec3, middle: Vec3, end: Vec3) -> Stroke:
    """The arc through three points; a line when they lie on one."""
    u, v = subtract(middle, start), subtract(end, start)
    uu, vv, uv = dot(u, u), dot(v, v), dot(u, v)
    twice_area = length(cross(u, v))
    if twice_area <= FLATTEST * vv:
        return Stroke(start, end)
    along_u = vv * (uu - uv) / (2 * twice_area**2)
    along_v = uu * (vv - uv) / (2 * twice_area**2)
    return Stroke(start, end, middle, add(start, add(scale(u, along_u), scale(v, along_v))))


def _is_near(stroke: Stroke, points: Sequence[Vec3], tolerance: float) -> bool:
    if stroke.centre is None:
        return all(_line_gap(point, stroke) <= tolerance for point in points)
    radius = length(subtract(stroke.start, stroke.centre))
    chord, rise = math.dist(stroke.start, stroke.end), math.dist(points[4], points[0])
    if rise > chord:
        return False
    return all(abs(math.dist(point, stroke.centre) - radius) <= tolerance for point in points)


def _line_gap(point: Vec3, line: Stroke) -> float:
    along = subtract(line.end, line.start)
    square = dot(along, along)
    share = 0.0 if square == 0.0 else dot(subtract(point, line.start), along) / square
    return math.dist(point, add(line.start, scale(along, min(1.0, max(0.0, share)))))
