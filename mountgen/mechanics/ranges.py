"""Ranges of arguments: what a formula refuses before it computes.

Formulas take a float, or an array when a search evaluates many candidates at once. `nan` and infinity
are out of every range.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Numbers = Floats | float


def require_positive(**values: Numbers) -> None:
    """ValueError that names the first argument which is not finite and above zero everywhere."""
    for name, value in values.items():
        if isinstance(value, float):
            found = 0.0 < value < math.inf
        else:
            found = bool(np.all(np.isfinite(value) & (np.asarray(value) > 0)))
        if not found:
            raise ValueError(f"{name} must be above zero, found {_worst(value)}")


def require_not_negative(**values: Numbers) -> None:
    """ValueError that names the first argument which is not finite and zero or more everywhere."""
    for name, value in values.items():
        if isinstance(value, float):
            found = 0.0 <= value < math.inf
        else:
            found = bool(np.all(np.isfinite(value) & (np.asarray(value) >= 0)))
        if not found:
            raise ValueError(f"{name} must not be negative, found {_worst(value)}")


def require_finite(**values: Numbers) -> None:
    """ValueError that names the first argument which is nan or infinite anywhere."""
    for name, value in values.items():
        if not np.all(np.isfinite(value)):
            raise ValueError(f"{name} must be a finite number, found {_worst(value)}")


def require_between(low: float, high: float, **values: Numbers) -> None:
    """ValueError that names the first argument which leaves [low, high] anywhere."""
    for name, value in values.items():
        if isinstance(value, float):
            found = low <= value <= high
        else:
            found = bool(np.all((np.asarray(value) >= low) & (np.asarray(value) <= high)))
        if not found:
            raise ValueError(f"{name} must lie in {low:g} to {high:g}, found {_worst(value)}")


def _worst(value: Numbers) -> str:
    """The number itself, or the lowest and highest of an array."""
    numbers = np.asarray(value, dtype=np.float64)
    if numbers.size == 1:
        return f"{numbers.item():g}"
    return f"{numbers.min():g} to {numbers.max():g}" if numbers.size else "no number at all"
