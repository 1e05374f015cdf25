"""The rail clamp: levers and friction by statics, which rails it fits, and how its jaws lie."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from random_surveys import CATALOGUE, random_survey
from shops import SHOP

from mountgen.checks.records import Check
from mountgen.geometry import Placement
from mountgen.layout import clamp
from mountgen.layout.tightening import preload_of
from mountgen.shapes import Cylinder, placed_box
from mountgen.study import Study, study_of
from mountgen.survey.records import Survey

SEED = 3
CARRIES = ("channel-formed-120x40x2.5", "upn-120", "tube-80x40x3", "lipped-formed-120x40x12x2.5")
TOO_THIN = ("flat-60x8", "l-50x50x5", "angle-formed-80x40x3")


def _survey(rail: str, opens: str = "in") -> Survey:
    survey = random_survey(SEED)
    site = replace(survey.rail, profile=CATALOGUE.rail(rail), opens=opens, keepouts=())  # type: ignore[arg-type]
    behind = site.section.reach_in + 25.0
    return replace(survey, rail=site, line=replace(survey.line, bed_from_y=behind), family="rail_clamp")


def _study(rail: str = "channel-formed-120x40x2.5", opens: str = "in") -> Study:
    return study_of("rail_clamp", _survey(rail, opens), CATALOGUE, SHOP)


def _check(study: Study, id_: str) -> Check:
    return next(check for check in study.checks if check.id == id_)


@pytest.mark.parametrize("rail", CARRIES)
def test_rails_with_deep_flat_edges_can_be_clamped(rail: str) -> None:
    assert clamp.unfit(_survey(rail)) is None


@pytest.mark.parametrize("rail", [*TOO_THIN, "tube-round-48.3x3", "z-formed-100x40x2.5", "tslot-rail-40x80"])
def test_what_jaws_cannot_grip_is_said(rail: str) -> None:
    assert clamp.unfit(_survey(rail))


@pytest.mark.parametrize("opens", ["in", "out"])
def test_screw_toe_and_heel_are_in_balance(opens: str) -> None:
    """Moments about the heel (statics of a strap clamp, any handbook of mechanics): screw x heel lever =
    toe x (heel + toe levers), and what the toe does not take the heel does."""
    made = _study(opens=opens).scene.layout
    assert made.clamp is not None
    heel, share = made.clamp.heel, made.clamp.share
    toe = clamp.GAP + max(made.clamp.upper.leg_bears, made.clamp.upper.jaw_bears)
    assert share * (heel + toe) == pytest.approx(heel)
    assert (1 - share) * heel == pytest.approx(share * toe)


def test_the_screws_are_tightened_no_further_than_the_corner_bears() -> None:
    """M = F e over the jaw's width, sigma = 6 M / (b t^2): twice the wall bears four times the force."""
    thin, thick = (_study(f"channel-formed-{size}") for size in ("100x40x2", "120x50x3"))
    for made in (thin, thick):
        found = made.scene.layout.clamp
        assert found is not None
        wall = made.survey.rail.section.web_thickness
        columns = made.scene.layout.on_rail.pattern.columns
        jaw = columns[1] - columns[0] + 20.0
        force = 2 * found.share * preload_of(CATALOGUE.thread("M6"), found.torque_nm).high
        assert 6 * force * found.upper.off / (jaw * wall**2) == pytest.approx(
            _check(made, "clamp_pinch").value
        )
    assert thick.scene.layout.clamp.torque_nm > 1.2 * thin.scene.layout.clamp.torque_nm  # type: ignore[union-attr]


def test_friction_of_the_jaws_holds_by_coulombs_law() -> None:
    """Preload needed = 1.25 V / mu + pull of a screw, against what the toes get of the least preload
    (Coulomb; 1.25 from EN 1993-1-8, Table 2.1): halving the friction doubles the part of the shear."""
    survey = _survey("upn-120")
    rough = study_of("rail_clamp", survey, CATALOGUE, SHOP)
    joining = replace(survey.joining, friction=survey.joining.friction / 2)
    smooth = study_of("rail_clamp", replace(survey, joining=joining), CATALOGUE, SHOP)
    (first, second) = (
        next(m for m in made.scene.joint_margins if m.title == "rail angle to rail").slip
        for made in (rough, smooth)
    )
    assert first.limit == pytest.approx(second.limit)
    assert first.value < second.value < 2 * first.value
    assert rough.scene.layout.clamp is not None
    assert first.limit == pytest.approx(
        rough.scene.layout.clamp.share
        * preload_of(CATALOGUE.thread("M6"), rough.scene.layout.clamp.torque_nm).low
    )


def test_nothing_is_drilled_and_every_screw_ends_in_a_jaw() -> None:
    made = _study()
    assert made.detail.rail_holes == ()
    screws = [joint for joint in made.detail.joints if joint.id.startswith("R")]
    assert [joint.members[-1].instance for joint in screws] == [
        "upper jaw",
        "upper jaw",
        "lower jaw",
        "lower jaw",
    ]
    assert {joint.members[-1].hole for joint in screws} == {"tapped"}
    top = float(made.survey.rail.top_above_surface)
    depth = made.survey.rail.section.depth
    screw = CATALOGUE.thread("M6").diameter / 2
    for joint in screws:
        z = joint.point[2]
        assert z - screw > top or z + screw < top - depth


@pytest.mark.parametrize("opens", ["in", "out"])
def test_jaws_touch_the_rail_and_the_leg_behind_them(opens: str) -> None:
    made = _study(opens=opens)
    section = made.survey.rail.section
    boxes = [piece.box for piece in made.scene.boxes if piece.instance == "upper jaw"]
    back, front = max(box.high[1] for box in boxes), min(box.low[1] for box in boxes)
    assert back - clamp.JAW == pytest.approx(section.reach_in)
    assert front - clamp.HEEL_SHORT == pytest.approx(-section.reach_out)
    leg = max(p.box.high[1] for p in made.scene.boxes if p.instance == "rail angle")
    assert leg == pytest.approx(-section.reach_out)


def test_the_box_of_a_leaning_cylinder_is_exact() -> None:
    """Against points of both rims."""
    cylinder = Cylinder(30.0, 50.0, Placement((1.0, 2.0, 3.0)))
    lean = math.radians(25.0)
    place = Placement(
        (7.0, 8.0, 9.0), (math.cos(lean), 0.0, -math.sin(lean)), (math.sin(lean), 0.0, math.cos(lean))
    )
    turns = np.linspace(0.0, 2 * math.pi, 3601)
    rims = [
        place.point((1.0 + 15.0 * math.cos(a), 2.0 + 15.0 * math.sin(a), 3.0 + z))
        for a in turns
        for z in (0, 50)
    ]
    box = placed_box(cylinder, place)
    assert box.low == pytest.approx(np.min(rims, axis=0), abs=1e-4)
    assert box.high == pytest.approx(np.max(rims, axis=0), abs=1e-4)
