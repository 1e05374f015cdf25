"""The rail under its mount: closed forms, scaling, and the backing plate that is made where it is needed."""

from dataclasses import replace
from functools import cache

import pytest
from shops import SHOP

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.layout.backing import (
    SAFETY,
    ScrewPulls,
    estimated_load,
    estimated_pulls,
    head_lever,
    washer_stress,
)
from mountgen.layout.rail_give import rail_web, twist_stiffness
from mountgen.mechanics.plates import Web
from mountgen.structure.rail_strength import (
    FootLoad,
    foot_loads,
    shear_centre,
    span_that_holds,
    twist_couple,
    twist_stress,
)
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey
from mountgen.survey.records import Survey

CATALOGUE = Catalogue()
STEEL = CATALOGUE.material("steel-s235")
WEB = Web(100.0, 1500.0, 2.5, 210000.0, 0.3)


@cache
def sample(name: str = "seed-cartons") -> Survey:
    return read_survey(profiles_folder() / "surveys" / f"{name}.toml", CATALOGUE)


@cache
def made(wall: float | None = None, hand: float = 50.0) -> Study:
    """The cartons' mount on a channel of another thickness, under another hand."""
    survey = sample()
    profile = survey.rail.profile
    if wall is not None:
        profile = profile.model_copy(update={"web_thickness": wall, "flange_thickness": wall})
    rail, joining = replace(survey.rail, profile=profile), replace(survey.joining, hand_force=hand)
    return study(replace(survey, rail=rail, joining=joining), CATALOGUE, SHOP)


def test_stress_under_a_washer_goes_with_the_square_of_the_wall():
    pulls = ScrewPulls(400.0, 200.0)
    thin, thick = (washer_stress(replace(WEB, thickness=t), pulls, 12.0, 30.0) for t in (2.0, 4.0))
    assert thin == pytest.approx(4 * thick)


def test_stress_under_a_washer_by_hand():
    """400 N on 6 mm in a circle of 50: 6 / (4 pi 2.5^2) x (400 (1.3 ln(50/6) + 1) + 200 x 1.3 ln(50/30))."""
    found = washer_stress(WEB, ScrewPulls(400.0, 200.0), 12.0, 30.0)
    assert found == pytest.approx(0.076394 * (400 * 3.756369 + 200 * 0.664073), rel=1e-4)


def test_a_thin_web_gets_a_backing_plate_and_a_thick_one_none():
    assert made(1.2).scene.layout.on_rail.backing
    assert not made(4.0).scene.layout.on_rail.backing


def test_a_backing_plate_is_there_exactly_where_the_bare_web_would_not_do():
    for wall in (1.2, 1.5, 1.8, 2.0, 2.5):
        scene = made(wall).scene
        layout = scene.layout
        load = estimated_load(scene.survey, head_lever(scene.survey, layout.on_rail.pattern, layout.settings))
        web, _ = rail_web(scene.survey.rail, STEEL)
        columns = layout.on_rail.pattern.columns
        bare = washer_stress(
            web, estimated_pulls(load, layout.on_rail.pattern), 12.0, columns[1] - columns[0]
        )
        assert layout.on_rail.backing == (bare > STEEL.yield_mpa / SAFETY)


def test_the_estimate_is_on_the_safe_side_of_the_frame():
    """Couples of weight and hand at their longest levers, all at once, against those of every load case."""
    for name in ("seed-cartons", "compost-sacks", "seed-trays-inch"):
        scene = study(sample(name), CATALOGUE, SHOP).scene
        foot, settings = scene.layout.on_rail, scene.layout.settings
        guess = estimated_load(scene.survey, head_lever(scene.survey, foot.pattern, settings))
        for pose in scene.structure.poses:
            for foot in foot_loads(pose):
                assert abs(foot.on_web.tilt_couple) <= guess.tilt_couple
                assert abs(foot.on_web.swing_couple) <= guess.swing_couple


def test_a_larger_hand_asks_for_a_larger_plate():
    small, large = (made(1.0, hand).scene.layout.on_rail for hand in (50.0, 400.0))
    assert small.backing and large.backing
    assert large.backing_margin >= small.backing_margin
    part = next(p for p in made(1.0, 400.0).detail.sheets if p.name == "backing plate")
    x0, y0, x1, y1 = part.root.outline.bounds
    columns, rows = large.pattern.columns, large.pattern.rows
    assert x1 - x0 == pytest.approx(columns[1] - columns[0] + 2 * large.backing_margin)
    assert y1 - y0 == pytest.approx(rows[1] - rows[0] + 2 * large.backing_margin)


def test_a_force_through_the_shear_centre_does_not_twist():
    foot = FootLoad((0.0, 0.0, -60.0), (10.0, 25.0, -40.0), (0.0, 0.0, 0.0))
    assert twist_couple(foot, (0.0, -60.0)) == 0.0
    y, z = -14.0, -45.0
    couple = -((0.0 - y) * -40.0 - (-60.0 - z) * 25.0)
    assert twist_couple(replace(foot, couple=(couple, 0.0, 0.0)), (y, z)) == pytest.approx(0.0)


def test_weight_twists_by_its_lever_to_the_shear_centre():
    """40 N down, 14 mm inside of the shear centre: -560 N mm about x."""
    foot = FootLoad((0.0, 0.0, -60.0), (0.0, 0.0, -40.0), (0.0, 0.0, 0.0))
    assert twist_couple(foot, (-14.0, -60.0)) == pytest.approx(-560.0)


def test_a_tube_is_sheared_as_bredt_says():
    """80 x 40 x 3: half of 1e6 N mm over 2 A t, A between outer and inner outline; times sqrt 3."""
    profile = CATALOGUE.rail("tube-80x40x3")
    rail = replace(sample().rail, profile=profile)
    outline, hole = rail.section.outline, rail.section.holes[0]
    enclosed = (abs(outline.area) + abs(hole.area)) / 2
    assert enclosed == pytest.approx(77.0 * 37.0, rel=0.02)
    stress = twist_stress(rail, STEEL, None, 1e6, 500.0)
    assert stress == pytest.approx(3**0.5 * 0.5e6 / (2 * enclosed * 3.0))


def test_ties_as_near_as_told_hold_the_twist():
    scene = made().scene
    twist, survey = scene.rail_twist, scene.survey
    apart = span_that_holds(survey, STEEL, twist, twist.motion / 3)
    tied = replace(survey, rail=replace(survey.rail, supports_apart=apart))
    wider = replace(survey, rail=replace(survey.rail, supports_apart=apart + 3.0))
    needed = 3 * twist_stiffness(survey, STEEL)
    assert twist_stiffness(wider, STEEL) < needed <= twist_stiffness(tied, STEEL)


def test_the_shear_centre_of_unknown_walls_is_the_centroid():
    rail = replace(sample().rail, profile=CATALOGUE.rail("tube-80x40x3"))
    assert shear_centre(rail, None) == pytest.approx((20.0, -6.0 - 40.0))


def test_loads_at_the_web_are_those_of_the_pose():
    """The case that strains the web most is one of the load cases at the foot."""
    for pose in made().scene.structure.poses:
        couples = [foot.couple for foot in foot_loads(pose)]
        assert any(pose.foot_couple == pytest.approx(couple, abs=1.0) for couple in couples)
