"""Changeover plans of example surveys, and of products made up as arrays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
from conftest import SURVEYS
from shops import SHOP

from mountgen.catalogue.reader import Catalogue
from mountgen.layout.readings import Readings
from mountgen.package.changeover import Changeover, changeover_of
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey

Row = tuple[str, float, float, float, float]


@cache
def studied(example: str = "seed-cartons") -> Study:
    catalogue = Catalogue()
    return study(read_survey(SURVEYS / f"{example}.toml", catalogue), catalogue, SHOP)


def plan(example: str = "seed-cartons") -> Changeover:
    return changeover_of(studied(example), "with survey 01234567")


def readings_of(rows: Sequence[Row]) -> Readings:
    """Name, post, arm, tilt and delay of each product."""
    names, *columns = zip(*rows, strict=True)
    return Readings(names, *(np.array(column, dtype=float) for column in columns))


def plan_of(rows: Sequence[Row], day: Sequence[str] = (), setting: float = 0.5, units="mm") -> Changeover:
    made = plan()
    standoff = replace(made.survey.standoff, setting=setting)
    survey = replace(made.survey, standoff=standoff, day_order=tuple(day), units=units)
    return replace(made, survey=survey, readings=readings_of(rows))
