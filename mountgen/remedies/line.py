"""Levers on the line: its speed, its guides, the free stretch, what stands in the way."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from mountgen.checks.clearances import beam_spans
from mountgen.checks.records import Check
from mountgen.checks.scene import FAR
from mountgen.geometry import Box
from mountgen.layout import rules
from mountgen.remedies.grading import COARSE, FINEST, MIDDLE, MM_PER_INCH, Number, graded, shown, step_of
from mountgen.remedies.products import columns, product_key
from mountgen.remedies.records import Lever, Trial
from mountgen.study import Study
from mountgen.survey.records import Guides, Keepout, Measured, Survey

FARTHEST = 300.0
"""mm that something on a line may be moved."""
WIDER_APART = 500.0
NEARER_BY = 100.0
LOWEST_GUIDE, THINNEST_GUIDE = 5.0, 10.0
LONGEST_OPENING = 150.0
"""mm that the near guide may be interrupted beyond what reaches into it, either way."""
MM_PER_FOOT = 12 * MM_PER_INCH
SHORTEST_SPAN = 100.0
MOST_GEAR, RPM_STEP = 2.0, 10.0
"""How many times quicker or slower a drive may turn at the same line speed, and in what steps."""
Builder = Callable[[Study, Check], Iterator[Lever]]


def _guided(survey: Survey, **changes: object) -> Survey:
    assert survey.guides is not None
    return replace(survey, guides=replace(survey.guides, **changes))  # type: ignore[arg-type]


def _sited(survey: Survey, **changes: object) -> Survey:
    return replace(survey, rail=replace(survey.rail, **changes))  # type: ignore[arg-type]


def _moved(place: Measured, value: float) -> Measured:
    return Measured(value, place.plus_minus)


def slower(study: Study, _: Check) -> Iterator[Lever]:
    """Whole metres (or feet) a minute, down to a tenth of the speed."""
    survey = study.survey
    metric = survey.units == "mm"
    per_s = (1000.0 if metric else MM_PER_FOOT) / 60
    old = survey.line.speed_mm_per_s / per_s
    number = Number("line.speed", "slower", old, old / 10, 1.0, "m/min" if metric else "ft/min")

    def change(value: float) -> Survey:
        return replace(survey, line=replace(survey.line, speed_mm_per_s=value * per_s))

    yield from graded(number, lambda new, by: f"run the line at {new} ({by} slower)", change, survey.units)


def other_drive(study: Study, _: Check) -> Iterator[Lever]:
    """The drive's motor quicker or slower, at the same speed of the line: another gear."""
    survey, old = study.survey, study.survey.line.drive_rpm
    if old is None:
        return
    for kind, limit in (("quicker", old * MOST_GEAR), ("slower", old / MOST_GEAR)):
        yield from graded(
            Number("line.drive_rpm", kind, old, limit, RPM_STEP, "rpm"),
            lambda new, by, kind=kind: f"let the drive turn at {new}, by another gear ({by} {kind})",  # type: ignore[misc]
            lambda value: replace(survey, line=replace(survey.line, drive_rpm=value)),
            survey.units,
        )


def near_guide(study: Study, _: Check) -> Iterator[Lever]:
    """The near guide farther from the mount side, or nearer to it, and with it what it places."""
    survey, guides = study.survey, study.survey.guides
    if guides is None:
        yield from _without_guides(survey)
        return
    old, step = float(guides.near_y), step_of(COARSE, survey.units)
    room = float(guides.far_y) - old - float(survey.products.width.max())

    def change(value: float) -> Survey:
        return _guided(survey, near_y=_moved(guides.near_y, value))

    for kind, limit in (("farther", old + room), ("nearer", old - NEARER_BY)):
        if (limit > old) == (kind == "farther"):
            number = Number("guides.near_y", kind, old, limit, step)
            yield from graded(
                number,
                lambda new, by, kind=kind: f"set the near guide to y = {new} ({by} {kind})",  # type: ignore[misc]
                change,
                survey.units,
            )


def _without_guides(survey: Survey) -> Iterator[Lever]:
    places = survey.products.near_side_at
    old, step = float(places.min()), step_of(COARSE, survey.units)
    room = survey.rail.far_rail_at - float((places + survey.products.width).max())

    def change(value: float) -> Survey:
        return columns(survey, near_side_at=places + (value - old))

    for kind, limit in (("farther", old + min(room, FARTHEST)), ("nearer", old - NEARER_BY)):
        if (limit > old) == (kind == "farther"):
            number = Number(product_key(survey, "near_side_at"), kind, old, limit, step)
            yield from graded(
                number,
                lambda new, by, kind=kind: f"let the products run at y = {new} at least ({by} {kind})",  # type: ignore[misc]
                change,
                survey.units,
            )


def far_guide(study: Study, _: Check) -> Iterator[Lever]:
    survey, guides = study.survey, study.survey.guides
    if guides is None or survey.rail.far_rail_at <= guides.far_y:
        return
    limit = min(survey.rail.far_rail_at, guides.far_y + WIDER_APART)
    number = Number("guides.far_y", "farther", float(guides.far_y), limit, step_of(COARSE, survey.units))
    yield from graded(
        number,
        lambda new, by: f"set the far guide to y = {new} ({by} farther)",
        lambda value: _guided(survey, far_y=_moved(guides.far_y, value)),
        survey.units,
    )


def lower_guide(study: Study, _: Check) -> Iterator[Lever]:
    """The guides at another height: their lower edge is told."""
    survey, guides = study.survey, study.survey.guides
    if guides is None or guides.z[0] <= LOWEST_GUIDE:
        return
    low, high = guides.z
    number = Number("guides.z", "lower", high, high - (low - LOWEST_GUIDE), step_of(MIDDLE, survey.units))
    yield from graded(
        number,
        lambda new, by: f"lower the guides: their upper edge at {new} ({by} lower)",
        lambda value: _guided(survey, z=(low + value - high, value)),
        survey.units,
    )


def thinner_guide(study: Study, _: Check) -> Iterator[Lever]:
    survey, guides = study.survey, study.survey.guides
    if guides is None or guides.depth <= THINNEST_GUIDE:
        return
    number = Number("guides.depth", "less", guides.depth, THINNEST_GUIDE, step_of(COARSE, survey.units))
    yield from graded(
        number,
        lambda new, by: f"fix the guides so that they reach back {new} only ({by} less)",
        lambda value: _guided(survey, depth=value),
        survey.units,
    )


def less_play(study: Study, _: Check) -> Iterator[Lever]:
    survey, guides = study.survey, study.survey.guides
    if guides is None or guides.play <= 0.0:
        return
    number = Number("guides.play", "less", guides.play, 0.0, step_of(FINEST, survey.units))
    yield from graded(
        number,
        lambda new, by: f"leave the products {new} of play at the guide ({by} less)",
        lambda value: _guided(survey, play=value),
        survey.units,
    )


def opening(study: Study, _: Check) -> Iterator[Lever]:
    """The near guide interrupted, or its interruption longer or shorter at one end or both."""
    survey, guides = study.survey, study.survey.guides
    if guides is None:
        return
    if guides.open is None:
        yield from _interrupted(study, guides)
        return
    low, high = guides.open
    step = step_of(COARSE, survey.units)
    ends = {
        "longer left": (1.0, 0.0, LONGEST_OPENING),
        "longer right": (0.0, 1.0, LONGEST_OPENING),
        "longer": (1.0, 1.0, LONGEST_OPENING),
        "shorter left": (-1.0, 0.0, (high - low) / 2),
        "shorter right": (0.0, -1.0, (high - low) / 2),
    }
    for kind, (left, right, most) in ends.items():
        yield from _opened(survey, kind, (low, high), (left * step, right * step), int(most / step))


def _interrupted(study: Study, guides: Guides) -> Iterator[Lever]:
    """An opening around what would reach into the guide."""
    survey, scene = study.survey, study.scene
    step = step_of(COARSE, survey.units)
    y = (guides.near_y - guides.depth, guides.near_y)
    space = Box((-FAR, y[0], guides.z[0]), (FAR, y[1], guides.z[1])).grown(rules.CLEAR)
    inside = [(box.low[0], box.high[0]) for _, box in scene.swept() if box.gap(space) < 0]
    spans = [*inside, *beam_spans(scene)]
    low, high = min(span[0] for span in spans), max(span[1] for span in spans)
    if survey.line.flow == "right_to_left":
        low, high = -high, -low
    whole = (float(np.floor(low / step)) * step, float(np.ceil(high / step)) * step)
    yield from _opened(survey, "interrupted", whole, (step, step), int(LONGEST_OPENING / step))


def _opened(
    survey: Survey, kind: str, start: tuple[float, float], steps: tuple[float, float], count: int
) -> Iterator[Lever]:
    """Both ends moved outwards by their steps for each count."""
    step = max(abs(one) for one in steps)
    units = survey.units

    def at(number: int) -> Trial:
        low, high = start[0] - number * steps[0], start[1] + number * steps[1]
        place = f"from x = {shown(low, units)} to {shown(high, units)}"
        by = shown(number * step, units)
        end = kind.partition(" ")[2]
        what = f"{by} {kind.partition(' ')[0]} at {f'its {end} end' if end else 'either end'}"
        text = f"interrupt the near guide {place}"
        text = text if kind == "interrupted" else f"{text} ({what})"
        return Trial(_guided(survey, open=(low, high)), text, number * step, (low, high))

    if count > 0:
        yield Lever("guides.open", kind, "mm", step, count, at)


def free_more(study: Study, _: Check) -> Iterator[Lever]:
    """More of the rail freed at one end."""
    survey, rail = study.survey, study.survey.rail
    for name, way in (("free_to", 1.0), ("free_from", -1.0)):
        old = float(getattr(rail, name))
        number = Number(f"rail.{name}", "farther", old, old + way * FARTHEST, step_of(COARSE, survey.units))
        yield from graded(
            number,
            lambda new, by: f"free the rail as far as x = {new} ({by} more)",
            lambda value, name=name: _sited(survey, **{name: value}),  # type: ignore[misc]
            survey.units,
        )


def other_print_line(study: Study, _: Check) -> Iterator[Lever]:
    """The mount elsewhere along the rail: everything fixed there moves the other way in its frame."""
    survey = study.survey
    step = step_of(COARSE, survey.units)
    for kind, way in (("to the right", 1.0), ("to the left", -1.0)):
        number = Number("print line", kind, 0.0, way * FARTHEST, step)
        yield from graded(
            number,
            lambda _, by, kind=kind: f"move the print line, the guide's opening with it, {by} {kind}",  # type: ignore[misc]
            lambda value: _print_line_at(survey, value),
            survey.units,
        )


def _print_line_at(survey: Survey, x: float) -> Survey:
    rail, line = survey.rail, survey.line
    keepouts = tuple(replace(one, x=(one.x[0] - x, one.x[1] - x)) for one in rail.keepouts)
    moved = _sited(survey, free_from=rail.free_from - x, free_to=rail.free_to - x, keepouts=keepouts)
    return replace(moved, line=replace(line, first_roller_at=line.first_roller_at - x))


def moved_keepouts(study: Study, check: Check) -> Iterator[Lever]:
    """What the check names, or each keepout when it names none of them, moved one way or another."""
    keepouts = study.survey.rail.keepouts
    told = [at for at, one in enumerate(keepouts) if one.what in check.title]
    for at in told or range(len(keepouts)):
        for axis, ways in (
            ("z", ("down", "up")),
            ("x", ("to the left", "to the right")),
            ("y", ("outwards",)),
        ):
            yield from _keepout_levers(study.survey, at, axis, ways)


def _keepout_levers(survey: Survey, at: int, axis: str, ways: tuple[str, ...]) -> Iterator[Lever]:
    keepout = survey.rail.keepouts[at]
    low, high = getattr(keepout, axis)

    def change(value: float) -> Survey:
        span: dict[str, Any] = {axis: (value, value + high - low)}
        return _with_keepout(survey, at, replace(keepout, **span))

    for way, sign in zip(ways, (-1.0, 1.0), strict=False):
        number = Number(
            f"rail.keepout[{at + 1}].{axis}", way, low, low + sign * FARTHEST, step_of(COARSE, survey.units)
        )
        yield from graded(
            number,
            lambda _, by, way=way: f"move the {keepout.what} {by} {way}",  # type: ignore[misc]
            change,
            survey.units,
        )


def _with_keepout(survey: Survey, at: int, keepout: Keepout) -> Survey:
    keepouts = list(survey.rail.keepouts)
    keepouts[at] = keepout
    return _sited(survey, keepouts=tuple(keepouts))


def measured_rail(study: Study, _: Check) -> Iterator[Lever]:
    """The rail's height known more exactly: the slots for levelling become shorter."""
    survey, rail = study.survey, study.survey.rail
    old = rail.top_above_surface.plus_minus
    number = Number("rail.top_above_surface", "closer", old, 0.0, step_of(FINEST, survey.units))
    if old > 0.0:
        yield from graded(
            number,
            lambda new, by: f"measure the rail's height to +/- {new} ({by} less)",
            lambda value: _sited(
                survey, top_above_surface=Measured(float(rail.top_above_surface), abs(value))
            ),
            survey.units,
        )


def shorter_span(study: Study, _: Check) -> Iterator[Lever]:
    """Ties or legs beside the mount: the span in which the rail bends and twists, from that of the cross
    members of a bed, which count anyway."""
    survey = study.survey
    old = min(survey.rail.supports_apart, rules.CROSS_TIES_APART)
    step = 2 * step_of(COARSE, survey.units)
    number = Number("rail.supports_apart", "less", old, min(SHORTEST_SPAN, old), step)
    yield from graded(
        number,
        lambda new, by: f"tie or support the rail every {new} around the mount ({by} less)",
        lambda value: _sited(survey, supports_apart=value),
        survey.units,
    )
