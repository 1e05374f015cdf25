"""From a net to closed contours, or to what keeps it from closing.

Words: a *chain* is a run of links through nodes where exactly two meet; an end that nothing meets is
*loose*; where three or more meet is a *fork*. A net is sound when it has neither.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from mountgen.geometry import Contour, Vec2, Vertex, circle
from mountgen.section.faults import LISTED, at, fine
from mountgen.section.joining import Link, Net
from mountgen.section.strokes import WIDEST

STRAIGHT = 1e-4
"""mm; a vertex this close to the line between its neighbours is none."""
ROUND = 1e-3
"""mm; arcs whose centres and radii agree this well lie on one circle."""
LONGEST_RUN = 200
"""Vertices that are taken out of one straight line."""

Meetings = dict[int, list[Link]]


@dataclass(frozen=True)
class Open:
    """One place where the net is not closed, in words."""

    found: str


@dataclass(frozen=True)
class _Span:
    """One line or arc of a contour, run through; `sweep` in rad, + counter-clockwise, 0 for a line."""

    start: Vec2
    end: Vec2
    centre: Vec2 | None
    sweep: float

    @property
    def radius(self) -> float:
        return math.dist(self.start, self.centre) if self.centre is not None else math.inf


def open_places(net: Net) -> list[Open]:
    """Every loose end, gap and fork; empty when all is closed."""
    meetings = _meetings(net)
    loose = [node for node, links in sorted(meetings.items()) if len(links) == 1]
    if not loose:
        return _forks(net, meetings)
    ends, found = [], []
    for node in loose:
        last, size = _far_end(node, meetings)
        if len(meetings[last]) > 2:
            place = f"dangling end {at(net.nodes[node])}, {fine(size)} mm past {at(net.nodes[last])}"
            found.append(Open(place))
        else:
            ends.append(node)
    return [*_gaps([net.nodes[node] for node in ends]), *found]


def _meetings(net: Net) -> Meetings:
    meetings: Meetings = defaultdict(list)
    for link in net.links:
        meetings[link.start].append(link)
        meetings[link.end].append(link)
    return meetings


def _far_end(node: int, meetings: Meetings) -> tuple[int, float]:
    """The other end of the chain that begins at a loose node, and the chain's length."""
    link, length = meetings[node][0], 0.0
    while True:
        length += link.piece.length
        node = link.end if link.start == node else link.start
        if len(meetings[node]) != 2:
            return node, length
        link = next(other for other in meetings[node] if other is not link)


def _gaps(ends: list[Vec2]) -> Iterator[Open]:
    """Loose ends in pairs, the nearest ones first; those beyond the ones that are told, only counted."""
    for _ in range(LISTED):
        if len(ends) < 2:
            return
        size, p, q = min((math.dist(p, q), p, q) for p, q in _candidates(ends))
        yield Open(f"open contour, gap {fine(size)} mm between {at(p)} and {at(q)}")
        ends = [e for e in ends if e not in (p, q)]
    yield from (Open("open contour") for _ in range(len(ends) // 2))


def _candidates(ends: Sequence[Vec2]) -> Iterator[tuple[Vec2, Vec2]]:
    """Pairs among the first loose ends: no more than are worth telling."""
    few = sorted(ends)[: 20 * LISTED]
    yield from ((p, q) for i, p in enumerate(few) for q in few[i + 1 :])


def _forks(net: Net, meetings: Meetings) -> list[Open]:
    forks = [(node, links) for node, links in sorted(meetings.items()) if len(links) > 2]
    return [Open(f"{len(links)} lines meet at {at(net.nodes[node])}") for node, links in forks]


def closed_contours(net: Net) -> list[Contour]:
    """The contours of a sound net, counter-clockwise, largest first."""
    meetings = _meetings(net)
    left = {id(link): link for link in net.links}
    found = []
    while left:
        run = _run(next(iter(left.values())), meetings, left)
        found.append(_contour(_simplified(run)))
    return sorted(found, key=lambda c: (-c.area, c.bounds))


def _run(first: Link, meetings: Meetings, left: dict[int, Link]) -> list[_Span]:
    """The spans of the loop that `first` is on; its links are taken out of `left`."""
    link, node = first, first.start
    run = []
    while id(link) in left:
        del left[id(link)]
        run.append(_span(link, forward=link.start == node))
        node = link.end if link.start == node else link.start
        link = next(other for other in meetings[node] if other is not link)
    return run


def _span(link: Link, *, forward: bool) -> _Span:
    piece = link.piece
    if forward:
        return _Span(piece.start, piece.end, piece.centre, piece.sweep)
    return _Span(piece.end, piece.start, piece.centre, -piece.sweep)


def _contour(run: list[_Span]) -> Contour:
    """A contour, counter-clockwise; a full circle in its usual form."""
    if _on_one_circle(run) and run[0].centre is not None:
        return circle(run[0].centre, 2 * run[0].radius)
    contour = Contour(tuple(Vertex(*span.start, math.tan(span.sweep / 4)) for span in run))
    return contour if contour.area >= 0 else _reversed(contour)


def _reversed(contour: Contour) -> Contour:
    turned = contour.vertices[::-1]
    bulges = [-v.bulge for v in turned[1:] + turned[:1]]
    return Contour(tuple(Vertex(v.x, v.y, b) for v, b in zip(turned, bulges, strict=True)))


def _on_one_circle(run: Sequence[_Span]) -> bool:
    total = abs(sum(span.sweep for span in run))
    return all(_same_circle(run[0], span) for span in run) and abs(total - 2 * math.pi) < 1e-2


def _same_circle(a: _Span, b: _Span) -> bool:
    if a.centre is None or b.centre is None or a.sweep * b.sweep < 0:
        return False
    return math.dist(a.centre, b.centre) <= ROUND and abs(a.radius - b.radius) <= ROUND


def _simplified(run: list[_Span]) -> list[_Span]:
    """The loop without vertices inside a straight line or an arc."""
    corner = next((i for i in range(len(run)) if _merged(run[i - 1], run[i], []) is None), None)
    if corner is None or _on_one_circle(run):
        return run
    result: list[_Span] = []
    between: list[Vec2] = []
    for span in (*run[corner:], *run[:corner]):
        merged = _merged(result[-1], span, between) if result else None
        if merged is None:
            result.append(span)
            between = []
        else:
            between.append(span.start)
            result[-1] = merged
    return result


def _merged(a: _Span, b: _Span, between: Sequence[Vec2]) -> _Span | None:
    """Two neighbours as one span; None when there is a corner between them, or was one `between`."""
    if a.centre is not None or b.centre is not None:
        wide = abs(a.sweep + b.sweep) > WIDEST
        return None if wide or not _same_circle(a, b) else _Span(a.start, b.end, a.centre, a.sweep + b.sweep)
    whole = _Span(a.start, b.end, None, 0.0)
    dx, dy = b.end[0] - a.start[0], b.end[1] - a.start[1]
    size = math.hypot(dx, dy)
    if size <= max(math.dist(a.start, a.end), math.dist(b.start, b.end)) or len(between) > LONGEST_RUN:
        return None
    offsets = (abs((p[0] - a.start[0]) * dy - (p[1] - a.start[1]) * dx) for p in (*between, a.end))
    return whole if max(offsets) <= STRAIGHT * size else None
