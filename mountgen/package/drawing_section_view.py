"""A section on paper: hatched, with outside lengths, inside radii, angles between the legs, and thickness.

Lengths stand beside their flange, on the outer side of its bends where there is room. What a press brake's
operator measures is dimensioned: the angle is that between the legs, not the one the sheet is turned through.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from mountgen.geometry import Vec2, cos_deg, sin_deg
from mountgen.package.drawing_flat import Window, text_patch
from mountgen.package.drawing_hatch import chords, hatching
from mountgen.package.drawing_labels import (
    Label,
    Patch,
    Segment,
    Surroundings,
    Wish,
    cross_each_other,
    draw_labels,
    place_labels,
)
from mountgen.package.drawing_section import Fold, Leg, Section, legs, pieces, profile
from mountgen.package.drawing_words import angle, length
from mountgen.package.svg import NARROW, SMALL, VISIBLE, Words, arc, arrow, curve, line, words
from mountgen.package.svg_text import text_width
from mountgen.units import System

OFFSETS = (7.0, 12.0, 17.0, 23.0, 30.0)
"""mm of paper from a flange to its dimension line, tried in this order."""
ROOM = 40.0
"""mm of paper round the section in which labels may stand."""
ANGLE_RADIUS = 9.0
"""mm of paper, of an angle's dimension line about the corner of the inner faces."""
LONG_ENOUGH = 8.0
"""mm of paper; arrows stand outside of a shorter dimension line."""
STUB = 5.0
PIECE = 3.0
"""mm of paper; labels keep off the section piece by piece."""
WRONG_SIDE, ON_TEXT, CROSSING = 3.0, 10.0, 2.0
"""What a place for a dimension loses: on the inner side of a bend, text on something, lines crossing."""


@dataclass(frozen=True)
class _Dimension:
    """A length on the paper: the dimension line, its extension lines, and its text."""

    span: Segment
    extensions: tuple[Segment, Segment]
    text: Words

    @property
    def patch(self) -> Patch:
        return text_patch(self.text)

    def marks(self) -> Iterator[str]:
        (a, b), size = self.span, math.dist(*self.span)
        way = ((b[0] - a[0]) / size, (b[1] - a[1]) / size)
        outwards = 1.0 if size >= LONG_ENOUGH else -1.0
        stub = 0.0 if size >= LONG_ENOUGH else STUB
        start = (a[0] - stub * way[0], a[1] - stub * way[1])
        yield line(start, (b[0] + stub * way[0], b[1] + stub * way[1]))
        yield arrow(a, (-outwards * way[0], -outwards * way[1]))
        yield arrow(b, (outwards * way[0], outwards * way[1]))
        yield from (line(*extension, NARROW, "leader") for extension in self.extensions)
        yield words(self.text, "outside")


@dataclass(frozen=True)
class _Angle:
    """The angle between two legs, about the corner that their inner faces would make."""

    centre: Vec2
    span_deg: Vec2
    text: str
    sides: tuple[Segment, ...]

    def point(self, turn_deg: float) -> Vec2:
        (x, y), r = self.centre, ANGLE_RADIUS
        return (x + r * cos_deg(turn_deg), y - r * sin_deg(turn_deg))

    def marks(self) -> Iterator[str]:
        yield arc(self.centre, ANGLE_RADIUS, self.span_deg, NARROW, "angle-arc")
        for turn, way in zip(self.span_deg, (-1.0, 1.0), strict=True):
            yield arrow(self.point(turn), (-way * sin_deg(turn), -way * cos_deg(turn)))
        yield from (line(*side, NARROW, "leader") for side in self.sides)

    @property
    def chords(self) -> list[Segment]:
        """The dimension line in four straight pieces."""
        low, high = self.span_deg
        return list(pairwise(self.point(low + k * (high - low) / 4) for k in range(5)))


@dataclass(frozen=True)
class SectionPlan:
    """A section placed on the paper."""

    section: Section
    window: Window
    outline: tuple[Vec2, ...]
    dimensions: tuple[_Dimension, ...]
    angles: tuple[_Angle, ...]
    labels: tuple[Label, ...]

    @property
    def covered(self) -> Patch:
        """The paper that everything covers."""
        points = [*self.outline]
        for one in self.dimensions:
            points += [*one.patch.low_high, *one.span, *(p for e in one.extensions for p in e)]
        for label in self.labels:
            points += label.patch.low_high
        for corner in self.angles:
            points += [p for chord in corner.chords for p in chord]
        xs, ys = zip(*points, strict=True)
        return Patch((min(xs) - STUB, min(ys)), (max(xs) + STUB, max(ys)))


def plan_section(section: Section, told: frozenset[str], units: System, window: Window) -> SectionPlan:
    """The section with its dimensions; flanges in `told` have their length in another section."""
    outline = tuple(window.point(p) for p in chords(profile(section)))
    dimensions: list[_Dimension] = []
    for k, name in enumerate(section.flanges):
        if name not in told:
            text = length(section.outside(k), units)
            dimensions.append(_best(section, k, text, window, (outline, dimensions)))
    angles = tuple(_angle(section, k, window) for k in range(len(section.folds)))
    wishes = list(_wishes(section, angles, units, window))
    taken = [_box([window.point(p) for p in piece]) for piece in pieces(section, PIECE / window.scale)]
    labels = place_labels(wishes, _surroundings(taken, outline, dimensions, angles))
    return SectionPlan(section, window, outline, tuple(dimensions), angles, tuple(labels))


def draw_section(plan: SectionPlan) -> Iterator[str]:
    """All marks of the section."""
    yield from (line(*one, NARROW, "hatch") for one in hatching(plan.outline))
    yield curve(plan.window.contour(profile(plan.section)), VISIBLE, f"section {plan.section.letter}")
    for dimension in plan.dimensions:
        yield from dimension.marks()
    for one in plan.angles:
        yield from one.marks()
    yield from draw_labels(plan.labels)


def _best(
    section: Section,
    k: int,
    text: str,
    window: Window,
    around: tuple[Sequence[Vec2], Sequence[_Dimension]],
) -> _Dimension:
    """The place for a flange's length that loses least, the first that loses nothing."""
    found: list[tuple[float, _Dimension]] = []
    for offset in _offsets(section, k, window):
        place = _dimension(section, k, text, window, offset)
        found.append((_loss(place, around) + _wrong_side(section, k, offset), place))
        if found[-1][0] == 0.0:
            break
    return min(found, key=lambda one: one[0])[1]


def _offsets(section: Section, k: int, window: Window) -> Iterator[float]:
    """Near the flange on either side, then beyond all of the section; mm of paper."""
    yield from (side * offset for offset in OFFSETS for side in (-1.0, 1.0))
    leg = legs(section)[k]
    s, c = sin_deg(leg.turn_deg), cos_deg(leg.turn_deg)
    heights = [(x - leg.start[0]) * -s + (y - leg.start[1]) * c for x, y in chords(profile(section))]
    yield window.scale * min(heights) - OFFSETS[0]
    yield window.scale * (max(heights) - leg.thickness) + OFFSETS[0]


def _wrong_side(section: Section, k: int, side: float) -> float:
    """A bend turns towards its inner side."""
    beside = [section.folds[i] for i in (k - 1, k) if 0 <= i < len(section.folds)]
    return sum(WRONG_SIDE for fold in beside if fold.turn_deg * side > 0)


def _dimension(section: Section, k: int, text: str, window: Window, offset: float) -> _Dimension:
    """A flange's length `offset` mm of paper off it, over its upper side when positive."""
    leg, (before, after) = legs(section)[k], section.setbacks(k)
    side = math.copysign(1.0, offset)
    face = leg.thickness if side > 0 else 0.0
    level = face + offset / window.scale
    ends = ((-before, _outer(section, k - 1, leg, face)), (leg.length + after, _outer(section, k, leg, face)))
    span = (window.point(leg.point(ends[0][0], level)), window.point(leg.point(ends[1][0], level)))
    gap, over = side / window.scale, side * 1.5 / window.scale
    extensions = tuple(
        (window.point(leg.point(along, up + gap)), window.point(leg.point(along, level + over)))
        for along, up in ends
    )
    return _Dimension(span, (extensions[0], extensions[1]), _beside(span, text, leg, side))


def _outer(section: Section, fold: int, leg: Leg, face: float) -> float:
    """Height of the face that a fold's outside length runs to; of a free end the nearer one."""
    if not 0 <= fold < len(section.folds):
        return face
    return 0.0 if section.folds[fold].turn_deg > 0 else leg.thickness


def _beside(span: Segment, text: str, leg: Leg, side: float) -> Words:
    """The text over a lying dimension line, left of an upright one, beyond a slanting one."""
    middle = ((span[0][0] + span[1][0]) / 2, (span[0][1] + span[1][1]) / 2)
    if abs(sin_deg(leg.turn_deg)) < 1e-9:
        return Words(text, (middle[0], middle[1] - 1.0), SMALL, "middle")
    if abs(cos_deg(leg.turn_deg)) < 1e-9:
        return Words(text, (middle[0] - 1.0, middle[1]), SMALL, "middle", turned=True)
    normal = (-side * sin_deg(leg.turn_deg), -side * cos_deg(leg.turn_deg))
    off = abs(normal[0]) * text_width(text, SMALL) / 2 + abs(normal[1]) * SMALL / 2 + 1.2
    at = (middle[0] + off * normal[0], middle[1] + off * normal[1] + SMALL / 2)
    return Words(text, at, SMALL, "middle")


def _loss(one: _Dimension, around: tuple[Sequence[Vec2], Sequence[_Dimension]]) -> float:
    outline, others = around
    own = [one.span, *one.extensions]
    drawn = [
        *pairwise(outline),
        *(segment for other in others for segment in (other.span, *other.extensions)),
    ]
    patch, taken = one.patch, [other.patch for other in others]
    text = sum(patch.crossed_by(segment) for segment in drawn)
    text += sum(patch.overlaps(other) for other in taken)
    text += sum(other.crossed_by(segment) for other in taken for segment in own)
    crossed = sum(cross_each_other(a, b) for a in own for b in drawn)
    return ON_TEXT * text + CROSSING * crossed


def _angle(section: Section, k: int, window: Window) -> _Angle:
    """Between the flanges before and after a fold, measured inside."""
    fold, (before, after) = section.folds[k], legs(section)[k : k + 2]
    up = before.thickness if fold.turn_deg > 0 else 0.0
    reach = fold.inside_radius * math.tan(math.radians(abs(fold.turn_deg)) / 2)
    corner = before.point(before.length + reach, up)
    ways = (before.turn_deg + 180.0, after.turn_deg)
    low = ways[1] if fold.turn_deg > 0 else ways[0]
    between = 180.0 - abs(fold.turn_deg)
    centre = window.point(corner)
    sides = tuple(
        (_off(centre, way, window.scale * (leg.length + reach) + 1.0), _off(centre, way, ANGLE_RADIUS + 1.5))
        for way, leg in zip(ways, (before, after), strict=True)
        if window.scale * (leg.length + reach) < ANGLE_RADIUS
    )
    return _Angle(centre, (low, low + between), angle(between), sides)


def _off(at: Vec2, turn_deg: float, by: float) -> Vec2:
    return (at[0] + by * cos_deg(turn_deg), at[1] - by * sin_deg(turn_deg))


def _wishes(section: Section, angles: Sequence[_Angle], units: System, window: Window) -> Iterator[Wish]:
    placed = legs(section)
    for fold, one, leg in zip(section.folds, angles, placed, strict=False):
        yield Wish(one.text, one.point(sum(one.span_deg) / 2), 0.3, f"between {fold.tag}")
        text = f"{fold.tag} R{length(fold.inside_radius, units)}"
        yield Wish(text, _inside_middle(fold, leg, window), 0.3, f"inside {fold.tag}")
    free = placed[0]
    end = window.point(free.point(0.0, free.thickness / 2))
    yield Wish(f"t {length(section.thickness, units)}", end, 0.3, "thickness")


def _inside_middle(fold: Fold, leg: Leg, window: Window) -> Vec2:
    """The point halfway round the inside of a fold that follows a flange."""
    turn_deg, radius = fold.turn_deg, fold.inside_radius
    up = leg.thickness + radius if turn_deg > 0 else -radius
    x, y = leg.point(leg.length, up)
    towards = leg.turn_deg + turn_deg / 2 - math.copysign(90.0, turn_deg)
    return window.point((x + radius * cos_deg(towards), y + radius * sin_deg(towards)))


def _surroundings(
    taken: Sequence[Patch],
    outline: Sequence[Vec2],
    dimensions: Sequence[_Dimension],
    angles: Sequence[_Angle],
) -> Surroundings:
    """Labels keep off the hatching, the dimensions and the angles."""
    box = _box(outline)
    area = Patch((box.low[0] - ROOM, box.low[1] - ROOM), (box.high[0] + ROOM, box.high[1] + ROOM))
    lines = [*pairwise(outline)]
    for one in dimensions:
        lines += [one.span, *one.extensions]
    for corner in angles:
        lines += [*corner.chords, *corner.sides]
    return Surroundings(area, (*taken, *(one.patch for one in dimensions)), tuple(lines))


def _box(points: Sequence[Vec2]) -> Patch:
    xs, ys = zip(*points, strict=True)
    return Patch((min(xs), min(ys)), (max(xs), max(ys)))
