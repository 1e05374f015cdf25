"""The candidates that the search compares, as arrays of (poses, posts, angles, frames).

A *frame* is one plate thickness, arm and distance from the head: everything that does not depend on post and
rail angle. A *pose* is one of the settings that are extreme.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from mountgen.catalogue.rail_view import Span
from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import Extrusion, Material
from mountgen.demand import Demand, Floats
from mountgen.geometry import Vec3
from mountgen.layout import rules
from mountgen.layout.bridge import overhang, spans
from mountgen.layout.clamp import foot_face
from mountgen.layout.flexibility import Body, Numbers, Three
from mountgen.layout.fold import first_column
from mountgen.layout.head_group import HeadGroup, head_group
from mountgen.layout.heights import controller_low, post_face_y, post_y, wheel_radius
from mountgen.layout.mast_model import Arm, Box, Bracket, Plan, Post
from mountgen.layout.pattern import Face, leg_span, rail_face
from mountgen.layout.play import LegSlots, leg_slots
from mountgen.layout.rail_give import RailGive, rail_give
from mountgen.layout.rail_mast import (
    RailPattern,
    Settings,
    corner_products,
    least_drop,
    settings_of,
)
from mountgen.layout.stand import FloorGive
from mountgen.survey.records import Survey

PLATES = (3.0, 4.0, 5.0)
ANGLES = (3.0, 4.0, 5.0, 6.0)
CLAMP_ANGLES = (5.0, 6.0)
"""A clamp's leg is bent by its jaws; a thinner one would bear too little of their force."""
SHIFTS = (0.0, 10.0, 20.0, 35.0, 50.0, 70.0, 95.0)
LARGEST_BAR = 60.0
"""mm; a larger post weighs too much for a rail (rule of this project), and nobody needs a larger arm."""
FOOT_WIDTH = 50.0
"""mm along the rail of the plate around the screws, before they have their places."""
CROSS_KG = 0.2
"""kg of cross plate, arm stop and their screws, about."""
WHEEL_BESIDE = 90.0
"""mm along the line from the post to the encoder, about."""
WHEEL_KG = 0.45
"""kg of the encoder's bracket, arm, wheel and screws, about."""
BRACKET_KG = 0.7
"""kg of the controller's bracket, screws and half of the cables, about."""


@dataclass(frozen=True)
class Poses:
    """The settings that stiffness is looked at: those of the products whose settings are extreme."""

    arm_z: Floats
    pivot_y: Floats
    pivot_z: Floats
    tilt_deg: Floats


def _poses(settings: Settings) -> Poses:
    corners = list(corner_products(settings))
    values = (settings.arm_z, settings.pivot_y, settings.pivot_z, settings.tilt_deg)
    return Poses(*(value[corners] for value in values))


@dataclass(frozen=True)
class Frame:
    """One plate, arm and shift: everything that does not depend on post and angle."""

    head: HeadGroup
    arm: Extrusion
    shift: float
    drop: float
    settings: Settings
    poses: Poses
    half_z: float


@dataclass(frozen=True)
class Job:
    """What all candidates have in common, and the posts, arms and angles to choose from; angles are those
    that hold the post. `leg` is z of the angle's edges before those are chosen; `legs` are the edges and the
    middle of the screws into the rail for each choice, `misfit` is how much too tall each is for the web's
    flat, as a share; `column` is x of the first screws where it is known."""

    survey: Survey
    demand: Demand
    catalogue: Catalogue
    sections: tuple[Extrusion, ...]
    arms: tuple[Extrusion, ...]
    sheet: Material
    bar: Material
    ground: RailGive | FloorGive
    leg: Span
    legs: tuple[Floats, Floats, Floats]
    misfit: Floats
    angles: tuple[float, ...]
    column: float | None = None


def chosen(job: Job, post: Extrusion, angle: float, pattern: RailPattern) -> Job:
    """The same with one post and one rail angle whose screws have their places."""
    legs = (*pattern.leg_z, sum(pattern.rows) / 2)
    low, high, rows = (np.array([[[z]]]) for z in legs)
    return replace(job, sections=(post,), angles=(angle,), legs=(low, high, rows), column=pattern.columns[0])


def job_of(survey: Survey, demand: Demand, catalogue: Catalogue) -> Job:
    """The sections that a rail is to carry, and how it gives way."""
    sections = tuple(bar for bar in bars_of(catalogue) if bar.size <= LARGEST_BAR)
    steel = catalogue.material(survey.rail.profile.material)
    slots = leg_slots(survey, catalogue.thread(rules.SCREW))
    angles = CLAMP_ANGLES if survey.is_clamped else ANGLES
    faces = _faces(survey, (sections, angles), slots)
    rows = faces[0][0].rows
    foot = (FOOT_WIDTH, (rows[0] - rules.EDGE, rows[1] + rules.EDGE))
    return Job(
        survey=survey,
        demand=demand,
        catalogue=catalogue,
        sections=sections,
        arms=sections,
        sheet=catalogue.material(rules.SHEET),
        bar=catalogue.material(sections[0].material),
        ground=rail_give(survey, steel, foot),
        leg=leg_span(survey, slots),
        legs=_legs(faces),
        misfit=_misfit(faces),
        angles=angles,
    )


def bars_of(catalogue: Catalogue) -> tuple[Extrusion, ...]:
    """Every section that the catalogue has."""
    return tuple(catalogue.extrusion(name) for name in catalogue.names("extrusions"))


def frames_of(job: Job) -> list[Frame]:
    """Every plate, shift and arm, in this order. A shift moves x alone: settings are those without it."""
    shifted = {
        choice: head_group(job.survey.head, job.survey.sensor, *choice, job.survey.sensor_distance)
        for choice in itertools.product(PLATES, SHIFTS)
    }
    plain = [[_frame(job, shifted[plate, SHIFTS[0]], arm) for arm in job.arms] for plate in PLATES]
    return [
        replace(frame, head=shifted[plate, shift], shift=shift)
        for plate, frames in zip(PLATES, plain, strict=True)
        for shift in SHIFTS
        for frame in frames
    ]


def _frame(job: Job, head: HeadGroup, arm: Extrusion) -> Frame:
    survey = job.survey
    half_z = arm.size / 2 + rules.BOLT_BESIDE + rules.EDGE
    drop = least_drop(survey, job.demand, head, arm, half_z)
    settings = settings_of(survey, job.demand, head, drop)
    return Frame(head, arm, SHIFTS[0], drop, settings, _poses(settings), half_z)


def _beam_lengths(job: Job, frames: Sequence[Frame]) -> Floats:
    """Over both posts, with travel in hand for rails farther apart or nearer than surveyed."""
    far = job.survey.rail.far_rail_at
    each = [far - 2 * post_y(job.survey, p) + 2 * overhang(p, rules.BOLT_BESIDE) for p in job.sections]
    result: Floats = np.ceil(by_post(each) + by_frame([0.0] * len(frames)))
    return result


def by_frame(values: Sequence[float] | Sequence[Floats]) -> Floats:
    """One number or one row of poses for each frame, as an array of (poses, posts, angles, frames)."""
    rows = np.asarray(values, dtype=np.float64).reshape(len(values), -1)
    return np.ascontiguousarray(rows.T)[:, None, None, :]


def by_post(values: Sequence[float]) -> Floats:
    """One number for each post, as an array that fits (poses, posts, angles, frames)."""
    return np.array(values)[:, None, None]


def by_angle(values: Sequence[float]) -> Floats:
    """The same for each thickness of the rail angle."""
    return np.array(values)[:, None]


def arm_lengths(job: Job, frames: Sequence[Frame]) -> Floats:
    """From the innermost tip to behind the cross joint's outer bolt, with travel in hand; one row a post."""
    if spans(job.survey):
        return _beam_lengths(job, frames)
    beyond = rules.BOLT_BESIDE + rules.TNUT_END
    joint = by_post([post_y(job.survey, post) - post.size / 2 - beyond for post in job.sections])
    tip = by_frame([frame.settings.farthest for frame in frames])
    least = by_frame([frame.head.ear_back + rules.PIVOT_EDGE + 20.0 for frame in frames])
    result: Floats = np.ceil(np.maximum(tip - joint + rules.SETTING_MARGIN, least))
    return result


def plan_of(job: Job, frames: Sequence[Frame]) -> Plan:
    """Arrays that fit the shape (poses, posts, angles, frames)."""
    survey = job.survey
    head_kg = by_frame([tip_kg(job, frame) for frame in frames])
    controller = survey.controller
    box_kg = controller.mass_kg + BRACKET_KG
    return Plan(
        post=_post_plan(job, frames),
        arm=_arm_plan(job, frames),
        bracket=_bracket_plan(job, frames),
        box=_box_plan(job, frames),
        ground=job.ground,
        joining=survey.joining,
        sheet=job.sheet,
        bar=job.bar,
        head_kg=head_kg,
        head_inertia=_box_inertia(head_kg, (survey.head.depth,) * 3),
        root_kg=post_kg(job, frames) / 4 + CROSS_KG,
        arm_kg=arm_kg(job, frames),
        box_kg=box_kg,
        box_inertia=_box_inertia(box_kg, (controller.width, controller.depth, controller.height)),
        wheel=_wheel(job, frames),
    )


def _box_inertia(kg: Numbers, sizes: Vec3) -> Three:
    """kg mm2 of an even box about its middle."""
    x, y, z = (size**2 / 12 for size in sizes)
    return kg * (y + z), kg * (x + z), kg * (x + y)


def _post_plan(job: Job, frames: Sequence[Frame]) -> Post:
    sizes = by_post([post.size for post in job.sections])
    angle = by_angle(job.angles)
    x = by_frame([f.head.arm_x + f.arm.size + f.head.plate for f in frames]) + sizes / 2
    washer = job.catalogue.thread(rules.SCREW).washer_outer
    beside = by_angle([first_column(thickness, washer) for thickness in job.angles])
    nearest = x + sizes / 2 + angle + beside
    return Post(
        x=x,
        y=post_face_y(job.survey) - sizes / 2,
        size=sizes,
        inertia=by_post([post.i_mm4 for post in job.sections]),
        torsion=by_post([post.j_mm4 for post in job.sections]),
        angle=angle,
        leg_low=job.legs[0],
        leg_high=job.legs[1],
        first_column=nearest if job.column is None else job.column,
        rows_middle=job.legs[2],
        leg_y=foot_face(job.survey),
    )


def _faces(
    survey: Survey, choices: tuple[Sequence[Extrusion], Sequence[float]], slots: LegSlots
) -> list[list[Face]]:
    """Where the rail leg lies for every post and angle."""
    posts, angles = choices
    return [[rail_face(survey, (angle, post.nut_length), slots) for angle in angles] for post in posts]


def _legs(faces: list[list[Face]]) -> tuple[Floats, Floats, Floats]:
    """z of the rail leg's edges and of its screws' middle."""
    spans = np.array([[(*face.leg, sum(face.rows) / 2) for face in row] for row in faces])
    low, high, rows = (spans[..., None, at] for at in range(3))
    return low, high, rows


def _misfit(faces: list[list[Face]]) -> Floats:
    """How much more flat each rail leg needs than there is, as a share of its need."""
    return np.array([[[max(0.0, -face.spare / face.needed)] for face in row] for row in faces])


def _arm_plan(job: Job, frames: Sequence[Frame]) -> Arm:
    return Arm(
        x=by_frame([frame.head.arm_x + frame.arm.size / 2 for frame in frames]),
        z=by_frame([frame.poses.arm_z for frame in frames]),
        size=by_frame([frame.arm.size for frame in frames]),
        inertia=by_frame([frame.arm.i_mm4 for frame in frames]),
        torsion=by_frame([frame.arm.j_mm4 for frame in frames]),
        tip_y=by_frame([frame.poses.pivot_y for frame in frames]) + rules.PIVOT_EDGE,
        length=arm_lengths(job, frames),
    )


def _bracket_plan(job: Job, frames: Sequence[Frame]) -> Bracket:
    head, heads = job.survey.head, [frame.head for frame in frames]
    middle = ((head.x_after - head.x_before) / 2, (head.u_above - head.u_below) / 2, -head.depth / 2)
    sheet = np.array([_head_sheet_kg(job, frame) for frame in frames])
    places = np.array([_sheet_middle(group) for group in heads])
    kg = sheet + head.mass_kg
    centre = (sheet[:, None] * places + head.mass_kg * np.array(middle)) / kg[:, None]
    return Bracket(
        plate=by_frame([group.plate for group in heads]),
        tilt_deg=by_frame([frame.poses.tilt_deg for frame in frames]),
        pivot_y=by_frame([frame.poses.pivot_y for frame in frames]),
        pivot_z=by_frame([frame.poses.pivot_z for frame in frames]),
        pivot_n=by_frame([group.pivot_n for group in heads]),
        pivot_u=by_frame([group.pivot_u for group in heads]),
        lock=by_frame([group.lock_radius for group in heads]),
        swing_x=by_frame([group.swing_x for group in heads]),
        back_n=by_frame([group.back_n for group in heads]),
        low_u=by_frame([group.flange_low for group in heads]),
        high_u=by_frame([group.flange_high for group in heads]),
        screws_x=max(hole.at[0] for hole in head.pattern),
        body=middle,
        centre=(by_frame(centre[:, 0]), by_frame(centre[:, 1]), by_frame(centre[:, 2])),
    )


def _sheet_middle(group: HeadGroup) -> Vec3:
    """About where the sheet parts and the photo-eye have their common centre: x, u, n."""
    x = (group.swing_x + group.upstream_x) / 2
    return x, (group.flange_low + group.flange_high) / 2, 0.75 * group.back_n


def _box_plan(job: Job, frames: Sequence[Frame]) -> Box:
    controller, sizes = job.survey.controller, by_post([post.size for post in job.sections])
    air = np.maximum(8.0, rules.KEY_ROOM + 4.0 - sizes)
    start = by_frame([f.head.arm_x + f.arm.size + f.head.plate for f in frames]) + sizes
    x = start + air + controller.width / 2
    y = post_face_y(job.survey) - 0.6 + rules.CONTROLLER_SHEET
    z = controller_low(job.survey) + controller.height / 2
    return Box(
        x=x,
        y=y,
        z=z,
        first_screw_x=x + min(hole.at[0] for hole in controller.pattern),
        bracket_height=controller.height + 2 * rules.CONTROLLER_EARS,
        centre=(x, y - controller.depth / 2, z),
    )


def _wheel(job: Job, frames: Sequence[Frame]) -> Body:
    """The encoder with bracket and arm, about; without mass where there is none."""
    survey, encoder = job.survey, job.survey.encoder
    x = by_frame([f.head.arm_x + f.arm.size + f.head.plate for f in frames]) + WHEEL_BESIDE
    if encoder is None:
        return Body((x, 0.0, 0.0), 0.0)
    wheel_y = max(survey.line.bed_from_y, post_face_y(survey) + 30.0 + encoder.wheel_offset)
    y = (wheel_y - encoder.wheel_offset + post_face_y(survey)) / 2
    return Body((x, y, wheel_radius(encoder)), encoder.mass_kg + WHEEL_KG)


def arm_kg(job: Job, frames: Sequence[Frame]) -> Floats:
    areas = by_frame([frame.arm.area_mm2 for frame in frames])
    result: Floats = areas * job.bar.density_kg_per_m3 * 1e-9 * arm_lengths(job, frames)
    return result


def post_kg(job: Job, frames: Sequence[Frame]) -> Floats:
    areas = by_post([post.area_mm2 for post in job.sections])
    lengths = by_frame([post_length(job, frame) for frame in frames])
    result: Floats = areas * job.bar.density_kg_per_m3 * 1e-9 * lengths
    return result


def tip_kg(job: Job, frame: Frame) -> float:
    """kg at the arm's end: head, photo-eye and the sheet that carries them."""
    eye = job.survey.sensor.mass_kg if frame.head.carries_eye else 0.0
    return job.survey.head.mass_kg + eye + _head_sheet_kg(job, frame)


def _head_sheet_kg(job: Job, frame: Frame) -> float:
    """kg of ear, swing plate, shoe and eye arm: their flat areas, roughly."""
    head = frame.head
    height = head.flange_high - head.flange_low
    swing = height * (abs(head.back_n) + head.swing_x - head.tab_x)
    ear = (head.ear_back + rules.PIVOT_EDGE) * (frame.drop + 25.0)
    shoe = height * (abs(head.back_n) + 40.0)
    eye = 40.0 * 60.0
    return (swing + ear + shoe + eye) * head.plate * job.sheet.density_kg_per_m3 * 1e-9


def sheet_kg(job: Job, frames: Sequence[Frame]) -> Floats:
    """kg of the sheet parts, (posts, angles, frames): head group, cross plate and rail angle."""
    sizes = by_post([post.size for post in job.sections])
    low, high = job.legs[:2] if isinstance(job.ground, RailGive) else job.leg
    reach = sizes + 95.0 - post_face_y(job.survey)
    angle = (high - low) * reach * by_angle(job.angles)
    cross = (sizes + 35.0) * 2 * by_frame([frame.half_z * frame.head.plate for frame in frames])[0]
    head = by_frame([_head_sheet_kg(job, frame) for frame in frames])[0]
    per_mm3 = job.sheet.density_kg_per_m3 * 1e-9
    result: Floats = (angle + cross) * per_mm3 + head
    return result


def post_length(job: Job, frame: Frame) -> float:
    return post_top(job.survey, frame) - job.leg[0]


def post_top(survey: Survey, frame: Frame) -> float:
    joint = frame.settings.highest + frame.half_z + rules.SETTING_MARGIN
    controller = controller_low(survey) + survey.controller.height + rules.CONTROLLER_EARS
    return max(joint, controller)
