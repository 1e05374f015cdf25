"""A mount as plain numbers for the bare script: contours, bends, primitives, places and colours.

The script that is compared with `mountgen build` must not import it, so everything is put into JSON first.
"""

from __future__ import annotations

import math
from typing import Any

from mountgen.build.solids import colour_of
from mountgen.catalogue.sections import extrusion_contours
from mountgen.detail.records import BoughtPart, Detail, EndFeature, ExtrusionPart, Part
from mountgen.geometry import Contour, Placement, circle, polygon
from mountgen.shapes import Block, Cylinder, HexPrism, Primitive
from mountgen.sheet.tree import SheetPart

Data = dict[str, Any]
OVERRUN = 1.0


def mount_data(name: str, detail: Detail) -> Data:
    """Parts by number, and where each of their copies stands."""
    return {
        "name": name,
        "parts": {number: _part(part) | _looks(part) for number, part in detail.parts.items()},
        "instances": [
            {"name": i.name, "part": i.part, "group": i.group, "frame": _frame(i.placement)}
            for i in detail.instances
        ],
    }


def _looks(part: Part) -> Data:
    return {"name": f"{part.number} {part.name}", "colour": colour_of(part)}


def _part(part: Part) -> Data:
    if isinstance(part, SheetPart):
        return _sheet(part)
    if isinstance(part, ExtrusionPart):
        return _bar(part)
    assert isinstance(part, BoughtPart)
    return {"add": [_primitive(p) for p in part.shape.add], "cut": [_primitive(p) for p in part.shape.cut]}


def _sheet(part: SheetPart) -> Data:
    pieces = [
        _prism(flange.outline, part.thickness, placement, [hole.contour for hole in flange.holes])
        for flange, placement in part.placed_flanges()
    ]
    bends = [
        {
            "start": bend.start,
            "end": bend.end,
            "angle": math.radians(bend.angle_deg),
            "radius": bend.inside_radius,
            "thickness": part.thickness,
            "frame": _frame(placement),
        }
        for flange, placement in part.placed_flanges()
        for bend in flange.bends
    ]
    return {"add": [*pieces, *bends], "cut": []}


def _bar(part: ExtrusionPart) -> Data:
    outline, hollows = extrusion_contours(part.section)
    bores = [_bore(part, feature) for feature in part.features]
    return {"add": [_prism(outline, part.length, Placement(), list(hollows))], "cut": bores}


def _bore(part: ExtrusionPart, feature: EndFeature) -> Data:
    """A tapped core bore at the datum end or at the other."""
    assert feature.kind == "end_tap"
    at_datum = feature.at < part.length / 2
    start = -OVERRUN if at_datum else part.length + OVERRUN
    frame = Placement((0.0, 0.0, start), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0 if at_datum else -1.0))
    return _prism(circle((0.0, 0.0), feature.diameter), feature.depth + OVERRUN, frame)


def _primitive(primitive: Primitive) -> Data:
    if isinstance(primitive, Block):
        return {"low": primitive.low, "high": primitive.high}
    if isinstance(primitive, Cylinder):
        return {"diameter": primitive.diameter, "height": primitive.height, "frame": _frame(primitive.frame)}
    if isinstance(primitive, HexPrism):
        radius = primitive.across_flats / math.sqrt(3)
        turns = [math.pi / 3 * k for k in range(6)]
        hexagon = polygon([(radius * math.cos(turn), radius * math.sin(turn)) for turn in turns])
        return _prism(hexagon, primitive.height, primitive.frame)
    return _prism(primitive.contour, primitive.height, primitive.frame, list(primitive.holes))


def _prism(outline: Contour, height: float, frame: Placement, holes: list[Contour] | None = None) -> Data:
    return {
        "outline": _corners(outline),
        "holes": [_corners(hole) for hole in holes or []],
        "height": height,
        "frame": _frame(frame),
    }


def _corners(contour: Contour) -> list[tuple[float, float, float]]:
    return [(v.x, v.y, v.bulge) for v in contour.vertices]


def _frame(placement: Placement) -> Data:
    return {"origin": placement.origin, "x": placement.x_axis, "z": placement.z_axis}
