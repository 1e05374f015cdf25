"""How much play holes need, so that a mount goes together at the first try.

Holes in the rail are drilled by hand, those of plates are cut, those of devices are what they are. The holes
of a pattern cannot be shifted one by one: what must pass is what is left when the whole pattern lies best.
All deviations are normal with their limits at three standard deviations. `tolerance.installation` tries the
result out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from mountgen.catalogue.records import Thread
from mountgen.geometry import Vec2
from mountgen.layout import rules
from mountgen.mechanics.tolerances import linear_limit
from mountgen.survey.records import Survey, Work

PATTERN = 120.0
"""mm; no two bolts at the rail are further apart."""

RANGE_OF_FOUR = 5.31
"""Range of four normal values in standard deviations, exceeded once in a thousand: the studentized range with
endless degrees of freedom."""

LEFT_OF_FOUR = 2.76
"""The farthest of four holes from its place, in standard deviations to either side, once the whole pattern
was shifted and turned best, exceeded once in a thousand (200,000 sampled patterns)."""

ONE = 3.29
"""One normal value either way in standard deviations, exceeded once in a thousand (normal distribution)."""

FARTHEST_OF_FOUR = 3.66
"""The largest of four normal values either way, exceeded once in a thousand (normal distribution)."""

STEP = 0.2
"""mm; widths are rounded up to whole steps."""

COVERED = 0.7
"""Of a washer's diameter: the widest hole that it still covers (common practice)."""

SLOT_RATIO = 1.5
"""A slot's middle to the plate's edge over the slot's width, at least (EN 1993-1-8 Table 3.3)."""


@dataclass(frozen=True)
class LegSlots:
    """The rail angle's vertical slots: width and travel, mm."""

    width: float
    travel: float

    @property
    def edge(self) -> float:
        """A slot's middle to the leg's edge, at least, mm."""
        return max(rules.EDGE, SLOT_RATIO * self.width)


def leg_slots(survey: Survey, screw: Thread) -> LegSlots:
    """The slots that take up what drilling and survey may be off.

    Their width is that of a medium clearance hole, more where the hole in the rail gives too little play:
    a rivet nut gives none. A T-nut slides along its slot, and needs nothing more. A clamp's screws pass the
    rail; their jaws are free to follow the leg, and only two holes' distance counts.
    """
    section, sigma = survey.rail.section, hole_sigma(survey.work)
    travel, needed = slot_travel(survey), RANGE_OF_FOUR / 2.0 * sigma
    if survey.is_clamped:
        return LegSlots(_width(screw, ONE * cut_limit(survey.work, PATTERN) * 2.0 / 6.0), travel)
    if section.slots:
        return LegSlots(screw.clearance_medium, travel)
    free = 0.0 if section.is_closed else _play(screw.clearance_coarse, screw)
    return LegSlots(_width(screw, needed - free), travel)


def backing_hole(work: Work, screw: Thread) -> float:
    """Diameter of the backing plate's holes, mm: it meets the same four screws, and in both directions."""
    return _width(screw, LEFT_OF_FOUR * hole_sigma(work) - _play(screw.clearance_coarse, screw))


def device_hole(work: Work, screw: Thread, pattern: Sequence[Vec2]) -> float:
    """Diameter of the holes of a plate that carries a device, mm; `pattern` is where its threads are.

    The device's own threads are taken to be off by ISO 2768-1 m, too, and hold their screws without play.
    """
    apart = max((math.dist(a, b) for a in pattern for b in pattern), default=0.0)
    if apart == 0.0:
        return screw.clearance_medium
    sigma = math.hypot(cut_limit(work, apart), linear_limit(apart)) / 3.0
    return _width(screw, LEFT_OF_FOUR * sigma)


def lock_slot_width(work: Work, screw: Thread, radii: tuple[float, float]) -> float:
    """Width of the slot in which a turning plate is locked, mm; `radii` are those of lock and stop pin about
    its pivot. Once the pin holds the plate, the slot takes up what both plates' radii differ."""
    sigma = math.sqrt(2.0) * math.hypot(*(cut_limit(work, radius) for radius in radii)) / 3.0
    return _width(screw, ONE * sigma)


def cut_limit(work: Work, length: float) -> float:
    """mm that a hole may be off its place in a flat of a length: as given, or ISO 2768-1 m."""
    return linear_limit(length) if work.cut is None else work.cut


def hole_sigma(work: Work) -> float:
    """Standard deviation of a hole drilled by hand against a cut one, mm."""
    return math.hypot(work.drill, cut_limit(work, PATTERN)) / 3.0


def _play(hole: float, screw: Thread) -> float:
    """mm that a screw may stand off the middle of a hole."""
    return (hole - screw.diameter) / 2.0


def _width(screw: Thread, play: float) -> float:
    """The hole that gives a play to either side, no wider than a washer covers."""
    wanted = screw.diameter + STEP * math.ceil(2.0 * play / STEP - 1e-9)
    return round(min(max(wanted, screw.clearance_medium), COVERED * screw.washer_outer), 6)


def slot_travel(survey: Survey) -> float:
    """mm of slot: twice the band of the rail height's uncertainty, and as much as drilling moves the
    farthest of four holes."""
    sigma = hole_sigma(survey.work)
    height = survey.rail.top_above_surface.plus_minus
    drilled = 2.0 * FARTHEST_OF_FOUR * math.hypot(height / 3.0, sigma)
    return float(math.ceil(max(rules.LEVELLING_BANDS * 2.0 * height, drilled) - 1e-9))
