"""nest.pdf: every stock sheet and stock bar as a picture, with what is cut from it and what is left."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from mountgen.fabrication.bars import BarPlan, CutBar
from mountgen.fabrication.nest_records import Nest, NestedSheet
from mountgen.fabrication.nest_stock import StockPlan, sheet_files
from mountgen.package.cut_sheet import edition
from mountgen.package.nest_picture import bar_picture, sheet_picture
from mountgen.package.svg_text import displayable
from mountgen.package.typeset import typeset
from mountgen.sheet.flat import FlatPattern
from mountgen.shop.records import Shop
from mountgen.study import Study
from mountgen.units import System, format_length

TEMPLATE = "nest.typ"
Flats = Mapping[str, FlatPattern]


def write_nest_page(path: Path, study: Study, plan: StockPlan, flats: Flats) -> None:
    """Writes the nest page of the mount to `path`."""
    path.write_bytes(typeset(TEMPLATE, nest_page_data(study, plan, flats)))


def nest_page_data(study: Study, plan: StockPlan, flats: Flats) -> dict[str, object]:
    """Everything on the page as text and pictures."""
    shop, survey, units = study.scene.shop, study.survey, study.survey.units
    nests = {id(sheet): nest for nest in plan.nests for sheet in nest.sheets}
    return {
        "title": displayable(f"Nest and bar plan: {survey.name}"),
        "issued": displayable(edition(study)),
        "shop": displayable(shop.name),
        "rules": _rules(shop, units),
        "lacks": [displayable(text) for text in plan.lacks],
        "sheets": [
            {
                "heading": f"nest/{file}: {sheet_title(sheet, units)}",
                "facts": _sheet_facts(sheet, nests[id(sheet)], units),
                "picture": sheet_picture(sheet, flats, units),
                "alt": f"{len(sheet.placed)} parts as they lie on the sheet: {_numbers(sheet)}",
            }
            for file, sheet in sheet_files(plan)
        ],
        "bars": [_bar(bar, bars, units) for bars in plan.bars for bar in bars.bars],
    }


def _rules(shop: Shop, units: System) -> str:
    gap, margin, kerf, trim = (
        format_length(value, units)
        for value in (shop.cutting.part_gap, shop.cutting.edge_margin, shop.saw.kerf, shop.saw.trim)
    )
    return (
        f"Sheets: {gap} between parts, {margin} to the edge; parts are turned by quarters, never mirrored. "
        f"Bars: kerf {kerf}, {trim} trimmed off either end; cuts are measured from the datum end to the near "
        "face of the blade."
    )


def sheet_title(sheet: NestedSheet, units: System) -> str:
    """Material, thickness and size."""
    length, width = (format_length(value, units, 0) for value in (sheet.stock.length, sheet.stock.width))
    return f"{sheet.stock.material}, {format_length(sheet.stock.thickness, units)}, {length} x {width}"


def _sheet_facts(sheet: NestedSheet, nest: Nest, units: System) -> str:
    rest, share = sheet.remaining, 100.0 / sheet.area
    left = f"{format_length(rest.length, units)} x {format_length(rest.width, units)}"
    proof = (
        "no choice of sheets has less area"
        if nest.proven_minimal
        else f"sheets of less than {100 * nest.least_area / nest.area:.0f} % of this area cannot be enough"
    )
    return (
        f"{_counted(len(sheet.placed), 'part')}: {_numbers(sheet)}. Yield {100 * sheet.share_used:.1f} % "
        f"of the sheet; remaining piece {left} ({share * rest.area:.1f} %); "
        f"scrap {share * sheet.scrap:.1f} %; {proof}."
    )


def _counted(number: int, name: str) -> str:
    return f"{number} {name}" if number == 1 else f"{number} {name}s"


def _numbers(sheet: NestedSheet) -> str:
    return ", ".join(sorted(placed.number for placed in sheet.placed))


def _bar(bar: CutBar, plan: BarPlan, units: System) -> dict[str, object]:
    pieces = ", ".join(f"{piece.number} {format_length(piece.length, units)}" for piece in bar.pieces)
    proof = (
        "proven minimal: no plan takes less stock"
        if plan.proven_minimal
        else f"not proven minimal: a plan needs at least {format_length(plan.bound, units)} of stock, this "
        f"one takes {format_length(plan.stock_length, units)}"
    )
    return {
        "heading": f"{plan.section}, stock bar of {format_length(bar.stock_length, units, 0)}",
        "facts": f"{pieces}. {_counted(bar.cut_count, 'cut')}; remaining piece "
        f"{format_length(bar.remaining, units)}; yield {100 * bar.share_used:.1f} %; {proof}.",
        "picture": bar_picture(bar, units),
        "alt": f"The bar with its pieces from the datum end: {pieces}",
    }
