"""A mount as it was installed: the answer on a terminal, and the corrected papers beside the package."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from mountgen.asbuilt.reader import Measurements
from mountgen.asbuilt.records import AsBuilt, Finding
from mountgen.assumed import assumption_effects
from mountgen.catalogue.reader import Catalogue
from mountgen.package.changeover import changeover_of, write_changeover
from mountgen.package.cut_sheet import edition
from mountgen.package.documents import write_set_up
from mountgen.package.folder import replaced_folder
from mountgen.package.holding import holding_of
from mountgen.package.records import Dossier, Pictures
from mountgen.package.report import SCHEMA, Json, json_text, plain
from mountgen.package.text import MARKS
from mountgen.study import Study
from mountgen.survey.records import Survey

MOST_FINDINGS = 12
"""Causes told on a terminal; the JSON holds them all."""
NOTE = (
    "As built: these readings hold for the scales as they were measured. Leave both strips where they are, "
    "and go by the numbers: the names on the strips stand at the designed readings."
)
VERDICTS = {
    "feasible": "within the acceptable band once corrected",
    "tight": "within the acceptable band once corrected, but look at what is tight",
    "not feasible": "NOT within the acceptable band",
}


def write_as_built(
    study: Study, catalogue: Catalogue, measured: Measurements, found: AsBuilt, out: Path
) -> Path:
    """Writes `as-built.json`, the corrected set-up and changeover sheets to out/<name>-as-built.

    Raises OutputError when the place cannot be written to; what stood there survives.
    """
    made = replace(study, survey=_marked(study, measured), setup=found.setup)
    dossier = _dossier(made, catalogue, found)
    plan = changeover_of(made, edition(dossier))
    target = out / f"{study.survey.name}-as-built"
    with replaced_folder(target) as folder:
        write_set_up(folder / "set-up.pdf", dossier)
        write_changeover(folder, replace(plan, readings=found.readings, note=NOTE))
        report = json_text(as_built_report(study, measured, found))
        (folder / "as-built.json").write_text(report, encoding="utf-8")
    return target


def _marked(study: Study, measured: Measurements) -> Survey:
    """The survey, its revision saying that documents are as built, and from which measured values."""
    revision = f"{study.survey.revision} as built {measured.sha256[:8]}".strip()
    return replace(study.survey, revision=revision)


def _dossier(made: Study, catalogue: Catalogue, found: AsBuilt) -> Dossier:
    """What the set-up sheet is written from: it shows no solid, so none is made."""
    return Dossier(
        survey=made.survey,
        verdict=found.verdict,
        checks=found.checks,
        setup=found.setup,
        scene=(),
        effects=assumption_effects(made, catalogue),
        holding=holding_of(made.scene),
        detail=made.detail,
        flats={},
        views={},
        masses={},
        pictures=Pictures({}, {}),
        margins=made.scene.joint_margins,
    )


def as_built_report(study: Study, measured: Measurements, found: AsBuilt) -> dict[str, Json]:
    """What `as-built.json` holds: findings with unit and sigmas, advice, checks, the corrected set-up."""
    return {
        "schema": SCHEMA,
        "name": study.survey.name,
        "inputs": {"survey_sha256": study.survey.source_sha256, "measured_sha256": measured.sha256},
        "verdict": found.verdict,
        "misfit": found.misfit,
        "findings": plain(found.findings),
        "advice": plain(found.advice),
        "checks": plain(found.checks),
        "setup": plain(found.setup),
    }


def as_built_text(study: Study, found: AsBuilt) -> str:
    """Verdict, what to correct, the likely causes, the checks."""
    return "\n".join(_lines(study, found)) + "\n"


def _lines(study: Study, found: AsBuilt) -> Iterator[str]:
    yield f"{study.survey.name} as built: {VERDICTS[found.verdict]}"
    if found.misfit:
        yield ""
        yield found.misfit
    yield ""
    yield "what to correct:"
    for text in found.advice:
        yield f"      {text}"
    yield ""
    yield "most likely causes (value, what is left of its uncertainty, how unusual):"
    for one in found.findings[:MOST_FINDINGS]:
        yield _finding_line(one)
    yield ""
    for check in found.checks:
        figures = f"{check.value:.4g} / {check.limit:.4g} {check.unit}".rstrip()
        yield f"{MARKS[check.verdict]:>5} {check.id:<18} {figures:<28} {check.title}"
        if check.remedy:
            yield f"      -> {check.remedy}"


def _finding_line(one: Finding) -> str:
    value = f"{one.value:+.2f} +/- {one.sigma:.2f} {one.unit}"
    return f"      {one.name}: {value}, {abs(one.sigmas):.1f} sigma ({one.tells})"
