"""Pieces whose ends nearly meet, joined: nodes, and the links between them.

Words: a *node* is a point where ends meet; a *link* is a piece between two nodes, cut at every node that
lies on it. Ends within the joining distance of each other are one node. Two links are the same when they
join the same nodes and their middles coincide; one of them is left out. A piece that shrinks to one node
is left out too.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from mountgen.geometry import COINCIDENT, Vec2
from mountgen.section.plane import Piece

NEARLY_ROUND = 6.2
"""rad; a sweep beyond this is an arc whose ends changed places in the last digits, not an arc."""
CROWD = 50
"""Ends looked at where more than that meet."""


Array = npt.NDArray[np.float64]


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
    nodes = _Field(net.nodes)
    lengths: dict[int, float] = defaultdict(float)
    for piece in pieces:
        lengths[piece.entity] += piece.length
    order = sorted(range(len(pieces)), key=lambda i: (-lengths[pieces[i].entity], pieces[i].entity, i))
    seen: dict[tuple[int, int], list[Link]] = defaultdict(list)
    fate: dict[int, list[bool]] = {piece.entity: [] for piece in pieces}
    shrunk: list[int] = []
    for i in order:
        own = list(_cut(pieces[i], owners.ends[i], nodes, joining))
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


def _cut(piece: Piece, ends: tuple[int, int], nodes: _Field, joining: float) -> Iterator[Link]:
    """The piece as links, from node to node along it; none when it shrank to one node."""
    inner = [node for node in nodes.on(piece, joining) if node not in ends]
    for a, b in pairwise([ends[0], *inner, ends[1]]):
        part = Piece(nodes.places[a], nodes.places[b], piece.centre, piece.entity)
        if a != b and part.sweep < NEARLY_ROUND:
            yield Link(a, b, part)


class _Field:
    """All nodes, ready to be asked which lie on a piece."""

    def __init__(self, places: list[Vec2]) -> None:
        self.places = places
        everywhere = np.array(places).reshape(-1, 2)
        self._order = np.argsort(everywhere[:, 0], kind="stable")
        self._sorted = everywhere[self._order]

    def on(self, piece: Piece, joining: float) -> list[int]:
        """The nodes within `joining` of a piece, between its ends, in order along it."""
        low, high = _reach(piece, joining)
        first, last = np.searchsorted(self._sorted[:, 0], (low, high))
        places = self._sorted[first:last]
        along, off, size = _on_line(piece, places) if piece.centre is None else _on_arc(piece, places)
        found = np.flatnonzero((off <= joining) & (along > 0.0) & (along < size))
        in_order = found[np.argsort(along[found], kind="stable")]
        return [int(node) for node in self._order[first:last][in_order]]


def _reach(piece: Piece, joining: float) -> Vec2:
    """Lowest and highest x on a piece, or on the whole circle of an arc."""
    if piece.centre is None:
        low, high = sorted((piece.start[0], piece.end[0]))
    else:
        low, high = piece.centre[0] - piece.radius, piece.centre[0] + piece.radius
    return (low - joining, high + joining)


def _on_line(piece: Piece, places: Array) -> tuple[Array, Array, float]:
    """How far along a line and how far off it places lie, and its length (mm)."""
    size = math.dist(piece.start, piece.end)
    dx, dy = ((e - s) / (size or 1.0) for s, e in zip(piece.start, piece.end, strict=True))
    x, y = places[:, 0] - piece.start[0], places[:, 1] - piece.start[1]
    return x * dx + y * dy, np.abs(x * dy - y * dx), size


def _on_arc(piece: Piece, places: Array) -> tuple[Array, Array, float]:
    """How far round an arc (rad) and how far off it (mm) places lie, and its sweep (rad)."""
    assert piece.centre is not None
    x, y = places[:, 0] - piece.centre[0], places[:, 1] - piece.centre[1]
    start = math.atan2(piece.start[1] - piece.centre[1], piece.start[0] - piece.centre[0])
    round_it = (np.arctan2(y, x) - start) % (2 * math.pi)
    return round_it, np.abs(np.hypot(x, y) - piece.radius), piece.sweep
