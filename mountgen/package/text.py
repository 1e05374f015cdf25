"""The answer on a terminal: the verdict first, what is tight, then every check."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.checks.records import Check
from mountgen.study import Study

MARKS = {"pass": "ok", "caution": "TIGHT", "fail": "FAIL"}
VERDICTS = {"feasible": "feasible", "tight": "feasible, but tight", "not feasible": "NOT FEASIBLE"}


def summary(study: Study) -> str:
    """Verdict, mount, checks with value and limit, remedies, assumptions."""
    return "\n".join(_lines(study)) + "\n"


def _lines(study: Study) -> Iterator[str]:
    layout = study.scene.layout
    yield f"{study.survey.name}: {VERDICTS[study.verdict]}"
    yield (
        f"rail mast: post {layout.post.title}, {layout.post_length:g} mm; arm {layout.arm.title}, "
        f"{layout.arm_length:g} mm; plates {layout.plate:g} mm, rail angle {layout.angle_thickness:g} mm"
    )
    yield ""
    for check in study.checks:
        yield _check_line(check)
        if check.remedy:
            yield f"      -> {check.remedy}"
    if study.survey.assumptions:
        yield ""
        yield "assumed, not measured:"
        for assumption in study.survey.assumptions:
            yield f"      {assumption.key} = {assumption.value}: {assumption.reason}"


def _check_line(check: Check) -> str:
    figures = f"{check.value:.4g} / {check.limit:.4g} {check.unit}"
    return f"{MARKS[check.verdict]:>5} {check.id:<18} {figures:<28} {check.title}"
