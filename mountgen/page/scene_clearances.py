"""The smallest gap from the mount to every thing around it, at every product's setting, with its two points.

Boxes and limits are those of the checks, so a gap is the number that a check prints: a product is its swept
envelope with its spread; the rail is not asked of what is bolted to it, the bed not of the measuring wheel.
A keepout is drawn where it was measured.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from mountgen.assembly.room import corners_of
from mountgen.checks.clearances import (
    AT_THE_PRODUCT,
    ON_THE_RAIL,
    SURVEYED_BEYOND,
    WHEEL,
    bed_box,
    guide_boxes,
    product_box,
    rail_boxes,
    rises_beside_print,
)
from mountgen.checks.scene import Scene
from mountgen.checks.standoff import worst_by_product
from mountgen.demand import Floats
from mountgen.detail.boxes import PieceBox
from mountgen.geometry import Box, Vec3
from mountgen.layout import rules

NEAR = 60.0
"""mm; what is farther away than this is not told of."""


@dataclass(frozen=True)
class Clearance:
    """One gap at one product's setting (None: the same at all), working view; `points` lie on the piece and
    on the thing. Negative is the depth of an overlap."""

    check: str
    piece: str
    thing: str
    value: float
    limit: tuple[float, float | None]
    points: tuple[Vec3, Vec3]
    product: int | None


@dataclass(frozen=True)
class _Thing:
    """What pieces are kept clear of, in one or more boxes, and which pieces are asked."""

    check: str
    names: Sequence[str]
    limit: float
    boxes: Sequence[Box]
    asked: Callable[[PieceBox], bool]


def clearances(scene: Scene, products: int) -> list[Clearance]:
    """The gaps at the settings of the first `products` products; to the site only those that are near."""
    pieces = _Pieces(scene, products)
    found = [one for thing in _site(scene) for one in pieces.to_site(thing) if one.value < NEAR]
    return [*found, *pieces.to_products(), *(_standoff(scene, k) for k in range(products))]


def _site(scene: Scene) -> Iterator[_Thing]:
    def anything(_: PieceBox) -> bool:
        return True

    def off_rail(piece: PieceBox) -> bool:
        return piece.group not in ON_THE_RAIL

    def off_bed(piece: PieceBox) -> bool:
        return off_rail(piece) and piece.instance != WHEEL

    if guides := guide_boxes(scene):
        yield _thing("guide_clearance", guides, anything)
    yield _thing("frame_clearance", rail_boxes(scene), off_rail)
    yield _thing("frame_clearance", [bed_box(scene)], off_bed)
    for keepout in scene.survey.rail.keepouts:
        (x0, x1), (y0, y1), (z0, z1) = keepout.x, keepout.y, keepout.z
        box = Box((x0, y0, z0), (x1, y1, z1))
        yield _Thing("frame_clearance", [keepout.what], SURVEYED_BEYOND, [box], anything)


def _thing(check: str, named: Sequence[tuple[str, Box]], asked: Callable[[PieceBox], bool]) -> _Thing:
    names, boxes = zip(*named, strict=True)
    return _Thing(check, names, rules.CLEAR, boxes, asked)


@dataclass(frozen=True)
class _Pieces:
    """The pieces' boxes at the settings of the first products."""

    scene: Scene
    products: int

    @cached_property
    def corners(self) -> Floats:
        """Product, piece, low and high, axis."""
        at_first = corners_of(piece.box for piece in self.scene.boxes)
        placed: Floats = np.repeat(at_first[None], self.products, axis=0)
        dy, dz = (shift[: self.products, None, None] for shift in self.scene.shifts)
        motions = [piece.motion for piece in self.scene.boxes]
        placed[..., 1] += dy * np.array([motion == "carriage" for motion in motions])[None, :, None]
        placed[..., 2] += dz * np.array([motion != "fixed" for motion in motions])[None, :, None]
        return placed

    def to_site(self, thing: _Thing) -> Iterator[Clearance]:
        """The nearest piece to a thing at each setting; once where it is the same at all."""
        asked = np.array([thing.asked(piece) for piece in self.scene.boxes])
        others = corners_of(thing.boxes)
        gaps = np.stack([_gaps(self.corners, other) for other in others], axis=-1)
        gaps[:, ~asked] = np.inf
        flat = gaps.reshape(self.products, -1).argmin(axis=1)
        nearest = [divmod(int(at), len(others)) for at in flat]
        same = len(set(nearest)) == 1 and self.scene.boxes[nearest[0][0]].motion == "fixed"
        for product, (piece, box) in enumerate(nearest[:1] if same else nearest):
            where = None if same else product
            yield self._clearance(thing, piece, box, where)

    def to_products(self) -> Iterator[Clearance]:
        """The nearest piece to each product, at its own setting."""
        boxes, wander = self.scene.boxes, worst_by_product(self.scene)
        at_product = np.array([piece.instance in AT_THE_PRODUCT for piece in boxes])
        rises = rises_beside_print(self.scene)
        for product in range(self.products):
            box = _spread(product_box(self.scene, product), float(wander[product]))
            gaps = _gaps(self.corners[product], np.array([box.low, box.high]))
            if not rises[product]:
                gaps[at_product] = np.inf
            name = str(self.scene.demand.names[product])
            thing = _Thing("product_clearance", [name], rules.CLEAR, [box], lambda _: True)
            yield self._clearance(thing, int(gaps.argmin()), 0, product)

    def _clearance(self, thing: _Thing, piece: int, at: int, product: int | None) -> Clearance:
        one, box, name = self.scene.boxes[piece], thing.boxes[at], thing.names[at]
        placed = self.scene.at(one, product or 0)
        points = nearest_points(placed, box)
        limit = (thing.limit, None)
        return Clearance(thing.check, one.instance, name, placed.gap(box), limit, points, product)


def _gaps(corners: Floats, other: Floats) -> Floats:
    """Gaps of boxes (..., low and high, axis) to one box; negative is the depth of the overlap."""
    apart = np.maximum(corners[..., 0, :] - other[1], other[0] - corners[..., 1, :])
    outside: Floats = np.linalg.norm(np.maximum(apart, 0.0), axis=-1)
    return np.where(outside > 0.0, outside, apart.max(axis=-1))


def _spread(box: Box, by: float) -> Box:
    """A swept product with its spread: across and up and down, not along."""
    (x0, y0, z0), (x1, y1, z1) = box.low, box.high
    return Box((x0, y0 - by, z0 - by), (x1, y1 + by, z1 + by))


def nearest_points(a: Box, b: Box) -> tuple[Vec3, Vec3]:
    """A point of each box, as far apart as the boxes are: in the middle of what they share along an axis. Of
    boxes that overlap: on the two faces between which they overlap least."""
    spans = list(zip(a.low, a.high, b.low, b.high, strict=True))
    apart = [max(a0 - b1, b0 - a1) for a0, a1, b0, b1 in spans]
    least = max(range(3), key=lambda axis: apart[axis])
    ends = [
        _ends(span) if gap > 0.0 or axis == least else _shared(span)
        for axis, (span, gap) in enumerate(zip(spans, apart, strict=True))
    ]
    (x0, x1), (y0, y1), (z0, z1) = ends
    return (x0, y0, z0), (x1, y1, z1)


_Span = tuple[float, float, float, float]


def _ends(span: _Span) -> tuple[float, float]:
    """The faces that look at each other."""
    a0, a1, b0, b1 = span
    return (a0, b1) if a0 - b1 > b0 - a1 else (a1, b0)


def _shared(span: _Span) -> tuple[float, float]:
    a0, a1, b0, b1 = span
    middle = (max(a0, b0) + min(a1, b1)) / 2
    return middle, middle


def _standoff(scene: Scene, product: int) -> Clearance:
    """From the middle of the nozzle column to the product's printed face."""
    demand, standoff = scene.demand, scene.survey.standoff
    y, z = float(demand.column_y[product]), float(scene.layout.settings.column_z[product])
    if demand.tilt_deg[product] > 45.0:
        face = (0.0, y, float(demand.height[product]))
    else:
        face = (0.0, float(demand.near_y[product]), z)
    gap = face[1] - y + z - face[2]
    name = str(demand.names[product])
    limit = standoff.acceptable
    return Clearance("standoff", "print head", name, gap, limit, ((0.0, y, z), face), product)
