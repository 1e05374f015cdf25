"""The layout: many candidates compared as arrays, the lightest that passes taken.

A candidate is a choice of post and arm section, plate thicknesses and how far the mast stands from the
head. A layout is returned even when nothing passes: the nearest miss, so that the checks can say what is
missing and by how much.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import Extrusion
from mountgen.demand import Demand, Floats
from mountgen.layout import rules
from mountgen.layout.bridge import feet, longest_arm
from mountgen.layout.candidates import (
    SHIFTS,
    Frame,
    Job,
    arm_kg,
    arm_lengths,
    by_frame,
    frames_of,
    post_kg,
    post_length,
    post_top,
    sheet_kg,
)
from mountgen.layout.clamp import stands_over
from mountgen.layout.estimate import Estimate, estimate_of
from mountgen.layout.families import USUAL, rule_of
from mountgen.layout.footing import Choice, Held, footing_of
from mountgen.layout.heights import controller_low, encoder_pivot_z, post_y, wheel_radius
from mountgen.layout.rail_mast import EncoderPlace, Foot, MastLayout, RailFoot
from mountgen.layout.stiffness import Picker
from mountgen.mechanics.timing import roller_pass_frequency
from mountgen.survey.records import Survey

PLACES_TRIED = 168
"""Candidates whose place on the rail is looked for, the same number of every shift."""

ROUNDING = 1e-9
"""Share by which what is known of a frequency beforehand may be off."""

BATCH = 128
"""Candidates whose frequency is estimated at once."""

FLATTEST = 2.5
"""The encoder's arm runs this many times as far along the line as down, at least."""

NO_PLACE = 100.0
"""A rail leg that finds no flat counts for so much: any that is too soft is nearer."""


@dataclass(frozen=True)
class Reserve:
    """How many times better than its limit each estimate must be: 1, or more where the full solution of an
    earlier choice fell short of its estimate."""

    sag: float = 1.0
    give: float = 1.0
    frequency: float = 1.0


PLAIN = Reserve()


@dataclass(frozen=True)
class _Candidate:
    choice: Choice
    mass: float
    shortfall: float
    """What it lacks even if the screws find the nearest place; those that follow lack more."""


def solve(survey: Survey, demand: Demand, catalogue: Catalogue, reserve: Reserve = PLAIN) -> MastLayout:
    """The lightest mount of the survey's family that passes the quick estimates; else the nearest miss.

    `survey` is the working view. Candidates are tried lightest first until the foot finds a free
    place; deterministic, ties fall to the candidate listed first.
    """
    footing = footing_of(survey)
    job = footing.job_of(survey, demand, catalogue)
    best: tuple[float, float] | None = None
    nearest: _Candidate | None = None
    for candidate in _spread(job, reserve):
        held = footing.held(job, candidate.choice)
        if best is not None and min(held.foot.clear, 0.0) < best[0]:
            continue  # farther from a free place than one before it
        layout = _layout(job, candidate, held)
        reach = (min(layout.foot.clear, 0.0), -shortfall(survey, layout, reserve))
        if best is None or reach > best:
            best, nearest = reach, candidate
        if reach == (0.0, 0.0) or (candidate.shortfall > 0.0 and layout.foot.clear >= 0.0):
            break
    assert nearest is not None
    return _layout(job, nearest, footing.settled(job, nearest.choice))


def shortfall(survey: Survey, layout: MastLayout, reserve: Reserve = PLAIN) -> float:
    """0 when a layout is stiff enough and short enough by its estimates; else by how much it misses, as a sum
    of ratios."""
    ratios = (
        float(np.ptp(layout.sag)) * reserve.sag / max(most_sag(survey), 1e-9),
        float(layout.give.max()) * reserve.give / max(most_give(survey), 1e-9),
        least_frequency(survey) * reserve.frequency / layout.first_frequency_hz,
        layout.post_length / rule_of(layout.family).longest_post,
        layout.arm_length / longest_arm(survey),
    )
    return sum(max(ratio - 1, 0.0) for ratio in ratios)


def _spread(job: Job, reserve: Reserve) -> Iterator[_Candidate]:
    """The best few of every shift, best first: another shift gives the rail angle another place."""
    counts = dict.fromkeys(SHIFTS, PLACES_TRIED // len(SHIFTS))
    frames = frames_of(job)
    for short, mass, (at, post, angle) in _best_first(_field(job, frames), reserve):
        frame = frames[at]
        if counts[frame.shift] > 0:
            counts[frame.shift] -= 1
            yield _Candidate(Choice(frame, job.sections[post], job.angles[angle]), mass, short)
        elif not any(counts.values()):
            return


def _best_first(field: _Field, reserve: Reserve) -> Iterator[tuple[float, float, tuple[int, int, int]]]:
    """Shortfall, mass and place of every candidate, best first.

    Frequencies cost most to estimate, so they are looked at a batch at a time, in the order of what
    candidates lack without them; one that lacks less than the next batch can is known to be the best.
    """
    lacking, masses = field.shortfall(reserve).ravel(), field.masses.ravel()
    quick = lacking + np.maximum(field.swing.ravel() * reserve.frequency - 1.0, 0.0)
    order = np.lexsort((masses, quick))
    waiting: list[tuple[float, float, int]] = []
    for start in range(0, len(order), BATCH):
        batch = order[start : start + BATCH]
        short = lacking[batch] + np.maximum(field.slowness(batch) * reserve.frequency - 1.0, 0.0)
        for found in zip(short.tolist(), masses[batch].tolist(), batch.tolist(), strict=True):
            heapq.heappush(waiting, found)
        after = [(float(quick[at]), float(masses[at]), int(at)) for at in order[start + BATCH :][:1]]
        while waiting and (not after or waiting[0] < after[0]):
            least, mass, place = heapq.heappop(waiting)
            at, post, angle = np.unravel_index(place, field.masses.shape)
            yield least, mass, (int(at), int(post), int(angle))


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


@dataclass(frozen=True)
class _Field:
    """All candidates as arrays of (frames, posts, angles): kg, and what they use of each limit."""

    survey: Survey
    estimate: Estimate
    masses: Floats
    change: Floats
    moved: Floats
    others: Floats
    """What they lack of limits that need no reserve."""
    swing: Floats
    """The least frequency over that of the head alone: no more than over the first frequency."""

    def shortfall(self, reserve: Reserve) -> Floats:
        """What they lack of everything but frequency."""
        ratios = (self.change * reserve.sag, self.moved * reserve.give)
        result: Floats = sum((np.maximum(ratio - 1, 0) for ratio in ratios), start=self.others)
        return result

    def slowness(self, places: NDArray[np.intp]) -> Floats:
        """The least frequency over that of a few candidates, by their place in the flat array."""
        frames, posts, angles = np.unravel_index(places, self.masses.shape)
        found = self.estimate.few_frequencies(Picker(posts, angles, frames))
        result: Floats = least_frequency(self.survey) / found.min(axis=0)
        return result


def _field(job: Job, frames: Sequence[Frame]) -> _Field:
    survey, estimate, posts = job.survey, estimate_of(job, frames), feet(job.survey)
    quick, most = estimate.quick, rule_of(job.survey.family or USUAL).longest_post
    longest = by_frame([post_length(job, frame) for frame in frames])[0] / most
    widest = arm_lengths(job, frames)[0] / longest_arm(survey)
    lacking = np.maximum(longest - 1, 0) + np.maximum(widest - 1, 0) + NO_PLACE * job.misfit
    masses = (posts * post_kg(job, frames) + arm_kg(job, frames))[0] + posts * sheet_kg(job, frames)
    change = np.ptp(quick.sag, axis=0) / max(most_sag(survey), 1e-9)
    moved = quick.give.max(axis=0) / max(most_give(survey), 1e-9)
    swing = least_frequency(survey) / quick.head_frequency.min(axis=0) * (1.0 - ROUNDING)
    masses, change, moved, others, swing = (
        np.moveaxis(np.broadcast_to(values, masses.shape), -1, 0)
        for values in (masses, change, moved, lacking, swing)
    )
    return _Field(survey, estimate, masses, change, moved, others, swing)


@dataclass(frozen=True)
class Choices:
    """Every candidate of a search in one list, with its estimates: kg, Hz, mm that a hand moves it."""

    job: Job
    frames: Sequence[Frame]
    field: _Field
    slowness: Floats

    @property
    def masses(self) -> Floats:
        return self.field.masses.ravel()

    @property
    def frequencies(self) -> Floats:
        result: Floats = least_frequency(self.job.survey) / self.slowness
        return result

    @property
    def gives(self) -> Floats:
        return self.field.moved.ravel() * max(most_give(self.job.survey), 1e-9)

    def shortfall(self, reserve: Reserve) -> Floats:
        """What each lacks; 0 for one that passes the quick estimates."""
        slow = np.maximum(self.slowness * reserve.frequency - 1.0, 0.0)
        result: Floats = self.field.shortfall(reserve).ravel() + slow
        return result

    def made_of(self, place: int) -> tuple[Frame, Extrusion, float]:
        """A candidate's frame, post and thickness of the angle that holds it."""
        at, post, angle = (int(one) for one in np.unravel_index(place, self.field.masses.shape))
        return self.frames[at], self.job.sections[post], self.job.angles[angle]

    def layout(self, place: int) -> MastLayout:
        """A candidate with its place on rail or floor, as `solve` gives it."""
        mass, short = float(self.masses[place]), float(self.shortfall(PLAIN)[place])
        choice = Choice(*self.made_of(place))
        held = footing_of(self.job.survey).settled(self.job, choice)
        return _layout(self.job, _Candidate(choice, mass, short), held)


def all_choices(survey: Survey, demand: Demand, catalogue: Catalogue) -> Choices:
    """Every candidate for a working view, in the order in which ties are decided."""
    job = footing_of(survey).job_of(survey, demand, catalogue)
    frames = frames_of(job)
    field = _field(job, frames)
    return Choices(job, frames, field, field.slowness(np.arange(field.masses.size)))


def _layout(job: Job, candidate: _Candidate, held: Held) -> MastLayout:
    survey, frame, post = job.survey, candidate.choice.frame, candidate.choice.post
    head, arm = frame.head, frame.arm
    beside, post_x = rules.BOLT_BESIDE, candidate.choice.post_x
    estimate = estimate_of(held.job, [frame])
    return MastLayout(
        family=survey.family or USUAL,
        post=post,
        arm=arm,
        plate=head.plate,
        foot=held.foot,
        head=head,
        drop=frame.drop,
        post_x=post_x,
        post_y=post_y(survey, post),
        post_bottom=held.bottom,
        post_length=math.ceil(post_top(survey, frame) - held.bottom),
        arm_length=int(arm_lengths(held.job, [frame])[0, 0, 0, 0]),
        cross_half=(post.size / 2 + beside + rules.EDGE, frame.half_z),
        cross_bolts=(post.size / 2 + beside, arm.size / 2 + beside),
        encoder=_encoder_place(survey, _encoder_from(survey, candidate.choice, held.foot), post),
        controller_z=controller_low(survey) + survey.controller.height / 2,
        settings=frame.settings,
        mass_kg=candidate.mass + held.added_kg,
        sag=estimate.quick.sag[:, 0, 0, 0],
        give=estimate.quick.give[:, 0, 0, 0],
        first_frequency_hz=float(estimate.first_frequency[:, 0, 0, 0].min()),
    )


def _encoder_from(survey: Survey, choice: Choice, foot: Foot) -> float:
    """x of the encoder's pivot, at least: beside the post, or past a clamp that stands over the rail."""
    if isinstance(foot, RailFoot) and stands_over(survey):
        return foot.pattern.leg_end_x + 2 * rules.PIVOT_EDGE
    return choice.post_x + choice.post.size + choice.angle + 30.0


def _encoder_place(survey: Survey, pivot_x: float, post: Extrusion) -> EncoderPlace | None:
    """The wheel on the bed's near edge, as close behind its pivot as its arm allows.

    On rollers the wheel stands on the next roller's top; on a belt its arm is as short as it can be.
    """
    encoder, line = survey.encoder, survey.line
    if encoder is None:
        return None
    radius, pivot_z = wheel_radius(encoder), encoder_pivot_z(survey, encoder)
    arm = math.ceil(max(encoder.body_diameter / 2 + 22.0, FLATTEST * (pivot_z - radius)))
    wheel_x = pivot_x + arm
    if line.surface == "rollers":
        steps = math.ceil((wheel_x - line.first_roller_at) / line.roller_pitch)
        wheel_x = line.first_roller_at + steps * line.roller_pitch
    post_face = post_y(survey, post) + post.size / 2
    least_y = post_face + 30.0 + encoder.wheel_offset
    wheel_y = max(line.bed_from_y + encoder.wheel_width / 2 + 2.0, least_y)
    plate_y = wheel_y - encoder.wheel_offset + rules.AUXILIARY
    return EncoderPlace(pivot_x, pivot_z, wheel_x, radius, wheel_y, plate_y)
