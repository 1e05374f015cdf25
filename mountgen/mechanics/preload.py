"""How hard a clamped joint must be tightened so that it does not slip, and what a torque gives.

Words: a *clamp* is how parts hold by friction: coefficient, number of faces that would have to slip, safety.
A *plane load* lies in the plane of those faces: a force with its point of action, and a couple. The
*engagement* is the length over which screw and nut thread overlap.

A slot, and a T-nut's slot, hold by friction alone along their length; that they also hold across by form is
left out, so both are reckoned the same way in every direction.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from mountgen.geometry import Vec2
from mountgen.mechanics.bolts import bolt_group_forces, pitch_diameter, stress_area, tightening_torque
from mountgen.mechanics.ranges import (
    Floats,
    require_between,
    require_finite,
    require_not_negative,
    require_positive,
)

THREAD_HALF_ANGLE = 1 / math.sqrt(3)
"""Tangent of half the flank angle, 30 deg (ISO 68-1)."""

UM_PER_MM = 1000.0


@dataclass(frozen=True)
class Margin:
    """A value and what it may be at most; `margin` is 0 at the limit, 1 at half of it, below 0 beyond it."""

    name: str
    value: float
    limit: float

    def __post_init__(self) -> None:
        require_not_negative(value=self.value)
        require_positive(limit=self.limit)

    @property
    def margin(self) -> float:
        return self.limit / self.value - 1 if self.value > 0 else math.inf

    @property
    def is_met(self) -> bool:
        return self.value <= self.limit


@dataclass(frozen=True)
class Clamp:
    """Friction between the parts (above 0 to 0.5), faces that would have to slip, safety (1 or more)."""

    friction: float
    surfaces: int = 1
    safety: float = 1.25

    def __post_init__(self) -> None:
        require_positive(friction=self.friction)
        require_between(0.0, 0.5, friction=self.friction)
        require_not_negative(surfaces_less_one=self.surfaces - 1, safety_less_one=self.safety - 1)

    @property
    def preload_for_one(self) -> float:
        """Preload for each newton that would slip."""
        return self.safety / (self.surfaces * self.friction)


@dataclass(frozen=True)
class PlaneLoad:
    """A force (N) in the plane of the joint that acts at a point (mm), and a couple (N mm) besides."""

    force: Vec2
    at: Vec2 = (0.0, 0.0)
    couple: float = 0.0


@dataclass(frozen=True)
class Thread:
    """A screw as tightening sees it, mm: nominal diameter, pitch, mean diameter of the head's friction."""

    diameter: float
    pitch: float
    bearing_diameter: float


@dataclass(frozen=True)
class PreloadRange:
    """Preloads that one torque gives, N: least with rough threads and heads, most with smooth ones."""

    low: float
    high: float


@dataclass(frozen=True)
class ThreadLimits:
    """Sizes that decide which thread strips, mm and mm2.

    Pitch, stress area of the screw, its least major and pitch diameter, greatest minor and pitch diameter of
    the nut.
    """

    pitch: float
    stress_area: float
    screw_major: float
    screw_pitch: float
    nut_minor: float
    nut_pitch: float

    def __post_init__(self) -> None:
        require_positive(pitch=self.pitch, stress_area=self.stress_area, nut_minor=self.nut_minor)
        require_positive(overlap=self.screw_major - self.nut_minor)


def preload_of_torque(torque: float, thread: Thread, thread_friction: float, head_friction: float) -> float:
    """Preload that a torque gives, the inverse of `bolts.tightening_torque`, in N. Source: VDI 2230-1.

    Args:
        torque: N mm, above 0.
        thread: the screw.
        thread_friction: above 0 to 0.5.
        head_friction: above 0 to 0.5.
    """
    require_positive(torque=torque)
    for_one = tightening_torque(
        1.0, thread.diameter, thread.pitch, thread_friction, head_friction, thread.bearing_diameter
    )
    return torque / for_one


def preload_range(
    torque: float, thread: Thread, frictions: tuple[float, float], scatter: float
) -> PreloadRange:
    """Least and greatest preload of a torque, with friction anywhere in a range and a tool that scatters.

    Source: VDI 2230-1 (friction class B: 0.08 to 0.16, from memory); common practice for hand tools:
    0.1 for a torque wrench, 0.3 by feel.

    Args:
        torque: set on the tool or meant, N mm, above 0.
        thread: the screw.
        frictions: least and greatest coefficient, in thread and under the head alike.
        scatter: of the torque, a fraction, 0 to below 1.
    """
    low, high = frictions
    require_positive(greatest_less_least=high - low + math.ulp(1.0), one_less_scatter=1 - scatter)
    require_not_negative(scatter=scatter)
    return PreloadRange(
        preload_of_torque(torque * (1 - scatter), thread, high, high),
        preload_of_torque(torque * (1 + scatter), thread, low, low),
    )


def required_preload(shear: float, tension: float, clamp: Clamp) -> float:
    """Preload of a bolt that carries a shear by friction while a tension unloads it, S V / (n mu) + T, in N.

    All of the tension is taken off the clamped faces: on the safe side, a stiff joint loses less.
    Source: Coulomb friction; VDI 2230-1, F_Kerf = F_KQ + F_PA.

    Args:
        shear: V, N, 0 or more.
        tension: T on the bolt, N, 0 or more.
        clamp: friction, faces, safety.
    """
    require_not_negative(shear=shear, tension=tension)
    return shear * clamp.preload_for_one + tension


def plane_forces(bolts: Floats, load: PlaneLoad) -> Floats:
    """Force on each bolt from a force and a couple in their plane, in N, (n, 2).

    Elastic vector method with the couple added. Source: see `bolts.bolt_group_forces`.

    Args:
        bolts: positions, mm, (n, 2), at least two places.
        load: in the plane.
    """
    return bolt_group_forces(bolts, np.array(load.force), np.array(load.at), load.couple)


def group_preload(bolts: Floats, load: PlaneLoad, tensions: Floats, clamp: Clamp) -> float:
    """Preload, the same for all bolts of a group, at which none slips under an eccentric load, in N.

    For slots and T-nuts as well as for round holes. Source: see `plane_forces` and `required_preload`.

    Args:
        bolts: positions, mm, (n, 2), at least two places.
        load: in the plane.
        tensions: on each bolt, N, (n,), 0 or more.
        clamp: friction, faces, safety.
    """
    require_not_negative(tensions=tensions)
    shears = np.linalg.norm(plane_forces(bolts, load), axis=-1)
    return float(np.max(shears * clamp.preload_for_one + tensions))


def friction_radius(outer: float, inner: float) -> float:
    """Radius at which the friction of an evenly pressed ring acts, 2/3 (ro^3 - ri^3) / (ro^2 - ri^2), in mm.

    Source: clutch of uniform pressure, Shigley, Mechanical Engineering Design, ch. 16.

    Args:
        outer: radius, mm, above the inner one.
        inner: radius, mm, 0 or more.
    """
    require_not_negative(inner=inner)
    require_positive(outer_less_inner=outer - inner)
    return 2 / 3 * (outer**3 - inner**3) / (outer**2 - inner**2)


def single_bolt_preload(shear: float, couple: float, radius: float, clamp: Clamp) -> float:
    """Preload of a lone bolt or T-nut that holds shear and couple by friction, S (V + |M|/r) / (n mu), in N.

    The two are added as if both were greatest at one place: on the safe side. Source: Coulomb friction.

    Args:
        shear: V, N, 0 or more.
        couple: M about the bolt's axis, N mm, any sign.
        radius: r, see `friction_radius`, mm, above 0.
        clamp: friction, faces, safety.
    """
    require_not_negative(shear=shear)
    require_finite(couple=couple)
    require_positive(radius=radius)
    return (shear + abs(couple) / radius) * clamp.preload_for_one


def slip_margin(name: str, preload: float, required: float) -> Margin:
    """How far a preload is above what slip asks for.

    Args:
        name: of the joint.
        preload: least that the joint has, N, above 0.
        required: see `required_preload`, `group_preload`, `single_bolt_preload`, N, 0 or more.
    """
    return Margin(name, required, preload)


def metric_thread_limits(diameter: float, pitch: float) -> ThreadLimits:
    """Least material of a metric screw of class 6g in a nut of class 6H.

    In um: allowance 15 + 11 P, tolerance of the screw's major diameter 180 P^(2/3) - 3.15 / sqrt P, of its
    pitch diameter 90 P^0.4 d^0.1, of the nut's 1.32 times that, of the nut's minor diameter 230 P^0.7, or
    433 P - 190 P^1.22 up to a pitch of 0.8. Source: ISO 724; ISO 965-1, clauses on tolerance formulas.

    Args:
        diameter: nominal d, mm, 3 to 30.
        pitch: P, mm, above 0, less than half of d.
    """
    require_between(3.0, 30.0, diameter=diameter)
    middle = pitch_diameter(diameter, pitch)
    allowance = (15 + 11 * pitch) / UM_PER_MM
    major = (180 * pitch ** (2 / 3) - 3.15 / math.sqrt(pitch)) / UM_PER_MM
    on_pitch = 90 * pitch**0.4 * diameter**0.1 / UM_PER_MM
    minor = (230 * pitch**0.7 if pitch > 0.8 else 433 * pitch - 190 * pitch**1.22) / UM_PER_MM
    return ThreadLimits(
        pitch,
        stress_area(diameter, pitch),
        screw_major=diameter - allowance - major,
        screw_pitch=middle - allowance - on_pitch,
        nut_minor=diameter - 1.082532 * pitch + minor,
        nut_pitch=middle + 1.32 * on_pitch,
    )


def least_engagement(limits: ThreadLimits, screw_mpa: float, nut_mpa: float) -> float:
    """Length of engagement at which the screw breaks before either thread strips, in mm.

    2 A_t / (pi K (1/2 + 0.57735 (E - K) / P)) with K the nut's minor and E the screw's pitch diameter, times
    J = A_s s_s / (A_n s_n) where the nut's thread is the weaker. Twice the stress area in shear stands for
    shear strength of half the tensile strength. Source: Alexander, 1977; Machinery's Handbook, Formulas for
    stress areas and lengths of engagement of screw threads; FED-STD-H28/2B.

    Args:
        limits: sizes of both threads.
        screw_mpa: tensile strength of the screw, MPa, above 0.
        nut_mpa: tensile strength of the nut or plate, MPa, above 0.
    """
    require_positive(screw_mpa=screw_mpa, nut_mpa=nut_mpa)
    screw, nut = shear_areas(limits)
    length = 2 * limits.stress_area / screw
    return length * max(1.0, screw * screw_mpa / (nut * nut_mpa))


def shear_areas(limits: ThreadLimits) -> tuple[float, float]:
    """Areas that shear off when threads strip, of screw and of nut, for each mm of engagement, in mm2/mm.

    pi K (1/2 + 0.57735 (E_s - K) / P) and pi D (1/2 + 0.57735 (D - E_n) / P).
    Source: Machinery's Handbook, as `least_engagement`.

    Args:
        limits: sizes of both threads.
    """
    p, tan = limits.pitch, THREAD_HALF_ANGLE
    screw = math.pi * limits.nut_minor * (0.5 + tan * (limits.screw_pitch - limits.nut_minor) / p)
    nut = math.pi * limits.screw_major * (0.5 + tan * (limits.screw_major - limits.nut_pitch) / p)
    return screw, nut
