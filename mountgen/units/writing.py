"""Numbers to text for people."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from mountgen.units.kinds import factor
from mountgen.units.reading import System

SMALL = 1 / 16
"""in; below it people think in thousandths."""


def format_length(mm: float, units: System, decimals: int = 1) -> str:
    """A length for people: '57.2 mm', or inches to the nearest 1/64: '2 1/4 in'.

    `decimals` counts for mm; inches get two more. Inches that are no whole number of 64ths at that
    precision show their decimals behind: '2 1/4 in (2.252)'; below a sixteenth decimals alone: '0.0018 in'.
    """
    if units == "mm":
        return f"{_rounded(mm, decimals)} mm"
    inches = mm / float(factor("inch", "mm"))
    sixty_fourths = round(inches * 64)
    shown = f"{_mixed(sixty_fourths)} in"
    exact = abs(inches - sixty_fourths / 64) < 0.5 * 10.0 ** -(decimals + 2)
    if exact:
        return shown
    written = _rounded(inches, decimals + 2)
    return f"{written} in" if abs(inches) < SMALL else f"{shown} ({written})"


def format_speed(mm_per_s: float, units: System, decimals: int = 1) -> str:
    """A speed for people: '30.0 m/min' or '98.4 ft/min'."""
    if units == "mm":
        return f"{_rounded(mm_per_s / float(factor('m/min', 'mm/s')), decimals)} m/min"
    return f"{_rounded(mm_per_s / float(factor('foot/min', 'mm/s')), decimals)} ft/min"


def _rounded(value: float, decimals: int) -> str:
    """Fixed decimals, halves of the written number away from zero, and never a minus before a zero."""
    step = Decimal(1).scaleb(-decimals)
    rounded = Decimal(repr(float(value))).quantize(step, ROUND_HALF_UP)
    return f"{abs(rounded) if rounded == 0 else rounded}"


def _mixed(sixty_fourths: int) -> str:
    """A number of 64ths as a mixed fraction: 144 is '2 1/4'."""
    sign = "-" if sixty_fourths < 0 else ""
    whole, rest = divmod(abs(sixty_fourths), 64)
    if rest == 0:
        return f"{sign}{whole}"
    fraction = Fraction(rest, 64)
    return f"{sign}{whole} {fraction}" if whole else f"{sign}{fraction}"
