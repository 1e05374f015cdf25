"""The values of a survey: lengths, speeds and other quantities in their plausible ranges, names."""

from __future__ import annotations

import codecs
import re
from typing import Annotated, Any

from pydantic import PlainValidator

from mountgen.files.values import (
    RefusedError,
    angle_within,
    chosen_length_within,
    length_within,
    number_within,
    pair_within,
    quantity_within,
    turns_within,
)
from mountgen.units import ACCELERATION, FORCE, MASS, STIFFNESS, TIME, Measured, quoted, read_speed

FASTEST_LINE = 10_000.0
"""mm/s, 600 m/min: no conveyor of a packing line runs faster."""
FASTEST_BUMP = 2_000.0
"""mm/s; a product that a guide turns moves across the line far slower than along it."""
_SAFE_NAME = re.compile(r"[A-Za-z0-9_][A-Za-z0-9._-]{0,79}")
_REVISION = re.compile(r"[A-Za-z0-9._-]{1,8}")


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


def _read_revision(value: object) -> str:
    """The index of a revision, as short as its field in a title block."""
    if isinstance(value, str) and _REVISION.fullmatch(value):
        return value
    raise RefusedError(
        quoted(value), "1 to 8 letters, digits, '.', '_' or '-', in quotes", 'write it like "A" or "2.1"'
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
Revision = Annotated[str, PlainValidator(_read_revision, json_schema_input_type=str)]
Encoding = Annotated[str, PlainValidator(_read_encoding, json_schema_input_type=str)]
Device = Annotated[
    str | dict[str, Any], PlainValidator(_read_device, json_schema_input_type=str | dict[str, Any])
]
