"""Flats of one material and thickness on the least area of sheets: parts keep their gap and their margin.

The method is repeatable: the parts are laid one after the other (`nest_layout`) in several orders, filling
the sheet lengthwise or upwards, for every choice of the first size of sheet, and the best nest is kept: least
area of sheets, then fewest sheets, then the largest remaining strip. Parts are turned by quarters of a turn,
half a turn only where their grain counts, and never mirrored. Holes of parts are not used for others.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement, product
from math import comb

import shapely

from mountgen.errors import SheetError, StockError
from mountgen.fabrication.nest_layout import Field, Laid, NoFit, lay
from mountgen.fabrication.nest_outline import Shape, holding_polygon, shape_of
from mountgen.fabrication.nest_records import Nest, NestedSheet, NestPiece, Placed, Strip
from mountgen.geometry import COINCIDENT
from mountgen.shop.records import Cutting, StockSheet

TURNS, GRAIN_TURNS = (0.0, 90.0, 180.0, 270.0), (0.0, 180.0)
ORDERS = (
    lambda shape: shapely.Polygon(shape.outer).area,
    lambda shape: max(shape.size),
    lambda shape: min(shape.size),
)
"""Largest first: by area, by the longer side, by the shorter side."""
MOST_SETS = 3000
"""Sets of sheets that are looked at for the bound."""


@dataclass(frozen=True)
class _Size:
    """A stock size: `limit` is how many sheets of it may be used."""

    stock: StockSheet
    limit: int

    @property
    def area(self) -> float:
        return self.stock.length * self.stock.width


@dataclass(frozen=True)
class _Job:
    """All copies that wait to be laid, as their turns; the sizes, smallest first; the shop's gaps."""

    pieces: dict[str, NestPiece]
    turns: dict[str, tuple[Shape, ...]]
    sizes: tuple[_Size, ...]
    cutting: Cutting
    no_fit: NoFit

    @property
    def count(self) -> int:
        return sum(piece.quantity for piece in self.pieces.values())

    def field(self, size: _Size, *, upwards: bool = False) -> Field:
        margin = self.cutting.edge_margin
        return Field(margin, size.stock.length - 2 * margin, size.stock.width - 2 * margin, upwards)

    def room(self, size: _Size) -> float:
        """Area between a sheet's margins."""
        field = self.field(size)
        return field.length * field.width


Turns = tuple[Shape, ...]
Order = Callable[[Shape], float]


def nest(pieces: Sequence[NestPiece], stock: Sequence[StockSheet], cutting: Cutting) -> Nest:
    """The best nest found for pieces of one material and thickness on stock of the same.

    StockError, with every reason: nothing to nest, no sheet, a part larger than any sheet takes, too few
    sheets. SheetError: the nest fails its own check of gaps and margins.
    """
    job = _job(pieces, stock, cutting)
    least = _least_area(job)
    best: tuple[NestedSheet, ...] | None = None
    for first in job.sizes:
        for order, upwards in product(ORDERS, (False, True)):
            found = _filled(job, first, order, upwards=upwards)
            if found is not None and (best is None or _score(found) < _score(best)):
                best = found
        if best is not None and _score(best)[0] <= least:
            break
    if best is None:
        names = ", ".join(f"{s.limit} of {s.stock.length:g} x {s.stock.width:g} mm" for s in job.sizes)
        raise StockError(f"the sheets ({names}) are too few for {job.count} parts; stock more of them")
    for sheet in best:
        require_gaps(sheet, job.pieces, cutting)
    return Nest(best, least)


def _job(pieces: Sequence[NestPiece], stock: Sequence[StockSheet], cutting: Cutting) -> _Job:
    if not pieces or not stock:
        raise StockError("there is no part to nest" if not pieces else "there is no sheet to nest on")
    count = sum(piece.quantity for piece in pieces)
    sizes = tuple(
        _Size(sheet, count if sheet.quantity is None else min(count, sheet.quantity))
        for sheet in sorted(stock, key=lambda s: (s.length * s.width, s.length))
        if sheet.quantity is None or sheet.quantity > 0
    )
    turns = {piece.number: _turns(piece, cutting.part_gap) for piece in pieces}
    job = _Job({piece.number: piece for piece in pieces}, turns, sizes, cutting, NoFit())
    faults = [fault for piece in pieces for fault in _size_faults(job, piece)]
    if faults:
        raise StockError("; ".join(faults))
    return job


def _turns(piece: NestPiece, gap: float) -> tuple[Shape, ...]:
    """The turns of a part that differ from each other."""
    shapes = (
        shape_of(piece.number, piece.outline, turn, gap) for turn in (GRAIN_TURNS if piece.grain else TURNS)
    )
    different: dict[bytes, Shape] = {}
    for shape in shapes:
        different.setdefault(shape.likeness, shape)
    return tuple(different.values())


def _size_faults(job: _Job, piece: NestPiece) -> Iterator[str]:
    fields = [job.field(size) for size in job.sizes]
    if piece.quantity <= 0:
        yield f"{piece.number}: quantity {piece.quantity} must be above zero"
    elif not any(lay([job.turns[piece.number]], sheet, job.no_fit)[0] for sheet in fields):
        length, width = job.turns[piece.number][0].size
        sheets = ", ".join(f"{sheet.length:g} x {sheet.width:g} mm" for sheet in fields)
        along = ", its grain along the length," if piece.grain else ""
        size = f"{length:.1f} x {width:.1f} mm"
        yield f"{piece.number}{along} is {size}; between their margins the sheets take {sheets}"


def _filled(job: _Job, first: _Size, order: Order, *, upwards: bool) -> tuple[NestedSheet, ...] | None:
    """Sheet after sheet until every part is laid; nothing where the sheets do not last."""
    numbers = sorted(job.pieces, key=lambda n: (-round(order(job.turns[n][0]), 3), n))
    waiting = [job.turns[number] for number in numbers for _ in range(job.pieces[number].quantity)]
    left = {size: size.limit for size in job.sizes}
    filled: list[NestedSheet] = []
    while waiting:
        at_hand = [size for size in job.sizes if left[size]]
        if not at_hand:
            return None
        size, answer = _next_sheet(job, at_hand, first, waiting, upwards=upwards)
        laid = tuple(it for it in answer if it is not None)
        if laid:
            filled.append(_nested(job, size, laid))
        left[size] = left[size] - 1 if laid else 0
        waiting = [turns for turns, it in zip(waiting, answer, strict=True) if it is None]
    return tuple(filled)


def _next_sheet(
    job: _Job, at_hand: list[_Size], first: _Size, waiting: list[Turns], *, upwards: bool
) -> tuple[_Size, list[Laid | None]]:
    """The smallest sheet that takes all that waits, else the first size, else the largest."""
    total = sum(job.pieces[turns[0].number].outline.area for turns in waiting)
    for size in at_hand:
        if total <= job.room(size):
            answer = lay(waiting, job.field(size, upwards=upwards), job.no_fit)
            if all(answer):
                return size, answer
    size = first if first in at_hand else at_hand[-1]
    return size, lay(waiting, job.field(size, upwards=upwards), job.no_fit)


def _score(sheets: tuple[NestedSheet, ...]) -> tuple[float, int, float]:
    """Less is better."""
    remaining = max(sheet.remaining.area for sheet in sheets)
    return sum(sheet.area for sheet in sheets), len(sheets), -round(remaining, 3)


def _strip(job: _Job, size: _Size, laid: Sequence[Laid]) -> Strip:
    """The larger rectangle beyond all parts and the gap to them."""
    length, width, gap = size.stock.length, size.stock.width, job.cutting.part_gap
    far = min(max(it.at[0] + it.shape.size[0] for it in laid) + gap, length)
    high = min(max(it.at[1] + it.shape.size[1] for it in laid) + gap, width)
    strips = (Strip(far, 0.0, length - far, width), Strip(0.0, high, length, width - high))
    return max(strips, key=lambda strip: strip.area)


def _nested(job: _Job, size: _Size, laid: Sequence[Laid]) -> NestedSheet:
    placed = tuple(
        Placed(
            it.shape.number,
            it.shape.turn_deg,
            it.at[0] - it.shape.offset[0],
            it.at[1] - it.shape.offset[1],
        )
        for it in laid
    )
    area = sum(job.pieces[it.shape.number].area for it in laid)
    return NestedSheet(size.stock, placed, area, _strip(job, size, laid))


def _least_area(job: _Job) -> float:
    """Area of the cheapest set of sheets between whose margins the outlines' areas would fit; of the
    smallest sheet if there are too many sets to look at."""
    total = sum(piece.outline.area * piece.quantity for piece in job.pieces.values())
    smallest = min(size.area for size in job.sizes)
    if comb(job.count + len(job.sizes), len(job.sizes)) > MOST_SETS:
        return smallest
    areas = (
        sum(size.area for size in sizes)
        for number in range(1, job.count + 1)
        for sizes in combinations_with_replacement(job.sizes, number)
        if sum(job.room(size) for size in sizes) >= total
    )
    return min(areas, default=smallest)


def require_gaps(sheet: NestedSheet, pieces: Mapping[str, NestPiece], cutting: Cutting) -> None:
    """SheetError when two parts on a sheet, or a part and the sheet's edge, come nearer than the shop asks.

    The polygons that are looked at hold their parts, so that the parts themselves are no nearer.
    """
    margin = cutting.edge_margin - COINCIDENT
    inside = shapely.box(margin, margin, sheet.stock.length - margin, sheet.stock.width - margin)
    polygons = [holding_polygon(it.contour(pieces[it.number].outline)) for it in sheet.placed]
    for it, polygon in zip(sheet.placed, polygons, strict=True):
        if not inside.covers(polygon):
            raise SheetError(
                f"nest: {it.number} is nearer than {cutting.edge_margin:g} mm to the sheet's edge"
            )
    eroded = [polygon.buffer(-COINCIDENT, join_style="mitre") for polygon in polygons]
    one, other = shapely.STRtree(eroded).query(eroded, predicate="dwithin", distance=cutting.part_gap)
    for i, j in zip(one.tolist(), other.tolist(), strict=True):
        if i < j:
            names = f"{sheet.placed[i].number} and {sheet.placed[j].number}"
            raise SheetError(f"nest: {names} are nearer than {cutting.part_gap:g} mm to each other")
