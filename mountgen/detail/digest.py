"""Whether two made parts are the same piece of metal: a digest of all that a shop cuts, bends and drills.

Names, numbers, places in the mount and quantities do not count; material, thickness, finish, every corner,
bend and hole, and for a bar its section, length and work do. Lengths count to a thousandth of a millimetre,
so that rounding of the computer changes nothing. The order in which holes are listed does not count.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import fields

from mountgen.detail.records import ExtrusionPart, MadePart
from mountgen.geometry import Contour
from mountgen.sheet.flat import FlatPattern
from mountgen.sheet.tree import Bend, Flange, Hole, SheetPart

DECIMALS = 3

Plain = str | float | list["Plain"]


def part_digest(part: MadePart, flat: FlatPattern | None) -> str:
    """SHA-256 of a part's making, as hexadecimal; `flat` is a sheet part's flat pattern, whose size depends
    on the shop's bend rule."""
    made = _sheet(part, flat) if isinstance(part, SheetPart) else _bar(part)
    text = json.dumps(made, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def _sheet(part: SheetPart, flat: FlatPattern | None) -> Plain:
    cut: Plain = [] if flat is None else [_contour(flat.outline), sorted(_bend_places(flat), key=str)]
    return [part.material, _number(part.thickness), part.finish, _flange(part.root), cut]


def _bend_places(flat: FlatPattern) -> Iterator[Plain]:
    for line in flat.bend_lines:
        ends = sorted((line.start, line.end))
        places: list[Plain] = [_number(x) for end in ends for x in end]
        yield [line.direction, _number(line.angle_deg), *places]


def _flange(flange: Flange) -> Plain:
    holes = sorted((_hole(hole) for hole in flange.holes), key=str)
    return [_contour(flange.outline), holes, [_bend(bend) for bend in flange.bends]]


def _bend(bend: Bend) -> Plain:
    numbers = (*bend.start, *bend.end, bend.angle_deg, bend.inside_radius)
    return [*(_number(value) for value in numbers), _flange(bend.child)]


def _hole(hole: Hole) -> Plain:
    """Its kind of shape and every value of it."""
    values = [getattr(hole, column.name) for column in fields(hole)]
    return [type(hole).__name__, *(_value(value) for value in values)]


def _value(value: object) -> Plain:
    if isinstance(value, tuple):
        return [_value(item) for item in value]
    return _number(float(value)) if isinstance(value, int | float) else str(value)


def _contour(contour: Contour) -> Plain:
    return [[_number(v.x), _number(v.y), _number(v.bulge)] for v in contour.vertices]


def _bar(part: ExtrusionPart) -> Plain:
    work = sorted(
        (
            [f.kind, _number(f.at), f.size, _number(f.diameter), _number(f.depth), f.face]
            for f in part.features
        ),
        key=str,
    )
    return [part.section.name, _number(part.length), part.material, part.finish, [list(row) for row in work]]


def _number(value: float) -> float:
    return round(value, DECIMALS) + 0.0
