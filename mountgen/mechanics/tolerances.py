"""How single deviations add up: worst case, root sum of squares, general tolerances, angular play.

Words: a *contribution* is one cause of deviation with its limit (plus or minus); its *effect* is how far
the result moves for each unit of it. The *worst case* adds the limits; the *root sum of squares* is the
likely limit when many independent contributions of like size meet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mountgen.mechanics.ranges import Numbers, require_finite, require_not_negative

RIGHT_ANGLE_DEG = 90.0

LINEAR_M = (
    (3.0, 0.1),
    (6.0, 0.1),
    (30.0, 0.2),
    (120.0, 0.3),
    (400.0, 0.5),
    (1000.0, 0.8),
    (2000.0, 1.2),
    (4000.0, 2.0),
)
"""Upper end of each range of nominal sizes and its limit, mm. Source: ISO 2768-1:1989, Table 1, class m."""

ANGULAR_M = (
    (10.0, 1.0),
    (50.0, 30 / 60),
    (120.0, 20 / 60),
    (400.0, 10 / 60),
    (math.inf, 5 / 60),
)
"""Upper end of each range of the shorter leg, mm, and its limit, deg. Source: ISO 2768-1:1989, Table 3,
class m, from memory."""


@dataclass(frozen=True)
class Contribution:
    """One cause of deviation: its name, its limit to either side, where that comes from, its effect.

    `plus_minus` (0 or more) may be an array, one value a product; `effect` is result per unit, any sign.
    """

    name: str
    plus_minus: Numbers
    source: str
    effect: Numbers = 1.0

    def __post_init__(self) -> None:
        require_not_negative(plus_minus=self.plus_minus)
        require_finite(effect=self.effect)

    @property
    def limit(self) -> Numbers:
        """By how much the result may move either way."""
        return np.abs(self.effect) * self.plus_minus


def worst_case(contributions: Sequence[Contribution]) -> Numbers:
    """All limits at once, sum of |effect| * plus_minus, in the result's unit. Source: interval arithmetic.

    Args:
        contributions: at least one.
    """
    return sum(_limits(contributions), start=0.0)


def root_sum_square(contributions: Sequence[Contribution]) -> Numbers:
    """Likely limit of independent contributions, sqrt of the sum of (effect * plus_minus)^2.

    It has the same probability as the single limits. Source: propagation of variance.

    Args:
        contributions: at least one.
    """
    squares: Numbers = sum((np.square(limit) for limit in _limits(contributions)), start=0.0)
    result: Numbers = np.sqrt(squares)
    return result


def _limits(contributions: Sequence[Contribution]) -> list[Numbers]:
    if not contributions:
        raise ValueError("contributions must hold at least one")
    return [contribution.limit for contribution in contributions]


def linear_limit(nominal: float) -> float:
    """General tolerance of a length, plus or minus, in mm. Source: ISO 2768-1:1989, Table 1, class m.

    Args:
        nominal: mm, 0.5 to 4000.
    """
    if not 0.5 <= nominal <= 4000.0:
        raise ValueError(f"nominal must lie in 0.5 to 4000, found {nominal:g}")
    return next(limit for upper, limit in LINEAR_M if nominal <= upper)


def angular_limit_deg(shorter_leg: float) -> float:
    """General tolerance of an angle, plus or minus, in deg.

    Source: ISO 2768-1:1989, Table 3, class m, from memory.

    Args:
        shorter_leg: mm, above 0.
    """
    if not 0.0 < shorter_leg < math.inf:
        raise ValueError(f"shorter_leg must be above zero, found {shorter_leg:g}")
    return next(limit for upper, limit in ANGULAR_M if shorter_leg <= upper)


def angular_offset(length: Numbers, play_deg: Numbers) -> Numbers:
    """How far the end of a lever moves with angular play at its root, L tan(a), in mm. Source: geometry.

    Args:
        length: mm, 0 or more.
        play_deg: deg, 0 to below 90.
    """
    require_not_negative(length=length, play_deg=play_deg)
    if not np.all(np.asarray(play_deg) < RIGHT_ANGLE_DEG):
        raise ValueError(f"play_deg must be below 90, found {np.max(play_deg):g}")
    result: Numbers = length * np.tan(np.radians(play_deg))
    return result
