"""The page's answer to whether the nozzles stay where they were set."""

import re
from dataclasses import replace

import numpy as np
import pytest

from mountgen.package.holding import Holding, effect_lines, figures, holding_section, percent, touching
from mountgen.survey.records import StandOff
from mountgen.tolerance.records import Budget, Effect, Fit, Histogram, JointFit, Sprung

STANDOFF = StandOff(3.2, (2.0, 4.0), (1.0, 6.0), 0.5)
BULGE = Effect("bulge of the printed face", "product", 1.0, 0.7, "1 mm assumed", "measure ten products")
PLAY = Effect("play at the <guide>", "survey", 0.5, 0.298, "measured", "")
TINY = Effect("bending", "bending", 0.01, 0.002, "ISO 2768-1 m", "")
SHAPE = Histogram(np.linspace(1.2, 5.2, 5), np.array([0.1, 0.4, 0.4, 0.1]))
BUDGET = Budget(
    (), np.array([1.5]), np.array([0.8]), 20000, 1, 0.978, 0.9999, 0.0, SHAPE, 0, (BULGE, PLAY, TINY), None
)
FIT = Fit(10000, 1, 0.9876, (JointFit("rail <angle> to rail", 0.9912),))
HOLDING = Holding(0.21, 0.03, (23.4, 31.0, 55.2), "rollers passing", 3.2, 1.8, "ear to arm", BUDGET, FIT)


def test_first_time_fit_names_what_hinders_it():
    html = holding_section(HOLDING, STANDOFF, "mm")
    assert "98.8 % of 10000 virtual mounts" in html
    assert "most of the others stop at rail &lt;angle&gt; to rail" in html
    sure = replace(HOLDING, fit=Fit(10000, 1, 1.0, (JointFit("x", 1.0),)))
    assert "100 % of 10000 virtual mounts go together at the first try.</li>" in holding_section(
        sure, STANDOFF, "mm"
    )


def test_every_figure_stands_in_the_section():
    page = holding_section(HOLDING, STANDOFF, "mm")
    for text in (
        "23.4, 31, 55.2 Hz",
        "0.21 mm",
        "0.03 mm",
        "ear to arm, holds 2.8 times",
        "97.8 %",
        "20000",
    ):
        assert text in page, text


def test_bars_of_the_histogram_are_as_tall_as_their_shares():
    page = holding_section(HOLDING, STANDOFF, "mm")
    heights = [float(h) for h in re.findall(r'class="share"[^>]*height="([\d.]+)"', page)]
    assert np.array(heights) / heights[1] == pytest.approx([0.25, 1.0, 1.0, 0.25])


def test_bands_stand_where_the_bars_of_their_gaps_stand():
    page = holding_section(HOLDING, STANDOFF, "mm")
    best = re.search(r'class="band best" x="([\d.]+)" y="[\d.]+" width="([\d.]+)"', page)
    bars = re.findall(r'class="share" x="([\d.]+)" y="[\d.]+" width="([\d.]+)"', page)
    assert best
    mm = float(best[2]) / (STANDOFF.best[1] - STANDOFF.best[0])
    assert float(bars[0][0]) - float(best[1]) == pytest.approx((1.2 - 2.0) * mm, abs=1e-3)
    assert float(bars[0][1]) == pytest.approx(1.0 * mm, abs=1e-3)


def test_small_causes_are_told_together_and_texts_are_escaped():
    page = holding_section(HOLDING, STANDOFF, "mm")
    assert "Left out: 1 that" in page
    assert ">bending<" not in page
    assert "&lt;guide&gt;" in page
    assert "<guide>" not in page


def test_a_share_is_never_rounded_up_to_all():
    assert percent(0.99999) == "99.9 %"
    assert percent(1.0) == "100 %"
    assert percent(0.0) == "0 %"


def test_no_touch_is_told_with_what_the_samples_can_tell():
    """Rule of three: Hanley and Lippman-Hand, JAMA 249, 1983: at most 3/n with 95 % confidence."""
    assert "0.015 %" in touching(BUDGET)
    assert touching(replace(BUDGET, touch=0.0123)).startswith("1.23 %")


def test_a_sprung_carriage_is_told_where_the_fixed_head_fails():
    sprung = Sprung(30.0, 0.2, 4.0, 3.0, 9.0, 0.99, 1.0, 0.0, True, "the roller keeps contact")
    page = holding_section(replace(HOLDING, budget=replace(BUDGET, sprung=sprung)), STANDOFF, "mm")
    assert "It would work: the roller keeps contact" in page
    assert "sprung carriage" not in holding_section(HOLDING, STANDOFF, "mm")


def test_inches_where_the_survey_is_in_inches():
    assert any("in" in line and "mm" not in line for line in figures(HOLDING, "in"))
    assert all("mm" not in line for line in figures(HOLDING, "in"))


def test_lines_for_a_terminal_are_sorted_and_have_bars():
    lines = list(effect_lines(BUDGET.effects, "mm"))
    assert [line.count("#") for line in lines] == [14, 6]
