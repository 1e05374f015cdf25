"""What manifest.json says of the nest: sheets, bars, and what the stock is not enough for."""

from __future__ import annotations

from mountgen.fabrication.bars import BarPlan, CutBar
from mountgen.fabrication.nest_records import NestedSheet
from mountgen.fabrication.nest_stock import StockPlan, sheet_files
from mountgen.package.report import Json


def nest_entry(plan: StockPlan) -> dict[str, Json]:
    """The sheets and bars of a plan as JSON; lengths in mm, positions of cuts from the datum end."""
    return {
        "sheets": [_sheet_entry(file, sheet) for file, sheet in sheet_files(plan)],
        "bars": [_bar_entry(bar, bars) for bars in plan.bars for bar in bars.bars],
        "lacks": list(plan.lacks),
    }


def _sheet_entry(file: str, sheet: NestedSheet) -> dict[str, Json]:
    stock, rest = sheet.stock, sheet.remaining
    return {
        "file": f"nest/{file}",
        "material": stock.material,
        "thickness_mm": stock.thickness,
        "size_mm": [stock.length, stock.width],
        "yield": round(sheet.share_used, 4),
        "pieces": [placed.number for placed in sheet.placed],
        "remaining_mm": [round(rest.length, 1), round(rest.width, 1)],
    }


def _bar_entry(bar: CutBar, plan: BarPlan) -> dict[str, Json]:
    return {
        "section": plan.section,
        "stock_length_mm": bar.stock_length,
        "pieces": [piece.number for piece in bar.pieces],
        "cuts_mm": [round(at, 3) for at in bar.cuts],
        "remaining_mm": round(bar.remaining, 3),
        "yield": round(bar.share_used, 4),
        "proven_minimal": plan.proven_minimal,
    }
