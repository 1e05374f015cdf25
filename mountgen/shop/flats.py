"""The flat of a part as one shop makes it: by its bend rule, each bend on one of its dies."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from mountgen.errors import Fault
from mountgen.mechanics.brake_table import NoRowError
from mountgen.sheet.flat import FlatPattern, unfold
from mountgen.sheet.tree import Bend, Flange, SheetPart
from mountgen.shop.records import Shop


def flat_of(part: SheetPart, shop: Shop) -> FlatPattern:
    """The flat pattern by the shop's rule for the part's material. SheetError as `unfold`."""
    flat = unfold(part, shop.bend_rule(part.material))
    return replace(
        flat,
        bend_lines=tuple(
            replace(line, die=shop.die(part.material, part.thickness, line.inside_radius))
            for line in flat.bend_lines
        ),
    )


def bend_faults(parts: Iterable[SheetPart], shop: Shop) -> tuple[Fault, ...]:
    """Every bend that the shop's rule has no allowance for, one fault for each row that its table lacks."""
    missing: dict[tuple[str, ...], list[str]] = {}
    for part in parts:
        rule = shop.bend_rule(part.material)
        for number, bend in enumerate(_bends(part.root), 1):
            try:
                rule.allowance(part.thickness, bend.inside_radius, abs(bend.angle_deg))
            except ValueError as error:
                words = _words(error, rule.title, tuple(shop.bend_rules))
                where = f"{part.number} {part.name}, bend B{number} to its {bend.child.name}"
                missing.setdefault(words, []).append(where)
    return tuple(
        Fault(table, f"{found} ({'; '.join(bends)})", expected, action)
        for (table, found, expected, action), bends in missing.items()
    )


def _words(error: ValueError, title: str, materials: tuple[str, ...]) -> tuple[str, str, str, str]:
    """Table, what is missing, what is expected and what to do."""
    if not isinstance(error, NoRowError):
        return title, str(error), "a bend that the rule knows", "name another bend rule in the shop file"
    there = error.there or f"; its materials are {', '.join(materials)}"
    return title, f"no row for {error.wanted}", f"a row for every bend{there}", error.action


def _bends(flange: Flange) -> Iterator[Bend]:
    """Every bend in the order in which the flat numbers them."""
    for bend in flange.bends:
        yield bend
        yield from _bends(bend.child)
