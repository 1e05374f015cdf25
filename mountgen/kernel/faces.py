"""Contours as exact wires and plane faces: a straight segment is a line, a bulge an arc of a circle."""

from __future__ import annotations

import math

from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeVertex,
    BRepBuilderAPI_MakeWire,
)
from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pln, gp_Pnt
from OCP.TopoDS import TopoDS

from mountgen.errors import KernelError
from mountgen.geometry import COINCIDENT, Contour, Vertex, arc_of
from mountgen.kernel.frames import KernelObject, Solid
from mountgen.kernel.gate import check_valid

HOLES = "a hole meets an edge or another hole, or a slot is shorter than it is wide"

_UP, _DOWN = gp_Dir(0.0, 0.0, 1.0), gp_Dir(0.0, 0.0, -1.0)


def plane_face(outer: Contour, holes: tuple[Contour, ...], name: str) -> Solid:
    """A face in the plane z = 0, looking up; every contour runs counter-clockwise.

    KernelError, naming the part, for a contour that runs the wrong way or does not close, or a hole that
    does not lie well inside.
    """
    for contour in (outer, *holes):
        if contour.area <= 0.0:
            raise KernelError(f"{name}: a contour has area {contour.area:.6g} mm2, expected a positive one")
    maker = BRepBuilderAPI_MakeFace(gp_Pln(gp_Pnt(0.0, 0.0, 0.0), _UP), wire(outer, name), True)
    for hole in holes:
        maker.Add(TopoDS.Wire_s(wire(hole, name).Reversed()))
    face = maker.Face()
    check_valid(face, name, HOLES)
    return face


def wire(contour: Contour, name: str) -> Solid:
    """The contour in the plane z = 0 as one closed wire; KernelError, naming the part, if it fails."""
    circle = _full_circle(contour)
    edges = [circle] if circle is not None else _edges(_distinct(contour))
    maker = BRepBuilderAPI_MakeWire()
    for edge in edges:
        maker.Add(edge)
    if not maker.IsDone():
        raise KernelError(f"{name}: a contour of {len(edges)} segments does not close to one wire")
    return maker.Wire()


def _full_circle(contour: Contour) -> KernelObject | None:
    """One closed edge for a contour of two half turns."""
    if len(contour.vertices) != 2 or any(v.bulge != 1.0 for v in contour.vertices):
        return None
    a, b = contour.vertices
    axes = gp_Ax2(gp_Pnt((a.x + b.x) / 2, (a.y + b.y) / 2, 0.0), _UP)
    return BRepBuilderAPI_MakeEdge(gp_Circ(axes, math.hypot(b.x - a.x, b.y - a.y) / 2)).Edge()


def _distinct(contour: Contour) -> Contour:
    """Without straight segments of no length, which a slot as long as it is wide has."""
    kept = [a for a, b in contour.segments() if a.bulge or math.hypot(b.x - a.x, b.y - a.y) > COINCIDENT]
    return Contour(tuple(kept))


def _edges(contour: Contour) -> list[KernelObject]:
    corners = [BRepBuilderAPI_MakeVertex(gp_Pnt(v.x, v.y, 0.0)).Vertex() for v in contour.vertices]
    following = corners[1:] + corners[:1]
    pairs = zip(contour.segments(), corners, following, strict=True)
    return [_edge(a, b, start, end) for (a, b), start, end in pairs]


def _edge(a: Vertex, b: Vertex, start: Solid, end: Solid) -> Solid:
    if a.bulge == 0.0:
        return BRepBuilderAPI_MakeEdge(start, end).Edge()
    arc = arc_of(a, b)
    axes = gp_Ax2(gp_Pnt(*arc.centre, 0.0), _UP if a.bulge > 0.0 else _DOWN)
    return BRepBuilderAPI_MakeEdge(gp_Circ(axes, arc.radius), start, end).Edge()
