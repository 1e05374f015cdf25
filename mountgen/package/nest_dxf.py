"""A nested sheet as a DXF that is ready to cut: the flats where they lie, on the layers of the flats.

Millimetres, the sheet's lower left corner at the origin, its length along x. CUT_OUTER and CUT_INNER hold
closed outlines, MARK the part numbers as strokes, SHEET the border of the stock sheet, which is not cut. Bend
lines are in the flats' own files.
"""

from __future__ import annotations

from collections.abc import Mapping
from io import StringIO
from pathlib import Path

from ezdxf.layouts import Modelspace

from mountgen.errors import SheetError
from mountgen.fabrication.nest_records import NestedSheet, Placed
from mountgen.fabrication.nest_stock import StockPlan, sheet_files
from mountgen.fabrication.part_mark import find_mark
from mountgen.geometry import rectangle
from mountgen.package.dxf_drawing import add_closed, add_stroke, fixed_meta_data, new_drawing
from mountgen.package.dxf_flavour import NEST_LAYERS, Flavour
from mountgen.package.dxf_lint import lint_flat
from mountgen.sheet.flat import FlatPattern
from mountgen.sheet.tree import RoundHole

Flats = Mapping[str, FlatPattern]


def write_nests(place: Path, plan: StockPlan, flats: Flats, flavour: Flavour) -> None:
    """Every sheet as DXF in the new folder `place`, read back and checked as a cutting shop would.

    SheetError, naming the file, for a sheet that a shop would refuse.
    """
    place.mkdir()
    for name, sheet in sheet_files(plan):
        path = place / name
        path.write_text(nest_drawing(sheet, flats, flavour), encoding="ascii")
        complaints = lint_flat(path, flavour)
        if complaints:
            raise SheetError(f"nest/{name}: " + "; ".join(complaints))


def nest_drawing(sheet: NestedSheet, flats: Flats, flavour: Flavour) -> str:
    """The text of a sheet's DXF file; `flats` by part number."""
    length, width = sheet.stock.length, sheet.stock.width
    with fixed_meta_data():
        drawing = new_drawing(flavour, NEST_LAYERS)
        space = drawing.modelspace()
        space.reset_extents((0.0, 0.0, 0.0), (length, width, 0.0))
        drawing.set_modelspace_vport(1.1 * max(length, width), center=(length / 2, width / 2))
        add_closed(space, rectangle(0.0, 0.0, length, width), "SHEET", flavour)
        for placed in sheet.placed:
            _draw(space, placed, flats[placed.number], flavour)
        stream = StringIO()
        drawing.write(stream)
    return stream.getvalue()


def _draw(space: Modelspace, placed: Placed, flat: FlatPattern, flavour: Flavour) -> None:
    """A part with what is inside it first, as it is cut."""
    mark = find_mark(placed.number, flat)
    for stroke in mark.strokes if mark is not None else ():
        add_stroke(space, [placed.point(point) for point in stroke], "MARK", flavour)
    for hole in (it.hole for it in flat.holes):
        if isinstance(hole, RoundHole):
            attributes = {"layer": flavour.layer("CUT_INNER")}
            space.add_circle(placed.point(hole.centre), hole.diameter / 2, dxfattribs=attributes)
        else:
            add_closed(space, placed.contour(hole.contour), "CUT_INNER", flavour)
    add_closed(space, placed.contour(flat.outline), "CUT_OUTER", flavour)
