"""Helical torsion springs: what they turn with."""

from __future__ import annotations

import math

from mountgen.mechanics.ranges import require_not_negative, require_positive


def torsion_spring_moment(
    e_mpa: float, wire: float, mean_diameter: float, coils: float, turn: float
) -> float:
    """Moment of a helical torsion spring that is turned, E d^4 a / (64 D n), in N mm.

    The coil is bent as a beam of round wire, legs left out. Source: EN 13906-3:2014 (M = E d^4 alpha / 3667
    D n with alpha in degrees, the same formula); Roark's beam of length pi D n, E I a / l.

    Args:
        e_mpa: modulus of elasticity, MPa, above 0.
        wire: diameter of the wire, mm, above 0.
        mean_diameter: of the coils, mm, above 0.
        coils: number of active coils, above 0.
        turn: angle, rad, 0 or more.
    """
    require_positive(e_mpa=e_mpa, wire=wire, mean_diameter=mean_diameter, coils=coils)
    require_not_negative(turn=turn)
    inertia = math.pi * wire**4 / 64
    return e_mpa * inertia * turn / (math.pi * mean_diameter * coils)
