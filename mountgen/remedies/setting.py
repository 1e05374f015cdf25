"""Levers on how the mount is set and made: stand-off, photo-eye, joints, how exactly it is drilled."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from mountgen.checks.records import Check
from mountgen.remedies.grading import FINEST, MIDDLE, Number, graded, step_of
from mountgen.remedies.records import Lever
from mountgen.study import Study

FINEST_SETTING = 0.1
"""mm that a person sets with a fine thread and a gauge."""
FARTHEST_EYE = 500.0
FINEST_DRILLING, FINEST_CUTTING = 0.2, 0.05
"""mm that holes are off when drilled through bushes, and when cut by a well-kept laser (common practice)."""
ROUGHEST, FRICTION_STEP = 0.3, 0.05
"""Friction of bare, toothed or zinc-silicate painted faces against one another (common practice)."""


def other_target(study: Study, _: Check) -> Iterator[Lever]:
    """Another distance inside the best band."""
    survey, standoff = study.survey, study.survey.standoff
    step = step_of(FINEST, survey.units)
    for kind, limit in (("farther", standoff.best[1]), ("nearer", standoff.best[0])):
        number = Number("standoff.target", kind, standoff.target, limit, step)
        yield from graded(
            number,
            lambda new, by, kind=kind: f"print from {new} ({by} {kind})",  # type: ignore[misc]
            lambda value: replace(survey, standoff=replace(standoff, target=value)),
            survey.units,
        )


def finer_setting(study: Study, _: Check) -> Iterator[Lever]:
    survey, standoff = study.survey, study.survey.standoff
    step = step_of(FINEST, survey.units)
    if standoff.setting <= FINEST_SETTING:
        return
    yield from graded(
        Number("standoff.setting", "finer", standoff.setting, FINEST_SETTING, step),
        lambda new, by: f"set the stand-off to {new}, with a gauge ({by} finer)",
        lambda value: replace(survey, standoff=replace(standoff, setting=value)),
        survey.units,
    )


def other_eye_distance(study: Study, _: Check) -> Iterator[Lever]:
    """The photo-eye farther from the nozzles or nearer, by its place as laid out."""
    survey = study.survey
    old, step = -study.scene.layout.head.eye_x, step_of(MIDDLE, survey.units)
    for kind, limit in (("farther", old + FARTHEST_EYE), ("nearer", step)):
        number = Number("sensor.distance", kind, old, limit, step)
        yield from graded(
            number,
            lambda new, by, kind=kind: f"set the photo-eye {new} from the nozzles ({by} {kind})",  # type: ignore[misc]
            lambda value: replace(survey, sensor_distance=value),
            survey.units,
        )


def finer_drilling(study: Study, _: Check) -> Iterator[Lever]:
    survey, work = study.survey, study.survey.work
    if work.drill <= FINEST_DRILLING:
        return
    yield from graded(
        Number("work.drill", "finer", work.drill, FINEST_DRILLING, step_of(FINEST, survey.units)),
        lambda new, by: f"drill the rail's holes to +/- {new}, with a bushed template ({by} finer)",
        lambda value: replace(survey, work=replace(work, drill=value)),
        survey.units,
    )


def finer_cutting(study: Study, _: Check) -> Iterator[Lever]:
    survey, work = study.survey, study.survey.work
    if work.cut is None or work.cut <= FINEST_CUTTING:
        return
    yield from graded(
        Number("work.cut", "finer", work.cut, FINEST_CUTTING, step_of(FINEST, survey.units)),
        lambda new, by: f"cut holes to +/- {new} of their places ({by} finer)",
        lambda value: replace(survey, work=replace(work, cut=value)),
        survey.units,
    )


def rougher_faces(study: Study, _: Check) -> Iterator[Lever]:
    survey, joining = study.survey, study.survey.joining
    if joining.friction >= ROUGHEST:
        return
    yield from graded(
        Number("joining.friction", "more", joining.friction, ROUGHEST, FRICTION_STEP, ""),
        lambda new, by: f"roughen the joints' faces to a friction of {new} ({by} more)",
        lambda value: replace(survey, joining=replace(joining, friction=value)),
        survey.units,
    )
