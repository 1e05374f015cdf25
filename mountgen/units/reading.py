"""Text or a bare number to a float in one known unit."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Literal, Self

from mountgen.units.errors import UnitError, quoted
from mountgen.units.grammar import Quantity, read_parts
from mountgen.units.kinds import ANGLE, LENGTH, ROTATION, SPEED, Kind

System = Literal["mm", "in"]
_PER_MINUTE = re.compile(r"(?<=[0-9])(?: +1 ?/ ?min| ?/ ?min| ?min[-−]1| ?min⁻¹) *$")
"""What stands behind a number of turns: 1/min, /min, min-1."""


class Measured(float):
    """A value with its uncertainty: half the width of the band it lies in, in the same unit."""

    plus_minus: float

    def __new__(cls, value: float, plus_minus: float = 0.0) -> Self:
        made = super().__new__(cls, value)
        made.plus_minus = plus_minus
        return made

    def __reduce__(self) -> tuple[type[Measured], tuple[float, float]]:
        return (Measured, (float(self), self.plus_minus))


def read_length(text: str | float, default: System | None, *, negative: bool = False) -> Measured:
    """A length in mm with its uncertainty.

    A bare number is in `default`, or an error that asks for a unit. A value below zero, or one that its
    own uncertainty takes below zero, is refused unless `negative`. Raises UnitError.
    """
    value, plus_minus = _in_base(text, LENGTH, default)
    _refuse_absurd(max(abs(value), plus_minus), LENGTH, text)
    if not negative and value - plus_minus < 0:
        raise UnitError(f"{quoted(text)}, which is or may be below zero", "a length that is not negative")
    return Measured(float(value), float(plus_minus))


def read_speed(text: str | float) -> float:
    """A speed in mm/s, from text that carries its unit. Raises UnitError."""
    return float(_one(text, SPEED, None, negative=False))


def read_angle(text: str | float, *, negative: bool = False) -> float:
    """An angle in degrees; a bare number is in degrees. Raises UnitError."""
    return float(_one(text, ANGLE, "deg", negative=negative))


def read_quantity(text: str | float, kind: Kind, unit: str, *, bare: bool = True) -> float:
    """A quantity of `kind`, not negative, in `unit`; a bare number is in that unit, or an error that asks
    for one unless `bare`. Raises UnitError."""
    return float(_one(text, kind, unit if bare else None, negative=False) / kind.in_base(unit))


def read_turns(text: str | float) -> float:
    """A speed of rotation in turns a minute; a bare number is that, and 1/min is rpm. Raises UnitError."""
    written = _PER_MINUTE.sub(" rpm", text) if isinstance(text, str) else text
    try:
        return float(_one(written, ROTATION, "rpm", negative=False))
    except UnitError as error:
        found = error.found.replace(quoted(written), quoted(text))
        raise UnitError(found, error.expected, error.action) from None


def _one(text: str | float, kind: Kind, default: str | None, *, negative: bool) -> Fraction:
    """A quantity without uncertainty, in the kind's base unit."""
    value, plus_minus = _in_base(text, kind, default)
    if plus_minus:
        raise UnitError(f"{quoted(text)}, with +/-", f"a {kind.name} without +/-", "leave the +/- out")
    _refuse_absurd(abs(value), kind, text)
    if value < 0 and not negative:
        article = "an" if kind.name[0] in "aeiou" else "a"
        raise UnitError(f"{quoted(text)}, which is below zero", f"{article} {kind.name} that is not negative")
    return value


def _in_base(text: str | float, kind: Kind, default: str | None) -> tuple[Fraction, Fraction]:
    """Value and uncertainty in the kind's base unit; a unit on one side of +/- serves for both."""
    parts = read_parts(text, kind) if isinstance(text, str) else [_bare(text, kind)]
    written = [part.unit for part in parts if part.unit]
    fallback = written[0] if written else default
    values = [_converted(part, kind, fallback, text) for part in parts]
    plus_minus = values[1] if len(values) == 2 else Fraction(0)
    if plus_minus < 0:
        raise UnitError(f"{quoted(text)}, with an uncertainty below zero", kind.expected)
    return values[0], plus_minus


def _bare(number: float, kind: Kind) -> Quantity:
    """A number that stood in the file without quotes."""
    if isinstance(number, bool) or not isinstance(number, int | float):
        raise UnitError(quoted(number), kind.expected)
    if isinstance(number, float) and not math.isfinite(number):
        raise UnitError(f"{number}, which is no size", kind.expected)
    return Quantity(Fraction(repr(number)) if isinstance(number, float) else Fraction(number), "")


def _converted(quantity: Quantity, kind: Kind, fallback: str | None, text: object) -> Fraction:
    unit = quantity.unit or fallback
    if unit is None:
        raise UnitError(f"{quoted(text)} without a unit", kind.expected, "add the unit")
    return quantity.value * kind.in_base(unit)


def _refuse_absurd(value: Fraction, kind: Kind, text: object) -> None:
    if value > kind.largest:
        raise UnitError(
            f"{quoted(text)}, which is absurdly large",
            f"at most {kind.largest} {kind.base}",
            "check the number and its unit",
        )
