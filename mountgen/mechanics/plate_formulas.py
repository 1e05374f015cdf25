"""Closed forms of thin plates: strips with a stiff block, circular plates, holes.

Words: a *boss* or *block* is a part of the plate that does not bend. D is a plate's bending stiffness.
"""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from mountgen.mechanics.beams import StripEnds
from mountgen.mechanics.ranges import require_between, require_finite, require_positive

CircleEdge = Literal["clamped", "supported"]


def plate_stiffness_d(thickness: float, e_mpa: float, poisson: float) -> float:
    """Bending stiffness of a plate, E t^3 / (12 (1 - nu^2)), in N mm.

    Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, eq. 3.

    Args:
        thickness: mm, above 0.
        e_mpa: MPa, above 0.
        poisson: 0 to 0.5.
    """
    require_positive(thickness=thickness, e_mpa=e_mpa)
    require_between(0.0, 0.5, poisson=poisson)
    return e_mpa * thickness**3 / (12 * (1 - poisson**2))


def patch_strip_rotation(couple: float, span: float, patch: float, ei: float, ends: StripEnds) -> float:
    """Rotation of a stiff block in a strip under a couple on it, in rad: a web as wide as its patch.

    With l = (L - b) / 2 on each side: fixed ends M l / (2 EI (4 + 6 b/l + 3 (b/l)^2)), supported ends
    M l / (6 EI (1 + b / 2l)^2), one side free M l / EI with l = L - b. A real web, which goes on beside its
    patch, turns less. Source: slope-deflection equations; b = 0 gives Roark, Table 8.1, cases 3d, 3e, 3a.

    Args:
        couple: M, N mm, any sign.
        span: L, between the flanges, mm, above 0.
        patch: b, across the strip's bending axis, mm, 0 to below the span.
        ei: bending stiffness of the strip, N mm2, above 0; D times its width for a wide plate.
        ends: 'fixed', 'supported' or 'one_side_free'.
    """
    require_finite(couple=couple)
    require_positive(ei=ei, span_less_patch=span - patch)
    require_between(0.0, span, patch=patch)
    if ends == "one_side_free":
        return couple * (span - patch) / ei
    side = (span - patch) / 2
    ratio = patch / side
    if ends == "fixed":
        return couple * side / (2 * ei * (4 + 6 * ratio + 3 * ratio**2))
    if ends == "supported":
        return couple * side / (6 * ei * (1 + ratio / 2) ** 2)
    raise ValueError(f"ends must be fixed, supported or one_side_free, found {ends!r}")


def circular_plate_deflection(
    force: float, radius: float, stiffness_d: float, poisson: float, edge: CircleEdge
) -> float:
    """Deflection of a circular plate under a force at its centre, in mm.

    P a^2 / (16 pi D), times (3 + nu) / (1 + nu) when the edge is simply supported.
    Source: Roark, Table 11.2, cases 16 and 17; Timoshenko and Woinowsky-Krieger, art. 19.

    Args:
        force: P, N, any sign.
        radius: a, mm, above 0.
        stiffness_d: D, N mm, above 0.
        poisson: 0 to 0.5.
        edge: 'clamped' or 'supported'.
    """
    require_finite(force=force)
    require_positive(radius=radius, stiffness_d=stiffness_d)
    require_between(0.0, 0.5, poisson=poisson)
    _require_edge(edge)
    clamped = force * radius**2 / (16 * math.pi * stiffness_d)
    return clamped if edge == "clamped" else clamped * (3 + poisson) / (1 + poisson)


def centre_load_stress(
    force: float, patch: float, radius: float, thickness: float, poisson: float, edge: CircleEdge
) -> float:
    """Bending stress in the middle of a circular plate under a force on a small circle there, in MPa.

    6 M / t^2, M = P / 4 pi ((1 + nu) ln(a / r0) + 1), without the 1 when the edge is clamped; r0 is taken as
    sqrt(1.6 r0^2 + t^2) - 0.675 t where it is less than t/2. Source: Roark, Table 11.2, cases 16 and 17.

    Args:
        force: P, N, any sign; the stress has no sign.
        patch: r0, radius of the loaded circle, mm, above 0.
        radius: a, mm, above the loaded circle's.
        thickness: t, mm, above 0.
        poisson: 0 to 0.5.
        edge: 'clamped' or 'supported'.
    """
    require_finite(force=force)
    require_positive(thickness=thickness, patch=patch, radius_less_patch=radius - patch)
    require_between(0.0, 0.5, poisson=poisson)
    _require_edge(edge)
    if patch < thickness / 2:
        patch = math.sqrt(1.6 * patch**2 + thickness**2) - 0.675 * thickness
    factor = (1 + poisson) * math.log(radius / patch) + (1.0 if edge == "supported" else 0.0)
    return 6 * abs(force) * factor / (4 * math.pi * thickness**2)


def boss_rotation(
    couple: float, outer: float, boss: float, stiffness_d: float, poisson: float, edge: CircleEdge
) -> float:
    """Rotation of a stiff round boss in the centre of a circular plate under a couple, in rad.

    w = (A r + B / r + C r^3 + F r ln r) cos(phi); the couple is -4 pi D F. At the boss the plate follows it,
    at the rim it is clamped or simply supported. Source: Timoshenko and Woinowsky-Krieger, Theory of
    Plates and Shells, art. 63 (plates under antisymmetric bending); the case of Roark, Table 11.2, trunnion.

    Args:
        couple: N mm, any sign.
        outer: radius of the rim, mm, above the boss's.
        boss: radius of the boss, mm, above 0.
        stiffness_d: D, N mm, above 0.
        poisson: 0 to 0.5.
        edge: 'clamped' or 'supported'.
    """
    require_finite(couple=couple)
    require_positive(boss=boss, outer_less_boss=outer - boss, stiffness_d=stiffness_d)
    require_between(0.0, 0.5, poisson=poisson)
    _require_edge(edge)
    r = boss / outer
    rim_clamped = [1.0, -1.0, 3.0, 1.0]
    rim_moment = [0.0, 2 - 2 * poisson, 6 + 2 * poisson, 1 + poisson]
    rows = [
        [r, 1 / r, r**3, r * math.log(r)],
        [1.0, -1 / r**2, 3 * r**2, math.log(r) + 1],
        [1.0, 1.0, 1.0, 0.0],
        rim_clamped if edge == "clamped" else rim_moment,
    ]
    terms = np.linalg.solve(np.array(rows), np.array([r, 1.0, 0.0, 0.0]))
    return -couple / (4 * math.pi * stiffness_d * float(terms[3]))


def hole_factor_in_tension(diameter: float, width: float) -> float:
    """Peak stress at a round hole in a strip over the mean stress beside the hole.

    3 - 3.13 q + 3.66 q^2 - 1.53 q^3, q = d / D. Source: Roark, Table 17.1, central circular hole, tension.

    Args:
        diameter: d of the hole, mm, above 0.
        width: D of the strip, mm, above the hole.
    """
    require_positive(diameter=diameter, width_less_diameter=width - diameter)
    q = diameter / width
    return 3 - 3.13 * q + 3.66 * q**2 - 1.53 * q**3


def hole_factor_in_bending(diameter: float, thickness: float) -> float:
    """Peak stress at a round hole in a wide plate bent out of its plane, over the stress without the hole.

    1.79 + 0.25 / (0.39 + q) + 0.81 / (1 + q^2) - 0.26 / (1 + q^3), q = d / t: 3 for a fine hole in a thick
    plate, 1.79 for a wide hole in a sheet. Source: Roark, Table 17.1, circular hole in an infinite plate.

    Args:
        diameter: d of the hole, mm, above 0.
        thickness: t, mm, above 0.
    """
    require_positive(diameter=diameter, thickness=thickness)
    q = diameter / thickness
    return 1.79 + 0.25 / (0.39 + q) + 0.81 / (1 + q**2) - 0.26 / (1 + q**3)


def _require_edge(edge: str) -> None:
    if edge not in ("clamped", "supported"):
        raise ValueError(f"edge must be clamped or supported, found {edge!r}")
