"""Parts, a whole mount and readers of SVG that the tests of drawings and documents share."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations
from xml.etree import ElementTree

from shops import SHOP

from mountgen.assembly.units import in_world
from mountgen.assumed import assumption_effects
from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.checks.assembly import assembly_of
from mountgen.detail.records import Detail
from mountgen.geometry import Box, Vec2, rectangle, rounded
from mountgen.mechanics.bending import Din6935
from mountgen.package.drawing_flat import text_patch
from mountgen.package.drawing_labels import Patch
from mountgen.package.drawing_notes import PartOrder
from mountgen.package.drawing_paper import style_for
from mountgen.package.holding import holding_of
from mountgen.package.records import Dossier, Pictures, SceneBox
from mountgen.package.svg import Words
from mountgen.package.svg_text import CAPITAL_SHARE
from mountgen.sheet.flat import unfold
from mountgen.sheet.tree import ArcSlot, Bend, Flange, Hole, RoundHole, SheetPart, Slot
from mountgen.study import Study, study
from mountgen.survey.product_list.table import ProductTable
from mountgen.survey.reader import read_survey
from mountgen.units import System
from mountgen.views import Line, View

SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Text:
    """A text of a drawing with its role and the paper that it covers."""

    text: str
    role: str
    height: float
    patch: Patch


def angle_part() -> SheetPart:
    """A rounded leg with slots, and a leg with a slanting corner that holds every kind of hole."""
    corners = [(0.0, 0.0), (140.0, 0.0), (140.0, 70.0), (100.0, 95.0), (0.0, 95.0)]
    post = Flange(
        "post leg",
        rounded(corners, [0.0, 0.0, 5.0, 5.0, 5.0]),
        (
            RoundHole((30.0, 40.0), 6.6, "clearance", "M6"),
            ArcSlot((30.0, 40.0), 60.0, 6.6, 20.0, 50.0, "arc_slot", "M6"),
            RoundHole((110.0, 15.0), 5.0, "tapped", "M6"),
            RoundHole((113.0, 27.0), 5.0, "dowel", "5 H7"),
        ),
    )
    slots = tuple(Slot((x, y), 9.0, 20.0, 90.0, "slot", "M8") for x in (20.0, 60.0) for y in (30.0, 110.0))
    outline = rounded([(0.0, 0.0), (90.0, 0.0), (90.0, 140.0), (0.0, 140.0)], [5.0, 0.0, 0.0, 5.0])
    bend = Bend((90.0, 0.0), (90.0, 140.0), 90.0, 3.0, post)
    root = Flange("rail leg", outline, slots, (bend,))
    return SheetPart("T-1-L", "Rail angle", 3.0, "steel-s235", root, "zinc plated", "left")


def plate_part(holes: Sequence[Hole], size: Vec2 = (160.0, 100.0)) -> SheetPart:
    outline = rectangle(0.0, 0.0, *size)
    return SheetPart("T-2", "Plate", 3.0, "steel-s235", Flange("plate", outline, tuple(holes)))


def order_of(part: SheetPart, units: System = "mm") -> PartOrder:
    flat = unfold(part, Din6935())
    views = box_views(84.0, 75.0, 108.0) if flat.bend_lines else ()
    return PartOrder(part, flat, views, 2, 0.523, "a line", "with survey 01234567", units, style_for(units))


def box_views(x: float, y: float, z: float) -> tuple[View, ...]:
    """Front, top, left and picture of a block; the picture is no true one."""
    return tuple(_rectangle_view(*size) for size in ((x, z), (x, y), (y, z), (x + y, z + y)))


def box_pictures(detail: Detail) -> Pictures:
    """Every instance as the upright line of a box; no true pictures."""
    lines = {
        i.name: (Line((10.0 * at, 0.0), (10.0 * at, 40.0 + at)),) for at, i in enumerate(detail.instances)
    }
    return Pictures({i.name: lines[i.name] for i in detail.instances if not i.joint}, lines, lines)


def _rectangle_view(wide: float, tall: float) -> View:
    corners = [(0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall)]
    sides = zip(corners, corners[1:] + corners[:1], strict=True)
    return View(tuple(Line(a, b) for a, b in sides), (), ())


@cache
def mount(survey: str = "seed-cartons") -> Dossier:
    """The mount of a sample survey."""
    catalogue = Catalogue()
    found = study(read_survey(profiles_folder() / "surveys" / f"{survey}.toml", catalogue), catalogue, SHOP)
    return dossier_of(found, catalogue)


def dossier_of(found: Study, catalogue: Catalogue) -> Dossier:
    """The dossier of a study, its views made up so that no CAD kernel is needed."""
    detail = found.detail
    made = (*detail.sheets, *detail.extrusions)
    return Dossier(
        survey=found.survey,
        verdict=found.verdict,
        checks=found.checks,
        setup=found.setup,
        scene=(SceneBox("post", Box((100.0, -60.0, -100.0), (125.0, -35.0, 300.0)), (0.6, 0.6, 0.7)),),
        effects=assumption_effects(found, catalogue),
        holding=holding_of(found.scene),
        detail=detail,
        flats={part.number: unfold(part, Din6935()) for part in detail.sheets},
        views={part.number: box_views(84.0, 75.0, 108.0) for part in detail.sheets},
        masses={part.number: 0.25 for part in made},
        pictures=box_pictures(detail),
        steps=in_world(assembly_of(found.scene), found.survey.line.flow).steps,
        margins=found.scene.joint_margins,
    )


def renamed(dossier: Dossier, name: str) -> Dossier:
    """The dossier under a survey and with first product of another name."""
    first, *others = dossier.survey.products
    products = ProductTable.of([replace(first, name=name), *others])
    settings = (replace(dossier.setup.products[0], product=name), *dossier.setup.products[1:])
    return replace(
        dossier,
        survey=replace(dossier.survey, name=name, products=products),
        setup=replace(dossier.setup, products=settings),
    )


def texts(svg: str) -> Iterator[Text]:
    """Every text of a drawing."""
    for element in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        height = float(element.attrib["font-size"]) * CAPITAL_SHARE
        label = Words(
            element.text or "",
            (float(element.attrib["x"]), float(element.attrib["y"])),
            height,
            element.attrib.get("text-anchor", "start"),
            turned="transform" in element.attrib,
            bold="font-weight" in element.attrib,
        )
        yield Text(label.text, element.attrib.get("class", ""), height, text_patch(label))


def overlapping(found: Sequence[Text]) -> list[tuple[str, str]]:
    return [(a.text, b.text) for a, b in combinations(found, 2) if a.patch.overlaps(b.patch)]


def with_role(svg: str, role: str) -> list[ElementTree.Element]:
    """Every mark of a drawing whose role begins with `role`."""
    return [e for e in ElementTree.fromstring(svg).iter() if e.attrib.get("class", "").startswith(role)]


def path_points(path: ElementTree.Element) -> list[Vec2]:
    """The end points of a path's moves, lines and arcs."""
    steps = re.findall(r"[MLA]([^MLAZ]*)", path.attrib["d"])
    numbers = [[float(n) for n in re.split(r"[ ,]+", step.strip())] for step in steps]
    return [(step[-2], step[-1]) for step in numbers]
