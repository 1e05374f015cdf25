"""The flat pattern as a DXF that a cutting shop can load without a question.

Millimetres, everything at z = 0, one layer for each job: CUT_OUTER and CUT_INNER hold closed outlines and
nothing else (arcs as bulges, round holes as CIRCLE), BEND_UP and BEND_DOWN the centre lines of the bends,
MARK the part number as strokes. There is no text, block, spline or hatch. The same flat gives the same
bytes.
"""

from __future__ import annotations

from io import StringIO

from ezdxf.document import Drawing
from ezdxf.layouts import Modelspace

from mountgen.fabrication.part_mark import find_mark
from mountgen.package.dxf_drawing import add_closed, add_stroke, fixed_meta_data, new_drawing
from mountgen.package.dxf_flavour import FLAT_LAYERS, Flavour
from mountgen.sheet.flat import FlatPattern
from mountgen.sheet.tree import Hole, RoundHole, SheetPart


def flat_drawing(part: SheetPart, flat: FlatPattern, flavour: Flavour) -> str:
    """The text of the flat's DXF file (ASCII, whatever the version).

    A part number for which there is no room (`find_mark` finds nothing) is left unmarked.
    ValueError: a part number that the marking font cannot draw.
    """
    with fixed_meta_data():
        drawing = _empty_drawing(flavour, flat)
        _draw(drawing.modelspace(), part, flat, flavour)
        stream = StringIO()
        drawing.write(stream)
    return stream.getvalue()


def _empty_drawing(flavour: Flavour, flat: FlatPattern) -> Drawing:
    drawing = new_drawing(flavour, FLAT_LAYERS)
    width, height = flat.size
    drawing.modelspace().reset_extents((0.0, 0.0, 0.0), (width, height, 0.0))
    drawing.set_modelspace_vport(1.1 * max(width, height), center=(width / 2, height / 2))
    return drawing


def _draw(space: Modelspace, part: SheetPart, flat: FlatPattern, flavour: Flavour) -> None:
    add_closed(space, flat.outline, "CUT_OUTER", flavour)
    for placed in flat.holes:
        _hole(space, placed.hole, flavour)
    for line in flat.bend_lines:
        layer = "BEND_UP" if line.direction == "up" else "BEND_DOWN"
        space.add_line(line.start, line.end, dxfattribs={"layer": flavour.layer(layer)})
    mark = find_mark(part.number, flat)
    for stroke in mark.strokes if mark is not None else ():
        add_stroke(space, stroke, "MARK", flavour)


def _hole(space: Modelspace, hole: Hole, flavour: Flavour) -> None:
    if isinstance(hole, RoundHole):
        attributes = {"layer": flavour.layer("CUT_INNER")}
        space.add_circle(hole.centre, hole.diameter / 2, dxfattribs=attributes)
    else:
        add_closed(space, hole.contour, "CUT_INNER", flavour)
