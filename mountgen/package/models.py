"""What needs the CAD kernel: exact checks, drawn views, and the models of the mount and of each made part."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from mountgen.build.exact import exact_checks
from mountgen.build.solids import Model, assembly, model, placed_solids, product_of
from mountgen.catalogue.reader import Catalogue
from mountgen.checks.records import overall
from mountgen.detail.exploded import exploded
from mountgen.detail.records import BoughtPart
from mountgen.geometry import Placement, Vec3
from mountgen.kernel.exchange import write_glb, write_part_step, write_step
from mountgen.kernel.frames import placed
from mountgen.kernel.step_text import Schema
from mountgen.kernel.views import view, visible_lines
from mountgen.package.records import DRAWN_VIEWS, Pictures
from mountgen.study import Study
from mountgen.views import ISOMETRIC, Curve, View

NOWHERE: Vec3 = (0.0, 0.0, 0.0)
STAMP = "1970-01-01T00:00:00"
"""Time in the headers of model files: fixed, so that the same survey gives the same bytes."""


def exact_study(study: Study, catalogue: Catalogue) -> tuple[Study, Model]:
    """The study with the checks on the exact solids, and those solids.

    KernelError naming the part when a solid fails its own check.
    """
    names = catalogue.names("materials")
    built = model(study.detail, {name: catalogue.material(name).density_kg_per_m3 for name in names})
    checks = (*study.checks, *exact_checks(study.scene, built))
    return replace(study, checks=checks, verdict=overall(checks)), built


def drawn_views(built: Model) -> dict[str, tuple[View, ...]]:
    """The views of every part with bends, by number."""
    return {
        part.number: tuple(view(built.solids[part.number], *way) for way in DRAWN_VIEWS)
        for part in built.detail.sheets
        if part.root.bends
    }


def pictures(built: Model) -> Pictures:
    """The whole mount, put together and pulled apart, and every part of it by itself."""
    held = replace(built.detail, instances=tuple(i for i in built.detail.instances if not i.joint))
    assembled = visible_lines(placed_solids(built, held), *ISOMETRIC)
    apart = visible_lines(placed_solids(built, exploded(built.detail)), *ISOMETRIC)
    return Pictures(assembled, apart, _alone(built))


def _alone(built: Model) -> dict[str, tuple[Curve, ...]]:
    """Every instance by itself; copies that stand the same way share their lines."""
    found: dict[tuple[str, Vec3, Vec3], tuple[Curve, ...]] = {}
    lines = {}
    for instance in built.detail.instances:
        place = instance.placement
        key = (instance.part, place.x_axis, place.z_axis)
        if key not in found:
            turned = placed(built.solids[instance.part], Placement(NOWHERE, place.x_axis, place.z_axis))
            found[key] = visible_lines({"": turned}, *ISOMETRIC)[""]
        lines[instance.name] = found[key]
    return lines


def write_models(folder: Path, name: str, built: Model, schema: Schema) -> None:
    """assembly.step and assembly.glb, and parts/<number>.step for every made part."""
    whole = assembly(name, built)
    write_step(folder / "assembly.step", whole, STAMP, schema)
    write_glb(folder / "assembly.glb", whole)
    parts = folder / "parts"
    parts.mkdir()
    for number, part in built.detail.parts.items():
        if not isinstance(part, BoughtPart):
            write_part_step(parts / f"{number}.step", product_of(built, number), STAMP, schema)
