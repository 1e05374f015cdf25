"""The package of a mount: every file that a person opens."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal, get_args

from mountgen.assembly.units import in_world
from mountgen.assumed import AssumedEffect, assumption_effects
from mountgen.catalogue.reader import Catalogue
from mountgen.checks.assembly import assembly_of
from mountgen.errors import ShopError
from mountgen.fabrication.shop_work import ShopWork, shop_work
from mountgen.package.beside import Beside, InLine, finished_jobs
from mountgen.package.feasibility import write_feasibility
from mountgen.package.folder import replaced_folder
from mountgen.package.holding import holding_of
from mountgen.package.manifest import manifest
from mountgen.package.papers import write_documents, write_flats, write_nest, write_tables
from mountgen.package.records import Dossier, Early, Findings, Formats, SceneBox
from mountgen.package.report import json_text
from mountgen.remedies.records import NO_ADVICE, Advice
from mountgen.sheet.flat import FlatPattern
from mountgen.sheet.tree import SheetPart
from mountgen.shop.stock import SawnPart, stock_faults
from mountgen.study import Study

if TYPE_CHECKING:
    from mountgen.build.solids import Model

Effects = tuple[AssumedEffect, ...]
Stage = Literal["flats", "solids", "views", "documents", "tables", "models", "report"]
STAGES: tuple[Stage, ...] = get_args(Stage)
"""What a package is written in; some at the same time."""
Tell = Callable[[Stage], None]


def _silently(_: Stage) -> None:
    """Tells nobody."""


@dataclass(frozen=True)
class Order:
    """How a package is written: `beside` writes flats and documents, `tell` hears of every stage that is
    done, from whatever process did it."""

    beside: Beside = field(default_factory=InLine)
    formats: Formats = field(default_factory=Formats)
    advice: Advice = NO_ADVICE
    tell: Tell = _silently


USUAL = Order()


def write_package(study: Study, catalogue: Catalogue, out: Path, order: Order = USUAL) -> tuple[Study, Path]:
    """Builds the mount and writes its package to out/<name>; returns the study with the exact checks.

    A mount that is not feasible gets the report alone, with the advice on it. Raises ShopError,
    before anything is written, for parts that the shop's stock or rates do not know, OutputError when the
    place cannot be written to, KernelError and SheetError when a part fails its own check; an earlier
    package survives.
    """
    _require_stock(study)
    target = out / study.survey.name
    with replaced_folder(target) as folder:
        if study.verdict == "not feasible":
            early = Early(assumption_effects(study, catalogue))
            _report(study, early, None, None, folder, order.advice)
        else:
            study = _whole(study, catalogue, folder, order)
        order.tell("report")
    return study, target


def _require_stock(study: Study) -> None:
    made: tuple[SheetPart | SawnPart, ...] = (*study.detail.sheets, *study.detail.extrusions)
    if study.verdict != "not feasible" and (faults := stock_faults(made, study.scene.shop)):
        raise ShopError(faults)


def _report(
    study: Study,
    early: Early,
    built: Model | None,
    work: ShopWork | None,
    folder: Path,
    advice: Advice = NO_ADVICE,
) -> None:
    write_feasibility(folder / "feasibility.html", findings(study, early.effects), advice)
    text = json_text(manifest(study, early, built, work, folder, advice))
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
        for box in part.boxes:
            name = "fasteners" if instance.joint else instance.name
            yield SceneBox(name, box.placed(instance.placement), colour_of(part))


def _whole(study: Study, catalogue: Catalogue, folder: Path, order: Order) -> Study:
    """Every file; the report alone when the exact solids show that the mount is not feasible."""
    work = shop_work(study)
    built: Model | None
    with finished_jobs() as jobs:
        early = order.beside.submit(_early, study, catalogue, folder, work.flats, order)
        jobs.append(early)
        # Here and not above: the kernel takes long to load, and the flats need not wait for it.
        from mountgen.package.models import exact_study, write_models

        final, built = exact_study(study, catalogue)
        order.tell("solids")
        if final.verdict != "not feasible":
            jobs.append(order.beside.submit(_write_papers, folder, final, early.result(), work, built, order))
            write_models(folder, study.survey.name, built, order.formats.step)
            order.tell("models")
    if final.verdict == "not feasible":
        for early_folder in ("flat", "nest"):
            shutil.rmtree(folder / early_folder)
        _report(final, Early(early.result().effects), None, None, folder)
    else:
        _report(final, early.result(), built, work, folder)
    return final


def _early(
    study: Study, catalogue: Catalogue, folder: Path, flats: dict[str, FlatPattern], order: Order
) -> Early:
    """What needs no solid, in one job: two would take time from the kernel's loading on two cores."""
    write_flats(folder / "flat", study.detail.sheets, flats, order.formats.dxf)
    stock = write_nest(folder / "nest", study, flats, order.formats.dxf)
    effects = assumption_effects(study, catalogue)
    order.tell("flats")
    return Early(effects, stock)


def _write_papers(
    folder: Path, study: Study, early: Early, work: ShopWork, built: Model, order: Order
) -> None:
    """The views of the exact solids, and every document that shows them."""
    from mountgen.package.changeover import changeover_of, write_changeover, write_strips
    from mountgen.package.cut_sheet import edition
    from mountgen.package.models import drawn_views, pictures
    from mountgen.package.nest_page import write_nest_page

    views, seen = drawn_views(built), pictures(built)
    order.tell("views")
    dossier = Dossier(
        survey=study.survey,
        verdict=study.verdict,
        checks=study.checks,
        setup=study.setup,
        scene=(),
        effects=early.effects,
        holding=holding_of(study.scene),
        detail=study.detail,
        flats=work.flats,
        views=views,
        masses=built.masses,
        pictures=seen,
        steps=in_world(assembly_of(study.scene), study.survey.line.flow).steps,
        margins=study.scene.joint_margins,
    )
    write_documents(folder, dossier, order.formats.dxf)
    order.tell("documents")
    plan = changeover_of(study, edition(dossier))
    write_changeover(folder, plan)
    write_strips(folder, plan)
    write_tables(folder, dossier, work)
    write_nest_page(folder / "nest.pdf", study, early.stock, work.flats)
    order.tell("tables")
