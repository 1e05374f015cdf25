"""A rail mast's numbers as a chain of springs: what the search compares and the chosen layout states.

All numbers of a `Plan` are arrays that fit each other; mm, MPa, kg, working view.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from mountgen.catalogue.records import Material
from mountgen.demand import Floats
from mountgen.layout import rules
from mountgen.layout.flexibility import Body, Numbers, Spring, Three, bar, joint
from mountgen.layout.portal import Portal, mirrored
from mountgen.layout.rail_give import RailGive
from mountgen.layout.stand import FloorGive, foot_flexibility
from mountgen.layout.stiffness import Mast
from mountgen.mechanics.beams import torsion_constant_rectangle
from mountgen.mechanics.folded_strip import PLATE, folded_twist
from mountgen.survey.records import Joining


@dataclass(frozen=True)
class Post:
    """The post and what holds it: its axis, section, the rail angle's height and thickness, its first column
    of screws and their middle height, and y of the face that its leg lies on."""

    x: Numbers
    y: Numbers
    size: Numbers
    inertia: Numbers
    torsion: Numbers
    angle: Numbers
    leg_low: Numbers
    leg_high: Numbers
    first_column: Numbers
    rows_middle: Numbers
    leg_y: float


@dataclass(frozen=True)
class Arm:
    """The arm: its axis, section, length, and where its end is."""

    x: Numbers
    z: Numbers
    size: Numbers
    inertia: Numbers
    torsion: Numbers
    tip_y: Numbers
    length: Numbers


@dataclass(frozen=True)
class Bracket:
    """Ear, swing plate and head: places in the head's frame, and the pivot in the world."""

    plate: Numbers
    tilt_deg: Floats
    pivot_y: Numbers
    pivot_z: Numbers
    pivot_n: Numbers
    pivot_u: Numbers
    lock: Numbers
    swing_x: Numbers
    back_n: Numbers
    low_u: Numbers
    high_u: Numbers
    screws_x: float
    body: Three
    """The middle of the head's body: x, u, n."""
    centre: Three
    """The centre of mass of all that tilts: x, u, n."""


@dataclass(frozen=True)
class Box:
    """The controller: the middle of its back, its first screws, its bracket's height, its centre."""

    x: Numbers
    y: Numbers
    z: float
    first_screw_x: Numbers
    bracket_height: float
    centre: Three


@dataclass(frozen=True)
class Plan:
    """A mast's numbers, with its masses: kg and kg mm2."""

    post: Post
    arm: Arm
    bracket: Bracket
    box: Box
    ground: RailGive | FloorGive
    joining: Joining
    sheet: Material
    bar: Material
    head_kg: Numbers
    head_inertia: Three
    root_kg: Numbers
    arm_kg: Numbers
    box_kg: float
    box_inertia: Three
    wheel: Body


def mast(plan: Plan) -> Mast:
    """The plan as springs and bodies."""
    post, arm, box = plan.post, plan.arm, plan.box
    foot_z = (np.asarray(post.leg_low) + post.leg_high) / 2
    meeting = np.minimum(box.z, arm.z)
    to_root = (*_post(plan, meeting, arm.z), *_cross(plan))
    return Mast(
        foot=_foot(plan, foot_z),
        shared=_post(plan, foot_z, meeting),
        to_root=to_root,
        to_head=_bracket(plan),
        to_box=(*_post(plan, meeting, np.maximum(meeting, box.z)), *_box(plan)),
        head=Body(_in_world(plan.bracket, plan.bracket.centre), plan.head_kg, plan.head_inertia),
        hand_at=_in_world(plan.bracket, plan.bracket.body),
        root=Body((post.x, post.y, arm.z), plan.root_kg),
        arm=Body((arm.x, arm.tip_y - arm.length / 2, arm.z), plan.arm_kg),
        box=Body(box.centre, plan.box_kg, plan.box_inertia),
        wheel=plan.wheel,
        nozzle=_in_world(plan.bracket, (0.0, 0.0, 0.0)),
        tilt_deg=plan.bracket.tilt_deg,
        reach=_arm(plan),
    )


def _foot(plan: Plan, foot_z: Numbers) -> tuple[Spring, ...]:
    """Rail and rail angle, or a stand's base and foot angles."""
    if isinstance(plan.ground, RailGive):
        return (*_rail(plan, plan.ground), *_angle(plan, foot_z))
    post = plan.post
    turn = foot_flexibility(plan.ground, plan.joining, post.size, post.angle)
    return (Spring((post.x, post.y, post.leg_low), turn),)


def _rail(plan: Plan, rail: RailGive) -> tuple[Spring, ...]:
    """The rail as a beam at its middle line, then its web around the screws."""
    x = plan.post.first_column
    push, tilt, swing = rail.web_springs
    return (
        Spring(
            (x, 0.0, rail.middle_z),
            (1 / rail.twist, 1 / rail.nod, 1 / rail.swing),
            (0.0, 1 / rail.sideways, 1 / rail.upright),
        ),
        Spring((x, 0.0, plan.post.rows_middle), (1 / tilt, 0.0, 1 / swing), (0.0, 1 / push, 0.0)),
    )


def _strip(plan: Plan, width: Numbers, thickness: Numbers, twist: Numbers, length: Numbers) -> Three:
    """rad/mm for each N mm on a plate strip: twisted, bent the strong way, bent the weak way."""
    e, g = plan.sheet.e_mpa, plan.sheet.g_mpa
    own = torsion_constant_rectangle(width, thickness) * g
    strong = e * thickness * np.asarray(width) ** 3 / 12
    weak = PLATE * e * width * np.asarray(thickness) ** 3 / 12
    return 1 / (own + twist * length), 1 / strong, 1 / weak


def _angle(plan: Plan, z: Numbers) -> tuple[Spring, ...]:
    """Joint to the rail, rail leg to the fold, post leg to the post's near face, joint to the post."""
    post, t, e = plan.post, plan.post.angle, plan.sheet.e_mpa
    y = post.leg_y - t / 2
    fold: Three = (post.x + post.size / 2 + t / 2, y, z)
    start: Three = (post.first_column, y, z)
    face: Three = (fold[0], post.y + post.size / 2, z)
    a, b = start[0] - fold[0], fold[1] - face[1]
    height = np.asarray(post.leg_high) - post.leg_low
    twist, strong, weak = _strip(plan, height, t, folded_twist(a, b, height, t, e), a)
    rail_leg = bar(start, fold, a, (twist, strong, weak))
    twist, strong, weak = _strip(plan, height, t, folded_twist(b, a, height, t, e), b)
    post_leg = bar(fold, face, b, (strong, twist, weak))
    joining = plan.joining
    return (
        joint(start, joining.plate_stiffness),
        *rail_leg,
        *post_leg,
        joint(face, joining.tslot_stiffness),
    )


def _post(plan: Plan, low: Numbers, high: Numbers) -> tuple[Spring, ...]:
    """A stretch of the post."""
    post, material = plan.post, plan.bar
    bend, twist = 1 / (material.e_mpa * post.inertia), 1 / (material.g_mpa * post.torsion)
    ends: tuple[Three, Three] = ((post.x, post.y, low), (post.x, post.y, high))
    return bar(*ends, np.asarray(high) - low, (bend, bend, twist))


def portal(plan: Plan, far: float) -> Portal:
    """The plan as a bridge: `far` is y of the far rail's outer face, the plan's arm is the beam."""
    ear, near = arm_end(plan), mast(plan)
    tip = far - np.asarray(ear) + np.asarray(ear_width(plan)) / 2
    other = mast(replace(plan, arm=replace(plan.arm, tip_y=tip)))
    beam = Body((plan.arm.x, ear, plan.arm.z), plan.arm_kg)
    return Portal(replace(near, arm=beam), mirrored(other, far))


def arm_end(plan: Plan) -> Numbers:
    """y of the middle of the ear's screws."""
    return plan.arm.tip_y - ear_width(plan) / 2


def ear_width(plan: Plan) -> Numbers:
    return plan.bracket.lock + 2 * rules.PIVOT_EDGE


def _cross(plan: Plan) -> tuple[Spring, ...]:
    """Both joints of the cross plate."""
    at: Three = (plan.post.x - plan.post.size / 2, plan.post.y, plan.arm.z)
    return joint(at, plan.joining.tslot_stiffness), joint(at, plan.joining.tslot_stiffness)


def _arm(plan: Plan) -> tuple[Spring, ...]:
    """The arm from its root to its end."""
    y, arm, material, end = plan.post.y, plan.arm, plan.bar, arm_end(plan)
    bend, twist = 1 / (material.e_mpa * arm.inertia), 1 / (material.g_mpa * arm.torsion)
    ends: tuple[Three, Three] = ((arm.x, y, arm.z), (arm.x, end, arm.z))
    return bar(*ends, np.abs(end - np.asarray(y)), (bend, twist, bend))


def _bracket(plan: Plan) -> tuple[Spring, ...]:
    """Joint to the arm, ear, pivot and lock, swing plate's two flanges, joint to the head."""
    arm, head, joining = plan.arm, plan.bracket, plan.joining
    y, x = arm_end(plan), head.swing_x + 1.5 * np.asarray(head.plate)
    pivot = _in_world(head, (0.0, head.pivot_u, head.pivot_n - head.lock / 2))
    top = arm.z - arm.size / 2
    drop = np.maximum(top - pivot[2], 1.0)
    twist, strong, weak = _strip(plan, ear_width(plan), head.plate, 0.0, drop)
    ear = bar((x, y, top), (x, y, top - drop), drop, (strong, weak, twist))
    return (
        joint((x, y, top), joining.tslot_stiffness),
        *ear,
        joint((x, y, pivot[2]), joining.plate_stiffness),
        *_swing(plan),
    )


def _swing(plan: Plan) -> tuple[Spring, ...]:
    """Main flange from the lock to the fold, device flange to the head's nearest screws."""
    head, e = plan.bracket, plan.sheet.e_mpa
    height, middle = np.asarray(head.high_u) - head.low_u, (np.asarray(head.high_u) + head.low_u) / 2
    behind, x = head.back_n - head.plate / 2, head.swing_x + head.plate / 2
    lock = _in_world(head, (x, middle, head.pivot_n - head.lock))
    fold = _in_world(head, (x, middle, behind))
    device = _in_world(head, (head.screws_x, middle, behind))
    a, b = head.pivot_n - head.lock - behind, x - head.screws_x
    twist, strong, weak = _strip(plan, height, head.plate, folded_twist(a, b, height, head.plate, e), a)
    side = bar(lock, fold, a, _tilted(head, strong, weak, twist))
    twist, strong, weak = _strip(plan, height, head.plate, folded_twist(b, a, height, head.plate, e), b)
    back = bar(fold, device, b, _tilted(head, twist, weak, strong))
    return (*side, *back, joint(device, plan.joining.plate_stiffness))


def _tilted(head: Bracket, about_x: Numbers, about_u: Numbers, about_n: Numbers) -> Three:
    """Flexibilities about the head's axes as seen about the world's; exact for upright and downward heads."""
    cos, sin = np.cos(np.radians(head.tilt_deg)) ** 2, np.sin(np.radians(head.tilt_deg)) ** 2
    return about_x, about_n * cos + about_u * sin, about_n * sin + about_u * cos


def _in_world(head: Bracket, point: Three) -> Three:
    """A point of the head's frame (x, u, n)."""
    cos, sin = np.cos(np.radians(head.tilt_deg)), np.sin(np.radians(head.tilt_deg))
    x, u, n = point[0], point[1] - np.asarray(head.pivot_u), point[2] - np.asarray(head.pivot_n)
    return x, head.pivot_y + n * cos + u * sin, head.pivot_z - n * sin + u * cos


def _box(plan: Plan) -> tuple[Spring, ...]:
    """Joint to the post, the controller's flange to its first screws, joint to the controller."""
    post, box = plan.post, plan.box
    x = post.x + post.size / 2
    length = box.first_screw_x - np.asarray(x)
    twist, strong, weak = _strip(plan, box.bracket_height, rules.CONTROLLER_SHEET, 0.0, length)
    start, end = (x, box.y, box.z), (box.first_screw_x, box.y, box.z)
    return (
        joint(start, plan.joining.tslot_stiffness),
        *bar(start, end, length, (twist, strong, weak)),
        joint(end, plan.joining.plate_stiffness),
    )
