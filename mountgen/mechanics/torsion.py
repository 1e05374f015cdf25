"""Torsion of open thin-walled rails: shear centre, warping constant, twist of a span.

Words: the *walls* of an open section are a line through the middle of its sheet, corner to corner, each
stretch with its thickness. A force through the *shear centre* bends a rail without twisting it; beside it
the rail twists as well. Twist is resisted by shear in the walls (St Venant, G J) and, where the section may
not warp freely, by bending of the flanges (Vlasov, E C_w). *Fork* ends hold the rail from turning but let it
warp and bend; *fixed* ends hold everything.

Torsion constants of strips and tubes are in `sections`, of a solid rectangle in `beams`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from mountgen.geometry import Vec2
from mountgen.mechanics.ranges import (
    Floats,
    require_between,
    require_finite,
    require_not_negative,
    require_positive,
)

SpanEnds = Literal["fork", "fixed"]

FLANGE_PIECES = 8
"""Stretches into which a tapered flange is divided."""

CORNER_PIECES = 6
"""Stretches into which a bent corner is divided."""


@dataclass(frozen=True)
class Walls:
    """An open section as the middle line of its sheet: n + 1 points and n thicknesses, mm."""

    points: tuple[Vec2, ...]
    thicknesses: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.points) != len(self.thicknesses) + 1 or not self.thicknesses:
            raise ValueError("walls need one point more than thicknesses, and at least one thickness")
        require_finite(points=np.array(self.points))
        for thickness in self.thicknesses:
            require_positive(thickness=thickness)
        steps = np.diff(np.array(self.points), axis=0)
        require_positive(length_of_a_wall=np.hypot(steps[:, 0], steps[:, 1]))


@dataclass(frozen=True)
class WallProperties:
    """What a thin open section is: mm2, mm, mm4, mm6.

    `i_xx` is the integral of y^2 about the centroid. `torsion` is the sum of b t^3 / 3. `sectorial` (n + 1)
    is the warping function at the walls' points about the shear centre, mm2, with mean zero.
    """

    area: float
    centroid: Vec2
    i_xx: float
    i_yy: float
    i_xy: float
    shear_centre: Vec2
    torsion: float
    warping: float
    sectorial: Floats


@dataclass(frozen=True)
class Span:
    """A rail between two supports: mm, N mm2, N mm2, N mm4.

    `ei`: bending stiffness in the direction of the load; `gj`, `ecw`: against twist and warping; `ecw` is 0
    where warping does not count.
    """

    length: float
    ei: float
    gj: float
    ecw: float
    ends: SpanEnds

    def __post_init__(self) -> None:
        require_positive(length=self.length, ei=self.ei, gj=self.gj)
        require_not_negative(ecw=self.ecw)
        if self.ends not in ("fork", "fixed"):
            raise ValueError(f"ends must be fork or fixed, found {self.ends!r}")


def wall_properties(walls: Walls) -> WallProperties:
    """Area, centroid, second moments, shear centre, torsion and warping constant of a thin open section.

    The warping function grows by twice the area that the radius from the pole sweeps; about the shear centre
    its moments with x and y vanish. Source: Vlasov, Thin-Walled Elastic Beams, ch. 1; EN 1993-1-3, Annex C.

    Args:
        walls: middle line and thicknesses, mm.
    """
    points, thickness = np.array(walls.points), np.array(walls.thicknesses)
    steps = np.diff(points, axis=0)
    areas = np.hypot(steps[:, 0], steps[:, 1]) * thickness
    area = float(areas.sum())
    centroid = (points[:-1] + points[1:]).T @ areas / (2 * area)
    x, y = (points - centroid).T
    i_xx, i_yy, i_xy = _product(areas, y, y), _product(areas, x, x), _product(areas, x, y)
    swept = _swept(x, y)
    with_x, with_y = _product(areas, swept, x), _product(areas, swept, y)
    scale = i_xx * i_yy - i_xy**2
    if scale <= 1e-9 * (i_xx + i_yy) ** 2:
        raise ValueError(
            "walls on one straight line must be given as a strip: they have no shear centre of their own"
        )
    away = np.array([with_y * i_yy - with_x * i_xy, with_y * i_xy - with_x * i_xx]) / scale
    sectorial = _swept(x - away[0], y - away[1])
    sectorial -= float((sectorial[:-1] + sectorial[1:]) @ areas) / (2 * area)
    torsion = float(areas @ thickness**2) / 3
    centre = centroid + away
    return WallProperties(
        area,
        (float(centroid[0]), float(centroid[1])),
        i_xx,
        i_yy,
        i_xy,
        (float(centre[0]), float(centre[1])),
        torsion,
        _product(areas, sectorial, sectorial),
        sectorial,
    )


def _swept(x: Floats, y: Floats) -> Floats:
    """Twice the area swept by the radius from the origin, from the first point to each."""
    return np.concatenate([[0.0], np.cumsum(x[:-1] * y[1:] - x[1:] * y[:-1])])


def _product(areas: Floats, f: Floats, g: Floats) -> float:
    """Integral over the walls of the product of two functions that are linear along each."""
    ends = f[:-1] * g[:-1] + f[1:] * g[1:]
    mixed = f[:-1] * g[1:] + f[1:] * g[:-1]
    return float(areas @ (2 * ends + mixed)) / 6


def rolled_channel_walls(
    depth: float, width: float, web: float, flange: float, slope: float = 0.0, flange_at: float | None = None
) -> Walls:
    """Middle line of a rolled channel, heel at x = 0, flanges towards +x, mid-depth at y = 0.

    Root and toe radii are left out: they add and take away a little. Source: geometry.

    Args:
        depth: outer, mm, above 0.
        width: of the flanges from the heel, mm, above the web's thickness.
        web: thickness of the web, mm, above 0.
        flange: thickness of the flange at `flange_at`, mm, above 0, less than half the depth.
        slope: by how much the flange thins for each mm away from the heel, 0 to below 0.3.
        flange_at: from the heel, mm; half the width where not given.
    """
    require_positive(
        depth_less_flanges=depth - 2 * flange, width_less_web=width - web, web=web, flange=flange
    )
    require_between(0.0, 0.3, slope=slope)
    at = width / 2 if flange_at is None else flange_at
    x = np.linspace(width, web / 2, FLANGE_PIECES + 1)
    thick = flange + slope * (at - x)
    require_positive(flange_at_its_toe=float(thick[0]))
    y = depth / 2 - thick / 2
    upper = [(float(a), float(b)) for a, b in zip(x, y, strict=True)]
    middle = [float(t) for t in (thick[:-1] + thick[1:]) / 2]
    lower = [(a, -b) for a, b in reversed(upper)]
    return Walls((*upper, *lower), (*middle, web, *reversed(middle)))


def formed_channel_walls(
    depth: float, width: float, thickness: float, inside_radius: float, lip: float = 0.0
) -> Walls:
    """Middle line of a cold-formed channel, heel at x = 0, flanges towards +x, mid-depth at y = 0.

    Corners are arcs through the middle of the sheet. Source: geometry.

    Args:
        depth: outer, mm, above 0.
        width: outer, of the flanges from the heel, mm, above 0.
        thickness: mm, above 0.
        inside_radius: of the bends, mm, 0 or more.
        lip: outer length of the lips, mm; 0 for none.
    """
    require_positive(thickness=thickness)
    require_not_negative(inside_radius=inside_radius, lip=lip)
    outside = inside_radius + thickness
    bends = 2 if lip > 0 else 1
    require_positive(flat_of_the_web=depth - 2 * outside, flat_of_the_flange=width - bends * outside)
    half, far = (depth - thickness) / 2, width - thickness / 2
    radius = inside_radius + thickness / 2
    upper: list[Vec2] = []
    if lip > 0:
        require_positive(flat_of_the_lip=lip - outside)
        upper = [(far, half + thickness / 2 - lip), *_corner((far - radius, half - radius), radius, 0.0)]
    else:
        upper = [(width, half)]
    upper += _corner((thickness / 2 + radius, half - radius), radius, 90.0)
    lower = [(x, -y) for x, y in reversed(upper)]
    return Walls((*upper, *lower), (thickness,) * (2 * len(upper) - 1))


def _corner(centre: Vec2, radius: float, start_deg: float) -> list[Vec2]:
    """A quarter turn to the left, in chords."""
    angles = [math.radians(start_deg + 90.0 * i / CORNER_PIECES) for i in range(CORNER_PIECES + 1)]
    return [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles]


def rolled_channel_torsion_constant(
    depth: float, width: float, web: float, flange: float, radius: float
) -> float:
    """Torsion constant of a rolled channel with its root fillets, in mm4.

    2/3 b t^3 + (h - 2t) s^3 / 3 + 2 alpha D^4 - 0.42 t^4, with D the largest circle in the corner,
    2 ((3r + s + t) - sqrt(2 (2r + s)(2r + t))), and
    alpha = -0.0908 + 0.2621 s/t + 0.1231 r/t - 0.0752 s r/t^2 - 0.0945 (s/t)^2.
    Source: El Darwish and Johnston, Torsion of Structural Shapes, ASCE 1965; SCI P385.

    Args:
        depth: h, mm, above 0.
        width: b, from the heel, mm, above 0.
        web: s, thickness of the web, mm, above 0.
        flange: t, thickness of the flange, the mean one where it tapers, mm, above 0.
        radius: r, root fillet, mm, 0 or more.
    """
    require_positive(
        depth_less_flanges=depth - 2 * flange, width_less_web=width - web, web=web, flange=flange
    )
    require_not_negative(radius=radius)
    s, r = web / flange, radius / flange
    alpha = -0.0908 + 0.2621 * s + 0.1231 * r - 0.0752 * s * r - 0.0945 * s**2
    circle = 2 * (3 * radius + web + flange - math.sqrt(2 * (2 * radius + web) * (2 * radius + flange)))
    strips = 2 / 3 * width * flange**3 + (depth - 2 * flange) * web**3 / 3
    return strips + 2 * alpha * circle**4 - 0.42 * flange**4


def decay_length(gj: float, ecw: float) -> float:
    """Length over which restrained warping dies away, sqrt(E C_w / G J), in mm.

    Source: Vlasov; AISC Design Guide 9, eq. 2.

    Args:
        gj: N mm2, above 0.
        ecw: N mm4, 0 or more.
    """
    require_positive(gj=gj)
    require_not_negative(ecw=ecw)
    return math.sqrt(ecw / gj)


def span_twist(couple: float, span: Span) -> float:
    """Twist at the middle of a span under a couple there, in rad.

    T L / 4GJ (1 - tanh(u)/u), u = L / 2a between fork ends and L / 4a between fixed ends, a the decay length;
    T L / 4GJ where warping does not count.
    Source: Vlasov; AISC Design Guide 9, Appendix B, cases 3 and 6 (alpha 0.5).

    Args:
        couple: T about the rail's axis, N mm, any sign.
        span: the rail.
    """
    require_finite(couple=couple)
    plain = couple * span.length / (4 * span.gj)
    u = _slenderness(span)
    return plain * _warping_share(u) if math.isfinite(u) else plain


def _slenderness(span: Span) -> float:
    a = decay_length(span.gj, span.ecw)
    parts = 2 if span.ends == "fork" else 4
    return span.length / (parts * a) if a > 0 else math.inf


def _warping_share(u: float) -> float:
    """1 - tanh(u)/u, by its series where the difference would vanish."""
    return u**2 / 3 - 2 * u**4 / 15 if u < 1e-3 else 1 - math.tanh(u) / u


def span_bimoment(couple: float, span: Span) -> float:
    """Bimoment at the middle of a span under a couple there, in N mm2: E C_w times the twist's curvature.

    T a / 2 tanh(L / 2a) between fork ends, T a / 2 tanh(L / 4a) between fixed ends. The stress at a point of
    the walls is the bimoment times its sectorial coordinate over C_w. Source: Vlasov.

    Args:
        couple: T about the rail's axis, N mm, any sign.
        span: the rail.
    """
    require_finite(couple=couple)
    u = _slenderness(span)
    return couple * decay_length(span.gj, span.ecw) / 2 * math.tanh(u)


def span_twist_under(couple: float, span: Span, at: float) -> float:
    """Twist under a couple anywhere on a span whose warping does not count, T a b / (G J L), in rad.

    Source: St Venant; equilibrium and equal twist of both parts.

    Args:
        couple: T about the rail's axis, N mm, any sign.
        span: the rail.
        at: distance of the couple from one end, mm, 0 to the span's length.
    """
    require_finite(couple=couple)
    require_between(0.0, span.length, at=at)
    return couple * at * (span.length - at) / (span.gj * span.length)


def span_deflection(force: float, span: Span) -> float:
    """Deflection at the middle of a span under a force there, in mm.

    F L^3 / 48EI between fork ends, / 192EI between fixed ends. Source: Roark, Table 8.1, cases 1e and 1d.

    Args:
        force: F, N, any sign.
        span: the rail.
    """
    require_finite(force=force)
    factor = 48 if span.ends == "fork" else 192
    return force * span.length**3 / (factor * span.ei)


def eccentric_deflection(force: float, eccentricity: float, reach: float, span: Span) -> float:
    """Deflection along a force beside the shear centre, of a point beside it, at midspan, in mm.

    Bending plus twist times reach; both distances are square to the force and positive to the same side.
    Source: superposition of `span_deflection` and `span_twist`.

    Args:
        force: N, any sign.
        eccentricity: from the shear centre to the force, mm, any sign.
        reach: from the shear centre to the point, mm, any sign.
        span: the rail.
    """
    require_finite(force=force, eccentricity=eccentricity, reach=reach)
    return span_deflection(force, span) + span_twist(force * eccentricity, span) * reach


def warping_stress(bimoment: float, properties: WallProperties) -> float:
    """Largest stress along the rail from restrained warping, B w / C_w, in MPa. Source: Vlasov.

    Args:
        bimoment: B, N mm2, any sign.
        properties: of the rail's walls.
    """
    require_finite(bimoment=bimoment)
    require_positive(warping=properties.warping)
    return abs(bimoment) * float(np.abs(properties.sectorial).max()) / properties.warping
