"""What a shop's stock cannot make: no such sheet or bar, or a part larger than any of them.

A part is laid along a sheet or across it, within the sheet's margins; a bar is trimmed at both ends.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Protocol

from mountgen.catalogue.records import Extrusion
from mountgen.errors import Fault
from mountgen.files.complaints import nearest
from mountgen.geometry import COINCIDENT, Vec2
from mountgen.mechanics.brake_table import SAME
from mountgen.sheet.tree import SheetPart
from mountgen.shop.flats import flat_of
from mountgen.shop.records import Shop, StockSheet


class SawnPart(Protocol):
    """A length cut from a stock bar, mm."""

    @property
    def number(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def section(self) -> Extrusion: ...
    @property
    def length(self) -> float: ...


def stock_faults(parts: Iterable[SheetPart | SawnPart], shop: Shop) -> tuple[Fault, ...]:
    """Every part that no stock sheet or bar holds, with the smallest change that would cure it."""
    return tuple(
        fault
        for part in parts
        for fault in (_sheet_faults(part, shop) if isinstance(part, SheetPart) else _bar_faults(part, shop))
    )


def _where(shop: Shop, part: SheetPart | SawnPart) -> str:
    return f"shop {shop.name}: {part.number} {part.name}"


def _sheet_faults(part: SheetPart, shop: Shop) -> Iterator[Fault]:
    own = [sheet for sheet in shop.sheets if sheet.material == part.material]
    fitting = [sheet for sheet in own if abs(sheet.thickness - part.thickness) <= SAME]
    wanted = f"{part.material}, {part.thickness:g} mm"
    if not own:
        yield Fault(_where(shop, part), f"no sheet of {part.material}", *_other_material(part.material, shop))
    elif not fitting:
        there = sorted({sheet.thickness for sheet in own})
        near = min(there, key=lambda thickness: abs(thickness - part.thickness))
        expected = f"sheet of {wanted}; the nearest that is there is {near:g} mm"
        action = f"add {part.thickness:g} to the thicknesses of {part.material} in the shop file"
        yield Fault(_where(shop, part), f"no sheet of {wanted}", expected, action)
    else:
        yield from _size_faults(part, flat_of(part, shop).size, fitting, shop)


def _other_material(material: str, shop: Shop) -> tuple[str, str]:
    """What is expected and what to do where nothing of a material is in stock."""
    names = sorted({sheet.material for sheet in shop.sheets})
    close = nearest(material, names)
    action = f"did you mean {material} by '{close}'?" if close else "add such sheets to the shop file"
    return f"a sheet of it; there are {', '.join(names)}", action


def _size_faults(part: SheetPart, size: Vec2, sheets: list[StockSheet], shop: Shop) -> Iterator[Fault]:
    margins = 2 * shop.cutting.edge_margin
    lacking = {sheet: _lacking(size, (sheet.length - margins, sheet.width - margins)) for sheet in sheets}
    sheet, (along, across) = min(lacking.items(), key=lambda item: sum(item[1]))
    if along > COINCIDENT or across > COINCIDENT:
        long, short = max(size), min(size)
        found = f"a flat of {long:.1f} x {short:.1f} mm"
        expected = (
            f"at most {sheet.length - margins:g} x {sheet.width - margins:g} mm, the largest sheet of"
            f" {part.material}, {part.thickness:g} mm less its margins"
        )
        least = f"{sheet.length + along:.1f} x {sheet.width + across:.1f} mm"
        yield Fault(_where(shop, part), found, expected, f"stock a sheet of {least} or more")


def _lacking(size: Vec2, room: Vec2) -> Vec2:
    """What a flat lacks along and across a sheet, laid whichever way lacks less."""
    ways = (size, (size[1], size[0]))
    return min(
        ((max(x - room[0], 0.0), max(y - room[1], 0.0)) for x, y in ways), key=lambda lack: lack[0] + lack[1]
    )


def _bar_faults(bar: SawnPart, shop: Shop) -> Iterator[Fault]:
    lengths = [stock.length for stock in shop.bars if stock.section == bar.section.name]
    if not lengths:
        names = sorted({stock.section for stock in shop.bars})
        close = nearest(bar.section.name, names)
        expected = f"a bar of it; there are {', '.join(names)}"
        action = f"add bars of {bar.section.name} to the shop file" + (f" beside {close}" if close else "")
        yield Fault(_where(shop, bar), f"no bar of {bar.section.name}", expected, action)
        return
    usable = max(lengths) - 2 * shop.saw.trim
    if bar.length > usable + COINCIDENT:
        expected = f"at most {usable:g} mm, the longest bar of {bar.section.name} less its trims"
        action = f"stock a bar of {bar.length + 2 * shop.saw.trim:.1f} mm or more"
        yield Fault(_where(shop, bar), f"a bar of {bar.length:.1f} mm", expected, action)
