"""What is put together, and in which order it can be.

Words: a *piece* comes in as a whole, a part or a sub-assembly made up on the bench. A *fastening* is one
joint with its hardware; it is tightened when the last of its pieces is in place. The *site* is what stands on
the line before anything is mounted. The *way in* of a piece is a straight line from outside to its place.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from mountgen.assembly.room import Things, corners_of, things_of
from mountgen.demand import Floats
from mountgen.geometry import Box, Vec3


@dataclass(frozen=True)
class Piece:
    """One thing that is added at once. `axes` are the directions in which it is pushed onto its neighbours:
    only along these may it leave a box that its own box lies in, as a shaft leaves its hole. `needs` are the
    pieces that must hold it before. What `plugs_in`, such as a cap, comes in along its axes only."""

    name: str
    boxes: tuple[Box, ...]
    axes: tuple[Vec3, ...] = ()
    needs: frozenset[str] = frozenset()
    plugs_in: bool = False

    @cached_property
    def corners(self) -> Floats:
        """Of its boxes."""
        return corners_of(self.boxes)


@dataclass(frozen=True)
class Fastening:
    """A joint between pieces. `room` is the straight room its key needs in front of the head, mm, and 0 for
    what takes no key; the site counts as always there and is not among the pieces."""

    id: str
    pieces: frozenset[str]
    point: Vec3
    direction: Vec3
    room: float
    boxes: tuple[Box, ...] = ()

    @cached_property
    def corners(self) -> Floats:
        """Of its boxes."""
        return corners_of(self.boxes)


@dataclass(frozen=True)
class Puzzle:
    """Pieces in the order in which a fitter would like to add them, their fastenings, the site by name."""

    pieces: tuple[Piece, ...]
    fastenings: tuple[Fastening, ...]
    site: tuple[tuple[str, Box], ...] = ()

    @cached_property
    def standing(self) -> Things:
        """The site's boxes."""
        return things_of(self.site)


@dataclass(frozen=True)
class Move:
    """A piece comes in along `direction` (None for the first one on the bench), then these are tightened;
    `room` is the least that any of their keys finds, mm."""

    piece: str
    direction: Vec3 | None
    fastenings: tuple[str, ...]
    room: float


@dataclass(frozen=True)
class Blocked:
    """No order works: with all the others in place, `piece` cannot come in (`fastening` is '') or that
    fastening cannot be tightened, for `blocker` is in the way. Of a key's room, mm are free of those needed;
    of a way in, `room` is how far the blocker reaches into it, negative."""

    piece: str
    fastening: str
    blocker: str
    room: float
    needed: float


@dataclass(frozen=True)
class Step:
    """One step of the sheet: on the bench, a sub-assembly is made up; on the line, a piece is mounted.
    `pieces` are the parts that come in with each move."""

    title: str
    moves: tuple[Move, ...]
    pieces: tuple[tuple[str, ...], ...]
    on_bench: bool = False

    @property
    def instances(self) -> tuple[str, ...]:
        return tuple(name for piece in self.pieces for name in piece)

    @property
    def fastenings(self) -> tuple[str, ...]:
        return tuple(id_ for move in self.moves for id_ in move.fastenings)


@dataclass(frozen=True)
class Assembly:
    """All steps; `blocked` says where the proof fails, and the steps then end before it."""

    steps: tuple[Step, ...]
    blocked: Blocked | None = None
