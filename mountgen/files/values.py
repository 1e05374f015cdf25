"""How values that a person wrote are read: lengths and other quantities in their plausible ranges, numbers.

Lengths are read into mm, with the unit that stands behind them or else the file's `units`, which come in
as validation context. What cannot stand is a RefusedError, which a reader turns into a fault.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, PlainValidator, ValidationInfo

from mountgen.units import (
    ROTATION,
    Kind,
    Measured,
    System,
    quoted,
    read_angle,
    read_length,
    read_quantity,
    read_turns,
)

LENGTH_INPUT = float | str
_PAIR_INPUT = Annotated[list[float | str], Field(min_length=2, max_length=2)]
"""What a JSON Schema says of a length and of two of them."""


class Table(BaseModel):
    """A table of the file: no unknown keys, no nan, no text for a number."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)


class RefusedError(ValueError):
    """A value that cannot stand: what was `found`, what is `expected`, what to do."""

    def __init__(self, found: str, expected: str, action: str) -> None:
        self.found = found
        self.expected = expected
        self.action = action
        super().__init__(f"{found}; expected {expected}; {action}")


def written_units(info: ValidationInfo) -> System | None:
    """The file's `units`, handed in as context."""
    return info.context["units"] if info.context else None


def _one_length(value: object, units: System | None, low: float, high: float) -> Measured:
    if not isinstance(value, str | int | float):
        raise RefusedError(quoted(value), "a length", 'write it as "850 mm" or "2 1/4 in"')
    read = read_length(value, units, negative=low < 0)
    if not low <= read <= high:
        found = f"{quoted(value)}, which is {float(read):g} mm"
        raise RefusedError(found, f"{low:g} mm to {high:g} mm", "check the number and its unit")
    return read


def length_within(low: float, high: float) -> PlainValidator:
    """A measured length between `low` and `high` mm."""

    def read(value: object, info: ValidationInfo) -> Measured:
        return _one_length(value, written_units(info), low, high)

    return PlainValidator(read, json_schema_input_type=LENGTH_INPUT)


def chosen_length_within(low: float, high: float) -> PlainValidator:
    """A length that somebody chose, so +/- makes no sense."""

    def read(value: object, info: ValidationInfo) -> float:
        return _exact(value, _one_length(value, written_units(info), low, high))

    return PlainValidator(read, json_schema_input_type=LENGTH_INPUT)


def _exact(value: object, read: Measured) -> float:
    if read.plus_minus:
        raise RefusedError(f"{quoted(value)}, with +/-", "a length without +/-", "leave the +/- out")
    return float(read)


def pair_within(low: float, high: float, *, rising: bool) -> PlainValidator:
    """Two lengths, the smaller one first when `rising`."""

    def read(value: object, info: ValidationInfo) -> tuple[float, float]:
        if not isinstance(value, list) or len(value) != 2:
            raise RefusedError(quoted(value), "two lengths in brackets, such as [40, 70]", "write both")
        units = written_units(info)
        first, second = (_exact(item, _one_length(item, units, low, high)) for item in value)
        if rising and first >= second:
            found = f"[{first:g}, {second:g}] mm, which does not rise"
            raise RefusedError(found, "the smaller length first", "swap or correct the two")
        return first, second

    return PlainValidator(read, json_schema_input_type=_PAIR_INPUT)


def angle_within(low: float, high: float) -> PlainValidator:
    def read(value: object) -> float:
        if not isinstance(value, str | int | float):
            raise RefusedError(quoted(value), "an angle in degrees", "write a number")
        angle = read_angle(value, negative=low < 0)
        if not low <= angle <= high:
            raise RefusedError(f"{quoted(value)} deg", f"{low:g} deg to {high:g} deg", "check the angle")
        return angle

    return PlainValidator(read, json_schema_input_type=LENGTH_INPUT)


def _read_label(value: object) -> str:
    """A name that people read: one printable line."""
    if isinstance(value, str) and value.strip() and value.isprintable() and len(value) <= 80:
        return value.strip()
    raise RefusedError(quoted(value), "a text of 1 to 80 printable characters", "write such a text")


def quantity_within(kind: Kind, unit: str, low: float, high: float) -> PlainValidator:
    """A quantity between `low` and `high` of `unit`; a bare number is refused."""

    def read(value: object) -> float:
        if not isinstance(value, str | int | float):
            raise RefusedError(quoted(value), kind.expected, "write it like that")
        return _in_range(value, read_quantity(value, kind, unit, bare=False), (low, high, unit))

    return PlainValidator(read, json_schema_input_type=str)


def turns_within(low: float, high: float) -> PlainValidator:
    """Turns a minute; a bare number is that."""

    def read(value: object) -> float:
        if not isinstance(value, str | int | float):
            raise RefusedError(quoted(value), ROTATION.expected, "write it like that")
        return _in_range(value, read_turns(value), (low, high, "turns a minute"))

    return PlainValidator(read, json_schema_input_type=LENGTH_INPUT)


def number_within(low: float, high: float) -> PlainValidator:
    """A plain number without a unit."""

    def read(value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise RefusedError(quoted(value), f"a number from {low:g} to {high:g}", "write the number alone")
        return _in_range(value, float(value), (low, high, ""))

    return PlainValidator(read, json_schema_input_type=float)


def _in_range(value: object, read: float, limits: tuple[float, float, str]) -> float:
    """What was read, refused outside of lowest and highest, which are in the unit that comes last."""
    low, high, unit = limits
    if not low <= read <= high:
        shown = f"{quoted(value)}, which is {read:g} {unit}" if unit else quoted(value)
        action = "check the number and its unit" if unit else "check the number"
        raise RefusedError(shown, f"{low:g} to {high:g} {unit}".strip(), action)
    return read


def refuse_truth(value: object) -> object:
    """Python takes true for 1; a file does not."""
    if isinstance(value, bool):
        raise RefusedError(str(value).lower(), "a number", "write the number")
    return value


def _read_file(value: object) -> str:
    """The path of another file."""
    if isinstance(value, str) and value.strip() and value.isprintable() and len(value) <= 1_000:
        return value
    raise RefusedError(quoted(value), "the path of a file, seen from this file's folder", "write such a path")


Label = Annotated[str, PlainValidator(_read_label, json_schema_input_type=str)]
FileName = Annotated[str, PlainValidator(_read_file, json_schema_input_type=str)]
