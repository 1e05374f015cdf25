"""From where a section was drawn to the rail's frame: web upright, plain side at x = 0, top at y = 0.

A section is turned and moved, never mirrored: a mirrored rail is another rail.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from mountgen.geometry import Contour, Vec2
from mountgen.section.kinds import EQUAL, Shape
from mountgen.section.records import Frame
from mountgen.section.walls import Metal, Wall

SQUARE = 1e-6
"""deg; a turn this close to quarter turns is one."""


def framed(outline: Contour, shapes: Sequence[Shape], metal: Metal) -> tuple[Frame, Shape]:
    """The frame of a drawn section, and which of its possible shapes goes with it: the smallest turn."""
    turns = [(_least(_turn(outline, shape, metal)), i) for i, shape in enumerate(shapes)]
    shape = shapes[min(turns)[1]]
    turned = _turn(outline, shape, metal)
    x0, _, _, y1 = outline.turned(turned).bounds
    if shape.web is None:
        return Frame(turned, (-x0, -y1)), shape
    face = plain_face(shape.web, Frame(turned, (0.0, 0.0)))
    return Frame(turned, (-(face[0][0] + face[1][0]) / 2, -y1)), shape


def plain_face(web: Wall, frame: Frame) -> tuple[Vec2, Vec2]:
    """The web's face that ends up farther to the left, framed."""
    faces = web.framed(frame).faces
    return min(faces, key=lambda face: face[0][0] + face[1][0])


def _turn(outline: Contour, shape: Shape, metal: Metal) -> float:
    """The turn (deg) that brings the flanges of a shape to +x."""
    if shape.kind == "round tube":
        return 0.0
    if shape.web is None:
        return _tall_turn(outline, square_turn(metal)) if shape.kind == "T-slot" else square_turn(metal)
    return _snapped(-math.degrees(math.atan2(shape.ahead[1], shape.ahead[0])))


def _tall_turn(outline: Contour, turn: float) -> float:
    """The turn, a quarter more when the section would lie on its long side."""
    x0, y0, x1, y1 = outline.turned(turn).bounds
    return turn if y1 - y0 > (1 - EQUAL) * (x1 - x0) else turn - math.copysign(90.0, turn)


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
