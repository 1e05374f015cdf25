"""Options: every family is told, the best of each are the best of what was looked at, and what is forbidden
or fails says so."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from random_surveys import CATALOGUE, random_survey
from shops import SHOP
from typer.testing import CliRunner

from mountgen.catalogue.reader import profiles_folder
from mountgen.cli import app
from mountgen.demand import essential, require, working_view
from mountgen.layout.families import FAMILIES, rule_of
from mountgen.layout.search import PLAIN, all_choices
from mountgen.options.figures import estimates, place_of, worked_out
from mountgen.options.find import find_options
from mountgen.options.records import GOALS, FamilyOptions, Options, front
from mountgen.package.options_page import options_page
from mountgen.package.options_text import options_text
from mountgen.study import study_of, study_with
from mountgen.survey.reader import read_survey
from mountgen.survey.records import Survey

CARTONS = profiles_folder() / "surveys/seed-cartons.toml"

pytestmark = pytest.mark.xdist_group("options")


@cache
def cartons() -> Survey:
    return read_survey(CARTONS, CATALOGUE)


@cache
def options() -> Options:
    return find_options(cartons(), CATALOGUE, SHOP)


def of(found: Options, family: str) -> FamilyOptions:
    return next(one for one in found.families if one.family == family)


def test_every_family_is_told_in_the_order_in_which_they_are_tried() -> None:
    assert [one.family for one in options().families] == [rule.name for rule in FAMILIES]
    for one in options().families:
        why = rule_of(one.family).unfit(cartons())
        assert (one.status == "unfit") == (why is not None) and one.why == (why or "")


@pytest.mark.campaign
def test_a_settled_family_hides_no_other() -> None:
    settled = find_options(replace(cartons(), family="rail_mast"), CATALOGUE, SHOP)
    assert settled.families == options().families


def test_a_family_has_one_best_mount_by_every_goal_and_none_beats_it() -> None:
    for family in options().families:
        for goal in GOALS if family.mounts else ():
            best, figures = family.best(goal), [mount.figures for mount in family.mounts]
            assert best is not None
            worth = {
                "cost": min(f.cost for f in figures) == best.figures.cost,
                "mass": min(f.mass_kg for f in figures) == best.figures.mass_kg,
                "stiffness": max(f.frequency_hz for f in figures) == best.figures.frequency_hz,
                "install": min(f.install_s for f in figures) == best.figures.install_s,
                "drilling": min(f.holes for f in figures) == best.figures.holes,
            }
            assert worth[goal]


def test_the_stiffest_is_stiffer_and_the_lightest_is_that_of_the_search() -> None:
    family = of(options(), "rail_mast")
    lightest, stiffest = family.best("mass"), family.best("stiffness")
    assert lightest and stiffest
    assert stiffest.figures.frequency_hz > 1.05 * lightest.figures.frequency_hz
    searched = worked_out(study_of("rail_mast", cartons(), CATALOGUE, SHOP)).figures
    assert lightest.figures == searched


def test_quick_estimates_of_cost_and_mass_are_those_of_the_mounts_worked_out() -> None:
    """Of five candidates all over the range; the search weighs sheets by rough areas: 3 % and 5 %."""
    base = worked_out(study_of("rail_mast", cartons(), CATALOGUE, SHOP))
    working = working_view(base.study.survey)
    choices = all_choices(working, essential(require(working)), CATALOGUE)
    cost, mass = estimates(choices, base)
    assert cost[place_of(choices, base.study)] == pytest.approx(base.figures.cost, rel=1e-12)
    passing = np.flatnonzero(choices.shortfall(PLAIN) == 0.0)
    for place in passing[:: len(passing) // 5].tolist():
        made = study_with(choices.layout(place), base.study.survey, CATALOGUE, SHOP)
        assert place_of(choices, made) == place
        figures = worked_out(made).figures
        assert cost[place] == pytest.approx(figures.cost, rel=0.03)
        assert mass[place] == pytest.approx(figures.mass_kg, rel=0.05)
        assert choices.frequencies[place] == pytest.approx(figures.frequency_hz, rel=0.2)


def test_dearer_bought_parts_and_sheets_make_a_dearer_mount_by_as_much() -> None:
    """Twice the price of screws adds their number times the price; twice every rate doubles the whole."""
    made = study_of("rail_mast", cartons(), CATALOGUE, SHOP)
    rates, plain = SHOP.rates, worked_out(made).figures.cost
    screws = sum(made.detail.quantity(p.number) for p in made.detail.bought if p.name == "screw")
    dear = replace(rates, bought={**rates.bought, "screw": 2 * rates.bought["screw"]})
    scene = replace(made.scene, shop=replace(SHOP, rates=dear))
    dearer = worked_out(replace(made, scene=scene)).figures.cost
    assert dearer - plain == pytest.approx(screws * rates.bought["screw"]) and screws > 10


@pytest.mark.campaign
def test_a_part_without_a_price_is_named() -> None:
    bare = replace(SHOP, rates=replace(SHOP.rates, bought={}))
    found = find_options(cartons(), CATALOGUE, bare)
    assert {"screw", "T-nut"} <= set(found.unpriced) and "print head" not in found.unpriced
    assert not options().unpriced
    assert "T-nut" in options_page(found)


def test_what_the_owner_forbids_works_once_it_is_allowed() -> None:
    rail = replace(cartons().rail, attach=("clamped",))
    family = of(find_options(replace(cartons(), rail=rail), CATALOGUE, SHOP), "rail_mast")
    assert (family.status, family.leave) == ("not allowed", "bolted")
    assert family.mounts == of(options(), "rail_mast").mounts


def test_a_family_that_fails_names_its_check_and_what_would_mend_it() -> None:
    """Bands of a tenth of a millimetre and less, which no mount holds."""
    survey = cartons()
    narrow = replace(
        survey, standoff=replace(survey.standoff, acceptable=(4.9, 5.1), best=(4.95, 5.05), target=5.0)
    )
    found = find_options(narrow, CATALOGUE, SHOP)
    family = of(found, "rail_mast")
    assert family.status == "fails" and family.binding is not None and not family.mounts
    assert family.binding.verdict == "fail" and family.said
    told = options_text(found)
    assert family.binding.title[1:] in told and "does not work" in told
    assert not found.feasible


def test_a_front_is_what_nobody_beats() -> None:
    dice = np.random.default_rng(5)
    points = [(float(x), float(y)) for x, y in dice.integers(0, 30, (200, 2))]
    found = list(front(points))
    beaten = {p for p in points if any(q != p and q[0] <= p[0] and q[1] <= p[1] for q in points)}
    assert found == sorted(set(points) - beaten)


def test_the_page_shows_every_mount_and_point_once_and_needs_nothing_else() -> None:
    page = options_page(options())
    points = sum(len(one.points) for one in options().families)
    mounts = sum(len(one.mounts) for one in options().families)
    assert page.count('class="guess') == 3 * points > 0
    assert page.count('class="full') == 3 * mounts > 0
    assert not re.search(r"(src|href)=|https?:|@import", page)


def test_names_of_a_user_are_escaped() -> None:
    page = options_page(replace(options(), name="<b>line & co"))
    assert "<b>" not in page and "&lt;b&gt;line &amp; co" in page


def test_the_command_prints_json_and_writes_the_page(tmp_path) -> None:
    found = CliRunner().invoke(app, ["options", str(CARTONS), "--json", "--out", str(tmp_path / "new")])
    assert found.exit_code == 0
    report = json.loads(found.stdout)
    assert report["feasible"] and len(report["families"]) == len(FAMILIES)
    assert (tmp_path / "new/options.html").read_text(encoding="utf-8") == options_page(options())


@pytest.mark.campaign
def test_a_random_line_gives_the_same_options_twice() -> None:
    survey = random_survey(7)
    assert find_options(survey, CATALOGUE, SHOP) == find_options(survey, CATALOGUE, SHOP)
