"""What a part looks like from one side, as plane lines and arcs: numbers only, no CAD kernel.

A view is seen along `direction`, from the eye to the part, with `up` showing up on paper. Paper
coordinates are mm at full size: u to the right, v up, (0, 0) where the part's origin falls.

*Visible* lines are edges and outlines that can be seen; *hidden* ones are behind material; *tangent*
ones are visible lines where two faces run smoothly into each other, as at a bend (ISO 128-24:1999, line
01.1.1: narrow, for imaginary lines of intersection). A line is in one list only: what lies under
a visible line is left out of the others.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from mountgen.geometry import Arc, Vec2, Vec3, cos_deg, cross, dot, sin_deg, unit

FROM_FRONT: tuple[Vec3, Vec3] = ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
"""Direction and up: looking along y, x to the right."""

FROM_TOP: tuple[Vec3, Vec3] = ((0.0, 0.0, -1.0), (0.0, 1.0, 0.0))
"""Looking down, x to the right."""

FROM_LEFT: tuple[Vec3, Vec3] = ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
"""Looking along x, y to the left."""

ISOMETRIC: tuple[Vec3, Vec3] = ((-1.0, 1.0, -1.0), (0.0, 0.0, 1.0))
"""From the front, the right and above: the three axes equally foreshortened."""


@dataclass(frozen=True)
class Line:
    """A straight line between two points on paper."""

    start: Vec2
    end: Vec2


@dataclass(frozen=True)
class Polyline:
    """A curve that is neither line nor arc, such as an ellipse, through points close to each other."""

    points: tuple[Vec2, ...]


Curve = Line | Arc | Polyline
"""An `Arc` of 0 to 360 deg is a full circle."""


@dataclass(frozen=True)
class View:
    """The three kinds of lines of one view, each in a fixed order."""

    visible: tuple[Curve, ...]
    hidden: tuple[Curve, ...]
    tangent: tuple[Curve, ...]

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """min u, min v, max u, max v of the visible lines; ValueError for a view without any."""
        points = [point for curve in self.visible for point in curve_extremes(curve)]
        us, vs = zip(*points, strict=True)
        return min(us), min(vs), max(us), max(vs)


def project(point: Vec3, direction: Vec3, up: Vec3) -> Vec2:
    """Where a point of the part falls on paper; ValueError if `up` lies along `direction`."""
    right = unit(cross(direction, up))
    return dot(point, right), dot(point, unit(cross(right, direction)))


def curve_extremes(curve: Curve) -> Iterator[Vec2]:
    """Points of the curve that span its box on paper."""
    if isinstance(curve, Line):
        yield from (curve.start, curve.end)
    elif isinstance(curve, Polyline):
        yield from curve.points
    else:
        quarters = range(math.ceil(curve.start_deg / 90.0), math.floor(curve.end_deg / 90.0) + 1)
        angles = [curve.start_deg, curve.end_deg, *(90.0 * quarter for quarter in quarters)]
        u, v = curve.centre
        yield from ((u + curve.radius * cos_deg(a), v + curve.radius * sin_deg(a)) for a in angles)
