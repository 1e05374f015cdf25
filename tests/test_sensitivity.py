"""How wrong measured values may be, against closed forms and against the checks themselves."""

from __future__ import annotations

import json
import math
from functools import cache

import pytest
from shops import SHOP
from typer.testing import CliRunner

from mountgen import sensitivity
from mountgen.assumed import Trial, trial_scene
from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.checks.records import overall
from mountgen.checks.run import check
from mountgen.cli import app
from mountgen.package.critical import HEAD, NONE, critical_lines
from mountgen.sensitivity import Sensitivity, Turn, sensitivities
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey
from mountgen.survey.setting import read_settings

CATALOGUE = Catalogue()
EVERY = sensitivity._values
CARTONS = profiles_folder() / "surveys" / "seed-cartons.toml"


@cache
def cartons(*settings: str) -> Study:
    return study(read_survey(CARTONS, CATALOGUE, read_settings(settings)), CATALOGUE, SHOP)


KEYS = ("product.bulge", "line.speed", "line.bed_from_y")


@pytest.fixture(autouse=True)
def few_values(monkeypatch):
    """Three values: each takes seconds."""
    every = sensitivity._values
    monkeypatch.setattr(sensitivity, "_values", lambda s: [one for one in every(s) if one.key in KEYS])


@cache
def found() -> dict[str, Sensitivity]:
    return {one.key: one for one in sensitivities(cartons(), CATALOGUE)}


def value_of(made: Study, id_: str) -> tuple[float, float]:
    one = next(one for one in made.checks if one.id == id_)
    return one.value, one.limit


def test_a_bulge_turns_the_verdict_where_it_has_used_up_the_spread():
    """Of the spread's square a bulge b has 4 b^2 / 3 (a uniform law, twice its standard uncertainty); it is
    looked at to 5 mm, to a hundredth of it."""
    value, limit = value_of(cartons(), "standoff_rss")
    bulge = found()["product.bulge"]
    assert bulge.off == 0.5
    turns = math.sqrt(0.5**2 + 0.75 * (limit**2 - value**2)) - 0.5
    assert bulge.higher.by == pytest.approx(turns, abs=0.05)
    assert "root sum square" in bulge.higher.check
    assert bulge.lower.by == math.inf
    assert bulge.ratio == pytest.approx(bulge.higher.by / 0.5)


def test_a_speed_turns_the_verdict_at_the_heads_column_rate():
    """Columns a second go with the speed, of which a tenth may be off."""
    value, limit = value_of(cartons(), "column_rate")
    speed = found()["line.speed"]
    assert speed.off == pytest.approx(50.0)
    assert speed.higher.by == pytest.approx(500.0 * (limit / value - 1), abs=5.0)


def test_every_turn_is_one_and_just_before_it_is_none():
    """The checks themselves, at what was found and a hundredth of the way before it."""
    made = cartons()
    for value in sensitivity._values(made.survey):
        key, one = value.key, found()[value.key]
        for turn, way in ((one.lower, -1.0), (one.higher, 1.0)):
            if math.isfinite(turn.by):
                step = 10 * value.off / 100
                verdicts = [
                    overall(check(trial_scene(made, Trial("", value.moved(way * by)), CATALOGUE), CATALOGUE))
                    for by in (turn.by, turn.by - step)
                ]
                assert verdicts[0] == "not feasible", key
                assert verdicts[1] != "not feasible", key


def test_most_critical_first_and_pitches_are_measured_over_ten_rollers():
    ratios = [one.ratio for one in found().values()]
    assert ratios == sorted(ratios)
    offs = {one.key: one.off for one in EVERY(cartons().survey)}
    assert offs["line.roller_pitch"] == 0.2
    assert offs["rail.top_above_surface"] == 1.0
    assert offs["product.height"] == 2.0
    assert len(offs) == 17


def test_a_mount_that_fails_has_no_sensitivity_but_remedies():
    failing = cartons("product.bulge=4")
    assert failing.verdict == "not feasible"
    assert sensitivities(failing, CATALOGUE) == ()
    assert list(critical_lines((), "mm")) == [NONE]


def test_words():
    never = Turn(math.inf, "")
    lines = list(
        critical_lines(
            (
                Sensitivity("guides.depth", "mm", 2.0, never, Turn(1.5, "room for the key")),
                Sensitivity("line.speed", "mm/s", 50.0, Turn(200.0, "print"), never),
                Sensitivity("rail.free_to", "mm", 2.0, never, never),
            ),
            "mm",
        )
    )
    assert lines[0] == HEAD
    assert "1.5 mm higher (room for the key); measuring may be off 2.0 mm: measure again" in lines[1]
    assert "12.0 m/min lower (print); measuring may be off 3.0 m/min: 4.0 times" in lines[2]
    assert lines[3].strip() == "not critical: rail.free_to"


def test_the_command_prints_it_as_text_and_as_json():
    made = CliRunner().invoke(app, ["check", str(CARTONS), "--sensitivity", "--json"])
    assert made.exit_code == 0
    listed = json.loads(made.stdout)["sensitivity"]
    assert {one["key"] for one in listed} == set(found())
    bulge = next(one for one in listed if one["key"] == "product.bulge")
    assert bulge["higher"]["by"] == pytest.approx(found()["product.bulge"].higher.by, abs=1e-6)
    assert bulge["lower"]["by"] is None
