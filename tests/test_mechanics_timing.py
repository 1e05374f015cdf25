"""Encoder and trigger formulas against cases worked by hand."""

import math

import pytest

from mountgen.mechanics import timing

HUNDRED_FEET_A_MINUTE = 508.0
"""mm/s; 1 ft/min = 5.08 mm/s by definition."""


def test_diameter_is_not_circumference():
    """200 pulses on a wheel of 200 mm diameter give 318.31 a metre, 1591.5 on 5 m."""
    per_mm = timing.counts_per_mm(200, 1, math.pi * 200.0)
    assert per_mm * 1000 == pytest.approx(318.310, abs=5e-4)
    assert per_mm * 5000 == pytest.approx(1591.5, abs=0.1)


def test_divider_that_does_not_fit():
    """0.06 mm a pulse, 200 columns an inch: divider 2, 100 mm print 94.49 mm, -5.51 %."""
    divider = timing.choose_divider(timing.counts_per_mm(5000, 1, 300.0), 200.0)
    assert divider.divider == 2
    assert divider.resolution_dpi == pytest.approx(25.4 / 0.12)
    assert divider.print_length_error == pytest.approx(-0.0551, abs=5e-5)
    assert timing.printed_length(100.0, divider.print_length_error) == pytest.approx(94.49, abs=5e-3)


def test_counts_per_column():
    """0.127 mm columns of 0.06 mm pulses, 2.1167; 5000 pulses on 200 mm at 200 dpi, 3.175."""
    assert timing.counts_per_column(1 / 0.06, 200.0) == pytest.approx(2.1167, abs=5e-5)
    assert timing.counts_per_column(25.0, 200.0) == pytest.approx(3.175)


def test_divider_three():
    """5000 pulses on 200 mm at 200 dpi: divider 3, 211.67 dpi, lengths times 0.9449."""
    divider = timing.choose_divider(timing.counts_per_mm(5000, 1, 200.0), 200.0)
    assert divider.divider == 3
    assert divider.resolution_dpi == pytest.approx(211.67, abs=5e-3)
    assert 1 + divider.print_length_error == pytest.approx(0.9449, abs=5e-5)


@pytest.mark.parametrize(("pulses", "number"), [(2400, 1), (4800, 2), (7200, 3)])
def test_twelve_inch_wheel_fits(pulses, number):
    """2400, 4800 and 7200 pulses on 12 in are exactly 1, 2 and 3 counts a column at 200 dpi."""
    divider = timing.choose_divider(timing.counts_per_mm(pulses, 1, 304.8), 200.0)
    assert divider.divider == number
    assert divider.resolution_dpi == pytest.approx(200.0)
    assert divider.print_length_error == pytest.approx(0.0, abs=1e-12)


def test_wheel_that_would_fit():
    """5000 pulses, divider 2 at 200 dpi: 317.5 mm of circumference, 0.0635 mm a pulse."""
    assert timing.fitting_circumference(5000, 1, 200.0, 2) == pytest.approx(317.5)
    divider = timing.choose_divider(timing.counts_per_mm(5000, 1, 317.5), 200.0)
    assert (divider.divider, divider.print_length_error) == (2, pytest.approx(0.0, abs=1e-12))


def test_encoder_too_coarse():
    """2500 pulses on 304.8 mm at 300 dpi are 0.694 counts a column: no divider helps."""
    with pytest.raises(timing.EncoderTooCoarseError, match=r"too coarse: 0\.694"):
        timing.choose_divider(timing.counts_per_mm(2500, 1, 304.8), 300.0)


def test_measured_factor_shows_slip():
    """4975 counts where 5000 were set shift the print by 2.01 mm over 400 mm."""
    assert timing.slip_shift(400.0, 5.0, 4975 / 1000) == pytest.approx(2.01, abs=5e-3)


def test_column_rate():
    """100 ft/min at 200 dpi are 4000 Hz, 60 m/min at 300 dpi 11 811 Hz."""
    assert timing.column_rate(HUNDRED_FEET_A_MINUTE, 200.0) == pytest.approx(4000)
    assert timing.column_rate(1000.0, 300.0) == pytest.approx(11_811, abs=0.5)
    assert timing.top_speed(4000.0, 200.0) == pytest.approx(HUNDRED_FEET_A_MINUTE)


def test_roller_pass_frequency():
    """0.508 m/s over rollers 3 in apart: 6.67 Hz."""
    assert timing.roller_pass_frequency(HUNDRED_FEET_A_MINUTE, 76.2) == pytest.approx(6.67, rel=1e-3)


@pytest.mark.parametrize(("distance", "pending"), [(400.0, 5), (95.0, 2), (79.0, 1), (80.0, 1), (80.1, 2)])
def test_products_between_eye_and_nozzle(distance, pending):
    """products 80 mm apart from edge to edge, eye 400 mm upstream: five are under way."""
    assert timing.pending_triggers(distance, 80.0) == pending


def test_off_delay_window():
    """gaps of 15 mm inside a pack, 20 mm between packs: 30 to 40 ms at 30 m/min.

    At 15 m/min the same 35 ms are 8.75 mm: a double trigger, so the setting must be travel, not time.
    """
    window = timing.off_delay_window(15.0, 20.0)
    assert (window.low, window.high) == (15.0, 20.0)
    assert timing.travel_time(window.low, 500.0) == pytest.approx(0.030)
    assert timing.travel_time(window.high, 500.0) == pytest.approx(0.040)
    assert timing.trigger_position_error(250.0, 0.035) == pytest.approx(8.75)
    assert not window.low < timing.trigger_position_error(250.0, 0.035) < window.high


@pytest.mark.parametrize("inner", [20.0, 25.0])
def test_no_off_delay_tells_packs_apart(inner):
    with pytest.raises(ValueError, match="one product from two"):
        timing.off_delay_window(inner, 20.0)
