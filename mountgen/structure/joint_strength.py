"""What a group of screws can bear against what it has to: slip, shear, bearing, tension, threads.

Words: a *group* is the screws of one joint between two parts. Loads are what the side towards the head does
to the side towards the rail, at the middle of the screws' seats. In the *plane* of the joint, screws hold by
friction: a slot, and a T-nut along its groove, have nothing else. Square to it parts are pulled apart and
tip about their rim. `apart` points from the part on the rail's side to the one on the head's.

Strength is reckoned without friction, as if the joint had slipped: screws in shear, plates in bearing.
EN 1993-1-8 is written for screws from M12; it is used below that too, as is common practice.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from mountgen.catalogue.records import Thread
from mountgen.geometry import Vec3, cross, dot, scale
from mountgen.layout.tightening import FRICTIONS, WRENCH_SCATTER, preload_of, tightened
from mountgen.mechanics.bolts import (
    STRENGTHS,
    YIELD_USE,
    Strength,
    assembly_preload,
    bearing_factor_across,
    bearing_factor_along,
    bearing_resistance,
    bolt_group_forces,
    combined_use,
    shear_resistance,
    tension_resistance,
    tightening_torque,
    tipping_tensions,
)
from mountgen.mechanics.preload import (
    Clamp,
    Margin,
    PreloadRange,
    friction_radius,
    least_engagement,
    metric_thread_limits,
    slip_margin,
)
from mountgen.mechanics.prying import PulledLeg, TStub, prying_force, t_stub_resistance
from mountgen.mechanics.ranges import Floats
from mountgen.structure.records import JointLoad

End = Literal["nut", "press nut", "rivet nut", "T-nut", "tapped plate", "device"]

SLIP_SAFETY = 1.25
"""Partial factor against slip (EN 1993-1-8, Table 2.1, gamma_M3)."""
SLOT_BEARING = 0.6
"""Bearing across a slot over that at a round hole (EN 1993-1-8, Table 3.4, note 1)."""
LEAST_EDGE = 0.8
"""Hole diameters to the edge from which on bearing is reckoned; `edge_distance` faults anything below 1.2."""
MOST_FRICTION = 0.35
"""Between steel and aluminium parts whose faces are roughened or have serrated washers (common practice)."""
GRADE_OF = {"8.8": "8.8", "ASTM A574": "grade 5"}
"""Screws by what they are tightened and reckoned as: those of ASTM A574 as their nuts, grade 5."""


@dataclass(frozen=True)
class Plate:
    """A plate that a screw bears on: mm, MPa; `edge` from the hole's middle to the nearest edge."""

    name: str
    thickness: float
    ultimate_mpa: float
    hole: float
    edge: float
    slotted: bool


@dataclass(frozen=True)
class Leg:
    """The leg of an angle that the group pulls on, as its bolts nearest to the bend see it; `rows` screws one
    behind the other share a row, but the nearest takes its whole pull."""

    bolt: PulledLeg
    thickness: float
    rows: int


@dataclass(frozen=True)
class Lips:
    """The lips of a slot under a T-nut: its length along the slot, their thickness, by how much the nut's
    middle of bearing lies off a lip's root, mm; yield stress, MPa."""

    length: float
    thickness: float
    lever: float
    yield_mpa: float

    @property
    def resistance(self) -> float:
        """N that pulls both lips up: plastic hinges at their roots, 2 f l t^2 / 4 over the lever."""
        return 2 * self.yield_mpa * self.length * self.thickness**2 / 4 / self.lever


@dataclass(frozen=True)
class Group:
    """A group of like screws. `seats` are where the heads seat; `axis` runs from head to tip. `plane` is how
    far past the seats the parts meet; `rim` how far contact goes beyond the outermost screws along the
    plane's two axes, mm. `engaged` mm of thread sit in a thread of strength `nut_mpa`."""

    title: str
    ids: tuple[str, ...]
    thread: Thread
    end: End
    seats: tuple[Vec3, ...]
    axis: Vec3
    apart: Vec3
    plane: float
    rim: tuple[float, float]
    torque_nm: float
    engaged: float
    nut_mpa: float
    plates: tuple[Plate, ...]
    leg: Leg | None = None
    lips: Lips | None = None
    share: float = 1.0
    """Of a screw's force that presses the parts together: less than all where jaws are levers."""

    @property
    def strength(self) -> Strength:
        return STRENGTHS[GRADE_OF.get(self.thread.property_class, self.thread.property_class)]

    @property
    def axes(self) -> tuple[Vec3, Vec3]:
        """Of the plane: with the screws' axis a right-handed frame."""
        first: Vec3 = (0.0, 1.0, 0.0) if abs(self.axis[0]) > 0.5 else (1.0, 0.0, 0.0)
        return first, cross(self.axis, first)

    @property
    def spots(self) -> Floats:
        """Screws in the plane, from their middle: (n, 2)."""
        middle = np.mean(self.seats, axis=0)
        return np.asarray((np.array(self.seats) - middle) @ np.array(self.axes).T, dtype=np.float64)


@dataclass(frozen=True)
class ScrewForces:
    """What every screw carries under every load, N: (loads, screws)."""

    shear: Floats
    tension: Floats

    def preload_needed(self, friction: float) -> Floats:
        """Of the screw that needs most, one a load."""
        each = self.shear * Clamp(friction, 1, SLIP_SAFETY).preload_for_one + self.tension
        return np.asarray(each.max(axis=1), dtype=np.float64)


@dataclass(frozen=True)
class JointMargins:
    """One group over all its loads: preload that its torque gives, N; margins against slip (preload needed
    against least preload, N), strength (uses against 1) and stripping (N); what loads it worst in each.
    `friction_needed` is the least coefficient between the parts that holds, inf where none does."""

    title: str
    ids: tuple[str, ...]
    end: End
    thread: str
    torque_nm: float
    preload: PreloadRange
    slip: Margin
    slip_load: str
    friction_needed: float
    tightening: Margin
    """Pull and twist of the most that tightening may do, against the yield stress."""
    strength: tuple[Margin, ...]
    strength_load: str
    stripping: Margin

    @property
    def in_slot(self) -> bool:
        return self.end == "T-nut"

    @property
    def weakest(self) -> Margin:
        """Of the strength margins; tightening is set by choice and told only when it overdoes."""
        told = self.strength if self.tightening.is_met else (*self.strength, self.tightening)
        return min(told, key=lambda margin: margin.margin)


def joint_margins(group: Group, loads: tuple[JointLoad, ...], friction: float) -> JointMargins:
    """All margins of a group over all the loads that it bears.

    Args:
        group: its screws; for loads of another setting turned back to that of the screws.
        loads: at the middle of the screws, at least one.
        friction: between the parts, above 0 to 0.5.
    """
    forces = screw_forces(group, loads)
    preload = preload_of(group.thread, group.torque_nm)
    needed = forces.preload_needed(friction)
    slip, strong = int(needed.argmax()), _strongest(group, forces)
    return JointMargins(
        title=group.title,
        ids=group.ids,
        end=group.end,
        thread=group.thread.name,
        torque_nm=group.torque_nm,
        preload=preload,
        slip=slip_margin(group.title, preload.low * group.share, float(needed[slip])),
        slip_load=loads[slip].load,
        friction_needed=_friction_needed(forces, preload.low * group.share),
        tightening=_tightening(group, preload),
        strength=tuple(_strength(group, forces)),
        strength_load=loads[strong].load,
        stripping=_stripping(group, preload.high + float(forces.tension.max()) / group.share),
    )


def screw_forces(group: Group, loads: tuple[JointLoad, ...]) -> ScrewForces:
    """Shear and tension of every screw: elastic vector method in the plane; square to it an even share of
    the pull, and tipping about the rim, about both axes and added. What presses is left out.

    Source: see `bolts.bolt_group_forces` and `bolts.tipping_tensions`.
    """
    force = np.array([load.force for load in loads])
    at_plane = np.cross(scale(group.axis, group.plane), force)
    couple = np.array([load.couple for load in loads]) - at_plane
    axes = np.array(group.axes)
    shear = _shears(group, force @ axes.T, couple @ np.array(group.axis))
    pull = np.maximum(force @ np.array(group.apart), 0.0) / len(group.seats)
    return ScrewForces(shear, pull[:, np.newaxis] + _tipping(group, couple @ axes.T))


def _shears(group: Group, force: Floats, couple: Floats) -> Floats:
    """N on each screw; a lone one holds a couple by friction under its head."""
    if len(group.seats) > 1:
        forces = bolt_group_forces(group.spots, force, np.zeros(2), couple)
        return np.asarray(np.linalg.norm(forces, axis=-1), dtype=np.float64)
    thread = group.thread
    radius = friction_radius(thread.washer_outer / 2, thread.clearance_medium / 2)
    return np.asarray(np.linalg.norm(force, axis=-1) + np.abs(couple) / radius)[:, np.newaxis]


def _tipping(group: Group, couple: Floats) -> Floats:
    """N on each screw from couples about both axes of the plane, (loads, 2)."""
    side = dot(group.apart, group.axis)
    tension = np.zeros((len(couple), len(group.seats)))
    for about, across, sign in ((0, 1, side), (1, 0, -side)):
        way = np.where(couple[:, about] < 0.0, -sign, sign)
        lever = way[:, np.newaxis] * group.spots[:, across]
        lever = lever - lever.min(axis=1, keepdims=True) + group.rim[across]
        tension += tipping_tensions(np.abs(couple[:, about]), lever)
    return tension


def _friction_needed(forces: ScrewForces, preload: float) -> float:
    """Between the parts, at the screw and load that ask for most."""
    left = preload - forces.tension
    if float(left.min()) <= 0.0:
        return math.inf
    return SLIP_SAFETY * float((forces.shear / left).max())


def torque_for(group_thread: Thread, preload: float) -> float:
    """N m at which a screw has at least a preload (N), with the roughest threads and the least torque."""
    most, screw = FRICTIONS[1], tightened(group_thread)
    torque = tightening_torque(preload, screw.diameter, screw.pitch, most, most, screw.bearing_diameter)
    return torque / (1 - WRENCH_SCATTER) / 1000.0


def _strongest(group: Group, forces: ScrewForces) -> int:
    """The load that uses the screws up most."""
    area, ultimate = group.thread.stress_area_mm2, group.strength.ultimate
    use = forces.shear.max(axis=1) / shear_resistance(area, ultimate)
    return int((use + forces.tension.max(axis=1) / tension_resistance(area, ultimate)).argmax())


def _tightening(group: Group, preload: PreloadRange) -> Margin:
    thread = group.thread
    most = assembly_preload(thread.diameter, thread.pitch, group.strength.yield_, FRICTIONS[0]) / YIELD_USE
    return Margin("tightening to the yield stress", preload.high / most, 1.0)


def _strength(group: Group, forces: ScrewForces) -> list[Margin]:
    """Uses against 1: shear with tension and prying, bearing, the pulled leg, a slot's lips."""
    thread, ultimate = group.thread, group.strength.ultimate
    shear, tension = float(forces.shear.max()), float(forces.tension.max()) / group.share
    in_shear = shear_resistance(thread.stress_area_mm2, ultimate)
    in_tension = tension_resistance(thread.stress_area_mm2, ultimate)
    pried = tension + (pried_by(group.leg, tension) if group.leg else 0.0)
    found = [Margin("screw in shear and tension", combined_use(shear, in_shear, pried, in_tension), 1.0)]
    found += [Margin(f"{p.name} in bearing", shear / bearing(p, thread, ultimate), 1.0) for p in group.plates]
    if group.leg is not None:
        pull = tension * group.leg.rows
        found.append(Margin("leg pulled at its bend", pull / leg_resistance(group.leg, in_tension), 1.0))
    if group.lips is not None:
        found.append(Margin("lips of the slot", tension / group.lips.resistance, 1.0))
    return found


def pried_by(leg: Leg, tension: float) -> float:
    """N that prying adds to the bolt nearest to the bend, besides its row's whole pull; as much as the leg
    can exert, where it would fold before."""
    folds = (1 + leg.bolt.net) * leg.bolt.moment(leg.thickness) / leg.bolt.lever
    pull = min(tension * leg.rows, folds)
    return tension * (leg.rows - 1) + prying_force(pull, leg.bolt, leg.thickness)


def leg_resistance(leg: Leg, bolt: float) -> float:
    """N that pulls the leg at one bolt: half a T-stub of two such legs. `bolt` is the bolt's own resistance.

    Source: see `prying.t_stub_resistance`.
    """
    share = leg.bolt
    stub = TStub(share.pitch, leg.thickness, share.lever, share.rim_lever, share.strength_mpa, 2 * bolt)
    return t_stub_resistance(stub).resistance / 2


def bearing(plate: Plate, thread: Thread, bolt_mpa: float) -> float:
    """N that a plate bears at one screw, its nearest edge taken for end and edge alike."""
    edge = max(plate.edge, LEAST_EDGE * plate.hole)
    along = bearing_factor_along(plate.hole, edge, None, bolt_mpa, plate.ultimate_mpa)
    across = bearing_factor_across(plate.hole, edge, None)
    full = bearing_resistance(across, along, plate.ultimate_mpa, thread.diameter, plate.thickness)
    return full * (SLOT_BEARING if plate.slotted else 1.0)


def _stripping(group: Group, force: float) -> Margin:
    """The screw's greatest force against what the engaged threads bear before either strips."""
    thread, ultimate = group.thread, group.strength.ultimate
    limits = metric_thread_limits(thread.diameter, thread.pitch)
    share = group.engaged / least_engagement(limits, ultimate, group.nut_mpa)
    return Margin(group.title, force, min(share, 1.0) * thread.stress_area_mm2 * ultimate)
