"""Reading a drawing as a person does who has nothing else: the flat's outline from its dimensions.

The picture tells which corners there are and which way edges run; every number comes from a text.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from drawing_samples import Text, path_points, texts, with_role

from mountgen.geometry import Contour, Vec2, Vertex, rounded
from mountgen.package.drawing_corners import corners

ON_LINE = 0.02
"""mm of paper; a leader that passes a corner this close belongs to it."""
SIDES = (("bottom", "top"), ("left", "right"))


@dataclass(frozen=True)
class Leader:
    """A leader of an ordinate on the paper: where it starts, where it leaves the view, and its value."""

    axis: int
    start: Vec2
    out: Vec2
    value: float

    def passes(self, point: Vec2, reach: float = 0.0) -> bool:
        """Whether it runs through a point, or begins within `reach` of it."""
        along, across = self.axis, 1 - self.axis
        low, high = sorted((self.start[across], self.out[across]))
        on_line = abs(point[along] - self.start[along]) <= ON_LINE
        return on_line and low - reach - ON_LINE <= point[across] <= high + reach + ON_LINE


@dataclass(frozen=True)
class Reading:
    """One part's sheets, read. `picture` is the flat's true outline, of which only the topology is used."""

    sheets: Sequence[str]
    picture: Contour

    @cached_property
    def found(self) -> list[Text]:
        return [text for svg in self.sheets for text in texts(svg)]

    @cached_property
    def scale(self) -> float:
        heading = next(
            t.text for t in self.found if t.role == "heading" and t.text.startswith(("Flat", "Plate"))
        )
        enlarged, reduced = (float(part) for part in heading.split()[-1].split(":"))
        return enlarged / reduced

    @cached_property
    def origin(self) -> Vec2:
        """The datum corner on the paper, from the small circle."""
        (ring,) = with_role(self.sheets[0], "datum")
        return float(ring.attrib["cx"]), float(ring.attrib["cy"])

    def point(self, at: Vec2) -> Vec2:
        return (self.origin[0] + self.scale * at[0], self.origin[1] - self.scale * at[1])

    @cached_property
    def leaders(self) -> list[Leader]:
        """Every ordinate with the leader that ends at its text."""
        lines = [
            _points(e.attrib["points"]) for e in with_role(self.sheets[0], "leader") if "points" in e.attrib
        ]
        made = []
        for axis, sides in enumerate(SIDES):
            for text in (t for side in sides for t in self.found if t.role == f"ordinate-{side}"):
                line = min(lines, key=lambda points: _gap(text, points[-1]))
                assert _gap(text, line[-1]) < 1.0, f"no leader ends at {text.text}"
                made.append(Leader(axis, line[0], line[1], number(text.text)))
        return made

    @cached_property
    def overall(self) -> Vec2:
        """Overall width and height of the flat: the two that stand next to it."""
        low, high = self.point((0.0, 0.0)), self.point(self.picture.bounds[2:])
        shown = [t for t in self.found if t.role == "overall"]
        middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
        wide = min(
            (t for t in shown if _within(t, middle[0], 0)),
            key=lambda t: abs(t.patch.high[1] - high[1]) + abs(_mid(t, 0) - middle[0]),
        )
        tall = min(
            (t for t in shown if _within(t, middle[1], 1)),
            key=lambda t: abs(t.patch.low[0] - high[0]) + abs(_mid(t, 1) - middle[1]),
        )
        return number(wide.text), number(tall.text)

    @cached_property
    def general_radius(self) -> float:
        notes = " ".join(t.text for t in self.found if t.role == "note")
        told = re.search(r"(?:All four corners|Corners) (?:R([\d.]+)|sharp)", notes)
        assert told is not None
        return float(told[1] or 0.0)

    def label(self, kind: str, tag: str) -> str | None:
        told = [t.text for t in self.found if t.role == f"{kind} {tag}"]
        assert len(told) <= 1, f"{kind} of {tag} is told {len(told)} times"
        return told[0] if told else None

    def cells(self, title: str) -> dict[str, dict[str, str]]:
        """A table's rows by their first cell, continued parts included."""
        rows: dict[str, dict[str, str]] = {}
        for svg in self.sheets:
            rows |= table_rows(svg, title)
        return rows

    def coordinate(self, i: int, axis: int) -> float | None:
        """A corner's coordinate, told once; None when no ordinate, table or overall size tells it."""
        corner = corners(self.picture)[i]
        full = self.picture.bounds[2 + axis]
        told = {one.value for one in self.leaders if one.axis == axis and one.passes(self.point(corner.at))}
        if abs(corner.at[axis]) <= 0.005:
            told.add(0.0)
        if abs(corner.at[axis] - full) <= 0.005:
            told.add(self.overall[axis])
        row = self.cells("Corners").get(corner.tag, {})
        cell = next((text for head, text in row.items() if head.startswith("xy"[axis])), "–")
        if cell != "–":
            assert not told, f"{corner.tag} has its place twice: {told} and {cell}"
            told.add(number(cell))
        assert len(told) <= 1, f"{corner.tag} has several places: {told}"
        return told.pop() if told else None

    def rebuilt(self) -> Contour:
        """The outline from its dimensions."""
        found = corners(self.picture)
        places = [[self.coordinate(i, axis) for axis in (0, 1)] for i in range(len(found))]
        for i, corner in enumerate(found):
            told = self.label("angle", corner.tag)
            if told:
                _turn(places, (i, (i + 1) % len(found)), number(told), [c.at for c in found])
        assert all(value is not None for place in places for value in place), places
        return self._drawn([(x, y) for x, y in places])

    def _drawn(self, at: list[Vec2]) -> Contour:
        found = corners(self.picture)
        radii = []
        for i, corner in enumerate(found):
            told = None if corner.leaves_by else self.label("radius", corner.tag)
            beside_arc = corner.leaves_by or found[i - 1].leaves_by
            usual = 0.0 if beside_arc else self.general_radius
            radii.append(usual if told is None else 0.0 if told == "sharp" else number(told[1:]))
        plain = list(rounded(at, radii).vertices)
        place = 0
        for i, corner in enumerate(found):
            if corner.leaves_by:
                plain[place] = Vertex(*at[i], self._bulge(i, at))
            place += 2 if radii[i] else 1
        return Contour(tuple(plain))

    def _bulge(self, i: int, at: list[Vec2]) -> float:
        corner = corners(self.picture)[i]
        chord = math.dist(at[i], at[(i + 1) % len(at)])
        seen = next(v.bulge for v in self.picture.vertices if (v.x, v.y) == corner.at)
        told = self.label("rise", corner.tag)
        if told:
            return math.copysign(2 * number(told.removeprefix("rise ")) / chord, seen)
        radius = number((self.label("radius", corner.tag) or "")[1:])
        if abs(radius - chord / 2) <= 0.0125:
            return math.copysign(1.0, seen)
        return math.copysign(math.tan(math.asin(chord / 2 / radius) / 2), seen)


def number(text: str) -> float:
    """The mm of a dimension: '57.15 [2.250]', '45°'."""
    return float(text.split(maxsplit=1)[0].rstrip("°"))


def table_rows(svg: str, title: str) -> dict[str, dict[str, str]]:
    """Rows by first cell, each with its cells by head, of the tables under a title."""
    rows: dict[str, dict[str, str]] = {}
    found = list(texts(svg))
    for name in (t for t in found if t.role == "table-title" and t.text.startswith(title)):
        frame = next(
            f for f in _frames(svg) if abs(f[0] - name.patch.low[0]) < 1 and 0 < f[1] - name.patch.low[1] < 6
        )
        inside = [t for t in found if t.role in ("head", "cell") and _holds(frame, t)]
        heads = [t for t in inside if t.role == "head"]
        for first in (t for t in inside if t.role == "cell" and _is_under(heads[0], t)):
            row = [t for t in inside if t.role == "cell" and abs(t.patch.high[1] - first.patch.high[1]) < 0.1]
            rows[first.text] = {
                head.text: cell.text for head in heads for cell in row if _is_under(head, cell)
            }
    return rows


def _frames(svg: str) -> list[tuple[float, float, float, float]]:
    frames = [e.attrib for e in with_role(svg, "cells")]
    sizes = ([float(f[key]) for key in ("x", "y", "width", "height")] for f in frames)
    return [(x, y, x + w, y + h) for x, y, w, h in sizes]


def _holds(frame: tuple[float, float, float, float], text: Text) -> bool:
    x, y = _mid(text, 0), _mid(text, 1)
    return frame[0] < x < frame[2] and frame[1] < y < frame[3]


def _is_under(head: Text, cell: Text) -> bool:
    return abs(head.patch.low[0] - cell.patch.low[0]) < 0.1


def _turn(places: list[list[float | None]], ends: tuple[int, int], turn_deg: float, seen: list[Vec2]) -> None:
    """Fills in the one coordinate that an edge's angle stands for."""
    (end, axis) = next((e, a) for e in ends for a in (0, 1) if places[e][a] is None)
    other = sum(ends) - end
    across = abs(places[end][1 - axis] - places[other][1 - axis])
    slope = math.tan(math.radians(turn_deg))
    reach = across * slope if axis == 1 else across / slope
    way = math.copysign(1.0, seen[end][axis] - seen[other][axis])
    places[end][axis] = places[other][axis] + way * reach


def _points(text: str) -> list[Vec2]:
    return [tuple(float(n) for n in pair.split(",")) for pair in text.split()]


def _gap(text: Text, at: Vec2) -> float:
    """From a point to a text's patch, mm."""
    (x0, y0), (x1, y1) = text.patch.low, text.patch.high
    return math.hypot(max(x0 - at[0], 0, at[0] - x1), max(y0 - at[1], 0, at[1] - y1))


def _mid(text: Text, axis: int) -> float:
    return (text.patch.low[axis] + text.patch.high[axis]) / 2


def _within(text: Text, at: float, axis: int) -> bool:
    return abs(_mid(text, axis) - at) < 0.5


def drawn_outline(svg: str) -> list[Vec2]:
    return path_points(with_role(svg, "outline")[0])
