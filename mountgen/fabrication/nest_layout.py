"""Laying shapes on one sheet, one after the other, each as near to the datum as it goes.

Where a shape's datum may not be because of another shape is a polygon: the Minkowski sum of the other's grown
outline and the shape's own, turned by half a turn (the *no-fit polygon*); of convex pieces it is the hull of
all sums of corners. What is left of the rectangle between the margins is where the shape may go, and the best
place is a corner of that. Free space inside a concave outline is found in this way too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely

from mountgen.fabrication.nest_outline import SLACK, Points, Shape
from mountgen.geometry import Vec2

Key = tuple[float, float, int]


@dataclass(frozen=True)
class Field:
    """The sheet between its margins. `upwards`: it is filled from its lower edge up, else from the left."""

    low: float
    length: float
    width: float
    upwards: bool = False


@dataclass(frozen=True)
class Laid:
    """A shape with the place of its datum on the sheet."""

    shape: Shape
    at: Vec2


@dataclass(frozen=True)
class NoFit:
    """No-fit polygons by the likeness of the two shapes, made when first asked for."""

    known: dict[tuple[bytes, bytes], shapely.Geometry] = field(default_factory=dict)

    def polygon(self, fixed: Shape, moving: Shape) -> shapely.Geometry:
        """Where the moving datum may not be when the fixed one is at the origin."""
        key = (fixed.likeness, moving.likeness)
        if key not in self.known:
            self.known[key] = _no_fit(fixed, moving)
        return self.known[key]


def _no_fit(fixed: Shape, moving: Shape) -> shapely.Geometry:
    sums = [
        shapely.MultiPoint((a[:, None, :] - b[None, :, :]).reshape(-1, 2)).convex_hull
        for a in fixed.pieces
        for b in moving.pieces
    ]
    return sums[0] if len(sums) == 1 else shapely.union_all(sums)


def lay(waiting: Sequence[Sequence[Shape]], sheet: Field, no_fit: NoFit) -> list[Laid | None]:
    """Each of those waiting (as its possible turns), in that order, where it goes; None if it does not."""
    laid: list[Laid] = []
    answer: list[Laid | None] = []
    rooms: dict[bytes, _Room] = {}
    for turns in waiting:
        for shape in turns:
            room = rooms.get(shape.likeness) or _Room(_whole_room(shape, sheet), 0)
            rooms[shape.likeness] = _narrowed(room, shape, laid, no_fit)
        best = _best_place(turns, rooms, sheet)
        answer.append(best)
        if best is not None:
            laid.append(best)
    return answer


@dataclass(frozen=True)
class _Room:
    """Where a shape's datum may be beside the first so many shapes that are laid."""

    free: shapely.Geometry
    beside: int


def _whole_room(shape: Shape, sheet: Field) -> shapely.Geometry:
    """The empty sheet's room: a little wider all round, so that what just fits has some."""
    low, high = _corners(shape, sheet)
    if (high < low - SLACK).any():
        return shapely.Polygon()
    return shapely.box(*(low - SLACK), *(high + SLACK))


def _corners(shape: Shape, sheet: Field) -> tuple[Points, Points]:
    """Lowest and highest place of the datum between the margins."""
    low = np.array([sheet.low, sheet.low])
    return low, low + np.array([sheet.length - shape.size[0], sheet.width - shape.size[1]])


def _narrowed(room: _Room, shape: Shape, laid: Sequence[Laid], no_fit: NoFit) -> _Room:
    if room.free.is_empty or room.beside == len(laid):
        return room
    taken = [
        shapely.transform(no_fit.polygon(other.shape, shape), lambda points, at=other.at: points + at)
        for other in laid[room.beside :]
    ]
    return _Room(shapely.difference(room.free, shapely.union_all(taken)), len(laid))


def _best_place(turns: Sequence[Shape], rooms: dict[bytes, _Room], sheet: Field) -> Laid | None:
    found: list[tuple[Key, Laid]] = []
    for index, shape in enumerate(turns):
        free = rooms[shape.likeness].free
        if not free.is_empty:
            low, high = _corners(shape, sheet)
            places = np.clip(shapely.get_coordinates(free), low, np.maximum(low, high))
            found.append(_first_of(shape, places, index, sheet))
    return min(found, key=lambda pair: pair[0])[1] if found else None


def _first_of(shape: Shape, places: Points, index: int, sheet: Field) -> tuple[Key, Laid]:
    """The place whose far side is nearest to the start, then the one nearest to the side."""
    main, side = (1, 0) if sheet.upwards else (0, 1)
    rounded = np.round(places, 3)
    best = places[np.lexsort((rounded[:, side], rounded[:, main]))[0]]
    key = (round(float(best[main]) + shape.size[main], 3), round(float(best[side]), 3), index)
    return key, Laid(shape, (float(best[0]), float(best[1])))
