"""The controller's numbers and every product's settings, from the layout."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from mountgen.demand import Demand
from mountgen.layout.rail_mast import MastLayout
from mountgen.layout.readings import Readings, readings
from mountgen.layout.records import MOST_SETTINGS, ProductSetting, Setup
from mountgen.mechanics.timing import (
    Divider,
    EncoderTooCoarseError,
    TravelWindow,
    choose_divider,
    counts_per_column,
    counts_per_mm,
    encoder_top_speed,
    least_seen_length,
    pending_triggers,
    start_window,
    top_speed,
)
from mountgen.survey.records import Survey


def encoder_choice(survey: Survey) -> Divider | None:
    """The whole divider for the head's resolution; None without an encoder.

    Raises EncoderTooCoarseError when even one count is more than a column.
    """
    counts = _counts(survey)
    return None if counts is None else choose_divider(counts, survey.head.column_dpi)


def _counts(survey: Survey) -> float | None:
    encoder = survey.encoder
    if encoder is None:
        return None
    return counts_per_mm(encoder.pulses_per_turn, encoder.edges_per_pulse, encoder.wheel_circumference)


def set_up(survey: Survey, demand: Demand, layout: MastLayout) -> Setup:
    """The numbers to enter and to set; `survey` is the working view (distances along the flow)."""
    try:
        choice = encoder_choice(survey)
    except EncoderTooCoarseError:
        choice = None
    distance, found = -layout.head.eye_x, readings(demand, layout)
    shown = range(min(len(demand.names), MOST_SETTINGS))
    return Setup(
        sensor_to_nozzle_mm=distance,
        encoder_divider=None if choice is None else choice.divider,
        counts_per_mm=_counts(survey),
        resolution_dpi=survey.head.column_dpi if choice is None else choice.resolution_dpi,
        print_length_error_percent=0.0 if choice is None else choice.print_length_error * 100,
        flow=survey.line.flow,
        speed_m_per_min=survey.line.speed_mm_per_s * 60 / 1000,
        product_count=len(demand.names),
        products=tuple(_setting(survey, found, index) for index in shown),
    )


def _setting(survey: Survey, found: Readings, index: int) -> ProductSetting:
    return ProductSetting(
        product=found.names[index],
        delay_mm=float(found.delay[index]),
        post_scale_mm=float(found.post[index]),
        arm_scale_mm=float(found.arm[index]),
        tilt_deg=float(found.tilt_deg[index]),
        standoff_mm=survey.standoff.target,
    )


@dataclass(frozen=True)
class LineLimits:
    """What the controller's numbers allow on this line, mm and mm/s.

    `counts_per_column` is the exact ratio that the whole divider stands for; `start` is how far from its
    place a print may start. Both are None without an encoder.
    """

    counts_per_column: float | None
    start: TravelWindow | None
    top_speed: float
    slowest_part: str
    """What sets the top speed: 'head', 'encoder' or 'controller'."""
    least_seen: float
    """Shortest product and shortest gap that the trigger allows at the fastest speed."""
    shortest_product: float
    shortest_gap: float
    waiting: int
    """Products between photo-eye and print at the most."""


def line_limits(survey: Survey, setup: Setup) -> LineLimits:
    """The limits of the numbers on this line, from the survey (either view) and what was set up."""
    products, response = survey.products, survey.sensor.response_ms / 1000
    speed, counts = survey.line.speed_mm_per_s, setup.counts_per_mm
    tops = dict(_top_speeds(survey, setup.resolution_dpi))
    slowest = min(tops, key=lambda part: tops[part])
    return LineLimits(
        counts_per_column=None if counts is None else counts_per_column(counts, survey.head.column_dpi),
        start=None if counts is None else start_window(counts, speed, response),
        top_speed=tops[slowest],
        slowest_part=slowest,
        least_seen=least_seen_length(speed, response, survey.sensor.beam_diameter),
        shortest_product=float(products.length.min()),
        shortest_gap=float(products.gap.min()),
        waiting=pending_triggers(setup.sensor_to_nozzle_mm, float(np.min(products.length + products.gap))),
    )


def _top_speeds(survey: Survey, resolution_dpi: float) -> Iterator[tuple[str, float]]:
    yield "head", top_speed(survey.head.max_column_rate_hz, resolution_dpi)
    if (encoder := survey.encoder) is not None:
        wheel = (encoder.wheel_circumference, encoder.pulses_per_turn)
        yield "encoder", encoder_top_speed(encoder.max_frequency_hz, *wheel)
        yield "controller", encoder_top_speed(survey.controller.max_encoder_hz, *wheel)
