"""Outcomes kept in files under their keys: written whole or not at all, so that a killed run can go on."""

from __future__ import annotations

import os
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from mountgen.errors import Fault, OutputError
from mountgen.fleet.records import Outcome

_OUTCOME: TypeAdapter[Outcome] = TypeAdapter(Outcome)


def kept(folder: Path, key: str) -> Outcome | None:
    """The outcome of a key; None where there is none, or none that can be read."""
    try:
        return _OUTCOME.validate_json((folder / f"{key}.json").read_bytes(), strict=False)
    except (FileNotFoundError, ValidationError):
        return None


def keep(folder: Path, outcome: Outcome) -> None:
    """Writes an outcome beside its place and renames it there. OutputError where that cannot be."""
    target = folder / f"{outcome.key}.json"
    partial = target.with_name(f".{target.name}.{os.getpid()}")
    try:
        partial.write_bytes(_OUTCOME.dump_json(outcome))
        partial.replace(target)
    except OSError as error:
        partial.unlink(missing_ok=True)
        found = f"an outcome cannot be kept ({error.strerror or error})"
        action = "free the disk or give another --out; what was found so far is kept"
        raise OutputError([Fault(str(target), found, "a folder that can be written to", action)]) from error
