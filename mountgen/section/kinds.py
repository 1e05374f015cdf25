"""What kind of rail a section is, from the walls it is made of.

Seen from the wall that is the web, the others stand across it (flanges, at one of its ends) or run
beside it (lips, at the flanges' far ends).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from mountgen.geometry import Contour, Vec2
from mountgen.section.records import Kind, round_of
from mountgen.section.walls import Wall

SQUARE_DEG = 20.0
"""Walls this close to square are square: hot-rolled flanges taper by up to 9.5 deg on one face."""
AT_END = 0.25
"""A flange stands at the web's end when it is no farther from it than this share of the web."""
CONCENTRIC = 0.01
"""mm"""
FILLED = 0.75
"""A flat bar fills at least this share of its length times its thickness."""


@dataclass(frozen=True)
class Shape:
    """The kind, the web if there is one, and the walls on it. `ahead` points from the web to where its
    flanges are, square to it; for a section that looks the same from both sides it may be either."""

    kind: Kind
    web: Wall | None = None
    ahead: Vec2 = (1.0, 0.0)
    flanges: tuple[Wall, ...] = ()
    lips: tuple[Wall, ...] = ()


def shape_of(outline: Contour, holes: Sequence[Contour], walls: Sequence[Wall]) -> Shape:
    """The kind of a section that has no T-slots."""
    if _is_round_tube(outline, holes):
        return Shape("round tube")
    if len(holes) == 1 and len(walls) == 4 and holes[0].area > 0.25 * outline.area:
        return Shape("tube", walls[0], into_metal(walls[0].faces[0]))
    for kinds in (("channel", "lipped channel", "Z"), ("angle",), ("flat",)):
        for web in walls:
            shape = _seen_from(web, [wall for wall in walls if wall is not web])
            if shape.kind in kinds and (shape.kind != "flat" or _fills(web, outline)):
                return shape
    return Shape("other")


def _is_round_tube(outline: Contour, holes: Sequence[Contour]) -> bool:
    outer, inner = round_of(outline), round_of(holes[0]) if len(holes) == 1 else None
    if outer is None or inner is None:
        return False
    return math.dist(outer[0], inner[0]) <= CONCENTRIC


def into_metal(face: tuple[Vec2, Vec2]) -> Vec2:
    """Square to a face, into the metal behind it."""
    (ax, ay), (bx, by) = face
    size = math.hypot(bx - ax, by - ay)
    return (-(by - ay) / size, (bx - ax) / size)


def _fills(wall: Wall, outline: Contour) -> bool:
    return outline.area > FILLED * wall.thickness * max(math.dist(*face) for face in wall.faces)


def _seen_from(web: Wall, others: Sequence[Wall]) -> Shape:
    across = [wall for wall in others if _angle(web, wall) >= 90.0 - SQUARE_DEG]
    beside = [wall for wall in others if _angle(web, wall) <= SQUARE_DEG]
    if len(across) + len(beside) != len(others):
        return Shape("other")
    if not others:
        return Shape("flat", web, into_metal(web.faces[0]))
    ends = [_end(web, wall) for wall in across]
    ahead = [_ahead(web, wall) for wall in across]
    if 0 in ends or not across:
        return Shape("other")
    way = _scaled(into_metal(web.faces[0]), ahead[0])
    if len(across) == 1 and not beside:
        return Shape("angle", web, way, tuple(across))
    if len(across) != 2 or ends[0] == ends[1]:
        return Shape("other")
    if ahead[0] != ahead[1]:
        return Shape("Z", web, way, tuple(across)) if not beside else Shape("other")
    return _channel(web, way, across, beside)


def _channel(web: Wall, way: Vec2, across: Sequence[Wall], beside: Sequence[Wall]) -> Shape:
    ahead = _ahead(web, across[0])
    if not beside:
        return Shape("channel", web, way, tuple(across))
    if len(beside) == 2 and all(_ahead(web, lip) == ahead for lip in beside):
        return Shape("lipped channel", web, way, tuple(across), tuple(beside))
    return Shape("other")


def _scaled(vector: Vec2, factor: float) -> Vec2:
    return (vector[0] * factor, vector[1] * factor)


def _angle(a: Wall, b: Wall) -> float:
    """Between the middle lines, 0 to 90 deg."""
    (ax, ay), (bx, by) = a.along, b.along
    return math.degrees(math.acos(min(1.0, abs(ax * bx + ay * by))))


def _ahead(web: Wall, wall: Wall) -> int:
    """1 where the metal of the web's first face lies, -1 on the other side of the web."""
    x, y = into_metal(web.faces[0])
    off = (wall.middle[0] - web.middle[0]) * x + (wall.middle[1] - web.middle[1]) * y
    return 1 if off > 0 else -1


def _end(web: Wall, wall: Wall) -> int:
    """Which end of the web a wall across it stands at: 1, -1, or 0 for neither."""
    x, y = web.along
    near = min(wall.ends, key=lambda end: abs((end[0] - web.middle[0]) * y - (end[1] - web.middle[1]) * x))
    along = (near[0] - web.middle[0]) * x + (near[1] - web.middle[1]) * y
    if abs(abs(along) - web.length / 2) > AT_END * web.length:
        return 0
    return 1 if along > 0 else -1
