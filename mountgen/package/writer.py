"""The package of a mount: every file that a person opens."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from mountgen.assumed import AssumedEffect, assumption_effects
from mountgen.catalogue.reader import Catalogue
from mountgen.detail.boxes import local_boxes
from mountgen.errors import ShopError
from mountgen.package.beside import Beside, InLine, finished_jobs
from mountgen.package.dxf_flavour import Flavour
from mountgen.package.feasibility import write_feasibility
from mountgen.package.folder import replaced_folder
from mountgen.package.holding import holding_of
from mountgen.package.manifest import manifest
from mountgen.package.papers import write_documents, write_flats
from mountgen.package.records import Dossier, Findings, Formats, SceneBox
from mountgen.package.report import json_text
from mountgen.remedies.records import NO_ADVICE, Advice
from mountgen.sheet.flat import FlatPattern
from mountgen.sheet.tree import SheetPart
from mountgen.shop.flats import flat_of
from mountgen.shop.stock import SawnPart, stock_faults
from mountgen.study import Study

if TYPE_CHECKING:
    from mountgen.build.solids import Model

Effects = tuple[AssumedEffect, ...]
USUAL = Formats()


def write_package(
    study: Study,
    catalogue: Catalogue,
    out: Path,
    beside: Beside | None = None,
    formats: Formats = USUAL,
    advice: Advice = NO_ADVICE,
) -> tuple[Study, Path]:
    """Builds the mount and writes its package to out/<name>; returns the study with the exact checks.

    A mount that is not feasible gets the report alone, with the advice on it. `beside` (this process when
    not given) writes flats and documents. Raises ShopError, before anything is written, for parts that the
    shop's stock does not hold, OutputError when the place cannot be written to, KernelError and SheetError
    when a part fails its own check; an earlier package survives.
    """
    _require_stock(study)
    target = out / study.survey.name
    with replaced_folder(target) as folder:
        if study.verdict == "not feasible":
            _report(study, assumption_effects(study, catalogue), None, {}, folder, advice)
        else:
            study = _whole(study, catalogue, folder, beside or InLine(), formats)
    return study, target


def _require_stock(study: Study) -> None:
    made: tuple[SheetPart | SawnPart, ...] = (*study.detail.sheets, *study.detail.extrusions)
    if study.verdict != "not feasible" and (faults := stock_faults(made, study.scene.shop)):
        raise ShopError(faults)


def _report(
    study: Study,
    effects: Effects,
    built: Model | None,
    flats: dict[str, FlatPattern],
    folder: Path,
    advice: Advice = NO_ADVICE,
) -> None:
    write_feasibility(folder / "feasibility.html", findings(study, effects), advice)
    text = json_text(manifest(study, effects, built, flats, folder, advice))
    (folder / "manifest.json").write_text(text, encoding="utf-8")


def findings(study: Study, effects: Effects) -> Findings:
    """What the feasibility page shows."""
    return Findings(
        study.survey,
        study.verdict,
        study.checks,
        study.setup,
        tuple(scene_boxes(study)),
        effects,
        holding_of(study.scene),
    )


def scene_boxes(study: Study) -> Iterator[SceneBox]:
    """Every piece of the mount as boxes, in the survey's own world."""
    from mountgen.build.solids import colour_of

    parts = study.detail.parts
    for instance in study.detail.instances:
        part = parts[instance.part]
        for box in local_boxes(part, instance):
            name = "fasteners" if instance.joint else instance.name
            yield SceneBox(name, box.placed(instance.placement), colour_of(part))


def _whole(study: Study, catalogue: Catalogue, folder: Path, beside: Beside, formats: Formats) -> Study:
    """Every file; the report alone when the exact solids show that the mount is not feasible."""
    flats = {part.number: flat_of(part, study.scene.shop) for part in study.detail.sheets}
    built: Model | None
    with finished_jobs() as jobs:
        early = beside.submit(_flats_and_effects, study, catalogue, folder / "flat", flats, formats.dxf)
        jobs.append(early)
        # Here and not above: the kernel takes long to load, and the flats need not wait for it.
        from mountgen.package.models import exact_study, write_models

        final, built = exact_study(study, catalogue)
        if final.verdict != "not feasible":
            jobs.append(
                beside.submit(_write_papers, folder, final, early.result(), flats, built, formats.dxf)
            )
            write_models(folder, study.survey.name, built, formats.step)
    if final.verdict == "not feasible":
        shutil.rmtree(folder / "flat")
        built = None
    _report(final, early.result(), built, flats, folder)
    return final


def _flats_and_effects(
    study: Study, catalogue: Catalogue, place: Path, flats: dict[str, FlatPattern], flavour: Flavour
) -> Effects:
    """What needs no solid, in one job: two would take time from the kernel's loading on two cores."""
    write_flats(place, study.detail.sheets, flats, flavour)
    return assumption_effects(study, catalogue)


def _write_papers(
    folder: Path,
    study: Study,
    effects: Effects,
    flats: dict[str, FlatPattern],
    built: Model,
    flavour: Flavour,
) -> None:
    """The views of the exact solids, and every document that shows them."""
    from mountgen.package.models import drawn_views, pictures

    dossier = Dossier(
        survey=study.survey,
        verdict=study.verdict,
        checks=study.checks,
        setup=study.setup,
        scene=(),
        effects=effects,
        holding=holding_of(study.scene),
        detail=study.detail,
        flats=flats,
        views=drawn_views(built),
        masses=built.masses,
        pictures=pictures(built),
        margins=study.scene.joint_margins,
    )
    write_documents(folder, dossier, flavour)
