"""Areas and second moments of plane sections bounded by straight lines and circular arcs, exactly.

Green's theorem turns each integral over the section into one along its contour. A contour of lines
and arcs is the polygon of its vertices plus, at every arc, the circular segment between arc and
chord: both have closed forms, so nothing is divided into small pieces.

Words: *first moments* are the integrals of x and y, *second moments* those of y^2, x^2 and x y. It
knows nothing of materials.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from mountgen.geometry import Contour, Vertex, arc_of

_Integrals = tuple[float, float, float, float, float, float]
"""Area, integrals of x, y, y^2, x^2 and x y about the frame's origin."""


@dataclass(frozen=True)
class SectionProperties:
    """A section's area (mm2), centroid (mm) and second moments about the centroid (mm4).

    `i_xx` is the integral of y^2 (bending about x), `i_yy` that of x^2, `i_xy` that of x y.
    """

    area: float
    centroid_x: float
    centroid_y: float
    i_xx: float
    i_yy: float
    i_xy: float


def section_properties(outline: Contour, holes: Sequence[Contour] = ()) -> SectionProperties:
    """Area, centroid and second moments of an outline less its holes (lengths in mm).

    Contours may run either way round; holes lie inside the outline and clear of one another.
    ValueError when no area is left. Source: Green's theorem; circular segments after Roark's Formulas
    for Stress and Strain, table A.1 (solid circular segment).
    """
    parts = [_scaled(1.0, _positive(outline)), *(_scaled(-1.0, _positive(hole)) for hole in holes)]
    area, s_x, s_y, yy, xx, xy = _total(parts)
    if area <= 0.0:
        raise ValueError(f"a section needs an area above zero, this one has {area:g} mm2")
    x, y = s_x / area, s_y / area
    return SectionProperties(
        area, x, y, i_xx=yy - area * y * y, i_yy=xx - area * x * x, i_xy=xy - area * x * y
    )


def torsion_constant_open(strips: Iterable[tuple[float, float]]) -> float:
    """Torsion constant (mm4) of a thin open section: the sum of b t^3 / 3 over (b, t) in mm.

    Right for b / t above some 10 (a single strip: 7 % high at 10, 3 % at 20); fillets, which it
    leaves out, add to it. Source: Timoshenko, Strength of Materials; Roark table 10.1.
    """
    widths = tuple(strips)
    if any(b <= 0 or t <= 0 for b, t in widths):
        raise ValueError("every strip needs a width and a thickness above zero")
    return sum(b * t**3 / 3 for b, t in widths)


def torsion_constant_tube(midline: float, enclosed: float, thickness: float) -> float:
    """Torsion constant (mm4) of a closed thin wall of one thickness t (mm).

    `midline` is the length (mm) of the wall's middle line, `enclosed` the area (mm2) inside it:
    4 A^2 t / l by Bredt and the wall's own l t^3 / 3. Source: EN 10219-2 Annex B (I_t with K = 2 A t / l).
    """
    if midline <= 0 or enclosed <= 0 or thickness <= 0:
        raise ValueError("a tube's midline, enclosed area and thickness are above zero")
    return midline * thickness**3 / 3 + 4 * enclosed**2 * thickness / midline


def _positive(contour: Contour) -> _Integrals:
    integrals = _total(_of_segment(a, b) for a, b in contour.segments())
    return _scaled(math.copysign(1.0, integrals[0]), integrals)


def _of_segment(a: Vertex, b: Vertex) -> _Integrals:
    triangle = _of_triangle(a, b)
    return triangle if a.bulge == 0.0 else _total((triangle, _of_cap(a, b)))


def _of_triangle(a: Vertex, b: Vertex) -> _Integrals:
    """The triangle from the origin to a directed edge; negative when the edge runs clockwise."""
    twice = a.x * b.y - b.x * a.y
    return (
        twice / 2,
        twice * (a.x + b.x) / 6,
        twice * (a.y + b.y) / 6,
        twice * (a.y * a.y + a.y * b.y + b.y * b.y) / 12,
        twice * (a.x * a.x + a.x * b.x + b.x * b.x) / 12,
        twice * (a.x * b.y + 2 * a.x * a.y + 2 * b.x * b.y + b.x * a.y) / 24,
    )


def _of_cap(a: Vertex, b: Vertex) -> _Integrals:
    """The circular segment between arc and chord; negative when the arc runs clockwise.

    About the circle's centre, u along the axis of symmetry, alpha half the angle swept.
    """
    arc = arc_of(a, b)
    alpha, r = 2 * math.atan(a.bulge), arc.radius
    sine, cosine = math.sin(alpha), math.cos(alpha)
    area = r**2 * (alpha - sine * cosine)
    s_u = 2 / 3 * r**3 * sine**3
    uu = r**4 / 4 * (alpha - sine * cosine + 2 * sine**3 * cosine)
    vv = r**4 / 12 * (3 * alpha - 3 * sine * cosine - 2 * sine**3 * cosine)
    middle = math.radians((arc.start_deg + arc.end_deg) / 2)
    c, s = math.cos(middle), math.sin(middle)
    turned = (area, s_u * c, s_u * s, uu * s * s + vv * c * c, uu * c * c + vv * s * s, (uu - vv) * s * c)
    return _moved(turned, *arc.centre)


def _moved(integrals: _Integrals, x: float, y: float) -> _Integrals:
    """The integrals of an area moved by (x, y)."""
    area, s_x, s_y, yy, xx, xy = integrals
    return (
        area,
        s_x + x * area,
        s_y + y * area,
        yy + 2 * y * s_y + y * y * area,
        xx + 2 * x * s_x + x * x * area,
        xy + x * s_y + y * s_x + x * y * area,
    )


def _scaled(factor: float, integrals: _Integrals) -> _Integrals:
    area, s_x, s_y, yy, xx, xy = integrals
    return (factor * area, factor * s_x, factor * s_y, factor * yy, factor * xx, factor * xy)


def _total(parts: Iterable[_Integrals]) -> _Integrals:
    area, s_x, s_y, yy, xx, xy = (math.fsum(column) for column in zip(*parts, strict=True))
    return (area, s_x, s_y, yy, xx, xy)
