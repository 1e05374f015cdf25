"""PDF documents: sheets and texts set by Typst with the fonts of the package and a fixed date.

Data go in as JSON, so that no text of a user is ever read as markup. The same data give the same bytes.
The files conform to PDF/UA-1 (tagged, every picture with its alternative text).
"""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

from mountgen.package.cut_sheet import cut_and_drill_sheets
from mountgen.package.records import Dossier
from mountgen.package.setup_sheet import PICTURE, set_up_data
from mountgen.package.svg_text import displayable
from mountgen.package.typeset import typeset

CUT_AND_DRILL, SET_UP = "cut-and-drill.typ", "set-up.typ"


def write_cut_and_drill(path: Path, dossier: Dossier) -> None:
    """Writes bill of material, cut list, rail drilling and a drawing of every sheet part to `path`."""
    name = displayable(f"Cut and drill: {dossier.survey.name}")
    sheets = [asdict(sheet) for sheet in cut_and_drill_sheets(dossier)]
    path.write_bytes(typeset(CUT_AND_DRILL, {"title": name, "sheets": sheets}))


def write_set_up(path: Path, dossier: Dossier) -> None:
    """Writes the installer's sheet to `path`: cautions, tools, joints, numbers, order of commissioning."""
    path.write_bytes(typeset(SET_UP, displayable_data(set_up_data(dossier))))


def displayable_data(data: object) -> object:
    """The data of a template with every text as the fonts can show it; drawings are so already."""
    if isinstance(data, dict):
        return {key: value if key == PICTURE else displayable_data(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [displayable_data(item) for item in data]
    return displayable(data) if isinstance(data, str) else data
