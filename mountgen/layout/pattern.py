"""Where the rail angle goes on the web: bolts clear of radii, axles, keepouts; leg and post of keepouts."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from mountgen.catalogue.rail_view import Span
from mountgen.catalogue.records import Thread
from mountgen.geometry import Box
from mountgen.layout import clamp, rules
from mountgen.layout.bridge import both_sides
from mountgen.layout.fold import first_column, leg_edge
from mountgen.layout.play import LegSlots, backing_hole, leg_slots
from mountgen.layout.rail_mast import RailPattern
from mountgen.survey.records import Keepout, Survey

COLUMN_STEP = 2.0
JAW_SPACINGS = (80.0, 100.0)
COLUMN_SPACINGS = (30.0, 36.0, 40.0, 45.0, 50.0, 60.0, 70.0)


SCREW_HEADS = 8.0
"""mm that washers and screw heads stand out from the rail leg."""
WASHER_ROOM = 8.0
"""mm from a bolt to where the web's flat ends: half an M6 washer and air."""
LEAST_PITCH = 15.4
"""mm; 2.2 diameters of the hole that is drilled for M6 (EN 1993-1-8 Table 3.3)."""
LEAST_RIVET_PITCH = 19.8
"""mm; the same for a rivet nut of M6."""


@dataclass(frozen=True)
class Face:
    """Where the rail leg lies on the web: z of its edges and of its rows of bolts, the height of flat that
    is there and the height that it needs. When there is less, leg and rows are the least possible ones."""

    leg: Span
    rows: Span
    flat: float
    needed: float

    @property
    def spare(self) -> float:
        return self.flat - self.needed


def rail_pattern(survey: Survey, post: Box, sizes: tuple[float, float], screw: Thread) -> RailPattern:
    """The shortest rail leg whose holes are clear; when none is, the one that comes nearest to it.

    `post` is the post with the post leg beside it, `sizes` the rail angle's thickness (its leg's flat
    begins past the bend) and the length of the post's T-nuts. The rail angle's slots are vertical, with a
    travel of at least twice the band of the rail height's uncertainty.
    """
    angle, slots = sizes[0], leg_slots(survey, screw)
    face = rail_face(survey, sizes, slots)
    leg, rows = face.leg, face.rows
    least = post.high[0] + first_column(angle, screw.washer_outer)
    standing, edge = _keepout_air(survey, post), leg_edge(angle, slots.edge)
    flat = _leg_box(survey, angle, post, leg)
    places = [
        (least + shift, least + shift + spacing)
        for shift, spacing in itertools.product(_shifts(survey), _spacings(survey))
    ]
    clear, columns = _first_clear(survey, places, (rows, flat, edge), screw)
    free = min(clear, standing, face.spare if face.spare < 0.0 else math.inf)
    end = columns[1] + edge
    holes = (slots.travel, slots.width, backing_hole(survey.work, screw))
    return RailPattern(columns, rows, leg, end, *holes, free, face.flat, face.needed)


def _spacings(survey: Survey) -> tuple[float, ...]:
    """mm between columns; jaws are the wider the better, for they share the rail's corner."""
    return JAW_SPACINGS if survey.is_clamped else COLUMN_SPACINGS


def _leg_box(survey: Survey, angle: float, post: Box, leg: Span) -> Box:
    """What the leg takes up where it begins, with its screws' heads, and a clamp's jaws behind it."""
    face = clamp.foot_face(survey)
    behind = survey.rail.section.reach_in + clamp.JAW if survey.is_clamped else face
    x = post.high[0]
    return Box((x - angle, face - angle - SCREW_HEADS, leg[0]), (x, behind, leg[1]))


def has_backing_room(survey: Survey) -> bool:
    """Whether room is kept for a backing plate: behind a web that may need one and can be reached."""
    section = survey.rail.section
    return not section.is_closed and section.web_thickness < rules.BACKING_BELOW


def leg_span(survey: Survey, slots: LegSlots) -> Span:
    """z of the rail leg's edges, before its thickness and its post are known."""
    return rail_face(survey, (0.0, 0.0), slots).leg


def rail_face(survey: Survey, sizes: tuple[float, float], slots: LegSlots) -> Face:
    """Leg and rows; `sizes` are the rail angle's thickness and the length of the post's T-nuts (mm)."""
    if survey.is_clamped:
        return _about_rail(survey)
    section, (angle, nut) = survey.rail.section, sizes
    margin = slots.travel / 2 + leg_edge(angle, slots.edge)
    riveted = section.is_closed and not section.slots
    pitch = max(LEAST_RIVET_PITCH if riveted else LEAST_PITCH, slots.width + slots.travel + angle)
    low, high = _raised(survey, section.web_flat)
    leg, rows = _in_slots(survey, margin) if section.slots else _on_flat(survey, margin)
    least = max(2 * margin + pitch, nut + 2 * rules.EDGE + 2.0)
    lacking = max(pitch - (rows[1] - rows[0]), least - (leg[1] - leg[0]))
    flat, middle = high - low, (low + high) / 2
    if lacking > 0.0:
        leg, rows = (_about(middle, length) for length in (least, pitch))
    return Face(leg, rows, flat, flat + lacking)


def _about_rail(survey: Survey) -> Face:
    """A clamp's leg and rows: above the rail and below it."""
    section, top = survey.rail.section, float(survey.rail.top_above_surface)
    rows = (top - section.depth - clamp.GAP, top + clamp.GAP)
    reach = clamp.reach_past(survey)
    return Face((rows[0] - reach, rows[1] + reach), rows, section.depth, 2 * clamp.toe_of(section))


def _about(middle: float, length: float) -> Span:
    return middle - length / 2, middle + length / 2


def _on_flat(survey: Survey, margin: float) -> tuple[Span, Span]:
    """Leg on the web's flat, at most the tallest; rows where washers and nuts lie flat on both sides."""
    section = survey.rail.section
    low, high = _raised(survey, section.web_flat)
    leg = (max(low + 1.0, high - 1.0 - rules.TALLEST_LEG), high - 1.0)
    beside = max(WASHER_ROOM, rules.EDGE) if has_backing_room(survey) else WASHER_ROOM
    bare = _raised(survey, section.through_flat)
    return leg, (max(leg[0] + margin, bare[0] + beside), min(leg[1] - margin, bare[1] - beside))


def _in_slots(survey: Survey, margin: float) -> tuple[Span, Span]:
    """Rows in the highest slot and the lowest that the tallest leg reaches; the leg may stand over the
    bar's edges."""
    top = float(survey.rail.top_above_surface)
    heights = [top + slot.y for slot in survey.rail.section.slots]
    upper = max(heights)
    lower = min(z for z in heights if upper - z <= rules.TALLEST_LEG - 2 * margin)
    return (lower - margin, upper + margin), (lower, upper)


def _raised(survey: Survey, span: Span) -> Span:
    """A span of the section as z of the survey's frame."""
    top = float(survey.rail.top_above_surface)
    return top + span[0], top + span[1]


def _keepout_air(survey: Survey, box: Box) -> float:
    """How far a box keeps from every keepout beyond what it needs."""
    boxes = both_sides(survey, box)
    gaps = (_box_of(keepout).gap(one) for keepout in survey.rail.keepouts for one in boxes)
    return min(gaps, default=math.inf) - rules.HOLE_AIR


def _box_of(keepout: Keepout) -> Box:
    low, high = zip(keepout.x, keepout.y, keepout.z, strict=True)
    return Box(low, high)


def _shifts(survey: Survey) -> list[float]:
    reach = max(survey.line.roller_pitch, 80.0)
    return [k * COLUMN_STEP for k in range(int(reach / COLUMN_STEP) + 1)]


def through_flat(survey: Survey) -> Span:
    """z where washers or nuts lie flat on both sides of the web: low and high."""
    return _raised(survey, survey.rail.section.through_flat)


def _first_clear(
    survey: Survey, places: list[Span], leg: tuple[Span, Box, float], screw: Thread
) -> tuple[float, Span]:
    """The first pair of columns that is clear, the shortest leg first; when none is, the nearest to it."""
    nearest: tuple[float, Span] | None = None
    for columns in sorted(places, key=lambda place: (place[1], place[0])):
        option = _option(survey, columns, leg, screw)
        if option[0] >= 0.0:
            return option
        if nearest is None or option[0] > nearest[0]:
            nearest = option
    assert nearest is not None
    return nearest


def _option(
    survey: Survey,
    columns: tuple[float, float],
    leg: tuple[tuple[float, float], Box, float],
    screw: Thread,
) -> tuple[float, tuple[float, float]]:
    """What is left around the bolts and the leg; `leg` is its rows, the box where it begins and
    how far it reaches past the second column."""
    rows, start, edge = leg
    radius = screw.washer_outer / 2
    spots = [(x, z) for x in columns for z in rows]
    gaps = [axle_gap(survey, x, z) - radius - rules.HOLE_AIR for x, z in spots]
    gaps += [keepout_gap(k, x, z) - radius - rules.HOLE_AIR for k in survey.rail.keepouts for x, z in spots]
    whole = Box(start.low, (columns[1] + edge, *start.high[1:]))
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
