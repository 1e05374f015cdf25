"""Deflection, rotation and first frequency of cantilevers and L-shaped frames.

Words: a *cantilever* is fixed at one end and loaded at its tip. An *L frame* is a post fixed at its foot
with an arm at a right angle on its top; the load acts at the arm's tip. *Sway* is the sideways travel of
the corner. Bars are slender and straight, deflections small; stretch and shear of the bars are left out.

Every formula takes floats or arrays of one shape. Forces may have either sign; the deflection has the
sign of the force.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from types import MappingProxyType
from typing import Literal

import numpy as np

from mountgen.mechanics.ranges import (
    Numbers,
    require_finite,
    require_not_negative,
    require_positive,
)

GRAVITY = 9.80665
"""m/s2; standard gravity (ISO 80000-3)."""

MM_PER_M = 1000.0

RAYLEIGH_SHARE = 33 / 140
"""Part of a cantilever's own mass that acts at its tip (Rayleigh; Blevins)."""

StripEnds = Literal["fixed", "supported", "one_side_free"]

STRIP_STIFFNESS = MappingProxyType({"fixed": 16.0, "supported": 12.0, "one_side_free": 1.0})
"""M L / (E I theta) of a strip under a couple; see `strip_rotation`."""


def cantilever_deflection(force: Numbers, length: Numbers, e_mpa: Numbers, i_mm4: Numbers) -> Numbers:
    """Tip deflection of a cantilever under a force at its tip, F L^3 / (3 E I), in mm.

    Source: Roark's Formulas for Stress and Strain, Table 8.1, case 1a.

    Args:
        force: N, any sign.
        length: mm, above 0.
        e_mpa: modulus of elasticity, MPa, above 0.
        i_mm4: second moment of area, mm4, above 0.
    """
    require_finite(force=force)
    require_positive(length=length, e_mpa=e_mpa, i_mm4=i_mm4)
    return force * length**3 / (3 * e_mpa * i_mm4)


def cantilever_slope(force: Numbers, length: Numbers, e_mpa: Numbers, i_mm4: Numbers) -> Numbers:
    """Tip slope of a cantilever under a force at its tip, F L^2 / (2 E I), in rad.

    Source: Roark, Table 8.1, case 1a.

    Args:
        force: N, any sign.
        length: mm, above 0.
        e_mpa: modulus of elasticity, MPa, above 0.
        i_mm4: second moment of area, mm4, above 0.
    """
    require_finite(force=force)
    require_positive(length=length, e_mpa=e_mpa, i_mm4=i_mm4)
    return force * length**2 / (2 * e_mpa * i_mm4)


def cantilever_deflection_by_couple(
    couple: Numbers, length: Numbers, e_mpa: Numbers, i_mm4: Numbers
) -> Numbers:
    """Tip deflection of a cantilever under a couple at its tip, M L^2 / (2 E I), in mm.

    Source: Roark, Table 8.1, case 3a.

    Args:
        couple: N mm, any sign.
        length: mm, above 0.
        e_mpa: modulus of elasticity, MPa, above 0.
        i_mm4: second moment of area, mm4, above 0.
    """
    require_finite(couple=couple)
    require_positive(length=length, e_mpa=e_mpa, i_mm4=i_mm4)
    return couple * length**2 / (2 * e_mpa * i_mm4)


def cantilever_slope_by_couple(couple: Numbers, length: Numbers, e_mpa: Numbers, i_mm4: Numbers) -> Numbers:
    """Tip slope of a cantilever under a couple at its tip, M L / (E I), in rad.

    Source: Roark, Table 8.1, case 3a.

    Args:
        couple: N mm, any sign.
        length: mm, above 0.
        e_mpa: modulus of elasticity, MPa, above 0.
        i_mm4: second moment of area, mm4, above 0.
    """
    require_finite(couple=couple)
    require_positive(length=length, e_mpa=e_mpa, i_mm4=i_mm4)
    return couple * length / (e_mpa * i_mm4)


def l_frame_deflection(
    force: Numbers, arm: Numbers, post: Numbers, e_mpa: Numbers, post_i: Numbers, arm_i: Numbers
) -> Numbers:
    """Deflection of an L frame's arm tip along the force, P a^2 h / (E I_post) + P a^3 / (3 E I_arm), in mm.

    The force is parallel to the post. Source: Castigliano's second theorem.

    Args:
        force: N, any sign.
        arm: length a of the arm, mm, above 0.
        post: height h of the post, mm, above 0.
        e_mpa: modulus of elasticity of both, MPa, above 0.
        post_i: second moment of area of the post, mm4, above 0.
        arm_i: second moment of area of the arm, mm4, above 0.
    """
    require_finite(force=force)
    require_positive(arm=arm, post=post, e_mpa=e_mpa, post_i=post_i, arm_i=arm_i)
    return force * arm**2 * post / (e_mpa * post_i) + force * arm**3 / (3 * e_mpa * arm_i)


def l_frame_sway(force: Numbers, arm: Numbers, post: Numbers, e_mpa: Numbers, post_i: Numbers) -> Numbers:
    """Sideways travel of an L frame's corner, P a h^2 / (2 E I_post), in mm, towards the arm's tip.

    The force is parallel to the post, at the arm's tip. The arm moves as one piece along its own length,
    so its tip sways as far. Source: Castigliano's second theorem.

    Args:
        force: N, any sign; positive presses the arm towards the post's foot.
        arm: length a of the arm, mm, above 0.
        post: height h of the post, mm, above 0.
        e_mpa: modulus of elasticity, MPa, above 0.
        post_i: second moment of area of the post, mm4, above 0.
    """
    require_finite(force=force)
    require_positive(arm=arm, post=post, e_mpa=e_mpa, post_i=post_i)
    return force * arm * post**2 / (2 * e_mpa * post_i)


def l_frame_rotation(
    force: Numbers, arm: Numbers, post: Numbers, e_mpa: Numbers, post_i: Numbers, arm_i: Numbers
) -> Numbers:
    """Rotation of an L frame's arm tip in its plane, P a h / (E I_post) + P a^2 / (2 E I_arm), in rad.

    The force is parallel to the post, at the arm's tip. Source: Castigliano's second theorem.

    Args:
        force: N, any sign.
        arm: length a of the arm, mm, above 0.
        post: height h of the post, mm, above 0.
        e_mpa: modulus of elasticity of both, MPa, above 0.
        post_i: second moment of area of the post, mm4, above 0.
        arm_i: second moment of area of the arm, mm4, above 0.
    """
    require_finite(force=force)
    require_positive(arm=arm, post=post, e_mpa=e_mpa, post_i=post_i, arm_i=arm_i)
    return force * arm * post / (e_mpa * post_i) + force * arm**2 / (2 * e_mpa * arm_i)


def l_frame_out_of_plane(
    force: Numbers, arm: Numbers, post: Numbers, arm_ei: Numbers, post_ei: Numbers, post_gj: Numbers
) -> Numbers:
    """Deflection of an L frame's arm tip under a force square to its plane, in mm.

    P a^3 / (3 E I_arm) + P h^3 / (3 E I_post) + P a^2 h / (G J_post): the arm bends, the post bends and
    twists. Source: Castigliano's second theorem. J is the torsion constant, never the polar moment.

    Args:
        force: N, any sign.
        arm: length a of the arm, mm, above 0.
        post: height h of the post, mm, above 0.
        arm_ei: bending stiffness E I of the arm out of the plane, N mm2, above 0.
        post_ei: bending stiffness E I of the post out of the plane, N mm2, above 0.
        post_gj: torsional stiffness G J of the post, N mm2, above 0.
    """
    require_finite(force=force)
    require_positive(arm=arm, post=post, arm_ei=arm_ei, post_ei=post_ei, post_gj=post_gj)
    bending = force * arm**3 / (3 * arm_ei) + force * post**3 / (3 * post_ei)
    return bending + force * arm**2 * post / post_gj


def cantilever_frequency(
    length: Numbers, e_mpa: Numbers, i_mm4: Numbers, tip_kg: Numbers, own_kg: Numbers
) -> Numbers:
    """First natural frequency of a cantilever with a mass at its tip, in Hz.

    sqrt(3 E I / (L^3 (m + 33/140 m_own))) / (2 pi), an upper bound: 1.5 % high for the bare bar, 0.05 %
    high when both masses are equal. Source: Rayleigh's method; Blevins, Formulas for Natural Frequency
    and Mode Shape.

    Args:
        length: mm, above 0.
        e_mpa: modulus of elasticity, MPa, above 0.
        i_mm4: second moment of area, mm4, above 0.
        tip_kg: mass m at the tip, kg, 0 or more.
        own_kg: mass of the bar itself, kg, 0 or more; not both masses 0.
    """
    require_positive(length=length, e_mpa=e_mpa, i_mm4=i_mm4)
    require_not_negative(tip_kg=tip_kg, own_kg=own_kg)
    moving_kg = tip_kg + RAYLEIGH_SHARE * own_kg
    require_positive(tip_kg_and_own_kg=moving_kg)
    stiffness = 3 * e_mpa * i_mm4 / length**3 * MM_PER_M
    result: Numbers = np.sqrt(stiffness / moving_kg) / (2 * math.pi)
    return result


def dunkerley_frequency(frequencies: Sequence[Numbers]) -> Numbers:
    """Lower bound of the first natural frequency of the whole, 1/f^2 = sum of 1/f_i^2, in Hz.

    f_i is the frequency with mass i alone on the same massless structure. Source: Dunkerley's formula.

    Args:
        frequencies: the f_i, Hz, each above 0, at least one.
    """
    if not frequencies:
        raise ValueError("frequencies must hold at least one number")
    for number, frequency in enumerate(frequencies):
        require_positive(**{f"frequencies[{number}]": frequency})
    inverse_squares: Numbers = sum((1 / np.square(f) for f in frequencies), start=0.0)
    result: Numbers = 1 / np.sqrt(inverse_squares)
    return result


def frequency_from_deflection(deflection: Numbers) -> Numbers:
    """Natural frequency of a mass whose own weight deflects its support, sqrt(g / d) / (2 pi), in Hz.

    Source: undamped oscillator of one degree of freedom.

    Args:
        deflection: under the weight, in the direction of motion, mm, above 0.
    """
    require_positive(deflection=deflection)
    result: Numbers = np.sqrt(GRAVITY * MM_PER_M / deflection) / (2 * math.pi)
    return result


def tipping_stiffness(stiffnesses: Sequence[Numbers], distances: Sequence[Numbers]) -> Numbers:
    """Couple that turns a stiff base on springs by one radian, sum of k_i r_i^2, in N mm/rad.

    Source: equilibrium of a rigid body on parallel springs.

    Args:
        stiffnesses: k_i of each support along its axis, N/mm, above 0, at least one.
        distances: r_i of each support from the tipping axis, mm, any sign, not all 0.
    """
    require_positive(number_of_supports=len(stiffnesses))
    for stiffness, distance in zip(stiffnesses, distances, strict=True):
        require_positive(stiffnesses=stiffness)
        require_finite(distances=distance)
    pairs = zip(stiffnesses, distances, strict=True)
    total: Numbers = sum((k * np.square(r) for k, r in pairs), start=0.0)
    require_positive(sum_of_stiffness_and_distance=total)
    return total


def strip_rotation(
    couple: Numbers, span: Numbers, e_mpa: Numbers, i_mm4: Numbers, ends: StripEnds
) -> Numbers:
    """Rotation of a strip where a couple acts on it, M L / (c E I), in rad.

    c = 16: couple at midspan, both ends fixed; 12: at midspan, both ends simply supported; 1: at the
    free end, other end fixed. Source: Roark, Table 8.1, cases 3d, 3e and 3a.

    Args:
        couple: N mm, any sign.
        span: between the ends, mm, above 0.
        e_mpa: modulus of elasticity, MPa, above 0; for a wide plate E / (1 - nu^2).
        i_mm4: second moment of area of the strip, mm4, above 0.
        ends: 'fixed', 'supported' or 'one_side_free'.
    """
    require_finite(couple=couple)
    require_positive(span=span, e_mpa=e_mpa, i_mm4=i_mm4)
    if ends not in STRIP_STIFFNESS:
        raise ValueError(f"ends must be one of {', '.join(STRIP_STIFFNESS)}, found {ends!r}")
    return couple * span / (STRIP_STIFFNESS[ends] * e_mpa * i_mm4)


def torsion_constant_rectangle(width: Numbers, thickness: Numbers) -> Numbers:
    """Torsion constant of a solid rectangle, in mm4; either side may be the longer one.

    b t^3 (1/3 - 64/pi^5 t/b sum over odd n of tanh(n pi b / (2 t)) / n^5) with b >= t.
    Source: Timoshenko and Goodier, Theory of Elasticity, art. 109; Roark, Table 10.1, case 4.

    Args:
        width: mm, above 0.
        thickness: mm, above 0.
    """
    require_positive(width=width, thickness=thickness)
    b, t = np.maximum(width, thickness), np.minimum(width, thickness)
    series = sum((np.tanh(n * math.pi * b / (2 * t)) / n**5 for n in range(1, 40, 2)), start=0.0)
    result: Numbers = b * t**3 * (1 / 3 - 64 / math.pi**5 * t / b * series)
    return result
