"""Simple solids as data: what bought parts and extrusions look like, without a CAD kernel.

A *shape* is a list of primitives that are added and a list that are taken away afterwards. Fasteners,
photo-eyes and heads are drawn with a few blocks and cylinders each: what matters of a bought part is
its size, its mass and its holes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property

from mountgen.geometry import Box, Contour, Placement, Vec3


@dataclass(frozen=True)
class Block:
    """An axis-parallel box in the part's own frame."""

    low: Vec3
    high: Vec3


@dataclass(frozen=True)
class Prism:
    """A contour in the local x-y plane of `frame`, drawn out along its z by `height`."""

    contour: Contour
    height: float
    frame: Placement = field(default_factory=Placement)
    holes: tuple[Contour, ...] = ()


@dataclass(frozen=True)
class Cylinder:
    """A cylinder from the origin of `frame` along its z."""

    diameter: float
    height: float
    frame: Placement = field(default_factory=Placement)


@dataclass(frozen=True)
class HexPrism:
    """A hexagonal prism, `across_flats` wide, from the origin of `frame` along its z."""

    across_flats: float
    height: float
    frame: Placement = field(default_factory=Placement)


Primitive = Block | Prism | Cylinder | HexPrism


@dataclass(frozen=True)
class Shape:
    """Primitives fused, then the `cut` ones taken away."""

    add: tuple[Primitive, ...]
    cut: tuple[Primitive, ...] = ()

    @cached_property
    def boxes(self) -> tuple[Box, ...]:
        """A box around each added primitive, in the part's own frame."""
        return tuple(primitive_box(primitive) for primitive in self.add)

    @property
    def box(self) -> Box:
        """The axis-parallel box around the added primitives, in the part's own frame."""
        return Box.around(corner for box in self.boxes for corner in (box.low, box.high))


def placed_box(primitive: Primitive, place: Placement) -> Box:
    """The box around one primitive of a placed part; exact for a cylinder, however it leans."""
    if not isinstance(primitive, Cylinder):
        return primitive_box(primitive).placed(place)
    frame = place.then(primitive.frame)
    radius, axis = primitive.diameter / 2, frame.z_axis
    ends = (frame.origin, frame.point((0.0, 0.0, primitive.height)))
    rims = [radius * math.sqrt(max(1.0 - part**2, 0.0)) for part in axis]
    low, high = (
        tuple(pick(end[k] for end in ends) + way * rims[k] for k in range(3))
        for pick, way in ((min, -1.0), (max, 1.0))
    )
    return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))


def primitive_box(primitive: Primitive) -> Box:
    """The box around one primitive; round ones are boxed in their own frame, then placed."""
    if isinstance(primitive, Block):
        return Box(primitive.low, primitive.high)
    if isinstance(primitive, Prism):
        x0, y0, x1, y1 = primitive.contour.bounds
        local = Box((x0, y0, 0.0), (x1, y1, primitive.height))
    else:
        half = _half_width(primitive)
        local = Box((-half, -half, 0.0), (half, half, primitive.height))
    return local.placed(primitive.frame)


def _half_width(primitive: Cylinder | HexPrism) -> float:
    if isinstance(primitive, Cylinder):
        return primitive.diameter / 2
    return primitive.across_flats / math.sqrt(3)


def mirrored_shape(shape: Shape) -> Shape:
    """The shape mirrored in its own x = 0."""
    return Shape(tuple(map(_mirrored, shape.add)), tuple(map(_mirrored, shape.cut)))


def _mirrored(primitive: Primitive) -> Primitive:
    if isinstance(primitive, Block):
        low, high = primitive.low, primitive.high
        return Block((-high[0], *low[1:]), (-low[0], *high[1:]))
    frame = primitive.frame.mirrored()
    if isinstance(primitive, Prism):
        holes = tuple(hole.mirrored() for hole in primitive.holes)
        return replace(primitive, contour=primitive.contour.mirrored(), frame=frame, holes=holes)
    return replace(primitive, frame=frame)
