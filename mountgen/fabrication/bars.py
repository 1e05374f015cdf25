"""Which piece is cut from which stock bar: the bar plan of one section.

Words. The *datum end* of a bar is the end that the saw measures from. *Trim* is what is cut off a stock bar
at either end before anything is measured; its cut lies in it. *Kerf* k is what the blade turns to chips.

On a bar of length L with trim t the pieces l1 ... ln stand one kerf apart between t and L - t:

    l1 + ... + ln + (n - 1) k <= L - 2 t,   that is,   (l1 + k) + ... + (ln + k) <= L - 2 t + k

The last piece needs no room for its own kerf: where it ends at L - t, its cut falls into the trim (or,
without trim, is not needed), and where less than a kerf is left the blade takes all of it. The *remaining
piece* is what lies beyond the last cut; its far end is untrimmed.

The best plan uses the least length of stock, then the fewest bars. It is *proven minimal* when no other plan
can use less stock. Lengths are taken to the micrometre.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from mountgen.errors import StockError
from mountgen.fabrication.bars_problem import MICROMETRES, Loads, Problem, Size, Solution
from mountgen.fabrication.bars_simple import first_fit, simple_bound
from mountgen.geometry import COINCIDENT
from mountgen.shop.records import Saw, StockBar


@dataclass(frozen=True)
class BarOrder:
    """So many pieces of one part: its number, section and cut length."""

    number: str
    section: str
    length: float
    quantity: int = 1


@dataclass(frozen=True)
class BarPiece:
    """A piece on its bar, from `start` to `end` as measured from the datum end."""

    number: str
    start: float
    end: float

    @property
    def length(self) -> float:
        return self.end - self.start


@dataclass(frozen=True)
class CutBar:
    """One stock bar with its pieces in the order in which they are cut, from the datum end."""

    stock_length: float
    pieces: tuple[BarPiece, ...]
    saw: Saw

    @property
    def cuts(self) -> tuple[float, ...]:
        """Where the blade's face nearer to the datum end stands; the datum's own trimming cut is left out."""
        whole = self.pieces[-1].end >= self.stock_length
        ends = tuple(piece.end for piece in self.pieces)
        return ends[:-1] if whole else ends

    @property
    def cut_count(self) -> int:
        """Every cut that the saw makes, with the one that trims the datum end."""
        return len(self.cuts) + int(self.saw.trim > 0.0)

    @property
    def remaining(self) -> float:
        """Length of the piece that is left beyond the last cut."""
        return max(0.0, self.stock_length - self.pieces[-1].end - self.saw.kerf)

    @property
    def used(self) -> float:
        """Length that went into pieces."""
        return sum(piece.length for piece in self.pieces)

    @property
    def share_used(self) -> float:
        """Pieces over stock bar, 0 to 1: the yield."""
        return self.used / self.stock_length

    @property
    def scrap(self) -> float:
        """Length that is neither piece nor remaining piece: trim and kerfs."""
        return self.stock_length - self.used - self.remaining


@dataclass(frozen=True)
class BarPlan:
    """The bars of one section. `bound` is a length of stock that no plan can do with less than."""

    section: str
    bars: tuple[CutBar, ...]
    bound: float

    @property
    def proven_minimal(self) -> bool:
        return self.bound >= self.stock_length - COINCIDENT

    @property
    def stock_length(self) -> float:
        """Length of all the stock bars that are cut."""
        return sum(bar.stock_length for bar in self.bars)

    @property
    def share_used(self) -> float:
        """Pieces over stock, 0 to 1: the yield."""
        return sum(bar.used for bar in self.bars) / self.stock_length


def plan_bars(orders: Sequence[BarOrder], stock: Sequence[StockBar], saw: Saw) -> BarPlan:
    """The plan that uses the least stock for orders of one section.

    StockError, with every reason: nothing ordered, more than one section, a length or quantity that is not
    above zero, no stock of the section, a piece longer than any bar takes, too few bars.
    """
    own = [bar for bar in stock if orders and bar.section == orders[0].section]
    _require_sound(orders, own, saw)
    problem = _problem(orders, own, saw)
    solution = _solved(problem)
    if solution.loads is None:
        held = ", ".join(
            f"{'any number' if b.quantity is None else b.quantity} of {b.length:g} mm" for b in own
        )
        total = sum(order.length * order.quantity for order in orders)
        found = "is too little for" if solution.is_proven else "has no plan that was found for"
        raise StockError(
            f"{orders[0].section}: the stock ({held}) {found} {problem.count} pieces of {total:g} mm in all; "
            "stock more bars"
        )
    bars = _cut_bars(solution.loads, problem, orders, saw)
    return BarPlan(orders[0].section, bars, problem.stock_length(solution.bound) / MICROMETRES)


def _require_sound(orders: Sequence[BarOrder], own: Sequence[StockBar], saw: Saw) -> None:
    if not orders:
        raise StockError("no bar is ordered")
    section = orders[0].section
    faults = [f"{o.number} is of {o.section}, not of {section}" for o in orders if o.section != section]
    faults += [
        f"{o.number}: length {o.length:g} mm and quantity {o.quantity} must be above zero"
        for o in orders
        if o.length <= 0.0 or o.quantity <= 0
    ]
    faults += _too_long(orders, own, saw) if own else [f"no stock bar of {section}"]
    if faults:
        raise StockError("; ".join(faults))


def _too_long(orders: Sequence[BarOrder], own: Sequence[StockBar], saw: Saw) -> list[str]:
    longest = max(bar.length for bar in own)
    room = longest - 2 * saw.trim
    return [
        f"{o.number} is {round(o.length, 3)} mm long; the longest stock bar of {o.section}, {longest:g} mm, "
        f"takes {room:g} mm between its trimmed ends"
        for o in orders
        if _micrometres(o.length) > _micrometres(room)
    ]


def _micrometres(length: float) -> int:
    return round(length * MICROMETRES)


def _problem(orders: Sequence[BarOrder], own: Sequence[StockBar], saw: Saw) -> Problem:
    """The orders as whole numbers: lengths with their kerf, longest first, and the sizes that can be cut."""
    kerf, trim = _micrometres(saw.kerf), _micrometres(saw.trim)
    demands: dict[int, int] = {}
    for order in sorted(orders, key=lambda o: -o.length):
        taken = _micrometres(order.length) + kerf
        demands[taken] = demands.get(taken, 0) + order.quantity
    count = sum(demands.values())
    limits: dict[int, int] = {}
    for bar in own:
        held = count if bar.quantity is None else bar.quantity
        length = _micrometres(bar.length)
        limits[length] = min(count, limits.get(length, 0) + held)
    sizes = tuple(
        Size(length, length - 2 * trim + kerf, limit)
        for length, limit in sorted(limits.items())
        if limit > 0 and length > 2 * trim
    )
    return Problem(tuple(demands), tuple(demands.values()), sizes)


def _solved(problem: Problem) -> Solution:
    """The simple plan where it meets the simple bound, else what column generation finds."""
    plan = first_fit(problem)
    bound = simple_bound(problem)
    if plan is not None and bound is not None and problem.cost(plan) <= bound:
        return Solution(plan, bound, is_proven=True)
    from mountgen.fabrication.bars_columns import best_plan  # scipy's optimiser takes long to load

    return best_plan(problem, plan)


def _cut_bars(loads: Loads, problem: Problem, orders: Sequence[BarOrder], saw: Saw) -> tuple[CutBar, ...]:
    """Every bar with its pieces by number, the longest first; pieces of one length in the order given."""
    numbers = {
        taken: [order.number for order in same for _ in range(order.quantity)]
        for taken, same in _by_length(orders, saw)
    }
    bars = []
    for load in loads:
        pieces, at = [], saw.trim
        for taken, held in zip(problem.lengths, load.held, strict=True):
            for _ in range(held):
                length = taken / MICROMETRES - saw.kerf
                pieces.append(BarPiece(numbers[taken].pop(0), at, at + length))
                at += length + saw.kerf
        bars.append(CutBar(problem.sizes[load.size].length / MICROMETRES, tuple(pieces), saw))
    return tuple(bars)


def _by_length(orders: Sequence[BarOrder], saw: Saw) -> list[tuple[int, list[BarOrder]]]:
    def taken(order: BarOrder) -> int:
        return _micrometres(order.length) + _micrometres(saw.kerf)

    return [(key, list(same)) for key, same in groupby(sorted(orders, key=taken), taken)]
