"""Reads what was measured after installation: from a path to RawMeasured, or to every fault of the file."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from mountgen.asbuilt.raw import RawMeasured
from mountgen.errors import MeasuredError
from mountgen.files.complaints import Complaint, nearest, validation_complaints
from mountgen.files.text import FileKind, decoded, read_bytes
from mountgen.files.toml import located, parse_toml
from mountgen.study import Study
from mountgen.units import System, quoted

MEASURED = FileKind("file of measured values", 500_000, MeasuredError)
MOST_LIKENED = 5_000
"""Names among which the most like one is looked for."""
KINDS = ("hole", "scales", "standoff", "sensor", "run")


@dataclass(frozen=True)
class Measurements:
    """What was measured, in mm and s, and the SHA-256 of its file."""

    raw: RawMeasured
    sha256: str


def read_measured(path: Path, study: Study) -> Measurements:
    """What was measured of a studied mount; bare numbers are in the file's `units`, else in the survey's.

    Raises MeasuredError with every fault of the file, in its order.
    """
    source = read_bytes(path, MEASURED)
    data, places = parse_toml(path, decoded(path, source, MEASURED), MEASURED)
    units: System = "in" if data.get("units", study.survey.units) == "in" else "mm"
    raw, complaints = _validated(data, units)
    if raw is not None:
        complaints += [*_nothing(raw), *_holes(raw, study), *_gaps(raw, study), *_runs(raw, study)]
    if raw is None or complaints:
        raise MeasuredError(located(path, complaints, places))
    return Measurements(raw, hashlib.sha256(source).hexdigest())


def _validated(data: dict[str, Any], units: System) -> tuple[RawMeasured | None, list[Complaint]]:
    try:
        return RawMeasured.model_validate(data, context={"units": units}), []
    except ValidationError as error:
        return None, validation_complaints(error, RawMeasured)


def _nothing(raw: RawMeasured) -> Iterator[Complaint]:
    scales = raw.scales.post_zero is not None or raw.scales.arm_zero is not None
    if not (raw.hole or scales or raw.standoff or raw.sensor or raw.run):
        wanted = "at least one of " + ", ".join(KINDS)
        yield Complaint((), "nothing was measured", wanted, "add what was measured")


def _holes(raw: RawMeasured, study: Study) -> Iterator[Complaint]:
    tags = [hole.tag for hole in study.detail.rail_holes if hole.rail == "rail"]
    seen: set[str] = set()
    for at, hole in enumerate(raw.hole):
        path = ("hole", at, "tag")
        if hole.tag not in tags:
            meant = "one of " + ", ".join(tags) if tags else "no hole: this rail is not drilled"
            yield Complaint(path, f"hole[{at + 1}].tag is {quoted(hole.tag)}", meant, "correct it")
        elif hole.tag in seen:
            yield Complaint(path, f"hole {hole.tag} stands twice", "each hole once", "take one out")
        seen.add(hole.tag)


def _gaps(raw: RawMeasured, study: Study) -> Iterator[Complaint]:
    names = study.scene.demand.names
    known = set(names)
    for at, one in enumerate(raw.standoff):
        if one.product not in known:
            meant = nearest(one.product, names[:MOST_LIKENED])
            action = f"did you mean '{meant}'?" if meant else "name a product of the survey"
            found = f"standoff[{at + 1}].product is {quoted(one.product)}"
            yield Complaint(("standoff", at, "product"), found, "a product of the survey", action)


def _runs(raw: RawMeasured, study: Study) -> Iterator[Complaint]:
    for at, run in enumerate(raw.run):
        given = [key for key in ("length", "time", "counts") if getattr(run, key) is not None]
        if len(given) < 2:
            found = f"run[{at + 1}] has {given[0]} alone" if given else f"run[{at + 1}] is empty"
            wanted = "two of length, time and counts, or all three"
            yield Complaint(("run", at), found, wanted, "add another of them")
        if run.counts is not None and study.survey.encoder is None:
            found = f"run[{at + 1}].counts is given, but the survey has no encoder"
            yield Complaint(("run", at, "counts"), found, "length and time", "leave counts out")
