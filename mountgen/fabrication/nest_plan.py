"""The stock that a mount is cut from: its flats on sheets, its bars on stock bars."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial
from typing import TypeVar

from mountgen.detail.records import Detail
from mountgen.errors import StockError
from mountgen.fabrication.bars import BarOrder, BarPlan, plan_bars
from mountgen.fabrication.nest_records import Nest, NestPiece
from mountgen.fabrication.nest_stock import StockPlan
from mountgen.fabrication.nesting import nest
from mountgen.mechanics.brake_table import SAME
from mountgen.sheet.flat import FlatPattern
from mountgen.shop.records import Shop

Made = TypeVar("Made", Nest, BarPlan)


def stock_plan(detail: Detail, flats: Mapping[str, FlatPattern], shop: Shop) -> StockPlan:
    """What every made part of a mount is cut from; `flats` by part number.

    SheetError when a nest fails its own check.
    """
    lacks: list[str] = []
    nests = tuple(_made(_nests(detail, flats, shop), lacks))
    bars = tuple(_made(_bar_plans(detail, shop), lacks))
    return StockPlan(nests, bars, tuple(lacks))


def _made(plans: Iterable[tuple[str, Callable[[], Made]]], lacks: list[str]) -> Iterator[Made]:
    """Every plan that the stock is enough for; why the others fail goes to `lacks`."""
    for title, plan in plans:
        try:
            yield plan()
        except StockError as error:
            lacks.append(f"{title}: {error}")


def _nests(
    detail: Detail, flats: Mapping[str, FlatPattern], shop: Shop
) -> Iterator[tuple[str, Callable[[], Nest]]]:
    groups: dict[tuple[str, float], list[NestPiece]] = {}
    for part in detail.sheets:
        flat = flats[part.number]
        piece = NestPiece(part.number, flat.outline, flat.area, detail.quantity(part.number))
        groups.setdefault((part.material, part.thickness), []).append(piece)
    for (material, thickness), pieces in sorted(groups.items()):
        stock = [s for s in shop.sheets if s.material == material and abs(s.thickness - thickness) <= SAME]
        title = f"{material}, {thickness:g} mm"
        yield title, partial(nest, pieces, stock, shop.cutting)


def _bar_plans(detail: Detail, shop: Shop) -> Iterator[tuple[str, Callable[[], BarPlan]]]:
    groups: dict[str, list[BarOrder]] = {}
    for part in detail.extrusions:
        name = part.section.name
        order = BarOrder(part.number, name, part.length, detail.quantity(part.number))
        groups.setdefault(name, []).append(order)
    for section, orders in sorted(groups.items()):
        yield section, partial(plan_bars, orders, shop.bars, shop.saw)
