"""Solids against closed forms worked out here: volume, box, centre, one body, validity."""

from __future__ import annotations

import math

import pytest
from kernel_brackets import (
    FIRST_LEG,
    RADIUS,
    SECOND_LEG,
    THICKNESS,
    WIDTH,
    bracket,
    l_bracket,
    leg,
    u_bracket,
    z_bracket,
)
from OCP.BRepCheck import BRepCheck_Analyzer

from mountgen.catalogue.records import Extrusion
from mountgen.catalogue.sections import extrusion_contours
from mountgen.detail.records import BoughtPart, EndFeature, ExtrusionPart
from mountgen.geometry import Box, Placement, circle, cos_deg, rectangle, sin_deg
from mountgen.kernel import measure
from mountgen.kernel.frames import placed
from mountgen.kernel.gate import solids_of
from mountgen.kernel.solids import extrusion_solid, part_solid, shape_solid, sheet_solid
from mountgen.shapes import Block, Cylinder, HexPrism, Prism, Shape
from mountgen.sheet.tree import Bend, Flange, SheetPart

EXACT = 1e-9
"""Relative: the kernel integrates planes and cylinders to rounding."""

ROUND_AREA = math.pi * 6.6**2 / 4
SLOT_AREA = (20.0 - 7.0) * 7.0 + math.pi * 7.0**2 / 4
ARC_SLOT_AREA = 22.0 * 6.6 * math.radians(80.0) + math.pi * 6.6**2 / 4


def bend_volume(angle_deg, width=WIDTH):
    """Sector of a ring times width: Pappus, centroid of the strip at r + t / 2."""
    return width * THICKNESS * math.radians(abs(angle_deg)) * (RADIUS + THICKNESS / 2)


def check_sound(solid):
    assert BRepCheck_Analyzer(solid).IsValid()
    assert len(solids_of(solid)) == 1


@pytest.mark.parametrize("angle_deg", [30.0, 45.0, 77.3, 90.0, 120.0, -30.0, -60.0, -90.0, -120.0])
def test_l_bracket_volume(angle_deg):
    solid = sheet_solid(l_bracket(angle_deg))
    flat = WIDTH * (FIRST_LEG + SECOND_LEG) - ROUND_AREA - SLOT_AREA - ARC_SLOT_AREA
    check_sound(solid)
    assert measure.volume(solid) == pytest.approx(flat * THICKNESS + bend_volume(angle_deg), rel=EXACT)


@pytest.mark.parametrize("angle_deg", [30.0, 90.0, 120.0, -45.0, -90.0])
def test_z_bracket_volume(angle_deg):
    solid = sheet_solid(z_bracket(angle_deg))
    flat = WIDTH * (FIRST_LEG + SECOND_LEG + 30.0) - SLOT_AREA - ROUND_AREA
    check_sound(solid)
    assert measure.volume(solid) == pytest.approx(flat * THICKNESS + 2 * bend_volume(angle_deg), rel=EXACT)


@pytest.mark.parametrize("angle_deg", [30.0, 90.0, 110.0, -90.0, -110.0])
def test_u_bracket_volume(angle_deg):
    solid = sheet_solid(u_bracket(angle_deg))
    flat = WIDTH * (70.0 + 2 * 40.0) - 2 * ROUND_AREA
    check_sound(solid)
    assert measure.volume(solid) == pytest.approx(flat * THICKNESS + 2 * bend_volume(angle_deg), rel=EXACT)


@pytest.mark.parametrize("angle_deg", [30.0, 60.0, 90.0, -30.0, -60.0, -90.0])
def test_l_bracket_box(angle_deg):
    """The second leg's tip, followed round the bend: the outside of the turn has radius r + t."""
    up = angle_deg > 0.0
    c, s = cos_deg(abs(angle_deg)), sin_deg(abs(angle_deg))
    outer = RADIUS + THICKNESS
    reach = outer * s + SECOND_LEG * c
    rise = outer * (1 - c) + SECOND_LEG * s + THICKNESS * c
    low_z, high_z = (0.0, rise) if up else (THICKNESS - rise, THICKNESS)
    box = measure.bounding_box(sheet_solid(l_bracket(angle_deg)))
    assert box.low == pytest.approx((0.0, -reach, low_z), abs=1e-5)
    assert box.high == pytest.approx((WIDTH, FIRST_LEG, high_z), abs=1e-5)


def test_narrow_bend_keeps_its_material():
    """A bend on part of an edge, to a child of the bend's width."""
    child = Flange("tab", rectangle(0.0, 0.0, 50.0, 30.0))
    part = bracket(leg("root", 40.0, (), (Bend((15.0, 0.0), (65.0, 0.0), 90.0, RADIUS, child),)))
    solid = sheet_solid(part)
    expected = THICKNESS * (WIDTH * 40.0 + 50.0 * 30.0) + bend_volume(90.0, width=50.0)
    check_sound(solid)
    assert measure.volume(solid) == pytest.approx(expected, rel=EXACT)
    assert measure.bounding_box(solid).low[2] == pytest.approx(0.0, abs=1e-5)


def test_sharp_inside_radius():
    root = Flange(
        "a",
        rectangle(0, 0, 20, 10),
        (),
        (Bend((0, 0), (20, 0), 90.0, 0.0, Flange("b", rectangle(0, 0, 20, 10))),),
    )
    solid = sheet_solid(SheetPart("S", "sharp", 2.0, "steel", root))
    assert measure.volume(solid) == pytest.approx(2 * 20 * 10 * 2 + 20 * math.pi * 2**2 / 4, rel=EXACT)


def test_full_circle_hole_is_one_edge_and_coplanar_faces_are_merged():
    """Faces of an L: 2 x 2 leg faces, 2 bend faces, 2 side faces merged with the bend's, 2 ends, and
    the walls of the holes: 1 round, 4 slot, 4 arc slot."""
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer

    explorer, faces = TopExp_Explorer(sheet_solid(l_bracket(90.0)), TopAbs_ShapeEnum.TopAbs_FACE), 0
    while explorer.More():
        faces += 1
        explorer.Next()
    assert faces == 4 + 2 + 2 + 2 + 1 + 4 + 4


def test_touching_cylinders_of_a_screw():
    screw = Shape((Cylinder(10.0, 6.0), Cylinder(6.0, 30.0, Placement((0.0, 0.0, 6.0)))))
    solid = shape_solid(screw)
    check_sound(solid)
    assert measure.volume(solid) == pytest.approx(math.pi * (25.0 * 6.0 + 9.0 * 30.0), rel=EXACT)
    height = (25.0 * 6.0 * 3.0 + 9.0 * 30.0 * 21.0) / (25.0 * 6.0 + 9.0 * 30.0)
    assert measure.centre_of_mass(solid) == pytest.approx((0.0, 0.0, height), abs=1e-9)


def test_hexagonal_recess_is_cut():
    head = Shape((Cylinder(10.0, 6.0),), (HexPrism(5.0, 3.0),))
    expected = math.pi * 25.0 * 6.0 - math.sqrt(3) / 2 * 25.0 * 3.0
    assert measure.volume(shape_solid(head)) == pytest.approx(expected, rel=EXACT)


def test_overlapping_blocks_count_the_overlap_once():
    solid = shape_solid(Shape((Block((0, 0, 0), (10, 10, 10)), Block((5, 5, 5), (15, 15, 15)))))
    check_sound(solid)
    assert measure.volume(solid) == pytest.approx(2000.0 - 125.0, rel=EXACT)


def test_blocks_apart_stay_two_bodies():
    solid = shape_solid(Shape((Block((0, 0, 0), (1, 2, 3)), Block((5, 0, 0), (6, 2, 3)))))
    assert len(solids_of(solid)) == 2
    assert measure.volume(solid) == pytest.approx(12.0, rel=EXACT)


def test_a_later_block_joins_two_earlier_ones():
    row = (Block((0, 0, 0), (1, 1, 1)), Block((2, 0, 0), (3, 1, 1)), Block((1, 0, 0), (2, 1, 1)))
    solid = shape_solid(Shape(row))
    check_sound(solid)
    assert measure.volume(solid) == pytest.approx(3.0, rel=EXACT)


def test_prism_with_hole_in_a_turned_frame():
    frame = Placement((1.0, 2.0, 3.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0))
    plate = Prism(rectangle(0.0, 0.0, 30.0, 20.0), 4.0, frame, (circle((10.0, 10.0), 5.0),))
    solid = shape_solid(Shape((plate,)))
    assert measure.volume(solid) == pytest.approx((600.0 - math.pi * 6.25) * 4.0, rel=EXACT)
    assert measure.bounding_box(solid).low == pytest.approx((1.0, 2.0, 3.0), abs=1e-5)
    assert measure.bounding_box(solid).high == pytest.approx((5.0, 32.0, 23.0), abs=1e-5)


def test_cut_away_from_the_body_changes_nothing():
    solid = shape_solid(
        Shape((Block((0, 0, 0), (10, 10, 10)),), (Cylinder(4.0, 5.0, Placement((50.0, 0.0, 0.0))),))
    )
    assert measure.volume(solid) == pytest.approx(1000.0, rel=EXACT)


def square_bar(core=6.0, size=40.0):
    return rectangle(-size / 2, -size / 2, size / 2, size / 2), (circle((0.0, 0.0), core),)


def test_bar_with_tapped_ends():
    """The core bore opened to the tap drill over its depth at both ends."""
    taps = [EndFeature("end_tap", at, "M8", 6.8, 20.0, "") for at in (0.0, 500.0)]
    solid = extrusion_solid("X", square_bar(), 500.0, taps)
    removed = 2 * math.pi / 4 * (6.8**2 - 6.0**2) * 20.0
    expected = (1600.0 - math.pi * 9.0) * 500.0 - removed
    check_sound(solid)
    assert measure.volume(solid) == pytest.approx(expected, rel=EXACT)
    assert measure.centre_of_mass(solid) == pytest.approx((0.0, 0.0, 250.0), abs=1e-6)


@pytest.mark.parametrize(("face", "axis", "sign"), [("+x", 0, 1), ("-x", 0, -1), ("+y", 1, 1), ("-y", 1, -1)])
def test_cross_hole_enters_its_own_face(face, axis, sign):
    """A blind hole in a solid bar moves the centre of mass away from the face it is in."""
    solid = extrusion_solid(
        "X", (square_bar()[0], ()), 100.0, [EndFeature("cross_hole", 30.0, "", 6.0, 10.0, face)]
    )
    bar, hole = 1600.0 * 100.0, math.pi * 9.0 * 10.0
    assert measure.volume(solid) == pytest.approx(bar - hole, rel=EXACT)
    centre = [0.0, 0.0, (bar * 50.0 - hole * 30.0) / (bar - hole)]
    centre[axis] = -sign * 15.0 * hole / (bar - hole)
    assert measure.centre_of_mass(solid) == pytest.approx(centre, abs=1e-6)


def test_part_solid_knows_every_kind():
    sizes = {"slot_width": 8.2, "lip_thickness": 4.5, "slot_inner_width": 20.0, "slot_depth": 12.5}
    webs = {"web_thickness": 4.0, "corner_void": 4.0, "core_bore": 6.8, "corner_radius": 2.0}
    nut = {"nut_thread": "M8", "nut_length": 20.0, "nut_width": 15.0, "nut_height": 6.0}
    rest = {"title": "", "material": "aluminium", "area_mm2": 1.0, "i_mm4": 1.0, "j_mm4": 1.0}
    section = Extrusion(name="t-slot-40", source="this test", size=40.0, **sizes, **webs, **nut, **rest)
    outer, hollows = extrusion_contours(section)
    area = outer.area - sum(hollow.area for hollow in hollows)
    bar = part_solid(ExtrusionPart("E", "bar", section, 300.0, "aluminium"))
    assert measure.volume(bar) == pytest.approx(area * 300.0, rel=EXACT)
    pin = BoughtPart("P", "pin", "", Shape((Cylinder(4.0, 10.0),)), 0.001, "steel", (0.5, 0.5, 0.5))
    assert measure.volume(part_solid(pin)) == pytest.approx(math.pi * 40.0, rel=EXACT)
    assert measure.volume(part_solid(l_bracket(90.0))) > 0.0


def test_placed_turns_and_moves_without_mirroring():
    turned = Placement((100.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    block = placed(shape_solid(Shape((Block((0, 0, 0), (10, 20, 30)),))), turned)
    assert measure.volume(block) == pytest.approx(6000.0, rel=EXACT)
    assert measure.bounding_box(block).low == pytest.approx((80.0, 0.0, 0.0), abs=1e-5)
    assert measure.bounding_box(block).high == pytest.approx((100.0, 10.0, 30.0), abs=1e-5)


def test_box_of_a_tilted_cylinder_is_tight():
    """Half extents: the axis' share, and r sqrt(1 - d^2) of the end discs."""
    c, s = cos_deg(30.0), sin_deg(30.0)
    rod = shape_solid(Shape((Cylinder(10.0, 40.0, Placement((0.0, 0.0, 0.0), (c, 0.0, -s), (s, 0.0, c))),)))
    box = measure.bounding_box(rod)
    low, high = (-5.0 * c, -5.0, -5.0 * s), (40.0 * s + 5.0 * c, 5.0, 40.0 * c + 5.0 * s)
    assert box.low == pytest.approx(low, abs=1e-4)
    assert box.high == pytest.approx(high, abs=1e-4)


def cube_at(x, size=10.0):
    return shape_solid(Shape((Block((x, 0.0, 0.0), (x + size, size, size)),)))


@pytest.mark.parametrize(
    ("x", "distance", "common"), [(13.5, 3.5, 0.0), (10.0, 0.0, 0.0), (7.0, 0.0, 300.0), (0.0, 0.0, 1000.0)]
)
def test_clearance_and_interference_of_cubes(x, distance, common):
    a, b = cube_at(0.0), cube_at(x)
    assert measure.minimum_distance(a, b) == pytest.approx(distance, abs=1e-9)
    assert measure.common_volume(a, b) == pytest.approx(common, abs=1e-6)


def test_a_body_inside_another_interferes():
    outer, inner = cube_at(0.0), shape_solid(Shape((Block((4, 4, 4), (6, 6, 6)),)))
    assert measure.common_volume(outer, inner) == pytest.approx(8.0, rel=EXACT)


def test_box_is_a_plain_record():
    assert isinstance(measure.bounding_box(cube_at(0.0)), Box)
