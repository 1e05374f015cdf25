"""What to correct, in sentences with numbers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

import numpy as np

from mountgen.asbuilt import common
from mountgen.asbuilt.records import Finding
from mountgen.demand import Floats
from mountgen.layout.bridge import spans
from mountgen.layout.records import Setup
from mountgen.survey.records import Survey
from mountgen.units import System, format_length, format_speed

ODD = 3.0
"""A priori standard deviations from which an angle or a hole is named (common practice)."""
LEAST_DISTANCE, LEAST_SHARE = 0.05, 0.0005
"""mm of sensor distance, share of speed and counts below which a number is left as it is."""
BOTH = "do one of the two, never both"


def advice(
    survey: Survey,
    listed: Sequence[Finding],
    moved: tuple[Floats, Floats],
    setups: tuple[Setup, Setup],
) -> tuple[str, ...]:
    """Every correction; `moved` is how far heads stand towards the line and up of their place, mm, `setups`
    the controller's numbers as designed and as corrected."""
    toward, up = moved
    told = [
        *_scale(survey, "post", -up),
        *_scale(survey, "arm", toward),
        *_sensor(survey.units, *setups),
        *_encoder(survey, *setups),
        *_speed(survey, *setups),
        *_odd(survey.units, listed),
    ]
    return tuple(told) or ("Nothing to correct: what was measured is as designed.",)


def _scale(survey: Survey, name: Literal["post", "arm"], change: Floats) -> Iterator[str]:
    """What to do where the readings of a scale change: by one amount, or by another at every product.

    A reading that grows by c is the same as a strip whose numbers begin c farther on: the post's higher up,
    the arm's nearer to the line, a beam's nearer to the operator.
    """
    units, least = survey.units, survey.standoff.setting / 2
    bar, inwards, outwards = "arm", "line", "operator"
    if spans(survey):
        bar, inwards, outwards = "beam", outwards, inwards
    shown = (bar if name == "arm" else name).capitalize()
    if float(np.abs(change).max()) < least:
        return
    low, high = float(change.min()), float(change.max())
    if high - low >= least:
        yield (
            f"{shown} scale: readings change by {format_length(low, units)} to "
            f"{format_length(high, units)}, another amount at each product: use the corrected sheets."
        )
        return
    amount = (low + high) / 2
    size, more = format_length(abs(amount), units), amount > 0.0
    zero = {
        "post": f"{'raise' if more else 'lower'} the post scale's zero by {size}",
        "arm": f"move the {bar} scale's zero {size} towards the {inwards if more else outwards}",
    }[name]
    yield (
        f"{shown} scale: use the corrected sheets, whose readings are {size} "
        f"{'larger' if more else 'smaller'}; or {zero} and keep the old sheets ({BOTH})."
    )


def _sensor(units: System, designed: Setup, found: Setup) -> Iterator[str]:
    old, new = designed.sensor_to_nozzle_mm, found.sensor_to_nozzle_mm
    if abs(new - old) >= LEAST_DISTANCE:
        yield (
            f"Set sensor distance {format_length(new, units)} in the controller, with the code delays of the "
            f"corrected sheets (designed: {format_length(old, units)})."
        )


def _encoder(survey: Survey, designed: Setup, found: Setup) -> Iterator[str]:
    """The measured factor, and what the designed one would do over the sensor distance."""
    old, new = designed.counts_per_mm, found.counts_per_mm
    if old is None or new is None or abs(new / old - 1.0) < LEAST_SHARE:
        return
    shift = found.sensor_to_nozzle_mm * (old / new - 1.0)
    size = format_length(abs(shift), survey.units, 2)
    divider = "no divider fits" if found.encoder_divider is None else f"divider {found.encoder_divider}"
    yield (
        f"Enter {new:.4f} encoder counts per mm (designed: {old:.4f}), {divider}: with the designed number "
        f"prints would begin {size} {'late' if shift > 0 else 'early'}."
    )


def _speed(survey: Survey, designed: Setup, found: Setup) -> Iterator[str]:
    old, new = designed.speed_m_per_min, found.speed_m_per_min
    if abs(new / old - 1.0) < LEAST_SHARE:
        return
    measured, surveyed = (format_speed(v * 1000.0 / 60.0, survey.units, 2) for v in (new, old))
    do = "The encoder follows it; nothing to enter." if survey.encoder else "Enter it as the fixed speed."
    yield f"The line runs {measured}, surveyed {surveyed}. {do}"


def _odd(units: System, listed: Sequence[Finding]) -> Iterator[str]:
    """Angles and holes that are farther off than anybody would have thought."""
    for one in listed:
        if abs(one.sigmas) < ODD:
            continue
        if one.name == common.LEAN:
            way = "towards the line" if one.value > 0.0 else "towards the operator"
            yield f"Plumb the post: it leans {abs(one.value):.2f} deg {way}; then measure again."
        elif one.name == common.LEVEL:
            way = "rises" if one.value > 0.0 else "falls"
            yield f"Level the arm: it {way} {abs(one.value):.2f} deg towards the line; then measure again."
        elif one.name.startswith("hole "):
            off = format_length(abs(one.value), units)
            yield f"{one.name[0].upper()}{one.name[1:]}: {off} off. See that its screw is not forced."
