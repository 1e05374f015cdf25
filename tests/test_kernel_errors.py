"""Solids and trees that must be refused, each with a message that names the part and the fault."""

from __future__ import annotations

import pytest
from kernel_brackets import RADIUS, THICKNESS, WIDTH, bracket, leg, near_bend, u_bracket

from mountgen.detail.records import EndFeature
from mountgen.errors import KernelError
from mountgen.geometry import Contour, Placement, Vertex, rectangle
from mountgen.kernel import booleans
from mountgen.kernel.assembly import Assembly, AssemblyNode, Product, check_assembly
from mountgen.kernel.booleans import fused
from mountgen.kernel.frames import placed
from mountgen.kernel.gate import check_volume, one_solid, sound_bodies
from mountgen.kernel.solids import extrusion_solid, shape_solid, sheet_solid
from mountgen.shapes import Block, Prism, Shape
from mountgen.sheet.tree import Flange, RoundHole, Slot

SQUARE_BAR = (rectangle(-20.0, -20.0, 20.0, 20.0), ())


def cube(x=0.0):
    return shape_solid(Shape((Block((x, 0.0, 0.0), (x + 10.0, 10.0, 10.0)),)))


@pytest.mark.parametrize(
    "hole",
    [
        Slot((40.0, 25.0), 7.0, 5.0),
        RoundHole((3.3, 25.0), 6.6),
        RoundHole((2.0, 25.0), 6.6),
        RoundHole((-20.0, 25.0), 6.6),
    ],
    ids=["slot shorter than wide", "tangent to an edge", "over an edge", "beside the flange"],
)
def test_bad_hole_is_refused_with_its_flange(hole):
    part = bracket(leg("first", 50.0, (hole,), (near_bend(90.0, leg("second", 40.0)),)), "RA-7")
    with pytest.raises(KernelError, match=r"RA-7, flange first: .*hole"):
        sheet_solid(part)


def test_holes_that_meet_are_refused():
    holes = (RoundHole((30.0, 25.0), 10.0), RoundHole((38.0, 25.0), 10.0))
    with pytest.raises(KernelError, match="flange first"):
        sheet_solid(bracket(leg("first", 50.0, holes)))


def test_slot_as_long_as_wide_is_a_round_hole():
    part = bracket(leg("first", 50.0, (Slot((40.0, 25.0), 8.0, 8.0),)))
    check_volume(sheet_solid(part), (WIDTH * 50.0 - 3.141592653589793 * 16.0) * THICKNESS, "plate")


def test_clockwise_outline_is_refused():
    clockwise = Contour(rectangle(0.0, 0.0, 40.0, 30.0).vertices[::-1])
    with pytest.raises(KernelError, match=r"B-1, flange back: .*area -1200"):
        sheet_solid(bracket(Flange("back", clockwise)))


def test_outline_that_crosses_itself_is_refused():
    corners = [(0.0, 0.0), (60.0, 0.0), (60.0, 50.0), (20.0, -10.0), (0.0, 50.0)]
    with pytest.raises(KernelError, match="B-1"):
        sheet_solid(bracket(Flange("knot", Contour(tuple(Vertex(x, y) for x, y in corners)))))


def test_legs_that_pass_through_each_other_are_refused():
    """Both legs lean in by 60 deg over a base that is shorter than they reach."""
    base = 20.0
    reach = 40.0 * 0.5 * 2 - 2 * (RADIUS + THICKNESS) * 0.866
    assert reach > base
    with pytest.raises(KernelError, match="U-1: "):
        sheet_solid(u_bracket(120.0, base=base, legs=40.0))


def test_gate_compares_volumes_and_counts_bodies():
    with pytest.raises(
        KernelError, match=r"block: the solid holds 1000.000 mm3, its dimensions give 1000.010"
    ):
        one_solid(cube(), 1000.01, "block")
    assert one_solid(cube(), 1000.0005, "block") is not None
    with pytest.raises(KernelError, match="pair: the kernel made 2 bodies"):
        one_solid(fused([cube(), cube(50.0)], "pair"), 2000.0, "pair")
    with pytest.raises(KernelError, match=r"block: volume 1000.000 mm3, expected 1200.000"):
        sound_bodies(cube(), 1200.0, 1300.0, "block")


def test_cut_that_leaves_material_standing_is_refused(monkeypatch):
    """The kernel's cut is made to hand back the whole body, as if the tool had met nothing."""
    honest = booleans._result

    def lying(operation, arguments, *rest):
        return arguments[0] if operation == "CUT" else honest(operation, arguments, *rest)

    monkeypatch.setattr(booleans, "_result", lying)
    with pytest.raises(KernelError, match=r"N-3: 1004.000 mm3 after a step of the kernel that had 1000.000"):
        booleans.cut(cube(), [shape_solid(Shape((Block((8, 8, 9), (10, 10, 10)),)))], "N-3")


def test_merging_that_loses_material_is_refused(monkeypatch):
    found = iter([2000.0, 1500.0])
    monkeypatch.setattr(booleans, "volume_of", lambda _shape: next(found))
    with pytest.raises(KernelError, match=r"N-4: 1500.000 mm3 after a step of the kernel that had 2000.000"):
        booleans.fused([cube(), cube(10.0)], "N-4")


def test_shape_cut_to_nothing_is_refused():
    with pytest.raises(KernelError, match="N-1: nothing is left"):
        shape_solid(Shape((Block((0, 0, 0), (1, 1, 1)),), (Block((-1, -1, -1), (2, 2, 2)),)), "N-1")


def test_prism_drawn_clockwise_is_refused():
    clockwise = Contour(rectangle(0.0, 0.0, 4.0, 3.0).vertices[::-1])
    with pytest.raises(KernelError, match="N-2"):
        shape_solid(Shape((Prism(clockwise, 5.0),)), "N-2")


def test_unknown_face_of_a_cross_hole():
    with pytest.raises(KernelError, match=r"X-1: a cross hole in face 'top', expected one of \+x, -x"):
        extrusion_solid("X-1", SQUARE_BAR, 100.0, [EndFeature("cross_hole", 50.0, "", 6.0, 10.0, "top")])


def test_cut_that_parts_a_bar_is_refused():
    feature = EndFeature("cross_hole", 50.0, "", 60.0, 40.0, "+x")
    with pytest.raises(KernelError, match="X-1: the kernel made 2 bodies"):
        extrusion_solid("X-1", SQUARE_BAR, 200.0, [feature])


@pytest.mark.parametrize("x_axis", [(2.0, 0.0, 0.0), (1.0, 0.0, 1e-3)])
def test_skew_placement_is_refused(x_axis):
    with pytest.raises(KernelError, match="not unit vectors at a right angle"):
        placed(cube(), Placement((0.0, 0.0, 0.0), x_axis, (0.0, 0.0, 1.0)))


LEAF = AssemblyNode("a", product="p")


@pytest.mark.parametrize(
    ("root", "message"),
    [
        (AssemblyNode("m", children=(LEAF, LEAF)), r"once each: \['a'\]"),
        (AssemblyNode("m", children=(AssemblyNode(" ", product="p"),)), r"must be given"),
        (AssemblyNode("m", children=(AssemblyNode("b", product="q"),)), "b: no product 'q'"),
        (AssemblyNode("m", children=(AssemblyNode("b"),)), "b: expected either children or a product"),
        (LEAF, "a: the root must be a group"),
    ],
)
def test_unsound_tree_is_refused(root, message):
    with pytest.raises(KernelError, match=message):
        check_assembly(Assembly(root, {"p": Product("part", cube(), (0.5, 0.5, 0.5))}))
