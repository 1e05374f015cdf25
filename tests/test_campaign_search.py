"""A long run of random lines (`pytest -m campaign`): no lighter mount that passes is skipped by the search.

MOUNTGEN_SURVEYS says how many lines are tried (2,000 when not given). Of every line those candidates that the
arrays call lighter and good are laid out, the nearest below the choice and others drawn at random: each must
miss a limit of its own or find no place on the rail.
"""

from __future__ import annotations

import os
from random import Random

import numpy as np
import pytest
from random_surveys import CATALOGUE, random_survey

from mountgen.demand import essential, require, working_view
from mountgen.errors import MountgenError
from mountgen.layout import search

pytestmark = pytest.mark.campaign

CHUNK = 50
LINES = int(os.environ.get("MOUNTGEN_SURVEYS", "2000"))
NEAREST, DRAWN = 6, 6
"""Candidates that are laid out for a line."""


@pytest.mark.parametrize("chunk", range(-(-LINES // CHUNK)))
def test_no_lighter_mount_that_passes_is_skipped(chunk: int) -> None:
    skipped = [seed for seed in range(chunk * CHUNK, min((chunk + 1) * CHUNK, LINES)) if lighter(seed)]
    assert not skipped


def lighter(seed: int) -> bool:
    """Whether a candidate lighter than the choice passes, or any where the choice does not."""
    survey = working_view(random_survey(seed))
    try:
        demand = essential(require(survey))
    except MountgenError:
        return False
    choice = search.solve(survey, demand, CATALOGUE)
    choices = search.all_choices(survey, demand, CATALOGUE)
    chosen_kg = choice.mass_kg if good(survey, choice) else np.inf
    below = np.flatnonzero((choices.shortfall(search.PLAIN) == 0.0) & (choices.masses < chosen_kg - 1e-9))
    by_mass = below[np.argsort(-choices.masses[below], kind="stable")].tolist()
    rest = by_mass[NEAREST:]
    drawn = Random(seed).sample(rest, min(DRAWN, len(rest)))
    return any(good(survey, choices.layout(place)) for place in (*by_mass[:NEAREST], *drawn))


def good(survey, layout) -> bool:
    return layout.on_rail.pattern.clear >= 0.0 and search.shortfall(survey, layout) == 0.0
