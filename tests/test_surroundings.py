"""A line that is washed down: open slots are refused, and what a closed tube costs is told."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shops import SHOP

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.checks import surroundings
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey

CATALOGUE = Catalogue()


def made(environment: str) -> Study:
    survey = read_survey(profiles_folder() / "surveys" / "seed-cartons.toml", CATALOGUE)
    survey = replace(survey, family="rail_mast", line=replace(survey.line, environment=environment))
    return study(survey, CATALOGUE, SHOP)


@pytest.mark.parametrize("environment", ["dry", "dusty"])
def test_elsewhere_bars_may_have_slots(environment: str) -> None:
    assert list(surroundings.checks(made(environment).scene)) == []


def test_a_washed_line_refuses_post_and_arm_and_says_what_a_tube_costs() -> None:
    """E I and rho A of the tube by hand: 200 GPa against 70, 7900 against 2700 kg/m3 (EN 10088-1; EN 755)."""
    study = made("washdown")
    (check,) = surroundings.checks(study.scene)
    assert (check.verdict, check.value, study.verdict) == ("fail", 2.0, "not feasible")
    post = study.scene.layout.post
    inner = post.size - 4.0
    stiffer = 200 * (post.size**4 - inner**4) / 12 / (70 * post.i_mm4)
    heavier = 7900 * (post.size**2 - inner**2) / (2700 * post.area_mm2)
    assert f"{stiffer:.1f} times as stiff" in check.remedy
    assert f"{heavier:.1f} times as heavy" in check.remedy
    assert "5 % softer" in check.remedy
