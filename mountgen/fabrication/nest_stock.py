"""The stock plan of a mount: nested sheets and cut bars together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from mountgen.fabrication.bars import BarPlan
from mountgen.fabrication.nest_records import Nest, NestedSheet


@dataclass(frozen=True)
class StockPlan:
    """Nests by material and thickness, bar plans by section; `lacks` says what the shop's stock is not
    enough for, one sentence each."""

    nests: tuple[Nest, ...]
    bars: tuple[BarPlan, ...]
    lacks: tuple[str, ...]


NO_STOCK = StockPlan((), (), ())
"""Of a mount that is not made."""


def sheet_files(plan: StockPlan) -> Iterator[tuple[str, NestedSheet]]:
    """Every sheet of a plan with the name of its file."""
    sheets = (sheet for nest in plan.nests for sheet in nest.sheets)
    yield from ((f"sheet-{number}.dxf", sheet) for number, sheet in enumerate(sheets, 1))
