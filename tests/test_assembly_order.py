"""Orders of assembly of small heaps of boxes: by hand, and against trying every order there is."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import permutations
from random import Random

import numpy as np
import pytest

from mountgen.assembly.order import find_order
from mountgen.assembly.records import Blocked, Fastening, Move, Piece, Puzzle
from mountgen.assembly.room import (
    FREE,
    KEY_RADIUS,
    LINED_UP,
    TOUCHING,
    WAYS,
    corners_of,
    free_runs,
    hindrance,
    things_of,
)
from mountgen.geometry import Box, Vec3

DOWN = (0.0, 0.0, -1.0)


def cube(x: float, y: float, z: float, size: float = 10.0) -> Box:
    return Box((x, y, z), (x + size, y + size, z + size))


def slab(low: tuple[float, float, float], high: tuple[float, float, float]) -> Box:
    return Box(low, high)


def stack(*, room: float = 36.0) -> Puzzle:
    """A base, a plate on it screwed from above, and a lid over the screw that is screwed from the side."""
    base = Piece("base", (slab((0, 0, 0), (100, 100, 10)),))
    plate = Piece("plate", (slab((0, 0, 10), (100, 100, 13)),), (DOWN,), frozenset({"base"}))
    lid = Piece("lid", (slab((0, 0, 30), (100, 100, 33)),), (DOWN,), frozenset({"plate"}))
    screw = Fastening("A1", frozenset({"base", "plate"}), (50.0, 50.0, 13.0), DOWN, room)
    side = Fastening("B1", frozenset({"plate", "lid"}), (100.0, 50.0, 31.0), (-1.0, 0.0, 0.0), room)
    return Puzzle((lid, plate, base), (screw, side))


def names(moves: tuple[Move, ...] | Blocked) -> list[str]:
    assert not isinstance(moves, Blocked), moves
    return [move.piece for move in moves]


def test_a_screw_under_a_lid_is_tightened_before_the_lid_comes():
    moves = find_order(stack())
    assert names(moves) == ["base", "plate", "lid"]
    assert [move.fastenings for move in moves] == [(), ("A1",), ("B1",)]
    assert moves[1].room == LINED_UP


def test_what_stands_on_site_over_the_screw_blocks_it_and_is_named():
    puzzle = replace(stack(), site=(("beam", slab((40, 40, 40), (60, 60, 60))),))
    blocked = find_order(puzzle)
    assert blocked == Blocked("plate", "A1", "beam", pytest.approx(27.0), 36.0)
    assert names(find_order(replace(stack(room=27.0), site=puzzle.site))) == ["base", "plate", "lid"]


def test_a_part_walled_in_on_every_side_has_no_way_in():
    """A nut in a box of six walls; with one wall less it comes in through the gap, and from there only."""
    walls = {way: cube(*(15.0 * c for c in way)) for way in WAYS}
    nut = Piece("nut", (cube(1.0, 1.0, 1.0, 8.0),))
    site = tuple((f"wall {way}", wall) for way, wall in walls.items())
    blocked = find_order(Puzzle((nut,), (), site))
    assert isinstance(blocked, Blocked)
    assert (blocked.piece, blocked.fastening, blocked.needed) == ("nut", "", 0.0)
    assert blocked.room == pytest.approx(-9.0)  # from 1 to 9 behind a wall from 0 to 10
    for gap in WAYS:
        moves = find_order(Puzzle((nut,), (), tuple((n, b) for n, b in site if str(gap) not in n)))
        assert moves[0].direction == tuple(-c for c in gap)


def test_two_parts_that_lock_each_other_have_no_order():
    """Each one's screw lies under the other."""
    low = Piece("low", (slab((0, 0, 0), (10, 10, 3)),))
    high = Piece("high", (slab((0, 0, 20), (10, 10, 23)),))
    up = (0.0, 0.0, 1.0)
    screws = (
        Fastening("A1", frozenset({"low"}), (5.0, 5.0, 3.0), DOWN, 36.0),
        Fastening("B1", frozenset({"high"}), (5.0, 5.0, 20.0), up, 36.0),
    )
    pair = Puzzle((low, high), screws, (("rail", slab((0, -20, 0), (10, -10, 3))),))
    assert isinstance(find_order(pair), Blocked)
    apart = replace(high, boxes=(slab((0, 0, 50), (10, 10, 53)),))
    moved = replace(screws[1], point=(5.0, 5.0, 50.0))
    assert len(names(find_order(replace(pair, pieces=(low, apart), fastenings=(screws[0], moved))))) == 2


def test_a_shaft_leaves_its_hole_along_its_axis_only():
    plate, shaft = slab((0, 0, 0), (50, 50, 3)), corners_of([slab((20, 20, -10), (30, 30, 10))])
    others = things_of([("plate", plate)])
    along = hindrance(shaft, others, (0.0, 0.0, 1.0), along_axis=True)
    across = hindrance(shaft, others, (1.0, 0.0, 0.0), along_axis=False)
    assert along == FREE
    assert (across.aside, across.blocker) == (10.0, "plate")


def test_parts_that_touch_may_slide_past_each_other():
    fixed = things_of([("post", cube(10.0, 0.0, 0.0))])
    for way in WAYS:
        met = hindrance(corners_of([cube(0.0, 0.0, 0.0)]), fixed, way, along_axis=False)
        assert (met == FREE) == (way != (1.0, 0.0, 0.0))


def test_a_cap_comes_in_along_its_axis_only():
    bar = Piece("bar", (slab((0, 0, 0), (10, 10, 100)),))
    cap = Piece("cap", (slab((0, 0, 100), (10, 10, 103)),), ((0.0, 0.0, 1.0),), frozenset({"bar"}), True)
    assert find_order(Puzzle((bar, cap), ()))[1].direction == (0.0, 0.0, -1.0)
    roof = (("roof", slab((0, 0, 120), (10, 10, 130))),)
    blocked = find_order(Puzzle((bar, cap), (), roof))
    assert isinstance(blocked, Blocked)
    assert blocked.blocker == "roof"


def random_puzzle(seed: int) -> Puzzle:
    """Three to five boxes on a coarse grid, held by screws at random places."""
    dice = Random(seed)
    spots = dice.sample([(x, y, z) for x in range(3) for y in range(3) for z in range(2)], dice.randint(3, 5))
    pieces = tuple(
        Piece(
            f"p{i}",
            (
                slab(
                    (20.0 * x, 20.0 * y, 20.0 * z),
                    (20.0 * x + dice.choice((10, 20, 35)), 20.0 * y + 20, 20.0 * z + 12),
                ),
            ),
            (dice.choice(WAYS),),
            frozenset({f"p{dice.randrange(i)}"} if i and dice.random() < 0.5 else ()),
        )
        for i, (x, y, z) in enumerate(spots)
    )
    fastenings = tuple(
        Fastening(
            f"F{k}",
            frozenset(dice.sample([piece.name for piece in pieces], dice.randint(1, 2))),
            (dice.uniform(0, 60), dice.uniform(0, 60), dice.uniform(0, 40)),
            dice.choice(WAYS),
            dice.choice((0.0, 20.0, 36.0)),
        )
        for k in range(dice.randint(1, 4))
    )
    site = tuple((f"s{k}", cube(*(5.0 * dice.randint(-5, 13) for _ in range(3)), 25.0)) for k in range(9))
    return Puzzle(pieces, fastenings, site)


def meets(a: Box, b: Box) -> bool:
    return all(min(a.high[i], b.high[i]) - max(a.low[i], b.low[i]) > TOUCHING for i in range(3))


def comes_in(piece: Piece, others: list[Box]) -> bool:
    """Moved out in steps of 2.5 mm every way, past all of the heap; its boxes are 10 mm thick."""
    for way in WAYS:
        pushed = any(abs(sum(w * a for w, a in zip(way, axis, strict=True))) > 0.999 for axis in piece.axes)
        stay = [other for other in others if not (pushed and any(meets(box, other) for box in piece.boxes))]
        if not any(collides(box, way, other) for box in piece.boxes for other in stay):
            return True
    return False


STEPS = 2.5 * np.arange(1, 56)[:, None]


def collides(box: Box, way: Vec3, other: Box) -> bool:
    low, high = (np.array(corner) + STEPS * np.array(way) for corner in (box.low, box.high))
    return bool((np.minimum(high, other.high) - np.maximum(low, other.low) > TOUCHING).all(1).any())


def key_fits(fastening: Fastening, others: list[Box]) -> bool:
    """A square corridor in front of the head that meets nothing for as long as the key needs."""
    low, high = list(fastening.point), list(fastening.point)
    for i in range(3):
        back = -fastening.direction[i]
        if back:
            low[i] += min(0.0, back * fastening.room)
            high[i] += max(0.0, back * fastening.room)
        else:
            low[i] -= KEY_RADIUS
            high[i] += KEY_RADIUS
    return not any(all(low[i] < b.high[i] and b.low[i] < high[i] for i in range(3)) for b in others)


def works(puzzle: Puzzle, order: tuple[Piece, ...]) -> bool:
    """Whether the pieces go together in this order, tried forwards."""
    return all(added(puzzle, piece, frozenset(order[:i])) for i, piece in enumerate(order))


@cache
def added(puzzle: Puzzle, piece: Piece, there: frozenset[Piece]) -> bool:
    """Whether one piece can be added to these, and its fastenings tightened then."""
    site = [box for _, box in puzzle.site]
    standing = [box for other in there for box in other.boxes] + site
    if not piece.needs <= {other.name for other in there} or not comes_in(piece, standing):
        return False
    now = (*there, piece)
    present = {other.name for other in now}
    for fastening in puzzle.fastenings:
        if fastening.room and piece.name in fastening.pieces and fastening.pieces <= present:
            others = [b for o in now if o.name not in fastening.pieces for b in o.boxes] + site
            if not key_fits(fastening, others):
                return False
    return True


def test_an_order_is_found_exactly_when_there_is_one():
    """300 heaps of up to five boxes, every order tried."""
    outcomes = []
    for seed in range(300):
        puzzle = random_puzzle(seed)
        found = find_order(puzzle)
        possible = any(works(puzzle, order) for order in permutations(puzzle.pieces))
        assert isinstance(found, Blocked) != possible, seed
        if not isinstance(found, Blocked):
            by_name = {piece.name: piece for piece in puzzle.pieces}
            assert works(puzzle, tuple(by_name[move.piece] for move in found)), seed
        outcomes.append(possible)
    assert 75 < sum(outcomes) < 225


def test_the_free_run_of_a_key_is_the_distance_to_the_box():
    over, beside, under = cube(-5.0, -5.0, 20.0), cube(KEY_RADIUS + 0.1, 0.0, 20.0), cube(-5.0, -5.0, -20.0)
    runs = free_runs((0.0, 0.0, 0.0), DOWN, corners_of([over, beside, under]))
    assert runs.tolist() == [20.0, LINED_UP, LINED_UP]
