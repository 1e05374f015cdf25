"""Places for the tags of holes, corners and bends, so that none covers another mark.

A label tries places around its anchor, ring by ring, and takes the first that keeps clear of every
label placed before, of the round obstacles and of the lines. In a crowded spot lines may be crossed;
labels and obstacles are never covered.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from mountgen.geometry import Vec2
from mountgen.package.svg import NARROW, SMALL, Words, arrow, line, words
from mountgen.package.svg_text import text_width

GAP = 0.85
"""mm kept free around a label: more than letters reach below their line."""
RINGS = {"clear": 20, "over lines": 30, "anywhere": 150}
"""Rings of places tried: clear of every line, then over lines, then over other labels' leaders too."""
RING_STEP = 1.5
LEADER_FROM = 2.5
"""mm; a label farther from its feature than this gets a leader."""

POINTED = ("radius", "rise", "inside", "thickness")
"""Roles of labels whose leader ends in an arrow."""

Segment = tuple[Vec2, Vec2]


@dataclass(frozen=True)
class Patch:
    """An upright rectangle of paper."""

    low: Vec2
    high: Vec2

    @property
    def low_high(self) -> tuple[Vec2, Vec2]:
        return (self.low, self.high)

    def overlaps(self, other: Patch) -> bool:
        apart_x = self.high[0] <= other.low[0] or other.high[0] <= self.low[0]
        apart_y = self.high[1] <= other.low[1] or other.high[1] <= self.low[1]
        return not (apart_x or apart_y)

    def crossed_by(self, segment: Segment) -> bool:
        """Whether a line runs through the rectangle (Liang and Barsky's clipping)."""
        (x0, y0), (x1, y1) = segment
        first, last = 0.0, 1.0
        sides = (
            (x0 - x1, x0 - self.low[0]),
            (x1 - x0, self.high[0] - x0),
            (y0 - y1, y0 - self.low[1]),
            (y1 - y0, self.high[1] - y0),
        )
        for p, q in sides:
            if p == 0.0:
                if q <= 0.0:
                    return False
            elif p < 0.0:
                first = max(first, q / p)
            else:
                last = min(last, q / p)
        return first < last


@dataclass(frozen=True)
class Wish:
    """A label to place: text, the point it belongs to, and how far around that point its feature reaches."""

    text: str
    anchor: Vec2
    reach: float
    role: str = "tag"


@dataclass(frozen=True)
class Surroundings:
    """What labels keep clear of: rectangles never covered, lines crossed only in a crowd, the area."""

    area: Patch
    patches: tuple[Patch, ...] = ()
    lines: tuple[Segment, ...] = ()


@dataclass(frozen=True)
class Label:
    """A placed label; `leader` runs from it to its feature, when it stands apart."""

    wish: Wish
    patch: Patch
    leader: Segment | None = field(default=None)


def cross_each_other(one: Segment, other: Segment) -> bool:
    """Whether two segments cross inside both."""
    (a, b), (c, d) = one, other
    return _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0


def _side(a: Vec2, b: Vec2, c: Vec2) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def place_labels(wishes: Sequence[Wish], around: Surroundings) -> list[Label]:
    """A place for every wish, in the given order; labels never overlap each other or a patch.

    ValueError: the area has no room for a label.
    """
    placed: list[Label] = []
    for wish in wishes:
        placed.append(_place(wish, placed, around))
    return placed


def draw_labels(labels: Sequence[Label]) -> list[str]:
    """Leaders and texts; the leader of a size ends in an arrow."""
    marks = [line(*label.leader, NARROW, "leader") for label in labels if label.leader]
    for label in labels:
        if label.leader and label.wish.role.split()[0] in POINTED:
            tip, tail = label.leader
            marks.append(arrow(tip, (tip[0] - tail[0], tip[1] - tail[1])))
    for label in labels:
        at = (label.patch.low[0] + GAP, label.patch.high[1] - GAP)
        marks.append(words(Words(label.wish.text, at), label.wish.role))
    return marks


def _place(wish: Wish, placed: Sequence[Label], around: Surroundings) -> Label:
    taken = (*around.patches, *(label.patch for label in placed))
    leaders = tuple(label.leader for label in placed if label.leader)
    lines = {"clear": leaders + around.lines, "over lines": leaders, "anywhere": ()}
    for manner, rings in RINGS.items():
        for candidate in _candidates(wish, rings):
            if not _is_free(candidate.patch, taken, around.area):
                continue
            if manner == "anywhere" or _crosses_nothing(candidate, placed, lines[manner]):
                return candidate
    raise ValueError(f"no room for the label {wish.text}")


def _is_free(patch: Patch, taken: Sequence[Patch], area: Patch) -> bool:
    inside = all(area.low[i] <= patch.low[i] and patch.high[i] <= area.high[i] for i in (0, 1))
    return inside and not any(patch.overlaps(other) for other in taken)


def _crosses_nothing(candidate: Label, placed: Sequence[Label], lines: Sequence[Segment]) -> bool:
    """Whether no line runs through the label, nor its leader through another label."""
    if any(candidate.patch.crossed_by(segment) for segment in lines):
        return False
    leader = candidate.leader
    return leader is None or not any(other.patch.crossed_by(leader) for other in placed)


def _candidates(wish: Wish, rings: int) -> Iterator[Label]:
    half = (text_width(wish.text, SMALL) / 2 + GAP, SMALL / 2 + GAP)
    for ring in range(rings):
        gap = 0.2 + ring * RING_STEP
        for direction in _directions(ring):
            yield _candidate(wish, half, gap, direction)


def _directions(ring: int) -> Iterator[Vec2]:
    """The corners first, then the sides; farther out, finer steps."""
    count = 8 if ring < 3 else 24
    for i in range(count):
        angle = math.radians(45.0 + i * 360.0 / count) if ring >= 3 else math.radians(45.0 + 90.0 * i)
        if ring < 3 and i >= 4:
            angle = math.radians(90.0 * (i - 4))
        yield (math.cos(angle), -math.sin(angle))


def _candidate(wish: Wish, half: Vec2, gap: float, direction: Vec2) -> Label:
    """The label's near corner or side touches a circle of reach + gap about the anchor."""
    dx, dy = direction
    distance = wish.reach + gap
    sign_x = 0.0 if abs(dx) < 0.3 else math.copysign(1.0, dx)
    sign_y = 0.0 if abs(dy) < 0.3 else math.copysign(1.0, dy)
    near = (wish.anchor[0] + distance * dx, wish.anchor[1] + distance * dy)
    centre = (near[0] + sign_x * half[0], near[1] + sign_y * half[1])
    patch = Patch(
        (centre[0] - half[0], centre[1] - half[1]),
        (centre[0] + half[0], centre[1] + half[1]),
    )
    if gap <= LEADER_FROM:
        return Label(wish, patch)
    start = (wish.anchor[0] + wish.reach * dx, wish.anchor[1] + wish.reach * dy)
    return Label(wish, patch, (start, near))
