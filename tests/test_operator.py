"""What people beside the line need: published limits, and every figure by hand from the layout's numbers."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from random_surveys import feasible_studies
from shops import SHOP

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.checks import operator
from mountgen.checks.records import Check
from mountgen.checks.scene import Scene
from mountgen.detail.cables import head_cable, route
from mountgen.geometry import Box
from mountgen.study import Study, study
from mountgen.survey.product_list.table import ProductTable
from mountgen.survey.reader import read_survey

CATALOGUE = Catalogue()
EXAMPLES = ["seed-cartons", "compost-sacks", "seed-trays-inch"]


@cache
def made(name: str = "seed-cartons") -> Study:
    return study(read_survey(profiles_folder() / "surveys" / f"{name}.toml", CATALOGUE), CATALOGUE, SHOP)


def found(scene: Scene, id_: str) -> list[Check]:
    return [one for one in operator.checks(scene) if one.id == id_]


def test_published_limits():
    """ISO 13854:2017 Table 1: least gap for a finger 25 mm. ISO 13857 Table 4, a slot for a fingertip,
    and EN 619's force, from memory."""
    assert operator.FINGER == 25.0
    assert operator.FINGERTIP == 6.0
    assert operator.HARMLESS == 150.0


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_examples_pass(name):
    scene = made(name).scene
    ids = {one.id for one in operator.checks(scene)}
    assert ids == {"operator_reach", "service_access", "cable", "crush_gap"}
    assert all(one.verdict == "pass" for one in operator.checks(scene))


def test_the_screen_by_hand():
    """850 mm of conveying surface and the controller's middle over it."""
    scene = made().scene
    screen = found(scene, "operator_reach")[0]
    assert screen.value == pytest.approx(850.0 + scene.layout.controller_z)


def test_the_reach_is_from_the_outermost_part_to_the_head():
    scene = made("compost-sacks").scene
    outermost = min(box.low[1] for _, box in scene.swept())
    heads = [scene.at(p, k) for p in scene.boxes if p.instance == "print head" for k in scene.corner_products]
    body = max(heads, key=lambda box: math.prod(np.subtract(box.high, box.low)))
    middle = max(
        (b.low[1] + b.high[1]) / 2
        for b in heads
        if np.allclose(np.subtract(b.high, b.low), np.subtract(body.high, body.low))
    )
    assert found(scene, "operator_reach")[1].value == pytest.approx(middle - outermost)


def test_the_force_is_what_drags_the_heaviest_product():
    """Half of its weight: 5.4 kg of the largest carton."""
    crush = found(made().scene, "crush_gap")[0]
    assert crush.unit == "N"
    assert crush.value == pytest.approx(0.5 * 9.81 * 5.4)
    assert "carton XL" in crush.title


def test_without_a_finger_gap_the_gap_itself_is_told(monkeypatch):
    monkeypatch.setattr(operator, "FINGER", 12.0)
    crush = found(made().scene, "crush_gap")[0]
    assert crush.unit == "mm"
    assert crush.limit == 12.0
    assert crush.value >= 12.0


@pytest.mark.parametrize(
    ("low", "high", "room"),
    [
        ((-5, -5, 130), (5, 5, 140), 30.0),
        ((-5, -5, 90), (5, 5, 140), 0.0),
        ((-5, -5, 20), (5, 5, 90), None),
        ((60, -5, 130), (70, 5, 140), None),
        ((-5, -5, -140), (5, 5, -130), None),
    ],
)
def test_room_over_a_box(low, high, room):
    """A head of 100 mm cubed on the floor: over it, through its top, inside it, beside it, below it."""
    head = Box((-50.0, -50.0, 0.0), (50.0, 50.0, 100.0))
    assert operator._over(head, Box(low, high), 2) == room


def test_a_shelf_over_the_head_ends_its_room():
    """A tall product beside an upright head is beside it; what stands over it is told by name."""
    scene = made().scene
    head = next(iter(operator._heads(scene).values()))
    shelf = replace(
        scene.boxes[0],
        instance="shelf",
        group="rail mount",
        joint="",
        box=Box(
            (head.low[0], head.low[1], head.high[2] + 33.0), (head.high[0], head.high[1], head.high[2] + 40.0)
        ),
    )
    crowded = replace(scene)
    object.__setattr__(crowded, "boxes", (*scene.boxes, shelf))
    service = found(crowded, "service_access")[0]
    assert service.verdict == "fail"
    assert "shelf" in service.title
    assert service.value <= 33.0
    assert found(crowded, "cable")[1].value == service.value


def test_the_cable_by_hand():
    """The cartons' route from point to point at its longest setting, two half turns of 2 bend radii each, a
    quarter turn about the pivot, and 150 mm at the plugs."""
    scene = made().scene
    layout, survey = scene.layout, scene.survey
    lengths = [
        sum(math.dist(a, b) for a, b in pairwise(p))
        for p in (route(layout, survey, k) for k in range(len(survey.products)))
    ]
    lever = math.hypot(survey.head.u_above - layout.head.pivot_u, survey.head.depth / 2 + layout.head.pivot_n)
    wanted = max(lengths) + 4 * 50.0 + math.pi / 2 * lever + 150.0
    assert head_cable(layout, survey).needed == pytest.approx(wanted)


def test_the_cable_begins_at_the_head_and_ends_under_the_controller():
    for one in feasible_studies(8):
        scene = one.scene
        boxes = {p.instance: p.box for p in scene.boxes}
        points = route(scene.layout, scene.survey, 0)
        head = boxes["print head"]
        assert head.grown(0.01).gap(Box(points[0], points[0])) <= 0
        controller = boxes["controller"]
        assert points[-1][2] == pytest.approx(controller.low[2])
        assert controller.low[0] < points[-1][0] < controller.high[0]
        assert controller.low[1] < points[-1][1] < controller.high[1]


def test_a_longer_way_needs_more_cable():
    """The controller farther down by 200 mm: as much more along the post, and as much more to come back up
    for nothing."""
    scene = made().scene
    lower = replace(scene.layout, controller_z=scene.layout.controller_z - 200.0)
    assert head_cable(lower, scene.survey).needed == pytest.approx(
        head_cable(scene.layout, scene.survey).needed + 200.0
    )


def test_heavy_products_need_a_guard():
    survey = made().survey
    heavy = ProductTable.of([replace(p, mass_kg=40.0) for p in survey.products])
    crush = found(study(replace(survey, products=heavy), CATALOGUE, SHOP).scene, "crush_gap")[0]
    assert crush.verdict == "fail"
    assert "guard" in crush.remedy
