"""A TOML file with the places of its keys and values, and complaints about them as faults of the file."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from mountgen.errors import Fault
from mountgen.files.complaints import Complaint, dotted
from mountgen.files.places import KeyPath, PlaceIndex, place_index
from mountgen.files.text import FileKind

LARGEST_NUMBER = 10**18
"""No key of any file takes more, in whatever unit."""


def parse_toml(path: Path, text: str, kind: FileKind) -> tuple[dict[str, Any], PlaceIndex]:
    """The document and the places of its keys and values. Raises the kind's error for what is no TOML, and
    for whole numbers that are too large to reckon with."""
    try:
        data, places = tomllib.loads(text), place_index(text)
    except RecursionError:
        where, found = str(path), "brackets are nested too deeply"
    except tomllib.TOMLDecodeError as error:
        where, found = _broken_at(path, text, str(error)), f"this is not TOML: {error}"
    except ValueError as error:  # a number of thousands of digits
        where, found = str(path), f"a value cannot be read: {error}"
    else:
        if giants := list(_giants(data, ())):
            raise kind.error(located(path, giants, places))
        return data, places
    action = 'mend the line; a length with its unit stands in quotes, such as "2 1/4 in"'
    raise kind.error([Fault(where, found, "key = value, or a table's name in brackets", action)])


def _broken_at(path: Path, text: str, message: str) -> str:
    """File, line and column of what the decoder stumbled over; without a line it was the end of the text."""
    if place := re.search(r"at line (\d+), column (\d+)", message):
        return f"{path}:{place[1]}:{place[2]}"
    lines = text.split("\n")
    return f"{path}:{len(lines)}:{len(lines[-1]) + 1}"


def _giants(value: object, path: KeyPath) -> Iterator[Complaint]:
    """Whole numbers too large for arithmetic; TOML sets no limit to them."""
    if isinstance(value, dict):
        for key, item in value.items():
            yield from _giants(item, (*path, key))
    elif isinstance(value, list):
        for number, item in enumerate(value):
            yield from _giants(item, (*path, number))
    elif isinstance(value, int) and abs(value) > LARGEST_NUMBER:
        found = f"{dotted(path)} is a number of {value.bit_length()} bits"
        yield Complaint(path, found, f"at most {LARGEST_NUMBER:g}", "check the number and its unit")


def located(path: Path, complaints: Iterable[Complaint], places: PlaceIndex) -> list[Fault]:
    """The complaints as faults, in the order of the file."""
    placed = sorted(
        ((places.of(item.path, item.part), item) for item in complaints), key=lambda pair: pair[0]
    )
    return [
        Fault(f"{path}:{line}:{column}", item.found, item.expected, item.action, dotted(item.path))
        for (line, column), item in placed
    ]
