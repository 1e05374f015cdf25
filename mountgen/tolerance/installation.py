"""A mount put together ten thousand times: cut, bent, sawn, drilled as exactly as people do.

Every sample draws what the survey, the cutting, the drilling and the devices may be off, and asks of every
joint whether its screws pass, of post and arm whether they can be set plumb and level, and of the settings
whether every product is still within their travel. Limits are three standard deviations of a normal law.
Source: Monte Carlo (JCGM 101:2008); floating and fixed fasteners (ISO 2692, ASME Y14.5 annex B).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby, pairwise

import numpy as np

from mountgen.catalogue.reader import Catalogue
from mountgen.demand import Floats
from mountgen.detail.bridge import TITLES
from mountgen.detail.joints import JointPlan, NoHole, PressFit, RailDrilled, Through, clearance_of
from mountgen.detail.mast_joints import plans
from mountgen.geometry import Vec3, cross, dot, subtract
from mountgen.layout import rules
from mountgen.layout.play import cut_limit, lock_slot_width
from mountgen.layout.rail_mast import MastLayout
from mountgen.layout.stand import FOOT_TRAVEL, Stand
from mountgen.mechanics.tolerances import linear_limit
from mountgen.survey.records import Survey
from mountgen.tolerance.fitting import Flags, Sandwich, half_range, passes, spread_along
from mountgen.tolerance.records import Fit, JointFit

SAMPLES = 10_000
SEED = 3141

LEAN_DEG = 0.5
"""deg that the rail's web may lean from plumb (rule of this project)."""

SLOTTED_RAIL = 0.3
"""mm that the pitch of a rail's T-slots may be off (rule of this project)."""

WITHOUT_PLAY = frozenset({"none", "barrel", "foot", "anchor"})
"""Ends that nothing has to meet: openings, and what is drilled through the base itself or stands loose."""

FLOOR_SLOPE = 0.01
"""Of a hall's floor under a base: 1 in 100 (rule of this project; floors drain so)."""

TILT = frozenset({"pivot", "tilt lock", "tilt stop pin"})


@dataclass(frozen=True)
class Yard:
    """What is put together."""

    survey: Survey
    layout: MastLayout
    catalogue: Catalogue


@lru_cache(maxsize=128)
def draws(name: str, *shapes: tuple[int, ...]) -> tuple[Floats, ...]:
    """Standard normal values for a joint, arrays of (samples, *shape), kept for the next mount.

    One generator a joint, so that a joint's samples do not hang on which others the mount has.
    """
    dice = np.random.Generator(np.random.PCG64([SEED, *name.encode()]))
    found = tuple(dice.standard_normal((SAMPLES, *shape)) for shape in shapes)
    for values in found:
        values.flags.writeable = False
    return found


def installed(yard: Yard) -> Fit:
    """The chance that a mount goes together at the first try, and every joint's own, the least first."""
    made = plans(yard.layout, yard.survey, yard.catalogue, 0)
    trials = [*_joint_trials(yard, made), *_setting_trials(yard, made)]
    whole = np.logical_and.reduce([found for _, found in trials])
    joints = sorted((JointFit(name, float(found.mean())) for name, found in trials), key=lambda j: j.share)
    return Fit(SAMPLES, SEED, float(whole.mean()), tuple(joints))


def _joint_trials(yard: Yard, made: Sequence[JointPlan]) -> Iterator[tuple[str, Flags]]:
    """Do all screws pass, joint by joint."""
    for title, group in groupby((plan for plan in made if plan.end not in WITHOUT_PLAY), _title):
        screws = tuple(group)
        if screws[0].id.startswith("R"):
            yield title, _rail(yard, screws)
        elif title == "pivot":
            yield "tilt stops", _tilt(yard)
        elif title not in TILT and screws[0].end != "t_nut" and len(screws) > 1:
            yield title, _plates(yard, screws)


def _title(plan: JointPlan) -> str:
    return plan.title


def _plates(yard: Yard, screws: tuple[JointPlan, ...]) -> Flags:
    """Plates and devices on one another. T-nuts slide, and a single screw always passes."""
    places = _places(screws)
    apart = float(max(math.dist(a, b) for a in places for b in places))
    members = [m for m in zip(*(plan.members for plan in screws), strict=True) if not _is_loose(m[0])]
    limits = tuple(_limit(yard, row[0], apart) for row in members)
    plays = tuple(_play(screws[0], row[0]) for row in members)
    return _laid_on_one_another(screws[0].title, tuple(map(tuple, places.round(9).tolist())), limits, plays)


@lru_cache(maxsize=256)
def _laid_on_one_another(
    title: str, places: tuple[tuple[float, float], ...], limits: tuple[float, ...], plays: tuple[float, ...]
) -> Flags:
    """Kept, because the same mount is looked at again and again with another line around it. Places, how far
    each member's holes may be off, and the play of a screw in them, mm."""
    found, at = np.ones(SAMPLES, dtype=bool), np.array(places)
    each = draws(title, *[(len(places), 2)] * len(limits))
    drawn = [_off(limit, values) for limit, values in zip(limits, each, strict=True)]
    for (one, a), (other, b) in pairwise(zip(plays, drawn, strict=True)):
        found &= _pass(a - b, at, one + other)
    found.flags.writeable = False
    return found


def _pass(off: Floats, places: Floats, play: float) -> Flags:
    """Two screws pass when they are not too far apart or too near; more of them only all at once."""
    if len(places) > 2:
        return passes(off, places, play)
    along = (places[1] - places[0]) / math.dist(*places)
    at = places @ along
    return spread_along(off, (float(along[0]), float(along[1])), at) <= 2.0 * play


def _is_loose(member: Through) -> bool:
    return member.instance == "pivot washer"


def _limit(yard: Yard, member: Through, apart: float) -> float:
    """mm that a member's hole may be off its place: cut, drilled by hand, or a device's own."""
    if isinstance(member.cut, NoHole):
        return linear_limit(apart)
    return cut_limit(yard.survey.work, apart)


def _play(plan: JointPlan, member: Through) -> float:
    """mm that a screw may stand off the middle of a member's hole, to either side."""
    if isinstance(member.cut, RailDrilled):
        width = member.cut.diameter or plan.thread.clearance_coarse
    elif isinstance(member.cut, NoHole | PressFit):
        return 0.0
    else:
        width = clearance_of(member.cut, plan.thread)
    return (width - plan.thread.diameter) / 2.0


def _off(limit: float, drawn: Floats) -> Floats:
    """Deviations from standard normal values, mm: no more than the limit in three standard deviations."""
    return limit / 3.0 * drawn


def _places(screws: Sequence[JointPlan]) -> Floats:
    """Where the screws are in the plane of their joint, (screws, 2), mm; the second axis is world z for
    a joint whose screws lie level."""
    direction = screws[0].direction
    first = (1.0, 0.0, 0.0) if abs(direction[0]) < 0.5 else (0.0, 1.0, 0.0)
    second: Vec3 = cross(direction, first)
    seats = [subtract(plan.seat, screws[0].seat) for plan in screws]
    return np.array([(dot(seat, first), dot(seat, second)) for seat in seats])


def _rail(yard: Yard, screws: tuple[JointPlan, ...]) -> Flags:
    """The rail angle on the rail. Its slots let it up and down, square to the rail; holes are drilled by
    hand but in T-slots, where nuts slide along the rail and only the slots' pitch counts."""
    work, half = yard.survey.work, _leg_travel(yard)
    if yard.layout.clamp is not None:
        return _jaws(yard, screws)
    places = _places(screws)
    cut = cut_limit(work, float(max(math.dist(a, b) for a in places for b in places)))
    if yard.survey.rail.section.slots:
        leg, slots = draws(screws[0].title, *((len(screws), 2),) * 2)
        return half_range((_off(cut, leg) + _off(SLOTTED_RAIL, slots))[..., 1]) <= half
    plays = tuple(_play(screws[0], member) for member in screws[0].members)
    spots = tuple(map(tuple, places.round(9).tolist()))
    return _on_drilled_rail(screws[0].title, spots, (cut, work.drill), (half, *plays))


@lru_cache(maxsize=256)
def _on_drilled_rail(
    title: str, spots: tuple[tuple[float, float], ...], limits: tuple[float, float], plays: tuple[float, ...]
) -> Flags:
    """Kept as `_laid_on_one_another` is. How far holes may be off in the flats and on the rail; plays of a
    screw up and down in the leg's slots, along the rail in them, in the rail and, if there is one, in the
    plate behind."""
    cut, drill = limits
    half, slotted, wall, *behind = plays
    leg, rail, loose = draws(title, *((len(spots), 2),) * 3)
    off = _off(cut, leg) - _off(drill, rail)
    found = half_range(off[..., 1]) <= half
    if behind:
        aside = _off(cut, loose) - _off(drill, rail)
        found &= Sandwich(slotted, wall, *behind).passes(off[..., 0], aside, np.array(spots))
    else:
        found &= half_range(off[..., 0]) <= slotted + wall
    found.flags.writeable = False
    return found


def _jaws(yard: Yard, screws: Sequence[JointPlan]) -> Flags:
    """A jaw follows the leg; its two screws pass where their distance in both differs by less than the play
    of the leg's slots, for a thread has none."""
    left, right = yard.layout.on_rail.pattern.columns
    room, limit = 2.0 * _play(screws[0], screws[0].members[0]), cut_limit(yard.survey.work, right - left)
    leg, jaws = draws("clamp's jaws", *((len(screws), 2),) * 2)
    off = _off(limit, leg)[..., 0] - _off(limit, jaws)[..., 0]
    pairs = ((0, 1), (2, 3))
    found: Flags = np.logical_and.reduce([np.abs(off[:, a] - off[:, b]) <= room for a, b in pairs])
    return found


def _tilt(yard: Yard) -> Flags:
    """Pivot, lock and stop pin of ear and swing plate: the pin fits, the plate turns about it, and what
    their radii differ must be left by the pivot's hole and by the lock's slot."""
    head, work = yard.layout.head, yard.survey.work
    screw = yard.catalogue.thread(rules.SCREW)
    play = (screw.clearance_medium - screw.diameter) / 2.0
    room = (lock_slot_width(work, screw, (head.lock_radius, head.pin_radius)) - screw.diameter) / 2.0
    pin, lock = (
        math.sqrt(2.0) * _off(cut_limit(work, radius), drawn)
        for radius, drawn in zip(
            (head.pin_radius, head.lock_radius), draws("tilt stops", (), ()), strict=True
        )
    )
    return (np.abs(pin) <= play) & (np.abs(lock - pin) <= room)


def _setting_trials(yard: Yard, made: Sequence[JointPlan]) -> Iterator[tuple[str, Flags]]:
    """Can the mount be set: post plumb, arm level, every product within the travel."""
    if yard.layout.on_floor is not None:
        yield "stand plumb", _stand_plumb(yard.layout.on_floor)
    near = "post to rail angle"
    for title, name in ((near, "post plumb"), (TITLES[near], "far post plumb")):
        if screws := [plan for plan in made if plan.title == title]:
            yield name, _plumb(yard, name, screws)
    yield "arm level", _level(yard)
    yield "travel up and down", _up_down(yard)
    yield "travel in and out", _in_out(yard)


def _plumb(yard: Yard, name: str, screws: Sequence[JointPlan]) -> Flags:
    """A post's lower slot against a web that leans and holes that are off."""
    play, (leans, cuts) = _play(screws[0], screws[0].members[0]), draws(name, (), (2, 2))
    apart = math.dist(screws[0].seat, screws[1].seat)
    lean = apart * np.tan(np.radians(_off(LEAN_DEG, leans)))
    cut = _off(cut_limit(yard.survey.work, apart), cuts)[..., 0]
    away = lean + cut[:, 0] - cut[:, 1]
    found: Flags = np.abs(away) <= rules.PLUMB_TRAVEL + 2.0 * play
    return found


def _stand_plumb(stand: Stand) -> Flags:
    """The travel of the feet under a base against the floor's slope, from corner to corner."""
    slopes = _off(FLOOR_SLOPE, draws("stand plumb", (2,))[0])
    found: Flags = np.abs(slopes) @ np.array(stand.base.spans) <= 2.0 * FOOT_TRAVEL
    return found


def _level(yard: Yard) -> Flags:
    """Both pairs of screws of the cross plate, each with its play: together they must turn the arm level."""
    layout, needed, room = yard.layout, np.zeros(SAMPLES), 0.0
    drawn = draws("arm level", (2, 2), (2, 2))
    for bar, half, cuts in zip((layout.arm, layout.post), layout.cross_bolts, drawn, strict=True):
        screw = yard.catalogue.thread(bar.nut_thread)
        cut = _off(cut_limit(yard.survey.work, 2.0 * half), cuts)[..., 0]
        needed += (cut[:, 0] - cut[:, 1]) / (2.0 * half)
        room += (screw.clearance_medium - screw.diameter) / (2.0 * half)
    found: Flags = np.abs(needed) <= room
    return found


def _up_down(yard: Yard) -> Flags:
    """What the rail is higher or lower than surveyed, and drilled off its height, less the slots' travel; of
    a stand what the surface is, less the feet's travel."""
    rail, drawn = yard.survey.rail, draws("travel up and down", (), (4,), ())
    if yard.layout.on_floor:
        half, off, drill = FOOT_TRAVEL, yard.survey.line.surface_height.plus_minus, 0.0
    else:
        half, off, drill = _leg_travel(yard), rail.top_above_surface.plus_minus, yard.survey.work.drill
    height = _off(off, drawn[0])
    drilled = _off(drill, drawn[1]).mean(axis=1)
    sawn = _off(saw_limit(yard.survey, yard.layout.post_length), drawn[2])
    left = np.maximum(np.abs(height + drilled) - half, 0.0)
    found: Flags = left + np.abs(sawn) <= yard.layout.spare_up_down(float(rail.top_above_surface))
    return found


def _leg_travel(yard: Yard) -> float:
    """mm either way of the rail angle's slots."""
    return yard.layout.on_rail.pattern.slot_travel / 2.0


def _in_out(yard: Yard) -> Flags:
    """Where the products run, where the fold puts the post, how long the arm was sawn."""
    survey, layout = yard.survey, yard.layout
    guide = survey.guides.near_y.plus_minus if survey.guides is not None else 0.0
    sawn, cut = saw_limit(survey, layout.arm_length), cut_limit(survey.work, layout.arm.size)
    limits = (guide, survey.work.bend_line, sawn, cut)
    away = _off(math.hypot(*limits), *draws("travel in and out", ()))
    found: Flags = np.abs(away) <= layout.spare_in_out
    return found


def saw_limit(survey: Survey, length: float) -> float:
    """mm that a bar may be sawn off its length: as given, or ISO 2768-1 m."""
    return linear_limit(length) if survey.work.saw is None else survey.work.saw
