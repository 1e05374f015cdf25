"""Measured values as observations of what may be off: linear in millimetres, degrees and per cent.

How exactly something is measured is its +/- where given, else what is common practice with a steel rule, a
feeler gauge, a stopwatch; limits are three standard deviations.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from mountgen.asbuilt import common
from mountgen.asbuilt.common import Common, apart_from_head, commons
from mountgen.asbuilt.raw import RawGap, RawHole, RawMeasured, RawRun
from mountgen.asbuilt.records import Observation, Unknown
from mountgen.demand import Floats
from mountgen.layout.readings import Readings, readings
from mountgen.study import Study
from mountgen.tolerance.budget import VARIANCE
from mountgen.tolerance.causes import Situation, causes
from mountgen.tolerance.records import Cause
from mountgen.units import Measured

GAP, ZERO, HOLE, EYE, READ = 0.2, 0.5, 0.5, 0.5, 0.2
"""mm that a feeler gauge, a steel rule and a scale that is read on purpose may be off (common practice)."""
TRAVEL = 5.0
"""mm that a length of belt may be measured off (common practice)."""
STOPWATCH = 0.3
"""s that a hand on a stopwatch may be off, start and stop together (common practice)."""
COUNT = 1.0
FACE = frozenset({"product size", "play at the guide"})
"""Causes of the product's face beside those whose origin is the product: a straight edge has none of them."""


@dataclass(frozen=True)
class Model:
    """A mount's design and all that may be off it."""

    study: Study
    situation: Situation
    designed: Readings
    common: tuple[Common, ...]
    by_product: tuple[Cause, ...]
    """Causes that are another one at every product, or at every setting."""

    @property
    def share(self) -> tuple[Floats, Floats]:
        """What the gap of every product gains when the head stands 1 mm further towards the line, or up."""
        tilt = np.radians(self.designed.tilt_deg)
        return -np.cos(tilt), np.sin(tilt)


def model_of(study: Study) -> Model:
    """The model of a mount as designed."""
    scene = study.scene
    situation = Situation(scene.survey, scene.demand, scene.layout, scene.structure)
    together = {common.LEAN, common.LEVEL, "place of the other guide"}
    others = tuple(cause for cause in causes(situation) if cause.name not in together)
    return Model(study, situation, readings(scene.demand, scene.layout), commons(situation), others)


def observed(model: Model, raw: RawMeasured) -> tuple[tuple[Unknown, ...], tuple[Observation, ...]]:
    """All unknowns, and everything that was measured."""
    named = {name: row for row, name in enumerate(model.designed.names)} if raw.standoff else {}
    gaps = [_gap(model, one, named[one.product], at) for at, one in enumerate(raw.standoff, 1)]
    unknowns = [
        *(one.unknown for one in model.common),
        *apart_from_head(),
        *(unknown for found, _ in gaps for unknown in found),
        *(_hole_unknown(model, hole, way) for hole in raw.hole for way in WAYS),
    ]
    seen = [
        *_zeros(raw),
        *(observation for _, observation in gaps),
        *_holes(model, raw.hole),
        *_eye(model, raw),
        *(one for at, run in enumerate(raw.run, 1) for one in _run(model, run, at)),
    ]
    return tuple(unknowns), tuple(seen)


def _sigma(value: Measured, usual: float) -> float:
    return (value.plus_minus or usual) / common.SIGMAS


def _zeros(raw: RawMeasured) -> Iterator[Observation]:
    for name, zero in ((common.POST_SCALE, raw.scales.post_zero), (common.ARM_SCALE, raw.scales.arm_zero)):
        if zero is not None:
            yield Observation(name, float(zero), _sigma(zero, ZERO), {name: 1.0})


def _gap(model: Model, one: RawGap, row: int, at: int) -> tuple[list[Unknown], Observation]:
    """The gap against what it should have been at the readings that were set."""
    toward, up = (float(share[row]) for share in model.share)
    arm, post = float(model.designed.arm[row]), float(model.designed.post[row])
    arm_off = 0.0 if one.arm is None else float(one.arm) - arm
    post_off = 0.0 if one.post is None else float(one.post) - post
    designed = model.study.survey.standoff.target - toward * arm_off + up * post_off
    on = {c.unknown.name: toward * float(c.toward[row]) + up * float(c.up[row]) for c in model.common}
    own = _own_unknowns(model, one, row, at)
    on |= {unknown.name: 1.0 for unknown in own}
    what = f"stand-off {at} ({one.product})"
    return own, Observation(what, float(one.gap) - designed, _sigma(one.gap, GAP), on)


def _own_unknowns(model: Model, one: RawGap, row: int, at: int) -> list[Unknown]:
    """What was off at this one measurement: the product's face, and how the setting was read."""
    made = []
    reading = one.post if model.situation.on_top[row] else one.arm
    for cause in model.by_product:
        limit, tells = float(cause.limit[row]), cause.tells
        sigma = math.sqrt(VARIANCE[cause.law]) * limit
        if cause.name == "reading a setting" and reading is not None:
            sigma, tells = _sigma(reading, READ), "as the scale was read for this measurement"
        if sigma > 0.0 and not _absent(cause, straight_edge=one.to == "straight edge"):
            made.append(Unknown(f"{cause.name}, stand-off {at} ({one.product})", "mm", sigma, tells))
    return made


def _absent(cause: Cause, *, straight_edge: bool) -> bool:
    """What plays no part when the line stands and the middle of the nozzle column is measured at, or with a
    straight edge in the product's place."""
    face = cause.origin == "product" or cause.name in FACE
    return cause.origin == "vibration" or cause.name == "tilt stop" or (straight_edge and face)


WAYS = ("along the line", "in height")


def _hole_unknown(model: Model, hole: RawHole, way: str) -> Unknown:
    tells = "positive: to the right" if way == WAYS[0] else "positive: too high"
    sigma = model.study.survey.work.drill / common.SIGMAS
    return Unknown(f"hole {hole.tag} {way}", "mm", sigma, f"{tells}; drilled by hand, from the survey")


def _holes(model: Model, measured: list[RawHole]) -> Iterator[Observation]:
    """Two observations a hole; turning is about the middle of all holes, seen from the operator's side."""
    holes = [hole for hole in model.study.detail.rail_holes if hole.rail == "rail"]
    top = float(model.study.survey.rail.top_above_surface)
    middle = [float(np.mean([getattr(hole, axis) for hole in holes])) for axis in ("x", "z")] if holes else []
    for one in measured:
        hole = next(hole for hole in holes if hole.tag == one.tag)
        along, high = (hole.x - middle[0]) * common.RAD, (hole.z - middle[1]) * common.RAD
        for way, value, off, shift, turned in (
            (WAYS[0], one.x, float(one.x) - hole.x, common.HOLES_ALONG, -high),
            (WAYS[1], one.below_top, top - float(one.below_top) - hole.z, common.HOLES_UP, along),
        ):
            name = f"hole {hole.tag} {way}"
            on = {shift: 1.0, common.HOLES_TURNED: turned, name: 1.0}
            yield Observation(name, off, _sigma(value, HOLE), on)


def _eye(model: Model, raw: RawMeasured) -> Iterator[Observation]:
    if raw.sensor is not None:
        distance = raw.sensor.distance
        off = float(distance) - model.study.setup.sensor_to_nozzle_mm
        yield Observation("photo-eye to nozzles", off, _sigma(distance, EYE), {common.EYE: 1.0})


def _run(model: Model, run: RawRun, at: int) -> Iterator[Observation]:
    """Speed from length and time, the encoder's factor from counts and length, both from counts and time.

    Per cent are of natural logarithms, in which ratios add up exactly.
    """
    setup = model.study.setup
    speed, factor = setup.speed_m_per_min * 1000.0 / 60.0, setup.counts_per_mm or 1.0
    length = None if run.length is None else float(run.length)
    off_length = 0.0 if run.length is None or length is None else _sigma(run.length, TRAVEL) / length
    off_time = 0.0 if run.time is None else STOPWATCH / common.SIGMAS / run.time
    off_counts = 0.0 if run.counts is None else COUNT / common.SIGMAS / run.counts
    name = f"run {at}"
    if length is not None and run.time is not None:
        ratio = length / run.time / speed
        yield _ratio(f"speed of {name}", ratio, math.hypot(off_length, off_time), common.SPEED)
    if length is not None and run.counts is not None:
        ratio = run.counts / length / factor
        yield _ratio(f"counts of {name}", ratio, math.hypot(off_length, off_counts), common.ENCODER)
    if length is None and run.counts is not None and run.time is not None:
        ratio = run.counts / run.time / (speed * factor)
        off = math.hypot(off_time, off_counts)
        yield _ratio(f"counts of {name} in its time", ratio, off, common.SPEED, common.ENCODER)


def _ratio(what: str, ratio: float, sigma: float, *unknowns: str) -> Observation:
    return Observation(what, 100.0 * math.log(ratio), 100.0 * sigma, dict.fromkeys(unknowns, 1.0))
