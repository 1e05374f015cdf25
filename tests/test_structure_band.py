"""The search's estimates and the full solution of the chosen mount agree within stated bands."""

from __future__ import annotations

import numpy as np
import pytest
from random_surveys import CATALOGUE, study_of

from mountgen.demand import essential
from mountgen.layout.search import PLAIN, least_frequency, most_give, most_sag, shortfall, solve
from mountgen.layout.stiffness import FREQUENCY_BAND, GIVE_BAND, SAG_BAND, SAG_FLOOR
from mountgen.study import Study, raised_reserve


def require_agreement(made: Study) -> None:
    layout, structure = made.scene.layout, made.scene.structure
    change, full_change = float(np.ptp(layout.sag)), float(np.ptp(structure.sags))
    assert abs(full_change - change) <= max(SAG_FLOOR, SAG_BAND * full_change)
    given = max(abs(pose.standoff(pose.hand)) for pose in structure.poses)
    assert given == pytest.approx(float(layout.give.max()), rel=GIVE_BAND)
    assert structure.first_frequency_hz == pytest.approx(layout.first_frequency_hz, rel=FREQUENCY_BAND)


def require_settled(made: Study) -> None:
    """A mount that the search finds stiff enough is so as a frame, or no candidate has the reserve."""
    scene = made.scene
    survey, layout, structure = scene.survey, scene.layout, scene.structure
    given = max(abs(pose.standoff(pose.hand)) for pose in structure.poses)
    kept = (
        float(np.ptp(structure.sags)) <= most_sag(survey),
        given <= most_give(survey),
        structure.first_frequency_hz >= least_frequency(survey),
    )
    if shortfall(survey, layout) == 0.0 and not all(kept):
        reserve = raised_reserve(survey, scene, PLAIN)
        again = solve(survey, essential(scene.demand), CATALOGUE, reserve)
        assert shortfall(survey, again, reserve) > 0.0


@pytest.mark.parametrize("seed", range(40))
def test_estimate_and_frame_agree(seed: int) -> None:
    require_agreement(study_of(seed))


@pytest.mark.parametrize("seed", range(40))
def test_what_the_search_takes_for_stiff_is_stiff(seed: int) -> None:
    require_settled(study_of(seed))


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(1000, 1300))
def test_estimate_and_frame_agree_over_many_surveys(seed: int) -> None:
    made = study_of(seed)
    require_agreement(made)
    require_settled(made)
