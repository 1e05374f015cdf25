"""Flats, documents and tables: what is written without the kernel, possibly by another process.

The libraries for it are imported where they are used: the process that only hands the work on does not
wait for them.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from mountgen.errors import SheetError
from mountgen.fabrication.nest_stock import StockPlan
from mountgen.fabrication.part_mark import find_mark
from mountgen.fabrication.shop_work import ShopWork
from mountgen.package.dxf_flavour import Flavour
from mountgen.package.records import Dossier
from mountgen.sheet.flat import FlatPattern
from mountgen.sheet.tree import SheetPart
from mountgen.study import Study


def write_flats(
    place: Path, sheets: Sequence[SheetPart], flats: dict[str, FlatPattern], flavour: Flavour
) -> None:
    """Every flat as DXF in the new folder `place`, read back and checked as a cutting shop would.

    SheetError, naming the part, for a flat that a shop would refuse or that has no room for its number.
    """
    from mountgen.package.dxf_lint import lint_flat
    from mountgen.package.flat_dxf import flat_drawing

    place.mkdir()
    for part in sheets:
        path = place / f"{part.number}.dxf"
        path.write_text(flat_drawing(part, flats[part.number], flavour), encoding="ascii")
        complaints = list(lint_flat(path, flavour))
        if find_mark(part.number, flats[part.number]) is None:
            complaints.append("there is no room for the part number")
        if complaints:
            raise SheetError(f"flat of {part.number} {part.name}: " + "; ".join(complaints))


def write_tables(folder: Path, dossier: Dossier, work: ShopWork) -> None:
    """The fabricator's tables in `folder`: cut-and-drill.xlsx and tables/*.csv."""
    from mountgen.package.tables import fabricator_pages
    from mountgen.package.tables_csv import write_csv_tables
    from mountgen.package.tables_xlsx import write_workbook

    pages = fabricator_pages(dossier, work.making, work.shop)
    write_workbook(folder / "cut-and-drill.xlsx", pages, dossier.survey)
    write_csv_tables(folder / "tables", pages, dossier.survey)


def write_nest(place: Path, study: Study, flats: dict[str, FlatPattern], flavour: Flavour) -> StockPlan:
    """What the mount is cut from: every sheet as DXF in the new folder `place`.

    SheetError for a nest that fails its own check or that a shop would refuse.
    """
    from mountgen.fabrication.nest_plan import stock_plan
    from mountgen.package.nest_dxf import write_nests

    plan = stock_plan(study.detail, flats, study.scene.shop)
    write_nests(place, plan, flats, flavour)
    return plan


def write_documents(folder: Path, dossier: Dossier, flavour: Flavour) -> None:
    """The fabricator's and the installer's PDF in `folder`, and the drill template if the rail is drilled."""
    from mountgen.package.documents import write_cut_and_drill, write_set_up
    from mountgen.package.drill_template import write_drill_template

    write_cut_and_drill(folder / "cut-and-drill.pdf", dossier)
    write_set_up(folder / "set-up.pdf", dossier)
    write_drill_template(folder / "rail", dossier, flavour)
