"""The package of a mount: every file that a person opens."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from mountgen.build.exact import exact_checks
from mountgen.build.solids import Model, assembly, colour_of, model, product_of
from mountgen.catalogue.reader import Catalogue
from mountgen.checks.records import Check, overall
from mountgen.detail.boxes import local_boxes
from mountgen.detail.records import BoughtPart
from mountgen.errors import SheetError
from mountgen.kernel.exchange import write_glb, write_part_step, write_step
from mountgen.kernel.views import view
from mountgen.package.documents import write_cut_and_drill, write_set_up
from mountgen.package.dxf_lint import lint_flat
from mountgen.package.feasibility import write_feasibility
from mountgen.package.flat_dxf import flat_drawing
from mountgen.package.folder import replaced_folder
from mountgen.package.manifest import manifest
from mountgen.package.part_mark import find_mark
from mountgen.package.records import DRAWN_VIEWS, Dossier, Findings, SceneBox
from mountgen.package.report import json_text
from mountgen.sheet.flat import FlatPattern, unfold
from mountgen.study import SHOP_RULE, Study

STAMP = "1970-01-01T00:00:00"
"""Time in the headers of model files: fixed, so that the same survey gives the same bytes."""


def write_package(study: Study, catalogue: Catalogue, out: Path) -> tuple[Study, Path]:
    """Builds the mount and writes its package to out/<name>; returns the study with the exact checks.

    A mount that is not feasible gets the report alone. Raises OutputError when the place cannot be
    written to, KernelError and SheetError when a part fails its own check; an earlier package survives.
    """
    target = out / study.survey.name
    if study.verdict == "not feasible":
        with replaced_folder(target) as folder:
            _report(study, None, folder)
        return study, target
    built = model(study.detail, _densities(catalogue))
    final = with_checks(study, exact_checks(study.scene, built))
    with replaced_folder(target) as folder:
        _files(final, built, folder)
        _report(final, built, folder)
    return final, target


def with_checks(study: Study, more: tuple[Check, ...]) -> Study:
    """The study with further checks and the verdict that follows."""
    checks = (*study.checks, *more)
    return replace(study, checks=checks, verdict=overall(checks))


def _densities(catalogue: Catalogue) -> dict[str, float]:
    return {name: catalogue.material(name).density_kg_per_m3 for name in catalogue.names("materials")}


def _report(study: Study, built: Model | None, folder: Path) -> None:
    write_feasibility(folder / "feasibility.html", findings(study))
    text = json_text(manifest(study, built, folder))
    (folder / "manifest.json").write_text(text, encoding="utf-8")


def findings(study: Study) -> Findings:
    """What the feasibility page shows."""
    return Findings(study.survey, study.verdict, study.checks, study.setup, tuple(scene_boxes(study)))


def scene_boxes(study: Study) -> Iterator[SceneBox]:
    """Every piece of the mount as boxes, in the survey's own world."""
    parts = study.detail.parts
    for instance in study.detail.instances:
        part = parts[instance.part]
        for box in local_boxes(part, instance):
            yield SceneBox(instance.name, box.placed(instance.placement), colour_of(part))


def _files(study: Study, built: Model, folder: Path) -> None:
    flats = {part.number: unfold(part, SHOP_RULE) for part in built.detail.sheets}
    _models(study, built, folder)
    _flats(built, flats, folder)
    dossier = _dossier(study, built, flats)
    write_cut_and_drill(folder / "cut-and-drill.pdf", dossier)
    write_set_up(folder / "set-up.pdf", dossier)


def _models(study: Study, built: Model, folder: Path) -> None:
    whole = assembly(study.survey.name, built)
    write_step(folder / "assembly.step", whole, STAMP)
    write_glb(folder / "assembly.glb", whole)
    parts = folder / "parts"
    parts.mkdir()
    for number, part in built.detail.parts.items():
        if not isinstance(part, BoughtPart):
            write_part_step(parts / f"{number}.step", product_of(built, number), STAMP)


def _flats(built: Model, flats: dict[str, FlatPattern], folder: Path) -> None:
    """Every flat as DXF, read back and checked as a cutting shop would."""
    place = folder / "flat"
    place.mkdir()
    for part in built.detail.sheets:
        path = place / f"{part.number}.dxf"
        path.write_text(flat_drawing(part, flats[part.number]), encoding="ascii")
        complaints = list(lint_flat(path))
        if find_mark(part.number, flats[part.number]) is None:
            complaints.append("there is no room for the part number")
        if complaints:
            raise SheetError(f"flat of {part.number} {part.name}: " + "; ".join(complaints))


def _dossier(study: Study, built: Model, flats: dict[str, FlatPattern]) -> Dossier:
    views = {
        part.number: tuple(view(built.solids[part.number], *way) for way in DRAWN_VIEWS)
        for part in built.detail.sheets
        if part.root.bends
    }
    return Dossier(
        survey=study.survey,
        verdict=study.verdict,
        checks=study.checks,
        setup=study.setup,
        scene=(),
        detail=built.detail,
        flats=flats,
        views=views,
        masses=built.masses,
    )
