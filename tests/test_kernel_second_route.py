"""The same brackets by other routes: a mesh measured by trimesh, a solid made by cadquery's own API."""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np
import pytest
import trimesh
from kernel_brackets import FIRST_LEG, RADIUS, SECOND_LEG, THICKNESS, WIDTH, l_bracket, u_bracket, z_bracket
from OCP.BRep import BRep_Tool
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS

from mountgen.kernel import measure
from mountgen.kernel.solids import shape_solid, sheet_solid
from mountgen.shapes import Block, Cylinder, HexPrism, Shape

CHORD = 0.005


def mesh_of(solid):
    BRepMesh_IncrementalMesh(solid, theLinDeflection=CHORD, theAngDeflection=0.1)
    corners, triangles = [], []
    explorer = TopExp_Explorer(solid, TopAbs_ShapeEnum.TopAbs_FACE)
    while explorer.More():
        face, place = TopoDS.Face_s(explorer.Current()), TopLoc_Location()
        facets = BRep_Tool.Triangulation_s(face, place)
        offset = len(corners)
        for i in range(1, facets.NbNodes() + 1):
            point = facets.Node(i).Transformed(place.Transformation())
            corners.append((point.X(), point.Y(), point.Z()))
        step = -1 if face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED else 1
        for i in range(1, facets.NbTriangles() + 1):
            triangles.append([offset + k - 1 for k in facets.Triangle(i).Get()][::step])
        explorer.Next()
    mesh = trimesh.Trimesh(np.array(corners), np.array(triangles), process=False)
    mesh.merge_vertices(digits_vertex=6)
    return mesh


@pytest.mark.parametrize(
    "part",
    [l_bracket(90.0), l_bracket(-45.0), l_bracket(120.0), z_bracket(60.0), u_bracket(-90.0)],
    ids=["L up", "L down 45", "L up 120", "Z", "U down"],
)
def test_mesh_agrees(part):
    """The mesh leaves out or adds at most the chord under each curved face, some 4000 mm2 here."""
    solid = sheet_solid(part)
    mesh = mesh_of(solid)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(measure.volume(solid), abs=4000.0 * CHORD)
    assert mesh.center_mass == pytest.approx(measure.centre_of_mass(solid), abs=0.01)
    box = measure.bounding_box(solid)
    assert mesh.bounds[0] == pytest.approx(box.low, abs=CHORD)
    assert mesh.bounds[1] == pytest.approx(box.high, abs=CHORD)


def test_mesh_of_a_cut_shape_agrees():
    solid = shape_solid(Shape((Block((0, 0, 0), (20, 20, 8)), Cylinder(12.0, 20.0)), (HexPrism(6.0, 30.0),)))
    mesh = mesh_of(solid)
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(measure.volume(solid), abs=1000.0 * CHORD)


def fluent_l_bracket():
    """Profile in the y-z plane drawn out by the width, holes cut through afterwards."""
    outer, turn = RADIUS + THICKNESS, math.sqrt(0.5)
    profile = (
        cq.Workplane("YZ")
        .moveTo(FIRST_LEG, 0.0)
        .lineTo(0.0, 0.0)
        .threePointArc((-outer * turn, outer - outer * turn), (-outer, outer))
        .lineTo(-outer, outer + SECOND_LEG)
        .lineTo(-RADIUS, outer + SECOND_LEG)
        .lineTo(-RADIUS, outer)
        .threePointArc((-RADIUS * turn, outer - RADIUS * turn), (0.0, THICKNESS))
        .lineTo(FIRST_LEG, THICKNESS)
        .close()
    )
    first_holes = (
        cq.Workplane("XY").center(15.0, 20.0).circle(3.3).extrude(THICKNESS)
        .union(cq.Workplane("XY").center(40.0, 30.0).slot2D(20.0, 7.0, 90.0).extrude(THICKNESS))
    )  # fmt: skip
    return profile.extrude(WIDTH).cut(first_holes).cut(fluent_arc_slot())


def fluent_arc_slot():
    """On the standing leg, seen from -y, x runs the other way: the child's x is the bracket's W - x."""

    def at(radius, angle_deg):
        angle = math.radians(angle_deg)
        return WIDTH - (40.0 + radius * math.cos(angle)), RADIUS + THICKNESS + 20.0 + radius * math.sin(angle)

    inner, middle, outer = 22.0 - 3.3, 22.0, 22.0 + 3.3
    sketch = cq.Workplane("XZ", origin=(0.0, -RADIUS, 0.0)).moveTo(*at(outer, 30.0))
    tips = [end_of_slot(at, middle, angle, way) for angle, way in ((110.0, 1.0), (30.0, -1.0))]
    return (
        sketch.threePointArc(at(outer, 70.0), at(outer, 110.0))
        .threePointArc(tips[0], at(inner, 110.0))
        .threePointArc(at(inner, 70.0), at(inner, 30.0))
        .threePointArc(tips[1], at(outer, 30.0))
        .close()
        .extrude(THICKNESS)
    )


def end_of_slot(at, radius, angle_deg, way):
    """The far point of a round end: from its centre by half the width along the slot."""
    u, v = at(radius, angle_deg)
    angle = math.radians(angle_deg)
    return u + way * 3.3 * math.sin(angle), v + way * 3.3 * math.cos(angle)


def test_fluent_api_makes_the_same_bracket():
    ours, theirs = sheet_solid(l_bracket(90.0)), fluent_l_bracket().val().wrapped
    volume = measure.volume(ours)
    assert measure.volume(theirs) == pytest.approx(volume, rel=1e-9)
    assert measure.centre_of_mass(theirs) == pytest.approx(measure.centre_of_mass(ours), abs=1e-6)
    assert measure.common_volume(ours, theirs) == pytest.approx(volume, rel=1e-6)
