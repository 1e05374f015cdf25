"""What holds the post, for each way of it: what the search may choose from, and the foot of one candidate."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import Extrusion
from mountgen.demand import Demand
from mountgen.geometry import Box
from mountgen.layout import rules, stand
from mountgen.layout.backing import backing_margin, needs_backing
from mountgen.layout.bridge import spans
from mountgen.layout.candidates import (
    BRACKET_KG,
    LARGEST_BAR,
    Frame,
    Job,
    arm_kg,
    arm_lengths,
    bars_of,
    chosen,
    job_of,
    post_kg,
    post_top,
    tip_kg,
)
from mountgen.layout.clamp import Clamp, clamp_of
from mountgen.layout.heights import controller_low, post_y
from mountgen.layout.pattern import rail_pattern
from mountgen.layout.rail_mast import Foot, RailFoot, RailPattern
from mountgen.layout.stand import Base, Load, Stand
from mountgen.mechanics.tipping import PointMass
from mountgen.survey.records import Family, Survey


@dataclass(frozen=True)
class Choice:
    """What a candidate chooses: the frame, the post, and the thickness of the angle that holds it."""

    frame: Frame
    post: Extrusion
    angle: float

    @property
    def post_x(self) -> float:
        """Where the post begins."""
        return self.frame.head.arm_x + self.frame.arm.size + self.frame.head.plate


@dataclass(frozen=True)
class Held:
    """A candidate's foot, z of the post's lower end, the job with only the frame left to choose, and kg that
    the search did not count."""

    foot: Foot
    bottom: float
    job: Job
    added_kg: float = 0.0


@dataclass(frozen=True)
class Footing:
    """One way to hold a post: the job of the search, the foot of a candidate, and what is settled of it once
    the candidate is the one that is taken."""

    job_of: Callable[[Survey, Demand, Catalogue], Job]
    held: Callable[[Job, Choice], Held]
    settled: Callable[[Job, Choice], Held]


def footing_of(survey: Survey) -> Footing:
    """That of the survey's family."""
    return ON_RAIL if survey.family is None else FOOTINGS.get(survey.family, ON_RAIL)


def _standing(job: Job, choice: Choice, low: float) -> Box:
    """The post from a height on, with the angle beside it."""
    survey, post = job.survey, choice.post
    y, half = post_y(survey, post), post.size / 2
    end = choice.post_x + post.size + choice.angle
    return Box((choice.post_x, y - half, low), (end, y + half, post_top(survey, choice.frame)))


def _rail_held(job: Job, choice: Choice) -> Held:
    """The rail angle where it finds a free place on the web."""
    survey, post = job.survey, choice.post
    screw = job.catalogue.thread(rules.SCREW)
    sizes = (choice.angle, post.nut_length)
    pattern = rail_pattern(survey, _standing(job, choice, job.leg[0]), sizes, screw)
    steel = job.catalogue.material(survey.rail.profile.material)
    backing = needs_backing(survey, pattern, choice.frame.settings, (screw, steel))
    bottom = pattern.leg_z[0] - max(0.0, post.nut_length / 2 + 1.0 - rules.EDGE)
    foot = RailFoot(
        pattern,
        choice.angle,
        backing,
        clamp=_clamp(job, pattern, choice.angle),
        far_rail=survey.rail.far_rail_at if spans(survey) else None,
    )
    return Held(foot, bottom, chosen(job, post, choice.angle, pattern))


def _clamp(job: Job, pattern: RailPattern, angle: float) -> Clamp | None:
    """The jaws of a rail clamp."""
    if not job.survey.is_clamped:
        return None
    screw = job.catalogue.thread(rules.SCREW)
    steel = job.catalogue.material(job.survey.rail.profile.material)
    width = pattern.columns[1] - pattern.columns[0] + 2 * rules.EDGE
    return clamp_of(job.survey, width, angle, (screw, job.sheet, steel))


def _rail_settled(job: Job, choice: Choice) -> Held:
    """Its backing plate as large as it must be."""
    held = _rail_held(job, choice)
    assert isinstance(held.foot, RailFoot)
    if not held.foot.backing:
        return held
    steel = job.catalogue.material(job.survey.rail.profile.material)
    margin = backing_margin(job.survey, held.foot.pattern, choice.frame.settings, steel)
    return replace(held, foot=replace(held.foot, backing_margin=margin))


ON_RAIL = Footing(job_of, _rail_held, _rail_settled)


def _stand_job(survey: Survey, demand: Demand, catalogue: Catalogue) -> Job:
    """Every section for the post. The base is taken as low as an anchored one and as soft as a free one:
    what is chosen on it stands as well on any other."""
    bars = bars_of(catalogue)
    sheet = catalogue.material(rules.SHEET)
    base = stand.softest_base(sheet.e_mpa)
    low = stand.floor_of(survey) + base.gap + base.thickness
    return Job(
        survey=survey,
        demand=demand,
        catalogue=catalogue,
        sections=bars,
        arms=tuple(bar for bar in bars if bar.size <= LARGEST_BAR),
        sheet=sheet,
        bar=catalogue.material(bars[0].material),
        ground=stand.give_of(base, sheet.e_mpa),
        leg=(low, low + stand.ANGLE_HIGH),
        legs=_stand_legs(low),
        misfit=np.zeros((1, 1, 1)),
        angles=stand.ANGLES,
    )


def _stand_legs(low: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """z of a base's upper face, and as far above the T-bolts' middle as that lies below; nothing is screwed
    into a rail."""
    high = low + stand.LOWER_BOLT + stand.UPPER_BOLT
    return np.array([[[low]]]), np.array([[[high]]]), np.array([[[low]]])


def _stand_held(job: Job, choice: Choice) -> Held:
    """On an anchored base."""
    x = choice.post_x + choice.post.size / 2
    return _on(job, choice, stand.anchored_base((x, post_y(job.survey, choice.post))))


def _stand_settled(job: Job, choice: Choice) -> Held:
    """On a free base where one stands by its own weight and has room; else anchored."""
    survey, anchored = job.survey, _stand_held(job, choice)
    poses = tuple(_poses(anchored.job, choice))
    density = job.sheet.density_kg_per_m3 * 1e-9
    assert isinstance(anchored.foot, Stand)
    base = stand.free_base(anchored.foot.base.middle, poses, survey.joining.hand_force, density)
    free = None if base is None else _on(job, choice, base)
    return anchored if free is None or free.foot.clear < 0.0 <= anchored.foot.clear else free


def _on(job: Job, choice: Choice, base: Base) -> Held:
    """A candidate on a base."""
    survey, post = job.survey, choice.post
    floor = stand.floor_of(survey)
    low = floor + base.gap + base.thickness
    clear = stand.room_around(survey, base, _standing(job, choice, low))
    foot = Stand(floor, choice.angle, stand.angle_width(post.size), base, clear)
    alone = replace(
        job,
        sections=(post,),
        angles=(choice.angle,),
        leg=(low, low + stand.ANGLE_HIGH),
        legs=_stand_legs(low),
        ground=stand.give_of(base, job.sheet.e_mpa),
    )
    plate = stand.plate_mass(base, job.sheet.density_kg_per_m3 * 1e-9)
    return Held(foot, low, alone, plate.kg)


def _poses(job: Job, choice: Choice) -> Iterator[Load]:
    """About the mount's masses without its base at every extreme setting, z from the floor."""
    survey, frame, floor = job.survey, choice.frame, stand.floor_of(job.survey)
    x, y = choice.post_x + choice.post.size / 2, post_y(survey, choice.post)
    post, arm = (float(kg.ravel()[0]) for kg in (post_kg(job, [frame]), arm_kg(job, [frame])))
    length = float(arm_lengths(job, [frame]).ravel()[0])
    top, box = post_top(survey, frame), controller_low(survey) + survey.controller.height / 2
    foot_kg = stand.angles_mm3(choice.post.size, choice.angle) * job.sheet.density_kg_per_m3 * 1e-9
    for arm_z, pivot_y, pivot_z in zip(
        frame.poses.arm_z, frame.poses.pivot_y, frame.poses.pivot_z, strict=True
    ):
        hand = (0.0, float(pivot_y), float(pivot_z) - floor)
        yield Load(
            (
                PointMass(tip_kg(job, frame), hand),
                PointMass(arm, (frame.head.arm_x, float(pivot_y) - length / 2, float(arm_z) - floor)),
                PointMass(foot_kg, (x, y, stand.ANGLE_HIGH / 2)),
                PointMass(post, (x, y, (top + job.leg[0]) / 2 - floor)),
                PointMass(survey.controller.mass_kg + BRACKET_KG, (x, y, box - floor)),
            ),
            hand,
        )


FOOTINGS: Mapping[Family, Footing] = MappingProxyType(
    {"floor_stand": Footing(_stand_job, _stand_held, _stand_settled)}
)
"""Those families that are not held by the rail."""
