"""The layout: many candidates compared as arrays, the lightest that passes taken.

A candidate is a choice of post and arm section, plate thicknesses and how far the mast stands from the
head. A layout is returned even when nothing passes: the nearest miss, so that the checks can say what is
missing and by how much.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import Extrusion, Material
from mountgen.demand import Demand, Floats
from mountgen.geometry import Box
from mountgen.layout import rules
from mountgen.layout.backing import backing_margin, needs_backing
from mountgen.layout.head_group import HeadGroup, head_group
from mountgen.layout.pattern import leg_span, rail_pattern
from mountgen.layout.rail_mast import (
    EncoderPlace,
    MastLayout,
    Settings,
    least_drop,
    rail_out,
    settings_of,
)
from mountgen.layout.stiffness import Mast, first_frequency, give, leg_stiffness, sag
from mountgen.mechanics.timing import roller_pass_frequency
from mountgen.survey.records import Survey

PLATES = (3.0, 4.0, 5.0)
ANGLES = (3.0, 4.0, 5.0, 6.0)
SHIFTS = (0.0, 10.0, 20.0, 35.0, 50.0, 70.0, 95.0)
SHEET = "steel-s235"
PLACES_TRIED = 56
MOST_POSES = 64
"""Products up to which stiffness is looked at for each."""


@dataclass(frozen=True)
class _Poses:
    """The settings that stiffness is looked at: every product's, or of many products the four corners
    of heights and reaches, which bound them all."""

    arm_z: Floats
    column_y: Floats
    tilt_deg: Floats


def _poses(demand: Demand, settings: Settings) -> _Poses:
    if len(demand.names) <= MOST_POSES:
        return _Poses(settings.arm_z, demand.column_y, settings.tilt_deg)
    heights = (settings.arm_z.min(), settings.arm_z.max())
    reaches = (demand.column_y.min(), demand.column_y.max())
    corners = np.array(list(itertools.product(heights, reaches, np.unique(settings.tilt_deg))))
    return _Poses(*corners.T)


@dataclass(frozen=True)
class _Frame:
    """One plate, arm and shift: everything that does not depend on post and angle."""

    head: HeadGroup
    arm: Extrusion
    drop: float
    settings: Settings
    poses: _Poses
    half_z: float


@dataclass(frozen=True)
class _Candidate:
    frame: _Frame
    post: Extrusion
    angle: float
    mass: float
    shortfall: float
    """0 when stiff enough and short enough; else how badly it misses, as a ratio."""


@dataclass(frozen=True)
class _Job:
    survey: Survey
    demand: Demand
    catalogue: Catalogue
    sections: tuple[Extrusion, ...]
    sheet: Material
    bar: Material


def solve(survey: Survey, demand: Demand, catalogue: Catalogue) -> MastLayout:
    """The lightest rail mast that passes the quick estimates; the nearest miss when none does.

    `survey` is the working view. Candidates are tried lightest first until the rail angle finds a free
    place on the web; deterministic, ties fall to the candidate listed first.
    """
    sections = tuple(catalogue.extrusion(name) for name in catalogue.names("extrusions"))
    bar = catalogue.material(sections[0].material)
    job = _Job(survey, demand, catalogue, sections, catalogue.material(SHEET), bar)
    best: MastLayout | None = None
    for candidate in _spread(job):
        layout = _layout(job, candidate)
        if layout.pattern.clear >= 0 and candidate.shortfall == 0.0:
            return layout
        if best is None or layout.pattern.clear > best.pattern.clear:
            best = layout
    assert best is not None
    return best


def _spread(job: _Job) -> list[_Candidate]:
    """The best few of every shift, best first: another shift gives the rail angle another place."""
    frames = _frames(job)
    masses, shortfalls = _evaluate(job, frames)
    kept: list[_Candidate] = []
    counts = dict.fromkeys((frame.head.swing_x for frame in frames), PLACES_TRIED // len(SHIFTS))
    best_first = np.lexsort((masses.ravel(), shortfalls.ravel()))
    places = np.stack(np.unravel_index(best_first, masses.shape), axis=-1)
    for at, post, angle in places.tolist():
        frame = frames[at]
        if counts[frame.head.swing_x] > 0:
            counts[frame.head.swing_x] -= 1
            mass, shortfall = float(masses[at, post, angle]), float(shortfalls[at, post, angle])
            kept.append(_Candidate(frame, job.sections[post], ANGLES[angle], mass, shortfall))
    return kept


def least_frequency(survey: Survey) -> float:
    """Hz the mount must reach: out of reach of the rollers' passing, and never visibly soft."""
    line = survey.line
    if line.surface == "belt" or line.roller_pitch <= 0:
        return rules.LOWEST_FREQUENCY
    passing = float(roller_pass_frequency(line.speed_mm_per_s, line.roller_pitch))
    return max(rules.LOWEST_FREQUENCY, rules.FREQUENCY_RATIO * passing)


def most_sag(survey: Survey) -> float:
    """mm of change of sag between settings that the stand-off can spare."""
    standoff = survey.standoff
    near = min(standoff.target - standoff.best[0], standoff.best[1] - standoff.target)
    return rules.SAG_SHARE * max(near, 0.0)


def most_give(survey: Survey) -> float:
    """mm that a leaning hand may push the nozzles: out of the middle, not out of the acceptable band."""
    standoff = survey.standoff
    low, high = standoff.acceptable
    return max(min(standoff.target - low, high - standoff.target), 0.0)


def _frames(job: _Job) -> list[_Frame]:
    return [_frame(job, *choice) for choice in itertools.product(PLATES, SHIFTS, job.sections)]


def _frame(job: _Job, plate: float, shift: float, arm: Extrusion) -> _Frame:
    survey = job.survey
    head = head_group(survey.head, survey.sensor, plate, shift, survey.sensor_distance)
    half_z = arm.size / 2 + _bolt_beside() + rules.EDGE
    drop = least_drop(survey, job.demand, head, arm, half_z)
    settings = settings_of(survey, job.demand, head, drop)
    return _Frame(head, arm, drop, settings, _poses(job.demand, settings), half_z)


def _bolt_beside() -> float:
    """Side of a bar to the bolt beside it: half a washer and air."""
    return 7.5


def _evaluate(job: _Job, frames: Sequence[_Frame]) -> tuple[Floats, Floats]:
    """Mass and shortfall for every frame, post and angle thickness."""
    mast = _mast(job, frames)
    tilt = _by_frame([frame.poses.tilt_deg for frame in frames])
    change = np.ptp(sag(mast, tilt), axis=1)
    frequency = first_frequency(mast).min(axis=1)
    lengths = _by_frame([_post_length(job, frame) for frame in frames])[:, 0]
    arm_lengths = _arm_lengths(job, frames)[:, 0]
    shortfall = (
        np.maximum(change / max(most_sag(job.survey), 1e-9) - 1, 0)
        + np.maximum(give(mast, tilt).max(axis=1) / max(most_give(job.survey), 1e-9) - 1, 0)
        + np.maximum(least_frequency(job.survey) / frequency - 1, 0)
        + np.maximum(lengths / rules.LONGEST_POST - 1, 0)
        + np.maximum(arm_lengths / rules.LONGEST_ARM - 1, 0)
    )
    mass = (np.asarray(mast.post_kg) + np.asarray(mast.arm_kg))[:, 0] + _sheet_kg(job, frames)
    return mass, shortfall


def _by_frame(values: Sequence[float] | Sequence[Floats]) -> Floats:
    """One number or one row of poses for each frame, as an array of (frames, poses, posts, angles)."""
    return np.asarray(values, dtype=np.float64).reshape(len(values), -1, 1, 1)


def _arm_lengths(job: _Job, frames: Sequence[_Frame]) -> Floats:
    """From the innermost tip to behind the cross joint's outer bolt, with travel in hand; one row a post."""
    beyond = _bolt_beside() + rules.TNUT_END
    joint = np.array([_post_y(job.survey, post) - post.size / 2 - beyond for post in job.sections])
    tip = _by_frame([frame.settings.tip_y.max() for frame in frames])
    least = _by_frame([frame.head.ear_back + rules.PIVOT_EDGE + 20.0 for frame in frames])
    result: Floats = np.ceil(np.maximum(tip - joint[:, None] + rules.SETTING_MARGIN, least))
    return result


def _mast(job: _Job, frames: Sequence[_Frame]) -> Mast:
    """Arrays that fit the shape (frames, poses, posts, angles)."""
    posts, survey = job.sections, job.survey
    sizes = np.array([post.size for post in posts])[:, None]
    post_y = -(rail_out(survey) + rules.POST_CLEAR) - sizes / 2
    tilt = np.radians(_by_frame([frame.poses.tilt_deg for frame in frames]))
    column_y = _by_frame([frame.poses.column_y for frame in frames])
    mass_y = column_y - survey.head.depth / 2 * np.cos(tilt)
    leg_top = survey.rail.top_above_surface
    low, high = leg_span(survey)
    rows = 0.6 * (high - low)
    legs = [leg_stiffness(angle, rows, 22.0 + angle, job.sheet.e_mpa) for angle in ANGLES]
    kg_per_mm = job.bar.density_kg_per_m3 * 1e-9
    areas = _by_frame([frame.arm.area_mm2 for frame in frames])
    lengths = _by_frame([_post_length(job, frame) for frame in frames])
    return Mast(
        overhang=np.maximum(mass_y - post_y, 1.0),
        height=_by_frame([frame.poses.arm_z for frame in frames]) - leg_top,
        drop=_by_frame([frame.drop for frame in frames]),
        offset=_by_frame([f.head.arm_x + f.arm.size + f.head.plate for f in frames]) + sizes / 2,
        e_mpa=job.bar.e_mpa,
        g_mpa=job.bar.g_mpa,
        post_i=np.array([post.i_mm4 for post in posts])[:, None],
        post_j=np.array([post.j_mm4 for post in posts])[:, None],
        arm_i=_by_frame([frame.arm.i_mm4 for frame in frames]),
        arm_j=_by_frame([frame.arm.j_mm4 for frame in frames]),
        leg_stiffness=np.array(legs),
        ear_i=_by_frame([(f.head.ear_back + rules.PIVOT_EDGE) * f.head.plate**3 / 12 for f in frames]),
        sheet_e_mpa=job.sheet.e_mpa,
        head_kg=_by_frame([_head_kg(job, frame) for frame in frames]),
        arm_kg=areas * kg_per_mm * _arm_lengths(job, frames),
        post_kg=np.array([post.area_mm2 for post in posts])[:, None] * kg_per_mm * lengths,
        controller_kg=survey.controller.mass_kg,
        controller_height=survey.controller.height,
    )


def _head_kg(job: _Job, frame: _Frame) -> float:
    """kg at the arm's end: head, photo-eye and the sheet that carries them."""
    return job.survey.head.mass_kg + job.survey.sensor.mass_kg + _head_sheet_kg(job, frame)


def _head_sheet_kg(job: _Job, frame: _Frame) -> float:
    """kg of ear, swing plate, shoe and eye arm: their flat areas, roughly."""
    head = frame.head
    height = head.flange_high - head.flange_low
    swing = height * (abs(head.back_n) + head.swing_x - head.tab_x)
    ear = (head.ear_back + rules.PIVOT_EDGE) * (frame.drop + 25.0)
    shoe = height * (abs(head.back_n) + 40.0)
    eye = 40.0 * 60.0
    return (swing + ear + shoe + eye) * head.plate * job.sheet.density_kg_per_m3 * 1e-9


def _sheet_kg(job: _Job, frames: Sequence[_Frame]) -> Floats:
    """kg of the sheet parts, (frames, posts, angles): head group, cross plate and rail angle."""
    sizes = np.array([post.size for post in job.sections])[:, None]
    low, high = leg_span(job.survey)
    reach = rail_out(job.survey) + rules.POST_CLEAR + sizes + 90.0
    angle = (high - low) * reach * np.array(ANGLES)[None, :]
    cross = (sizes + 35.0) * 2 * _by_frame([frame.half_z * frame.head.plate for frame in frames])[:, 0]
    head = _by_frame([_head_sheet_kg(job, frame) for frame in frames])[:, 0]
    per_mm3 = job.sheet.density_kg_per_m3 * 1e-9
    result: Floats = (angle + cross) * per_mm3 + head
    return result


def _leg_low(survey: Survey) -> float:
    """z of the post's lower end, about: the rail angle's lower edge."""
    return leg_span(survey)[0]


def _controller_low(survey: Survey) -> float:
    """z of the controller's lower edge: above the encoder, so that a key reaches its screws."""
    low = survey.rail.top_above_surface + 15.0 + rules.CONTROLLER_EARS
    if survey.encoder is None:
        return low
    encoder = survey.encoder
    return max(
        low,
        encoder.wheel_circumference / (2 * math.pi) + encoder.body_diameter / 2 + 8.0 + rules.CONTROLLER_EARS,
    )


def _post_length(job: _Job, frame: _Frame) -> float:
    return _post_top(job.survey, frame) - _leg_low(job.survey)


def _post_top(survey: Survey, frame: _Frame) -> float:
    joint = float(frame.settings.arm_z.max()) + frame.half_z + rules.SETTING_MARGIN
    controller = _controller_low(survey) + survey.controller.height + rules.CONTROLLER_EARS
    return max(joint, controller)


def _post_y(survey: Survey, post: Extrusion) -> float:
    return -(rail_out(survey) + rules.POST_CLEAR) - post.size / 2


def _layout(job: _Job, candidate: _Candidate) -> MastLayout:
    survey, frame, post = job.survey, candidate.frame, candidate.post
    head, arm = frame.head, frame.arm
    post_x = head.arm_x + arm.size + head.plate
    angle_x = post_x + post.size
    stand_y, half = _post_y(survey, post), post.size / 2
    standing = Box(
        (post_x, stand_y - half, _leg_low(survey)),
        (angle_x + candidate.angle, stand_y + half, _post_top(survey, frame)),
    )
    screw = job.catalogue.thread(rules.SCREW)
    pattern = rail_pattern(survey, standing, (candidate.angle, post.nut_length), screw)
    steel = job.catalogue.material(survey.rail.profile.material)
    backing = needs_backing(survey, pattern, frame.settings, (screw, steel))
    bottom = pattern.leg_z[0] - max(0.0, post.nut_length / 2 + 1.0 - rules.EDGE)
    beside = _bolt_beside()
    index = job.sections.index(post)
    mast = _mast(job, [frame])
    thickness = ANGLES.index(candidate.angle)
    tilt = _by_frame([frame.poses.tilt_deg])
    return MastLayout(
        post=post,
        arm=arm,
        plate=head.plate,
        angle_thickness=candidate.angle,
        head=head,
        drop=frame.drop,
        post_x=post_x,
        post_y=stand_y,
        post_bottom=bottom,
        post_length=math.ceil(_post_top(survey, frame) - bottom),
        arm_length=int(_arm_lengths(job, [frame])[0, 0, index, 0]),
        cross_half=(post.size / 2 + beside + rules.EDGE, frame.half_z),
        cross_bolts=(post.size / 2 + beside, arm.size / 2 + beside),
        pattern=pattern,
        backing=backing,
        backing_margin=backing_margin(survey, pattern, frame.settings, steel) if backing else rules.EDGE,
        encoder=_encoder_place(survey, post_x + post.size + candidate.angle, post),
        controller_z=_controller_low(survey) + survey.controller.height / 2,
        settings=frame.settings,
        mass_kg=candidate.mass,
        sag=sag(mast, tilt)[0, :, index, thickness],
        give=give(mast, tilt)[0, :, index, thickness],
        first_frequency_hz=float(first_frequency(mast)[0, :, index, thickness].min()),
    )


def _encoder_place(survey: Survey, after_x: float, post: Extrusion) -> EncoderPlace | None:
    """The wheel on the bed's near edge, as close behind the mast as its arm allows.

    On rollers the wheel stands on the next roller's top; on a belt its arm is as short as it can be.
    """
    encoder, line = survey.encoder, survey.line
    if encoder is None:
        return None
    radius = encoder.wheel_circumference / (2 * math.pi)
    pivot_x = after_x + 30.0
    arm = math.ceil(encoder.body_diameter / 2 + 22.0)
    wheel_x = pivot_x + arm
    if line.surface == "rollers":
        steps = math.ceil((wheel_x - line.first_roller_at) / line.roller_pitch)
        wheel_x = line.first_roller_at + steps * line.roller_pitch
    post_face = _post_y(survey, post) + post.size / 2
    least_y = post_face + 30.0 + encoder.wheel_offset
    wheel_y = max(line.bed_from_y + encoder.wheel_width / 2 + 2.0, least_y)
    plate_y = wheel_y - encoder.wheel_offset + rules.AUXILIARY
    pivot_z = max(radius, survey.rail.top_above_surface + rules.CLEAR + rules.ENCODER_BRACKET_HALF)
    return EncoderPlace(pivot_x, pivot_z, wheel_x, radius, wheel_y, plate_y)
