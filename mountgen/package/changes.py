"""Which parts changed since an earlier package of the same mount, so that a shop makes only these."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from mountgen.errors import Fault, InputError

MANIFEST = "manifest.json"


@dataclass(frozen=True)
class Changes:
    """Numbers of made parts: to make anew, to make for the first time, no longer needed, the same as before.
    `quantities` are the parts that are the same but of which another number is needed: before and now."""

    changed: tuple[str, ...]
    new: tuple[str, ...]
    gone: tuple[str, ...]
    same: tuple[str, ...]
    quantities: tuple[tuple[str, int, int], ...]


@dataclass(frozen=True)
class MadeBefore:
    """Digest and quantity of a made part."""

    digest: str
    quantity: int


def changes(before: Mapping[str, MadeBefore], now: Mapping[str, MadeBefore]) -> Changes:
    """Compares by number and digest; times of files play no part."""
    both = [number for number in now if number in before]
    same = [number for number in both if before[number].digest == now[number].digest]
    return Changes(
        changed=tuple(number for number in both if number not in same),
        new=tuple(number for number in now if number not in before),
        gone=tuple(number for number in before if number not in now),
        same=tuple(same),
        quantities=tuple(
            (number, before[number].quantity, now[number].quantity)
            for number in same
            if before[number].quantity != now[number].quantity
        ),
    )


def made_before(folder: Path) -> dict[str, MadeBefore]:
    """The made parts of an earlier package; InputError when the folder holds none that says what it made."""
    path = folder / MANIFEST
    try:
        parts = json.loads(path.read_text(encoding="utf-8"))["parts"]
        return {
            str(part["number"]): MadeBefore(str(part["geometry_sha256"]), int(part["quantity"]))
            for part in parts
            if part["kind"] != "bought"
        }
    except (OSError, ValueError, KeyError, TypeError) as error:
        found = f"no parts of an earlier package can be read ({type(error).__name__}: {error})"
        expected = "the folder of a package that this version of mountgen wrote"
        raise InputError(
            [Fault(str(path), found, expected, "name its folder, or build without it")]
        ) from error


def in_words(found: Changes) -> Iterator[str]:
    """What a shop has to do, one line each."""
    if found.changed:
        yield f"make anew, the old ones do not fit: {', '.join(found.changed)}"
    if found.new:
        yield f"make, they are new: {', '.join(found.new)}"
    for number, before, now in found.quantities:
        yield f"{number} is the same, but {now} are needed instead of {before}"
    if found.gone:
        yield f"no longer needed: {', '.join(found.gone)}"
    if found.same:
        yield f"the same as before: {', '.join(found.same)}"
