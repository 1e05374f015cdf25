"""What must fit together in a shop file: complaints about values that are each plausible on their own."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator
from typing import Any

from mountgen.files.complaints import Complaint, dotted, nearest
from mountgen.files.places import KeyPath
from mountgen.shop.raw import RawShop

RULE_KEYS = ("bend_rule", "k_factor", "brake_table")


def rule_complaints(data: dict[str, Any]) -> Iterator[Complaint]:
    """Exactly one of the keys that say how flats are developed; looked at as it stands in the file."""
    given = [key for key in RULE_KEYS if key in data]
    expected = 'one of bend_rule = "din6935", k_factor = 0.42 and brake_table = "bends.csv"'
    if len(given) > 1:
        found = f"{' and '.join(given)} at the top of the file"
        yield Complaint((given[-1],), found, expected, "leave one of them", "key")
    known = RawShop.model_fields
    if not given and not any(nearest(key, RULE_KEYS) for key in data if key not in known):
        found = "nothing says how flats are developed"
        yield Complaint((), found, expected, "add one of them at the top of the file")


def cross_complaints(raw: RawShop) -> Iterator[Complaint]:
    """What is doubled, has no room, or has no speed or price."""
    yield from _doubled(_sheets(raw))
    yield from _doubled(_bars(raw))
    yield from _doubled((("dies", i), f"the die {die:g} mm", die) for i, die in enumerate(raw.dies))
    yield from _doubled(_speeds(raw))
    yield from _no_room(raw)
    yield from _no_speed(raw)
    yield from _no_price(raw)


def _sheets(raw: RawShop) -> Iterator[tuple[KeyPath, str, Hashable]]:
    for i, sheet in enumerate(raw.sheet):
        for k, thickness in enumerate(sheet.thicknesses):
            what = f"{sheet.material} {thickness:g} mm, {sheet.length:g} x {sheet.width:g} mm,"
            key = (sheet.material, thickness, sheet.length, sheet.width)
            yield ("sheet", i, "thicknesses", k), what, key


def _bars(raw: RawShop) -> Iterator[tuple[KeyPath, str, Hashable]]:
    for i, bar in enumerate(raw.bar):
        for k, section in enumerate(bar.sections):
            yield ("bar", i, "sections", k), f"{section}, {bar.length:g} mm,", (section, bar.length)


def _speeds(raw: RawShop) -> Iterator[tuple[KeyPath, str, Hashable]]:
    for i, speed in enumerate(raw.rates.cutting):
        most = speed.up_to_thickness
        yield ("rates", "cutting", i, "up_to_thickness"), f"a speed up to {most:g} mm", most


def _doubled(items: Iterable[tuple[KeyPath, str, Hashable]]) -> Iterator[Complaint]:
    """Items, each with its path, its words and what makes it the same as another."""
    first: dict[Hashable, KeyPath] = {}
    for path, what, key in items:
        if key in first:
            found = f"{what} stands here and in {dotted(first[key])}"
            yield Complaint(path, found, "each of them once", "take one of them out")
        first.setdefault(key, path)


def _no_room(raw: RawShop) -> Iterator[Complaint]:
    margins, trims = 2 * raw.cutting.edge_margin, 2 * raw.saw.trim
    for i, sheet in enumerate(raw.sheet):
        for side in ("length", "width"):
            size = getattr(sheet, side)
            if size <= margins:
                found = f"a sheet's {side} of {size:g} mm, and margins of {margins:g} mm"
                yield Complaint(("sheet", i, side), found, "more than the margins", "correct one of them")
    for i, bar in enumerate(raw.bar):
        if bar.length <= trims:
            found = f"a bar of {bar.length:g} mm, of which {trims:g} mm are cut off"
            yield Complaint(("bar", i, "length"), found, "more than both trims", "correct one of them")


def _no_speed(raw: RawShop) -> Iterator[Complaint]:
    most = max(speed.up_to_thickness for speed in raw.rates.cutting)
    for i, sheet in enumerate(raw.sheet):
        for k, thickness in enumerate(sheet.thicknesses):
            if thickness > most:
                found = f"a sheet of {thickness:g} mm, and cutting speeds up to {most:g} mm"
                expected = "a speed for every sheet of the stock"
                action = f"add [[rates.cutting]] with up_to_thickness = {thickness:g} or more"
                yield Complaint(("sheet", i, "thicknesses", k), found, expected, action)


def _no_price(raw: RawShop) -> Iterator[Complaint]:
    prices = raw.rates.material_per_kg
    for i, sheet in enumerate(raw.sheet):
        if sheet.material not in prices:
            close = nearest(sheet.material, list(prices))
            action = f"did you mean '{close}'?" if close else "add its price to [rates.material_per_kg]"
            found = f"no price for {sheet.material}"
            yield Complaint(("sheet", i, "material"), found, "one of " + ", ".join(prices), action)
