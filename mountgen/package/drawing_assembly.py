"""Pictures of the whole mount, put together and pulled apart, with a balloon for every item of the list.

A balloon is a circle with the item's number; its leader ends in a dot on a line of the part that can be
seen. Balloons stand in a column on either side of the picture.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from mountgen.detail.records import Detail
from mountgen.geometry import Arc, Vec2, cos_deg, sin_deg
from mountgen.package.drawing_flat import Window
from mountgen.package.drawing_folded import draw_curve
from mountgen.package.drawing_labels import Patch, Segment, cross_each_other
from mountgen.package.drawing_ordinates import spread
from mountgen.package.svg import NARROW, SMALL, Pen, Words, line, ring, words
from mountgen.views import Curve, Line, Polyline, curve_extremes

RADIUS = 4.0
"""mm of a balloon."""
PITCH = 2 * RADIUS + 1.0
SIDE = 2 * RADIUS + 8.0
"""mm left and right of the picture for balloons and their leaders."""
DOT = 0.5
OUTLINE = Pen(0.35)

Lines = Mapping[str, tuple[Curve, ...]]
"""The lines that are seen of every instance."""


@dataclass(frozen=True)
class Balloon:
    """An item's number, where its circle stands, and the point of the part that it means."""

    item: str
    middle: Vec2
    anchor: Vec2

    @property
    def leader(self) -> Segment:
        """From the circle's edge to the part."""
        (x, y), (u, v) = self.middle, self.anchor
        size = math.dist(self.middle, self.anchor) or 1.0
        return (x + (u - x) * RADIUS / size, y + (v - y) * RADIUS / size), self.anchor


def draw_assembly(lines: Lines, items: Mapping[str, Sequence[str]], area: Patch) -> list[str]:
    """The picture with its balloons. `items` are the instances of each item that may bear its balloon."""
    window = _window(lines, area)
    marks = [
        draw_curve(curve, window, OUTLINE, f"seen {name}") for name, found in lines.items() for curve in found
    ]
    for balloon in place_balloons(anchors(lines, items, window), area):
        marks += _drawn(balloon)
    return marks


def items_of(detail: Detail) -> dict[str, tuple[str, ...]]:
    """The instances of every item of the bill of material, by the item's number, which counts from 1."""
    return {
        str(item): tuple(i.name for i in detail.instances if i.part == number)
        for item, number in enumerate(detail.parts, 1)
    }


def unseen(lines: Lines, items: Mapping[str, Sequence[str]]) -> list[str]:
    """Items none of whose instances can be seen."""
    return [item for item, names in items.items() if not any(lines.get(name) for name in names)]


def _window(lines: Lines, area: Patch) -> Window:
    """The picture as large as the area allows beside the balloons, in its middle."""
    points = [p for found in lines.values() for curve in found for p in curve_extremes(curve)]
    (u0, u1), (v0, v1) = ((min(axis), max(axis)) for axis in zip(*points, strict=True))
    wide, tall = area.high[0] - area.low[0] - 2 * SIDE, area.high[1] - area.low[1]
    scale = min(wide / (u1 - u0), tall / (v1 - v0))
    middle = [(low + high) / 2 for low, high in zip(area.low, area.high, strict=True)]
    return Window((middle[0] - scale * (u0 + u1) / 2, middle[1] + scale * (v0 + v1) / 2), scale)


def anchors(lines: Lines, items: Mapping[str, Sequence[str]], window: Window) -> dict[str, Vec2]:
    """For every item the middle of the longest line that is seen of any of its instances, on paper."""
    found = {}
    for item, names in items.items():
        seen = [curve for name in names for curve in lines.get(name, ())]
        if seen:
            found[item] = window.point(_middle(max(seen, key=_size)))
    return found


def _size(curve: Curve) -> float:
    if isinstance(curve, Line):
        return math.dist(curve.start, curve.end)
    if isinstance(curve, Arc):
        return math.radians(curve.end_deg - curve.start_deg) * curve.radius
    return sum(math.dist(a, b) for a, b in zip(curve.points, curve.points[1:], strict=False))


def _middle(curve: Curve) -> Vec2:
    if isinstance(curve, Line):
        return ((curve.start[0] + curve.end[0]) / 2, (curve.start[1] + curve.end[1]) / 2)
    if isinstance(curve, Polyline):
        return curve.points[len(curve.points) // 2]
    turn = (curve.start_deg + curve.end_deg) / 2
    return (
        curve.centre[0] + curve.radius * cos_deg(turn),
        curve.centre[1] + curve.radius * sin_deg(turn),
    )


def place_balloons(found: Mapping[str, Vec2], area: Patch) -> list[Balloon]:
    """Balloons in two columns at the area's sides, each on the nearer one as far as there is room, with
    leaders that do not cross."""
    capacity = int((area.high[1] - area.low[1]) // PITCH)
    if len(found) > 2 * capacity:
        raise ValueError(f"no room for {len(found)} balloons beside a picture {area}")
    by_x = sorted(found.items(), key=lambda pair: (pair[1][0], pair[1][1]))
    middle = (area.low[0] + area.high[0]) / 2
    count = sum(anchor[0] < middle for _, anchor in by_x)
    count = min(max(count, len(by_x) - capacity), capacity)
    left = _column(by_x[:count], area.low[0] + RADIUS, area)
    right = _column(by_x[count:], area.high[0] - RADIUS, area)
    return [*left, *right]


def _column(pairs: Sequence[tuple[str, Vec2]], x: float, area: Patch) -> list[Balloon]:
    """One column, as near to the height of the anchors as the others allow."""
    ordered = sorted(pairs, key=lambda pair: pair[1][1])
    low, high = area.low[1] + RADIUS, area.high[1] - RADIUS
    places = _within(spread([anchor[1] for _, anchor in ordered], PITCH), low, high)
    balloons = [Balloon(item, (x, y), at) for (item, at), y in zip(ordered, places, strict=True)]
    return _uncrossed(balloons)


def _within(places: Sequence[float], low: float, high: float) -> list[float]:
    """The places pushed into a span that has room for them, a pitch apart still."""
    kept: list[float] = []
    for i, place in enumerate(places):
        latest = high - (len(places) - 1 - i) * PITCH
        earliest = kept[-1] + PITCH if kept else low
        kept.append(max(min(place, latest), earliest))
    return kept


def _uncrossed(balloons: list[Balloon]) -> list[Balloon]:
    """Circles change places while two leaders cross: that shortens the sum of all leaders, so it ends."""
    found = list(balloons)
    crossing = True
    while crossing:
        crossing = False
        for i, j in combinations(range(len(found)), 2):
            if cross_each_other(found[i].leader, found[j].leader):
                a, b = found[i], found[j]
                found[i], found[j] = (
                    Balloon(a.item, b.middle, a.anchor),
                    Balloon(b.item, a.middle, b.anchor),
                )
                crossing = True
    return found


def _drawn(balloon: Balloon) -> Iterator[str]:
    yield line(*balloon.leader, NARROW, "balloon-leader")
    yield ring(balloon.anchor, DOT, Pen(2 * DOT), "balloon-dot")
    yield ring(balloon.middle, RADIUS, NARROW, "balloon")
    x, y = balloon.middle
    yield words(Words(balloon.item, (x, y + SMALL / 2), SMALL, "middle"), "item")
