"""A bent angle that joins two stiff things: how it resists being twisted.

Words: the *legs* are the two flats of the angle, a and b long from the *fold* to where each is clamped. A
*fibre* is a slice of both legs across the fold. The angle resists a turn about a leg's own length because
fibres far from the middle bend more than those near it; a leg's own torsion (St Venant) comes on top.
"""

from __future__ import annotations

from mountgen.mechanics.ranges import Numbers, require_positive

PLATE = 1 / (1 - 0.3**2)
"""How much stiffer a wide strip bends than a narrow bar (Poisson's ratio 0.3)."""


def folded_twist(leg: Numbers, other: Numbers, height: Numbers, thickness: Numbers, e_mpa: float) -> Numbers:
    """Couple for each radian that the first leg's clamped end turns about that leg's length, in N mm/rad.

    A fibre whose far ends are clamped resists a push square to the first leg at the fold by
    k = (12 - 9 / (1 + a / b)) D / a^3 for each mm of height, for the fold turns against 4 D / a + 4 D / b;
    fibres z off the middle are pushed by z times the turn: k h^3 / 12 in all. Source: slope-deflection
    equations.

    Args:
        leg: a, mm, above 0.
        other: b, mm, above 0.
        height: h along the fold, mm, above 0.
        thickness: mm, above 0.
        e_mpa: MPa, above 0.
    """
    require_positive(leg=leg, other=other, height=height, thickness=thickness, e_mpa=e_mpa)
    d = PLATE * e_mpa * thickness**3 / 12
    return (12 - 9 / (1 + leg / other)) * d / leg**3 * height**3 / 12
