"""The controller's numbers tried out on thousands of virtual lines, and worked out once more with units."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pint
import pytest
from line_simulation import (
    Entered,
    Run,
    most_waiting,
    print_by_clock,
    print_by_encoder,
    ramped_runs,
    seen_by_eye,
    steady_runs,
)
from test_checks_each import example, studied

from mountgen.layout.setup import line_limits
from mountgen.mechanics import timing

UNITS = pint.UnitRegistry()
NAMES = ("seed-cartons", "compost-sacks", "seed-trays-inch")
LINES, SECONDS = 700, 12.0
"""Three examples: 2100 lines, each with products for twelve seconds of its ramps."""


def entered(name: str) -> tuple:
    """A line's first product by the numbers of its set-up sheet."""
    made = studied(example(name))
    survey, setup = made.survey, made.setup
    product = next(iter(survey.products))
    columns = round(product.code.size[0] * survey.head.column_dpi / 25.4)
    response = survey.sensor.response_ms / 1000
    numbers = Entered(
        setup.products[0].delay_mm, setup.counts_per_mm, setup.encoder_divider, response, columns
    )
    return made, product, numbers


def stream(dice: np.random.Generator, pitch: float, run: Run) -> np.ndarray:
    """Leading edges that meet the beam at least a pitch apart, as many as come in the time on every line."""
    count = max(2, int(run.travel[:, -1].max() / pitch))
    gaps = pitch * (1 + dice.exponential(0.3, (len(run.travel), count)))
    return np.cumsum(gaps, 1)


@pytest.mark.parametrize("name", NAMES)
def test_every_code_lands_within_the_predicted_error(name):
    """Ramps, stops, any phase of the encoder, any response of the eye: the start lies in its window, the
    length is off by the divider's error and no more."""
    made, product, numbers = entered(name)
    survey, setup = made.survey, made.setup
    dice = np.random.default_rng(7)
    run = ramped_runs(dice, LINES, survey.line.speed_mm_per_s, SECONDS)
    arrivals = stream(dice, float(product.length) + product.gap, run)
    prints = print_by_encoder(run, arrivals, setup.sensor_to_nozzle_mm, numbers, dice)
    printed = ~np.isnan(prints.first)
    assert printed.sum() > 1000
    off = (prints.first - product.code.from_leading)[printed]
    window = line_limits(survey, setup).start
    assert window.low <= off.min() and off.max() <= window.high
    assert off.max() > 0.7 * window.high  # the window is no wider than it must be
    columns = numbers.columns - 1
    meant = columns * 25.4 / survey.head.column_dpi
    lengths = (prints.last - prints.first)[printed]
    assert lengths / meant - 1 == pytest.approx(setup.print_length_error_percent / 100, abs=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_without_an_encoder_a_change_of_speed_stretches_the_print(name):
    """Ten per cent faster: ten per cent longer, and later by ten per cent of the delay."""
    made, product, numbers = entered(name)
    set_speed = made.survey.line.speed_mm_per_s
    speeds = set_speed * np.array([0.9, 1.0, 1.1])
    run = steady_runs(speeds, 12.0)
    arrivals = np.tile(np.arange(1, 6) * 60.0, (3, 1))
    prints = print_by_clock(run, arrivals, made.setup.sensor_to_nozzle_mm, numbers, set_speed)
    lengths = prints.last - prints.first
    stretch = [timing.fixed_speed_stretch(speed, set_speed) for speed in speeds]
    assert stretch == pytest.approx([-0.1, 0.0, 0.1])
    for row, share in enumerate(stretch):
        assert lengths[row] / lengths[1] - 1 == pytest.approx(share, abs=1e-6)
        start = product.code.from_leading + share * numbers.delay
        assert prints.first[row] == pytest.approx(start, abs=1e-3)


def test_an_encoder_takes_no_notice_of_the_same_change_of_speed():
    made, _, numbers = entered("seed-cartons")
    numbers = replace(numbers, response=0.0)
    speed = made.survey.line.speed_mm_per_s
    run = steady_runs(speed * np.array([0.9, 1.0, 1.1]), 12.0)
    arrivals = np.tile(np.arange(1, 6) * 60.0, (3, 1))
    prints = print_by_encoder(
        run, arrivals, made.setup.sensor_to_nozzle_mm, numbers, np.random.default_rng(1)
    )
    assert np.ptp(prints.last - prints.first) < 1e-9
    assert np.ptp(prints.first) < 2 / numbers.counts_per_mm


@pytest.mark.parametrize("wrong", ["delay", "divider", "counts_per_mm"])
def test_a_wrong_number_leaves_the_window(wrong):
    """So that the test above can fail: two per cent in any number shows."""
    made, product, numbers = entered("seed-cartons")
    dice = np.random.default_rng(3)
    run = ramped_runs(dice, 50, made.survey.line.speed_mm_per_s, SECONDS)
    arrivals = stream(dice, float(product.length) + product.gap, run)
    change = {"divider": numbers.divider + 1}.get(wrong, getattr(numbers, wrong) * 1.02)
    prints = print_by_encoder(
        run, arrivals, made.setup.sensor_to_nozzle_mm, replace(numbers, **{wrong: change}), dice
    )
    printed = ~np.isnan(prints.first)
    off = (prints.first - product.code.from_leading)[printed]
    window = line_limits(made.survey, made.setup).start
    meant = (numbers.columns - 1) * 25.4 / made.survey.head.column_dpi
    length_off = np.abs((prints.last - prints.first)[printed] / meant - 1)
    inside = window.low <= off.min() and off.max() <= window.high and length_off.max() < 0.01
    assert not inside


def test_products_on_their_way_are_as_many_as_the_queue_must_hold():
    """Streams at the least pitch exactly: the count from the formula is met and never passed."""
    for pitch, distance in ((80.0, 400.0), (80.0, 95.0), (550.0, 62.1), (100.0, 399.0), (100.0, 300.0)):
        row = (np.arange(30) * pitch)[None, :]
        assert most_waiting(row, distance) == timing.pending_triggers(distance, pitch)


def test_the_shortest_product_that_the_eye_sees():
    """A product somewhat longer than the least is seen at top speed, one somewhat shorter is not."""
    speed, response, beam = 508.0, 0.002, 3.0
    run = steady_runs(np.array([speed]), 4.0)
    least = timing.least_seen_length(speed, response, beam)
    assert least == pytest.approx(4.016)
    for length, sees in ((least + 0.01, True), (least - 0.01, False), (beam - 0.1, False)):
        assert seen_by_eye(run, 0, (300.0, 300.0 + length), response, beam) is sees


@pytest.mark.parametrize("name", NAMES)
def test_numbers_of_the_sheet_worked_out_with_units(name):
    """Counts, divider, resolution, delay, top speed and frequency, once more with pint."""
    made = studied(example(name))
    survey, setup = made.survey, made.setup
    limits, encoder = line_limits(survey, setup), survey.encoder
    counts = encoder.pulses_per_turn * encoder.edges_per_pulse / (encoder.wheel_circumference * UNITS.mm)
    assert counts.to("1/mm").magnitude == pytest.approx(setup.counts_per_mm)
    dots = survey.head.column_dpi / UNITS.inch
    ratio = (counts / dots).to("").magnitude
    assert limits.counts_per_column == pytest.approx(ratio)
    assert setup.encoder_divider == round(ratio)
    resolution = (counts / setup.encoder_divider).to("1/inch").magnitude
    assert setup.resolution_dpi == pytest.approx(resolution)
    assert setup.print_length_error_percent == pytest.approx((setup.encoder_divider / ratio - 1) * 100)
    top = survey.head.max_column_rate_hz * UNITS.hertz / (resolution / UNITS.inch)
    for input_hz in (encoder.max_frequency_hz, survey.controller.max_encoder_hz):
        turns = input_hz * UNITS.hertz / encoder.pulses_per_turn
        top = min(top, turns * encoder.wheel_circumference * UNITS.mm)
    assert limits.top_speed == pytest.approx(top.to("mm/s").magnitude)
    assert limits.top_speed >= survey.line.speed_mm_per_s
    line_speed = setup.speed_m_per_min * UNITS.meter / UNITS.minute
    assert survey.line.speed_mm_per_s == pytest.approx(line_speed.to("mm/s").magnitude)
    seen = line_speed * survey.sensor.response_ms * UNITS.millisecond + survey.sensor.beam_diameter * UNITS.mm
    assert limits.least_seen == pytest.approx(seen.to("mm").magnitude)
    for setting, product in zip(setup.products, survey.products, strict=True):
        assert setting.delay_mm == pytest.approx(setup.sensor_to_nozzle_mm + product.code.from_leading)


def test_a_divider_of_13_at_205_dpi_belongs_to_2665_counts_an_inch():
    """Common practice."""
    counts = (2665 / UNITS.inch).to("1/mm").magnitude
    choice = timing.choose_divider(counts, 205.0)
    assert choice.divider == 13
    assert choice.resolution_dpi == pytest.approx(205.0)
    assert choice.print_length_error == pytest.approx(0.0, abs=1e-12)


def test_top_speed_of_an_encoder_by_its_frequency():
    """The inverse of the frequency: at the top speed a channel has its highest frequency."""
    top = timing.encoder_top_speed(200_000.0, 304.8, 7995)
    assert timing.encoder_frequency(top, 304.8, 7995) == pytest.approx(200_000.0)
    turns = 200_000.0 * UNITS.hertz / 7995
    assert top == pytest.approx((turns * 12 * UNITS.inch).to("mm/s").magnitude)


def test_limits_without_an_encoder_are_the_heads():
    made = studied(example("seed-cartons"))
    setup = replace(made.setup, counts_per_mm=None, encoder_divider=None)
    limits = line_limits(replace(made.survey, encoder=None), setup)
    assert (limits.counts_per_column, limits.start, limits.slowest_part) == (None, None, "head")
    assert math.isfinite(limits.top_speed)
