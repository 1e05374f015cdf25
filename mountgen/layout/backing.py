"""Whether the rail's web needs a backing plate under the nuts, and how large.

Without one, screws that are pulled press on the web through their washers, or a rivet nut's bulge, alone: a
plate under a force on a small circle. A backing plate makes a stiff patch of it. The need is estimated before
the mount is computed as a frame: the head's weight and a leaning hand at their longest levers, on the safe
side; `checks.rail_strength` repeats it with the real loads.

Axes as in the working view: a *tilt* couple turns about x, a *swing* couple about z.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from mountgen.catalogue.records import Material, Thread
from mountgen.geometry import Vec3
from mountgen.layout import rules
from mountgen.layout.bridge import FIXED_END_LEVER, spans
from mountgen.layout.rail_give import rail_web, web_patch
from mountgen.layout.rail_mast import RailPattern, Settings, rail_out
from mountgen.mechanics.plate_formulas import centre_load_stress
from mountgen.mechanics.plates import PatchLoad, Web, needed_patch
from mountgen.survey.records import Survey

SAFETY = 1.5
"""Of the web's bending stress against yield (rule of this project)."""
HANGING_KG = 3.0
"""Sheet, photo-eye and bars that hang out with the head, about."""
PLATE_RIM = 2.0
"""mm that a backing plate keeps from where the web's flat ends."""


@dataclass(frozen=True)
class ScrewPulls:
    """N that pulls the screw which is pulled most, and the other one of its row."""

    most: float
    beside: float


def estimated_load(survey: Survey, lever: Vec3) -> PatchLoad:
    """What weight and hand do to the web at most, all at once. `lever` is from the middle of the rail's
    screws to the head at its farthest, mm, without signs."""
    hand = survey.joining.hand_force
    weight = (survey.head.mass_kg + survey.sensor.mass_kg + HANGING_KG) * rules.GRAVITY
    x, y, z = lever
    return PatchLoad(hand, weight * y + hand * max(y, z), hand * max(x, y))


def head_lever(survey: Survey, pattern: RailPattern, settings: Settings) -> Vec3:
    """Longest distances from the middle of the rail's screws to the arm's end, over all settings. Under a
    bridge the weight's lever is that of a beam with clamped ends, which is on the safe side of a portal."""
    up = np.abs(settings.arm_z - sum(pattern.rows) / 2)
    across = float(np.abs(settings.tip_y).max())
    if spans(survey):
        across = min(across, FIXED_END_LEVER * survey.rail.far_rail_at + rail_out(survey) + rules.POST_CLEAR)
    return sum(pattern.columns) / 2, across, float(up.max())


def estimated_pulls(load: PatchLoad, pattern: RailPattern) -> ScrewPulls:
    """Couples as pairs of forces in the four screws, the force shared by all."""
    tall, wide = pattern.rows[1] - pattern.rows[0], pattern.columns[1] - pattern.columns[0]
    row, column = abs(load.tilt_couple) / tall / 2, abs(load.swing_couple) / wide / 2
    even = abs(load.force) / 4
    return ScrewPulls(even + row + column, max(0.0, even + row - column))


def washer_stress(web: Web, pulls: ScrewPulls, bears: float, apart: float) -> float:
    """Bending stress of the bare web under the screw that is pulled most, MPa.

    The web counts as a simply supported circle between its flanges (as far out as it is high where an edge
    is free); the screw beside adds (1 + nu) P / 4 pi ln(a / d), what a force at a distance d does.
    Source: Roark, Table 11.2, cases 16 and 17.

    Args:
        web: the plate.
        pulls: of the two screws of a row.
        bears: diameter of what bears on the web, mm.
        apart: the screws, mm.
    """
    radius = web.height if "free" in (web.low, web.high) else web.height / 2
    own = centre_load_stress(pulls.most, bears / 2, radius, web.thickness, web.poisson, "supported")
    if apart >= radius:
        return own
    return own + centre_load_stress(pulls.beside, apart, radius, web.thickness, web.poisson, "clamped")


def bears_on(survey: Survey, thread: Thread) -> float:
    """Diameter of what presses on the web's back: a nut's washer, or the bulge of a rivet nut."""
    section = survey.rail.section
    return thread.rivet_nut(section.web_thickness).bulge if section.is_closed else thread.washer_outer


def needs_backing(
    survey: Survey, pattern: RailPattern, settings: Settings, made_of: tuple[Thread, Material]
) -> bool:
    """Whether the bare web would be strained too much, where somebody can reach behind it. `made_of` is the
    screws' thread and the rail's material."""
    thread, material = made_of
    found = rail_web(survey.rail, material)
    if found is None or survey.rail.section.is_closed or pattern.flat <= 0.0 or survey.is_clamped:
        return False
    load = estimated_load(survey, head_lever(survey, pattern, settings))
    pulls, apart = estimated_pulls(load, pattern), pattern.columns[1] - pattern.columns[0]
    return washer_stress(found[0], pulls, bears_on(survey, thread), apart) > material.yield_mpa / SAFETY


def backing_margin(survey: Survey, pattern: RailPattern, settings: Settings, material: Material) -> float:
    """mm that the backing plate reaches past the outermost screws: the least possible, or as much more as the
    web's stress at its rim asks for; as much as there is room for where not even that is enough."""
    found = rail_web(survey.rail, material)
    assert found is not None
    web, bottom = found
    load = estimated_load(survey, head_lever(survey, pattern, settings))
    width = pattern.columns[1] - pattern.columns[0] + 2 * rules.EDGE
    low, high = (z - bottom for z in pattern.rows)
    foot = web_patch(web, width, low - rules.EDGE, high + rules.EDGE)
    enough = needed_patch(web, foot, load, material.yield_mpa / SAFETY, PLATE_RIM)
    room = min(low, web.height - high)
    least = min(rules.EDGE, room)
    if enough is None:
        return max(least, float(math.floor(room - PLATE_RIM)))
    return max(least, math.ceil(rules.EDGE + (enough.width - foot.width) / 2))
