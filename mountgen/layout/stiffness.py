"""First-order stiffness of a mast: closed forms, evaluated for every product and candidate at once.

The load path is taken as: rail leg (a strip of plate bent by the mast's overturning couple), post and arm
(cantilevers at right angles), ear (a plate bent out of its plane). The rail's own web, the joints and
the cross plate are taken as stiff here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from mountgen.demand import Floats
from mountgen.layout import rules
from mountgen.layout.flexibility import Bars, Lever, flexibility, softest
from mountgen.mechanics import beams

Numbers = Floats | float


@dataclass(frozen=True)
class Mast:
    """The numbers that stiffness needs; arrays of one shape, or scalars that broadcast. N, mm, kg, MPa.

    `overhang` is along y from post to the head's centre of mass, `height` from the rail angle's upper
    bolts to the arm, `drop` from the arm to the pivot, `offset` along x from post to head.
    """

    overhang: Numbers
    height: Numbers
    drop: Numbers
    offset: Numbers
    e_mpa: Numbers
    g_mpa: Numbers
    post_i: Numbers
    post_j: Numbers
    arm_i: Numbers
    arm_j: Numbers
    leg_stiffness: Numbers
    """N mm/rad of the rail leg under a couple about x."""
    ear_i: Numbers
    sheet_e_mpa: Numbers
    head_kg: Numbers
    arm_kg: Numbers
    post_kg: Numbers
    controller_kg: Numbers
    controller_height: Numbers


def leg_stiffness(thickness: float, row_spacing: float, lever: float, e_mpa: float) -> float:
    """N mm/rad: the plate between bend and bolts as two strips, each two levers wide, guided at both ends.

    Each row carries F = M / spacing over a guided cantilever F lever^3 / (12 E I) (Roark, Table 8.1).
    """
    strip_i = 2 * lever * thickness**3 / 12
    deflection_per_newton = lever**3 / (12 * e_mpa * strip_i)
    return row_spacing**2 / (2 * deflection_per_newton)


def sag(mast: Mast, tilt_deg: Floats) -> Floats:
    """mm by which the head's weight moves the nozzles in the stand-off direction (y upright, -z down)."""
    weight = np.asarray(mast.head_kg) * rules.GRAVITY
    vertical = weight * _vertical_flexibility(mast)
    couple = weight * mast.overhang
    turn = _turn(mast, couple, weight)
    sway = beams.l_frame_sway(weight, mast.overhang, mast.height, mast.e_mpa, mast.post_i)
    sway = sway + couple / mast.leg_stiffness * mast.height - turn * mast.drop
    tilt = np.radians(tilt_deg)
    result: Floats = np.abs(sway * np.cos(tilt)) + np.abs(vertical * np.sin(tilt))
    return result


def _turn(mast: Mast, couple: Floats, weight: Floats) -> Floats:
    """Rotation of the arm's end about x, rad."""
    bending = beams.l_frame_rotation(weight, mast.overhang, mast.height, mast.e_mpa, mast.post_i, mast.arm_i)
    result: Floats = bending + couple / mast.leg_stiffness
    return result


def _vertical_flexibility(mast: Mast) -> Floats:
    """mm/N at the head for a vertical force there."""
    frame = beams.l_frame_deflection(1.0, mast.overhang, mast.height, mast.e_mpa, mast.post_i, mast.arm_i)
    sideways = np.square(mast.offset) * mast.height / (mast.e_mpa * np.asarray(mast.post_i))
    twist = np.square(mast.offset) * mast.overhang / (mast.g_mpa * np.asarray(mast.arm_j))
    leg = np.square(mast.overhang) / mast.leg_stiffness
    result: Floats = frame + sideways + twist + leg
    return result


def give(mast: Mast, tilt_deg: Floats) -> Floats:
    """mm that a hand leaning on the head moves the nozzles in the stand-off direction."""
    hand = rules.HAND_FORCE
    sideways = _post_flexibility(mast) + np.square(mast.drop) * mast.height / (
        mast.e_mpa * _array(mast.post_i)
    )
    tilt = np.radians(tilt_deg)
    upright, downward = hand * sideways, hand * _vertical_flexibility(mast)
    result: Floats = np.abs(upright * np.cos(tilt)) + np.abs(downward * np.sin(tilt))
    return result


def _post_flexibility(mast: Mast) -> Floats:
    """mm/N at the arm for a level force along the arm."""
    post = beams.cantilever_deflection(1.0, mast.height, mast.e_mpa, mast.post_i)
    result: Floats = post + np.square(mast.height) / mast.leg_stiffness
    return result


def _array(value: Numbers) -> Floats:
    return np.asarray(value, dtype=np.float64)


def first_frequency(mast: Mast) -> Floats:
    """Hz, a lower bound: Dunkerley's formula, each mass alone on the massless frame, in the direction in
    which it gives way most.

    Of a bar's own mass a third is put at its end: what moves it there grows at least with the square of
    the distance along it. The arm's whole mass also rides on the post.
    """
    bars = Bars(
        post_ei=mast.e_mpa * _array(mast.post_i),
        post_gj=mast.g_mpa * _array(mast.post_j),
        arm_ei=mast.e_mpa * _array(mast.arm_i),
        arm_gj=mast.g_mpa * _array(mast.arm_j),
        leg=mast.leg_stiffness,
    )
    at_head = flexibility(Lever(mast.height, mast.overhang, mast.offset, mast.drop), bars)
    ear = beams.cantilever_deflection(1.0, mast.drop, mast.sheet_e_mpa, mast.ear_i)
    at_head = replace(at_head, xx=at_head.xx + ear)
    at_tip = flexibility(Lever(mast.height, mast.overhang, 0.0, 0.0), bars)
    low = beams.cantilever_deflection(1.0, mast.controller_height, mast.e_mpa, mast.post_i)
    low = low + np.square(mast.controller_height) / mast.leg_stiffness

    period_squared = softest(at_head) * mast.head_kg + softest(at_tip) * np.asarray(mast.arm_kg) / 3
    period_squared = period_squared + _post_flexibility(mast) * (mast.arm_kg + np.asarray(mast.post_kg) / 3)
    period_squared = (period_squared + low * mast.controller_kg) / 1000.0
    result: Floats = 1 / (2 * np.pi * np.sqrt(period_squared))
    return result
