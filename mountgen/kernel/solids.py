"""Solids of every kind of part: folded sheets, cut extrusions, and the simple shapes of bought parts."""

from __future__ import annotations

import math
from collections.abc import Sequence

from OCP.BRep import BRep_Builder
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakePrism
from OCP.gp import gp_Pnt, gp_Vec
from OCP.TopoDS import TopoDS_Compound

from mountgen.catalogue.sections import extrusion_contours
from mountgen.detail.records import EndFeature, ExtrusionPart, Part
from mountgen.errors import KernelError
from mountgen.geometry import COINCIDENT, Contour, Placement, Vec3, cos_deg, polygon, scale, sin_deg, subtract
from mountgen.kernel.booleans import cut, fused
from mountgen.kernel.faces import plane_face
from mountgen.kernel.frames import Solid, axes, placed
from mountgen.kernel.gate import one_body, one_solid, sound_bodies
from mountgen.kernel.sheets import sheet_solid
from mountgen.shapes import Block, Cylinder, HexPrism, Primitive, Prism, Shape, primitive_box
from mountgen.sheet.tree import SheetPart

Section = tuple[Contour, tuple[Contour, ...]]
"""A bar's outline and its hollows."""

OVERRUN = 1.0
"""mm that a cutter stands out of the face it enters, so that no skin is left on it."""

_SIDES: dict[str, tuple[Vec3, Vec3]] = {
    "+x": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
    "-x": ((-1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
    "+y": ((0.0, 1.0, 0.0), (1.0, 0.0, 0.0)),
    "-y": ((0.0, -1.0, 0.0), (1.0, 0.0, 0.0)),
}
"""A bar's faces: the way out of the face, and a direction in it."""


def part_solid(part: Part) -> Solid:
    """The solid of any part in its own frame, checked; KernelError naming the part."""
    if isinstance(part, SheetPart):
        return sheet_solid(part)
    if isinstance(part, ExtrusionPart):
        return extrusion_solid(part.number, extrusion_contours(part.section), part.length, part.features)
    return shape_solid(part.shape, part.number)


def extrusion_solid(name: str, section: Section, length: float, features: Sequence[EndFeature] = ()) -> Solid:
    """A bar along z from its datum end at z = 0, with its end bores and cross holes, checked.

    An end tap is bored along the bar's axis, from whichever end `at` lies at; a cross hole goes from the
    middle of the face named '+x', '-x', '+y' or '-y' into the bar, square to its axis, `depth` deep.
    """
    outer, hollows = section
    bar = _prism(Prism(outer, length, holes=hollows), name)
    area = outer.area - sum(hollow.area for hollow in hollows)
    bar = one_solid(bar, area * length, name)
    if not features:
        return bar
    return one_body(cut(bar, [_cutter(feature, outer, length, name) for feature in features], name), name)


def _cutter(feature: EndFeature, outer: Contour, length: float, name: str) -> Solid:
    """The feature's cylinder, standing out of the face it enters by `OVERRUN`."""
    if feature.kind == "end_tap":
        at_datum = feature.at < length / 2
        inwards = 1.0 if at_datum else -1.0
        start = (0.0, 0.0, -OVERRUN if at_datum else length + OVERRUN)
        frame = Placement(start, (1.0, 0.0, 0.0), (0.0, 0.0, inwards))
    else:
        frame = _cross_frame(feature, outer, name)
    return _cylinder(Cylinder(feature.diameter, feature.depth + OVERRUN, frame))


def _cross_frame(feature: EndFeature, outer: Contour, name: str) -> Placement:
    if feature.face not in _SIDES:
        raise KernelError(
            f"{name}: a cross hole in face {feature.face!r}, expected one of {', '.join(_SIDES)}"
        )
    out, across = _SIDES[feature.face]
    low_x, low_y, high_x, high_y = outer.bounds
    reach = {"+x": high_x, "-x": -low_x, "+y": high_y, "-y": -low_y}[feature.face] + OVERRUN
    origin = (out[0] * reach, out[1] * reach, feature.at)
    return Placement(origin, across, (-out[0], -out[1], 0.0))


def shape_solid(shape: Shape, name: str = "shape") -> Solid:
    """The shape's primitives fused where they meet, then cut, checked; KernelError with the name.

    Primitives that stand apart stay separate bodies of one compound. Only what meets is put through
    the kernel's booleans.
    """
    groups = _meeting_groups(shape.add)
    tools = [p for p in shape.cut if any(_meet(p, q) for q in shape.add)]
    bodies = [_fused_group(group, name) for group in groups]
    body = bodies[0] if len(bodies) == 1 else _compound(bodies)
    if tools:
        body = cut(body, [_primitive(p, name) for p in tools], name)
    low = 0.0 if tools else sum(_least_volume(group) for group in groups)
    return sound_bodies(body, low, sum(_primitive_volume(p) for p in shape.add), name)


def _fused_group(group: Sequence[Primitive], name: str) -> Solid:
    solids = [_primitive(p, name) for p in group]
    return solids[0] if len(solids) == 1 else fused(solids, name)


def _least_volume(group: Sequence[Primitive]) -> float:
    """mm3 that the fused group holds at least: all of it where the primitives only touch."""
    volumes = [_primitive_volume(p) for p in group]
    return max(volumes) if _overlap(group) else sum(volumes)


def _meeting_groups(primitives: Sequence[Primitive]) -> list[list[Primitive]]:
    """Primitives gathered so that those of different groups are apart, by their boxes."""
    groups: list[list[Primitive]] = []
    for primitive in primitives:
        near = [group for group in groups if any(_meet(primitive, other) for other in group)]
        groups = [group for group in groups if group not in near]
        groups.append([*(p for group in near for p in group), primitive])
    return groups


def _meet(a: Primitive, b: Primitive) -> bool:
    return primitive_box(a).gap(primitive_box(b)) <= COINCIDENT


def _overlap(group: Sequence[Primitive]) -> bool:
    boxes = [primitive_box(p) for p in group]
    return any(a.gap(b) < -COINCIDENT for i, a in enumerate(boxes) for b in boxes[:i])


def _primitive(primitive: Primitive, name: str) -> Solid:
    if isinstance(primitive, Block):
        return BRepPrimAPI_MakeBox(gp_Pnt(*primitive.low), gp_Pnt(*primitive.high)).Solid()
    if isinstance(primitive, Cylinder):
        return _cylinder(primitive)
    if isinstance(primitive, HexPrism):
        outline = _hexagon(primitive.across_flats)
        return _prism(Prism(outline, primitive.height, primitive.frame), name)
    return _prism(primitive, name)


def _cylinder(cylinder: Cylinder) -> Solid:
    return BRepPrimAPI_MakeCylinder(axes(cylinder.frame), cylinder.diameter / 2, cylinder.height).Solid()


def _prism(prism: Prism, name: str) -> Solid:
    face = placed(plane_face(prism.contour, prism.holes, name), prism.frame)
    return BRepPrimAPI_MakePrism(face, gp_Vec(*scale(prism.frame.z_axis, prism.height))).Shape()


def _hexagon(across_flats: float) -> Contour:
    """Corners on the x axis, flats square to the y axis."""
    radius = across_flats / math.sqrt(3)
    return polygon([(radius * cos_deg(60.0 * k), radius * sin_deg(60.0 * k)) for k in range(6)])


def _primitive_volume(primitive: Primitive) -> float:
    if isinstance(primitive, Block):
        x, y, z = subtract(primitive.high, primitive.low)
        return x * y * z
    if isinstance(primitive, Cylinder):
        return math.pi * primitive.diameter**2 / 4 * primitive.height
    if isinstance(primitive, HexPrism):
        return math.sqrt(3) / 2 * primitive.across_flats**2 * primitive.height
    return (primitive.contour.area - sum(hole.area for hole in primitive.holes)) * primitive.height


def _compound(bodies: Sequence[Solid]) -> Solid:
    builder, result = BRep_Builder(), TopoDS_Compound()
    builder.MakeCompound(result)
    for body in bodies:
        builder.Add(result, body)
    return result
