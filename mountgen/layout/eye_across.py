"""A photo-eye that looks across the line: its bracket on the near rail, and its other unit's on the far rail.

The beam stands still while the head is set up and down, so it runs at one height that lies inside every
product and clear of guides, rails and bed. Each bracket is an angle on the web's outer face whose leg stands
out past the rail's flange and rises beside it; at its top a flange faces the line and carries the unit.

The *bracket's frame* is that of a person who stands in front of that rail, facing the line: x to the right, y
from the web's outer face towards the line, z up. On the near rail it is the working view; on the far rail it
is turned round by half a turn. Both brackets are the same but for their holes. The far rail is taken as
the near rail's profile, at its height.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import replace

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import Sensor, Thread
from mountgen.geometry import Box, Placement
from mountgen.layout import rules
from mountgen.layout.eye_records import SHEET, WASHER, EyeAcross, EyeBracket, Window, far_half, near_half
from mountgen.layout.pattern import axle_gap, has_backing_room, through_flat
from mountgen.layout.play import leg_slots
from mountgen.survey.records import Keepout, Survey

HEAD_ROOM = 8.0
"""mm that washers and screw heads stand out from a foot."""
LOW_BEAM = 25.0
"""mm; the beam lies no higher than this over the lowest place it may have, so that its brackets stay short
(rule of this project)."""
SHIFT_STEP, MOST_SHIFT = 4.0, 80.0
ROW_STEP = 4.0
HOLE_TO_BEND = 4 * SHEET + 0.5
"""mm from a barrel to the bend beside it: its slot lies clear of a die of eight thicknesses."""


def far_frame(survey: Survey) -> Placement:
    """The far bracket's frame in the working view."""
    return Placement((0.0, survey.rail.far_rail_at, 0.0), (-1.0, 0.0, 0.0))


def eye_of(survey: Survey, beam_x: float, catalogue: Catalogue) -> EyeAcross | None:
    """The brackets of a photo-eye that looks across the line; None for one that turns with the head."""
    if not survey.sensor.looks_across:
        return None
    return eye_across(survey, beam_x, catalogue.thread(rules.SCREW))


def eye_across(survey: Survey, beam_x: float, screw: Thread) -> EyeAcross:
    """The brackets with the shortest flanges whose feet find a free place on their rails."""
    sensor, slots = survey.sensor, leg_slots(survey, screw)
    halves = (near_half(sensor), far_half(sensor))
    window = beam_window(survey, max(halves))
    over_foot = float(survey.rail.top_above_surface) + 2 * rules.AUXILIARY + max(halves)
    beam_z = max(min((window.low + window.high) / 2, window.low + LOW_BEAM), over_foot)
    out = survey.rail.section.reach_out + rules.POST_CLEAR
    face = SHEET - out + SHEET
    lead = face + sensor.nut_thickness + 4.0
    across = far_lead(sensor, face, lead)
    plain = EyeAcross(
        beam_x=beam_x,
        beam_z=beam_z,
        window=window,
        near=EyeBracket(beam_x, halves[0], 0.0, 1, 0.0, 0.0),
        far=EyeBracket(-beam_x, halves[1], 0.0, 1, 0.0, 0.0),
        slots=slots,
        stand_out=out,
        near_face=lead,
        far_face=survey.rail.far_rail_at - across,
    )
    return replace(
        plain,
        near=_placed(survey, plain, plain.near, Placement()),
        far=_placed(survey, plain, plain.far, far_frame(survey)),
    )


def far_lead(sensor: Sensor, face: float, lead: float) -> float:
    """y in the far bracket's frame of what the beam meets there: the reflector's front, or a receiver's."""
    return lead if sensor.reflector is None else face + sensor.reflector.depth


def beam_window(survey: Survey, half: float) -> Window:
    """Inside every product, over bed and rails with room for the flanges, past the guides: under them where
    the products are too low for a beam over them."""
    radius = survey.sensor.beam_diameter / 2
    low = max(float(survey.rail.top_above_surface) + rules.CLEAR + half, rules.CLEAR + radius)
    high = lowest_top(survey) - radius
    guides = survey.guides
    if guides is None:
        return Window(low, high)
    under = Window(low, min(high, guides.z[0] - rules.CLEAR - radius))
    over = Window(max(low, guides.z[1] + rules.CLEAR + radius), high)
    return under if over.room < 0.0 <= under.room else over


def lowest_top(survey: Survey) -> float:
    """z of the lowest product's top, as low as it may be."""
    products = survey.products
    return float((products.height - products.height_plus_minus).min())


def _placed(survey: Survey, eye: EyeAcross, plain: EyeBracket, frame: Placement) -> EyeBracket:
    """The first free place, the shortest flange first; when none is, the one that comes nearest to it."""
    options = _options(survey, eye, plain)
    found = [replace(option, clear=_clear(survey, eye, option, frame)) for option in options]
    return next((one for one in found if one.clear >= 0.0), max(found, key=lambda one: one.clear))


def _options(survey: Survey, eye: EyeAcross, plain: EyeBracket) -> Iterator[EyeBracket]:
    hole = survey.sensor.diameter / 2 + HOLE_TO_BEND
    reach = rules.EYE_TRAVEL / 2 + max(plain.half, hole) + SHEET
    shifts = [k * SHIFT_STEP for k in range(int(MOST_SHIFT / SHIFT_STEP) + 1)]
    for shift, row, foot in itertools.product(shifts, _rows(survey, eye), (1, -1)):
        side_x = plain.beam_x - reach - shift - SHEET
        yield replace(plain, side_x=side_x, foot=foot, row=row)


def _rows(survey: Survey, eye: EyeAcross) -> list[float]:
    """Heights that the foot's screws may have, the highest first: a slot's, else any where it lies flat."""
    section, top = survey.rail.section, float(survey.rail.top_above_surface)
    if section.slots:
        return sorted((top + slot.y for slot in section.slots), reverse=True)
    beside = max(WASHER / 2 + 2.0, rules.EDGE if has_backing_room(survey) else 0.0)
    low, high = through_flat(survey)
    flat = (top + section.web_flat[0], top + section.web_flat[1])
    low, high = max(low + beside, flat[0] + eye.foot_half), min(high - beside, flat[1] - eye.foot_half)
    if high < low:
        return [(low + high) / 2]
    return [high - k * ROW_STEP for k in range(int((high - low) / ROW_STEP) + 1)]


def _clear(survey: Survey, eye: EyeAcross, bracket: EyeBracket, frame: Placement) -> float:
    """What is left around the screws and the foot; negative by what the web's flat is too low for it."""
    radius = WASHER / 2
    spots = [(frame.point((x, 0.0, 0.0))[0], bracket.row) for x in bracket.screws]
    gaps = [axle_gap(survey, x, z) - radius - rules.HOLE_AIR for x, z in spots]
    foot = Box.around(corner for corner in map(frame.point, foot_box(survey, eye, bracket).corners))
    gaps += [_keepout_box(keepout).gap(foot) - rules.HOLE_AIR for keepout in survey.rail.keepouts]
    spare = flat_spare(survey, eye)
    return min([*gaps, spare if spare < 0.0 else math.inf])


def flat_spare(survey: Survey, eye: EyeAcross) -> float:
    """mm of flat on the web beyond what a foot needs; a slot bar's face needs none."""
    section = survey.rail.section
    if section.slots:
        return 0.0
    low, high = section.web_flat
    bare = section.through_flat
    return min(high - low - 2 * eye.foot_half, bare[1] - bare[0] - WASHER)


def foot_box(survey: Survey, eye: EyeAcross, bracket: EyeBracket) -> Box:
    """The foot with its leg and its screws through the web, in the bracket's frame."""
    xs = (bracket.side_x, bracket.side_x + SHEET, *(bracket.screws[1] + way * eye.edge for way in (-1, 1)))
    half = eye.foot_half
    low = (min(xs), -SHEET - HEAD_ROOM, bracket.row - half)
    return Box(low, (max(xs), survey.rail.section.web_thickness + HEAD_ROOM, bracket.row + half))


def _keepout_box(keepout: Keepout) -> Box:
    low, high = zip(keepout.x, keepout.y, keepout.z, strict=True)
    return Box(low, high)
