"""Axes, placements, flat contours and simple solids: numbers only, no CAD kernel.

World frame (right-handed, millimetres). Stand at the mount side, facing the line.

- x to the right; x = 0 is the print line, the plane through the nozzle column.
- y away from you, across the line; y = 0 is the outer face of the mount-side rail's web.
- z up; z = 0 is the conveying surface.

Tilt is the rotation of the head about x: 0 deg upright (nozzles face +y), 90 deg downward
(nozzles face -z). Flow is +x (left to right) or -x (right to left).

Words: a *contour* is a closed plane curve of straight lines and arcs; a *placement* puts a local
frame into another one and is always right-handed, so it can never mirror what it places.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

Vec3 = tuple[float, float, float]
Vec2 = tuple[float, float]

COINCIDENT = 1e-6
"""mm; two points closer than this are one point."""


def add(a: Vec3, b: Vec3) -> Vec3:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def subtract(a: Vec3, b: Vec3) -> Vec3:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def scale(a: Vec3, factor: float) -> Vec3:
    return (a[0] * factor, a[1] * factor, a[2] * factor)


def dot(a: Vec3, b: Vec3) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vec3, b: Vec3) -> Vec3:
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


def length(a: Vec3) -> float:
    return math.sqrt(dot(a, a))


def unit(a: Vec3) -> Vec3:
    """The direction of `a`; ValueError for a vector without one."""
    size = length(a)
    if size < COINCIDENT:
        raise ValueError("a zero vector has no direction")
    return scale(a, 1 / size)


@dataclass(frozen=True)
class Placement:
    """A right-handed local frame: where its origin sits and where its x and z axes point."""

    origin: Vec3 = (0.0, 0.0, 0.0)
    x_axis: Vec3 = (1.0, 0.0, 0.0)
    z_axis: Vec3 = (0.0, 0.0, 1.0)

    @property
    def y_axis(self) -> Vec3:
        return cross(self.z_axis, self.x_axis)

    def turn(self, vector: Vec3) -> Vec3:
        """A local direction, seen from outside."""
        (x0, x1, x2), (y0, y1, y2), (z0, z1, z2) = self.x_axis, self.y_axis, self.z_axis
        a, b, c = vector
        return (x0 * a + y0 * b + z0 * c, x1 * a + y1 * b + z1 * c, x2 * a + y2 * b + z2 * c)

    def point(self, local: Vec3) -> Vec3:
        """A local point, seen from outside."""
        return add(self.origin, self.turn(local))

    def local_point(self, outside: Vec3) -> Vec3:
        """An outside point, seen from the local frame."""
        return self.local_vector(subtract(outside, self.origin))

    def local_vector(self, outside: Vec3) -> Vec3:
        """An outside direction, seen from the local frame."""
        return (dot(outside, self.x_axis), dot(outside, self.y_axis), dot(outside, self.z_axis))

    def then(self, inner: Placement) -> Placement:
        """The placement of a frame that is placed by `inner` inside this one."""
        return Placement(self.point(inner.origin), self.turn(inner.x_axis), self.turn(inner.z_axis))

    def mirrored(self) -> Placement:
        """Where a part goes, itself mirrored in its local x, when the world is mirrored in x.

        With M = diag(-1, 1, 1) this is M P M: right-handed again.
        """
        return Placement(_flip_x(self.origin), scale(_flip_x(self.x_axis), -1.0), _flip_x(self.z_axis))


def _flip_x(a: Vec3) -> Vec3:
    return (-a[0], a[1], a[2])


@dataclass(frozen=True)
class Box:
    """An axis-parallel box from its low corner to its high corner."""

    low: Vec3
    high: Vec3

    @staticmethod
    def around(points: Iterable[Vec3]) -> Box:
        """The smallest box around at least one point."""
        xs, ys, zs = zip(*points, strict=True)
        return Box((min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs)))

    @property
    def corners(self) -> tuple[Vec3, ...]:
        pairs = list(zip(self.low, self.high, strict=True))
        return tuple((x, y, z) for x in pairs[0] for y in pairs[1] for z in pairs[2])

    def gap(self, other: Box) -> float:
        """Distance between two boxes; negative is the depth of the overlap."""
        (a0, a1, a2), (b0, b1, b2) = self.low, self.high
        (c0, c1, c2), (d0, d1, d2) = other.low, other.high
        gaps = (max(a0 - d0, c0 - b0), max(a1 - d1, c1 - b1), max(a2 - d2, c2 - b2))
        apart = [g for g in gaps if g > 0]
        return math.hypot(*apart) if apart else max(gaps)

    def grown(self, by: float) -> Box:
        low, high = self.low, self.high
        return Box((low[0] - by, low[1] - by, low[2] - by), (high[0] + by, high[1] + by, high[2] + by))

    def placed(self, placement: Placement) -> Box:
        """The axis-parallel box around this box after it is placed: the corners' extremes, axis by axis."""
        axes = zip(placement.origin, placement.x_axis, placement.y_axis, placement.z_axis, strict=True)
        (ax, ay, az), (bx, by, bz) = self.low, self.high
        low, high = zip(*(_reach(axis, (ax, bx), (ay, by), (az, bz)) for axis in axes), strict=True)
        return Box(low, high)


def _reach(
    axis: tuple[float, float, float, float],
    xs: tuple[float, float],
    ys: tuple[float, float],
    zs: tuple[float, float],
) -> tuple[float, float]:
    """From where to where o + x a + y b + z c goes, o, a, b and c given, each number either of its two."""
    o, a, b, c = axis
    x0, x1 = xs if a >= 0.0 else xs[::-1]
    y0, y1 = ys if b >= 0.0 else ys[::-1]
    z0, z1 = zs if c >= 0.0 else zs[::-1]
    return o + (a * x0 + b * y0 + c * z0), o + (a * x1 + b * y1 + c * z1)


@dataclass(frozen=True)
class Vertex:
    """A corner of a contour; `bulge` = tan(sweep/4) of the arc that leaves it, + is to the left."""

    x: float
    y: float
    bulge: float = 0.0


@dataclass(frozen=True)
class Contour:
    """A closed plane curve of lines and arcs, counter-clockwise when it bounds material."""

    vertices: tuple[Vertex, ...]

    def segments(self) -> Iterable[tuple[Vertex, Vertex]]:
        """Each vertex with the next one; the last closes to the first."""
        return zip(self.vertices, self.vertices[1:] + self.vertices[:1], strict=True)

    @property
    def area(self) -> float:
        """Signed area: positive when counter-clockwise."""
        total = 0.0
        for a, b in self.segments():
            total += (a.x * b.y - b.x * a.y) / 2 + _cap_area(a, b)
        return total

    @property
    def length(self) -> float:
        return sum(_segment_length(a, b) for a, b in self.segments())

    def moved(self, dx: float, dy: float) -> Contour:
        return Contour(tuple(Vertex(v.x + dx, v.y + dy, v.bulge) for v in self.vertices))

    def turned(self, angle_deg: float) -> Contour:
        """Turned counter-clockwise about the origin."""
        c, s = cos_deg(angle_deg), sin_deg(angle_deg)
        return Contour(tuple(Vertex(c * v.x - s * v.y, s * v.x + c * v.y, v.bulge) for v in self.vertices))

    def mirrored(self) -> Contour:
        """Mirrored in x = 0, still running the same way round."""
        turned_back = self.vertices[::-1]
        bulges = [v.bulge for v in turned_back[1:] + turned_back[:1]]
        return Contour(tuple(Vertex(-v.x, v.y, b) for v, b in zip(turned_back, bulges, strict=True)))

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """min x, min y, max x, max y, with the arcs' true extremes."""
        points = [p for a, b in self.segments() for p in _extremes(a, b)]
        xs, ys = zip(*points, strict=True)
        return min(xs), min(ys), max(xs), max(ys)


def cos_deg(angle_deg: float) -> float:
    """Cosine that is exact at the multiples of 90 deg."""
    return sin_deg(angle_deg + 90.0)


def sin_deg(angle_deg: float) -> float:
    """Sine that is exact at the multiples of 90 deg."""
    quarter, rest = divmod(angle_deg, 90.0)
    if rest == 0.0:
        return (0.0, 1.0, 0.0, -1.0)[int(quarter) % 4]
    return math.sin(math.radians(angle_deg))


@dataclass(frozen=True)
class Arc:
    """A bulge segment as an arc: `start_deg` to `end_deg` counter-clockwise."""

    centre: Vec2
    radius: float
    start_deg: float
    end_deg: float


def arc_of(a: Vertex, b: Vertex) -> Arc:
    """The arc from `a` to `b`, any sweep short of a full turn (the bulge may exceed 1).

    Source: DXF reference, LWPOLYLINE group 42, bulge = tan(sweep / 4).
    """
    if a.bulge == 0.0:
        raise ValueError("a straight segment is no arc")
    dx, dy = b.x - a.x, b.y - a.y
    k = (1 / a.bulge - a.bulge) / 4
    centre = ((a.x + b.x) / 2 - k * dy, (a.y + b.y) / 2 + k * dx)
    radius = math.hypot(dx, dy) * (1 + a.bulge**2) / (4 * abs(a.bulge))
    first, last = (a, b) if a.bulge > 0 else (b, a)
    start = math.degrees(math.atan2(first.y - centre[1], first.x - centre[0]))
    end = math.degrees(math.atan2(last.y - centre[1], last.x - centre[0]))
    return Arc(centre, radius, start, end if end > start else end + 360.0)


def _cap_area(a: Vertex, b: Vertex) -> float:
    if a.bulge == 0.0:
        return 0.0
    sweep = 4 * math.atan(a.bulge)
    radius = math.hypot(b.x - a.x, b.y - a.y) / 2 / math.sin(abs(sweep) / 2)
    return radius**2 * (sweep - math.sin(sweep)) / 2


def _segment_length(a: Vertex, b: Vertex) -> float:
    chord = math.hypot(b.x - a.x, b.y - a.y)
    if a.bulge == 0.0:
        return chord
    sweep = abs(4 * math.atan(a.bulge))
    return chord / 2 / math.sin(sweep / 2) * sweep


def _extremes(a: Vertex, b: Vertex) -> list[Vec2]:
    points = [(a.x, a.y), (b.x, b.y)]
    if a.bulge == 0.0:
        return points
    arc = arc_of(a, b)
    for quarter in range(-4, 9):
        angle = 90.0 * quarter
        if arc.start_deg < angle < arc.end_deg:
            points.append(
                (
                    arc.centre[0] + arc.radius * cos_deg(angle),
                    arc.centre[1] + arc.radius * sin_deg(angle),
                )
            )
    return points


def polygon(points: Sequence[Vec2]) -> Contour:
    """A contour of straight lines."""
    return Contour(tuple(Vertex(x, y) for x, y in points))


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Contour:
    """An axis-parallel rectangle, counter-clockwise from (x0, y0)."""
    return polygon(((x0, y0), (x1, y0), (x1, y1), (x0, y1)))


def circle(centre: Vec2, diameter: float) -> Contour:
    """A full circle as two half-turn arcs."""
    x, y, r = centre[0], centre[1], diameter / 2
    return Contour((Vertex(x - r, y, 1.0), Vertex(x + r, y, 1.0)))


def rounded(points: Sequence[Vec2], radii: Sequence[float]) -> Contour:
    """A convex or concave polygon whose corner i is rounded by radii[i] (0 keeps it sharp)."""
    vertices: list[Vertex] = []
    count = len(points)
    for i, (corner, radius) in enumerate(zip(points, radii, strict=True)):
        before, after = points[i - 1], points[(i + 1) % count]
        vertices.extend(_rounded_corner(before, corner, after, radius))
    return Contour(tuple(vertices))


def _rounded_corner(before: Vec2, corner: Vec2, after: Vec2, radius: float) -> list[Vertex]:
    if radius <= 0:
        return [Vertex(*corner)]
    a = _direction(corner, before)
    b = _direction(corner, after)
    turn = math.pi - math.acos(max(-1.0, min(1.0, a[0] * b[0] + a[1] * b[1])))
    left = b[0] * a[1] - b[1] * a[0] > 0
    reach = radius * math.tan(turn / 2)
    start = (corner[0] + reach * a[0], corner[1] + reach * a[1])
    end = (corner[0] + reach * b[0], corner[1] + reach * b[1])
    bulge = math.tan(turn / 4)
    return [Vertex(start[0], start[1], bulge if left else -bulge), Vertex(*end)]


def _direction(start: Vec2, end: Vec2) -> Vec2:
    dx, dy = end[0] - start[0], end[1] - start[1]
    size = math.hypot(dx, dy)
    return (dx / size, dy / size)
