"""The answer on a terminal: the verdict first, what is tight, then every check."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.checks.drivers import product_report
from mountgen.checks.records import Check
from mountgen.layout.families import rule_of
from mountgen.layout.rail_mast import MastLayout
from mountgen.package.drawing_words import MM_PER_INCH
from mountgen.package.holding import effect_lines, figures, holding_of
from mountgen.package.mount_words import words_of
from mountgen.remedies.records import NO_ADVICE, Advice, what_helps
from mountgen.study import Study
from mountgen.units import System

MOST_ROWS = 10
"""Refused and doubtful rows that are shown; the JSON holds more."""

MARKS = {"pass": "ok", "caution": "TIGHT", "fail": "FAIL"}
VERDICTS = {"feasible": "feasible", "tight": "feasible, but tight", "not feasible": "NOT FEASIBLE"}


def summary(study: Study, advice: Advice = NO_ADVICE) -> str:
    """Verdict, mount, checks with value and limit, remedies, assumptions."""
    return "\n".join(_lines(study, advice)) + "\n"


def _lines(study: Study, advice: Advice) -> Iterator[str]:
    layout = study.scene.layout
    yield f"{study.survey.name}: {VERDICTS[study.verdict]}"
    yield (
        f"{rule_of(layout.family).title}: post {layout.post.title}, {layout.post_length:g} mm"
        f"{', two of them' if layout.far_rail is not None else ''}; "
        f"{words_of(study.survey).arm} {layout.arm.title}, {layout.arm_length:g} mm; "
        f"plates {layout.plate:g} mm, {_foot_words(layout)}"
    )
    yield ""
    for check in study.checks:
        yield _check_line(check, study.survey.units)
        if check.remedy:
            yield f"      -> {check.remedy}"
    yield from _remedies(advice)
    yield from _holding(study)
    yield from _products(study)
    if study.survey.assumptions:
        yield ""
        yield "assumed, not measured:"
        for assumption in study.survey.assumptions:
            yield f"      {assumption.key} = {assumption.value}: {assumption.reason}"


def _foot_words(layout: MastLayout) -> str:
    """What holds the post, in a few words."""
    if layout.on_floor is None:
        return f"rail angle {layout.on_rail.angle_thickness:g} mm"
    base = layout.on_floor.base
    held = "anchored to the floor" if base.anchored else "free on levelling feet"
    return f"base {base.width:g} x {base.depth:g} x {base.thickness:g} mm, {held}"


def _remedies(advice: Advice) -> Iterator[str]:
    """What would make a mount feasible that is not."""
    said, changes = what_helps(advice)
    if said:
        yield ""
        yield f"what would make it feasible: {said[0].lower()}{said[1:]}"
        for change in changes:
            yield f"      {change}"


def _holding(study: Study) -> Iterator[str]:
    """Sag, frequencies, slip, the stand-off of all products, and what spreads it."""
    holding, units = holding_of(study.scene), study.survey.units
    yield ""
    yield "does it hold the gap:"
    for figure in figures(holding, units):
        yield f"      {figure}"
    for effect in effect_lines(holding.budget.effects, units):
        yield f"      {effect}"


def _products(study: Study) -> Iterator[str]:
    """What became of a list, who drives the design, who falls outside."""
    report, listed = product_report(study.scene), study.survey.product_list
    if listed is None and not report.outside_count:
        return
    yield ""
    if listed is not None:
        yield (
            f"product list: {listed.rows_in_file} rows, {listed.rows_read} read, "
            f"{len(listed.refused)} refused, {len(listed.doubtful)} doubtful"
        )
        for row in listed.refused[:MOST_ROWS]:
            yield f"      refused row {row.row_number}: {row.reason} ({row.text})"
        for odd in listed.doubtful[:MOST_ROWS]:
            yield f"      doubtful row {odd.row_number}: {odd.reason} ({odd.text})"
    yield "products that drive the design:"
    for driver in report.drivers:
        yield f"      {driver.role}: {driver.product} ({driver.value:.4g} mm)"
    yield f"products outside: {report.outside_count} of {report.count}"
    for outside in report.outside:
        yield f"      {outside.product}: {'; '.join(outside.reasons)}"


def _check_line(check: Check, units: System) -> str:
    """Figures in the check's own unit, which its remedy speaks of; a survey in inches sees these as well."""
    figures = f"{check.value:.4g} / {check.limit:.4g} {check.unit}"
    if units == "in" and check.unit == "mm":
        figures += f" ({check.value / MM_PER_INCH:.3g} / {check.limit / MM_PER_INCH:.3g} in)"
    return f"{MARKS[check.verdict]:>5} {check.id:<18} {figures:<28} {check.title}"
