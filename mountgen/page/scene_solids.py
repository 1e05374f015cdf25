"""Every part as prisms, without the CAD kernel: flanges, bends, bars and the primitives of bought parts.

A *prism* is a flat outline with holes, drawn out along the z of its frame. A hole that does not go through
says from where to where it goes. An outline is one flat list, x, y, bulge, x, y, bulge ... as of
`geometry.Vertex`; a frame is origin, x axis and z axis, nine numbers, left out where it is the part's own.
Holes across a prism's axis (a T-nut's thread, a bar's cross holes) are not drawn.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from mountgen.catalogue.sections import extrusion_contours
from mountgen.detail.records import ExtrusionPart, Part
from mountgen.geometry import (
    COINCIDENT,
    Contour,
    Placement,
    Vec3,
    Vertex,
    circle,
    cos_deg,
    polygon,
    rectangle,
    scale,
    sin_deg,
)
from mountgen.package.report import Json
from mountgen.shapes import Block, Cylinder, HexPrism, Primitive, Prism, Shape, primitive_box
from mountgen.sheet.tree import Bend, SheetPart

LENGTH_DIGITS, AXIS_DIGITS = 3, 6
ITSELF = Placement()


@dataclass(frozen=True)
class Bore:
    """A hole in a prism: its contour and from where to where along the prism it goes."""

    contour: Contour
    start: float
    end: float


@dataclass(frozen=True)
class Solid:
    """One prism with its holes."""

    contour: Contour
    height: float
    frame: Placement = ITSELF
    bores: tuple[Bore, ...] = ()

    @property
    def data(self) -> dict[str, Json]:
        """As the page is told of it."""
        found: dict[str, Json] = {"outline": outline_data(self.contour), "height": short(self.height)}
        if self.frame != ITSELF:
            found["frame"] = frame_data(self.frame)
        if self.bores:
            found["holes"] = [self._bore_data(bore) for bore in self.bores]
        return found

    def _bore_data(self, bore: Bore) -> Json:
        through = bore.start <= COINCIDENT and bore.end >= self.height - COINCIDENT
        ends: dict[str, Json] = {} if through else {"from": short(bore.start), "to": short(bore.end)}
        return {"outline": outline_data(bore.contour), **ends}


def part_solids(part: Part) -> Iterator[Solid]:
    """The part in its own frame."""
    if isinstance(part, SheetPart):
        return _sheet_solids(part)
    if isinstance(part, ExtrusionPart):
        return _bar_solids(part)
    return iter(_shape_solids(part.shape))


def through(contour: Contour, holes: Sequence[Contour], height: float, frame: Placement = ITSELF) -> Solid:
    """A prism whose holes all go through."""
    return Solid(contour, height, frame, tuple(Bore(hole, 0.0, height) for hole in holes))


def _sheet_solids(part: SheetPart) -> Iterator[Solid]:
    for flange, frame in part.placed_flanges():
        yield through(flange.outline, [hole.contour for hole in flange.holes], part.thickness, frame)
        for bend in flange.bends:
            yield _bend_solid(bend, part.thickness, frame)


def _bend_solid(bend: Bend, thickness: float, parent: Placement) -> Solid:
    """The sector of a ring, drawn out along the bend's edge from its end to its start.

    Its frame: x off the parent's edge, y up or down towards the bend's centre, z along the edge.
    """
    along = ((bend.end[0] - bend.start[0]) / bend.width, (bend.end[1] - bend.start[1]) / bend.width, 0.0)
    out: Vec3 = (along[1], -along[0], 0.0)
    up = bend.angle_deg > 0
    surface = thickness if up else 0.0
    corner, axis = (bend.start, along) if not up else (bend.end, scale(along, -1.0))
    inner, outer = bend.inside_radius, bend.inside_radius + thickness
    frame = Placement((*corner, surface), out, axis)
    return Solid(_sector(inner, outer, abs(bend.angle_deg)), bend.width, parent.then(frame))


def _sector(inner: float, outer: float, angle_deg: float) -> Contour:
    """From the point nearest to the origin's x axis: the ring's centre lies at (0, inner)."""
    bulge = math.tan(math.radians(angle_deg) / 4)
    sin, cos = sin_deg(angle_deg), cos_deg(angle_deg)
    return Contour(
        (
            Vertex(0.0, inner - outer, bulge),
            Vertex(outer * sin, inner - outer * cos),
            Vertex(inner * sin, inner - inner * cos, -bulge),
            Vertex(0.0, 0.0),
        )
    )


def _bar_solids(part: ExtrusionPart) -> Iterator[Solid]:
    outline, hollows = extrusion_contours(part.section)
    bores = [Bore(hollow, 0.0, part.length) for hollow in hollows]
    for tap in part.features:
        if tap.kind == "end_tap":
            span = (0.0, tap.depth) if tap.at < part.length / 2 else (part.length - tap.depth, part.length)
            bores = [one for one in bores if not _around_axis(one)] if span[1] >= part.length else bores
            bores.append(Bore(circle((0.0, 0.0), tap.diameter), *span))
    yield Solid(outline, part.length, ITSELF, tuple(bores))


def _around_axis(bore: Bore) -> bool:
    x0, y0, x1, y1 = bore.contour.bounds
    return x0 < 0.0 < x1 and y0 < 0.0 < y1


@lru_cache(maxsize=512)
def _shape_solids(shape: Shape) -> tuple[Solid, ...]:
    """Kept: from edit to edit most of what is bought stays the same."""
    return tuple(_bored(primitive, shape.cut) for primitive in shape.add)


def _bored(primitive: Primitive, cut_away: Sequence[Primitive]) -> Solid:
    """A primitive without what is cut away from it along its axis."""
    cuts = [cut for cut in cut_away if _meets(primitive, cut)]
    axis = next((cut.frame.z_axis for cut in cuts if not isinstance(cut, Block)), _thin_way(cuts))
    solid = _solid_of(primitive, axis)
    bores = (_bore(solid, _solid_of(cut, solid.frame.z_axis)) for cut in cuts)
    return replace(solid, bores=(*solid.bores, *(bore for bore in bores if bore)))


def _meets(a: Primitive, b: Primitive) -> bool:
    return primitive_box(a).gap(primitive_box(b)) < -COINCIDENT


def _thin_way(cuts: Sequence[Primitive]) -> Vec3:
    """The way into a recess: that in which it is thinnest; z without one."""
    for cut in cuts:
        if isinstance(cut, Block):
            sizes = [high - low for low, high in zip(cut.low, cut.high, strict=True)]
            return _AXES[sizes.index(min(sizes))]
    return (0.0, 0.0, 1.0)


_AXES: tuple[Vec3, Vec3, Vec3] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def _solid_of(primitive: Primitive, axis: Vec3) -> Solid:
    """The primitive as a prism; a block is drawn out along whichever of its edges lies along `axis`."""
    match primitive:
        case Block():
            return _block_solid(primitive, axis)
        case Prism():
            return through(primitive.contour, primitive.holes, primitive.height, primitive.frame)
        case Cylinder():
            return Solid(circle((0.0, 0.0), primitive.diameter), primitive.height, primitive.frame)
        case HexPrism():
            return Solid(hexagon(primitive.across_flats), primitive.height, primitive.frame)


def hexagon(across_flats: float) -> Contour:
    """Corners on the x axis, flats square to the y axis."""
    radius = across_flats / math.sqrt(3)
    return polygon([(radius * cos_deg(60.0 * k), radius * sin_deg(60.0 * k)) for k in range(6)])


def _block_solid(block: Block, axis: Vec3) -> Solid:
    along = max(range(3), key=lambda k: abs(axis[k]))
    across, up = (along + 1) % 3, (along + 2) % 3
    origin = tuple(block.low[along] if k == along else 0.0 for k in range(3))
    frame = Placement((origin[0], origin[1], origin[2]), _AXES[across], _AXES[along])
    outline = rectangle(block.low[across], block.low[up], block.high[across], block.high[up])
    return Solid(outline, block.high[along] - block.low[along], frame)


def _bore(solid: Solid, cut: Solid) -> Bore | None:
    """What a cut takes out of a prism; None where it does not lie along its axis and inside its outline."""
    along = solid.frame.local_vector(cut.frame.z_axis)[2]
    if abs(along) < 1.0 - COINCIDENT:
        return None
    contour = _seen_from(cut.contour, cut.frame, solid.frame)
    ends = [solid.frame.local_point(cut.frame.point((0.0, 0.0, z)))[2] for z in (0.0, cut.height)]
    start, end = max(min(ends), 0.0), min(max(ends), solid.height)
    return Bore(contour, start, end) if end > start and _inside(contour, solid.contour) else None


def _seen_from(contour: Contour, frame: Placement, other: Placement) -> Contour:
    """A contour of one frame in another whose z points the same or the opposite way."""
    seen = contour
    places = [other.local_point(frame.point((v.x, v.y, 0.0))) for v in contour.vertices]
    if other.local_vector(frame.z_axis)[2] < 0.0:
        seen, places = contour.mirrored(), places[::-1]
    return Contour(tuple(Vertex(x, y, v.bulge) for v, (x, y, _) in zip(seen.vertices, places, strict=True)))


def _inside(inner: Contour, outer: Contour) -> bool:
    (a0, b0, a1, b1), (c0, d0, c1, d1) = inner.bounds, outer.bounds
    return c0 <= a0 and d0 <= b0 and a1 <= c1 and b1 <= d1 and inner.area < outer.area


def outline_data(contour: Contour) -> list[Json]:
    """x, y and bulge of every vertex, one after another."""
    return [
        number
        for v in contour.vertices
        for number in (short(v.x), short(v.y), round(v.bulge, AXIS_DIGITS) + 0.0)
    ]


def frame_data(frame: Placement) -> list[Json]:
    """Origin, x axis and z axis of a placement, nine numbers."""
    axes = (*frame.x_axis, *frame.z_axis)
    return [*point_data(frame.origin), *(round(a, AXIS_DIGITS) + 0.0 for a in axes)]


def point_data(point: Vec3) -> list[Json]:
    return [short(value) for value in point]


def short(value: float) -> float:
    """A length as it is sent: to a thousandth of a millimetre."""
    return round(float(value), LENGTH_DIGITS) + 0.0
