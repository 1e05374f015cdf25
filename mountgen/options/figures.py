"""A mount's figures worked out in full, and quick estimates of other candidates beside it.

Cost is what the shop asks: material, machines with their set-up, and bought parts that have a price. Work on
the line is counted in steps; the times are rules of this project, not measured on anybody.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from mountgen.checks.assembly import assembly_of
from mountgen.demand import Floats
from mountgen.detail.records import HEADS, BoughtPart, ExtrusionPart
from mountgen.fabrication.shop_work import densities_of, shop_work
from mountgen.fabrication.times import HOUR, KG_PER_M3_IN_MM3, Making, Work, cutting_speed
from mountgen.layout.candidates import arm_kg, post_kg, sheet_kg
from mountgen.layout.search import Choices
from mountgen.options.records import Figures
from mountgen.sheet.flat import FlatPattern
from mountgen.shop.records import Rates
from mountgen.study import Study

DRILL_S, RIVET_S = 180.0, 60.0
"""s to mark, drill and deburr a hole in line or floor, and to set what stays in it (rule of this project)."""
PIECE_S, SCREW_S = 90.0, 40.0
"""s to bring a piece to its place on the line, and to put in a screw there and tighten it (ditto)."""
ANGLE = "rail angle"
DEVICES = frozenset({*HEADS, "photo-eye", "eye nut", "controller", "encoder", "measuring wheel"})
"""Bought parts that are the same in every mount, and none of its cost."""


@dataclass(frozen=True)
class Base:
    """A mount worked out, by which the others of its family are estimated."""

    study: Study
    figures: Figures
    making: Making


def worked_out(study: Study) -> Base:
    """ShopError for what the shop's rates do not know."""
    work = shop_work(study)
    figures = Figures(
        cost=work.making.cost + sum(_bought_costs(study)),
        mass_kg=_mass(study, work.flats),
        frequency_hz=study.scene.structure.first_frequency_hz,
        give_mm=max(abs(pose.standoff(pose.hand)) for pose in study.scene.structure.poses),
        install_s=install_s(study),
        holes=len(study.detail.rail_holes) + len(study.detail.floor_holes),
    )
    return Base(study, figures, work.making)


def _mass(study: Study, flats: Mapping[str, FlatPattern]) -> float:
    """kg of all parts: sheets by their flats, bars by their sections, what is bought as it is listed."""
    detail, densities = study.detail, densities_of(study)
    total = 0.0
    for number, part in detail.parts.items():
        if isinstance(part, BoughtPart):
            one = part.mass_kg
        elif isinstance(part, ExtrusionPart):
            one = part.section.area_mm2 * part.length * densities[part.material] * KG_PER_M3_IN_MM3
        else:
            volume = flats[number].area * part.thickness
            one = volume * densities[part.material] * KG_PER_M3_IN_MM3
        total += detail.quantity(number) * one
    return total


def _bought_costs(study: Study) -> Iterator[float]:
    prices = study.scene.shop.rates.bought
    for part in study.detail.bought:
        yield study.detail.quantity(part.number) * prices.get(part.name, 0.0)


def unpriced(study: Study) -> Iterator[str]:
    """Names of bought parts, devices apart, that the shop has no price for."""
    known = study.scene.shop.rates.bought.keys() | DEVICES
    yield from (part.name for part in study.detail.bought if part.name not in known)


def install_s(study: Study) -> float:
    """s of work on the line: holes, pieces brought to their places, screws put in there. What is made up on
    the bench is none of it."""
    holes = sum(DRILL_S + (RIVET_S if hole.holds else 0.0) for hole in study.detail.rail_holes)
    holes += sum(DRILL_S + RIVET_S for _ in study.detail.floor_holes)
    steps = [step for step in assembly_of(study.scene).steps if not step.on_bench]
    pieces, screws = sum(len(step.moves) for step in steps), sum(len(step.fastenings) for step in steps)
    return holes + pieces * PIECE_S + screws * SCREW_S


def estimates(choices: Choices, base: Base) -> tuple[Floats, Floats]:
    """Quick cost and mass (kg) of every candidate: the base's, with other bars, sheets and laser time."""
    rates, layout = base.study.scene.shop.rates, base.study.scene.layout
    bars, sheets = _kilograms(choices)
    place = place_of(choices, base.study)
    bar_price = rates.material_per_kg[choices.job.bar.name]
    sheet_price = rates.material_per_kg[choices.job.sheet.name]
    blanks = sum(work.quantity * work.blank_kg for work in _sheets(base.making))
    rough = blanks / sheets[place]
    cost = (
        base.figures.cost + (bars - bars[place]) * bar_price + (sheets - sheets[place]) * rough * sheet_price
    )
    laser = _laser(choices, base.making, (layout.plate, layout.foot.angle_thickness), rates)
    cost = cost + (laser - laser[place]) / HOUR * rates.laser_per_hour
    return cost, base.figures.mass_kg + (bars - bars[place]) + (sheets - sheets[place])


def place_of(choices: Choices, study: Study) -> int:
    """Where a study's mount stands among the candidates."""
    layout, job = study.scene.layout, choices.job
    wanted = (layout.head, layout.arm.name)
    frame = next(at for at, one in enumerate(choices.frames) if (one.head, one.arm.name) == wanted)
    post = [one.name for one in job.sections].index(layout.post.name)
    angle = job.angles.index(layout.foot.angle_thickness)
    return int(np.ravel_multi_index((frame, post, angle), choices.field.masses.shape))


def _kilograms(choices: Choices) -> tuple[Floats, Floats]:
    """kg of the bars and of the sheets of every candidate, in their order."""
    job, frames, shape = choices.job, choices.frames, choices.field.masses.shape
    bars = (post_kg(job, frames) + arm_kg(job, frames))[0]
    flat = [
        np.moveaxis(np.broadcast_to(kg, (*shape[1:], shape[0])), -1, 0)
        for kg in (bars, sheet_kg(job, frames))
    ]
    return flat[0].ravel(), flat[1].ravel()


def _sheets(made: Making) -> list[Work]:
    return [part.work for part in made.parts if part.work.thickness > 0.0]


def _laser(choices: Choices, made: Making, base: tuple[float, float], rates: Rates) -> Floats:
    """s of the laser for every candidate: parts as thick as the plates, and the rail angle, change."""
    plate, angle = base
    shape = choices.field.masses.shape
    angles = [w for w in _sheets(made) if w.thickness == angle and (w.name == ANGLE or plate != angle)]
    plates = [w for w in _sheets(made) if w.thickness == plate and w not in angles]
    by_plate = _by_thickness(plates, {frame.head.plate for frame in choices.frames}, rates)
    by_angle = _by_thickness(angles, set(choices.job.angles), rates)
    frames = np.array([by_plate[frame.head.plate] for frame in choices.frames])
    legs = np.array([by_angle[thickness] for thickness in choices.job.angles])
    result: Floats = np.broadcast_to(frames[:, None, None] + legs, shape).ravel()
    return result


def _by_thickness(work: Sequence[Work], sizes: set[float], rates: Rates) -> Mapping[float, float]:
    """s of the laser for these parts by the thickness that they might have; sizes that the rates do not know
    cannot be made and take endless."""
    thickest = max(speed.up_to_thickness for speed in rates.cutting)
    cut = sum(w.quantity * (w.cut_mm + w.engraved_mm) for w in work)
    pierces = sum(w.quantity * w.pierces for w in work)
    speeds = {size: cutting_speed(rates, size) for size in sorted(sizes) if size <= thickest}
    times = {size: cut / speed.speed_mm_per_s + pierces * speed.pierce_s for size, speed in speeds.items()}
    return {size: times.get(size, float("inf")) for size in sizes}
