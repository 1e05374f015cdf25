"""Drawing in the shop's flavour of DXF: an empty drawing with its layers, closed paths, strokes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager

import ezdxf
from ezdxf.document import Drawing
from ezdxf.layouts import Modelspace

from mountgen.geometry import Contour, Vec2
from mountgen.package.dxf_flavour import Flavour

MILLIMETRES, METRIC = 4, 1
LINETYPES = {
    "DASHED": ("dashed, narrow", [9.0, 6.0, -3.0]),
    "LONG_DASH_DOT": ("long dash, dot", [18.0, 12.0, -3.0, 0.0, -3.0]),
}


def new_drawing(flavour: Flavour, layers: Mapping[str, tuple[int, str]]) -> Drawing:
    """An empty drawing in millimetres with its layers (colour index and line type, by our names)."""
    drawing = ezdxf.new(flavour.version)
    drawing.header["$INSUNITS"] = MILLIMETRES
    drawing.header["$MEASUREMENT"] = METRIC
    for name, (description, pattern) in LINETYPES.items():
        if any(linetype == name for _, linetype in layers.values()):
            drawing.linetypes.add(name, pattern, description=description)
    for name, (colour, linetype) in layers.items():
        drawing.layers.add(flavour.layer(name), color=colour, linetype=linetype)
    return drawing


def add_closed(space: Modelspace, contour: Contour, layer: str, flavour: Flavour) -> None:
    """A closed path with its arcs as bulges."""
    corners = [(v.x, v.y, v.bulge) for v in contour.vertices]
    attributes = {"layer": flavour.layer(layer)}
    if flavour.version == "R12":
        space.add_polyline2d(corners, format="xyb", close=True, dxfattribs=attributes)
    else:
        space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs=attributes)


def add_stroke(space: Modelspace, points: Iterable[Vec2], layer: str, flavour: Flavour) -> None:
    """A line of several points, drawn without lifting."""
    attributes = {"layer": flavour.layer(layer)}
    if flavour.version == "R12":
        space.add_polyline2d(points, format="xy", dxfattribs=attributes)
    else:
        space.add_lwpolyline(points, format="xy", dxfattribs=attributes)


@contextmanager
def fixed_meta_data() -> Iterator[None]:
    """No dates and fresh identifiers in what ezdxf writes; its setting is put back afterwards."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before
