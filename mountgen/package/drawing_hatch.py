"""Hatching of a cut face: narrow lines at 45 deg, evenly spaced (ISO 128-50)."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from mountgen.geometry import Contour, Vec2, arc_of, cos_deg, sin_deg

SPACING = 1.5
"""mm of paper between hatching lines."""
ARC_STEP_DEG = 10.0


def chords(contour: Contour) -> list[Vec2]:
    """The contour as a closed run of points, arcs in steps of a few degrees; the first point comes last."""
    points: list[Vec2] = []
    for a, b in contour.segments():
        points.append((a.x, a.y))
        if a.bulge:
            edge = arc_of(a, b)
            count = math.ceil((edge.end_deg - edge.start_deg) / ARC_STEP_DEG)
            step = (edge.end_deg - edge.start_deg) / count
            turns = [edge.start_deg + step * k for k in range(1, count)]
            (x, y), r = edge.centre, edge.radius
            ordered = turns if a.bulge > 0 else reversed(turns)
            points += [(x + r * cos_deg(turn), y + r * sin_deg(turn)) for turn in ordered]
    return [*points, points[0]]


def hatching(outline: Sequence[Vec2]) -> Iterator[tuple[Vec2, Vec2]]:
    """Lines over the inside of a closed run of points on the paper."""
    sums, step = [x + y for x, y in outline], SPACING * math.sqrt(2)
    for k in range(math.ceil(min(sums) / step), math.floor(max(sums) / step) + 1):
        met = sorted(_crossings(outline, k * step))
        yield from zip(met[::2], met[1::2], strict=True)


def _crossings(outline: Sequence[Vec2], level: float) -> Iterator[Vec2]:
    """Where the line x + y = level crosses the run; each end of an edge counts on one side only."""
    for (x0, y0), (x1, y1) in pairwise(outline):
        s0, s1 = x0 + y0 - level, x1 + y1 - level
        if (s0 < 0.0) != (s1 < 0.0):
            share = s0 / (s0 - s1)
            yield (x0 + share * (x1 - x0), y0 + share * (y1 - y0))
