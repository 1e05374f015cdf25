"""An order of assembly, found by taking the finished mount apart.

Whatever can be taken off a mount can still be taken off when less of it is there: fewer things hang on it or
stand in the way of a key or of a part. So it does not matter which of several removable pieces goes first,
and when none can go, no order exists. Reversed, the order of taking apart is the order of assembly.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from mountgen.assembly.records import Blocked, Fastening, Move, Piece, Puzzle
from mountgen.assembly.room import FREE, LINED_UP, WAYS, Hindrance, Things, hindrance, least_run
from mountgen.geometry import Vec3, dot, scale


@dataclass(frozen=True)
class _State:
    """What is mounted at some moment."""

    puzzle: Puzzle
    present: tuple[Piece, ...]

    @cached_property
    def complete(self) -> tuple[Fastening, ...]:
        names = {piece.name for piece in self.present}
        return tuple(f for f in self.puzzle.fastenings if f.pieces <= names)

    def without(self, piece: Piece) -> _State:
        return _State(self.puzzle, tuple(other for other in self.present if other is not piece))

    @cached_property
    def things(self) -> Things:
        """Every box that stands there, by the name of its piece, fastening or place on site."""
        site = self.puzzle.standing
        pieces = (name for piece in self.present for name in (piece.name,) * len(piece.boxes))
        fastenings = (name for f in self.complete for name in (f.id,) * len(f.boxes))
        corners = [piece.corners for piece in self.present] + [f.corners for f in self.complete]
        return Things((*pieces, *fastenings, *site.names), np.concatenate([*corners, site.corners]))


def find_order(puzzle: Puzzle) -> tuple[Move, ...] | Blocked:
    """The moves that put everything together, as near to the wished order as can be, or what forbids it."""
    state, moves = _State(puzzle, puzzle.pieces), list[Move]()
    while state.present:
        tried = [*_tries(state)]
        piece, found = tried[-1]
        if isinstance(found, Blocked):
            return next(blocked for _, blocked in tried if isinstance(blocked, Blocked))
        moves.append(found)
        state = state.without(piece)
    return tuple(reversed(moves))


def _tries(state: _State) -> Iterator[tuple[Piece, Move | Blocked]]:
    """Every piece that nothing hangs on, the last wished for first, until one comes off."""
    needed = {name for piece in state.present for name in piece.needs}
    for piece in reversed(state.present):
        if piece.name not in needed:
            tried = take_off(state, piece)
            yield piece, tried
            if isinstance(tried, Move):
                return


def take_off(state: _State, piece: Piece) -> Move | Blocked:
    """The piece off the mount, or what holds it: a screw without room for its key, or no way out."""
    rest = state.without(piece)
    undone = tuple(f for f in state.complete if piece.name in f.pieces)
    room = LINED_UP
    for fastening in undone:
        if fastening.room > 0.0:
            free, blocker = key_room(state, fastening)
            if free < fastening.room:
                return Blocked(piece.name, fastening.id, blocker, free, fastening.room)
            room = min(room, free)
    ids = tuple(fastening.id for fastening in undone)
    if not rest.present and not state.puzzle.site:
        return Move(piece.name, None, ids, room)
    way = _way_out(piece, rest)
    if isinstance(way, Hindrance):
        return Blocked(piece.name, "", way.blocker, -way.aside, 0.0)
    return Move(piece.name, scale(way, -1.0), ids, room)


def key_room(state: _State, fastening: Fastening) -> tuple[float, str]:
    """Free length in front of a head with everything present, and what ends it."""
    things = state.things.but(fastening.id, *fastening.pieces)
    return least_run(fastening.point, fastening.direction, things)


def _way_out(piece: Piece, rest: _State) -> Vec3 | Hindrance:
    """The first way that is free; else what would have to be moved least."""
    plugged = (*(scale(axis, -1.0) for axis in piece.axes), *piece.axes)
    found: list[Hindrance] = []
    for way in plugged if piece.plugs_in else WAYS:
        out = scale(way, -1.0)
        pushed_on = any(abs(dot(out, axis)) > 0.999 for axis in piece.axes)
        met = hindrance(piece.corners, rest.things, out, along_axis=pushed_on)
        if met == FREE:
            return out
        found.append(met)
    return min(found, key=lambda met: met.aside)
