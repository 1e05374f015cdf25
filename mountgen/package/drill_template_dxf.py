"""The drill template as DXF: millimetres, print line at x = 0, the rail's top edge at y = 0.

RAIL_EDGE holds the rail's top and bottom edge, HOLES one CIRCLE for each hole, LEG the closed outlines of
what is bolted on, MARK the crosses, tags, the print line and the direction of flow as strokes.
"""

from __future__ import annotations

from io import StringIO

import ezdxf
from ezdxf.document import Drawing
from ezdxf.layouts import Modelspace

from mountgen.detail.records import RailHole
from mountgen.geometry import Vec2
from mountgen.package.drawing_words import plain
from mountgen.package.drill_template import BESIDE, TAB, Template
from mountgen.package.flat_dxf import METRIC, MILLIMETRES, fixed_meta_data
from mountgen.package.stroke_font import text_strokes

LAYERS = {"RAIL_EDGE": 7, "HOLES": 1, "MARK": 6, "LEG": 5}
"""Colour index of each layer."""
TEXT = 4.0
OVERSHOOT = 3.0
ARROW = 20.0


def template_drawing(template: Template) -> str:
    """The text of the DXF file (ASCII); the same template gives the same text."""
    with fixed_meta_data():
        drawing = ezdxf.new("R2000")
        drawing.header["$INSUNITS"] = MILLIMETRES
        drawing.header["$MEASUREMENT"] = METRIC
        for name, colour in LAYERS.items():
            drawing.layers.add(name, color=colour)
        _draw(drawing, template)
        stream = StringIO()
        drawing.write(stream)
    return stream.getvalue()


def _draw(drawing: Drawing, template: Template) -> None:
    space = drawing.modelspace()
    (low_x, _), (high_x, _) = template.bounds
    ends = (min(low_x, -BESIDE), max(high_x, ARROW + BESIDE))
    for y in (0.0, -template.depth):
        space.add_line((ends[0], y), (ends[1], y), dxfattribs={"layer": "RAIL_EDGE"})
    for leg in template.legs:
        corners = [(v.x, v.y, v.bulge) for v in leg.vertices]
        space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs={"layer": "LEG"})
    for hole in template.holes:
        space.add_circle(template.centre(hole), hole.diameter / 2, dxfattribs={"layer": "HOLES"})
        _cross(space, template, hole)
    _print_line(space, template)
    space.reset_extents((ends[0], -template.depth, 0.0), (ends[1], TAB, 0.0))
    wide, tall = ends[1] - ends[0], template.depth + TAB
    middle = (sum(ends) / 2, (TAB - template.depth) / 2)
    drawing.set_modelspace_vport(1.1 * max(wide, tall), center=middle)


def _cross(space: Modelspace, template: Template, hole: RailHole) -> None:
    """The centre, and beside it the tag and the drill's diameter."""
    (x, y), arm = template.centre(hole), hole.diameter / 2 + OVERSHOOT
    _stroke(space, (x - arm, y), (x + arm, y))
    _stroke(space, (x, y - arm), (x, y + arm))
    _text(space, f"{hole.tag} D{plain(hole.diameter)}", (x + hole.diameter / 2 + 1.0, y + 1.0))


def _print_line(space: Modelspace, template: Template) -> None:
    rightwards = template.survey.line.flow == "left_to_right"
    start, tip = (2.0, 2.0 + ARROW) if rightwards else (2.0 + ARROW, 2.0)
    back = -3.0 if rightwards else 3.0
    _stroke(space, (0.0, TAB), (0.0, -template.depth))
    _text(space, "PRINT LINE", (2.0, 3.0))
    _text(space, "FLOW", (2.0, 11.0))
    _stroke(space, (start, 18.0), (tip, 18.0))
    for side in (1.0, -1.0):
        _stroke(space, (tip, 18.0), (tip + back, 18.0 + side))


def _text(space: Modelspace, text: str, at: Vec2) -> None:
    for stroke in text_strokes(text, TEXT):
        points = [(at[0] + x, at[1] + y) for x, y in stroke]
        space.add_lwpolyline(points, format="xy", dxfattribs={"layer": "MARK"})


def _stroke(space: Modelspace, a: Vec2, b: Vec2) -> None:
    space.add_line(a, b, dxfattribs={"layer": "MARK"})
