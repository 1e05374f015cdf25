"""From strokes in space to pieces in one plane, in millimetres.

Words: a *piece* is a line or an arc in the plane; an arc runs counter-clockwise from its start to its end.
A drawing is looked at from above (x to the right, y up); one that stands upright is looked at from the
front (x, z) or from the right (y, z).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from mountgen.geometry import Vec2, Vec3
from mountgen.section.faults import SectionError, refusal
from mountgen.section.strokes import Drawn, Stroke

FARTHEST = 1e7
"""mm; no drawing reaches farther from its origin, and beyond it numbers lose their fine digits."""
LEVEL = 1e-3
"""mm; what lies this close to a plane lies in it."""
VIEWS = (("from above", (0, 1), 2), ("from the front", (0, 2), 1), ("from the right", (1, 2), 0))
LEAST_RISE = 1e-6
"""mm; a flatter arc is a line."""


@dataclass(frozen=True)
class Piece:
    """A line, or with a `centre` an arc, drawn by entity number `entity`."""

    start: Vec2
    end: Vec2
    centre: Vec2 | None
    entity: int

    @property
    def radius(self) -> float:
        return math.dist(self.start, self.centre) if self.centre is not None else math.inf

    @property
    def sweep(self) -> float:
        """Angle of an arc in rad, 0 to 2 pi."""
        if self.centre is None:
            return 0.0
        return (_angle(self.centre, self.end) - _angle(self.centre, self.start)) % (2 * math.pi)

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end) if self.centre is None else self.radius * self.sweep

    @property
    def middle(self) -> Vec2:
        if self.centre is None:
            return ((self.start[0] + self.end[0]) / 2, (self.start[1] + self.end[1]) / 2)
        return _turned(self.start, self.centre, self.sweep / 2)


def _angle(centre: Vec2, point: Vec2) -> float:
    return math.atan2(point[1] - centre[1], point[0] - centre[0])


def _turned(point: Vec2, centre: Vec2, turn: float) -> Vec2:
    dx, dy = point[0] - centre[0], point[1] - centre[1]
    c, s = math.cos(turn), math.sin(turn)
    return (centre[0] + c * dx - s * dy, centre[1] + s * dx + c * dy)


def finite(path: Path, drawn: Sequence[Drawn], mm: float) -> None:
    """SectionError when a coordinate is no number or absurdly far away."""
    for entity in drawn:
        for stroke in entity.strokes:
            for point in (stroke.start, stroke.end, *([stroke.middle] if stroke.middle else [])):
                if not all(abs(value) * mm <= FARTHEST for value in point):
                    shown = ", ".join(f"{value:g}" for value in point)
                    raise refusal(
                        path,
                        f"{entity.title} has a point at ({shown})",
                        f"coordinates within {FARTHEST:g} mm of the origin",
                        "delete it or draw it again nearer to the origin",
                    )


def flattened(path: Path, drawn: Sequence[Drawn], mm: float) -> tuple[list[Piece], str | None]:
    """The pieces of a drawing, and a note when it was not looked at from above at z = 0.

    SectionError when its lines lie in no common plane.
    """
    view, axes = _view(path, drawn, mm)
    pieces = [piece for i, entity in enumerate(drawn) for piece in _pieces(entity.strokes, axes, mm, i)]
    return pieces, view


def _view(path: Path, drawn: Sequence[Drawn], mm: float) -> tuple[str | None, tuple[int, int]]:
    points = [point for d in drawn for s in d.strokes for point in s.points]
    if not points:
        return None, (0, 1)
    for name, axes, away in VIEWS:
        heights = [point[away] * mm for point in points]
        if max(heights) - min(heights) <= LEVEL:
            straight = away == 2 and max(map(abs, heights)) <= LEVEL
            note = f"the drawing was looked at {name}, at {'xyz'[away]} = {heights[0]:.6g} mm"
            return (None if straight else note), axes
    tilted = [d for d in drawn if not _is_level(d, mm)]
    if tilted:
        raise _tilted(path, tilted[0])
    return "lines at several heights z were looked at from above", (0, 1)


def _is_level(drawn: Drawn, mm: float) -> bool:
    heights = [point[2] * mm for stroke in drawn.strokes for point in stroke.points]
    return max(heights, default=0.0) - min(heights, default=0.0) <= LEVEL


def _tilted(path: Path, entity: Drawn) -> SectionError:
    return refusal(
        path,
        f"{entity.title} does not lie flat",
        "a section drawn in one plane",
        "flatten the drawing, or save its section as a drawing of its own",
    )


def _pieces(strokes: Sequence[Stroke], axes: tuple[int, int], mm: float, entity: int) -> Iterator[Piece]:
    def flat(point: Vec3) -> Vec2:
        return (point[axes[0]] * mm, point[axes[1]] * mm)

    for stroke in strokes:
        start, end = flat(stroke.start), flat(stroke.end)
        if stroke.middle is None or stroke.centre is None:
            yield Piece(start, end, None, entity)
            continue
        middle, centre = flat(stroke.middle), flat(stroke.centre)
        rise = math.dist(middle, ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2))
        left = _is_left(start, middle, end)
        if rise <= LEAST_RISE and math.dist(start, end) > rise:
            yield Piece(start, end, None, entity)
        else:
            yield Piece(start, end, centre, entity) if left else Piece(end, start, centre, entity)


def _is_left(start: Vec2, middle: Vec2, end: Vec2) -> bool:
    """Whether start, middle, end run counter-clockwise: `middle` lies right of the chord."""
    turn = (middle[0] - start[0]) * (end[1] - middle[1]) - (middle[1] - start[1]) * (end[0] - middle[0])
    return turn >= 0
