"""What must hold for any bracket: mirror, turn, scale, order."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from kernel_brackets import bracket, l_bracket, leg, near_bend, z_bracket

from mountgen.geometry import Placement, cos_deg, sin_deg
from mountgen.kernel import measure
from mountgen.kernel.frames import placed
from mountgen.kernel.sheets import sheet_volume
from mountgen.kernel.solids import shape_solid, sheet_solid
from mountgen.shapes import Block, Cylinder, Shape
from mountgen.sheet.tree import RoundHole, mirrored_part

angles = st.one_of(st.floats(15.0, 130.0), st.floats(-130.0, -15.0))
FEW = settings(max_examples=20, deadline=None)


@FEW
@given(angles)
def test_mirrored_part_has_its_centre_mirrored(angle_deg):
    part = l_bracket(angle_deg)
    ours, mirrored = sheet_solid(part), sheet_solid(mirrored_part(part))
    x, y, z = measure.centre_of_mass(ours)
    assert measure.volume(mirrored) == pytest.approx(measure.volume(ours), rel=1e-9)
    assert measure.centre_of_mass(mirrored) == pytest.approx((-x, y, z), abs=1e-6)


@FEW
@given(angles)
def test_bend_the_other_way_is_the_same_material(angle_deg):
    up, down = sheet_solid(z_bracket(angle_deg)), sheet_solid(z_bracket(-angle_deg))
    assert measure.volume(up) == pytest.approx(measure.volume(down), rel=1e-9)
    x, y, z = measure.centre_of_mass(up)
    assert measure.centre_of_mass(down) == pytest.approx((x, y, 3.0 - z), abs=1e-6)


@FEW
@given(st.floats(10.0, 70.0), st.floats(15.0, 35.0), st.floats(1.0, 9.0))
def test_a_hole_takes_its_own_cylinder(x, y, diameter):
    plain, hole = leg("first", 50.0), RoundHole((x, y), diameter)
    bend = near_bend(90.0, leg("second", 40.0))
    without = sheet_solid(bracket(replace(plain, bends=(bend,))))
    drilled = sheet_solid(bracket(replace(plain, bends=(bend,), holes=(hole,))))
    taken = measure.volume(without) - measure.volume(drilled)
    assert taken == pytest.approx(math.pi * diameter**2 / 4 * 3.0, rel=1e-6)


@FEW
@given(st.floats(1.0, 10.0))
def test_volume_grows_with_the_cube(factor):
    small = Shape((Block((0, 0, 0), (4, 4, 4)), Cylinder(2.0, 6.0, Placement((2.0, 2.0, 0.0)))))
    large = Shape(
        (
            Block((0, 0, 0), (4 * factor, 4 * factor, 4 * factor)),
            Cylinder(2 * factor, 6 * factor, Placement((2 * factor, 2 * factor, 0.0))),
        )
    )
    grown = measure.volume(shape_solid(small)) * factor**3
    assert measure.volume(shape_solid(large)) == pytest.approx(grown, rel=1e-9)


@FEW
@given(st.floats(0.0, 360.0), st.floats(-100.0, 100.0))
def test_clearance_does_not_depend_on_the_place(angle_deg, shift):
    turn = Placement((shift, -shift, 3.0), (cos_deg(angle_deg), sin_deg(angle_deg), 0.0), (0.0, 0.0, 1.0))
    a = shape_solid(Shape((Block((0, 0, 0), (10, 10, 10)),)))
    b = shape_solid(Shape((Block((12.5, 2, 2), (20, 8, 8)),)))
    assert measure.minimum_distance(placed(a, turn), placed(b, turn)) == pytest.approx(2.5, abs=1e-9)


@FEW
@given(st.permutations(range(4)))
def test_order_of_the_primitives_does_not_matter(order):
    blocks = [Block((k * 5.0, 0.0, 0.0), (k * 5.0 + 6.0, 4.0, 4.0 + k)) for k in range(4)]
    tools = (Cylinder(2.0, 20.0, Placement((10.0, 2.0, -1.0))),)
    first = shape_solid(Shape(tuple(blocks), tools))
    other = shape_solid(Shape(tuple(blocks[k] for k in order), tools))
    assert measure.volume(other) == pytest.approx(measure.volume(first), rel=1e-9)


def test_closed_form_of_a_flat_plate():
    assert sheet_volume(bracket(leg("plate", 50.0))) == pytest.approx(80.0 * 50.0 * 3.0, rel=1e-12)
