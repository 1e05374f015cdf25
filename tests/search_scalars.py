"""One candidate of the search by itself, in plain numbers: unit loads spring by spring, masses part by part.

Nothing here uses the search's arrays or its sums of springs; the springs themselves are the layout's.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from mountgen.catalogue.records import Extrusion
from mountgen.layout import heights, rules, search
from mountgen.layout.candidates import Frame, Job, chosen, frames_of, plan_of
from mountgen.layout.flexibility import Body, Spring
from mountgen.layout.footing import ON_RAIL, Choice
from mountgen.layout.mast_model import mast
from mountgen.layout.pattern import rail_face
from mountgen.layout.play import leg_slots
from mountgen.layout.rail_mast import MastLayout
from mountgen.layout.stiffness import Mast

KG = 1e-9
Triple = tuple[float, float, float]
UNIT: tuple[Triple, Triple, Triple] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


@dataclass(frozen=True)
class Single:
    """A candidate with its layout: kg as the search weighs it, and what it lacks by its own estimates."""

    frame: Frame
    post: Extrusion
    angle: float
    kg: float
    lacks: float
    clear: float

    @property
    def passes(self) -> bool:
        return self.lacks == 0.0 and self.clear >= 0.0


class Push(NamedTuple):
    at: Triple
    way: int


def every_single(job: Job) -> Iterator[Single]:
    """Every candidate of a job, one by one."""
    for frame, post, angle in itertools.product(frames_of(job), job.sections, job.angles):
        choice = Choice(frame, post, angle)
        layout = search._layout(job, search._Candidate(choice, 0.0, 0.0), ON_RAIL.held(job, choice))
        pattern = layout.on_rail.pattern
        alone = mast(plan_of(chosen(job, post, angle, pattern), [frame]))
        lacks = lacking(job, layout, alone)
        yield Single(frame, post, angle, kilograms(job, frame, post, angle), lacks, pattern.clear)


def lacking(job: Job, layout: MastLayout, mast: Mast) -> float:
    """The sum of what is missing, each as a share of its limit."""
    survey = job.survey
    poses = [at_pose(mast, pose) for pose in range(np.shape(mast.tilt_deg)[0])]
    sags = [sag_of(one) for one in poses]
    used = (
        (max(sags) - min(sags)) / max(search.most_sag(survey), 1e-9),
        max(give_of(one, survey.joining.hand_force) for one in poses) / max(search.most_give(survey), 1e-9),
        search.least_frequency(survey) / min(frequency_of(one) for one in poses),
        layout.post_length / rules.LONGEST_POST,
        layout.arm_length / rules.LONGEST_ARM,
    )
    return sum(max(share - 1.0, 0.0) for share in used)


def at_pose(mast: Mast, pose: int) -> Mast:
    """The mast of one candidate at one pose, as plain floats."""

    def number(value: object) -> float:
        flat = np.ravel(value)
        return float(flat[pose] if len(flat) > 1 else flat[0])

    def three(values: tuple) -> Triple:
        return tuple(number(value) for value in values)  # type: ignore[return-value]

    def springs(many: tuple[Spring, ...]) -> tuple[Spring, ...]:
        return tuple(Spring(three(s.at), three(s.turn), three(s.push)) for s in many)

    def body(one: Body) -> Body:
        return Body(three(one.at), number(one.kg), three(one.inertia))

    chains = (mast.foot, mast.shared, (*mast.to_root, *mast.reach), mast.to_head, mast.to_box)
    bodies = (body(mast.head), three(mast.hand_at), *map(body, (mast.root, mast.arm, mast.box, mast.wheel)))
    return Mast(*map(springs, chains), *bodies, three(mast.nozzle), np.array([number(mast.tilt_deg)]))


def cross(a: Triple, b: Triple) -> Triple:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def lever(at: Triple, spring: Spring) -> Triple:
    x, y, z = spring.at
    return at[0] - x, at[1] - y, at[2] - z


def travel(springs: tuple[Spring, ...], load: Push, seen: Triple) -> Triple:
    """mm that a point moves for 1 N: each spring turns by its couple and carries the point along."""
    force, moves = UNIT[load.way], [0.0, 0.0, 0.0]
    for spring in springs:
        couple = cross(lever(load.at, spring), force)
        turned = tuple(give * one for give, one in zip(spring.turn, couple, strict=True))
        carried = cross(turned, lever(seen, spring))
        moves = [was + c + p * f for was, c, p, f in zip(moves, carried, spring.push, force, strict=True)]
    return moves[0], moves[1], moves[2]


def to_gap(mast: Mast, moves: Triple) -> float:
    tilt = math.radians(float(mast.tilt_deg[0]))
    return moves[1] * math.cos(tilt) - moves[2] * math.sin(tilt)


def sag_of(mast: Mast) -> float:
    post = (*mast.foot, *mast.shared)
    root = (*post, *mast.to_root)
    carried = (
        (mast.head, (*root, *mast.to_head)),
        (mast.arm, root),
        (mast.box, post),
        (mast.wheel, mast.foot),
    )
    return sum(
        to_gap(mast, travel(springs, Push(body.at, 2), mast.nozzle)) * -body.kg * rules.GRAVITY
        for body, springs in carried
    )


def give_of(mast: Mast, hand: float) -> float:
    whole = (*mast.foot, *mast.shared, *mast.to_root, *mast.to_head)
    return hand * max(
        abs(to_gap(mast, travel(whole, Push(mast.hand_at, way), mast.nozzle))) for way in range(3)
    )


def frequency_of(mast: Mast) -> float:
    """Head and controller in their twelve ways of moving, (trace X^8)^(1/8); the rest by Dunkerley."""
    shared = (*mast.foot, *mast.shared)
    branches = (((*mast.to_root, *mast.to_head), mast.head), (mast.to_box, mast.box))
    rows = [r for s in shared for r in loads(s, [(0, mast.head), (6, mast.box)])]
    for first, (springs, body) in zip((0, 6), branches, strict=True):
        rows += [r for s in springs for r in loads(s, [(first, body)])]
    x = np.array(rows).T @ np.array(rows)
    both = np.sum(np.linalg.eigvalsh(x) ** 8) ** (1 / 8) / 1000.0
    root = (*shared, *mast.to_root)
    rest = sum(
        max(travel(springs, Push(body.at, way), body.at)[way] for way in (0, 1)) * body.kg / 1000.0
        for springs, body in ((root, mast.root), (root, mast.arm), (mast.foot, mast.wheel))
    )
    return 1 / (2 * math.pi * math.sqrt(both + rest))


def loads(spring: Spring, bodies: list[tuple[int, Body]]) -> Iterator[np.ndarray]:
    """Root of a spring's flexibility times what each of twelve ways of moving loads it by, for each axis."""
    for axis in range(3):
        turned, pushed = np.zeros(12), np.zeros(12)
        for first, body in bodies:
            for way in range(3):
                turned[first + way] = cross(lever(body.at, spring), UNIT[way])[axis] * math.sqrt(body.kg)
            turned[first + 3 + axis] = math.sqrt(body.inertia[axis])
            pushed[first + axis] = math.sqrt(body.kg)
        yield turned * math.sqrt(spring.turn[axis])
        yield pushed * math.sqrt(spring.push[axis])


def kilograms(job: Job, frame: Frame, post: Extrusion, angle: float) -> float:
    """Post and arm by their lengths; rail angle, cross plate and head group by rough areas."""
    survey, head = job.survey, frame.head
    steel, alloy = (material.density_kg_per_m3 * KG for material in (job.sheet, job.bar))
    out = survey.rail.section.reach_out + rules.POST_CLEAR
    joint = -out - post.size - rules.BOLT_BESIDE - rules.TNUT_END
    tip = float(frame.settings.tip_y.max())
    arm = math.ceil(max(tip - joint + rules.SETTING_MARGIN, head.ear_back + rules.PIVOT_EDGE + 20.0))
    top = float(frame.settings.arm_z.max()) + frame.half_z + rules.SETTING_MARGIN
    box = heights.controller_low(survey) + survey.controller.height + rules.CONTROLLER_EARS
    bars = post.area_mm2 * (max(top, box) - job.leg[0]) + frame.arm.area_mm2 * arm
    low, high = rail_face(survey, (angle, post.nut_length), leg_slots(survey, job.catalogue.thread("M6"))).leg
    leg = (high - low) * (out + post.size + 95.0) * angle
    cross = (post.size + 35.0) * 2 * frame.half_z * head.plate
    tall = head.flange_high - head.flange_low
    swing = tall * (abs(head.back_n) + head.swing_x - head.tab_x)
    ear = (head.ear_back + rules.PIVOT_EDGE) * (frame.drop + 25.0)
    carried = (swing + ear + tall * (abs(head.back_n) + 40.0) + 2400.0) * head.plate
    return bars * alloy + (leg + cross + carried) * steel
