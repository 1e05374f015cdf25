"""Every check that can fail, spoilt on a sound survey: what is offered was tried, mends it, and is the least.

The remedies are looked at by a second route: the survey is changed here by key and value, as a person would
change the file, studied anew and judged by counting verdicts.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from random_surveys import CATALOGUE, random_survey
from test_checks_each import (
    CASES,
    Case,
    device,
    drilled,
    guides,
    line,
    products,
    rail,
    recoded,
    sound,
    standoff,
    studied,
)

from mountgen.remedies.advice import advise
from mountgen.remedies.products import columns
from mountgen.remedies.records import Lever, Remedy
from mountgen.remedies.search import Allowance, Bench, Found, failing, find_remedy
from mountgen.remedies.table import LEVERS, levers_for
from mountgen.study import Study
from mountgen.survey.product_list.table import ProductTable
from mountgen.survey.records import Measured, Survey

NOT_MENDED = {
    "eye_background": "products of 10 mm: too low for a beam across, and every other eye stays tight",
    "sag": "a best band of 0.02 mm asks for more than any mount",
    "handling": "an acceptable band of 0.02 mm asks for more than any hand",
    "bolt_strength": "a hand of 1500 N",
    "thread_engagement": "a hand of 4000 N",
    "web_stress": "a wall of 1 mm is the rail's own matter",
    "web_rotation": "a wall of 0.6 mm is the rail's own matter",
    "rail_torsion": "ties 80 mm apart are no plausible change",
    "operator_reach": "a line 1.6 m over the floor",
    "cable": "a cable of 0.8 m is the head's own matter",
    "crush_gap": "every product weighs 40 kg",
    "rail_nuts": "a wall too thick for rivet nuts is the rail's own matter",
    "rail_face": "a flat too narrow for the rail angle is the rail's own matter",
    "sheet_rules": "tight, not failing: its own remedy stands",
}
BY_CASE = [case for case in CASES if case.id not in NOT_MENDED]
ALLOWED, FEW = 80, 8


@cache
def spoilt(id_: str) -> Study:
    return studied(next(case for case in CASES if case.id == id_).spoil())


@cache
def found_for(id_: str) -> tuple[Bench, Found | None]:
    bench = Bench(spoilt(id_), CATALOGUE)
    return bench, first_found(bench, id_, ALLOWED)


def first_found(bench: Bench, id_: str, allowed: int) -> Found | None:
    """The first remedy found for a check, all studies for it kept on the bench."""
    check = next(one for one in failing(bench.start) if one.id == id_)
    purse = Allowance(allowed)
    tried = (find_remedy(bench, check, one, purse) for one in levers_for(bench.start, check))
    return next((one for one in tried if one), None)


def verdicts(made: Study, verdict: str) -> set[str]:
    return {one.id for one in made.checks if one.verdict == verdict}


def passes(made: Study, id_: str) -> bool:
    return not any(one.id == id_ and one.verdict != "pass" for one in made.checks)


def accepted(before: Study, after: Study, id_: str) -> bool:
    return passes(after, id_) and verdicts(after, "fail") <= verdicts(before, "fail")


@pytest.mark.parametrize("case", BY_CASE, ids=lambda case: case.id)
def test_what_is_offered_mends_the_check_and_one_step_less_does_not(case: Case) -> None:
    bench, one = found_for(case.id)
    assert one is not None
    assert accepted(bench.start, one.study, case.id), one.remedy
    if one.steps > 1:
        less = bench.made[(one.lever.name, one.steps - 1)]
        assert less is None or not accepted(bench.start, less, case.id), one.remedy
    assert one.remedy.verdict_after == one.study.verdict
    assert set(one.remedy.still_fails) == verdicts(one.study, "fail")
    gone = verdicts(bench.start, "fail") - verdicts(one.study, "fail") - {case.id}
    assert set(one.remedy.also_mends) == gone


def applied(survey: Survey, remedy: Remedy) -> Survey:
    """The survey with the remedy's value under its key, by this test's own reading of the two."""
    value, key = remedy.new_value, remedy.key
    keepout = re.fullmatch(r"rail\.keepout\[(\d+)\]\.(\w)", key)
    if keepout:
        at, axis = int(keepout[1]) - 1, keepout[2]
        kept = list(survey.rail.keepouts)
        low, high = getattr(kept[at], axis)
        kept[at] = replace(kept[at], **{axis: (value, value + high - low)})
        return rail(survey, keepouts=tuple(kept))
    if key.endswith(".device"):
        kind = key.removesuffix(".device")
        return replace(survey, **{kind: getattr(CATALOGUE, kind)(value)})
    return APPLIED[key](survey, value)


def _raised(survey: Survey, value: float) -> Survey:
    """Codes up to the new height, or down to it, whichever way all of them are from there."""
    bases = [product.code.above_base for product in survey.products]
    end = max if value > min(bases) else min
    return products(survey, lambda p: recoded(above_base=end(p.code.above_base, value))(p))


def _least(field: str):
    return lambda survey, value: products(
        survey, lambda p: replace(p, **{field: min(getattr(p, field), value)})
    )


APPLIED = {
    "product.code.above_base": _raised,
    "product.code.from_near": lambda s, v: products(
        s, lambda p: recoded(from_near=min(p.code.from_near, v))(p)
    ),
    "product.code.size": lambda s, v: products(
        s, lambda p: recoded(size=(p.code.size[0], min(p.code.size[1], v)))(p)
    ),
    "product.bulge": _least("bulge"),
    "product.skew_deg": _least("skew_deg"),
    "product.gap": lambda s, v: products(s, lambda p: replace(p, gap=max(p.gap, v))),
    "guides.open": lambda s, v: guides(s, open=v),
    "guides.depth": lambda s, v: guides(s, depth=v),
    "guides.near_y": lambda s, v: guides(s, near_y=Measured(v, s.guides.near_y.plus_minus)),
    "guides.far_y": lambda s, v: guides(s, far_y=Measured(v, s.guides.far_y.plus_minus)),
    "rail.free_to": lambda s, v: rail(s, free_to=v),
    "line.speed": lambda s, v: line(s, speed_mm_per_s=v * 1000 / 60),
    "sensor.distance": lambda s, v: replace(s, sensor_distance=v),
    "line.drive_rpm": lambda s, v: line(s, drive_rpm=v),
    "joining.friction": lambda s, v: replace(s, joining=replace(s.joining, friction=v)),
    "rail.supports_apart": lambda s, v: rail(s, supports_apart=v),
    "rail.top_above_surface": lambda s, v: rail(
        s, top_above_surface=Measured(float(s.rail.top_above_surface), v)
    ),
    "standoff.setting": lambda s, v: standoff(s, setting=v),
    "work.drill": drilled,
    "standoff.target": lambda s, v: standoff(s, target=v),
    "encoder": lambda s, v: replace(s, encoder=None),
}


@pytest.mark.parametrize("case", BY_CASE, ids=lambda case: case.id)
def test_a_remedy_written_into_the_survey_mends_the_check(case: Case) -> None:
    bench, found = found_for(case.id)
    assert found is not None
    after = studied(applied(bench.start.survey, found.remedy))
    assert accepted(bench.start, after, case.id)
    assert after.verdict == found.remedy.verdict_after


@pytest.mark.parametrize("id_", ["rail_nuts", "handling"])
def test_nothing_is_offered_where_nothing_helps(id_: str) -> None:
    assert found_for(id_)[1] is None


def test_a_check_that_is_met_or_no_more_than_tight_gets_no_advice() -> None:
    made = studied(sound())
    assert advise(made, CATALOGUE).remedies == ()
    assert advise(made, CATALOGUE).studies == 0


def test_every_id_of_the_table_is_that_of_a_check() -> None:
    from test_checks_each import IDS

    assert set(LEVERS) <= IDS


def spoilt_line(seed: int) -> Survey:
    """A random survey with one thing, or two, wrong with it."""
    survey = random_survey(seed)
    dice = np.random.default_rng(seed)
    spoils = (
        lambda s: line(s, speed_mm_per_s=float(dice.uniform(1200, 2500))),
        lambda s: rail(s, free_to=float(dice.uniform(20, 120))),
        lambda s: products(s, lambda p: replace(p, gap=2.0)),
        lambda s: products(s, lambda p: replace(p, bulge=float(dice.uniform(2, 3)))),
        lambda s: device(s, "controller", sensor_distance_min=110.0),
        lambda s: products(s, lambda p: recoded(size=(p.code.size[0], p.code.size[1] + 40.0))(p)),
    )
    for at in dice.choice(len(spoils), size=1 + seed % 2, replace=False):
        survey = spoils[int(at)](survey)
    return survey


@pytest.mark.parametrize("seed", range(200, 216))
def test_no_remedy_breaks_what_passed(seed: int) -> None:
    """On random lines: the first remedy that is found for the first failing check, where there is one."""
    bench = Bench(studied(spoilt_line(seed)), CATALOGUE)
    assert bench.start.verdict == "not feasible"
    id_ = failing(bench.start)[0].id
    found = first_found(bench, id_, FEW)
    if found is not None:
        assert accepted(bench.start, studied(found.lever.at(found.steps).survey), id_)
        less = bench.made.get((found.lever.name, found.steps - 1))
        assert less is None or not accepted(bench.start, less, id_)


@pytest.mark.parametrize("seed", [203, 205])
def test_advice_is_in_order_and_tells_what_was_seen(seed: int) -> None:
    before = studied(spoilt_line(seed))
    advice = advise(before, CATALOGUE)
    assert advice.studies <= 90
    failed = verdicts(before, "fail")
    for one in advice.remedies:
        assert one.check_id in failed and one.check_id not in one.still_fails
        assert set(one.still_fails) <= failed
        assert (one.verdict_after == "not feasible") == bool(one.still_fails)
        assert 0.0 < one.share <= 2.1 and one.amount > 0.0
    if advice.together:
        assert advice.together[-1].verdict_after != "not feasible"
        assert len({one.check_id for one in advice.together}) == len(advice.together) > 1
    shares = [one.rank for one in advice.enough]
    assert shares == sorted(shares)


def test_the_same_survey_gets_the_same_advice() -> None:
    before = spoilt("free_stretch")
    assert advise(before, CATALOGUE) == advise(studied(before.survey), CATALOGUE)


def levers_of(survey: Survey, id_: str) -> dict[str, Lever]:
    made = studied(survey)
    check = next(one for one in made.checks if one.id == id_)
    return {one.name: one for builder in LEVERS[id_] for one in builder(made, check)}


def test_codes_stay_on_their_products() -> None:
    for one in levers_of(sound(), "lowest_code").values():
        if one.key == "product.code.above_base":
            table = one.at(one.count).survey.products
            assert (table.above_base + table.code_across <= table.height).all()


def test_a_target_stays_inside_the_best_band() -> None:
    for name, one in levers_of(sound(), "standoff_worst").items():
        if name.startswith("standoff.target"):
            band = sound().standoff.best
            assert band[0] <= one.at(one.count).value <= band[1]


def test_codes_that_hang_from_the_top_are_raised_by_their_own_key() -> None:
    def hung(product):
        code = product.code
        below = product.height - code.above_base - code.size[1]
        return replace(product, code=replace(code, above_base=None, below_top=below))

    survey = products(sound(), hung)
    one = levers_of(survey, "lowest_code")["product.code.below_top higher"]
    table = one.at(3).survey.products
    assert np.isnan(table.above_base).all()
    bottoms = table.height - table.below_top - table.code_across
    assert bottoms.min() == pytest.approx(one.at(3).value)


def test_inches_go_by_binary_fractions() -> None:
    survey = replace(products(sound(), lambda p: replace(p, gap=25.4 / 8)), units="in")
    one = levers_of(survey, "next_product")["product.gap wider"]
    assert [one.at(k).text for k in (1, 4)] == [
        "space the products 1/4 in apart at least (1/8 in more)",
        "space the products 1 in apart at least (7/8 in more)",
    ]


def test_a_print_line_moves_everything_else_the_other_way() -> None:
    survey = sound()
    one = levers_of(survey, "free_stretch")["print line to the right"]
    moved = one.at(4).survey
    assert one.at(4).value == 20.0
    assert (moved.rail.free_from, moved.rail.free_to) == (
        survey.rail.free_from - 20,
        survey.rail.free_to - 20,
    )
    assert moved.line.first_roller_at == survey.line.first_roller_at - 20
    assert [k.x[0] - m.x[0] for k, m in zip(survey.rail.keepouts, moved.rail.keepouts, strict=True)] == [
        20,
        20,
    ]


def test_a_product_is_left_out_when_the_check_names_it() -> None:
    tall = list(sound().products)
    tall[0] = replace(tall[0], bulge=2.9)
    survey = replace(sound(), products=ProductTable.of(tall))
    one = levers_of(survey, "standoff_worst")["product.name left out"]
    assert list(one.at(1).survey.products.names) == [product.name for product in tall[1:]]
    assert columns(survey).products.names[0] == tall[0].name
