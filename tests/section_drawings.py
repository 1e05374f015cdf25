"""Drawings of cross-sections for the tests, made with ezdxf."""

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

import ezdxf
from ezdxf.layouts import BaseLayout, Modelspace

from mountgen.geometry import Contour

INCH, MILLIMETRE, CENTIMETRE, METRE, FOOT = 1, 4, 5, 6, 2

ANGLE = [(0, 0), (60, 0), (60, 3), (3, 3), (3, 40), (0, 40)]
"""An angle 60 x 40 x 3, sharp corners: area 60 * 3 + 37 * 3 = 291."""


def channel_points(depth: float, width: float, wall: float) -> list[tuple[float, float]]:
    """A channel with sharp corners: web at the left, flanges to the right, from (0, 0) upwards."""
    d, w, t = depth, width, wall
    return [(0, 0), (w, 0), (w, t), (t, t), (t, d - t), (w, d - t), (w, d), (0, d)]


def drawing(
    path: Path,
    draw: Callable[[Modelspace], object],
    units: int | None = MILLIMETRE,
    version: str = "R2010",
) -> Path:
    """Saves a drawing; `units` None writes no unit at all."""
    made = ezdxf.new(version)
    draw(made.modelspace())
    if units is not None:
        made.header["$INSUNITS"] = units
    elif "$INSUNITS" in made.header:
        del made.header["$INSUNITS"]
    made.saveas(path)
    return path


def lines(space: BaseLayout, points: Sequence[tuple[float, float]], layer: str = "0") -> None:
    """A closed run of single lines."""
    for a, b in zip(points, [*points[1:], points[0]], strict=True):
        space.add_line(a, b, dxfattribs={"layer": layer})


def polyline(
    space: BaseLayout, points: Iterable[Sequence[float]], layer: str = "0", close: bool = True
) -> None:
    """A polyline of (x, y) or (x, y, bulge)."""
    corners = [(*point, 0.0)[:3] for point in points]
    space.add_lwpolyline(corners, format="xyb", close=close, dxfattribs={"layer": layer})


def contours(space: BaseLayout, drawn: Iterable[Contour], layer: str = "0") -> None:
    for contour in drawn:
        polyline(space, [(v.x, v.y, v.bulge) for v in contour.vertices], layer)
