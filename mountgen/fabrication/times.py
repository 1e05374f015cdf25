"""What making the parts takes: lengths to cut, pierces, bends, cuts and holes; from them time and cost.

Words: *work* is what one piece needs, counted; *times* are the work at the shop's rates. The laser cuts
outlines and holes and engraves the part's number; the brake bends; the saw cuts bars; the drill drills,
reams and taps. A machine is set up once for a job, whatever number of pieces it makes. Holes in the rail are
drilled on site and are no work of the shop.

Lengths mm, times s, masses kg, money in the currency of the rates.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from mountgen.detail.records import Detail, ExtrusionPart
from mountgen.errors import Fault, ShopError
from mountgen.fabrication.part_mark import find_mark
from mountgen.sheet.flat import FlatPattern
from mountgen.sheet.tree import SheetPart
from mountgen.shop.records import CuttingSpeed, Rates

Machine = Literal["laser", "brake", "saw", "drill"]
MACHINES: tuple[Machine, ...] = ("laser", "brake", "saw", "drill")
Densities = Mapping[str, float]
"""kg/m3 by material name."""

ENDS = 2
"""Saw cuts a bar: one at either end, so that both are square."""
KG_PER_M3_IN_MM3 = 1e-9
HOUR = 3600.0


@dataclass(frozen=True)
class Work:
    """What one piece of a part needs. `thickness` is 0 for a bar; `blank_kg` is the rectangle of sheet around
    the flat, or the bar before it is drilled."""

    number: str
    name: str
    quantity: int
    material: str
    thickness: float
    blank_kg: float
    outline_mm: float = 0.0
    inner_mm: float = 0.0
    engraved_mm: float = 0.0
    pierces: int = 0
    bends: int = 0
    saw_cuts: int = 0
    drilled: int = 0
    tapped: int = 0

    @property
    def cut_mm(self) -> float:
        """What the laser cuts through: outline and holes, not the engraving."""
        return self.outline_mm + self.inner_mm


@dataclass(frozen=True)
class PartTime:
    """The times (by machine, set-up apart) and the cost of one piece."""

    work: Work
    times: Mapping[Machine, float]
    machine_cost: float
    material_cost: float

    @property
    def time_s(self) -> float:
        return sum(self.times.values())

    @property
    def cost(self) -> float:
        return self.machine_cost + self.material_cost


@dataclass(frozen=True)
class MachineTime:
    """One machine over the whole job; `setup_s` is 0 for a machine that the job does not visit."""

    machine: Machine
    work_s: float
    setup_s: float
    per_hour: float

    @property
    def time_s(self) -> float:
        return self.work_s + self.setup_s

    @property
    def cost(self) -> float:
        return self.time_s / HOUR * self.per_hour


@dataclass(frozen=True)
class Making:
    """The job: every made part, every machine, and the rates by which they were reckoned."""

    parts: tuple[PartTime, ...]
    machines: tuple[MachineTime, ...]
    currency: str
    source: str

    @property
    def time_s(self) -> float:
        return sum(machine.time_s for machine in self.machines)

    @property
    def material_cost(self) -> float:
        return sum(part.work.quantity * part.material_cost for part in self.parts)

    @property
    def cost(self) -> float:
        """Machines with their set-up, and material."""
        return sum(machine.cost for machine in self.machines) + self.material_cost

    @property
    def cut_length_mm(self) -> float:
        return sum(part.work.quantity * part.work.cut_mm for part in self.parts)

    @property
    def pierces(self) -> int:
        return sum(part.work.quantity * part.work.pierces for part in self.parts)

    @property
    def bends(self) -> int:
        return sum(part.work.quantity * part.work.bends for part in self.parts)


def works(detail: Detail, flats: Mapping[str, FlatPattern], densities: Densities) -> tuple[Work, ...]:
    """The work of every made part: sheets, then bars."""
    sheets = (
        sheet_work(part, flats[part.number], detail.quantity(part.number), densities)
        for part in detail.sheets
    )
    bars = (bar_work(bar, detail.quantity(bar.number), densities) for bar in detail.extrusions)
    return (*sheets, *bars)


def sheet_work(part: SheetPart, flat: FlatPattern, quantity: int, densities: Densities) -> Work:
    """A pierce for the outline and one for every hole; a fit ('5 H7') is cut and then reamed, a thread is cut
    to its core and then tapped."""
    kinds = [placed.hole.kind for placed in flat.holes]
    blank = flat.size[0] * flat.size[1] * part.thickness
    return Work(
        part.number,
        part.name,
        quantity,
        part.material,
        part.thickness,
        blank * densities[part.material] * KG_PER_M3_IN_MM3,
        outline_mm=flat.outline.length,
        inner_mm=sum(placed.hole.contour.length for placed in flat.holes),
        engraved_mm=_engraved(part.number, flat),
        pierces=1 + len(flat.holes),
        bends=len(flat.bend_lines),
        drilled=kinds.count("dowel"),
        tapped=kinds.count("tapped"),
    )


def _engraved(number: str, flat: FlatPattern) -> float:
    """Length of the strokes of the part's number; nothing where there is no room for it."""
    mark = find_mark(number, flat)
    strokes = mark.strokes if mark is not None else ()
    return sum(math.dist(a, b) for stroke in strokes for a, b in pairwise(stroke))


def bar_work(bar: ExtrusionPart, quantity: int, densities: Densities) -> Work:
    """Both ends sawn; a tap in the core bore, which the bar has already, or a hole across it."""
    kinds = [feature.kind for feature in bar.features]
    blank = bar.section.area_mm2 * bar.length
    return Work(
        bar.number,
        bar.name,
        quantity,
        bar.material,
        0.0,
        blank * densities[bar.material] * KG_PER_M3_IN_MM3,
        saw_cuts=ENDS,
        drilled=kinds.count("cross_hole"),
        tapped=kinds.count("end_tap"),
    )


def making(work: Sequence[Work], rates: Rates) -> Making:
    """Time and cost of a job at a shop's rates.

    ShopError with every sheet that the rates have no cutting speed for and every material without a price.
    """
    faults = list(_missing(work, rates))
    if faults:
        raise ShopError(faults)
    parts = tuple(_timed(piece, rates) for piece in work)
    return Making(parts, tuple(_machine(m, parts, rates) for m in MACHINES), rates.currency, rates.source)


def _missing(work: Sequence[Work], rates: Rates) -> Iterator[Fault]:
    where = f"the shop's rates ({rates.source})"
    thickest = max((speed.up_to_thickness for speed in rates.cutting), default=0.0)
    for thickness in sorted({piece.thickness for piece in work if piece.thickness > thickest}):
        found = f"no cutting speed for sheet of {thickness:g} mm"
        yield Fault(where, found, f"a row up to {thickness:g} mm or more", "add it to the shop's rates")
    for material in sorted({piece.material for piece in work} - set(rates.material_per_kg)):
        found = f"no price for {material}"
        yield Fault(where, found, f"{rates.currency} for each kg of it", "add it to the shop's rates")


def cutting_speed(rates: Rates, thickness: float) -> CuttingSpeed:
    """The row of the thinnest limit that holds a sheet's thickness (mm), which must not exceed the last."""
    fitting = (speed for speed in rates.cutting if speed.up_to_thickness >= thickness)
    return min(fitting, key=lambda speed: speed.up_to_thickness)


def _timed(work: Work, rates: Rates) -> PartTime:
    times: dict[Machine, float] = {
        "laser": _laser_time(work, rates) if work.pierces else 0.0,
        "brake": work.bends * rates.bend_s,
        "saw": work.saw_cuts * rates.saw_cut_s,
        "drill": work.drilled * rates.drilled_hole_s + work.tapped * rates.tapped_hole_s,
    }
    hourly = _per_hour(rates)
    machines = sum(time / HOUR * hourly[machine] for machine, time in times.items())
    return PartTime(work, times, machines, work.blank_kg * rates.material_per_kg[work.material])


def _laser_time(work: Work, rates: Rates) -> float:
    """Engraving runs at the speed of cutting and pierces nothing."""
    speed = cutting_speed(rates, work.thickness)
    return (work.cut_mm + work.engraved_mm) / speed.speed_mm_per_s + work.pierces * speed.pierce_s


def _per_hour(rates: Rates) -> dict[Machine, float]:
    return {
        "laser": rates.laser_per_hour,
        "brake": rates.brake_per_hour,
        "saw": rates.saw_per_hour,
        "drill": rates.drill_per_hour,
    }


def _machine(machine: Machine, parts: Sequence[PartTime], rates: Rates) -> MachineTime:
    time = sum(part.work.quantity * part.times[machine] for part in parts)
    return MachineTime(machine, time, rates.setup_s if time else 0.0, _per_hour(rates)[machine])
