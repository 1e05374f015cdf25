"""Where the rail angle goes on the web: bolts clear of radii, axles, keepouts; leg and post of keepouts."""

from __future__ import annotations

import itertools
import math
from typing import Literal

from mountgen.catalogue.records import Thread
from mountgen.catalogue.sections import flat_web
from mountgen.geometry import Box
from mountgen.layout import rules
from mountgen.layout.rail_mast import RailPattern
from mountgen.survey.records import Keepout, Survey

COLUMN_STEP = 2.0
COLUMN_SPACINGS = (30.0, 36.0, 40.0, 45.0, 50.0, 60.0, 70.0)


SCREW_HEADS = 8.0
"""mm that washers and screw heads stand out from the rail leg."""


def rail_pattern(survey: Survey, post: Box, angle: float, screw: Thread) -> RailPattern:
    """The shortest rail leg whose holes are clear; when none is, the one that comes nearest to it.

    `post` is the post with the post leg beside it, `angle` the rail angle's thickness: its leg's flat
    begins past the bend. The rail angle's slots are vertical, with a travel of at least twice the band
    of the rail height's uncertainty.
    """
    travel = max(rules.LEVELLING, 4.0 * survey.rail.top_above_surface.plus_minus)
    margin = travel / 2 + rules.EDGE
    leg, bare = _leg_extent(survey), web_flat(survey)
    beside = screw.washer_outer / 2 + rules.HOLE_AIR
    rows = (max(leg[0] + margin, bare[0] + beside), min(leg[1] - margin, bare[1] - beside))
    least = post.high[0] + angle * rules.BEND_RADIUS_RATIO + 4.0 + screw.washer_outer / 2
    standing = _keepout_air(survey, post)
    flat = Box((post.high[0] - angle, -angle - SCREW_HEADS, leg[0]), (post.high[0], 0.0, leg[1]))
    options = (
        _option(survey, (least + shift, least + shift + spacing), (rows, flat), screw)
        for shift, spacing in itertools.product(_shifts(survey), COLUMN_SPACINGS)
    )
    clear, columns = min(options, key=lambda o: (-min(o[0], 0.0), o[1][1], o[1][0]))
    return RailPattern(columns, rows, leg, columns[1] + rules.EDGE, travel, min(clear, standing))


def _keepout_air(survey: Survey, box: Box) -> float:
    """How far a box keeps from every keepout beyond what it needs."""
    gaps = (_box_of(keepout).gap(box) for keepout in survey.rail.keepouts)
    return min(gaps, default=math.inf) - rules.HOLE_AIR


def _box_of(keepout: Keepout) -> Box:
    low, high = zip(keepout.x, keepout.y, keepout.z, strict=True)
    return Box(low, high)


def _shifts(survey: Survey) -> list[float]:
    reach = max(survey.line.roller_pitch, 80.0)
    return [k * COLUMN_STEP for k in range(int(reach / COLUMN_STEP) + 1)]


def _leg_extent(survey: Survey) -> tuple[float, float]:
    """z of the leg's lower and upper edge: the flat part of the web's side it lies on, at most the
    tallest leg."""
    side: Literal["flange", "plain"] = "flange" if survey.rail.opens == "out" else "plain"
    low, high = web_flat(survey, side)
    return (max(low + 1.0, high - 1.0 - rules.TALLEST_LEG), high - 1.0)


def web_flat(survey: Survey, side: Literal["flange", "plain"] = "flange") -> tuple[float, float]:
    """z where the web's flat part begins and ends on one of its sides; on the flange side, where washers
    or nuts must lie flat, it is the shorter."""
    low, high = flat_web(survey.rail.profile, side)
    top = survey.rail.top_above_surface
    return top + low, top + high


def _option(
    survey: Survey,
    columns: tuple[float, float],
    leg: tuple[tuple[float, float], Box],
    screw: Thread,
) -> tuple[float, tuple[float, float]]:
    """What is left around the bolts and the leg; `leg` is its rows and the box where it begins."""
    rows, start = leg
    radius = screw.washer_outer / 2
    spots = [(x, z) for x in columns for z in rows]
    gaps = [axle_gap(survey, x, z) - radius - rules.HOLE_AIR for x, z in spots]
    gaps += [keepout_gap(k, x, z) - radius - rules.HOLE_AIR for k in survey.rail.keepouts for x, z in spots]
    whole = Box(start.low, (columns[1] + rules.EDGE, *start.high[1:]))
    return min([*gaps, _keepout_air(survey, whole)]), columns


def axle_gap(survey: Survey, x: float, z: float) -> float:
    """Distance from a point of the web to the nearest roller axle's surface; inf without rollers."""
    line = survey.line
    if line.surface != "rollers":
        return math.inf
    nearest = line.first_roller_at + line.roller_pitch * round((x - line.first_roller_at) / line.roller_pitch)
    return math.hypot(x - nearest, z + line.roller_diameter / 2) - line.roller_axle_diameter / 2


def keepout_gap(keepout: Keepout, x: float, z: float) -> float:
    """Distance from a point of the web to a keepout, seen along y; negative inside it."""
    dx = max(keepout.x[0] - x, x - keepout.x[1])
    dz = max(keepout.z[0] - z, z - keepout.z[1])
    if dx > 0 and dz > 0:
        return math.hypot(dx, dz)
    return max(dx, dz)
