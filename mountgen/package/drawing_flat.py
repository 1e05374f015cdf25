"""The flat pattern as a dimensioned view: outline, holes, bend lines, ordinates, overall size, tags.

Holes and bend lines are dimensioned along the lower and the left edge, corners of the outline along the
upper and the right one, all from the datum corner at the lower left.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from mountgen.geometry import Contour, Vec2, Vertex
from mountgen.package.drawing_corners import Corner, corners, is_rectangle
from mountgen.package.drawing_labels import Patch, Segment, Surroundings, Wish, draw_labels, place_labels
from mountgen.package.drawing_ordinates import (
    PITCH,
    SAME,
    Edge,
    Ordinate,
    depth,
    draw_ordinates,
    merged,
    ordinate_words,
)
from mountgen.package.drawing_words import bend_note, length
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
    """A flat pattern with its four rows of ordinates, placed on the paper."""

    flat: FlatPattern
    units: System
    window: Window
    rows: tuple[tuple[Edge, tuple[Ordinate, ...]], ...]

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


def plan_flat(flat: FlatPattern, units: System, window: Window, room: Vec2) -> FlatView:
    """The view with its ordinates, ready to be measured or drawn.

    A row that would be longer than the paper in `room` (across, up) is left out: the
    tables hold its values.
    """
    low = window.point((0.0, 0.0))
    high = window.point(flat.size)
    edges = (Edge("bottom", low[1]), Edge("left", low[0]), Edge("top", high[1]), Edge("right", high[0]))
    features = list(_features(flat, window))
    turns = [] if is_rectangle(flat.outline) else list(corners(flat.outline))
    rows = []
    for edge in edges:
        axis = 0 if edge.side in ("bottom", "top") else 1
        if edge.side in ("bottom", "left"):
            row = merged(_feature_row(features, axis, units, window), edge)
        else:
            row = merged(_corner_row(turns, axis, flat.size[axis], units, window), edge)
        rows.append((edge, tuple(row if len(row) * PITCH <= room[axis] else ())))
    return FlatView(flat, units, window, tuple(rows))


@dataclass(frozen=True)
class _Feature:
    """Something with an ordinate: its real place, which axes, and its reach on the paper."""

    at: Vec2
    axes: tuple[int, ...]
    reach: float


def _features(flat: FlatPattern, window: Window) -> Iterator[_Feature]:
    yield _Feature((0.0, 0.0), (0, 1), 0.0)
    for placed in flat.holes:
        yield _Feature(placed.hole.centre, (0, 1), hole_reach(placed, window))
    for bend in flat.bend_lines:
        axes = tuple(axis for axis in (0, 1) if abs(bend.start[axis] - bend.end[axis]) <= SAME)
        yield _Feature((min(bend.start[0], bend.end[0]), min(bend.start[1], bend.end[1])), axes, 0.0)


def hole_reach(placed: PlacedHole, window: Window) -> float:
    """How far a hole reaches from its centre on the paper; of an arc slot, its centre mark."""
    if isinstance(placed.hole, ArcSlot):
        return OVERSHOOT
    x0, y0, x1, y1 = placed.hole.contour.bounds
    return window.scale * max(x1 - x0, y1 - y0) / 2


def _feature_row(features: list[_Feature], axis: int, units: System, window: Window) -> Iterator[Ordinate]:
    for feature in features:
        if axis in feature.axes:
            along = window.point(feature.at)[axis]
            towards = 1.0 if axis == 0 else -1.0
            start = window.point(feature.at)[1 - axis] + towards * feature.reach
            value = feature.at[axis]
            yield Ordinate(value, length(value, units), along, start)


def _corner_row(
    turns: list[Corner], axis: int, full: float, units: System, window: Window
) -> Iterator[Ordinate]:
    """Corners that lie neither on the datum nor at the full size, which is dimensioned apart."""
    for corner in turns:
        value = corner.at[axis]
        if SAME < value < full - SAME:
            point = window.point(corner.at)
            yield Ordinate(value, length(value, units), point[axis], point[1 - axis])


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


def draw_flat(view: FlatView, area: Patch) -> list[str]:
    """All marks of the view; tags stay inside `area`."""
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
    return marks + draw_overall(view) + draw_labels(place_labels(*_tags(view, area)))


def draw_overall(view: FlatView) -> list[str]:
    """Dimension lines with arrows for the overall width and height."""
    above, right = overall_places(view)
    (x0, y0), (x1, y1) = view.patch.low, view.patch.high
    marks = [
        *(line((x, y0 - 1.0), (x, above - 1.5), NARROW, "leader") for x in (x0, x1)),
        line((x0, above), (x1, above)),
        arrow((x0, above), (-1.0, 0.0)),
        arrow((x1, above), (1.0, 0.0)),
        *(line((x1 + 1.0, y), (right + 1.5, y), NARROW, "leader") for y in (y0, y1)),
        line((right, y0), (right, y1)),
        arrow((right, y0), (0.0, -1.0)),
        arrow((right, y1), (0.0, 1.0)),
    ]
    return marks + [words(text, "overall") for text in overall_words(view)]


def bend_segment(bend: BendLine, window: Window) -> Segment:
    return (window.point(bend.start), window.point(bend.end))


def centre_lines(placed: PlacedHole, window: Window) -> list[Segment]:
    """An upright cross through the hole, running a little past it."""
    x, y = window.point(placed.hole.centre)
    if isinstance(placed.hole, ArcSlot):
        across = up = OVERSHOOT
    else:
        x0, y0, x1, y1 = placed.hole.contour.bounds
        across = window.scale * (x1 - x0) / 2 + OVERSHOOT
        up = window.scale * (y1 - y0) / 2 + OVERSHOOT
    cross = [((x - across, y), (x + across, y)), ((x, y - up), (x, y + up))]
    if isinstance(placed.hole, Slot) and placed.hole.angle_deg % 90.0:
        return [((x - OVERSHOOT, y), (x + OVERSHOOT, y)), ((x, y - OVERSHOOT), (x, y + OVERSHOOT))]
    return cross


def _slot_arc(hole: ArcSlot, window: Window) -> str:
    centre, radius = window.point(hole.centre), window.scale * hole.radius
    return arc(centre, radius, (hole.start_deg, hole.end_deg), CENTRE, "centre")


def _tags(view: FlatView, area: Patch) -> tuple[list[Wish], Surroundings]:
    """Every tag of the view, with what the tags keep clear of."""
    window, flat = view.window, view.flat
    wishes = [_hole_wish(placed, window) for placed in flat.holes]
    wishes += [_bend_wish(bend, view) for bend in flat.bend_lines]
    if not is_rectangle(flat.outline):
        wishes += [Wish(c.tag, window.point(c.at), 1.0) for c in corners(flat.outline)]
    return wishes, _surroundings(view, area)


def _hole_wish(placed: PlacedHole, window: Window) -> Wish:
    if isinstance(placed.hole, ArcSlot):
        hole = placed.hole
        middle = (hole.start_deg + hole.end_deg) / 2
        middle_slot = ArcSlot(hole.centre, hole.radius, hole.width, middle - 0.1, middle + 0.1)
        x0, y0, x1, y1 = middle_slot.contour.bounds
        at = ((x0 + x1) / 2, (y0 + y1) / 2)
        return Wish(placed.tag, window.point(at), window.scale * hole.width / 2 + 0.5)
    return Wish(placed.tag, window.point(placed.hole.centre), hole_reach(placed, window) + 0.3)


def _bend_wish(bend: BendLine, view: FlatView) -> Wish:
    """A bend is labelled at a third of its length, off the middle where holes often stand."""
    x = bend.start[0] + (bend.end[0] - bend.start[0]) / 3
    y = bend.start[1] + (bend.end[1] - bend.start[1]) / 3
    return Wish(bend_note(bend, view.units), view.window.point((x, y)), 0.3, "bend-note")


def _surroundings(view: FlatView, area: Patch) -> Surroundings:
    patches: list[Patch] = []
    lines: list[Segment] = [bend_segment(bend, view.window) for bend in view.flat.bend_lines]
    for placed in view.flat.holes:
        patches.extend(_hole_patches(placed, view.window))
        lines.extend(centre_lines(placed, view.window))
    texts = [t for edge, row in view.rows for t in ordinate_words(row, edge)]
    patches += [text_patch(text) for text in (*texts, *overall_words(view))]
    x, y = view.window.point((0.0, 0.0))
    patches.append(Patch((x - DATUM_RADIUS, y - DATUM_RADIUS), (x + DATUM_RADIUS, y + DATUM_RADIUS)))
    outline = view.window.contour(view.flat.outline)
    lines += [((a.x, a.y), (b.x, b.y)) for a, b in outline.segments()]
    for edge, row in view.rows:
        lines += [_inner_leader(o, edge) for o in row]
    return Surroundings(area, tuple(patches), tuple(lines))


def _inner_leader(ordinate: Ordinate, edge: Edge) -> Segment:
    return (edge.point(ordinate.along, ordinate.start), edge.point(ordinate.along, edge.across))


def _hole_patches(placed: PlacedHole, window: Window) -> Iterator[Patch]:
    """Rectangles over a hole; an arc slot is covered piece by piece."""
    pieces = [placed.hole]
    if isinstance(placed.hole, ArcSlot):
        pieces = list(_arc_pieces(placed.hole))
    for piece in pieces:
        x0, y0, x1, y1 = window.contour(piece.contour).bounds
        yield Patch((x0, y0), (x1, y1))


def _arc_pieces(hole: ArcSlot) -> Iterator[ArcSlot]:
    count = max(1, round((hole.end_deg - hole.start_deg) / 15.0))
    step = (hole.end_deg - hole.start_deg) / count
    for i in range(count):
        a = hole.start_deg + i * step
        yield ArcSlot(hole.centre, hole.radius, hole.width, a, a + step)
