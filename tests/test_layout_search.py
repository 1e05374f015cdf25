"""The search finds the lightest mount that passes: every candidate tried one by one gives the same."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from random_surveys import CATALOGUE, feasible_studies, random_survey, study_of
from shops import SHOP

from mountgen.catalogue.reader import Catalogue
from mountgen.demand import require, working_view
from mountgen.detail.records import ExtrusionPart
from mountgen.layout import rules, search
from mountgen.layout.candidates import ANGLES, frames_of, job_of
from mountgen.layout.footing import ON_RAIL, Choice
from mountgen.layout.rail_mast import MastLayout
from mountgen.layout.search import least_frequency, most_give, most_sag, solve
from mountgen.mechanics.bending import Din6935
from mountgen.sheet.flat import unfold
from mountgen.sheet.tree import SheetPart
from mountgen.study import Study, study
from mountgen.survey.product_list.table import ProductTable
from mountgen.survey.records import Survey

pytestmark = pytest.mark.xdist_group("random mounts")

FEW = ("tslot-30", "tslot-40", "tslot-50")


class Shop(Catalogue):
    """The catalogue with the few sections that a small shop keeps."""

    def __init__(self, sections: tuple[str, ...]) -> None:
        super().__init__()
        self.sections = sections

    def names(self, kind):
        return self.sections if kind == "extrusions" else super().names(kind)


def passes(survey: Survey, layout: MastLayout) -> bool:
    return (
        float(np.ptp(layout.sag)) <= most_sag(survey)
        and float(layout.give.max()) <= most_give(survey)
        and layout.first_frequency_hz >= least_frequency(survey)
        and layout.post_length <= rules.LONGEST_POST
        and layout.arm_length <= rules.LONGEST_ARM
        and layout.on_rail.pattern.clear >= 0
    )


def one_by_one(survey: Survey, catalogue: Catalogue) -> list[MastLayout]:
    """Every combination of plates, distance and sections as a layout of its own."""
    job = job_of(survey, require(survey), catalogue)
    found = []
    for frame in frames_of(job):
        masses = search._field(job, [frame]).masses
        for (i, post), (k, angle) in itertools.product(enumerate(job.sections), enumerate(ANGLES)):
            choice = Choice(frame, post, angle)
            candidate = search._Candidate(choice, float(masses[0, i, k]), 0.0)
            found.append(search._layout(job, candidate, ON_RAIL.held(job, choice)))
    return found


@pytest.mark.parametrize("place", [0, 2])
def test_no_candidate_that_passes_is_lighter(place: int) -> None:
    small = [m for m in feasible_studies(30) if {m.scene.layout.post.name, m.scene.layout.arm.name} <= {*FEW}]
    survey = small[place].scene.survey
    catalogue = Shop(FEW)
    chosen = solve(survey, require(survey), catalogue)
    good = [layout for layout in one_by_one(survey, catalogue) if passes(survey, layout)]
    assert good and passes(survey, chosen)
    assert chosen.mass_kg == min(layout.mass_kg for layout in good)


def test_the_lightest_is_not_the_strongest() -> None:
    """Sections and plates of the chosen mounts vary: no one choice wins every time."""
    layouts = [made.scene.layout for made in feasible_studies(60)]
    assert len({layout.post.name for layout in layouts}) >= 3
    assert len({layout.arm.name for layout in layouts}) >= 2


def test_the_choice_stays_when_only_sections_that_were_not_chosen_are_taken_away() -> None:
    sizes = {name: CATALOGUE.extrusion(name).size for name in CATALOGUE.names("extrusions")}
    for made in feasible_studies(6):
        survey = made.scene.survey
        chosen = solve(survey, require(survey), CATALOGUE)
        least = min(chosen.post.size, chosen.arm.size)
        shop = Shop(tuple(name for name, size in sizes.items() if size >= least))
        again = solve(survey, require(survey), shop)
        assert (again.post.name, again.arm.name) == (chosen.post.name, chosen.arm.name)
        assert again.mass_kg == pytest.approx(chosen.mass_kg)


def test_without_the_section_that_was_chosen_the_mount_is_no_lighter() -> None:
    for made in feasible_studies(6):
        survey, chosen = made.scene.survey, made.scene.layout
        shop = Shop(tuple(n for n in CATALOGUE.names("extrusions") if n != chosen.post.name))
        again = solve(survey, require(survey), shop)
        assert not passes(survey, again) or again.mass_kg >= chosen.mass_kg


def made_mass(made: Study) -> float:
    """kg of sheet parts, from their flats, and of bars, from their sections, less the encoder's and the
    controller's brackets, stops and backing plates, which every candidate has alike."""
    alike = {"backing plate", "arm stop", "encoder bracket", "encoder arm", "controller bracket"}
    total = 0.0
    for instance in made.detail.instances:
        part = made.detail.parts[instance.part]
        if isinstance(part, SheetPart) and part.name not in alike:
            density = CATALOGUE.material(part.material).density_kg_per_m3
            total += unfold(part, Din6935()).area * part.thickness * density * 1e-9
        elif isinstance(part, ExtrusionPart):
            density = CATALOGUE.material(part.material).density_kg_per_m3
            total += part.section.area_mm2 * part.length * density * 1e-9
    return total


def test_the_mass_that_the_search_compares_is_that_of_the_parts_it_leads_to() -> None:
    """Never less, at most 35 % more: the search weighs sheets by their rough areas, uncut."""
    for made in feasible_studies(60):
        assert 1.0 <= made.scene.layout.mass_kg / made_mass(made) <= 1.35


def test_a_heavier_head_never_gets_a_lighter_mount() -> None:
    for made in feasible_studies(8):
        survey = made.survey
        head = survey.head.model_copy(update={"mass_kg": survey.head.mass_kg * 2})
        heavy = study(replace(survey, head=head), CATALOGUE, SHOP)
        assert heavy.scene.layout.mass_kg >= made.scene.layout.mass_kg - 1e-9


def test_a_farther_code_needs_a_longer_arm_by_as_much() -> None:
    for made in feasible_studies(40):
        survey = made.survey
        if survey.products[0].code.face != "top" or survey.guides is not None:
            continue
        farther = tuple(
            replace(p, near_side_at=type(p.near_side_at)(p.near_side_at + 40, p.near_side_at.plus_minus))
            for p in survey.products
        )
        moved = study(replace(survey, products=ProductTable.of(farther)), CATALOGUE, SHOP).scene.layout
        stays = made.scene.layout
        if moved.post.name == stays.post.name:
            assert moved.arm_length - stays.arm_length == pytest.approx(40, abs=1.0)


@pytest.mark.parametrize("seed", [0, 1])
def test_candidates_come_best_first_and_none_is_left_out(seed: int) -> None:
    """Looked at in batches they come in the order in which all frequencies at once put them."""
    survey = working_view(random_survey(seed))
    job = job_of(survey, require(survey), CATALOGUE)
    field = search._field(job, frames_of(job))
    slow = field.slowness(np.arange(field.masses.size))
    reserve = search.Reserve(give=1.3, frequency=1.2)
    lacking = field.shortfall(reserve).ravel() + np.maximum(1.2 * slow - 1.0, 0.0)
    everything = np.stack(np.unravel_index(np.lexsort((field.masses.ravel(), lacking)), field.masses.shape))
    found = list(search._best_first(field, reserve))
    assert [place for _, _, place in found] == [tuple(place) for place in everything.T.tolist()]
    assert [short for short, _, _ in found] == pytest.approx(np.sort(lacking).tolist(), rel=1e-12, abs=1e-12)


def test_the_layout_is_the_same_every_time() -> None:
    made = study_of(3)
    survey = working_view(made.survey)
    one, other = (solve(survey, require(survey), Catalogue()) for _ in range(2))
    assert one.foot == other.foot and one.head == other.head
    assert math.isclose(one.mass_kg, other.mass_kg, rel_tol=0.0, abs_tol=0.0)
