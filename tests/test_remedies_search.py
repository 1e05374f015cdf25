"""The search for the smallest change, on levers whose answer is known: derived in the test.

A survey is a number here, and a study judges it at once: `wanted` passes from `least` on, `other` fails from
`most` on, and the margin grows by one with the number.
"""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountgen.checks.records import Check, overall
from mountgen.errors import SheetError
from mountgen.remedies import search
from mountgen.remedies.grading import Number, graded
from mountgen.remedies.records import Lever, Trial
from mountgen.remedies.search import Allowance, Bench, find_remedy


def judged(name: str, margin: float, unit: str = "mm") -> Check:
    verdict = "pass" if margin >= 0 else "fail"
    return Check(name, name, verdict, margin, 0.0, unit, margin, "test")


def studied(value: float, least: float, most: float, unit: str = "mm"):
    checks = (judged("wanted", value - least, unit), judged("other", most - value))
    scene = SimpleNamespace(layout=SimpleNamespace(foot=SimpleNamespace(clear=1.0)), shop=None)
    return SimpleNamespace(survey=value, checks=checks, scene=scene, verdict=overall(checks))


def lever(count: int, step: float = 1.0, unit: str = "mm", *, graded: bool = True) -> Lever:
    def at(steps: int) -> Trial:
        assert 1 <= steps <= count
        return Trial(steps * step, f"{steps} steps", steps * step, steps * step)

    return Lever("key", "kind", unit, step, count, at, graded)


def searched(monkeypatch, least: float, most: float, one: Lever, purse: Allowance, unit: str = "mm"):
    monkeypatch.setattr(search, "study", lambda survey, *_: studied(survey, least, most, unit))
    bench = Bench(studied(0.0, least, most, unit), None)
    return find_remedy(bench, bench.start.checks[0], one, purse)


@given(least=st.integers(1, 400), room=st.integers(0, 200), count=st.integers(1, 400), known=st.booleans())
def test_the_smallest_step_is_found_wherever_there_is_one(least, room, count, known):
    unit = "mm" if known else "Hz"
    with pytest.MonkeyPatch.context() as patch:
        found = searched(patch, least, least + room, lever(count), Allowance(1000), unit)
    assert (found.steps if found else None) == (least if least <= count else None)


@given(least=st.integers(1, 10_000))
def test_few_studies_are_made(least):
    """Where the margin tells the amount, two studies; else no more than twice the binary digits."""
    for unit, most in (("mm", 2), ("Hz", 2 * 15)):
        purse = Allowance(1000)
        with pytest.MonkeyPatch.context() as patch:
            found = searched(patch, least, 1e9, lever(10_000), purse, unit)
        assert found.steps == least
        assert purse.studies <= most


def test_nothing_is_offered_where_the_lever_does_not_reach(monkeypatch):
    assert searched(monkeypatch, 11.0, 100.0, lever(10), Allowance(1000)) is None


def test_nothing_is_offered_that_breaks_another_check(monkeypatch):
    assert searched(monkeypatch, 5.0, 4.0, lever(10), Allowance(1000)) is None


def test_a_window_short_of_the_first_step_is_found_from_beyond_it(monkeypatch):
    """The margin asks for 6 steps of 1 though 3 would do: the trial breaks the other check, one less not."""

    def study(value: float, *_: object):
        made = studied(value, 6.0, 100.0)
        found = judged("wanted", 0.0 if value >= 3 else value - 6.0), judged("other", 4.5 - value)
        return SimpleNamespace(**{**vars(made), "checks": found, "verdict": overall(found)})

    monkeypatch.setattr(search, "study", study)
    bench = Bench(study(0.0), None)
    assert find_remedy(bench, bench.start.checks[0], lever(10), Allowance(100)).steps == 3


def test_a_lever_without_any_effect_is_left_soon(monkeypatch):
    purse = Allowance(1000)
    monkeypatch.setattr(search, "study", lambda survey, *_: studied(0.0, 5.0, 9.0, "Hz"))
    bench = Bench(studied(0.0, 5.0, 9.0, "Hz"), None)
    assert find_remedy(bench, bench.start.checks[0], lever(400), purse) is None
    assert purse.studies <= 2


def test_no_more_is_studied_than_allowed(monkeypatch):
    for most in range(8):
        purse = Allowance(most)
        searched(monkeypatch, 300.0, 1e9, lever(400), purse, "Hz")
        assert purse.studies == purse.used == most


def test_a_trial_is_studied_once(monkeypatch):
    calls = []
    monkeypatch.setattr(search, "study", lambda value, *_: calls.append(value) or studied(value, 7, 99, "Hz"))
    bench = Bench(studied(0.0, 7, 99, "Hz"), None)
    for _ in range(3):
        find_remedy(bench, bench.start.checks[0], lever(50), Allowance(100))
    assert len(calls) == len(set(calls))


def test_choices_are_tried_in_their_order(monkeypatch):
    found = searched(monkeypatch, 3.0, 99.0, lever(6, graded=False), Allowance(100))
    assert found.steps == 3


def test_what_nobody_can_make_is_refused(monkeypatch):
    def study(value: float, *_: object):
        raise SheetError("no such part")

    monkeypatch.setattr(search, "study", study)
    bench = Bench(studied(0.0, 5, 9), None)
    assert find_remedy(bench, bench.start.checks[0], lever(10), Allowance(100)) is None


@pytest.mark.parametrize(
    ("old", "limit", "step", "values"),
    [
        (32.0, 35.0, 1.0, [33.0, 34.0, 35.0]),
        (32.4, 35.9, 1.0, [33.0, 34.0, 35.0]),
        (30.0, 27.0, 1.0, [29.0, 28.0, 27.0]),
        (-3.0, -12.0, 5.0, [-5.0, -10.0]),
        (0.7, 0.0, 0.1, [0.6, 0.5, 0.4, 0.3, 0.2, 0.1, 0.0]),
        (10.0, 10.4, 0.5, []),
        (10.0, 10.0, 0.5, []),
    ],
)
def test_new_values_are_round_and_stop_at_the_limit(old, limit, step, values):
    number = Number("key", "kind", old, limit, step)
    levers = list(graded(number, lambda new, by: f"{new} {by}", lambda value: value, "mm"))
    found = [one.at(k).value for one in levers for k in range(1, one.count + 1)]
    assert found == values
    for one in levers:
        assert one.at(1).amount == pytest.approx(abs(values[0] - old))
