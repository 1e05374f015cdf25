"""The corners of an outline as a fabricator reads them: where edges meet, and what rounds them.

A *corner* is where two edges meet; when a tangent arc rounds it, it is where the two straight edges
would meet without the arc. Any other arc is an edge of its own, from one corner to the next.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from mountgen.geometry import Arc, Contour, Vec2, Vertex, arc_of

TANGENT = 1e-4
"""How far the directions of a line and an arc may differ, as a sine, and still be tangent."""
STEEPEST_DEG = 170.0
"""An arc that sweeps more than this rounds no corner: its edges would meet too far away."""
ON_BOX = 0.005
"""mm; a corner this close to the outline's box lies on it."""


@dataclass(frozen=True)
class Corner:
    """One corner; `radius` rounds it (0 is sharp), `leaves_by` is the arc to the next corner, if any."""

    tag: str
    at: Vec2
    radius: float = 0.0
    leaves_by: Arc | None = None


def corners(outline: Contour) -> tuple[Corner, ...]:
    """Every corner in the order of the outline (counter-clockwise), tagged P1, P2 ..."""
    vertices = outline.vertices
    found: list[Corner] = []
    skipped = _is_fillet(outline, len(vertices) - 1)
    for i, vertex in enumerate(vertices):
        if skipped:
            skipped = False
            continue
        tag = f"P{len(found) + 1}"
        following = vertices[(i + 1) % len(vertices)]
        if _is_fillet(outline, i):
            arc = arc_of(vertex, following)
            found.append(Corner(tag, _sharp(vertices[i - 1], vertex, arc), arc.radius))
            skipped = True
        else:
            found.append(Corner(tag, (vertex.x, vertex.y), 0.0, _arc_or_none(vertex, following)))
    return tuple(found)


def is_rectangle(outline: Contour) -> bool:
    """Whether the outline is an upright rectangle, its four corners alike."""
    found = corners(outline)
    x0, y0, x1, y1 = outline.bounds
    box = {(x, y) for x in (x0, x1) for y in (y0, y1)}
    on_box = all(any(math.dist(c.at, corner) <= ON_BOX for corner in box) for c in found)
    alike = len({(round(c.radius, 3), c.leaves_by) for c in found}) == 1
    return len(found) == 4 and on_box and alike and found[0].leaves_by is None


def _arc_or_none(a: Vertex, b: Vertex) -> Arc | None:
    return arc_of(a, b) if a.bulge != 0.0 else None


def _is_fillet(outline: Contour, i: int) -> bool:
    """Whether the edge that leaves vertex i is an arc tangent to a straight edge at both ends."""
    vertices = outline.vertices
    count = len(vertices)
    before, start = vertices[i - 1], vertices[i]
    end, after = vertices[(i + 1) % count], vertices[(i + 2) % count]
    straight = before.bulge == 0.0 and end.bulge == 0.0
    if start.bulge == 0.0 or not straight or count < 4:
        return False
    half_deg = math.degrees(2 * math.atan(abs(start.bulge)))
    if 2 * half_deg > STEEPEST_DEG:
        return False
    chord = _direction(start, end)
    turn = math.radians(half_deg) * math.copysign(1.0, start.bulge)
    arrives = abs(_sine(_direction(before, start), _turned(chord, -turn))) <= TANGENT
    leaves = abs(_sine(_direction(end, after), _turned(chord, turn))) <= TANGENT
    return arrives and leaves


def _sharp(before: Vertex, start: Vertex, arc: Arc) -> Vec2:
    """Where the edge into the arc would meet the edge out of it: r tan(sweep / 2) beyond its start."""
    dx, dy = _direction(before, start)
    reach = arc.radius * math.tan(math.radians(arc.end_deg - arc.start_deg) / 2)
    return (start.x + reach * dx, start.y + reach * dy)


def _direction(a: Vertex, b: Vertex) -> Vec2:
    size = math.hypot(b.x - a.x, b.y - a.y)
    return ((b.x - a.x) / size, (b.y - a.y) / size)


def _turned(d: Vec2, angle: float) -> Vec2:
    c, s = math.cos(angle), math.sin(angle)
    return (c * d[0] - s * d[1], s * d[0] + c * d[1])


def _sine(a: Vec2, b: Vec2) -> float:
    return a[0] * b[1] - a[1] * b[0]
