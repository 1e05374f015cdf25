"""Bar codes on cartons: where they go, how large they are, and the check digit.

Words: *X* is the width of a code's narrowest bar. *Magnification* compares X with 1.016 mm. The *quiet
zone* is the blank strip that a scanner needs on either side of the bars.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from mountgen.mechanics.ranges import require_between, require_positive
from mountgen.mechanics.timing import MM_PER_INCH, ROUNDING

BARS_ABOVE_BASE = 32.0
"""mm from the carton's base to the lower edge of the bars (GS1 General Specifications, 6.6 and 6.7)."""
BARS_ABOVE_BASE_LIMIT = 3.0
"""mm either way (GS1 General Specifications, 6.7, from memory)."""
LEAST_FROM_EDGE = 19.0
"""mm from a vertical edge to the code, quiet zone included (GS1 General Specifications, 6.6 and 6.7)."""

LEAST_X = 0.495
"""mm; ITF-14 and GS1-128 in general distribution (GS1 General Specifications, table 2, from memory)."""
GREATEST_X = 1.016
"""mm; the same table; X of an ITF-14 at 100 %."""

LEAST_MAGNIFICATION_ON_CORRUGATED = 0.625
"""For ITF-14 printed straight on corrugated board (GS1 guidance)."""

ITF14_MODULES = 120.5
"""Width of an ITF-14's bars in X at a wide-to-narrow ratio of 2.5: 7 pairs of 16, start 4, stop 4.5."""
ITF14_QUIET_MODULES = 10.0
ITF14_BAR_HEIGHT = 31.75
"""mm, 1.25 in (GS1 General Specifications, table 2; printed there as 32)."""

GTIN_LENGTHS = (8, 12, 13, 14)


@dataclass(frozen=True)
class Itf14Size:
    """Sizes of an ITF-14, mm; `bars_width` leaves the quiet zones out, `whole_width` has both in."""

    x_dimension: float
    bars_width: float
    quiet_zone: float
    bar_height: float

    @property
    def whole_width(self) -> float:
        return self.bars_width + 2 * self.quiet_zone


@dataclass(frozen=True)
class WholeDots:
    """A bar of whole dots: how many, and how wide that makes X, mm."""

    dots: int
    x_dimension: float


def itf14_size(magnification: float) -> Itf14Size:
    """Sizes of an ITF-14 at a magnification. Source: GS1 General Specifications, 5.3.

    Args:
        magnification: 0.5 to 1 (1 is 100 %).
    """
    require_between(0.5, 1.0, magnification=magnification)
    x = GREATEST_X * magnification
    return Itf14Size(x, ITF14_MODULES * x, ITF14_QUIET_MODULES * x, ITF14_BAR_HEIGHT)


def whole_dots(least_x: float, dpi: float) -> WholeDots:
    """The narrowest bar of whole columns that is not narrower than X may be. Source: arithmetic.

    Args:
        least_x: mm, above 0.
        dpi: columns per inch along the flow, above 0.
    """
    require_positive(least_x=least_x, dpi=dpi)
    dots = max(1, math.ceil(least_x * dpi / MM_PER_INCH * (1 - ROUNDING)))
    return WholeDots(dots, dots * MM_PER_INCH / dpi)


def gtin_check_digit(digits: str) -> int:
    """The last digit of a GTIN from the ones before it.

    From the right, digits weigh 3, 1, 3 ...; the check digit fills the sum up to a multiple of 10.
    Source: GS1 General Specifications (modulo 10).

    Args:
        digits: 7, 11, 12 or 13 digits, without the check digit.
    """
    if not (digits.isascii() and digits.isdigit() and len(digits) + 1 in GTIN_LENGTHS):
        raise ValueError(f"digits must be 7, 11, 12 or 13 digits, found {digits!r}")
    weighted = sum(int(digit) * (3, 1)[place % 2] for place, digit in enumerate(reversed(digits)))
    return -weighted % 10
