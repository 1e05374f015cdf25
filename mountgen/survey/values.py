"""How the values of a survey are read: lengths, speeds and other quantities in their plausible ranges, names.

Lengths are read into mm, with the unit that stands behind them or else the survey's `units`, which comes in
as validation context. What cannot stand is a RefusedError, which the reader turns into a fault.
"""

from __future__ import annotations

import codecs
import re
from typing import Annotated, Any

from pydantic import Field, PlainValidator, ValidationInfo

from mountgen.units import (
    ACCELERATION,
    FORCE,
    MASS,
    ROTATION,
    STIFFNESS,
    TIME,
    Kind,
    Measured,
    System,
    quoted,
    read_angle,
    read_length,
    read_quantity,
    read_speed,
    read_turns,
)

FASTEST_LINE = 10_000.0
"""mm/s, 600 m/min: no conveyor of a packing line runs faster."""
FASTEST_BUMP = 2_000.0
"""mm/s; a product that a guide turns moves across the line far slower than along it."""
LENGTH_INPUT = float | str
_PAIR_INPUT = Annotated[list[float | str], Field(min_length=2, max_length=2)]
"""What the JSON Schema says of a length and of two of them."""
_SAFE_NAME = re.compile(r"[A-Za-z0-9_][A-Za-z0-9._-]{0,79}")


class RefusedError(ValueError):
    """A value that cannot stand: what was `found`, what is `expected`, what to do."""

    def __init__(self, found: str, expected: str, action: str) -> None:
        self.found = found
        self.expected = expected
        self.action = action
        super().__init__(f"{found}; expected {expected}; {action}")


def written_units(info: ValidationInfo) -> System | None:
    """The survey's `units`, handed in as context."""
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


def _read_line_speed(value: object) -> float:
    return _speed(value, FASTEST_LINE)


def _read_bump(value: object) -> float:
    return _speed(value, FASTEST_BUMP)


def _speed(value: object, fastest: float) -> float:
    """A speed in mm/s, above zero and at most the fastest."""
    if not isinstance(value, str | int | float):
        raise RefusedError(quoted(value), "a speed", 'write it as "30 m/min" or "100 ft/min"')
    speed = read_speed(value)
    if not 0 < speed <= fastest:
        raise RefusedError(
            f"{quoted(value)}, which is {speed * 0.06:g} m/min",
            f"more than 0 and at most {fastest * 0.06:g} m/min",
            "check the number and its unit",
        )
    return speed


def read_folder_name(value: object) -> str:
    """The survey's name, which also names the folder of its package."""
    if isinstance(value, str) and _SAFE_NAME.fullmatch(value) and not value.endswith("."):
        return value
    raise RefusedError(
        f"{quoted(value)}, which cannot name a folder",
        "1 to 80 letters, digits, '.', '_' or '-', beginning with a letter, a digit or '_'",
        "write a name such as seed-cartons-line-2",
    )


def _read_label(value: object) -> str:
    """A name that people read: one printable line."""
    if isinstance(value, str) and value.strip() and value.isprintable() and len(value) <= 80:
        return value.strip()
    raise RefusedError(quoted(value), "a text of 1 to 80 printable characters", "write such a text")


def _read_file(value: object) -> str:
    """The path of another file."""
    if isinstance(value, str) and value.strip() and value.isprintable() and len(value) <= 1_000:
        return value
    raise RefusedError(
        quoted(value), "the path of a file, seen from the survey's folder", "write such a path"
    )


def _read_encoding(value: object) -> str:
    try:
        return codecs.lookup(value).name if isinstance(value, str) else _no_encoding(value)
    except (LookupError, ValueError):
        return _no_encoding(value)


def _no_encoding(value: object) -> str:
    raise RefusedError(quoted(value), "the name of a text encoding", 'write "utf-8" or "cp1252"')


def _read_device(value: object) -> str | dict[str, Any]:
    if isinstance(value, str | dict):
        return value
    raise RefusedError(quoted(value), "a device's name in quotes, or a table of its own", "write either")


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
    """Python takes true for 1; a survey does not."""
    if isinstance(value, bool):
        raise RefusedError(str(value).lower(), "a number", "write the number")
    return value


Place = Annotated[Measured, length_within(-20_000, 20_000)]
Size = Annotated[Measured, length_within(0.1, 3_000)]
Distance = Annotated[Measured, length_within(0, 10_000)]
Small = Annotated[float, chosen_length_within(0, 50)]
Span = Annotated[tuple[float, float], pair_within(-20_000, 20_000, rising=True)]
Throw = Annotated[tuple[float, float], pair_within(0, 50, rising=True)]
CodeSize = Annotated[tuple[float, float], pair_within(0.1, 3_000, rising=False)]
Share = Annotated[float, number_within(0.001, 0.3)]
Friction = Annotated[float, number_within(0.05, 0.6)]
Shake = Annotated[float, quantity_within(ACCELERATION, "mm/s²", 1, 100_000)]
ContactTime = Annotated[float, quantity_within(TIME, "s", 0.0005, 1)]
Joint = Annotated[float, quantity_within(STIFFNESS, "N·mm/rad", 1e5, 1e10)]
Push = Annotated[float, quantity_within(FORCE, "N", 1, 2_000)]
Mass = Annotated[float, quantity_within(MASS, "kg", 0.001, 500)]
Turns = Annotated[float, turns_within(1, 20_000)]
Limit = Annotated[float, chosen_length_within(0.01, 10)]
"""How far a cut, a bend or a drilled hole may be off, to either side."""
AngleLimit = Annotated[float, angle_within(0.01, 5)]
Speed = Annotated[float, PlainValidator(_read_line_speed, json_schema_input_type=str)]
Bump = Annotated[float, PlainValidator(_read_bump, json_schema_input_type=str)]
Label = Annotated[str, PlainValidator(_read_label, json_schema_input_type=str)]
FileName = Annotated[str, PlainValidator(_read_file, json_schema_input_type=str)]
Encoding = Annotated[str, PlainValidator(_read_encoding, json_schema_input_type=str)]
Device = Annotated[
    str | dict[str, Any], PlainValidator(_read_device, json_schema_input_type=str | dict[str, Any])
]
