"""Families: which are tried, in which order, and what a settled one does."""

from __future__ import annotations

from dataclasses import replace

import pytest
from random_surveys import CATALOGUE, random_survey
from shops import SHOP

from mountgen.errors import SurveyError
from mountgen.layout.families import FAMILIES, choices, rule_of
from mountgen.study import study
from mountgen.survey.records import Survey


def _with_rail(survey: Survey, name: str) -> Survey:
    return replace(survey, rail=replace(survey.rail, profile=CATALOGUE.rail(name)))


def test_a_rail_with_slots_takes_t_nuts_whatever_its_owner_says_of_drilling() -> None:
    survey = _with_rail(random_survey(1), "tslot-rail-40x80")
    survey = replace(survey, rail=replace(survey.rail, attach=("bolted",)))
    assert choices(survey)[0] == "slot_rail"
    assert "rail_mast" not in choices(survey)


def test_what_the_owner_forbids_is_not_chosen() -> None:
    survey = _with_rail(random_survey(1), "channel-formed-120x40x2.5")
    for rule in FAMILIES:
        allowed = replace(survey, rail=replace(survey.rail, attach=(rule.attach,)))
        assert all(rule_of(name).attach == rule.attach for name in choices(allowed) if name != "rail_mast")


def test_a_settled_family_is_the_only_one_tried() -> None:
    survey = replace(_with_rail(random_survey(1), "channel-formed-120x40x2.5"), family="rail_mast")
    assert choices(survey) == ("rail_mast",)
    assert study(survey, CATALOGUE, SHOP).scene.layout.family == "rail_mast"


def test_a_family_that_the_rail_cannot_carry_is_refused_with_those_that_fit() -> None:
    survey = replace(_with_rail(random_survey(1), "channel-formed-120x40x2.5"), family="slot_rail")
    with pytest.raises(SurveyError) as caught:
        study(survey, CATALOGUE, SHOP)
    fault = caught.value.faults[0]
    assert fault.where == "mount.family"
    assert "no T-slots" in fault.found
    assert "rail_mast" in fault.action
