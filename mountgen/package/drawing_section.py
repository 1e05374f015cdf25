"""Sections through the bends of a folded sheet part: chains of flanges cut square to their bend lines.

A section runs through flanges whose bends are parallel, from one free end to the other. It is drawn with
its *base* flange lying: the sheet's upper side (z of the flange) up, the chain running to the right.
A *fold* that turns left bends towards the sheet's upper side. Every bend is in one section.

The *outside length* of a flange runs from its free end, or from the sharp corner that the outer faces of
its bend would make, to the other.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from mountgen.geometry import COINCIDENT, Contour, Placement, Vec2, Vec3, Vertex, cos_deg, dot, sin_deg
from mountgen.mechanics.bending import setback
from mountgen.sheet.tree import Bend, Flange, SheetPart, child_placement

LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ"
STATIONS = 80
"""Places along the bend that are tried for the cut."""
CLEAR_OF_HOLES = 1.0
"""mm that a cut stays clear of a hole."""


PIECE_DEG = 20.0
"""Of a bend, for its pieces."""
TOWARDS: Vec3 = (1.0, 1.0, -1.0)
"""A direction along which every drawn view looks, more or less."""


@dataclass(frozen=True)
class Fold:
    """A bend as the section shows it: `turn_deg` > 0 turns left."""

    tag: str
    turn_deg: float
    inside_radius: float


@dataclass(frozen=True)
class Section:
    """A chain of flanges, by name, their flat lengths (between tangent lines), and the folds between them.

    `base` is the place of the base flange. `cut` is the section's frame in the part: origin where the base's
    lower face begins on the left, x to the right, y towards the base's upper side, z towards the eye.
    """

    letter: str
    thickness: float
    flanges: tuple[str, ...]
    lengths: tuple[float, ...]
    folds: tuple[Fold, ...]
    base: int
    cut: Placement

    @property
    def view_direction(self) -> Vec3:
        """From the eye to the section, in the part's frame."""
        x, y, z = self.cut.z_axis
        return (-x, -y, -z)

    def setbacks(self, k: int) -> Vec2:
        """From a flange's left and right end to the sharp corners of the outer faces; 0 at a free end."""
        before, after = (None, *self.folds, None)[k : k + 2]
        return (self._setback(before), self._setback(after))

    def _setback(self, fold: Fold | None) -> float:
        return setback(self.thickness, fold.inside_radius, abs(fold.turn_deg)) if fold else 0.0

    def outside(self, k: int) -> float:
        """Outside length of a flange of the chain, mm."""
        return self.lengths[k] + sum(self.setbacks(k))


@dataclass(frozen=True)
class _Link:
    """A flange in the chain: its placement, the frame of the cut in it (which way the chain runs, the axis of
    the bends, and where along the axis its origin lies), and its ends along the chain, None when free."""

    flange: Flange
    placement: Placement
    way: Vec2
    origin_at: float
    ends: tuple[float | None, float | None]

    @property
    def axis(self) -> Vec2:
        """Along the bends, so that the chain runs to its right."""
        return (-self.way[1], self.way[0])

    def turned(self) -> _Link:
        """The same flange in a chain that runs the other way."""
        low, high = self.ends
        ends = (None if high is None else -high, None if low is None else -low)
        return replace(self, way=(-self.way[0], -self.way[1]), ends=ends, origin_at=-self.origin_at)


@dataclass(frozen=True)
class _Step:
    """From one flange of a chain over a fold to the next one; `span` is the bend's stretch along the axis."""

    fold: Fold
    span: Vec2
    link: _Link

    def turned(self) -> _Step:
        """The same step in a chain that runs the other way."""
        return _Step(self.fold, (-self.span[1], -self.span[0]), self.link.turned())


@dataclass(frozen=True)
class _Chain:
    """A base flange with the steps that leave it to the right, and those to the left, nearest first."""

    base: _Link
    right: tuple[_Step, ...]
    left: tuple[_Step, ...]

    @property
    def links(self) -> tuple[_Link, ...]:
        """From left to right."""
        return (*(step.link for step in reversed(self.left)), self.base, *(step.link for step in self.right))

    @property
    def view_direction(self) -> Vec3:
        """From the eye to the section, in the part's frame: along the bends."""
        return self.base.placement.turn((*self.base.axis, 0.0))

    def turned(self) -> _Chain:
        """The same chain seen from the other side."""
        left, right = (tuple(step.turned() for step in steps) for steps in (self.left, self.right))
        return _Chain(self.base.turned(), left, right)

    @property
    def folds(self) -> tuple[Fold, ...]:
        """From left to right."""
        return (*(step.fold for step in reversed(self.left)), *(step.fold for step in self.right))


@dataclass(frozen=True)
class _Walk:
    """What is the same on the whole walk: thickness, tags of the bends, and the bends that are in a chain."""

    thickness: float
    tags: dict[int, str]
    seen: set[int]


def sections(part: SheetPart) -> list[Section]:
    """Every section that the part needs, A, B ...; a part without bends needs none."""
    tags = {id(bend): f"B{n}" for n, bend in enumerate(_bends(part.root), 1)}
    chains = _chains(part.root, Placement(), _Walk(part.thickness, tags, set()))
    return [_section(LETTERS[i], _facing(chain), part.thickness) for i, chain in enumerate(chains)]


def _facing(chain: _Chain) -> _Chain:
    """The chain seen from where the drawn views are seen: from the front, from above or from the left."""
    return chain if dot(chain.view_direction, TOWARDS) > 0.0 else chain.turned()


def _bends(flange: Flange) -> Iterator[Bend]:
    """Every bend in the order of the flat's tags."""
    for bend in flange.bends:
        yield bend
        yield from _bends(bend.child)


def _chains(flange: Flange, placement: Placement, walk: _Walk) -> Iterator[_Chain]:
    """Chains whose uppermost flange is this one, then those of what hangs on it."""
    for bend in flange.bends:
        if id(bend) not in walk.seen:
            yield _chain(flange, placement, bend, walk)
    for bend in flange.bends:
        yield from _chains(bend.child, placement.then(child_placement(bend, walk.thickness)), walk)


def _chain(flange: Flange, placement: Placement, bend: Bend, walk: _Walk) -> _Chain:
    """The chain that leaves a flange by `bend` and, if there is one, by a bend opposite."""
    way = _out(bend)
    opposite = _next_bend(flange, (-way[0], -way[1]), walk)
    ends = (None if opposite is None else _dot(opposite.start, way), _dot(bend.start, way))
    base = _Link(flange, placement, way, 0.0, ends)
    right = tuple(_run(base, bend, walk))
    if opposite is None:
        return _Chain(base, right, ())
    return _Chain(base, right, tuple(step.turned() for step in _run(base.turned(), opposite, walk)))


def _run(link: _Link, bend: Bend, walk: _Walk) -> Iterator[_Step]:
    """What follows a flange beyond a bend, as far as the bends are parallel."""
    walk.seen.add(id(bend))
    span = (link.origin_at + _dot(bend.start, link.axis), link.origin_at + _dot(bend.end, link.axis))
    onward = _next_bend(bend.child, (0.0, 1.0), walk)
    placement = link.placement.then(child_placement(bend, walk.thickness))
    ends = (0.0, None if onward is None else onward.start[1])
    child = _Link(bend.child, placement, (0.0, 1.0), span[1], ends)
    yield _Step(Fold(walk.tags[id(bend)], bend.angle_deg, bend.inside_radius), span, child)
    if onward is not None:
        yield from _run(child, onward, walk)


def _next_bend(flange: Flange, way: Vec2, walk: _Walk) -> Bend | None:
    """A bend that leaves a flange in a direction and is in no chain yet."""
    free = (bend for bend in flange.bends if id(bend) not in walk.seen)
    return next((bend for bend in free if _dot(_out(bend), way) >= 1.0 - COINCIDENT), None)


def _out(bend: Bend) -> Vec2:
    """The direction in which a bend leaves its flange."""
    return ((bend.end[1] - bend.start[1]) / bend.width, -(bend.end[0] - bend.start[0]) / bend.width)


def _dot(a: Vec2, b: Vec2) -> float:
    return a[0] * b[0] + a[1] * b[1]


def _section(letter: str, chain: _Chain, thickness: float) -> Section:
    station = _station(chain)
    stretches = [_stretch(link, station) for link in chain.links]
    base, (u, v), (a, b) = chain.base, chain.base.way, chain.base.axis
    start = stretches[len(chain.left)][0]
    cut = Placement(
        base.placement.point((start * u + station * a, start * v + station * b, 0.0)),
        base.placement.turn((u, v, 0.0)),
        base.placement.turn((-a, -b, 0.0)),
    )
    return Section(
        letter,
        thickness,
        tuple(link.flange.name for link in chain.links),
        tuple(high - low for low, high in stretches),
        chain.folds,
        len(chain.left),
        cut,
    )


def _station(chain: _Chain) -> float:
    """Where along the bends to cut: where the flanges are whole, beside the holes, near the middle."""
    spans = [step.span for step in (*chain.right, *chain.left)]
    low, high = max(span[0] for span in spans), min(span[1] for span in spans)
    tried = [low + (high - low) * (k + 0.5) / STATIONS for k in range(STATIONS)]
    middle, holes = (low + high) / 2, [reach for link in chain.links for reach in _holes(link)]

    def flaws(station: float) -> tuple[float, int, float]:
        short = sum(_missing(link, station) for link in chain.links)
        cut = sum(a - CLEAR_OF_HOLES < station < b + CLEAR_OF_HOLES for a, b in holes)
        return (round(short, 2), cut, abs(station - middle))

    return min(tried, key=flaws)


def _stretch(link: _Link, station: float) -> Vec2:
    """From where to where along the chain a flange reaches at a station."""
    low, high = link.ends
    crossed = [at for a, b in link.flange.outline.segments() for at in _crossing(link, (a, b), station)]
    return (min(crossed) if low is None else low, max(crossed) if high is None else high)


def _missing(link: _Link, station: float) -> float:
    """How much shorter the flange is at a station than where it is longest, mm."""
    along = [_dot((v.x, v.y), link.way) for v in link.flange.outline.vertices]
    low, high = _stretch(link, station)
    free = [end is None for end in link.ends]
    return (low - min(along) if free[0] else 0.0) + (max(along) - high if free[1] else 0.0)


def _crossing(link: _Link, edge: tuple[Vertex, Vertex], station: float) -> Iterator[float]:
    """Where along the chain an edge of the flange, its arc taken straight, lies at a station."""
    places = [(v.x, v.y) for v in edge]
    s0, s1 = (link.origin_at + _dot(p, link.axis) - station for p in places)
    if s0 * s1 <= 0.0 and s0 != s1:
        share = s0 / (s0 - s1)
        w0, w1 = (_dot(p, link.way) for p in places)
        yield w0 + share * (w1 - w0)


def _holes(link: _Link) -> Iterator[Vec2]:
    """From where to where along the bends each hole of the flange reaches."""
    turn = math.degrees(math.atan2(link.axis[1], link.axis[0]))
    for hole in link.flange.holes:
        low, _, high, _ = hole.contour.turned(-turn).bounds
        yield (link.origin_at + low, link.origin_at + high)


@dataclass(frozen=True)
class Leg:
    """A flange of the section as it lies on the picture: where its lower face starts and how it is turned."""

    start: Vec2
    turn_deg: float
    length: float
    thickness: float

    def point(self, along: float, up: float) -> Vec2:
        """A place on the flange: mm from its start and from its lower face."""
        c, s = cos_deg(self.turn_deg), sin_deg(self.turn_deg)
        return (self.start[0] + along * c - up * s, self.start[1] + along * s + up * c)


def legs(section: Section) -> tuple[Leg, ...]:
    """Every flange of the section, the base lying with its lower face from (0, 0) to the right."""
    turn = -sum(fold.turn_deg for fold in section.folds[: section.base])
    placed = [Leg((0.0, 0.0), turn, section.lengths[0], section.thickness)]
    for fold, size in zip(section.folds, section.lengths[1:], strict=True):
        placed.append(_after(placed[-1], fold, size))
    dx, dy = placed[section.base].start
    return tuple(replace(leg, start=(leg.start[0] - dx, leg.start[1] - dy)) for leg in placed)


def _after(leg: Leg, fold: Fold, size: float) -> Leg:
    """The flange that follows a fold: its lower face turns about the fold's axis."""
    up = leg.thickness + fold.inside_radius if fold.turn_deg > 0 else -fold.inside_radius
    axis = leg.point(leg.length, up)
    turned = Leg(axis, leg.turn_deg + fold.turn_deg, size, leg.thickness)
    return replace(turned, start=turned.point(0.0, -up))


def pieces(section: Section, most: float) -> Iterator[tuple[Vec2, ...]]:
    """The section cut across into four-cornered pieces at most about `most` mm long."""
    placed = legs(section)
    for leg in placed:
        count = max(1, math.ceil(leg.length / most))
        places = [leg.length * k / count for k in range(count + 1)]
        yield from (_quad(leg, a, leg, b) for a, b in pairwise(places))
    for leg, fold in zip(placed, section.folds, strict=False):
        count = max(1, math.ceil(abs(fold.turn_deg) / PIECE_DEG))
        turned = [
            _after(leg, replace(fold, turn_deg=fold.turn_deg * k / count), 0.0) for k in range(1, count + 1)
        ]
        run = [replace(leg, start=leg.point(leg.length, 0.0), length=0.0), *turned]
        yield from (_quad(a, 0.0, b, 0.0) for a, b in pairwise(run))


def _quad(one: Leg, a: float, other: Leg, b: float) -> tuple[Vec2, ...]:
    faces = (0.0, one.thickness)
    return (*(one.point(a, up) for up in faces), *(other.point(b, up) for up in faces))


def profile(section: Section) -> Contour:
    """The section's outline, counter-clockwise: along the lower face and back along the upper one."""
    placed = legs(section)
    bulges = [math.tan(math.radians(fold.turn_deg) / 4) for fold in section.folds]
    lower = [
        vertex
        for leg, bulge in zip(placed, (*bulges, 0.0), strict=True)
        for vertex in (Vertex(*leg.point(0.0, 0.0)), Vertex(*leg.point(leg.length, 0.0), bulge))
    ]
    upper = [
        vertex
        for leg, bulge in zip(reversed(placed), (*reversed(bulges), 0.0), strict=True)
        for vertex in (
            Vertex(*leg.point(leg.length, leg.thickness)),
            Vertex(*leg.point(0.0, leg.thickness), -bulge),
        )
    ]
    return Contour((*lower, *upper))
