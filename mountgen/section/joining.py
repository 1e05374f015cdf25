"""Pieces whose ends nearly meet, joined: nodes, and the links between them.

Words: a *node* is a point where ends meet; a *link* is a piece between two nodes, cut at every node that
lies on it. Ends within the joining distance of each other are one node. Two links are the same when they
join the same nodes and their middles coincide; one of them is left out. A piece that shrinks to one node
is left out too.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from mountgen.geometry import COINCIDENT, Vec2
from mountgen.section.plane import Piece

NEARLY_ROUND = 6.2
"""rad; a sweep beyond this is an arc whose ends changed places in the last digits, not an arc."""
CROWD = 50
"""Ends looked at where more than that meet."""
BUNDLE = 8
"""A cell of the grid is this many joining distances wide, at least."""


@dataclass(frozen=True)
class Link:
    """A line or arc (counter-clockwise about `centre`) from node `start` to node `end`."""

    start: int
    end: int
    piece: Piece


@dataclass(frozen=True)
class Gap:
    """Ends that did not quite meet and were joined."""

    where: Vec2
    size: float


@dataclass
class Net:
    """Nodes and links of a drawing, and what was done to get them."""

    nodes: list[Vec2]
    links: list[Link] = field(default_factory=list)
    gaps: list[Gap] = field(default_factory=list)
    doubled: list[int] = field(default_factory=list)
    """Entities that draw nothing but what others draw."""
    trimmed: int = 0
    """Entities that draw in part what others draw."""
    vanished: list[int] = field(default_factory=list)
    """Entities that shrank to points."""
    shrunk: int = 0
    """Pieces of other entities that shrank to a point."""


class _Grid:
    """Points by their cell, for the question which ones are near."""

    def __init__(self, cell: float) -> None:
        self._cell = cell
        self._places: dict[tuple[int, int], list[int]] = defaultdict(list)

    def add(self, point: Vec2, index: int) -> None:
        self._places[self._key(point)].append(index)

    def near(self, point: Vec2) -> Iterator[int]:
        x, y = self._key(point)
        for i in (x - 1, x, x + 1):
            for j in (y - 1, y, y + 1):
                yield from self._places.get((i, j), ())

    def within(self, low: Vec2, high: Vec2) -> Iterator[int]:
        """Everything in the cells that a box touches, by cells or by contents, whichever are fewer."""
        (x0, y0), (x1, y1) = self._key(low), self._key(high)
        if (x1 - x0 + 1) * (y1 - y0 + 1) > len(self._places):
            for (x, y), indices in self._places.items():
                if x0 <= x <= x1 and y0 <= y <= y1:
                    yield from indices
            return
        for x in range(x0, x1 + 1):
            for y in range(y0, y1 + 1):
                yield from self._places.get((x, y), ())

    def _key(self, point: Vec2) -> tuple[int, int]:
        return math.floor(point[0] / self._cell), math.floor(point[1] / self._cell)


def joined(pieces: Sequence[Piece], joining: float) -> Net:
    """The net of pieces whose ends, within `joining` mm, meet."""
    owners = _nodes(pieces, joining)
    net = Net(owners.places)
    net.gaps = _gaps(pieces, owners, joining)
    _add_links(net, pieces, owners, joining)
    return net


@dataclass
class _Owners:
    """Node of each piece's start and end, and where the nodes lie."""

    ends: list[tuple[int, int]]
    places: list[Vec2]


def _nodes(pieces: Sequence[Piece], joining: float) -> _Owners:
    """Each end goes to the nearest node within reach, or founds one; taken in order of place, so that the
    order of the drawing does not matter. A node lies at the mean of its ends."""
    points = sorted({end for piece in pieces for end in (piece.start, piece.end)})
    seeds: list[Vec2] = []
    grid, node_of = _Grid(joining), dict[Vec2, int]()
    members: dict[int, list[Vec2]] = defaultdict(list)
    for point in points:
        near = [(math.dist(point, seeds[i]), i) for i in grid.near(point)]
        distance, index = min(near, default=(math.inf, -1))
        if distance > joining:
            index = len(seeds)
            seeds.append(point)
            grid.add(point, index)
        node_of[point] = index
        members[index].append(point)
    places = [_mean(members[i]) for i in range(len(seeds))]
    return _Owners([(node_of[p.start], node_of[p.end]) for p in pieces], places)


def _mean(points: Sequence[Vec2]) -> Vec2:
    """The mean of points; of points that are one but for rounding, the first, unchanged."""
    x0, y0 = points[0]
    if all(math.dist(point, (x0, y0)) <= COINCIDENT for point in points):
        return (x0, y0)
    return (
        x0 + math.fsum(x - x0 for x, _ in points) / len(points),
        y0 + math.fsum(y - y0 for _, y in points) / len(points),
    )


def _gaps(pieces: Sequence[Piece], owners: _Owners, joining: float) -> list[Gap]:
    """The nodes whose ends lie apart and are not held together by a piece that shrank to the node."""
    members: dict[int, set[Vec2]] = defaultdict(set)
    held: dict[int, list[tuple[Vec2, Vec2]]] = defaultdict(list)
    for piece, (a, b) in zip(pieces, owners.ends, strict=True):
        members[a].add(piece.start)
        members[b].add(piece.end)
        if a == b and piece.length <= 4 * joining:
            held[a].append((piece.start, piece.end))
    found = []
    for node, points in members.items():
        groups = _groups(sorted(points)[:CROWD], held[node])
        if len(groups) > 1:
            size = max(min(math.dist(p, q) for p in groups[0] for q in other) for other in groups[1:])
            found.append(Gap(owners.places[node], size))
    return sorted(found, key=lambda gap: (-gap.size, gap.where))


def _groups(points: Sequence[Vec2], held: Sequence[tuple[Vec2, Vec2]]) -> list[list[Vec2]]:
    """Points that coincide or are held together, group by group."""
    groups: list[list[Vec2]] = []
    for point in points:
        partners = {q for pair in held if point in pair for q in pair}
        touching = [g for g in groups if any(q in partners or math.dist(point, q) <= COINCIDENT for q in g)]
        groups = [g for g in groups if g not in touching] + [[point, *(q for g in touching for q in g)]]
    return groups


def _add_links(net: Net, pieces: Sequence[Piece], owners: _Owners, joining: float) -> None:
    """Long entities first: what lies on top of a longer one is the double."""
    grid = _grid_of(net.nodes, pieces, joining)
    lengths: dict[int, float] = defaultdict(float)
    for piece in pieces:
        lengths[piece.entity] += piece.length
    order = sorted(range(len(pieces)), key=lambda i: (-lengths[pieces[i].entity], pieces[i].entity, i))
    seen: dict[tuple[int, int], list[Link]] = defaultdict(list)
    fate: dict[int, list[bool]] = {piece.entity: [] for piece in pieces}
    shrunk: list[int] = []
    for i in order:
        own = list(_cut(pieces[i], owners.ends[i], net.nodes, grid, joining))
        if not own:
            shrunk.append(pieces[i].entity)
        for link in own:
            key = (min(link.start, link.end), max(link.start, link.end))
            fresh = all(math.dist(link.piece.middle, o.piece.middle) > joining for o in seen[key])
            fate[link.piece.entity].append(fresh)
            if fresh:
                seen[key].append(link)
                net.links.append(link)
    net.doubled = [entity for entity, news in sorted(fate.items()) if news and not any(news)]
    net.vanished = [entity for entity, news in sorted(fate.items()) if not news]
    net.shrunk = sum(bool(fate[entity]) for entity in shrunk)
    net.trimmed = sum(any(news) and not all(news) for news in fate.values())


def _grid_of(nodes: Sequence[Vec2], pieces: Sequence[Piece], joining: float) -> _Grid:
    usual = sum(piece.length for piece in pieces) / max(1, len(pieces))
    grid = _Grid(max(BUNDLE * joining, usual))
    for i, node in enumerate(nodes):
        grid.add(node, i)
    return grid


def _cut(
    piece: Piece, ends: tuple[int, int], nodes: Sequence[Vec2], grid: _Grid, joining: float
) -> Iterator[Link]:
    """The piece as links, from node to node along it; none when it shrank to one node."""
    stops = [ends[0], *_nodes_on(piece, ends, nodes, grid, joining), ends[1]]
    for a, b in pairwise(stops):
        part = Piece(nodes[a], nodes[b], piece.centre, piece.entity)
        if a != b and part.sweep < NEARLY_ROUND:
            yield Link(a, b, part)


def _nodes_on(
    piece: Piece, ends: tuple[int, int], nodes: Sequence[Vec2], grid: _Grid, joining: float
) -> Iterable[int]:
    low, high = _reach(piece, joining)
    found = []
    for i in grid.within(low, high):
        along = _along(piece, nodes[i], joining) if i not in ends else None
        if along is not None:
            found.append((along, i))
    return [i for _, i in sorted(found)]


def _reach(piece: Piece, joining: float) -> tuple[Vec2, Vec2]:
    if piece.centre is None:
        xs, ys = (piece.start[0], piece.end[0]), (piece.start[1], piece.end[1])
    else:
        (x, y), r = piece.centre, piece.radius
        xs, ys = (x - r, x + r), (y - r, y + r)
    return (min(xs) - joining, min(ys) - joining), (max(xs) + joining, max(ys) + joining)


def _along(piece: Piece, point: Vec2, joining: float) -> float | None:
    """How far along a piece a point on it lies, in mm; None when it lies elsewhere or at an end."""
    if piece.centre is None:
        dx, dy = piece.end[0] - piece.start[0], piece.end[1] - piece.start[1]
        size = math.hypot(dx, dy)
        if size == 0.0:
            return None
        px, py = point[0] - piece.start[0], point[1] - piece.start[1]
        along, off = (px * dx + py * dy) / size, abs(px * dy - py * dx) / size
        return along if off <= joining and 0.0 < along < size else None
    off = abs(math.dist(point, piece.centre) - piece.radius)
    part = Piece(piece.start, point, piece.centre, piece.entity)
    inside = 0.0 < part.sweep < piece.sweep
    return part.length if off <= joining and inside else None
