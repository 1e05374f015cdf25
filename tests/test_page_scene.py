"""The page's scene: the same solids, places and gaps as detail, kernel and checks have them."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from conftest import EXAMPLES, SURVEYS
from shops import SHOP

from mountgen.catalogue.reader import Catalogue
from mountgen.detail.mast import detail
from mountgen.detail.mirror import in_world
from mountgen.detail.records import BoughtPart
from mountgen.geometry import Box, Placement
from mountgen.page.scene import MOST_PRODUCTS, scene_of
from mountgen.page.scene_clearances import nearest_points
from mountgen.page.scene_moves import Move, stands_at
from mountgen.study import Study, study
from mountgen.survey.product_list.table import ProductTable
from mountgen.survey.reader import read_survey
from mountgen.survey.records import Code, Survey

CATALOGUE = Catalogue()
ROUNDED = 0.001
"""mm to which a scene is written."""
CIRCLE = 360
"""Chords that a full turn is measured by: a disc's area comes out 5e-5 too small."""


def example(name: str) -> Survey:
    return read_survey(SURVEYS / f"{name}.toml", CATALOGUE)


def both_poses() -> Survey:
    """The cartons, one of them printed on its top, so that the head turns between settings."""
    survey = example("seed-cartons")
    first, second, *rest = survey.products
    code = Code("top", second.code.size, second.code.from_leading, from_near=20.0)
    return replace(survey, products=ProductTable.of([first, replace(second, code=code), *rest]))


@cache
def studied(name: str) -> Study:
    survey = both_poses() if name == "both poses" else example(name)
    return study(survey, CATALOGUE, SHOP)


@cache
def scene(name: str) -> dict[str, Any]:
    return json.loads(json.dumps(scene_of(studied(name)), allow_nan=False))


def outline_points(flat: list[float]) -> np.ndarray:
    """Chords of an outline, the arcs walked by their bulge (tan of a quarter of the sweep)."""
    corners = np.array(flat).reshape(-1, 3)
    points: list[complex] = []
    for (x0, y0, bulge), (x1, y1, _) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        start, end = complex(x0, y0), complex(x1, y1)
        sweep = 4 * math.atan(bulge)
        steps = max(1, math.ceil(abs(sweep) / (2 * math.pi) * CIRCLE))
        if steps == 1:
            points.append(start)
            continue
        turn = complex(math.cos(sweep), math.sin(sweep))
        centre = (end - start * turn) / (1 - turn)
        points += [
            centre + (start - centre) * complex(math.cos(sweep * k / steps), math.sin(sweep * k / steps))
            for k in range(steps)
        ]
    return np.array([(p.real, p.imag) for p in points])


def area(points: np.ndarray) -> float:
    x, y = points.T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def prism_volume(prism: dict[str, Any]) -> float:
    whole = area(outline_points(prism["outline"])) * prism["height"]
    for hole in prism.get("holes", ()):
        deep = hole.get("to", prism["height"]) - hole.get("from", 0.0)
        whole -= area(outline_points(hole["outline"])) * deep
    return whole


def placement(numbers: list[float] | None) -> Placement:
    if numbers is None:
        return Placement()
    return Placement(*(tuple(numbers[at : at + 3]) for at in (0, 3, 6)))


def prism_points(prism: dict[str, Any]) -> list[tuple[float, float, float]]:
    frame = placement(prism.get("frame"))
    flat = outline_points(prism["outline"])
    return [frame.point((x, y, z)) for x, y in flat.tolist() for z in (0.0, prism["height"])]


def test_made_parts_have_the_volumes_of_their_solids():
    """The kernel folds and cuts its own solids; bends and holes are the same to 1e-3 of the volume."""
    from mountgen.kernel.measure import volume
    from mountgen.kernel.solids import part_solid

    made = studied("compost-sacks").detail
    for part in (*made.sheets, *made.extrusions):
        told = sum(map(prism_volume, scene("compost-sacks")["solids"][part.number]))
        assert told == pytest.approx(volume(part_solid(part)), rel=1e-3), part.name


def test_bought_parts_have_the_volumes_of_their_solids():
    """All but T-nuts, whose thread runs across, and what is drawn as primitives one over another."""
    from mountgen.kernel.measure import volume
    from mountgen.kernel.solids import part_solid

    for name in ("compost-sacks", "seed-cartons"):
        for part in studied(name).detail.bought:
            if part.designation.startswith(("T-slot", "Blind rivet", "Encoder")):
                continue
            told = sum(map(prism_volume, scene(name)["solids"][part.number]))
            assert told == pytest.approx(volume(part_solid(part)), rel=2e-3), part.designation


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_piece_fills_its_boxes(name):
    """Around all of a piece's prisms and around the detail's boxes: the same box. Chords and rounding take
    0.02 mm; bends bulge less than their boxes, and hexagons are boxed round."""
    made, told = studied(name).detail, scene(name)
    for one, instance in zip(told["parts"], made.instances, strict=True):
        part = made.parts[instance.part]
        if isinstance(part, BoughtPart) and ("nut" in part.name or "lip" in part.name):
            continue
        place = placement(one["frame"])
        points = [place.point(p) for prism in told["solids"][one["number"]] for p in prism_points(prism)]
        wanted = Box.around(c for box in part.boxes for c in box.placed(instance.placement).corners)
        found = Box.around(points)
        slack = 2.0 if one["name"] == "lead-in shoe" else 0.02
        for got, want in zip((*found.low, *found.high), (*wanted.low, *wanted.high), strict=True):
            assert got == pytest.approx(want, abs=slack), instance.name


@pytest.mark.parametrize("name", [*EXAMPLES, "both poses"])
def test_moves_take_every_piece_to_where_the_detail_has_it(name):
    found, told = studied(name), scene(name)
    for product in range(len(told["products"])):
        there = detail(found.scene.survey, found.scene.layout, CATALOGUE, product)
        places = {i.name: i.placement for i in in_world(there, found.survey.line.flow).instances}
        for one, instance in zip(told["parts"], found.detail.instances, strict=True):
            moved = Move(*told["moves"][one["way"]][product]).moved(instance.placement)
            rounded = Placement(*(tuple(round(v, 2) for v in axis) for axis in _axes(moved)))
            wanted = Placement(*(tuple(round(v, 2) for v in axis) for axis in _axes(places[one["id"]])))
            assert stands_at(rounded, wanted, bool(instance.joint)), (one["id"], product)


def _axes(place: Placement) -> tuple[Any, Any, Any]:
    return place.origin, place.x_axis, place.z_axis


def test_a_head_that_turns_takes_its_own_parts_along_and_leaves_the_ear():
    ways = {one["id"]: one["way"] for one in scene("both poses")["parts"]}
    assert ways["print head"] == ways["swing plate"] == ways["lead-in shoe"] == "head"
    assert ways["ear"] == "carriage"
    assert ways["cross plate"] == "lift"
    assert ways["post"] == "fixed"


@pytest.mark.parametrize("name", EXAMPLES)
def test_two_points_are_as_far_apart_as_the_gap(name):
    told = scene(name)["clearances"]
    assert told
    for one in told:
        assert math.dist(*one["at"]) == pytest.approx(abs(one["value"]), abs=3 * ROUNDED)
        assert one["fits"] == (one["value"] >= one["limit"][0])


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("check", ["product_clearance", "guide_clearance"])
def test_least_gap_is_the_number_of_the_check(name, check):
    printed = [one.value for one in studied(name).checks if one.id == check]
    drawn = [one["value"] for one in scene(name)["clearances"] if one["check"] == check]
    if printed:
        assert min(drawn) == pytest.approx(printed[0], abs=ROUNDED)
    else:
        assert not drawn


def test_points_of_boxes_that_overlap_lie_on_the_faces_that_overlap_least():
    a, b = Box((0, 0, 0), (10, 10, 10)), Box((8, -5, -5), (20, 20, 20))
    assert nearest_points(a, b) == ((10, 5.0, 5.0), (8, 5.0, 5.0))
    assert a.gap(b) == -2.0


@pytest.mark.parametrize("name", EXAMPLES)
def test_devices_look_at_the_product_on_the_side_they_are_on(name):
    """The photo-eye is upstream and its beam meets the product; the head's room lies over the head."""
    told = scene(name)
    side = 1.0 if told["flow"] == "+x" else -1.0
    (x, y, z), far = told["beam"]["at"]
    product = told["products"][0]
    assert side * x < 0.0
    assert (y < product["near_y"] < far[1]) or far[2] < product["height"] < z
    place = placement(told["service"]["frame"])
    top = place.point((0.0, 0.0, 1.0))
    upward = 2 if product["tilt"] == 0.0 else 1
    assert top[upward] == pytest.approx(place.origin[upward] + 1.0)


def test_a_line_that_runs_the_other_way_is_drawn_in_its_own_world():
    told = scene("compost-sacks")
    keepouts = [box for box in told["boxes"] if box["kind"] == "keepout"]
    surveyed = studied("compost-sacks").survey.rail.keepouts
    assert told["flow"] == "-x"
    assert [box["low"] for box in keepouts] == [[k.x[0], k.y[0], k.z[0]] for k in surveyed]
    (post,) = (one for one in told["parts"] if one["id"] == "post")
    assert post["frame"][0] < 0.0


def test_rails_have_the_section_of_the_survey():
    told = scene("seed-cartons")
    section = studied("seed-cartons").survey.rail.section
    near, far = (one for one in told["line"] if one["kind"] == "rail")
    length = told["span"][1] - told["span"][0]
    steel = (section.outline.area - sum(hole.area for hole in section.holes)) * length
    for rail in (near, far):
        assert sum(map(prism_volume, rail["solid"])) == pytest.approx(steel, rel=1e-3)
    low, _, high, _ = section.outline.bounds
    at, across = (
        studied("seed-cartons").survey.rail.far_rail_at,
        [y for _, y, _ in prism_points(far["solid"][0])],
    )
    assert (min(across), max(across)) == pytest.approx((at - high, at - low), abs=ROUNDED)


def test_a_scene_is_small_and_of_a_long_list_tells_the_first_products():
    survey = example("seed-cartons")
    many = [replace(one, name=f"carton {k}") for k in range(60) for one in survey.products]
    told = scene_of(study(replace(survey, products=ProductTable.of(many)), CATALOGUE, SHOP))
    assert len(told["products"]) == MOST_PRODUCTS
    assert told["left_out"] == 240 - MOST_PRODUCTS
    assert len(json.dumps(told, separators=(",", ":"))) < 300_000
