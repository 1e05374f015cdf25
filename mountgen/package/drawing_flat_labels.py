"""The labels of a flat pattern: tags of holes and bends, radii, rises and angles of the outline.

A corner bears a tag only where the table of corners is needed. Roles of the marks tell what a label belongs
to: `radius P3`, `rise P3` and `angle P3` are those of the corner P3, or of the edge that leaves it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from mountgen.geometry import Vec2, Vertex, arc_of, cos_deg, sin_deg
from mountgen.package.drawing_flat import (
    DATUM_RADIUS,
    FlatView,
    Window,
    bend_segment,
    centre_lines,
    hole_reach,
    overall_lines,
    overall_words,
    text_patch,
)
from mountgen.package.drawing_labels import Patch, Segment, Surroundings, Wish, draw_labels, place_labels
from mountgen.package.drawing_ordinates import leaders, ordinate_words
from mountgen.package.drawing_outline import (
    Slant,
    arc_middle,
    rise,
    rounding_middle,
    told_by_radius,
)
from mountgen.package.drawing_words import angle, bend_note, length
from mountgen.package.svg import NARROW, arc, line
from mountgen.sheet.flat import BendLine, PlacedHole
from mountgen.sheet.tree import ArcSlot

ANGLE_RADIUS = 6.0
"""mm of paper, of the arc that shows an angle."""
CHORDS = 8
"""Straight pieces for an arc of the outline that labels keep off."""


@dataclass(frozen=True)
class _Angle:
    """The mark of a slanting edge's angle: an arc from a horizontal line to the edge, about a corner."""

    tag: str
    corner: Vec2
    span_deg: Vec2
    text: str

    @staticmethod
    def of(slant: Slant, view: FlatView) -> _Angle:
        start, end = (view.sizes.corners[i] for i in slant.ends)
        dx, dy = end.at[0] - start.at[0], end.at[1] - start.at[1]
        level, edge = (0.0 if dx > 0 else math.copysign(180.0, dy)), math.degrees(math.atan2(dy, dx))
        span = (min(level, edge), max(level, edge))
        return _Angle(start.tag, view.window.point(start.at), span, angle(slant.angle_deg))

    def point(self, turn_deg: float, radius: float) -> Vec2:
        (x, y), r = self.corner, radius
        return (x + r * cos_deg(turn_deg), y - r * sin_deg(turn_deg))

    def marks(self) -> list[str]:
        level = min(self.span_deg, key=lambda turn: abs(turn % 180.0))
        end = self.point(level, ANGLE_RADIUS + 2.0)
        return [
            line(self.corner, end, NARROW, "level"),
            arc(self.corner, ANGLE_RADIUS, self.span_deg, NARROW, "angle-arc"),
        ]

    def wish(self) -> Wish:
        return Wish(self.text, self.point(sum(self.span_deg) / 2, ANGLE_RADIUS), 0.3, f"angle {self.tag}")


def draw_flat_labels(view: FlatView, area: Patch) -> list[str]:
    """Every label of the view, inside `area`."""
    angles = [_Angle.of(slant, view) for slant in view.sizes.slants]
    marks = [mark for one in angles for mark in one.marks()]
    wishes = [*_tags(view), *_sizes(view), *(one.wish() for one in angles)]
    return marks + draw_labels(place_labels(wishes, _surroundings(view, area)))


def has_corner_table(view: FlatView) -> bool:
    """Whether an ordinate of a corner stands in the tables."""
    return any(axis in view.tabled for _, axis in view.sizes.ordinates)


def _tags(view: FlatView) -> Iterator[Wish]:
    yield from (_hole_wish(placed, view) for placed in view.flat.holes)
    yield from (_bend_wish(bend, view) for bend in view.flat.bend_lines)
    if has_corner_table(view):
        yield from (Wish(c.tag, view.window.point(c.at), 1.0) for c in view.sizes.corners)


def _sizes(view: FlatView) -> Iterator[Wish]:
    """Radii that differ from the general one, and arcs that are edges."""
    found, window = view.sizes.corners, view.window
    for i in view.sizes.own_radii:
        text = f"R{length(found[i].radius, view.units)}" if found[i].radius else "sharp"
        yield Wish(text, window.point(rounding_middle(found, i)), 0.3, f"radius {found[i].tag}")
    for i in view.sizes.arcs:
        edge = found[i].leaves_by
        assert edge is not None
        at = window.point(arc_middle(edge))
        if told_by_radius(edge):
            yield Wish(f"R{length(edge.radius, view.units)}", at, 0.3, f"radius {found[i].tag}")
        else:
            yield Wish(f"rise {length(rise(edge), view.units)}", at, 0.3, f"rise {found[i].tag}")


def _hole_wish(placed: PlacedHole, view: FlatView) -> Wish:
    window = view.window
    if isinstance(placed.hole, ArcSlot):
        hole = placed.hole
        middle = (hole.start_deg + hole.end_deg) / 2
        middle_slot = ArcSlot(hole.centre, hole.radius, hole.width, middle - 0.1, middle + 0.1)
        x0, y0, x1, y1 = middle_slot.contour.bounds
        at = ((x0 + x1) / 2, (y0 + y1) / 2)
        return Wish(placed.tag, window.point(at), window.scale * hole.width / 2 + 0.5)
    return Wish(placed.tag, window.point(placed.hole.centre), max(hole_reach(placed, window)) + 0.3)


def _bend_wish(bend: BendLine, view: FlatView) -> Wish:
    """A bend is labelled at a third of its length, off the middle where holes often stand."""
    x = bend.start[0] + (bend.end[0] - bend.start[0]) / 3
    y = bend.start[1] + (bend.end[1] - bend.start[1]) / 3
    return Wish(bend_note(bend), view.window.point((x, y)), 0.3, "bend-note")


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
    lines += [line for a, b in view.flat.outline.segments() for line in _chords(a, b, view)]
    for edge, row in view.rows:
        lines += [segment for leader in leaders(row, edge) for segment in pairwise(leader)]
    lines += overall_lines(view)
    return Surroundings(area, tuple(patches), tuple(lines))


def _chords(a: Vertex, b: Vertex, view: FlatView) -> Iterator[Segment]:
    """A segment of the outline on the paper; an arc as a few straight pieces."""
    points = [(a.x, a.y), (b.x, b.y)]
    if a.bulge:
        edge = arc_of(a, b)
        step = (edge.end_deg - edge.start_deg) / CHORDS
        turns = [edge.start_deg + step * k for k in range(CHORDS + 1)]
        (x, y), r = edge.centre, edge.radius
        points = [(x + r * cos_deg(turn), y + r * sin_deg(turn)) for turn in turns]
    yield from pairwise(view.window.point(point) for point in points)


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
