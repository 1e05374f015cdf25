"""From what was measured to what is set instead, and whether every product is then within its band."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from mountgen.asbuilt import common
from mountgen.asbuilt.advice import advice
from mountgen.asbuilt.estimate import estimate, findings
from mountgen.asbuilt.model import Model, model_of, observed
from mountgen.asbuilt.raw import RawMeasured
from mountgen.asbuilt.records import AsBuilt, Estimate
from mountgen.checks import sensing
from mountgen.checks.records import Check, Subject, at_least, at_most, overall
from mountgen.checks.scene import Scene
from mountgen.demand import Floats
from mountgen.layout.readings import Readings
from mountgen.layout.records import Setup
from mountgen.layout.setup import set_up
from mountgen.study import Study
from mountgen.survey.records import Survey
from mountgen.tolerance.budget import COVERAGE, VARIANCE

SELDOM = 0.01
"""Chance below which measured values are said not to fit the design's tolerances (common practice)."""
RULE = "rule of this project"


def as_built(study: Study, raw: RawMeasured) -> AsBuilt:
    """What most likely differs from a studied mount, and what to set; `raw` as `reader` gives it."""
    model = model_of(study)
    found = estimate(*observed(model, raw))
    toward, up = moved(model, found)
    designed = model.designed
    scene = corrected_scene(study.scene, found)
    shifted = replace(designed, arm=designed.arm + toward, post=designed.post - up)
    settled = replace(shifted, delay=designed.delay + found.value(common.EYE))
    setup = corrected_setup(scene, settled)
    checks = (
        _standoff(model, found),
        *_travel(study, toward, up),
        _fit(found),
        *sensing.checks(scene),
    )
    listed = findings(found)
    told = advice(study.survey, listed, (toward, up), (study.setup, setup))
    return AsBuilt(listed, _misfit(found), settled, setup, told, checks, overall(checks))


def moved(model: Model, found: Estimate) -> tuple[Floats, Floats]:
    """How far every product's head most likely stands towards the line and up of where it should, mm."""
    toward, up = np.zeros(model.situation.count), np.zeros(model.situation.count)
    for one in model.common:
        value = found.value(one.unknown.name)
        toward, up = toward + value * one.toward, up + value * one.up
    return toward, up


def corrected_scene(scene: Scene, found: Estimate) -> Scene:
    """The scene with the photo-eye, the speed and the wheel as they were found."""
    head = scene.layout.head
    layout = replace(scene.layout, head=replace(head, eye_x=head.eye_x - found.value(common.EYE)))
    return replace(scene, survey=_measured_line(scene.survey, found), layout=layout)


def _measured_line(survey: Survey, found: Estimate) -> Survey:
    faster = math.exp(found.value(common.SPEED) / 100.0)
    line = replace(survey.line, speed_mm_per_s=survey.line.speed_mm_per_s * faster)
    encoder = survey.encoder
    if encoder is not None:
        longer = math.exp(-found.value(common.ENCODER) / 100.0)
        encoder = encoder.model_copy(update={"wheel_circumference": encoder.wheel_circumference * longer})
    return replace(survey, line=line, encoder=encoder)


def corrected_setup(scene: Scene, settled: Readings) -> Setup:
    """The controller's numbers of the corrected scene, and the corrected readings of its products."""
    plain = set_up(scene.survey, scene.demand, scene.layout)
    products = (
        replace(one, post_scale_mm=float(settled.post[row]), arm_scale_mm=float(settled.arm[row]))
        for row, one in enumerate(plain.products)
    )
    return replace(plain, products=tuple(products))


def _standoff(model: Model, found: Estimate) -> Check:
    """The stand-off of the worst product once the readings are corrected, about 95 % of its pieces."""
    standoff = model.study.survey.standoff
    spread = COVERAGE * np.sqrt(_variance_left(model, found) + _own_variance(model))
    room = min(standoff.target - standoff.acceptable[0], standoff.acceptable[1] - standoff.target)
    worst = int(np.argmax(spread))
    title = f"stand-off with corrected readings, {model.designed.names[worst]}, either way"
    subject = Subject("as_built_standoff", title, "mm", "JCGM 100:2008; " + RULE)
    remedy = "measure the stand-off at more products, to a straight edge: {} mm too much"
    return at_most(subject, float(spread[worst]), room, remedy)


def _variance_left(model: Model, found: Estimate) -> Floats:
    """What is still unknown of the head's place at every product, mm2 of stand-off: of what was seen by the
    estimate's covariance, of the rest by what was likely beforehand."""
    toward, up = model.share
    seen = [unknown.name for unknown in found.unknowns]
    left = np.zeros(model.situation.count)
    effects, rows = [], []
    for one in model.common:
        effect = toward * one.toward + up * one.up
        if one.unknown.name in seen:
            effects.append(effect)
            rows.append(seen.index(one.unknown.name))
        else:
            left += (effect * one.unknown.sigma) ** 2
    if rows:
        table = np.array(effects)
        left += np.einsum("in,ij,jn->n", table, found.covariance[np.ix_(rows, rows)], table)
    return left


def _own_variance(model: Model) -> Floats:
    """Variance of what is another one at every product or setting, mm2."""
    left = np.zeros(model.situation.count)
    for cause in model.by_product:
        left += VARIANCE[cause.law] * cause.limit**2
    return left


def _travel(study: Study, toward: Floats, up: Floats) -> tuple[Check, ...]:
    """The corrected readings must still lie on post and arm."""
    layout, rail = study.scene.layout, study.survey.rail
    post = Subject("as_built_travel", "correction of the post scale within its spare travel", "mm", RULE)
    arm = Subject("as_built_travel", "correction of the arm scale within its spare travel", "mm", RULE)
    spare = layout.spare_up_down(float(rail.top_above_surface))
    return (
        at_most(post, float(np.abs(up).max()), spare, "set the rail angle {} mm nearer to its height"),
        at_most(arm, float(np.abs(toward).max()), layout.spare_in_out, "take an arm {} mm longer"),
    )


def _fit(found: Estimate) -> Check:
    """Whether tolerances explain what was measured; a caution where they hardly do."""
    title = "chance that tolerances alone explain what was measured"
    subject = Subject("as_built_fit", title, "", "chi-square; " + RULE)
    return at_least(subject, found.chance, 0.0, "measure again what is farthest off", enough=SELDOM)


def _misfit(found: Estimate) -> str:
    if found.chance >= SELDOM:
        return ""
    worst = int(np.argmax(np.abs(found.misfits)))
    return (
        f"The measured values are farther from the design than its tolerances explain (chance "
        f"{100 * found.chance:.2g} %). Farthest off: {found.observations[worst].what}, "
        f"{abs(found.misfits[worst]):.1f} standard deviations. Measure that again before you correct "
        "anything."
    )
