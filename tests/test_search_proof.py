"""Proof by brute force: on small grids every candidate is laid out and judged by itself, and the search's
choice is the lightest that passes. A search whose order is broken on purpose is caught."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache

import pytest
from random_surveys import CATALOGUE, random_survey
from search_scalars import Single, every_single

from mountgen.catalogue.reader import Catalogue
from mountgen.demand import essential, require, working_view
from mountgen.layout import candidates, search
from mountgen.layout.candidates import job_of
from mountgen.survey.records import Survey

SECTIONS = ("tslot-30", "tslot-40", "tslot-50")
PLATES, SHIFTS, ANGLES = (3.0, 5.0), (0.0, 50.0), (4.0, 6.0)
SEEDS = (0, 1, 115, 119)
"""Of the last two lines the lightest candidate finds no place on the rail."""
BATCH = 8
"""Frequencies are estimated in many batches, as they are on a whole grid."""


class Small(Catalogue):
    """The catalogue of a shop that keeps three sections."""

    def names(self, kind):
        return SECTIONS if kind == "extrusions" else super().names(kind)


SMALL = Small()


@pytest.fixture(autouse=True)
def small_grid(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(candidates, "PLATES", PLATES)
    monkeypatch.setattr(candidates, "ANGLES", ANGLES)
    monkeypatch.setattr(search, "BATCH", BATCH)
    for module in (candidates, search):
        monkeypatch.setattr(module, "SHIFTS", SHIFTS)


@cache
def line(seed: int) -> Survey:
    return working_view(random_survey(seed))


@cache
def singles(seed: int) -> tuple[Single, ...]:
    survey = line(seed)
    return tuple(every_single(job_of(survey, essential(require(survey)), SMALL)))


def fault(seed: int) -> str:
    """'' where the search's choice is the lightest that passes, or a miss where none does."""
    survey = line(seed)
    layout = search.solve(survey, essential(require(survey)), SMALL)
    made = (layout.head, layout.arm.name, layout.post.name, layout.on_rail.angle_thickness)
    taken = next(s for s in singles(seed) if (s.frame.head, s.frame.arm.name, s.post.name, s.angle) == made)
    good = [one for one in singles(seed) if one.passes]
    if not good:
        return ""
    if not taken.passes:
        return f"took one that lacks {taken.lacks:.3f} or has no place, though {len(good)} pass"
    least = min(one.kg for one in good)
    return "" if taken.kg <= least * (1 + 1e-12) else f"took {taken.kg:.4f} kg where {least:.4f} kg pass"


def test_the_choice_is_the_lightest_that_passes_of_all_laid_out_one_by_one() -> None:
    assert [fault(seed) for seed in SEEDS] == [""] * len(SEEDS)


def test_the_grids_have_lines_where_the_choice_is_neither_the_lightest_nor_the_heaviest() -> None:
    """Else any order would do."""
    for seed in SEEDS:
        good = sorted(one.kg for one in singles(seed) if one.passes)
        if 1 < len(good) < len(singles(seed)) and min(one.kg for one in singles(seed)) < good[0] < good[-1]:
            break
    else:
        pytest.fail("no line tells the orders apart")


@pytest.mark.parametrize("seed", SEEDS[:3])
def test_arrays_say_of_every_candidate_what_it_says_of_itself(seed: int) -> None:
    """Masses are the same. What it lacks is no more in the arrays, which put the screws nearest, and the same
    where its screws do stand nearest."""
    survey = line(seed)
    choices = search.all_choices(survey, essential(require(survey)), SMALL)
    lacks, masses = choices.shortfall(search.PLAIN), choices.masses
    same = 0
    for place, one in enumerate(singles(seed)):
        frame, post, angle = choices.made_of(place)
        assert (frame.head, frame.arm, post, angle) == (one.frame.head, one.frame.arm, one.post, one.angle)
        assert masses[place] == pytest.approx(one.kg, rel=1e-12)
        if choices.job.misfit[choices.job.sections.index(post), choices.job.angles.index(angle), 0] == 0.0:
            assert lacks[place] <= one.lacks * (1 + 1e-9) + 0.01
            same += bool(lacks[place] == pytest.approx(one.lacks, rel=1e-6, abs=1e-9))
    assert same > 0


Order = Callable[..., Iterator]
BEST_FIRST = search._best_first


def heaviest_first(field, reserve) -> Iterator:
    yield from sorted(BEST_FIRST(field, reserve), key=lambda one: (one[0], -one[1]))


def last_listed_first(field, reserve) -> Iterator:
    yield from sorted(BEST_FIRST(field, reserve), key=lambda one: (one[0], [-at for at in one[2]]))


def without_the_first_that_passes(field, reserve) -> Iterator:
    yield from list(BEST_FIRST(field, reserve))[1:]


def without_the_thinnest_plates(field, reserve) -> Iterator:
    thin = len(field.masses) // len(PLATES)
    yield from (one for one in BEST_FIRST(field, reserve) if one[2][0] >= thin)


@pytest.mark.parametrize(
    "broken",
    [heaviest_first, last_listed_first, without_the_first_that_passes, without_the_thinnest_plates],
)
def test_a_search_in_another_order_is_caught(broken: Order, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "_best_first", broken)
    assert any(fault(seed) for seed in SEEDS)


def test_grids_are_those_of_the_catalogue_but_smaller() -> None:
    assert set(SECTIONS) < set(CATALOGUE.names("extrusions"))
    assert len(singles(SEEDS[0])) == len(PLATES) * len(SHIFTS) * len(ANGLES) * len(SECTIONS) ** 2
