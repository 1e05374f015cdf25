"""What kind of rail a section is, from the walls it is made of.

Seen from the wall that is the web, the others stand across it (flanges, at one of its ends) or run
beside it (lips, at the flanges' far ends).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from mountgen.geometry import Contour, Vec2
from mountgen.section.records import Kind, round_of
from mountgen.section.walls import Wall

SQUARE_DEG = 20.0
"""Walls this close to square are square: hot-rolled flanges taper by up to 9.5 deg on one face."""
AT_END = 0.25
"""A flange stands at the web's end when it is no farther from where the web's flat ends than this share of
the web and twice its own thickness, which is room for a root fillet."""
EQUAL = 1e-3
"""Walls whose lengths differ by less than this share are equally good as a web."""
HOLLOW = 0.25
"""The hollow of a tube is more than this share of its outline."""
RANKS: tuple[tuple[Kind, ...], ...] = (("channel", "lipped channel", "Z"), ("angle",), ("flat",))
"""What is looked for first."""
CONCENTRIC = 0.01
"""mm"""
FILLED = (0.75, 1.05)
"""A flat bar's area as a share of its length times its thickness."""


@dataclass(frozen=True)
class Shape:
    """The kind, the web if there is one, and the walls on it. `ahead` points from the web to where its
    flanges are, square to it; for a section that looks the same from both sides it may be either."""

    kind: Kind
    web: Wall | None = None
    ahead: Vec2 = (1.0, 0.0)
    flanges: tuple[Wall, ...] = ()
    lips: tuple[Wall, ...] = ()


def shapes_of(outline: Contour, holes: Sequence[Contour], walls: Sequence[Wall]) -> tuple[Shape, ...]:
    """The kind of a section that has no T-slots, once for every wall and way that may count as its web."""
    if _is_round_tube(outline, holes):
        return (Shape("round tube"),)
    if len(holes) == 1 and len(walls) == 4 and holes[0].area > HOLLOW * outline.area:
        return _longest([Shape("tube", wall, _into_hollow(wall, outline)) for wall in walls])
    seen = [_seen_from(wall, [other for other in walls if other is not wall]) for wall in walls]
    for kinds in RANKS:
        found = [shape for shape in seen if shape.kind in kinds]
        if found and (found[0].kind != "flat" or _fills(found[0].web, outline)):
            return _longest([way for shape in found for way in _both_ways(shape)])
    return (Shape("other"),)


def _longest(shapes: Sequence[Shape]) -> tuple[Shape, ...]:
    """The shapes whose web is as long as the longest one."""
    lengths = [shape.web.length if shape.web is not None else 0.0 for shape in shapes]
    return tuple(s for s, own in zip(shapes, lengths, strict=True) if own > max(lengths) * (1 - EQUAL))


def _both_ways(shape: Shape) -> tuple[Shape, ...]:
    """A flat and a Z look the same from both sides of their web."""
    back = replace(shape, ahead=(-shape.ahead[0], -shape.ahead[1]))
    return (shape, back) if shape.kind in ("flat", "Z") else (shape,)


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


def _into_hollow(wall: Wall, outline: Contour) -> Vec2:
    """Square to a wall of a tube, towards the tube's middle: either face of the wall may come first."""
    x0, y0, x1, y1 = outline.bounds
    x, y = into_metal(wall.faces[0])
    off = ((x0 + x1) / 2 - wall.middle[0]) * x + ((y0 + y1) / 2 - wall.middle[1]) * y
    return _scaled((x, y), 1.0 if off > 0.0 else -1.0)


def _fills(wall: Wall | None, outline: Contour) -> bool:
    if wall is None:
        return False
    box = wall.thickness * max(math.dist(*face) for face in wall.faces)
    return FILLED[0] < outline.area / box < FILLED[1]


def _seen_from(web: Wall, others: Sequence[Wall]) -> Shape:
    """The kind that results when one wall is taken for the web."""
    if not others:
        return Shape("flat", web, into_metal(web.faces[0]))
    across = [wall for wall in others if _angle(web, wall) >= 90.0 - SQUARE_DEG]
    beside = [wall for wall in others if _angle(web, wall) <= SQUARE_DEG]
    ends = [_end(web, wall) for wall in across]
    if not across or len(across) + len(beside) != len(others) or 0 in ends or len(set(ends)) != len(ends):
        return Shape("other")
    kind = _kind([_ahead(web, wall) for wall in across], [_ahead(web, wall) for wall in beside])
    way = _scaled(into_metal(web.faces[0]), _ahead(web, across[0]))
    return Shape(kind, web, way, tuple(across), tuple(beside))


def _kind(across: list[int], beside: list[int]) -> Kind:
    """The kind by the sides of the web on which flanges, each at an end of its own, and lips stand."""
    if len(across) == 1:
        return "other" if beside else "angle"
    if across[0] != across[1]:
        return "other" if beside else "Z"
    if not beside:
        return "channel"
    return "lipped channel" if beside == across else "other"


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
    if abs(abs(along) - web.length / 2) > AT_END * web.length + 2 * wall.thickness:
        return 0
    return 1 if along > 0 else -1
