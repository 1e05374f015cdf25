"""From where a section was drawn to the rail's frame: web upright, plain side at x = 0, top at y = 0.

A section is turned and moved, never mirrored: a mirrored rail is another rail.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from mountgen.geometry import Contour, Vec2
from mountgen.section.kinds import Shape, into_metal
from mountgen.section.records import Frame, Kind
from mountgen.section.walls import Metal, Wall

SQUARE = 1e-6
"""deg; a turn this close to quarter turns is one."""
EQUAL = 1e-3
"""Walls whose lengths differ by less than this share are equally good as a web."""
BOTH_WAYS: frozenset[Kind] = frozenset({"flat", "Z"})
"""Kinds whose web has no plain side of its own."""


def frame_of(outline: Contour, shape: Shape, metal: Metal, walls: Sequence[Wall]) -> Frame:
    """The frame of a drawn section: the smallest turn where several would do."""
    if shape.web is not None:
        turned = min((_turn(way) for way in _ways(shape, walls)), key=_least)
    else:
        turned = 0.0 if shape.kind == "round tube" else square_turn(metal)
    x0, _, _, y1 = outline.turned(turned).bounds
    if shape.web is None:
        return Frame(turned, (-x0, -y1))
    face = plain_face(shape.web, Frame(turned, (0.0, 0.0)))
    return Frame(turned, (-(face[0][0] + face[1][0]) / 2, -y1))


def plain_face(web: Wall, frame: Frame) -> tuple[Vec2, Vec2]:
    """The web's face that ends up farther to the left, framed."""
    faces = web.framed(frame).faces
    return min(faces, key=lambda face: face[0][0] + face[1][0])


def _ways(shape: Shape, walls: Sequence[Wall]) -> list[Vec2]:
    """Directions of the drawing that may become +x."""
    x, y = shape.ahead
    if shape.kind in BOTH_WAYS:
        return [(x, y), (-x, -y)]
    if shape.kind != "tube" or shape.web is None:
        return [(x, y)]
    long = [wall for wall in walls if wall.length > shape.web.length * (1 - EQUAL)]
    return [into_metal(wall.faces[0]) for wall in long]


def _turn(way: Vec2) -> float:
    """The turn (deg) that brings a direction to +x."""
    return _snapped(-math.degrees(math.atan2(way[1], way[0])))


def _snapped(angle: float) -> float:
    near = 90.0 * round(angle / 90.0)
    return near if abs(angle - near) <= SQUARE else angle


def _least(turn: float) -> tuple[float, float]:
    return (round(abs(turn), 6), -turn)


def square_turn(metal: Metal) -> float:
    """The turn (deg) that sets the longest side upright or level, whichever is nearer."""
    straight = [side for side in metal.sides if side.edge.arc is None]
    if not straight:
        return 0.0
    side = max(straight, key=lambda s: s.length)
    angle = math.degrees(math.atan2(side.end[1] - side.start[1], side.end[0] - side.start[0]))
    return _snapped(90.0 * round(angle / 90.0) - angle)
