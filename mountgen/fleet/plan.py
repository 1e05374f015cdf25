"""What a fleet comes to: verdicts, what binds, which parts are the same, what all of them are cut from."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from mountgen.errors import StockError
from mountgen.fabrication.bars import BarOrder, plan_bars
from mountgen.fabrication.nest_records import NestPiece
from mountgen.fabrication.nesting import nest
from mountgen.fleet.records import MadeBar, MadeFlat, MadePiece, Outcome, State
from mountgen.geometry import Contour, Vertex
from mountgen.shop.records import Shop

STATES: tuple[State, ...] = ("feasible", "tight", "not feasible", "bad input", "failed")
BATCH = 120
"""Flats that are nested together: more take long and save little."""
SAME = 1e-6


@dataclass(frozen=True)
class SharedPart:
    """One piece of metal with all mounts that have it: how many each."""

    digest: str
    name: str
    made: MadeFlat | MadeBar
    quantity: int
    lines: tuple[tuple[str, str, int], ...]
    """Label of the survey, the part's number there, how many."""


@dataclass(frozen=True)
class StockNeed:
    """What of one stock is needed for all: sheets of a size or bars of a length. `share_used` is the yield;
    `least` what no plan can do with less than, both in mm2 or mm, told in `unit`; `lacks` why there is no
    plan."""

    stock: str
    unit: Literal["m2", "m"]
    pieces: int
    count: int
    amount: float
    least: float
    share_used: float
    lacks: str = ""


@dataclass(frozen=True)
class FleetSummary:
    """`outcomes` by label; `binding` are failing and tight checks with the number of lines they bind."""

    outcomes: tuple[Outcome, ...]
    counts: dict[State, int]
    binding: tuple[tuple[str, int, int], ...]
    parts: tuple[SharedPart, ...]
    stock: tuple[StockNeed, ...]


def summary_of(outcomes: Sequence[Outcome], shop: Shop) -> FleetSummary:
    """Everything that the summary shows, in an order that hangs on the surveys alone."""
    ordered = tuple(sorted(outcomes, key=lambda one: one.label))
    counts = Counter(one.state for one in ordered)
    parts = tuple(shared_parts(ordered))
    return FleetSummary(
        ordered,
        {state: counts[state] for state in STATES},
        tuple(_binding(ordered)),
        parts,
        (*_sheets(parts, shop), *_bars(parts, shop)),
    )


def _binding(outcomes: Sequence[Outcome]) -> Iterator[tuple[str, int, int]]:
    """Check, lines where it fails, lines where it is tight; what fails most first."""
    fails: Counter[str] = Counter()
    tight: Counter[str] = Counter()
    for one in outcomes:
        fails.update({bound.id for bound in one.bound if bound.verdict == "fail"})
        tight.update({bound.id for bound in one.bound if bound.verdict == "caution"})
    for id_ in sorted({*fails, *tight}, key=lambda id_: (-fails[id_], -tight[id_], id_)):
        yield id_, fails[id_], tight[id_]


def shared_parts(outcomes: Sequence[Outcome]) -> Iterator[SharedPart]:
    """Every different piece of metal, those that most lines share first."""
    groups: dict[str, list[tuple[str, MadePiece]]] = {}
    for one in outcomes:
        for piece in one.pieces:
            groups.setdefault(piece.digest, []).append((one.label, piece))
    made = [
        SharedPart(
            digest,
            members[0][1].name,
            members[0][1].made,
            sum(piece.quantity for _, piece in members),
            tuple((label, piece.number, piece.quantity) for label, piece in members),
        )
        for digest, members in groups.items()
    ]
    yield from sorted(made, key=lambda part: (-len(part.lines), part.name, part.digest))


def _sheets(parts: Sequence[SharedPart], shop: Shop) -> Iterator[StockNeed]:
    """The nest of all flats of one material and thickness, in batches."""
    groups: dict[tuple[str, float], list[NestPiece]] = {}
    for part in parts:
        made = part.made
        if isinstance(made, MadeFlat):
            outline = Contour(tuple(Vertex(*corner) for corner in made.outline))
            copies = groups.setdefault((made.material, made.thickness), [])
            copies += [NestPiece(f"{part.digest[:12]}-{k}", outline, made.area) for k in range(part.quantity)]
    for (material, thickness), pieces in sorted(groups.items()):
        stock = [s for s in shop.sheets if s.material == material and abs(s.thickness - thickness) <= SAME]
        title = f"{material}, {thickness:g} mm"
        try:
            nests = [
                nest(pieces[at : at + BATCH], stock, shop.cutting) for at in range(0, len(pieces), BATCH)
            ]
        except StockError as error:
            yield StockNeed(title, "m2", len(pieces), 0, 0.0, 0.0, 0.0, str(error))
            continue
        area, least = sum(made.area for made in nests), sum(made.least_area for made in nests)
        used = sum(piece.area for piece in pieces)
        yield StockNeed(title, "m2", len(pieces), sum(len(n.sheets) for n in nests), area, least, used / area)


def _bars(parts: Sequence[SharedPart], shop: Shop) -> Iterator[StockNeed]:
    """The bar plan of all lengths of one section."""
    groups: dict[str, list[BarOrder]] = {}
    for part in parts:
        if isinstance(part.made, MadeBar):
            order = BarOrder(part.digest[:12], part.made.section, part.made.length, part.quantity)
            groups.setdefault(part.made.section, []).append(order)
    for section, orders in sorted(groups.items()):
        pieces = sum(order.quantity for order in orders)
        try:
            made = plan_bars(orders, [bar for bar in shop.bars if bar.section == section], shop.saw)
        except StockError as error:
            yield StockNeed(section, "m", pieces, 0, 0.0, 0.0, 0.0, str(error))
            continue
        yield StockNeed(section, "m", pieces, len(made.bars), made.stock_length, made.bound, made.share_used)
