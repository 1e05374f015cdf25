"""The flat pattern of a sheet part: one outline, every hole, every bend line.

The flat is drawn in the root flange's plane, seen from its +z side, and moved so that the outline's
lowest x and y are 0: the datum corner is the lower left. A bend takes up a *bend zone* as long as the
rule's allowance; its *bend line* is the zone's centre line.

Tags: holes that are alike (same kind, size and dimensions) share a letter and are counted, A1, A2 ...;
bend lines are B1, B2 ... Letters run in the order in which the tree is walked, so that a part and its
mirror image bear the same tags.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from mountgen.errors import SheetError
from mountgen.geometry import COINCIDENT, Contour, Vec2, Vertex
from mountgen.mechanics.bending import BendRule, bend_deduction
from mountgen.sheet.edges import self_crossing
from mountgen.sheet.tree import ArcSlot, Bend, Flange, Hole, RoundHole, SheetPart, Slot

HOLE_LETTERS = "ACDEFGHJKLMNPRSTUVWXYZ"
"""No B, which is for bends; no I, O and Q, which read as 1 and 0."""


@dataclass(frozen=True)
class FlatFrame:
    """Where a flange lies in the flat: its origin and the direction of its x axis."""

    origin: Vec2 = (0.0, 0.0)
    x_axis: Vec2 = (1.0, 0.0)

    def turn(self, vector: Vec2) -> Vec2:
        """A direction of the flange, seen in the flat."""
        (c, s), (x, y) = self.x_axis, vector
        return (c * x - s * y, s * x + c * y)

    def point(self, local: Vec2) -> Vec2:
        """A point of the flange, seen in the flat."""
        x, y = self.turn(local)
        return (self.origin[0] + x, self.origin[1] + y)

    def hole(self, hole: Hole) -> Hole:
        """A hole of the flange, drawn in the flat."""
        angle = math.degrees(math.atan2(self.x_axis[1], self.x_axis[0]))
        centre = self.point(hole.centre)
        if isinstance(hole, RoundHole):
            return replace(hole, centre=centre)
        if isinstance(hole, Slot):
            return replace(hole, centre=centre, angle_deg=hole.angle_deg + angle)
        return replace(hole, centre=centre, start_deg=hole.start_deg + angle, end_deg=hole.end_deg + angle)


@dataclass(frozen=True)
class PlacedHole:
    """A hole in flat coordinates; `local` is the same hole as its flange owns it."""

    tag: str
    flange: str
    hole: Hole
    local: Hole


@dataclass(frozen=True)
class Die:
    """The die that a bend is made on: its V opening in mm, and whether the shop's own deductions were
    measured on it."""

    opening: float
    measured: bool


@dataclass(frozen=True)
class BendLine:
    """The centre line of a bend zone, run so that the child lies to its right.

    `angle_deg` > 0 is the angle the sheet is turned through; `allowance` is the zone's length,
    `deduction` what the two outside lengths are longer than the flat; `die` is None until a shop has
    said on which one it bends.
    """

    tag: str
    parent: str
    child: str
    start: Vec2
    end: Vec2
    direction: Literal["up", "down"]
    angle_deg: float
    inside_radius: float
    allowance: float
    deduction: float
    die: Die | None = None


@dataclass(frozen=True)
class FlatPattern:
    """The flat of a sheet part. `rule` is the title of the bend rule it was unfolded by."""

    outline: Contour
    holes: tuple[PlacedHole, ...]
    bend_lines: tuple[BendLine, ...]
    size: Vec2
    rule: str

    @property
    def area(self) -> float:
        """Sheet that is left: the outline less its holes, mm2."""
        return self.outline.area - sum(placed.hole.contour.area for placed in self.holes)


@dataclass(frozen=True)
class _Joined:
    """A bend with the flange it leaves, the frames of both and its allowance."""

    bend: Bend
    parent: Flange
    frame: FlatFrame
    child_frame: FlatFrame
    allowance: float


def unfold(part: SheetPart, rule: BendRule) -> FlatPattern:
    """The flat pattern of a part under the fabricator's bend rule.

    SheetError: an outline that runs clockwise, crosses itself or overlaps another flange's when flat,
    a bend that is not on its parent's straight edge, a child that does not start on y = 0, a bend that
    the rule refuses.
    """
    joined = tuple(_joined_bends(part.root, FlatFrame(), part.thickness, rule))
    frames = [(part.root, FlatFrame()), *((j.bend.child, j.child_frame) for j in joined)]
    _require_sound(part, [flange for flange, _ in frames])
    outline = _checked(_merged_outline(part.root, joined), part.number)
    low_x, low_y, high_x, high_y = outline.bounds
    return FlatPattern(
        outline.moved(-low_x, -low_y),
        _placed_holes([(f, _moved(frame, -low_x, -low_y)) for f, frame in frames]),
        tuple(_bend_line(f"B{n}", j, rule, part.thickness, (low_x, low_y)) for n, j in enumerate(joined, 1)),
        (high_x - low_x, high_y - low_y),
        rule.title,
    )


def _require_sound(part: SheetPart, flanges: list[Flange]) -> None:
    names = [flange.name for flange in flanges]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise SheetError(f"{part.number}: two flanges are called {twice[0]}; each needs its own name")
    for flange in flanges:
        for hole in flange.holes:
            if not _has_shape(hole):
                raise SheetError(f"flange {flange.name}: {hole} has no shape that can be cut")


def _has_shape(hole: Hole) -> bool:
    """Whether a hole has a width, and a slot a length beyond its width."""
    if isinstance(hole, RoundHole):
        return hole.diameter > COINCIDENT
    if isinstance(hole, Slot):
        return COINCIDENT < hole.width < hole.length - COINCIDENT
    return COINCIDENT < hole.width < 2 * hole.radius and 0 < hole.end_deg - hole.start_deg < 360


def volume(part: SheetPart) -> float:
    """Volume of the folded part in mm3: flanges less their holes, and a ring sector for each bend.

    A sector of angle a, inside radius r and width w holds a (r + t/2) t w (Pappus).
    """
    total, t = 0.0, part.thickness
    for flange, _ in part.placed_flanges():
        total += t * (flange.outline.area - sum(hole.contour.area for hole in flange.holes))
        for bend in flange.bends:
            total += math.radians(abs(bend.angle_deg)) * (bend.inside_radius + t / 2) * t * bend.width
    return total


def _joined_bends(flange: Flange, frame: FlatFrame, t: float, rule: BendRule) -> Iterator[_Joined]:
    """Every bend of a flange and of all that hangs on it, parents first."""
    for bend in flange.bends:
        allowance = _allowance(bend, t, rule)
        along = ((bend.end[0] - bend.start[0]) / bend.width, (bend.end[1] - bend.start[1]) / bend.width)
        corner = (bend.end[0] + allowance * along[1], bend.end[1] - allowance * along[0])
        child_frame = FlatFrame(frame.point(corner), frame.turn((-along[0], -along[1])))
        yield _Joined(bend, flange, frame, child_frame, allowance)
        yield from _joined_bends(bend.child, child_frame, t, rule)


def _allowance(bend: Bend, t: float, rule: BendRule) -> float:
    if bend.width <= COINCIDENT:
        raise SheetError(f"the bend to flange {bend.child.name} has no width")
    try:
        return rule.allowance(t, bend.inside_radius, abs(bend.angle_deg))
    except ValueError as error:
        raise SheetError(f"the bend to flange {bend.child.name}: {error}") from error


def _merged_outline(root: Flange, joined: tuple[_Joined, ...]) -> Contour:
    closed = [*root.outline.vertices, root.outline.vertices[0]]
    corners = list(_traced(root, closed, FlatFrame(), joined))[:-1]
    return Contour(tuple(_without_idle_corners(corners)))


def _traced(
    flange: Flange, corners: list[Vertex], frame: FlatFrame, joined: tuple[_Joined, ...]
) -> Iterator[Vertex]:
    """An open run of the flange's corners in the flat, with a detour round every child."""
    own = [j for j in joined if j.parent is flange and j.frame == frame]
    found = 0
    for a, b in pairwise(corners):
        yield _placed(a, frame)
        for j in _bends_on(a, b, own):
            found += 1
            yield _placed(Vertex(*j.bend.start), frame)
            yield from _traced(j.bend.child, _opened(j.bend), j.child_frame, joined)
            yield _placed(Vertex(*j.bend.end), frame)
    if found != len(own):
        raise SheetError(f"flange {flange.name}: a bend is not on one straight edge of its outline")
    yield _placed(corners[-1], frame)


def _placed(vertex: Vertex, frame: FlatFrame) -> Vertex:
    return Vertex(*frame.point((vertex.x, vertex.y)), vertex.bulge)


def _bends_on(a: Vertex, b: Vertex, own: list[_Joined]) -> list[_Joined]:
    """The bends that leave the straight edge a -> b, in the order in which they are passed."""
    size = math.hypot(b.x - a.x, b.y - a.y)
    if a.bulge != 0.0 or size <= COINCIDENT:
        return []
    along = ((b.x - a.x) / size, (b.y - a.y) / size)
    spans = []
    for j in own:
        (first, off1), (last, off2) = (_on_line(p, a, along) for p in (j.bend.start, j.bend.end))
        on_edge = max(abs(off1), abs(off2)) <= COINCIDENT
        if on_edge and -COINCIDENT <= first < last <= size + COINCIDENT:
            spans.append((first, last, j))
    spans.sort(key=lambda span: span[0])
    for (_, end, one), (start, _, other) in pairwise(spans):
        if start < end - COINCIDENT:
            names = f"{one.bend.child.name} and {other.bend.child.name}"
            raise SheetError(f"the bends to flanges {names} overlap by {end - start:.3f} mm")
    return [j for _, _, j in spans]


def _on_line(point: Vec2, a: Vertex, along: Vec2) -> Vec2:
    """A point as (distance along, distance left of) the line from `a`."""
    dx, dy = point[0] - a.x, point[1] - a.y
    return (dx * along[0] + dy * along[1], dy * along[0] - dx * along[1])


def _opened(bend: Bend) -> list[Vertex]:
    """The child's corners from the far end of its attached edge round to its origin."""
    child, width = bend.child, bend.width
    corners = child.outline.vertices
    if child.outline.bounds[1] < -COINCIDENT:
        raise SheetError(f"flange {child.name} reaches below y = 0, into its own bend")
    for i, (a, b) in enumerate(child.outline.segments()):
        on_axis = a.bulge == 0.0 and max(abs(a.y), abs(b.y)) <= COINCIDENT
        if on_axis and a.x <= COINCIDENT and b.x >= width - COINCIDENT:
            return [Vertex(width, 0.0), *corners[i + 1 :], *corners[: i + 1], Vertex(0.0, 0.0)]
    raise SheetError(f"flange {child.name} has no edge on y = 0 from 0 to its bend's width {width:.3f} mm")


def _without_idle_corners(corners: list[Vertex]) -> Iterator[Vertex]:
    """The corners without doubles and without those in the middle of a straight line."""
    kept = [a for a, b in zip(corners, corners[1:] + corners[:1], strict=True) if not _is_double(a, b)]
    for i, corner in enumerate(kept):
        before, after = kept[i - 1], kept[(i + 1) % len(kept)]
        if before.bulge != 0.0 or corner.bulge != 0.0 or _turns(before, corner, after):
            yield corner


def _is_double(a: Vertex, b: Vertex) -> bool:
    return a.bulge == 0.0 and math.hypot(b.x - a.x, b.y - a.y) <= COINCIDENT


def _turns(before: Vertex, corner: Vertex, after: Vertex) -> bool:
    """Whether the way turns at the corner, or runs back on itself."""
    ux, uy = corner.x - before.x, corner.y - before.y
    vx, vy = after.x - corner.x, after.y - corner.y
    off = abs(ux * vy - uy * vx) / math.hypot(ux + vx, uy + vy) if (ux + vx or uy + vy) else math.inf
    return off > COINCIDENT or ux * vx + uy * vy < 0


def _checked(outline: Contour, number: str) -> Contour:
    crossing = self_crossing(outline)
    if crossing is not None:
        at = f"({crossing[0]:.3f}, {crossing[1]:.3f})"
        raise SheetError(f"{number}: self-intersecting outline in the flat at {at} of the root flange")
    if outline.area <= 0:
        raise SheetError(f"{number}: the outline runs clockwise; material lies to the left of it")
    return outline


def _moved(frame: FlatFrame, dx: float, dy: float) -> FlatFrame:
    return replace(frame, origin=(frame.origin[0] + dx, frame.origin[1] + dy))


def _bend_line(tag: str, joined: _Joined, rule: BendRule, t: float, low: Vec2) -> BendLine:
    bend, half = joined.bend, joined.allowance / 2
    frame = _moved(joined.child_frame, -low[0], -low[1])
    return BendLine(
        tag,
        joined.parent.name,
        bend.child.name,
        frame.point((bend.width, -half)),
        frame.point((0.0, -half)),
        "up" if bend.angle_deg > 0 else "down",
        abs(bend.angle_deg),
        bend.inside_radius,
        joined.allowance,
        bend_deduction(rule, t, bend.inside_radius, abs(bend.angle_deg)),
    )


def _placed_holes(frames: list[tuple[Flange, FlatFrame]]) -> tuple[PlacedHole, ...]:
    groups: dict[tuple[object, ...], list[PlacedHole]] = {}
    for flange, frame in frames:
        for hole in flange.holes:
            group = groups.setdefault(_likeness(hole), [])
            tag = f"{_letters(list(groups).index(_likeness(hole)))}{len(group) + 1}"
            group.append(PlacedHole(tag, flange.name, frame.hole(hole), hole))
    return tuple(placed for group in groups.values() for placed in group)


def _likeness(hole: Hole) -> tuple[object, ...]:
    """What two holes share that bear the same letter; rounded so that rounding cannot part them."""
    if isinstance(hole, RoundHole):
        return (hole.kind, hole.size, round(hole.diameter, 4))
    if isinstance(hole, Slot):
        return (hole.kind, hole.size, round(hole.width, 4), round(hole.length, 4))
    return (hole.kind, hole.size, round(hole.width, 4), round(hole.radius, 4), _sweep(hole))


def _sweep(slot: ArcSlot) -> float:
    return round(slot.end_deg - slot.start_deg, 4)


def _letters(index: int) -> str:
    rank, letter = divmod(index, len(HOLE_LETTERS))
    return (_letters(rank - 1) if rank else "") + HOLE_LETTERS[letter]
