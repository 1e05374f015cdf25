"""Bridges that tests look at: an example survey and random ones whose family is settled."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from conftest import SURVEYS
from random_surveys import CATALOGUE, random_survey
from shops import SHOP

from mountgen.study import Study, study
from mountgen.survey.reader import read_survey
from mountgen.survey.records import Survey


def as_bridge(survey: Survey) -> Survey:
    return replace(survey, family="bridge")


@cache
def sacks() -> Study:
    """Printed from above, products run to the left."""
    return study(as_bridge(read_survey(SURVEYS / "compost-sacks.toml", CATALOGUE)), CATALOGUE, SHOP)


@cache
def random_bridge(seed: int) -> Study:
    return study(as_bridge(random_survey(seed)), CATALOGUE, SHOP)
