"""The flat pattern as a DXF that a cutting shop can load without a question.

Millimetres, everything at z = 0, one layer for each job: CUT_OUTER and CUT_INNER hold closed outlines and
nothing else (arcs as bulges, round holes as CIRCLE), BEND_UP and BEND_DOWN the centre lines of the bends,
MARK the part number as strokes. There is no text, block, spline or hatch. The same flat gives the same
bytes.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from typing import Literal

import ezdxf
from ezdxf.document import Drawing
from ezdxf.layouts import Modelspace

from mountgen.geometry import Contour
from mountgen.package.part_mark import find_mark
from mountgen.sheet.flat import FlatPattern
from mountgen.sheet.tree import Hole, RoundHole, SheetPart

DxfVersion = Literal["R2000", "R2010"]

MILLIMETRES, METRIC = 4, 1
LINETYPES = {
    "DASHED": ("dashed, narrow", [9.0, 6.0, -3.0]),
    "LONG_DASH_DOT": ("long dash, dot", [18.0, 12.0, -3.0, 0.0, -3.0]),
}
LAYERS = {
    "CUT_OUTER": (7, "Continuous"),
    "CUT_INNER": (1, "Continuous"),
    "BEND_UP": (3, "DASHED"),
    "BEND_DOWN": (5, "LONG_DASH_DOT"),
    "MARK": (6, "Continuous"),
}
"""Colour index and line type of each layer."""


def flat_drawing(part: SheetPart, flat: FlatPattern, version: DxfVersion = "R2000") -> str:
    """The text of the flat's DXF file (ASCII, whatever the version).

    A part number for which there is no room (`find_mark` finds nothing) is left unmarked.
    ValueError: a part number that the marking font cannot draw.
    """
    with fixed_meta_data():
        drawing = _empty_drawing(version, flat)
        _draw(drawing.modelspace(), part, flat)
        stream = StringIO()
        drawing.write(stream)
    return stream.getvalue()


@contextmanager
def fixed_meta_data() -> Iterator[None]:
    """No dates and fresh identifiers in what ezdxf writes; its setting is put back afterwards."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def _empty_drawing(version: DxfVersion, flat: FlatPattern) -> Drawing:
    drawing = ezdxf.new(version)
    drawing.header["$INSUNITS"] = MILLIMETRES
    drawing.header["$MEASUREMENT"] = METRIC
    for name, (description, pattern) in LINETYPES.items():
        drawing.linetypes.add(name, pattern, description=description)
    for name, (colour, linetype) in LAYERS.items():
        drawing.layers.add(name, color=colour, linetype=linetype)
    width, height = flat.size
    drawing.modelspace().reset_extents((0.0, 0.0, 0.0), (width, height, 0.0))
    drawing.set_modelspace_vport(1.1 * max(width, height), center=(width / 2, height / 2))
    return drawing


def _draw(space: Modelspace, part: SheetPart, flat: FlatPattern) -> None:
    _closed(space, flat.outline, "CUT_OUTER")
    for placed in flat.holes:
        _hole(space, placed.hole)
    for line in flat.bend_lines:
        layer = "BEND_UP" if line.direction == "up" else "BEND_DOWN"
        space.add_line(line.start, line.end, dxfattribs={"layer": layer})
    mark = find_mark(part.number, flat)
    for stroke in mark.strokes if mark is not None else ():
        space.add_lwpolyline(stroke, format="xy", dxfattribs={"layer": "MARK"})


def _hole(space: Modelspace, hole: Hole) -> None:
    if isinstance(hole, RoundHole):
        space.add_circle(hole.centre, hole.diameter / 2, dxfattribs={"layer": "CUT_INNER"})
    else:
        _closed(space, hole.contour, "CUT_INNER")


def _closed(space: Modelspace, contour: Contour, layer: str) -> None:
    corners = [(v.x, v.y, v.bulge) for v in contour.vertices]
    space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs={"layer": layer})
