"""Lines of a view that lie on each other: joined within a kind, and drawn as one kind only.

Words: a *carrier* is the endless line, or the full circle, that a piece lies on; a *span* is the piece's
stretch along it, in mm or in degrees. On each carrier the kinds are laid down in order of rank, each
one only where no earlier one lies.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from mountgen.geometry import Arc, Vec2
from mountgen.views import Curve, Line, Polyline

Span = tuple[float, float]
Carrier = tuple[float, ...]
Piece = tuple[int, Carrier, Span]
"""Rank of the kind, carrier, span."""

SAME_PLACE = 1e-3
"""mm on paper within which two lines are one."""

SAME_ANGLE = 1e-5
"""rad within which two lines are parallel."""

_DIGITS = 6


def without_overlaps(kinds: Sequence[Sequence[Curve]]) -> list[tuple[Curve, ...]]:
    """The same curves kind by kind, first rank first: joined where they meet on one carrier, each place
    drawn once, in the first kind that has it, in a fixed order."""
    curves = [(rank, curve) for rank, kind in enumerate(kinds) for curve in kind]
    lines = [_line_piece(rank, c) for rank, c in curves if isinstance(c, Line)]
    arcs = [piece for rank, c in curves if isinstance(c, Arc) for piece in _arc_pieces(rank, c)]
    found: list[list[Curve]] = [[] for _ in kinds]
    for group in _clusters(lines, (SAME_ANGLE, SAME_PLACE)):
        for rank, span in _laid_down(group, len(kinds), SAME_PLACE):
            found[rank].append(_line(group[0][1], span))
    for group in _clusters(arcs, (SAME_PLACE, SAME_PLACE, SAME_PLACE)):
        least = math.degrees(SAME_PLACE / group[0][1][2])
        for rank, spans in _by_rank(_laid_down(group, len(kinds), least)):
            found[rank].extend(_arc(group[0][1], span) for span in _closed(spans, least))
    for rank, polyline in _distinct_polylines(curves):
        found[rank].append(polyline)
    return [tuple(sorted(kind, key=_sort_key)) for kind in found]


def _line_piece(rank: int, line: Line) -> Piece:
    """The carrier as angle in [0, pi), a little less for rounding, and distance from the origin; the span
    along it."""
    (u0, v0), (u1, v1) = sorted((line.start, line.end))
    angle = math.atan2(v1 - v0, u1 - u0)
    if angle < -SAME_ANGLE:
        angle += math.pi
    c, s = math.cos(angle), math.sin(angle)
    first, last = sorted((u0 * c + v0 * s, u1 * c + v1 * s))
    return rank, (angle, v0 * c - u0 * s), (first, last)


def _line(carrier: Carrier, span: Span) -> Line:
    angle, offset = carrier
    c, s = math.cos(angle), math.sin(angle)
    ends = [_rounded((along * c - offset * s, along * s + offset * c)) for along in span]
    return Line(ends[0], ends[1])


def _arc_pieces(rank: int, arc: Arc) -> Iterator[Piece]:
    """The span within 0..360 deg, in two pieces if it runs through 0."""
    carrier = (*arc.centre, arc.radius)
    sweep = arc.end_deg - arc.start_deg
    start = 0.0 if sweep >= 360.0 else arc.start_deg % 360.0
    yield rank, carrier, (start, min(start + sweep, 360.0))
    if start + sweep > 360.0:
        yield rank, carrier, (0.0, start + sweep - 360.0)


def _arc(carrier: Carrier, span: Span) -> Arc:
    u, v, radius = carrier
    return Arc(_rounded((u, v)), round(radius, _DIGITS), round(span[0], _DIGITS), round(span[1], _DIGITS))


def _closed(spans: list[Span], least: float) -> list[Span]:
    """Spans of a circle with the two that meet at 0 deg joined to one that runs on beyond 360."""
    if len(spans) < 2 or spans[0][0] > least or spans[-1][1] < 360.0 - least:
        return spans
    return [*spans[1:-1], (spans[-1][0], spans[0][1] + 360.0)]


def _clusters(pieces: Sequence[Piece], steps: Sequence[float], number: int = 0) -> Iterator[list[Piece]]:
    """Pieces whose carriers agree in every number, within the steps."""
    if number == len(steps):
        yield list(pieces)
        return
    group: list[Piece] = []
    for piece in sorted(pieces, key=lambda p: p[1][number]):
        if group and piece[1][number] - group[-1][1][number] > steps[number]:
            yield from _clusters(group, steps, number + 1)
            group = []
        group.append(piece)
    if group:
        yield from _clusters(group, steps, number + 1)


def _laid_down(group: Sequence[Piece], ranks: int, least: float) -> Iterator[tuple[int, Span]]:
    """Spans by rank, joined, without what earlier ranks cover; shorter ones than `least` are dropped."""
    covered: list[Span] = []
    for rank in range(ranks):
        own = _joined([span for r, _, span in group if r == rank], least)
        for span in own:
            yield from ((rank, rest) for rest in _rest(span, covered) if rest[1] - rest[0] > least)
        covered = _joined([*covered, *own], least)


def _by_rank(spans: Iterator[tuple[int, Span]]) -> Iterator[tuple[int, list[Span]]]:
    gathered: dict[int, list[Span]] = {}
    for rank, span in spans:
        gathered.setdefault(rank, []).append(span)
    yield from gathered.items()


def _joined(spans: Sequence[Span], gap: float) -> list[Span]:
    result: list[Span] = []
    for first, last in sorted(spans):
        if result and first <= result[-1][1] + gap:
            result[-1] = (result[-1][0], max(result[-1][1], last))
        else:
            result.append((first, last))
    return result


def _rest(span: Span, covered: Sequence[Span]) -> Iterator[Span]:
    """What is left of a span outside the covered ones, which are in order and apart."""
    first, last = span
    for low, high in covered:
        if high <= first or low >= last:
            continue
        if low > first:
            yield first, low
        first = max(first, high)
    if first < last:
        yield first, last


def _distinct_polylines(curves: Sequence[tuple[int, Curve]]) -> Iterator[tuple[int, Polyline]]:
    """Each polyline once, in the first kind that has it, whichever way it runs."""
    seen: set[tuple[Vec2, ...]] = set()
    for rank, curve in curves:
        if isinstance(curve, Polyline):
            points = tuple(_rounded(point) for point in curve.points)
            forward = min(points, points[::-1])
            coarse = tuple((round(u, 2), round(v, 2)) for u, v in forward)
            if coarse not in seen:
                seen.add(coarse)
                yield rank, Polyline(forward)


def _rounded(point: Vec2) -> Vec2:
    """To the nanometre, and never -0.0."""
    return round(point[0], _DIGITS) + 0.0, round(point[1], _DIGITS) + 0.0


def _sort_key(curve: Curve) -> tuple[int, tuple[float, ...]]:
    if isinstance(curve, Line):
        return 0, (*curve.start, *curve.end)
    if isinstance(curve, Arc):
        return 1, (*curve.centre, curve.radius, curve.start_deg, curve.end_deg)
    return 2, tuple(number for point in curve.points for number in point)
