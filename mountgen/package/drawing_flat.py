"""The flat pattern as a dimensioned view: outline, holes, bend lines, ordinates, overall size.

Holes and bend lines are dimensioned along the lower and the left edge, corners of the outline along the
upper and the right one, all from the datum corner at the lower left. A corner in line with a hole or a
bend line shares its ordinate: nothing is dimensioned twice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from mountgen.geometry import Contour, Vec2, Vertex
from mountgen.package.drawing_labels import Patch, Segment
from mountgen.package.drawing_ordinates import (
    PITCH,
    Edge,
    Ordinate,
    depth,
    draw_ordinates,
    is_one,
    merged,
    ordinate_words,
)
from mountgen.package.drawing_outline import OutlineSizes, bend_axes, feature_values, outline_sizes
from mountgen.package.drawing_words import length
from mountgen.package.svg import (
    BEND,
    CENTRE,
    NARROW,
    SMALL,
    VISIBLE,
    Words,
    arc,
    arrow,
    curve,
    line,
    ring,
    words,
)
from mountgen.package.svg_text import DESCENT_SHARE, text_width
from mountgen.sheet.flat import BendLine, FlatPattern, PlacedHole
from mountgen.sheet.tree import ArcSlot, Slot
from mountgen.units import System

DIMENSION_GAP = 6.0
"""mm between the outermost row of ordinates, or the outline, and an overall dimension line."""
OVERSHOOT = 2.0
"""mm that a centre line runs past its hole."""
DATUM_RADIUS = 1.5
CROWDED = 0.45
"""mm of paper; leaders of one row closer than this cannot be told apart."""
ONE_LINE = 0.1
"""mm of paper; leaders of opposite rows closer than this look like one."""


@dataclass(frozen=True)
class Window:
    """Where the datum corner stands on the paper, and paper mm for one real mm."""

    origin: Vec2
    scale: float

    def point(self, real: Vec2) -> Vec2:
        return (self.origin[0] + self.scale * real[0], self.origin[1] - self.scale * real[1])

    def contour(self, real: Contour) -> Contour:
        """A real contour on the paper; y is turned over, so bulges change sign."""
        points = ((self.point((v.x, v.y)), -v.bulge) for v in real.vertices)
        return Contour(tuple(Vertex(x, y, bulge) for (x, y), bulge in points))


@dataclass(frozen=True)
class FlatView:
    """A flat pattern with its four rows of ordinates, placed on the paper.

    `tabled` are the axes without ordinates: their values stand in the tables.
    """

    flat: FlatPattern
    sizes: OutlineSizes
    units: System
    window: Window
    rows: tuple[tuple[Edge, tuple[Ordinate, ...]], ...]
    tabled: frozenset[int]

    @property
    def patch(self) -> Patch:
        """The paper that the outline covers."""
        x0, y0 = self.window.point((0.0, self.flat.size[1]))
        x1, y1 = self.window.point((self.flat.size[0], 0.0))
        return Patch((x0, y0), (x1, y1))

    @property
    def covered(self) -> Patch:
        """The paper that outline, ordinates and overall dimensions cover."""
        patches = [self.patch, *self._text_patches()]
        above, right = overall_places(self)
        low_x, low_y = (min(p.low[i] for p in patches) for i in (0, 1))
        high_x, high_y = (max(p.high[i] for p in patches) for i in (0, 1))
        return Patch((low_x, min(low_y, above - 2 * SMALL)), (max(high_x, right + SMALL), high_y))

    def _text_patches(self) -> list[Patch]:
        texts = [t for edge, row in self.rows for t in ordinate_words(row, edge)]
        return [text_patch(text) for text in (*texts, *overall_words(self))]


def text_patch(text: Words) -> Patch:
    """The paper that a text covers, letters below the baseline included."""
    width = text_width(text.text, text.height, bold=text.bold)
    before = {"start": 0.0, "middle": width / 2, "end": width}[text.anchor]
    rise, fall = text.height, DESCENT_SHARE * text.height
    x, y = text.at
    if text.turned:
        return Patch((x - rise, y + before - width), (x + fall, y + before))
    return Patch((x - before, y - rise), (x - before + width, y + fall))


@dataclass(frozen=True)
class FlatRequest:
    """A flat to draw: `tabled` are the axes whose values are to stand in tables whatever the room."""

    flat: FlatPattern
    units: System
    tabled: frozenset[int] = frozenset()


def plan_flat(request: FlatRequest, window: Window, room: Vec2) -> FlatView:
    """The view with its ordinates, ready to be measured or drawn.

    An axis is left to the tables when a row along it would be longer than the paper in `room` (across, up)
    or when two of its leaders could not be told apart.
    """
    flat, sizes = request.flat, outline_sizes(request.flat)
    low, high = window.point((0.0, 0.0)), window.point(flat.size)
    edges = (Edge("bottom", low[1]), Edge("left", low[0]), Edge("top", high[1]), Edge("right", high[0]))
    rows = {edge: tuple(_row(request, sizes, edge, window)) for edge in edges}
    poor = {edge.axis for edge, row in rows.items() if not _is_legible(row, room[edge.axis])}
    poor |= {
        axis for axis in (0, 1) if _are_mixed_up(*(row for edge, row in rows.items() if edge.axis == axis))
    }
    tabled = request.tabled | poor
    kept = tuple((edge, () if edge.axis in tabled else row) for edge, row in rows.items())
    return FlatView(flat, sizes, request.units, window, kept, frozenset(tabled))


def _row(request: FlatRequest, sizes: OutlineSizes, edge: Edge, window: Window) -> list[Ordinate]:
    """Holes and bend lines along the lower and left edge, with corners in line with them; the other corners
    along the upper and right edge."""
    axis, flat = edge.axis, request.flat
    shared = feature_values(flat, axis)
    wanted: list[_Feature] = []
    if edge.side in ("bottom", "left"):
        wanted += (feature for feature in _features(flat, window) if axis in feature.axes)
    for corner, along in sizes.ordinates:
        at = sizes.corners[corner].at
        in_line = any(is_one(value, at[axis]) for value in shared)
        if along == axis and in_line == (edge.side in ("bottom", "left")):
            wanted.append(_Feature(at, (axis,)))
    return merged((_ordinate(feature, axis, request.units, window) for feature in wanted), edge)


def _is_legible(row: Sequence[Ordinate], room: float) -> bool:
    apart = all(abs(b.along - a.along) >= CROWDED for a, b in pairwise(row))
    return apart and len(row) * PITCH <= room


def _are_mixed_up(one: Sequence[Ordinate], opposite: Sequence[Ordinate]) -> bool:
    return any(abs(a.along - b.along) < ONE_LINE for a in one for b in opposite)


@dataclass(frozen=True)
class _Feature:
    """Something with an ordinate: its real place, which axes, and its reach on the paper along each."""

    at: Vec2
    axes: tuple[int, ...]
    reach: Vec2 = (0.0, 0.0)


def _features(flat: FlatPattern, window: Window) -> Iterator[_Feature]:
    yield _Feature((0.0, 0.0), (0, 1))
    for placed in flat.holes:
        yield _Feature(placed.hole.centre, (0, 1), hole_reach(placed, window))
    for bend in flat.bend_lines:
        low = (min(bend.start[0], bend.end[0]), min(bend.start[1], bend.end[1]))
        yield _Feature(low, bend_axes(bend))


def hole_reach(placed: PlacedHole, window: Window) -> Vec2:
    """How far a hole reaches from its centre along x and y, on the paper; of an arc slot, its centre mark."""
    if isinstance(placed.hole, ArcSlot):
        return (OVERSHOOT, OVERSHOOT)
    x0, y0, x1, y1 = placed.hole.contour.bounds
    return (window.scale * (x1 - x0) / 2, window.scale * (y1 - y0) / 2)


def _ordinate(feature: _Feature, axis: int, units: System, window: Window) -> Ordinate:
    at = window.point(feature.at)
    towards = 1.0 if axis == 0 else -1.0
    value, start = feature.at[axis], at[1 - axis] + towards * feature.reach[1 - axis]
    return Ordinate(value, length(value, units), at[axis], start)


def overall_places(view: FlatView) -> Vec2:
    """y of the overall width's dimension line and x of the overall height's."""
    depths = {edge.side: depth(o.text for o in row) for edge, row in view.rows}
    above = view.patch.low[1] - depths["top"] - DIMENSION_GAP
    right = view.patch.high[0] + depths["right"] + DIMENSION_GAP
    return (above, right)


def overall_words(view: FlatView) -> list[Words]:
    """The overall width above its dimension line, the height left of its own."""
    above, right = overall_places(view)
    (x0, y0), (x1, y1) = view.patch.low, view.patch.high
    width, height = (length(size, view.units) for size in view.flat.size)
    return [
        Words(width, ((x0 + x1) / 2, above - 1.0), SMALL, "middle"),
        Words(height, (right - 1.0, (y0 + y1) / 2), SMALL, "middle", turned=True),
    ]


def draw_flat(view: FlatView) -> list[str]:
    """All marks of the view but its labels."""
    window, flat = view.window, view.flat
    marks = [curve(window.contour(flat.outline), VISIBLE, "outline")]
    for placed in flat.holes:
        marks.append(curve(window.contour(placed.hole.contour), VISIBLE, f"hole {placed.tag}"))
        marks.extend(line(*segment, CENTRE, "centre") for segment in centre_lines(placed, window))
        if isinstance(placed.hole, ArcSlot):
            marks.append(_slot_arc(placed.hole, window))
    marks.extend(line(*bend_segment(bend, window), BEND, "bend") for bend in flat.bend_lines)
    marks.append(ring(window.point((0.0, 0.0)), DATUM_RADIUS, NARROW, "datum"))
    for edge, row in view.rows:
        marks.extend(draw_ordinates(row, edge))
    return marks + draw_overall(view)


def draw_overall(view: FlatView) -> list[str]:
    """Dimension lines with arrows for the overall width and height."""
    above, right = overall_places(view)
    (x0, y0), (x1, y1) = view.patch.low, view.patch.high
    across, up, *extensions = overall_lines(view)
    marks = [
        *(line(*extension, NARROW, "leader") for extension in extensions),
        line(*across),
        arrow((x0, above), (-1.0, 0.0)),
        arrow((x1, above), (1.0, 0.0)),
        line(*up),
        arrow((right, y0), (0.0, -1.0)),
        arrow((right, y1), (0.0, 1.0)),
    ]
    return marks + [words(text, "overall") for text in overall_words(view)]


def overall_lines(view: FlatView) -> list[Segment]:
    """The two dimension lines, then their extension lines."""
    above, right = overall_places(view)
    (x0, y0), (x1, y1) = view.patch.low, view.patch.high
    return [
        ((x0, above), (x1, above)),
        ((right, y0), (right, y1)),
        *(((x, y0 - 1.0), (x, above - 1.5)) for x in (x0, x1)),
        *(((x1 + 1.0, y), (right + 1.5, y)) for y in (y0, y1)),
    ]


def bend_segment(bend: BendLine, window: Window) -> Segment:
    return (window.point(bend.start), window.point(bend.end))


def centre_lines(placed: PlacedHole, window: Window) -> list[Segment]:
    """An upright cross through the hole, running a little past it."""
    x, y = window.point(placed.hole.centre)
    if isinstance(placed.hole, ArcSlot) or (isinstance(placed.hole, Slot) and placed.hole.angle_deg % 90.0):
        across = up = OVERSHOOT
    else:
        across, up = (reach + OVERSHOOT for reach in hole_reach(placed, window))
    return [((x - across, y), (x + across, y)), ((x, y - up), (x, y + up))]


def _slot_arc(hole: ArcSlot, window: Window) -> str:
    centre, radius = window.point(hole.centre), window.scale * hole.radius
    return arc(centre, radius, (hole.start_deg, hole.end_deg), CENTRE, "centre")
