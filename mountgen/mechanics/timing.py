"""Encoder counts, columns, triggers and delays: what ties the moving product to the nozzles.

Words: a *pulse* is one period of an encoder channel; it has 1, 2 or 4 countable *edges*, and an edge
that is used is a *count*. The controller prints one *column* every *divider* counts. The *pitch* of
products runs from one leading edge to the next. The *eye* is the photo-eye that triggers a print; it
stands upstream of the nozzles.

Speeds are in mm/s, times in s.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from mountgen.mechanics.ranges import require_finite, require_not_negative, require_positive

MM_PER_INCH = 25.4

ROUNDING = 1e-9
"""Relative; a ratio this close to a whole number is that number."""


class EncoderTooCoarseError(ValueError):
    """The encoder gives less than one count for each column: no divider can mend that."""


@dataclass(frozen=True)
class Divider:
    """Counts per column, the resolution it gives along the flow, and the error of printed lengths.

    `print_length_error` is a fraction: -0.055 prints 5.5 % short.
    """

    divider: int
    resolution_dpi: float
    print_length_error: float


@dataclass(frozen=True)
class TravelWindow:
    """A stretch of travel, mm: more than `low`, less than `high`."""

    low: float
    high: float


def counts_per_mm(pulses_per_turn: int, edges_per_pulse: int, circumference: float) -> float:
    """Encoder counts for each mm of travel, pulses * edges / circumference.

    Source: geometry of a rolling wheel. A wheel's diameter is not its circumference: the ratio is pi.

    Args:
        pulses_per_turn: of one channel, 1 or more.
        edges_per_pulse: 1, 2 or 4 counted edges.
        circumference: of the measuring wheel, mm, above 0.
    """
    require_positive(pulses_per_turn=pulses_per_turn, circumference=circumference)
    _require_edges(edges_per_pulse)
    return pulses_per_turn * edges_per_pulse / circumference


def _require_edges(edges_per_pulse: int) -> None:
    if edges_per_pulse not in (1, 2, 4):
        raise ValueError(f"edges_per_pulse must be 1, 2 or 4, found {edges_per_pulse}")


def counts_per_inch(per_mm: float) -> float:
    """Encoder counts for each inch of travel. Source: 1 in = 25.4 mm by definition.

    Args:
        per_mm: counts per mm, above 0.
    """
    require_positive(per_mm=per_mm)
    return per_mm * MM_PER_INCH


def counts_per_column(per_mm: float, dpi: float) -> float:
    """Encoder counts between two columns at a resolution, counts per inch / dpi.

    Args:
        per_mm: counts per mm, above 0.
        dpi: columns per inch along the flow, above 0.
    """
    require_positive(dpi=dpi)
    return counts_per_inch(per_mm) / dpi


def choose_divider(counts_per_mm: float, dpi: float) -> Divider:
    """The whole number of counts per column nearest to the wanted resolution, and what it costs.

    With r = counts per column, divider n prints columns n/r times as wide: lengths are off by n/r - 1.
    A tie takes the higher divider. EncoderTooCoarseError (a ValueError) when r < 1: even a column for
    every count would be wider than wanted. Source: arithmetic.

    Args:
        counts_per_mm: encoder counts per mm of travel, above 0.
        dpi: wanted columns per inch along the flow, above 0.
    """
    ratio = counts_per_column(counts_per_mm, dpi)
    if ratio < 1 - ROUNDING:
        raise EncoderTooCoarseError(
            f"encoder too coarse: {ratio:.3f} counts per column at {dpi:g} columns per inch,"
            " at least 1 is needed"
        )
    divider = math.floor(ratio + 0.5)
    return Divider(divider, counts_per_inch(counts_per_mm) / divider, divider / ratio - 1)


def fitting_circumference(pulses_per_turn: int, edges_per_pulse: int, dpi: float, divider: int) -> float:
    """Circumference of the wheel with which a divider gives the resolution exactly, in mm.

    pulses * edges * 25.4 / (dpi * divider). Source: arithmetic.

    Args:
        pulses_per_turn: of one channel, 1 or more.
        edges_per_pulse: 1, 2 or 4 counted edges.
        dpi: wanted columns per inch along the flow, above 0.
        divider: counts per column, 1 or more.
    """
    require_positive(pulses_per_turn=pulses_per_turn, dpi=dpi, divider=divider)
    _require_edges(edges_per_pulse)
    return pulses_per_turn * edges_per_pulse * MM_PER_INCH / (dpi * divider)


def printed_length(length: float, print_length_error: float) -> float:
    """What a message measures on the product, length * (1 + error), in mm.

    Args:
        length: meant, mm, above 0.
        print_length_error: fraction, above -1.
    """
    require_positive(length=length, one_plus_print_length_error=1 + print_length_error)
    return length * (1 + print_length_error)


def column_rate(speed: float, dpi: float) -> float:
    """Columns per second, v * dpi / 25.4, in Hz. Source: arithmetic.

    Args:
        speed: of the product, mm/s, above 0.
        dpi: columns per inch along the flow, above 0.
    """
    require_positive(speed=speed, dpi=dpi)
    return speed * dpi / MM_PER_INCH


def top_speed(max_column_rate_hz: float, dpi: float) -> float:
    """Fastest product a head can print on, rate * 25.4 / dpi, in mm/s. Source: arithmetic.

    Args:
        max_column_rate_hz: columns per second of the head, above 0.
        dpi: columns per inch along the flow, above 0.
    """
    require_positive(max_column_rate_hz=max_column_rate_hz, dpi=dpi)
    return max_column_rate_hz * MM_PER_INCH / dpi


def encoder_frequency(speed: float, circumference: float, pulses_per_turn: int) -> float:
    """Frequency of one encoder channel, v / circumference * pulses, in Hz. Source: encoder practice.

    Args:
        speed: at the wheel's rim, mm/s, above 0.
        circumference: of the measuring wheel, mm, above 0.
        pulses_per_turn: of one channel, 1 or more.
    """
    require_positive(speed=speed, circumference=circumference, pulses_per_turn=pulses_per_turn)
    return speed / circumference * pulses_per_turn


def pending_triggers(distance: float, pitch: float) -> int:
    """Products between trigger and print at the most: the queue a controller needs.

    The whole number at or above distance / pitch. Source: counting.

    Args:
        distance: travel from the trigger to the print, mm, above 0.
        pitch: shortest, from leading edge to leading edge, mm, above 0.
    """
    require_positive(distance=distance, pitch=pitch)
    return max(1, math.ceil(distance / pitch * (1 - ROUNDING)))


def trigger_position_error(speed: float, time: float) -> float:
    """How far the print moves when a trigger comes a time late, v * t, in mm.

    Only the part of a delay that varies counts: a constant one is set out. Source: kinematics.

    Args:
        speed: of the product, mm/s, above 0.
        time: by which the trigger varies, s, 0 or more.
    """
    require_positive(speed=speed)
    require_not_negative(time=time)
    return speed * time


def least_eye_distance(delay: float, speed: float) -> float:
    """Least travel from the eye to the first column, delay * speed, in mm. Source: kinematics.

    Args:
        delay: sum of the response times of eye, controller and head, s, above 0.
        speed: of the product, fastest, mm/s, above 0.
    """
    require_positive(delay=delay, speed=speed)
    return delay * speed


def travel_time(distance: float, speed: float) -> float:
    """Time a product takes over a distance, in s. Source: kinematics.

    Args:
        distance: mm, 0 or more.
        speed: mm/s, above 0.
    """
    require_not_negative(distance=distance)
    require_positive(speed=speed)
    return distance / speed


def roller_pass_frequency(speed: float, pitch: float) -> float:
    """How often a product's edge meets a roller, v / pitch, in Hz. Source: kinematics.

    Args:
        speed: of the product, mm/s, above 0.
        pitch: of the rollers, mm, above 0.
    """
    require_positive(speed=speed, pitch=pitch)
    return speed / pitch


def slip_shift(distance: float, set_counts_per_mm: float, measured_counts_per_mm: float) -> float:
    """How far the print starts too late when the wheel slips, s (set / measured - 1), in mm.

    The controller waits for s * set counts; they take s * set / measured of travel. Negative: too early.
    Source: arithmetic.

    Args:
        distance: s, travel the controller counts off from trigger to print, mm, above 0.
        set_counts_per_mm: the factor the controller uses, above 0.
        measured_counts_per_mm: counts seen per mm of true travel, above 0.
    """
    require_positive(
        distance=distance,
        set_counts_per_mm=set_counts_per_mm,
        measured_counts_per_mm=measured_counts_per_mm,
    )
    return distance * (set_counts_per_mm / measured_counts_per_mm - 1)


def off_delay_window(inner_gap: float, product_gap: float) -> TravelWindow:
    """Travel for which the eye must stay clear before the next product counts.

    Longer than any gap inside one product, shorter than any gap between two. ValueError when there is
    no such travel. Source: counting of edges.

    Args:
        inner_gap: widest opening inside a product, along the flow, mm, 0 or more.
        product_gap: shortest gap between products, mm, above `inner_gap`.
    """
    require_not_negative(inner_gap=inner_gap)
    require_finite(product_gap=product_gap)
    if inner_gap >= product_gap:
        raise ValueError(
            f"product_gap must be above inner_gap, found {product_gap:g} and {inner_gap:g}:"
            " the eye cannot tell one product from two"
        )
    return TravelWindow(inner_gap, product_gap)


def least_seen_length(speed: float, response: float, beam: float) -> float:
    """Shortest product, and shortest gap, that the eye shows as such, v * t + beam, in mm.

    A shorter one is past before the eye has switched, or never covers (or clears) the whole beam.
    Source: kinematics.

    Args:
        speed: of the product, fastest, mm/s, above 0.
        response: of the eye, s, 0 or more.
        beam: width of the beam along the flow, mm, 0 or more.
    """
    require_positive(speed=speed)
    require_not_negative(response=response, beam=beam)
    return speed * response + beam


def start_window(per_mm: float, speed: float, response: float) -> TravelWindow:
    """How far from its place a print may start when counts tell the travel, in mm, late is positive.

    The delay is entered in whole counts (half a count either way); the trigger waits for the next count (up
    to one); the product runs on while the eye responds (up to v * t). Source: counting, kinematics.

    Args:
        per_mm: counts per mm of travel, above 0.
        speed: of the product at the beam, fastest, mm/s, above 0.
        response: of the eye, longest, s, 0 or more.
    """
    require_positive(per_mm=per_mm, speed=speed)
    require_not_negative(response=response)
    return TravelWindow(-0.5 / per_mm, 1.5 / per_mm + speed * response)


def fixed_speed_stretch(speed: float, set_speed: float) -> float:
    """How much longer a print without an encoder gets than meant, v / v_set - 1, a fraction.

    Columns come at a fixed rate, so their pitch follows the line; the start moves by the same share of the
    delay. Negative: shorter, and too early. Source: kinematics.

    Args:
        speed: of the product, mm/s, above 0.
        set_speed: that the controller was told, mm/s, above 0.
    """
    require_positive(speed=speed, set_speed=set_speed)
    return speed / set_speed - 1


def encoder_top_speed(max_frequency_hz: float, circumference: float, pulses_per_turn: int) -> float:
    """Fastest travel that an encoder or its input follows, f * circumference / pulses, in mm/s.

    Source: encoder practice.

    Args:
        max_frequency_hz: of one channel, above 0.
        circumference: of the measuring wheel, mm, above 0.
        pulses_per_turn: of one channel, 1 or more.
    """
    require_positive(
        max_frequency_hz=max_frequency_hz, circumference=circumference, pulses_per_turn=pulses_per_turn
    )
    return max_frequency_hz * circumference / pulses_per_turn
