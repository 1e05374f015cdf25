"""The drill template as DXF: millimetres, print line at x = 0, the rail's top edge at y = 0.

RAIL_EDGE holds the rail's top and bottom edge, HOLES one CIRCLE for each hole, LEG the closed outlines of
what is bolted on, MARK the crosses, tags, the print line and the direction of flow as strokes.
"""

from __future__ import annotations

from io import StringIO

from ezdxf.document import Drawing
from ezdxf.layouts import Modelspace

from mountgen.detail.records import RailHole
from mountgen.fabrication.stroke_font import text_strokes
from mountgen.geometry import Vec2
from mountgen.package.drawing_words import plain
from mountgen.package.drill_template import BESIDE, TAB, Template
from mountgen.package.dxf_drawing import add_closed, add_stroke, fixed_meta_data, new_drawing
from mountgen.package.dxf_flavour import TEMPLATE_LAYERS, Flavour

TEXT = 4.0
OVERSHOOT = 3.0
ARROW = 20.0


def template_drawing(template: Template, flavour: Flavour) -> str:
    """The text of the DXF file (ASCII); the same template gives the same text."""
    with fixed_meta_data():
        drawing = new_drawing(flavour, TEMPLATE_LAYERS)
        _draw(drawing, template, flavour)
        stream = StringIO()
        drawing.write(stream)
    return stream.getvalue()


def _draw(drawing: Drawing, template: Template, flavour: Flavour) -> None:
    space = drawing.modelspace()
    (low_x, _), (high_x, _) = template.bounds
    ends = (min(low_x, -BESIDE), max(high_x, ARROW + BESIDE))
    for y in (0.0, -template.depth):
        edge = {"layer": flavour.layer("RAIL_EDGE")}
        space.add_line((ends[0], y), (ends[1], y), dxfattribs=edge)
    for leg in template.legs:
        add_closed(space, leg, "LEG", flavour)
    for hole in template.holes:
        attributes = {"layer": flavour.layer("HOLES")}
        space.add_circle(template.centre(hole), hole.diameter / 2, dxfattribs=attributes)
        _cross(space, template, hole, flavour)
    _print_line(space, template, flavour)
    space.reset_extents((ends[0], -template.depth, 0.0), (ends[1], TAB, 0.0))
    wide, tall = ends[1] - ends[0], template.depth + TAB
    middle = (sum(ends) / 2, (TAB - template.depth) / 2)
    drawing.set_modelspace_vport(1.1 * max(wide, tall), center=middle)


def _cross(space: Modelspace, template: Template, hole: RailHole, flavour: Flavour) -> None:
    """The centre, and beside it the tag and the drill's diameter."""
    (x, y), arm = template.centre(hole), hole.diameter / 2 + OVERSHOOT
    _stroke(space, (x - arm, y), (x + arm, y), flavour)
    _stroke(space, (x, y - arm), (x, y + arm), flavour)
    _text(space, f"{hole.tag} D{plain(hole.diameter)}", (x + hole.diameter / 2 + 1.0, y + 1.0), flavour)


def _print_line(space: Modelspace, template: Template, flavour: Flavour) -> None:
    rightwards = template.survey.line.flow == "left_to_right"
    start, tip = (2.0, 2.0 + ARROW) if rightwards else (2.0 + ARROW, 2.0)
    back = -3.0 if rightwards else 3.0
    _stroke(space, (0.0, TAB), (0.0, -template.depth), flavour)
    _text(space, "PRINT LINE", (2.0, 3.0), flavour)
    _text(space, "FLOW", (2.0, 11.0), flavour)
    _stroke(space, (start, 18.0), (tip, 18.0), flavour)
    for side in (1.0, -1.0):
        _stroke(space, (tip, 18.0), (tip + back, 18.0 + side), flavour)


def _text(space: Modelspace, text: str, at: Vec2, flavour: Flavour) -> None:
    for stroke in text_strokes(text, TEXT):
        points = [(at[0] + x, at[1] + y) for x, y in stroke]
        add_stroke(space, points, "MARK", flavour)


def _stroke(space: Modelspace, a: Vec2, b: Vec2, flavour: Flavour) -> None:
    space.add_line(a, b, dxfattribs={"layer": flavour.layer("MARK")})
