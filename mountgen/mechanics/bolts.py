"""Screws and bolts: thread geometry, preload and torque, resistances, distances, groups of bolts.

Words: a *pitch* is that of a thread where a thread is meant, else the distance between bolts along the
force; *gauge* is the distance between bolts across it; *end* and *edge* distances run from a hole's
centre to the plate's rim along and across the force. The *grip* is what the screw clamps, washers
included.

EN 1993-1-8 is written for bolts from M12 and plates from 3 mm; its formulas are used below that too, as is
common practice.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from mountgen.mechanics.ranges import (
    Floats,
    require_between,
    require_finite,
    require_not_negative,
    require_positive,
)

GAMMA_M2 = 1.25
"""Partial factor of bolts and plates in bearing (EN 1993-1-8, Table 2.1)."""

YIELD_USE = 0.9
"""Part of the yield stress that assembly may use up (VDI 2230-1)."""


@dataclass(frozen=True)
class Strength:
    """A bolt material: proof stress, yield stress (or 0.2 % limit) and ultimate strength, MPa."""

    proof: float
    yield_: float
    ultimate: float


STRENGTHS = MappingProxyType(
    {
        "8.8": Strength(proof=580.0, yield_=640.0, ultimate=800.0),
        "grade 5": Strength(proof=586.0, yield_=634.0, ultimate=827.0),
    }
)
"""Up to M16 and 1 in. Source: ISO 898-1, Table 3; SAE J429 (85, 92 and 120 ksi), from memory."""


def pitch_diameter(diameter: float, pitch: float) -> float:
    """Basic pitch diameter d2 = d - 0.649519 P, in mm. Source: ISO 724.

    Args:
        diameter: nominal d, mm, above 0.
        pitch: P, mm, above 0, less than half of d.
    """
    _require_thread(diameter, pitch)
    return diameter - 0.649519 * pitch


def minor_diameter(diameter: float, pitch: float) -> float:
    """Root diameter of the bolt thread d3 = d - 1.226869 P, in mm. Source: ISO 724; ISO 898-1, 9.1.6.

    Args:
        diameter: nominal d, mm, above 0.
        pitch: P, mm, above 0, less than half of d.
    """
    _require_thread(diameter, pitch)
    return diameter - 1.226869 * pitch


def stress_area(diameter: float, pitch: float) -> float:
    """Nominal stress area pi/4 ((d2 + d3)/2)^2, in mm2. Source: ISO 898-1, 9.1.6.

    Args:
        diameter: nominal d, mm, above 0.
        pitch: P, mm, above 0, less than half of d.
    """
    mean = (pitch_diameter(diameter, pitch) + minor_diameter(diameter, pitch)) / 2
    return math.pi / 4 * mean**2


def _require_thread(diameter: float, pitch: float) -> None:
    require_positive(diameter=diameter, pitch=pitch)
    require_positive(diameter_less_two_pitches=diameter - 2 * pitch)


def proof_load(area: float, proof_mpa: float) -> float:
    """Proof load A_s S_p, in N. Source: ISO 898-1, Table 5.

    Args:
        area: stress area, mm2, above 0.
        proof_mpa: proof stress of the property class, MPa, above 0.
    """
    require_positive(area=area, proof_mpa=proof_mpa)
    return area * proof_mpa


def assembly_preload(diameter: float, pitch: float, yield_mpa: float, thread_friction: float) -> float:
    """Preload at which pull and twist together use 90 % of the yield stress, in N.

    0.9 R_p A_s / sqrt(1 + 3 (3/2 d2/d0 (P/(pi d2) + 1.155 mu))^2), d0 = (d2 + d3)/2.
    Source: VDI 2230-1, tightening to the yield stress controlled by torque.

    Args:
        diameter: nominal d, mm, above 0.
        pitch: P, mm, above 0, less than half of d.
        yield_mpa: R_p0.2 of the screw, MPa, above 0.
        thread_friction: mu in the thread, above 0 to 0.5.
    """
    require_positive(yield_mpa=yield_mpa)
    _require_friction(thread_friction=thread_friction)
    d2, d3 = pitch_diameter(diameter, pitch), minor_diameter(diameter, pitch)
    twist = 1.5 * d2 / ((d2 + d3) / 2) * (pitch / (math.pi * d2) + 1.155 * thread_friction)
    return YIELD_USE * yield_mpa * stress_area(diameter, pitch) / math.sqrt(1 + 3 * twist**2)


def bearing_mean_diameter(outer: float, hole: float) -> float:
    """Mean diameter of the friction under the head, (d_w + d_h)/2, in mm. Source: VDI 2230-1.

    Args:
        outer: diameter d_w that bears, mm, above the hole.
        hole: diameter d_h of the clearance hole, mm, above 0.
    """
    require_positive(hole=hole, outer_less_hole=outer - hole)
    return (outer + hole) / 2


def tightening_torque(
    preload: float,
    diameter: float,
    pitch: float,
    thread_friction: float,
    head_friction: float,
    bearing_diameter: float,
) -> float:
    """Torque for a preload, F (0.159 P + 0.577 mu_G d2 + mu_K D_Km/2), in N mm. Source: VDI 2230-1.

    Args:
        preload: F, N, above 0.
        diameter: nominal d, mm, above 0.
        pitch: P, mm, above 0, less than half of d.
        thread_friction: mu_G, above 0 to 0.5.
        head_friction: mu_K under the head or nut, above 0 to 0.5.
        bearing_diameter: D_Km, mm, above 0; see `bearing_mean_diameter`.
    """
    require_positive(preload=preload, bearing_diameter=bearing_diameter)
    _require_friction(thread_friction=thread_friction, head_friction=head_friction)
    thread = 0.159 * pitch + 0.577 * thread_friction * pitch_diameter(diameter, pitch)
    return preload * (thread + head_friction * bearing_diameter / 2)


def _require_friction(**coefficients: float) -> None:
    require_positive(**coefficients)
    require_between(0.0, 0.5, **coefficients)


def shear_resistance(area: float, bolt_ultimate_mpa: float, alpha_v: float = 0.6) -> float:
    """Shear resistance of one bolt in one plane, alpha_v f_ub A / 1.25, in N.

    Source: EN 1993-1-8, Table 3.4.

    Args:
        area: stress area when the thread lies in the plane, mm2, above 0.
        bolt_ultimate_mpa: f_ub, MPa, above 0.
        alpha_v: 0.6; 0.5 for classes 4.8, 5.8, 6.8 and 10.9 with the thread in the plane.
    """
    require_positive(area=area, bolt_ultimate_mpa=bolt_ultimate_mpa)
    require_between(0.5, 0.6, alpha_v=alpha_v)
    return alpha_v * bolt_ultimate_mpa * area / GAMMA_M2


def tension_resistance(area: float, bolt_ultimate_mpa: float) -> float:
    """Tension resistance of one bolt, 0.9 f_ub A_s / 1.25, in N. Source: EN 1993-1-8, Table 3.4.

    Args:
        area: stress area, mm2, above 0.
        bolt_ultimate_mpa: f_ub, MPa, above 0.
    """
    require_positive(area=area, bolt_ultimate_mpa=bolt_ultimate_mpa)
    return 0.9 * bolt_ultimate_mpa * area / GAMMA_M2


def bearing_factor_along(
    hole: float,
    end: float,
    pitch: float | None,
    bolt_ultimate_mpa: float,
    plate_ultimate_mpa: float,
) -> float:
    """alpha_b: the least of e1/(3 d0), p1/(3 d0) - 1/4, f_ub/f_u and 1. Source: EN 1993-1-8, Table 3.4.

    Args:
        hole: d0, mm, above 0.
        end: e1, mm, above 0.
        pitch: p1, mm, above 0.75 d0; None for a single row.
        bolt_ultimate_mpa: f_ub, MPa, above 0.
        plate_ultimate_mpa: f_u, MPa, above 0.
    """
    require_positive(
        hole=hole, end=end, bolt_ultimate_mpa=bolt_ultimate_mpa, plate_ultimate_mpa=plate_ultimate_mpa
    )
    least = min(end / (3 * hole), bolt_ultimate_mpa / plate_ultimate_mpa, 1.0)
    if pitch is not None:
        inner = pitch / (3 * hole) - 0.25
        require_positive(pitch_over_three_holes_less_a_quarter=inner)
        least = min(least, inner)
    return least


def bearing_factor_across(hole: float, edge: float, gauge: float | None) -> float:
    """k_1: the least of 2.8 e2/d0 - 1.7, 1.4 p2/d0 - 1.7 and 2.5. Source: EN 1993-1-8, Table 3.4.

    Args:
        hole: d0, mm, above 0.
        edge: e2, mm, above 0.61 d0.
        gauge: p2, mm, above 1.22 d0; None for a single column.
    """
    require_positive(hole=hole, edge=edge)
    least = min(2.8 * edge / hole - 1.7, 2.5)
    if gauge is not None:
        require_positive(gauge=gauge)
        least = min(least, 1.4 * gauge / hole - 1.7)
    require_positive(k_1_from_edge_and_gauge=least)
    return least


def bearing_resistance(
    k_1: float, alpha_b: float, plate_ultimate_mpa: float, diameter: float, thickness: float
) -> float:
    """Bearing resistance of a plate at one bolt, k_1 alpha_b f_u d t / 1.25, in N.

    f_u is the plate's strength: the bolt's enters by `alpha_b` alone. Source: EN 1993-1-8, Table 3.4.

    Args:
        k_1: above 0 to 2.5, see `bearing_factor_across`.
        alpha_b: above 0 to 1, see `bearing_factor_along`.
        plate_ultimate_mpa: f_u of the plate, MPa, above 0.
        diameter: nominal d of the bolt, mm, above 0.
        thickness: t of the plate, mm, above 0.
    """
    require_positive(k_1=k_1, alpha_b=alpha_b, plate_ultimate_mpa=plate_ultimate_mpa)
    require_positive(diameter=diameter, thickness=thickness)
    require_between(0.0, 2.5, k_1=k_1)
    require_between(0.0, 1.0, alpha_b=alpha_b)
    return k_1 * alpha_b * plate_ultimate_mpa * diameter * thickness / GAMMA_M2


def combined_use(shear: float, shear_limit: float, tension: float, tension_limit: float) -> float:
    """How far shear and tension together use up a bolt: good up to 1.

    The greater of F_v/F_v,Rd + F_t/(1.4 F_t,Rd) and F_t/F_t,Rd. Source: EN 1993-1-8, Table 3.4.

    Args:
        shear: F_v, N, 0 or more.
        shear_limit: F_v,Rd, N, above 0.
        tension: F_t, N, 0 or more.
        tension_limit: F_t,Rd, N, above 0.
    """
    require_not_negative(shear=shear, tension=tension)
    require_positive(shear_limit=shear_limit, tension_limit=tension_limit)
    pull = tension / tension_limit
    return max(shear / shear_limit + pull / 1.4, pull)


@dataclass(frozen=True)
class LeastDistances:
    """Least distances of a hole's centre, mm: from the plate's end and edge, and from other holes along
    (pitch) and across (gauge) the force."""

    end: float
    edge: float
    pitch: float
    gauge: float


def least_distances(hole: float) -> LeastDistances:
    """1.2 d0 to end and edge, 2.2 d0 along and 2.4 d0 across the force. Source: EN 1993-1-8, Table 3.3.

    Args:
        hole: d0, mm, above 0.
    """
    require_positive(hole=hole)
    return LeastDistances(end=1.2 * hole, edge=1.2 * hole, pitch=2.2 * hole, gauge=2.4 * hole)


def slip_resistance(preload: float, friction: float, surfaces: int, safety: float) -> float:
    """Force that clamped plates carry at one bolt without slipping, n mu F / S, in N.

    Source: Coulomb friction, in the form of EN 1993-1-8, 3.9.1 (k_s = 1; there S is 1.25).

    Args:
        preload: F, N, above 0.
        friction: mu between the plates, above 0 to 0.5.
        surfaces: n, number of faces that would have to slip, 1 or more.
        safety: S, 1 or more.
    """
    require_positive(preload=preload)
    _require_friction(friction=friction)
    require_not_negative(surfaces_less_one=surfaces - 1, safety_less_one=safety - 1)
    return surfaces * friction * preload / safety


def bolt_group_forces(bolts: Floats, force: Floats, at: Floats, couple: Floats | float = 0.0) -> Floats:
    """Force on each bolt of a group from a force and a couple in its plane, in N: shape (..., n, 2).

    Elastic vector method: an equal share F/n, plus M r_i / sum r^2 square to the radius r_i from the
    centroid. Source: Shigley, Mechanical Engineering Design, ch. 8; Bhandari, Design of
    Machine Elements, ch. 7.

    Args:
        bolts: positions, mm, shape (n, 2), not all at one place.
        force: N, shape (2,) or (..., 2).
        at: point on the force's line of action, mm, shape (2,) or (..., 2).
        couple: besides, N mm, any sign, one number or shape (...,).
    """
    require_finite(bolts=bolts, force=force, at=at, couple=couple)
    if bolts.ndim != 2 or bolts.shape[1] != 2:
        raise ValueError(f"bolts must have the shape (n, 2), found {bolts.shape}")
    centroid = bolts.mean(axis=0)
    radii = bolts - centroid
    polar = float(np.sum(radii**2))
    require_positive(sum_of_squared_radii=polar)
    lever = at - centroid
    moment = lever[..., 0] * force[..., 1] - lever[..., 1] * force[..., 0] + couple
    square_to_radius = np.stack([-radii[:, 1], radii[:, 0]], axis=-1)
    turning = moment[..., np.newaxis, np.newaxis] * square_to_radius / polar
    forces: Floats = force[..., np.newaxis, :] / len(bolts) + turning
    return forces


def tipping_tensions(moment: Floats, distances: Floats) -> Floats:
    """Tension of every bolt of a bracket that tips about an edge, M l_i / sum l_i^2, in N: shape (..., n).

    Source: Bhandari, Design of Machine Elements, ch. 7 (bracket on a wall).

    Args:
        moment: N mm, 0 or more, shape (...,).
        distances: l_i of every bolt from the tipping edge, mm, 0 or more, not all 0, shape (..., n).
    """
    require_not_negative(moment=moment, distances=distances)
    squares = np.sum(distances**2, axis=-1)
    require_positive(sum_of_squared_distances=squares)
    tensions: Floats = (moment / squares)[..., np.newaxis] * distances
    return tensions


def largest_tipping_tension(moment: float, distances: Sequence[float]) -> float:
    """Tension of the bolt farthest from the edge a bracket tips about, M l_max / sum l_i^2, in N.

    Source: see `tipping_tensions`.

    Args:
        moment: N mm, 0 or more.
        distances: l_i of every bolt from the tipping edge, mm, 0 or more, not all 0.
    """
    return float(tipping_tensions(np.array(moment), np.array(distances, dtype=np.float64)).max())


def least_screw_length(grip: float, nut_height: float, pitch: float) -> float:
    """Shortest screw whose thread stands out of the nut by one pitch, grip + nut + P, in mm.

    Source: EN 1090-2, 8.2.2, from memory.

    Args:
        grip: everything clamped, washers included, mm, above 0.
        nut_height: mm, above 0.
        pitch: of the thread, mm, above 0.
    """
    require_positive(grip=grip, nut_height=nut_height, pitch=pitch)
    return grip + nut_height + pitch
