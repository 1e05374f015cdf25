"""Encoder and trigger formulas against relations that encoder and sensor makers publish."""

import math

import pytest

from mountgen.mechanics import timing

HUNDRED_FEET_A_MINUTE = 508.0
"""mm/s; 1 ft/min = 5.08 mm/s by definition."""


def test_resolution_of_a_wheel():
    """Encoder practice: pi D / (4 PPR) = 0.1 mm for 500 pulses on a wheel of 200 mm circumference."""
    assert 1 / timing.counts_per_mm(500, 4, math.pi * 63.66) == pytest.approx(0.1, rel=1e-4)


def test_counts_and_frequency_of_an_encoder():
    """Encoder practice: 500 pulses, four edges, 3000 turns a minute: 2000 counts a turn, 25 kHz."""
    circumference = 200.0
    assert timing.counts_per_mm(500, 4, circumference) * circumference == pytest.approx(2000)
    speed = 3000 / 60 * circumference
    assert timing.encoder_frequency(speed, circumference, 500) == pytest.approx(25_000)


def test_divider_of_a_fine_encoder():
    """Common practice: 2665 counts an inch divided by 13 are 205 columns an inch."""
    per_mm = 2665 / 25.4
    assert timing.counts_per_inch(per_mm) == pytest.approx(2665)
    divider = timing.choose_divider(per_mm, 205.0)
    assert (divider.divider, divider.resolution_dpi) == (13, pytest.approx(205.0))


def test_trigger_position_error():
    """Sensor practice: 1 ms at 0.508 m/s is 0.508 mm."""
    assert timing.trigger_position_error(HUNDRED_FEET_A_MINUTE, 0.001) == pytest.approx(0.508)


def test_least_eye_distance():
    """Sensor practice: 3 ms + 2 ms at 1 m/s are 5 mm."""
    assert timing.least_eye_distance(0.003 + 0.002, 1000.0) == pytest.approx(5.0)
