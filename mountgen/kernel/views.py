"""Exact hidden-line views of solids, as the plain records of `mountgen.views`."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping

from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepLib import BRepLib
from OCP.GCPnts import GCPnts_QuasiUniformDeflection
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.HLRAlgo import HLRAlgo_Projector
from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS

from mountgen.errors import KernelError
from mountgen.geometry import Arc, Vec2, Vec3, cross, scale, unit
from mountgen.kernel.frames import KernelObject, Solid
from mountgen.kernel.overlaps import without_overlaps
from mountgen.views import Curve, Line, Polyline, View

CHORD = 0.01
"""mm between a curve that is no arc and the polyline drawn for it."""

STRAIGHT = 1e-5
"""mm that the points of a curve seen edge-on may lie off a straight line."""


def view(shape: Solid, direction: Vec3, up: Vec3) -> View:
    """The shape seen along `direction` with `up` up on paper: visible, hidden and tangent lines.

    `direction` runs from the eye to the shape. ValueError if `up` lies along `direction`, KernelError
    if the kernel finds nothing to draw.
    """
    drawn = HLRBRep_HLRToShape(_hidden_lines([shape], direction, up))
    visible = [*_curves(drawn.VCompound()), *_curves(drawn.OutLineVCompound())]
    if not visible:
        raise KernelError("the kernel found no visible line in a view")
    hidden = [*_curves(drawn.HCompound()), *_curves(drawn.OutLineHCompound())]
    seen, smooth, behind = without_overlaps([visible, list(_curves(drawn.Rg1LineVCompound())), hidden])
    return View(visible=seen, hidden=behind, tangent=smooth)


def visible_lines(shapes: Mapping[str, Solid], direction: Vec3, up: Vec3) -> dict[str, tuple[Curve, ...]]:
    """What is seen of each of several shapes that stand together, along `direction` with `up` up on paper.

    A shape that the others hide altogether has no lines. ValueError if `up` lies along `direction`.
    """
    drawn = HLRBRep_HLRToShape(_hidden_lines(shapes.values(), direction, up))
    found = {}
    for name, shape in shapes.items():
        seen = [*_curves(drawn.VCompound(shape)), *_curves(drawn.OutLineVCompound(shape))]
        (found[name],) = without_overlaps([seen])
    return found


def _hidden_lines(shapes: Iterable[Solid], direction: Vec3, up: Vec3) -> KernelObject:
    towards_eye = gp_Dir(*scale(direction, -1.0))
    right = gp_Dir(*unit(cross(direction, up)))
    algorithm = HLRBRep_Algo()
    for shape in shapes:
        algorithm.Add(shape)
    algorithm.Projector(HLRAlgo_Projector(gp_Ax2(gp_Pnt(0.0, 0.0, 0.0), towards_eye, right)))
    algorithm.Update()
    algorithm.Hide()
    return algorithm


def _curves(compound: Solid) -> Iterator[Curve]:
    """The edges of a result of the kernel, which is None where there are none."""
    if compound is None or compound.IsNull():
        return
    BRepLib.BuildCurves3d_s(compound)
    explorer = TopExp_Explorer(compound, TopAbs_ShapeEnum.TopAbs_EDGE)
    while explorer.More():
        yield _curve(BRepAdaptor_Curve(TopoDS.Edge_s(explorer.Current())))
        explorer.Next()


def _curve(curve: KernelObject) -> Curve:
    kind = curve.GetType()
    if kind == GeomAbs_CurveType.GeomAbs_Line:
        return Line(_at(curve, curve.FirstParameter()), _at(curve, curve.LastParameter()))
    if kind == GeomAbs_CurveType.GeomAbs_Circle:
        return _arc(curve)
    points = tuple(_sampled(curve))
    return _edge_on(points) or Polyline(points)


def _arc(curve: KernelObject) -> Arc:
    """Counter-clockwise on paper, whichever way the kernel's circle runs."""
    circle = curve.Circle()
    centre, radius = circle.Location(), circle.Radius()
    sweep = math.degrees(curve.LastParameter() - curve.FirstParameter())
    counter_clockwise = circle.Axis().Direction().Z() > 0.0
    first = curve.FirstParameter() if counter_clockwise else curve.LastParameter()
    u, v = _at(curve, first)
    start = 0.0 if sweep >= 360.0 else math.degrees(math.atan2(v - centre.Y(), u - centre.X()))
    return Arc((centre.X(), centre.Y()), radius, start, start + sweep)


def _at(curve: KernelObject, parameter: float) -> Vec2:
    point = curve.Value(parameter)
    return point.X(), point.Y()


def _sampled(curve: KernelObject) -> Iterator[Vec2]:
    sampler = GCPnts_QuasiUniformDeflection(curve, CHORD)
    if not sampler.IsDone():
        raise KernelError("the kernel cannot follow a curve of a view")
    for i in range(1, sampler.NbPoints() + 1):
        point = sampler.Value(i)
        yield point.X(), point.Y()


def _edge_on(points: tuple[Vec2, ...]) -> Line | None:
    """The line that a plane curve seen along its plane covers, from extreme to extreme; None if it is
    truly curved."""
    start = points[0]
    far = max(points, key=lambda p: math.dist(start, p))
    size = math.dist(start, far)
    if size == 0.0:
        return None
    du, dv = (far[0] - start[0]) / size, (far[1] - start[1]) / size
    offsets = [(u - start[0]) * dv - (v - start[1]) * du for u, v in points]
    if max(map(abs, offsets)) > STRAIGHT:
        return None
    along = sorted(points, key=lambda p: (p[0] - start[0]) * du + (p[1] - start[1]) * dv)
    return Line(along[0], along[-1])
