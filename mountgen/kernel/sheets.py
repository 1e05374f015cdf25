"""A sheet part as one folded solid, from its tree of flanges and bends.

Each flange is one plane face with its holes already in it, drawn out by the thickness; each bend is a
rectangle swept about the bend's axis. The pieces touch in plane faces and are fused once.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism, BRepPrimAPI_MakeRevol
from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt, gp_Vec

from mountgen.kernel.booleans import fused
from mountgen.kernel.faces import plane_face
from mountgen.kernel.frames import Solid, placed
from mountgen.kernel.gate import one_solid
from mountgen.sheet.tree import Bend, Flange, SheetPart


def sheet_solid(part: SheetPart) -> Solid:
    """The folded part in its root flange's frame, checked; KernelError naming part and figures."""
    pieces = list(_pieces(part))
    whole = pieces[0] if len(pieces) == 1 else fused(pieces, part.number)
    return one_solid(whole, sheet_volume(part), part.number)


def sheet_volume(part: SheetPart) -> float:
    """mm3 in closed form: net flange areas times thickness, and a sector of a ring for each bend."""
    flanges = [flange for flange, _ in part.placed_flanges()]
    flat = sum(_net_area(flange) for flange in flanges) * part.thickness
    return flat + sum(_bend_volume(bend, part.thickness) for flange in flanges for bend in flange.bends)


def _net_area(flange: Flange) -> float:
    return flange.outline.area - sum(hole.contour.area for hole in flange.holes)


def _bend_volume(bend: Bend, thickness: float) -> float:
    outside = bend.inside_radius + thickness
    turn = math.radians(abs(bend.angle_deg))
    return bend.width * turn * (outside**2 - bend.inside_radius**2) / 2


def _pieces(part: SheetPart) -> Iterator[Solid]:
    for flange, placement in part.placed_flanges():
        name = f"{part.number}, flange {flange.name}"
        face = plane_face(flange.outline, tuple(hole.contour for hole in flange.holes), name)
        prism = BRepPrimAPI_MakePrism(face, gp_Vec(0.0, 0.0, part.thickness)).Shape()
        yield placed(prism, placement)
        for bend in flange.bends:
            yield placed(_sector(bend, part.thickness), placement)


def _sector(bend: Bend, thickness: float) -> Solid:
    """The bent strip in its parent's frame, swept from the parent's tangent line about the bend's axis.

    Bending up, the axis lies above the sheet and the sweep runs from end to start; down, below it and
    from start to end.
    """
    (x0, y0), (x1, y1) = bend.start, bend.end
    polygon = BRepBuilderAPI_MakePolygon()
    for x, y, z in ((x0, y0, 0.0), (x1, y1, 0.0), (x1, y1, thickness), (x0, y0, thickness)):
        polygon.Add(gp_Pnt(x, y, z))
    polygon.Close()
    face = BRepBuilderAPI_MakeFace(polygon.Wire(), True).Face()
    up = bend.angle_deg > 0.0
    height = thickness + bend.inside_radius if up else -bend.inside_radius
    along = gp_Dir(x0 - x1, y0 - y1, 0.0) if up else gp_Dir(x1 - x0, y1 - y0, 0.0)
    axis = gp_Ax1(gp_Pnt(x0, y0, height), along)
    return BRepPrimAPI_MakeRevol(face, axis, math.radians(abs(bend.angle_deg))).Shape()
