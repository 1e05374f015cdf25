"""A sheet part as a tree of flat flanges joined by bends; holes belong to flanges.

Frames. A flange lies in the x-y plane of its own frame and fills 0 <= z <= thickness. Its outline is
the flat area only: it stops at the bend's tangent line. A bend leaves its parent at the straight edge
from `start` to `end`, which is one edge, or part of one, of the parent's outline, run
counter-clockwise, so that the bend lies to its right. The child's frame has its origin on the child's
tangent line at the corner that belongs to `end`, x along end -> start, y away from the bend, and z on
the same side of the sheet as the parent's: the child's own outline has its attached edge on y = 0 from
(0, 0) to (width, 0) and lies in y > 0.

A bend of positive angle turns the child towards the parent's +z (bend *up*), a negative one towards
-z (bend *down*). The angle is the one the sheet is turned through, never the angle between the legs.
The inside radius is on the inside of the turn, whichever side that is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Literal

from mountgen.geometry import (
    Box,
    Contour,
    Placement,
    Vec2,
    Vec3,
    Vertex,
    circle,
    cos_deg,
    sin_deg,
)

HoleKind = Literal["clearance", "tapped", "dowel", "slot", "arc_slot", "opening"]


@dataclass(frozen=True)
class RoundHole:
    """A round hole. `size` is what it is for: 'M6', 'dowel 5', or '' for a plain opening."""

    centre: Vec2
    diameter: float
    kind: HoleKind = "clearance"
    size: str = ""

    @property
    def contour(self) -> Contour:
        return circle(self.centre, self.diameter)

    def mirrored(self) -> RoundHole:
        return replace(self, centre=_flip(self.centre))


@dataclass(frozen=True)
class Slot:
    """A straight slot with round ends; `length` overall, `angle_deg` of its long axis."""

    centre: Vec2
    width: float
    length: float
    angle_deg: float = 0.0
    kind: HoleKind = "slot"
    size: str = ""

    @property
    def contour(self) -> Contour:
        r, reach = self.width / 2, (self.length - self.width) / 2
        ends = (
            Vertex(-reach, -r),
            Vertex(reach, -r, 1.0),
            Vertex(reach, r),
            Vertex(-reach, r, 1.0),
        )
        return Contour(ends).turned(self.angle_deg).moved(*self.centre)

    def mirrored(self) -> Slot:
        return replace(self, centre=_flip(self.centre), angle_deg=-self.angle_deg)


@dataclass(frozen=True)
class ArcSlot:
    """A slot along an arc about `centre`; angles are those of the two end-round centres."""

    centre: Vec2
    radius: float
    width: float
    start_deg: float
    end_deg: float
    kind: HoleKind = "arc_slot"
    size: str = ""

    @property
    def contour(self) -> Contour:
        bulge = math.tan(math.radians(self.end_deg - self.start_deg) / 4)
        inner, outer = self.radius - self.width / 2, self.radius + self.width / 2
        a, b = self.start_deg, self.end_deg
        return Contour(
            (
                self._vertex(outer, a, bulge),
                self._vertex(outer, b, 1.0),
                self._vertex(inner, b, -bulge),
                self._vertex(inner, a, 1.0),
            )
        )

    def _vertex(self, radius: float, angle_deg: float, bulge: float) -> Vertex:
        x, y = self.centre
        return Vertex(x + radius * cos_deg(angle_deg), y + radius * sin_deg(angle_deg), bulge)

    def mirrored(self) -> ArcSlot:
        return replace(
            self,
            centre=_flip(self.centre),
            start_deg=180.0 - self.end_deg,
            end_deg=180.0 - self.start_deg,
        )


Hole = RoundHole | Slot | ArcSlot


@dataclass(frozen=True)
class Bend:
    """A bend off the straight edge start -> end of its parent, and the flange it leads to."""

    start: Vec2
    end: Vec2
    angle_deg: float
    inside_radius: float
    child: Flange

    @property
    def width(self) -> float:
        return math.dist(self.start, self.end)


@dataclass(frozen=True)
class Flange:
    """One flat area with its holes and the bends that leave it."""

    name: str
    outline: Contour
    holes: tuple[Hole, ...] = ()
    bends: tuple[Bend, ...] = ()


@dataclass(frozen=True)
class SheetPart:
    """A made sheet part; `hand` is set when its mirror image is another part."""

    number: str
    name: str
    thickness: float
    material: str
    root: Flange
    finish: str = ""
    hand: Literal["", "left", "right"] = ""

    def placed_flanges(self) -> tuple[tuple[Flange, Placement], ...]:
        """Every flange with the placement of its frame in the part's (the root's) frame."""
        return self._placed

    @cached_property
    def _placed(self) -> tuple[tuple[Flange, Placement], ...]:
        return tuple(_walk(self.root, Placement(), self.thickness))

    @cached_property
    def boxes(self) -> tuple[Box, ...]:
        """A box around every flange and every bend, in the part's own frame."""
        return tuple(_boxes(self))


def _walk(flange: Flange, placement: Placement, t: float) -> Iterator[tuple[Flange, Placement]]:
    yield flange, placement
    for bend in flange.bends:
        yield from _walk(bend.child, placement.then(child_placement(bend, t)), t)


def child_placement(bend: Bend, thickness: float) -> Placement:
    """The child's frame in its parent's frame, folded.

    For a bend up by angle a with inside radius r, the child's tangent line lies
    (r + t) sin a beyond the parent's and (r + t)(1 - cos a) above its lower face; a bend down turns
    about an axis r under the lower face: r sin a beyond, r (1 - cos a) below.
    """
    along_x = (bend.end[0] - bend.start[0]) / bend.width
    along_y = (bend.end[1] - bend.start[1]) / bend.width
    out = (along_y, -along_x)
    turn = abs(bend.angle_deg)
    up = 1.0 if bend.angle_deg > 0 else -1.0
    radius = bend.inside_radius + (thickness if up > 0 else 0.0)
    reach, rise = radius * sin_deg(turn), up * radius * (1 - cos_deg(turn))
    origin = (bend.end[0] + reach * out[0], bend.end[1] + reach * out[1], rise)
    normal = (-up * sin_deg(turn) * out[0], -up * sin_deg(turn) * out[1], cos_deg(turn))
    return Placement(origin, (-along_x, -along_y, 0.0), normal)


def _boxes(part: SheetPart) -> Iterator[Box]:
    frames = {flange.name: frame for flange, frame in part.placed_flanges()}
    for flange, frame in part.placed_flanges():
        for x0, y0, x1, y1 in _strips(flange.outline):
            yield Box((x0, y0, 0.0), (x1, y1, part.thickness)).placed(frame)
        for bend in flange.bends:
            yield Box.around(bend_corners(part.thickness, bend, frame, frames[bend.child.name]))


def _strips(outline: Contour) -> Iterator[tuple[float, float, float, float]]:
    """Low and high corners of rectangles that hold an outline: one, or one beside another along x where it
    has inner corners with square edges, as an L has."""
    x0, y0, x1, y1 = outline.bounds
    cuts = [x0, *sorted({v.x for v in _inner_corners(outline)}), x1]
    if len(cuts) == 2:
        yield x0, y0, x1, y1
        return
    for low, high in pairwise(cuts):
        over = [
            v.y for a, b in outline.segments() if max(a.x, b.x) > low and min(a.x, b.x) < high for v in (a, b)
        ]
        if over:
            yield low, min(over), high, max(over)


def _inner_corners(outline: Contour) -> Iterator[Vertex]:
    """Corners that turn right, between two straight edges along x and y."""
    for (a, b), (_, c) in pairwise([*outline.segments(), next(iter(outline.segments()))]):
        one, other = (b.x - a.x, b.y - a.y), (c.x - b.x, c.y - b.y)
        straight = not a.bulge and not b.bulge
        square = one[0] * one[1] == 0.0 and other[0] * other[1] == 0.0
        if straight and square and one[0] * other[1] - one[1] * other[0] < 0.0:
            yield b


def bend_corners(t: float, bend: Bend, frame: Placement, child_frame: Placement) -> list[Vec3]:
    """The ends of the four edges where a bend begins and ends: it bulges no farther than a corner would
    for bends up to 90 deg."""
    starts = [frame.point((*end, z)) for end in (bend.start, bend.end) for z in (0.0, t)]
    ends = [child_frame.point((x, 0.0, z)) for x in (0.0, bend.width) for z in (0.0, t)]
    return [*starts, *ends]


def mirrored_flange(flange: Flange) -> Flange:
    """The flange and all that hangs on it, mirrored in its own x = 0."""
    return Flange(
        flange.name,
        flange.outline.mirrored(),
        tuple(hole.mirrored() for hole in flange.holes),
        tuple(_mirrored_bend(bend) for bend in flange.bends),
    )


def _mirrored_bend(bend: Bend) -> Bend:
    """Mirrored, the edge runs the other way; the child is mirrored about the middle of the edge."""
    child = _moved(mirrored_flange(bend.child), bend.width)
    return replace(bend, start=_flip(bend.end), end=_flip(bend.start), child=child)


def _moved(flange: Flange, dx: float) -> Flange:
    """The flange drawn `dx` further along its own x."""
    holes = tuple(replace(h, centre=(h.centre[0] + dx, h.centre[1])) for h in flange.holes)
    bends = tuple(
        replace(b, start=(b.start[0] + dx, b.start[1]), end=(b.end[0] + dx, b.end[1])) for b in flange.bends
    )
    return Flange(flange.name, flange.outline.moved(dx, 0.0), holes, bends)


def mirrored_part(part: SheetPart) -> SheetPart:
    """The part mirrored in its root flange's x = 0; number, name and hand are the caller's."""
    return replace(part, root=mirrored_flange(part.root))


def _flip(point: Vec2) -> Vec2:
    return (-point[0], point[1])
