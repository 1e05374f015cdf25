"""The stand-off budget against published examples and closed forms."""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from shops import SHOP

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.checks.scene import Scene
from mountgen.demand import Floats, require
from mountgen.structure.shaking import product_masses
from mountgen.study import study
from mountgen.survey.product_list.table import ProductTable
from mountgen.survey.reader import read_survey
from mountgen.survey.records import Measured, StandOff
from mountgen.tolerance import sprung as carriage
from mountgen.tolerance.budget import SAMPLES, VARIANCE, budget, effects, limits, sampled_gaps, shares_of
from mountgen.tolerance.causes import Situation, causes
from mountgen.tolerance.records import Cause

CATALOGUE = Catalogue()
BAND = StandOff(0.0, (-2.0, 2.0), (-4.0, 4.0), 0.5)


def cause(limit: float, law: str, name: str = "x") -> Cause:
    return Cause(name, "survey", np.array([limit]), law, "", "")


def sampled(*found: Cause, standoff: StandOff = BAND) -> Floats:
    return sampled_gaps(found, standoff, 1)


def scene_of(name: str = "seed-cartons", **changes: object) -> Scene:
    survey = read_survey(profiles_folder() / "surveys" / f"{name}.toml", CATALOGUE)
    return study(replace(survey, **changes), CATALOGUE, SHOP).scene


def situation(scene: Scene) -> Situation:
    return Situation(scene.survey, scene.demand, scene.layout, scene.structure)


@pytest.mark.parametrize(
    ("law", "limit", "u", "half"), [("normal", 3.0, 2.0, 3.92), ("uniform", math.sqrt(3.0), 2.0, 3.88)]
)
def test_sum_of_four_quantities_of_the_guide_to_uncertainty(law, limit, u, half):
    """JCGM 101:2008, 9.2.2 and 9.2.3: four standard quantities added give u(y) = 2.0 and a shortest 95 %
    interval of +-3.92 when they are Gaussian, +-3.88 when they are rectangular."""
    gaps = sampled(*(cause(limit, law) for _ in range(4)))
    assert float(gaps.std()) == pytest.approx(u, abs=0.04)
    low, high = np.quantile(gaps, [0.025, 0.975])
    assert (low, high) == (pytest.approx(-half, abs=0.1), pytest.approx(half, abs=0.1))


@pytest.mark.parametrize(("law", "share"), [("uniform", 1 / 3), ("arcsine", 1 / 2), ("normal", 1 / 9)])
def test_variances_of_the_laws(law, share):
    """JCGM 101:2008: (b - a)^2 / 12 for a rectangular law (6.4.2), (b - a)^2 / 8 for an arc sine law (6.4.6);
    three sigma is common practice for a Gaussian limit."""
    assert VARIANCE[law] == pytest.approx(share)
    assert float(sampled(cause(1.0, law)).var()) == pytest.approx(share, rel=0.03)


def test_bounded_laws_keep_their_limits_and_the_gaussian_does_not():
    assert np.abs(sampled(cause(1.5, "uniform"))).max() <= 1.5
    assert np.abs(sampled(cause(1.5, "arcsine"))).max() <= 1.5
    assert np.abs(sampled(cause(1.5, "normal"))).max() > 1.5


def test_two_equal_uniform_causes_make_a_triangle():
    """Of a triangle between -2 and 2 the share within +-1 is 3/4."""
    gaps = sampled(cause(1.0, "uniform"), cause(1.0, "uniform"))
    assert float(np.mean(np.abs(gaps) <= 1.0)) == pytest.approx(0.75, abs=0.01)


def test_chance_of_touching_is_the_tail_of_the_normal_law():
    standoff = StandOff(1.0, (0.5, 1.5), (0.2, 2.0), 0.1)
    shares = shares_of(sampled(cause(1.8, "normal"), standoff=standoff), standoff)
    law = NormalDist(1.0, 0.6)
    assert shares.touch == pytest.approx(law.cdf(0.0), abs=0.005)
    assert shares.acceptable == pytest.approx(law.cdf(2.0) - law.cdf(0.2), abs=0.01)
    assert shares.best == pytest.approx(law.cdf(1.5) - law.cdf(0.5), abs=0.01)


def test_worst_case_and_expanded_root_sum_square():
    """Twice sqrt(3^2 / 9 + 4^2 / 3 + 2^2 / 2)."""
    worst, rss = limits([cause(3.0, "normal"), cause(4.0, "uniform"), cause(2.0, "arcsine")], 1)
    assert (worst[0], rss[0]) == (pytest.approx(9.0), pytest.approx(2 * math.sqrt(1 + 16 / 3 + 2)))
    assert limits([], 3)[0].tolist() == [0.0, 0.0, 0.0]


def test_effects_are_shares_of_the_variance_the_largest_first():
    """0.9^2/9 = 0.09, 0.6^2/3 = 0.12, 0.4^2/2 = 0.08 of 0.29."""
    parts = (cause(0.9, "normal", "a"), cause(0.6, "uniform", "b"), cause(0.4, "arcsine", "c"))
    found = effects(parts, 0)
    assert [effect.name for effect in found] == ["b", "a", "c"]
    assert [effect.share for effect in found] == pytest.approx([12 / 29, 9 / 29, 8 / 29])


def test_the_same_survey_gives_the_same_shares():
    scene = scene_of()
    one, other = (budget(situation(scene)) for _ in range(2))
    assert one.histogram.shares.tolist() == other.histogram.shares.tolist()
    assert (one.share_best, one.touch) == (other.share_best, other.touch)
    assert one.samples == SAMPLES
    assert float(one.histogram.shares.sum()) == pytest.approx(1.0)


def test_every_product_is_sampled_alike():
    """Of two products one never leaves the band and the other nearly always does: half of all are inside."""
    limit = Cause("x", "survey", np.array([0.0, 400.0]), "uniform", "", "")
    shares = shares_of(sampled_gaps([limit], BAND, 2), BAND)
    assert shares.acceptable == pytest.approx(0.505, abs=0.005)


def test_causes_of_the_cartons():
    scene = scene_of()
    found = {one.name: one for one in causes(situation(scene))}
    products, settings = scene.survey.products, scene.layout.settings
    reach = products.from_leading + products.code_along
    assert found["skew on the line"].limit == pytest.approx(reach * np.tan(np.radians(products.skew_deg)) / 2)
    plumb = np.abs(settings.pivot_z - settings.pivot_z[0]) * math.tan(math.radians(0.06))
    assert found["post out of plumb"].limit == pytest.approx(plumb)
    assert found["post out of plumb"].limit[0] == 0.0
    assert "arm out of level" not in found
    assert "height of the surface" not in found
    assert any(name.startswith("shaking: ") for name in found)
    assert all(one.tells and one.measure for one in found.values())


def test_causes_of_a_downward_print():
    scene = scene_of("compost-sacks")
    found = {one.name for one in causes(situation(scene))}
    assert {"height of the surface", "arm out of level", "product size"} <= found
    assert not {"skew on the line", "post out of plumb", "play at the guide"} & found


def test_a_guide_on_the_other_side_brings_its_own_uncertainty():
    scene = scene_of()
    first, *others = scene.survey.products
    table = ProductTable.of([first, *(replace(p, against="far") for p in others)])
    guides = scene.survey.guides
    assert guides is not None
    exact = replace(guides, near_y=Measured(guides.near_y, 0.6), far_y=Measured(guides.far_y, 0.8))
    moved = replace(situation(scene), survey=replace(scene.survey, products=table, guides=exact))
    found = {one.name: one for one in causes(moved)}
    assert found["place of the other guide"].limit.tolist() == [0.0, *[pytest.approx(1.0)] * len(others)]
    middle = ProductTable.of([first, *(replace(p, against="centre") for p in others)])
    between = replace(situation(scene), survey=replace(scene.survey, products=middle, guides=exact))
    found = {one.name: one for one in causes(between)}
    assert found["place of the other guide"].limit.tolist() == [0.0, *[pytest.approx(0.5)] * len(others)]


def test_the_spread_of_three_laws_holds_95_per_cent():
    """A handful of like causes is nearly Gaussian, of which two standard deviations hold 95.4 %."""
    found = [cause(0.6, "uniform"), cause(0.9, "normal"), cause(0.4, "arcsine"), cause(0.5, "uniform")]
    spread = float(limits(found, 1)[1][0])
    assert float(np.mean(np.abs(sampled(*found)) <= spread)) == pytest.approx(0.954, abs=0.01)


def test_laws_and_sizes_of_the_causes():
    """Each law and each limit worked out again: half the range of sag, holes that are off by ISO 2768-1 m
    on their distance either way, an arcsine for what shakes steadily."""
    scene = scene_of("compost-sacks")
    found = {one.name: one for one in causes(situation(scene))}
    sags = [pose.standoff(pose.weight) for pose in scene.structure.poses]
    assert found["sag between settings"].limit == pytest.approx((max(sags) - min(sags)) / 2)
    apart = 2 * scene.layout.cross_bolts[0]
    assert 30 < apart <= 120
    away = np.abs(scene.layout.settings.tip_y - scene.layout.settings.tip_y[0])
    assert found["arm out of level"].limit == pytest.approx(away * 0.3 * math.sqrt(2) / apart)
    radius, code = scene.layout.head.pin_radius, scene.survey.products.code_across
    assert 6 < radius <= 30
    assert found["tilt stop"].limit == pytest.approx(code / 2 * 0.2 * math.sqrt(2) / radius)
    laws = {name: one.law for name, one in found.items()}
    assert laws["product size"] == laws["tilt stop"] == laws["arm out of level"] == "normal"
    assert laws["bulge of the printed face"] == laws["sag between settings"] == "uniform"
    steady = {c.law for c in causes(situation(scene_of())) if c.name.startswith("shaking: ")}
    assert steady == {"arcsine"}


def test_what_a_sprung_carriage_does_not_follow():
    """The roller runs 40 mm ahead: skew and bulge over this lead stay, setting and shaking too; sizes,
    guides, sag and cutting are followed."""
    scene = scene_of()
    left = {one.name: one for one in carriage.remaining(situation(scene), causes(situation(scene)))}
    products = scene.survey.products
    lead = 40.0 * np.tan(np.radians(products.skew_deg))
    assert left["skew between roller and nozzles"].limit == pytest.approx(lead)
    slope = products.bulge * np.minimum(1.0, np.pi * 40.0 / products.length)
    assert left["face between roller and nozzles"].limit == pytest.approx(slope)
    assert {"run-out of the roller", "reading a setting"} <= set(left)
    dropped = {"product size", "sag between settings", "tilt stop", "play at the guide", "skew on the line"}
    assert not dropped & set(left)


@pytest.mark.parametrize("factor", [0.5, 2.0])
def test_a_bulge_scales_its_cause_alone(factor):
    scene = scene_of()
    table = ProductTable.of([replace(p, bulge=p.bulge * factor) for p in scene.survey.products])
    before = {one.name: one.limit for one in causes(situation(scene))}
    after = causes(replace(situation(scene), survey=replace(scene.survey, products=table)))
    for one in after:
        wanted = factor if one.name == "bulge of the printed face" else 1.0
        assert one.limit == pytest.approx(wanted * before[one.name]), one.name


def swollen(by: float) -> Scene:
    scene = scene_of()
    return scene_of(products=ProductTable.of([replace(p, bulge=by) for p in scene.survey.products]))


def test_a_sprung_carriage_is_looked_at_where_the_fixed_head_does_not_hold():
    assert scene_of().budget.sprung is None
    failing = swollen(2.5).budget
    assert failing.sprung is not None
    assert failing.sprung.travel == pytest.approx(2 * float(failing.worst.max()) + carriage.SPARE_TRAVEL)
    assert failing.sprung.share_acceptable > failing.share_acceptable


def test_force_of_the_sprung_carriage_by_hand():
    """1.5 times (m a (2 pi v / L)^2 of the shortest carton, and a tenth of the weight on the slide)."""
    scene = swollen(2.5)
    made, products = scene.budget.sprung, scene.survey.products
    assert made is not None
    kg = scene.survey.head.mass_kg + 0.4
    shortest = float(products.length.min())
    swing = kg * 2.5e-3 * (2 * math.pi * scene.survey.line.speed_mm_per_s / shortest) ** 2
    shakes = scene.structure.shaking.lasting
    shaken = kg * 1e-3 * math.hypot(*(s.standoff * (2 * math.pi * s.frequency_hz) ** 2 for s in shakes))
    assert made.least_force == pytest.approx(1.5 * (swing + shaken + 0.1 * kg * 9.81))
    assert made.own_hz == pytest.approx(math.sqrt(made.spring_n_per_mm * 1000 / kg) / (2 * math.pi))
    assert made.most_force == pytest.approx(made.least_force + made.spring_n_per_mm * made.travel)
    softer = [rate for rate in carriage.RATES if rate < made.spring_n_per_mm]
    assert all(made.least_force / rate > carriage.LONGEST_PRELOAD for rate in softer)


def test_from_above_the_roller_bears_the_carriage():
    """No friction of a slide to overcome; the weight presses, and a spring only where that is too little."""
    scene = scene_of("compost-sacks")
    kg = scene.survey.head.mass_kg + 0.4
    made = carriage.sprung(situation(scene), causes(situation(scene)))
    assert made.least_force == pytest.approx(kg * 9.81)
    assert made.most_force > made.least_force
    rough = replace(scene.survey.shaking, rms_mm_per_s2=9810.0, spectrum=None)
    shaken = replace(situation(scene), survey=replace(scene.survey, shaking=rough))
    swing = carriage._bulge_acceleration(shaken)
    found = carriage.sprung(shaken, causes(shaken))
    assert found.least_force == pytest.approx(1.5 * kg * (2 * 9.81 + swing / 1000), rel=1e-3)


def test_surveyed_masses_are_used():
    scene = scene_of()
    heavy = ProductTable.of([replace(p, mass_kg=7.5) for p in scene.survey.products])
    first, *others = scene.survey.products
    mixed = ProductTable.of([replace(first, mass_kg=7.5), *(replace(p, mass_kg=None) for p in others)])
    survey = replace(scene.survey, products=heavy)
    assert product_masses(survey, require(survey)).tolist() == [7.5] * len(heavy)
    survey = replace(scene.survey, products=mixed)
    by_volume = [0.3e-6 * p.length * p.width * p.height for p in others]
    assert product_masses(survey, require(survey)).tolist() == pytest.approx([7.5, *by_volume])


def test_light_products_are_pushed_away():
    """A carton of 40 x 40 x 40 mm at 0.3 kg a litre weighs 19 g and slides under 0.06 N."""
    scene = swollen(2.5)
    light = [
        replace(p, length=Measured(60.0), width=Measured(40.0), height=Measured(40.0), mass_kg=None)
        for p in scene.survey.products
    ]
    survey = replace(scene.survey, products=ProductTable.of(light))
    small = replace(situation(scene), survey=survey, demand=require(survey))
    made = carriage.sprung(small, causes(small))
    assert not made.works
    assert "products bear 0.1 N" in made.why
