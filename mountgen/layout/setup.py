"""The controller's numbers and every product's settings, from the layout."""

from __future__ import annotations

from mountgen.demand import Demand
from mountgen.layout.rail_mast import MastLayout
from mountgen.layout.readings import Readings, readings
from mountgen.layout.records import MOST_SETTINGS, ProductSetting, Setup
from mountgen.mechanics.timing import (
    Divider,
    EncoderTooCoarseError,
    choose_divider,
    counts_per_mm,
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
