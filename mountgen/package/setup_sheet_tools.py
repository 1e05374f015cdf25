"""The tools that this mount asks for, each with what it is for: derived from its fasteners and holes."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.assembly.units import SET_NUTS
from mountgen.detail.records import BoughtPart, Detail
from mountgen.package.records import Dossier
from mountgen.package.setup_sheet_words import ids, torque_text
from mountgen.shapes import HexPrism
from mountgen.units import format_length

PRACTICE = "common practice"
PILOT = 3.0
"""mm; drill that opens a larger hole (common practice)."""


def tools(dossier: Dossier) -> list[list[str]]:
    """Each tool with what it is for: keys, spanners and torques from the joints, drills from the rail."""
    return [
        *_keys(dossier),
        *_spanners(dossier),
        *_torque_wrench(dossier),
        *_drills(dossier),
        *_measures(dossier),
    ]


def _keys(dossier: Dossier) -> Iterator[list[str]]:
    joints = dossier.detail.joints
    for key in sorted({joint.key for joint in joints if joint.key}):
        yield [f"hex key {key}, straight", "joints " + ids(j for j in joints if j.key == key)]


def _spanners(dossier: Dossier) -> Iterator[list[str]]:
    """For nuts that turn: those that sit in their part already need none."""
    detail = dossier.detail
    found: dict[float, list[str]] = {}
    for instance in detail.instances:
        if instance.joint and instance.name.endswith(" nut") and not instance.name.endswith(SET_NUTS):
            found.setdefault(_across_flats(detail, instance.part), []).append(instance.joint)
    for size in sorted(found):
        joints = ", ".join(dict.fromkeys(found[size]))
        yield [f"spanner {round(size, 1):g} mm", f"nuts of joints {joints}"]


def _across_flats(detail: Detail, number: str) -> float:
    part = detail.parts[number]
    assert isinstance(part, BoughtPart)
    return max(piece.across_flats for piece in part.shape.add if isinstance(piece, HexPrism))


def _torque_wrench(dossier: Dossier) -> Iterator[list[str]]:
    torques = [joint.torque_nm for joint in dossier.detail.joints if joint.torque_nm > 0]
    bits = sorted({joint.key for joint in dossier.detail.joints if joint.key})
    if torques:
        low, high = (torque_text(edge(torques), dossier.survey) for edge in (min, max))
        yield [
            f"torque wrench, {low} to {high}",
            f"hexagon bits {', '.join(bits)}; values in the table of joints",
        ]


def _drills(dossier: Dossier) -> Iterator[list[str]]:
    """For rail and floor."""
    for hole in dossier.detail.floor_holes[:1]:
        size, deep = (format_length(value, dossier.survey.units) for value in (hole.diameter, hole.depth))
        tags = ", ".join(one.tag for one in dossier.detail.floor_holes)
        yield [
            f"hammer drill {size} for concrete, dust extraction, blow-out pump",
            f"floor holes {tags}, {deep} deep",
        ]
    holes, units = dossier.detail.rail_holes, dossier.survey.units
    for diameter in sorted({hole.diameter for hole in holes}):
        tags = ", ".join(hole.tag for hole in holes if hole.diameter == diameter)
        yield [f"drill {format_length(diameter, units)}", f"rail holes {tags}"]
    if holes:
        pilot = format_length(PILOT, units)
        yield [
            f"centre punch, hammer, drill {pilot}, deburring tool",
            f"rail holes: mark, pilot, break edges ({PRACTICE})",
        ]
    for held in sorted({hole.holds for hole in holes if hole.holds}):
        tags = ", ".join(hole.tag for hole in holes if hole.holds == held)
        yield [f"setting tool for {held}", f"rail holes {tags}"]


def _measures(dossier: Dossier) -> Iterator[list[str]]:
    survey = dossier.survey
    level = "" if survey.line.slope_deg else "spirit level, "
    yield [f"{level}square, tape, steel rule", f"to stand the mount square and set its scales ({PRACTICE})"]
    low, high = (format_length(value, survey.units) for value in survey.standoff.best)
    target = format_length(survey.standoff.target, survey.units)
    yield [
        f"gauge strips {low}, {target}, {high}",
        "stand-off: the first and second pass, the third does not",
    ]
    if survey.encoder is not None:
        yield ["pliers with long jaws", "to hook the encoder's spring"]
    yield ["lint-free wipes", f"the head's surround; never the nozzle plate ({PRACTICE})"]
