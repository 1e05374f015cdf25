"""What can be wrong with a drawn section, and how numbers stand in such sentences."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from mountgen.errors import Fault, InputError

LISTED = 6
"""Faults of one kind that are told one by one."""


class SectionError(InputError):
    """A drawing holds no section that can be used."""


def refusal(path: Path, found: str, expected: str, action: str) -> SectionError:
    """An error with one fault."""
    return SectionError([Fault(str(path), found, expected, action)])


def number(value: float, decimals: int = 3) -> str:
    """A number without trailing zeros."""
    text = f"{round(value, decimals) + 0.0:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def small(value: float) -> str:
    """A small distance: three decimals, or as many as show two digits of it."""
    return (
        f"{value:.3f}" if value >= 0.001 else f"{value:.2g}" if value < 1e-4 else f"{value:.5f}".rstrip("0")
    )


def fine(value: float) -> str:
    """A small distance in figures without an exponent."""
    text = small(value)
    return f"{value:.9f}".rstrip("0").rstrip(".") if "e" in text else text


def at(point: Sequence[float]) -> str:
    """A point, as (60, 2.6)."""
    return "(" + ", ".join(number(value) for value in point) + ")"


def counted(count: int, one: str, many: str = "") -> str:
    """'1 gap', '4 gaps'."""
    return f"{count} {one if count == 1 else many or one + 's'}"
