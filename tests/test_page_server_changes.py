"""A remedy's settings lead to the very survey that was tried."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from page_server import SURVEYS, survey_text

from mountgen.catalogue.reader import Catalogue
from mountgen.errors import SurveyError
from mountgen.page.answers import known
from mountgen.page.changes import PARTS, settings_between
from mountgen.page.sent import Sent, survey_sent
from mountgen.remedies.table import LEVERS
from mountgen.study import study
from mountgen.survey.reader import read_survey

NO_SETTING = {"product.name left out", "encoder none"}
"""Levers on what no setting can say."""


def differences(one, other) -> list[str]:
    """The fields in which two surveys differ by more than a value's rounding in writing."""
    found = []
    for part in (*PARTS, "head", "sensor", "encoder", "controller", "sensor_distance"):
        a, b = getattr(one, part), getattr(other, part)
        names = [f.name for f in fields(a)] if part in PARTS and a is not None else []
        pairs = [(n, getattr(a, n), getattr(b, n)) for n in names] or [("", a, b)]
        found += [f"{part}.{name}" for name, x, y in pairs if not alike(x, y)]
    found += [
        f"products.{f.name}"
        for f in fields(one.products)
        if not alike(getattr(one.products, f.name), getattr(other.products, f.name))
    ]
    return found


def alike(a, b) -> bool:
    if isinstance(a, float) or (isinstance(a, np.ndarray) and a.dtype == float):
        return bool(np.allclose(a, b, rtol=0.0, atol=1e-6, equal_nan=True)) and plus_minus(a) == plus_minus(b)
    if isinstance(a, tuple) and all(hasattr(one, "what") for one in a):
        return all(alike(x.x, y.x) and alike(x.y, y.y) and alike(x.z, y.z) for x, y in zip(a, b, strict=True))
    if isinstance(a, tuple) and all(isinstance(one, float) for one in a):
        return b is not None and all(alike(x, y) for x, y in zip(a, b, strict=True))
    return bool(np.all(a == b))


def plus_minus(value) -> float:
    return round(getattr(value, "plus_minus", 0.0), 6)


@pytest.mark.parametrize("name", ["seed-cartons", "seed-trays-inch", "compost-sacks"])
def test_settings_lead_to_the_survey_that_was_tried(name):
    catalogue, text = known().catalogue, survey_text(name)
    found = study(read_survey(SURVEYS / f"{name}.toml", catalogue), *known())
    unsaid, said = set(), 0
    for builder in dict.fromkeys(builder for builders in LEVERS.values() for builder in builders):
        for lever in builder(found, found.checks[0]):
            for steps in {1, lever.count}:
                tried = lever.at(steps).survey
                settings = settings_between(found.survey, tried)
                if settings is None:
                    unsaid.add(lever.name)
                    continue
                said += 1
                try:
                    read = survey_sent(Sent(text=text, settings=settings), catalogue)
                except SurveyError:
                    assert steps == lever.count > 1, "only the farthest values may be implausible"
                    continue
                assert differences(read, tried) == [], (lever.name, settings)
                assert settings
    assert unsaid <= NO_SETTING
    assert said > 20


def test_the_same_survey_needs_no_setting():
    survey = read_survey(SURVEYS / "seed-cartons.toml", Catalogue())
    assert settings_between(survey, survey) == {}


def test_what_no_setting_says_is_told_as_none():
    survey = read_survey(SURVEYS / "seed-cartons.toml", Catalogue())
    other = replace(survey, shaking=replace(survey.shaking, damping=0.5))
    assert settings_between(survey, other) is None
    assert settings_between(survey, replace(survey, encoder=None)) is None
    assert settings_between(survey, replace(survey, guides=None)) is None
