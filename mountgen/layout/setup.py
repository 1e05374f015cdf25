"""The controller's numbers and every product's settings, from the layout."""

from __future__ import annotations

from mountgen.demand import Demand
from mountgen.layout.rail_mast import MastLayout
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
    distance = -layout.head.eye_x
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
        products=tuple(_setting(survey, demand, layout, index) for index in shown),
    )


def _setting(survey: Survey, demand: Demand, layout: MastLayout, index: int) -> ProductSetting:
    settings = layout.settings
    joint_low = float(settings.arm_z[index]) - layout.cross_half[1]
    return ProductSetting(
        product=demand.names[index],
        delay_mm=-layout.head.eye_x + float(demand.from_leading[index]),
        post_scale_mm=joint_low - layout.post_bottom,
        arm_scale_mm=layout.post_y - layout.arm_tail(index),
        tilt_deg=float(settings.tilt_deg[index]),
        standoff_mm=survey.standoff.target,
    )
