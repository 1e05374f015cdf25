"""One entity of a drawing as strokes in the drawing's own space and unit."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import cast

from ezdxf.entities import Arc, Circle, DXFEntity, Ellipse, Line, LWPolyline, Polyline, Spline
from ezdxf.math import OCS, UVec

from mountgen.geometry import Vec3
from mountgen.section.strokes import Lift, Stroke, arc_strokes, bulge_strokes, fitted_strokes

CURVES = frozenset({"LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "ELLIPSE", "SPLINE"})
_SPLINE_FRAME = 16
"""Flag of a polyline's vertex that only steers a fitted curve."""


def strokes_of(entity: DXFEntity, tolerance: float) -> tuple[Stroke, ...] | None:
    """The strokes of one of `CURVES`; None for a polyline that is a mesh. Curves within `tolerance`.

    ezdxf's errors and ValueError for an entity that is damaged.
    """
    if isinstance(entity, Line):
        return (Stroke(_vec(entity.dxf.start), _vec(entity.dxf.end)),)
    if isinstance(entity, Circle):
        return tuple(_round(entity))
    if isinstance(entity, LWPolyline):
        corners = [(float(x), float(y), float(b)) for x, y, b in entity.get_points("xyb")]
        return tuple(_polyline(corners, entity.closed, float(entity.dxf.elevation), _lift(entity.ocs())))
    if isinstance(entity, Polyline):
        return _heavy_polyline(entity)
    if isinstance(entity, Ellipse):
        return tuple(_ellipse(entity, tolerance))
    return tuple(_spline(cast(Spline, entity), tolerance))


def _vec(point: UVec) -> Vec3:
    x, y, z = point
    return (float(x), float(y), float(z))


def _lift(ocs: OCS) -> Lift:
    return lambda point: _vec(ocs.to_wcs(point))


def _round(entity: Circle) -> Iterator[Stroke]:
    start, sweep = 0.0, 2 * math.pi
    if isinstance(entity, Arc):
        start = math.radians(entity.dxf.start_angle)
        turn = (entity.dxf.end_angle - entity.dxf.start_angle) % 360.0
        sweep = math.radians(turn) or 2 * math.pi
    radius = abs(float(entity.dxf.radius))
    return arc_strokes(_vec(entity.dxf.center), radius, start, sweep, _lift(entity.ocs()))


def _polyline(
    corners: Sequence[tuple[float, float, float]], closed: bool, elevation: float, lift: Lift
) -> Iterator[Stroke]:
    run = [*corners, corners[0]] if closed and len(corners) > 1 else corners
    return bulge_strokes(run, elevation, lift)


def _heavy_polyline(entity: Polyline) -> tuple[Stroke, ...] | None:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        return None
    vertices = [v for v in entity.vertices if not v.dxf.get("flags", 0) & _SPLINE_FRAME]
    places = [_vec(v.dxf.location) for v in vertices]
    if entity.is_3d_polyline:
        run = [*places, places[0]] if entity.is_closed and len(places) > 1 else places
        return tuple(Stroke(a, b) for a, b in pairwise(run))
    corners = [(p[0], p[1], float(v.dxf.get("bulge", 0.0))) for p, v in zip(places, vertices, strict=True)]
    elevation = _vec(entity.dxf.get("elevation", (0.0, 0.0, 0.0)))[2]
    return tuple(_polyline(corners, entity.is_closed, elevation, _lift(entity.ocs())))


def _ellipse(entity: Ellipse, tolerance: float) -> Iterator[Stroke]:
    centre, major, minor = (_vec(p) for p in (entity.dxf.center, entity.dxf.major_axis, entity.minor_axis))
    start = float(entity.dxf.start_param)
    sweep = (float(entity.dxf.end_param) - start) % (2 * math.pi)
    if sweep < 1e-9:
        sweep = 2 * math.pi

    def point(parameter: float) -> Vec3:
        c, s = math.cos(parameter), math.sin(parameter)
        x, y, z = (o + c * a + s * b for o, a, b in zip(centre, major, minor, strict=True))
        return (x, y, z)

    parts = max(1, round(sweep / (math.pi / 2)))
    return fitted_strokes(point, [start + sweep * i / parts for i in range(parts + 1)], tolerance)


def _spline(entity: Spline, tolerance: float) -> Iterator[Stroke]:
    tool = entity.construction_tool()
    knots = sorted({float(k) for k in tool.knots() if 0.0 <= k <= tool.max_t})
    low, high = float(tool.knots()[tool.degree]), float(tool.knots()[-tool.degree - 1])
    spans = [low, *(k for k in knots if low < k < high), high]
    return fitted_strokes(lambda t: _vec(tool.point(t)), spans, tolerance)
