"""How the line shakes the nozzle: rollers, chain, drive, what was measured on the rail, a product's bump.

All motion is that of the nozzle against the product, which rides on the line. A mount on the rail moves with
it, and what counts is how far it swings against it. A stand does not: the product moves past it as far as the
rail shakes, and what the floor passes on shakes the stand; both are added as if they always met. Where nobody
measured how strongly a line shakes, its rollers, chain and drive are given a travel by rule; each of their
multiples shakes with the travel of the first over the cube of its number. Source: modal superposition.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from mountgen.demand import Demand, Floats
from mountgen.detail.blanks import head_origin, head_point
from mountgen.geometry import Vec3, add, scale, subtract
from mountgen.layout import rules
from mountgen.mechanics.frame import NodalLoad
from mountgen.mechanics.frame_solve import Modes
from mountgen.mechanics.modal_response import (
    drive_by_base,
    drive_by_load,
    harmonic_response,
    pulse_response,
    random_response_rms,
)
from mountgen.mechanics.vibration import (
    MM_PER_G,
    Excitation,
    Flight,
    LineSpeeds,
    Spectrum,
    dot_shift,
    impact_pulse,
    line_excitations,
    spectrum_rms,
)
from mountgen.structure.frame_records import Model, Mount
from mountgen.structure.records import Shake, ShakeKind, Shaking
from mountgen.survey.records import Line, Survey

MULTIPLES = 3
"""The frequency itself and two multiples."""

TRAVEL = {"rollers": 0.02, "chain links": 0.02, "drive": 0.002}
"""mm by which the rail moves to either side, across the line and up and down, at each one's own frequency,
where nobody measured it (rule of this project). A good motor's feet move by 1 mm/s rms (common practice),
0.01 mm at 1400 turns a minute; a fifth of that is taken to reach the rail."""

FLOOR_SHARE = 0.1
"""Of a rail's shaking that the floor passes on to a stand beside it (rule of this project)."""

BROAD_BAND_HZ = (10.0, 1000.0)
"""A measured rms is spread evenly over what a vibration meter reads (ISO 20816-1), for Miles' formula wants a
density (rule of this project)."""

PEAKS = 2.0
"""Amplitude over rms of a random motion: 5 % of the time it is larger (normal distribution)."""

REST = 0.0
"""A product that meets the shoe slides along it and does not bounce."""

KG_PER_MM3 = 0.3e-6
"""Products weigh 0.3 kg a litre where their mass is not known (rule of this project: filled cartons)."""

DROP_SPEED = 6000.0
"""mm/s of a drop (common practice for drop-on-demand heads: 5 to 9 m/s)."""

STEPS = 160
"""Points of time from a bump on."""

ACROSS: tuple[Vec3, ...] = ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
ALL_WAYS: tuple[Vec3, ...] = ((1.0, 0.0, 0.0), *ACROSS)


@dataclass(frozen=True)
class Answer:
    """A setting's frame with its natural modes."""

    product: int
    model: Model
    modes: Modes

    @cached_property
    def in_head_axes(self) -> Floats:
        """Shapes at the nozzle, (modes, 3): along the flow, out of the nozzle face, up the column."""
        up, out, seen = self.model.up, self.model.out, self.modes.at("head", self.model.nozzle)
        axes: Floats = seen[:, :3] @ np.array([(1.0, 0.0, 0.0), out, up]).T
        return axes


def shaking(mount: Mount, demand: Demand, answers: Sequence[Answer]) -> Shaking:
    """Everything that shakes the nozzle, each at the setting where it moves the stand-off most."""
    survey = mount.survey
    shakes = tuple(_shakes(mount, demand, answers))
    separation = _separation(line_speeds(survey.line), answers)
    flight = _flight(survey)
    first = min(float(answer.modes.frequencies_hz[0]) for answer in answers)
    shifts = [
        dot_shift((s.along, s.standoff, s.across), s.frequency_hz or first, flight).along
        for s in shakes
        if s.kind != "bump"
    ]
    total = math.hypot(*shifts)
    return Shaking(shakes, *separation, total, total / flight.column_pitch)


def line_speeds(line: Line) -> LineSpeeds:
    """What of the line shakes at steady frequencies."""
    rollers = line.roller_pitch if line.surface == "rollers" else None
    return LineSpeeds(line.speed_mm_per_s, rollers, line.chain_pitch, line.drive_rpm)


def product_masses(survey: Survey, demand: Demand) -> Floats:
    """kg of every product: as surveyed, else its volume with the usual density."""
    volumes: Floats = survey.products.length * survey.products.width * demand.height
    weighed = survey.products.mass_kg
    return np.where(np.isnan(weighed), volumes * KG_PER_MM3, weighed)


def _flight(survey: Survey) -> Flight:
    head = survey.head
    return Flight(survey.standoff.target, DROP_SPEED, survey.line.speed_mm_per_s, head.column_dpi)


def _separation(line: LineSpeeds, answers: Sequence[Answer]) -> tuple[float, str, float]:
    """Least ratio between a first frequency and a steady one, the larger over the smaller, with that one's
    name and frequency; multiples are weaker and are judged by what they do to the print."""
    found = [
        (abs(math.log(answer.modes.frequencies_hz[0] / steady.frequency_hz)), steady)
        for steady in line_excitations(line, 1)
        for answer in answers
    ]
    if not found:
        return math.inf, "", 0.0
    apart, nearest = min(found, key=lambda one: one[0])
    return math.exp(apart), nearest.name, nearest.frequency_hz


def _shakes(mount: Mount, demand: Demand, answers: Sequence[Answer]) -> Iterator[Shake]:
    survey = mount.survey
    measured = measured_spectrum(survey)
    if measured is None:
        for steady in line_excitations(line_speeds(survey.line), MULTIPLES):
            yield _worst([_steady(mount, steady, answer) for answer in answers])
    else:
        yield _worst([_random(mount, measured, answer) for answer in answers])
    bumps = [a for a in answers if mount.layout.settings.tilt_deg[a.product] < 45.0]
    if bumps:
        kg = float(product_masses(survey, demand).max())
        yield _worst([_bump(mount, kg, answer) for answer in bumps])


def _worst(shakes: Sequence[Shake]) -> Shake:
    return max(shakes, key=lambda shake: (shake.standoff, shake.along))


def measured_spectrum(survey: Survey) -> Spectrum | None:
    """What was measured on the rail; an rms spread evenly over its band; None where nobody measured."""
    found = survey.shaking
    if found.spectrum is not None or found.rms_mm_per_s2 is None:
        return found.spectrum
    low, high = BROAD_BAND_HZ
    density = (found.rms_mm_per_s2 / MM_PER_G) ** 2 / (high - low)
    return Spectrum(np.array([low, high]), np.array([density, density]))


def _shared(mount: Mount) -> float:
    """How much of the rail's shaking gets to the mount's foot."""
    return FLOOR_SHARE if mount.layout.on_floor else 1.0


def _passing(mount: Mount, way: Vec3, answer: Answer, travel: float) -> Floats:
    """mm by which product and floor move past a stand's nozzles, in head axes; none on the rail."""
    if not mount.layout.on_floor:
        return np.zeros(3)
    axes = np.array([(1.0, 0.0, 0.0), answer.model.out, answer.model.up])
    return np.asarray(np.abs(axes @ np.array(way)) * travel * (1.0 + FLOOR_SHARE), np.float64)


def _steady(mount: Mount, steady: Excitation, answer: Answer) -> Shake:
    kind, _, times = steady.name.partition(", ")
    number = int(times.split()[0]) if times else 1
    travel = TRAVEL[kind] / number**3
    push = travel * (2 * math.pi * steady.frequency_hz) ** 2 * _shared(mount)
    moved = [
        np.abs(
            harmonic_response(
                answer.modes,
                drive_by_base(answer.modes, scale(way, push)),
                answer.in_head_axes,
                np.array([steady.frequency_hz]),
                mount.survey.shaking.damping,
            )[0]
        )
        + _passing(mount, way, answer, travel)
        for way in ACROSS
    ]
    source = f"rail moving {travel:.3g} mm either way (rule of this project)"
    return _shake(steady.name, "steady", steady.frequency_hz, np.sqrt(np.square(moved).sum(axis=0)), source)


def _random(mount: Mount, spectrum: Spectrum, answer: Answer) -> Shake:
    zeta, share = mount.survey.shaking.damping, _shared(mount)
    seen, travel = answer.in_head_axes, travel_rms(spectrum)
    rms = [
        random_response_rms(answer.modes, way, seen, spectrum, zeta) * share
        + _passing(mount, way, answer, travel)
        for way in ALL_WAYS
    ]
    source = "acceleration measured on the rail; twice the rms of the answer"
    return _shake("measured shaking", "measured", 0.0, PEAKS * np.sqrt(np.square(rms).sum(axis=0)), source)


def travel_rms(spectrum: Spectrum) -> float:
    """Rms travel of what shakes with a measured acceleration, mm, within the spectrum's own band.

    Source: each part of the acceleration over the square of its angular frequency.

    Args:
        spectrum: frequencies and densities.
    """
    travels = spectrum.densities * (MM_PER_G / (2 * math.pi * spectrum.frequencies_hz) ** 2) ** 2
    return spectrum_rms(Spectrum(spectrum.frequencies_hz, travels))


def _bump(mount: Mount, kg: float, answer: Answer) -> Shake:
    """The heaviest product that comes across the line meets the shoe in front of the column's middle."""
    survey, layout, product = mount.survey, mount.layout, answer.product
    found = survey.shaking
    pulse = impact_pulse(kg, found.impact_speed_mm_per_s, REST, found.contact_time_s)
    shoe = head_point(layout, product, layout.head.shoe_x, 0.0, rules.SHOE_PROUD)
    lever = subtract(shoe, head_origin(layout, product))
    push = scale(answer.model.out, -pulse.peak)
    load = NodalLoad("head", push, offset=add(answer.model.nozzle, lever))
    drive = drive_by_load(answer.modes, load)
    until = pulse.duration + 1.0 / float(answer.modes.frequencies_hz[0])
    times = np.linspace(0.0, until, STEPS)
    history = pulse_response(answer.modes, drive, answer.in_head_axes, pulse.duration, times, found.damping)
    source = f"{kg:.3g} kg at {found.impact_speed_mm_per_s:g} mm/s, stopped in {found.contact_time_s:g} s"
    return _shake("product against the shoe", "bump", 0.0, np.abs(history).max(axis=0), source)


def _shake(name: str, kind: ShakeKind, frequency_hz: float, moved: Floats, source: str) -> Shake:
    along, standoff, across = (float(value) for value in moved)
    return Shake(name, kind, frequency_hz, standoff, along, across, source)
