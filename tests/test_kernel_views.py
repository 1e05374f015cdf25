"""Hidden-line views against projections worked out here, and the laying of lines on each other."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from kernel_brackets import FIRST_LEG, RADIUS, SECOND_LEG, THICKNESS, WIDTH, bracket, l_bracket, leg

from mountgen.geometry import Arc, Placement, circle, polygon, rectangle
from mountgen.kernel import measure
from mountgen.kernel.overlaps import SAME_PLACE, without_overlaps
from mountgen.kernel.solids import shape_solid, sheet_solid
from mountgen.kernel.views import view
from mountgen.shapes import Block, Cylinder, Prism, Shape
from mountgen.sheet.tree import Slot
from mountgen.views import FROM_FRONT, FROM_LEFT, FROM_TOP, ISOMETRIC, Line, Polyline, View, project


def solid_block(x=40.0, y=30.0, z=20.0):
    return shape_solid(Shape((Block((0.0, 0.0, 0.0), (x, y, z)),)))


def drilled_block():
    hole = Cylinder(8.0, 20.0, Placement((15.0, 10.0, 0.0)))
    return shape_solid(Shape((Block((0.0, 0.0, 0.0), (40.0, 30.0, 20.0)),), (hole,)))


def rectangle_lines(u0, v0, u1, v1):
    return {
        Line((u0, v0), (u1, v0)),
        Line((u0, v1), (u1, v1)),
        Line((u0, v0), (u0, v1)),
        Line((u1, v0), (u1, v1)),
    }


@pytest.mark.parametrize(
    ("looking", "box"),
    [
        (FROM_FRONT, (0.0, 0.0, 40.0, 20.0)),
        (FROM_TOP, (0.0, 0.0, 40.0, 30.0)),
        (FROM_LEFT, (-30.0, 0.0, 0.0, 20.0)),
    ],
)
def test_block_is_a_rectangle_from_every_side(looking, box):
    seen = view(solid_block(), *looking)
    assert set(seen.visible) == rectangle_lines(*box)
    assert seen.hidden == seen.tangent == ()
    assert seen.bounds == box


def test_hole_is_a_circle_from_above_and_two_hidden_lines_from_the_front():
    top, front = view(drilled_block(), *FROM_TOP), view(drilled_block(), *FROM_FRONT)
    assert [c for c in top.visible if isinstance(c, Arc)] == [Arc((15.0, 10.0), 4.0, 0.0, 360.0)]
    assert top.hidden == ()
    assert set(front.visible) == rectangle_lines(0.0, 0.0, 40.0, 20.0)
    assert front.hidden == (Line((11.0, 0.0), (11.0, 20.0)), Line((19.0, 0.0), (19.0, 20.0)))


def test_cylinder_seen_edge_on_is_a_rectangle():
    for looking in (FROM_FRONT, FROM_LEFT, ((-1.0, 0.0, 0.0), (0.0, 0.0, 1.0))):
        seen = view(shape_solid(Shape((Cylinder(10.0, 20.0),))), *looking)
        assert set(seen.visible) == rectangle_lines(-5.0, 0.0, 5.0, 20.0)
        assert seen.hidden == ()


def test_isometric_cube():
    """Three edges meet out of sight; every edge is foreshortened by sqrt(2/3)."""
    seen = view(solid_block(10.0, 10.0, 10.0), *ISOMETRIC)
    assert (len(seen.visible), len(seen.hidden), len(seen.tangent)) == (9, 3, 0)
    for line in (*seen.visible, *seen.hidden):
        assert math.dist(line.start, line.end) == pytest.approx(10.0 * math.sqrt(2 / 3), abs=1e-5)
    hidden_corner = project((0.0, 10.0, 0.0), *ISOMETRIC)
    for line in seen.hidden:
        assert min(math.dist(end, hidden_corner) for end in (line.start, line.end)) < 1e-5


def test_circle_seen_askew_is_an_ellipse():
    """Half axes r and r / sqrt(3) for a circle in a face of the isometric cube."""
    disc = view(shape_solid(Shape((Cylinder(20.0, 1.0),))), *ISOMETRIC)
    points = [p for curve in disc.visible if isinstance(curve, Polyline) for p in curve.points]
    top = [(u, v - project((0.0, 0.0, 1.0), *ISOMETRIC)[1]) for u, v in points]
    on_top = [(u / 10.0) ** 2 + (v * math.sqrt(3) / 10.0) ** 2 for u, v in top if v > 0.0]
    assert len(on_top) > 10
    assert on_top == pytest.approx([1.0] * len(on_top), abs=1e-5)
    assert max(u for u, _ in points) == pytest.approx(10.0, abs=0.02)


def test_bend_shows_its_tangent_lines_thin():
    """From above: the bend's upper tangent line is hidden by nothing, the lower one is the back."""
    seen = view(sheet_solid(l_bracket(90.0)), *FROM_TOP)
    assert seen.tangent == (Line((0.0, 0.0), (WIDTH, 0.0)),)
    outer = RADIUS + THICKNESS
    assert seen.bounds == pytest.approx((0.0, -outer, WIDTH, FIRST_LEG), abs=1e-6)


def test_bend_from_the_side_is_two_quarter_arcs():
    seen = view(sheet_solid(l_bracket(90.0)), *FROM_LEFT)
    arcs = [c for c in seen.visible if isinstance(c, Arc)]
    centre = (0.0, RADIUS + THICKNESS)
    assert arcs == [
        Arc(centre, RADIUS, 270.0, 360.0),
        Arc(centre, RADIUS + THICKNESS, 270.0, 360.0),
    ]
    assert seen.tangent == ()
    assert seen.bounds == pytest.approx(
        (-FIRST_LEG, 0.0, RADIUS + THICKNESS, RADIUS + THICKNESS + SECOND_LEG)
    )


def test_bend_from_the_other_side_is_mirrored_on_paper():
    from_right = ((-1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    arcs = [c for c in view(sheet_solid(l_bracket(90.0)), *from_right).visible if isinstance(c, Arc)]
    centre = (0.0, RADIUS + THICKNESS)
    assert arcs == [
        Arc(centre, RADIUS, 180.0, 270.0),
        Arc(centre, RADIUS + THICKNESS, 180.0, 270.0),
    ]


@pytest.mark.parametrize(("looking", "side"), [(FROM_TOP, 1.0), (((0.0, 0.0, 1.0), (0.0, 1.0, 0.0)), -1.0)])
def test_ends_of_a_slot_bulge_outwards_from_above_and_below(looking, side):
    plate = sheet_solid(bracket(leg("plate", 50.0, (Slot((30.0, 25.0), 8.0, 28.0),))))
    arcs = [c for c in view(plate, *looking).visible if isinstance(c, Arc)]
    right, left = (40.0, 25.0), (20.0, 25.0)
    if side < 0.0:
        right, left = (-20.0, 25.0), (-40.0, 25.0)
    assert arcs == [Arc(left, 4.0, 90.0, 270.0), Arc(right, 4.0, 270.0, 450.0)]


def test_side_view_of_a_profile_has_its_circumference():
    """Every segment of an outline with holes, once: the sum of lengths is the contours'."""
    outline = polygon([(0, 0), (60, 0), (60, 15), (25, 15), (25, 40), (0, 40)])
    holes = (circle((12.0, 30.0), 9.0), rectangle(35.0, 4.0, 50.0, 11.0))
    seen = view(shape_solid(Shape((Prism(outline, 5.0, holes=holes),))), *FROM_TOP)
    assert drawn_length(seen.visible) == pytest.approx(
        outline.length + sum(h.length for h in holes), abs=1e-5
    )
    assert seen.hidden == ()


def drawn_length(curves):
    total = 0.0
    for curve in curves:
        if isinstance(curve, Line):
            total += math.dist(curve.start, curve.end)
        elif isinstance(curve, Arc):
            total += curve.radius * math.radians(curve.end_deg - curve.start_deg)
        else:
            total += sum(math.dist(a, b) for a, b in pairwise(curve.points))
    return total


def test_a_nearer_body_hides_part_of_a_line():
    behind = Block((0.0, 10.0, 0.0), (40.0, 12.0, 10.0))
    before = Block((10.0, 0.0, -5.0), (20.0, 10.0, 15.0))
    seen = view(shape_solid(Shape((behind, before))), *FROM_FRONT)
    assert Line((0.0, 10.0), (10.0, 10.0)) in seen.visible
    assert Line((20.0, 10.0), (40.0, 10.0)) in seen.visible
    assert Line((10.0, 10.0), (20.0, 10.0)) in seen.hidden


@settings(max_examples=15, deadline=None)
@given(
    st.tuples(st.floats(-1, 1), st.floats(-1, 1), st.floats(-0.9, 0.9)).filter(
        lambda d: math.hypot(*d[:2]) > 0.2
    )
)
def test_bounds_are_those_of_the_projected_corners(direction):
    up = (0.0, 0.0, 1.0)
    corners = [project(c, direction, up) for c in measure.bounding_box(solid_block()).corners]
    us, vs = zip(*corners, strict=True)
    expected = (min(us), min(vs), max(us), max(vs))
    assert view(solid_block(), direction, up).bounds == pytest.approx(expected, abs=2 * SAME_PLACE)


def test_same_view_twice():
    first, second = (view(sheet_solid(l_bracket(60.0)), *ISOMETRIC) for _ in range(2))
    assert first == second
    assert isinstance(first, View)


def test_up_along_the_view_is_refused():
    with pytest.raises(ValueError, match="no direction"):
        view(solid_block(), (0.0, 0.0, -1.0), (0.0, 0.0, 1.0))


# ---- laying lines on each other ----------------------------------------------------------------------


@given(
    st.lists(st.floats(0.01, 0.99), max_size=6),
    st.floats(0.0, 360.0),
    st.tuples(st.floats(-500, 500), st.floats(-500, 500)),
    st.randoms(use_true_random=False),
)
def test_pieces_of_a_line_become_one(cuts, angle_deg, start, random):
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    ends = [0.0, *sorted(cuts), 1.0]
    at = [(start[0] + 100.0 * f * c, start[1] + 100.0 * f * s) for f in ends]
    pieces = [Line(*random.sample([a, b], 2)) for a, b in pairwise(at) if math.dist(a, b) > 0.5]
    whole = [Line(at[0], at[-1])]
    random.shuffle(pieces)
    joined, rest = without_overlaps([whole, pieces])
    assert rest == ()
    assert len(joined) == 1
    assert sorted((joined[0].start, joined[0].end)) == [
        pytest.approx(end, abs=1e-3) for end in sorted((at[0], at[-1]))
    ]


def test_hidden_line_is_drawn_only_where_no_visible_one_lies():
    visible = [Line((10.0, 0.0), (20.0, 0.0)), Line((30.0, 0.0), (25.0, 0.0))]
    seen, hidden = without_overlaps([visible, [Line((0.0, 0.0), (40.0, 0.0))]])
    assert seen == (Line((10.0, 0.0), (20.0, 0.0)), Line((25.0, 0.0), (30.0, 0.0)))
    assert hidden == (
        Line((0.0, 0.0), (10.0, 0.0)),
        Line((20.0, 0.0), (25.0, 0.0)),
        Line((30.0, 0.0), (40.0, 0.0)),
    )


def test_upright_pieces_join_in_spite_of_rounding():
    pieces = [Line((5.0, 0.0), (5.0 + 1e-9, 10.0)), Line((5.0 - 1e-9, 30.0), (5.0, 8.0))]
    (joined,) = without_overlaps([pieces])
    assert len(joined) == 1
    assert sorted(joined[0].start[1:] + joined[0].end[1:]) == pytest.approx([0.0, 30.0])


def test_parallel_and_crossing_lines_stay_apart():
    lines = [Line((0.0, 0.0), (10.0, 0.0)), Line((0.0, 0.01), (10.0, 0.01)), Line((0.0, -5.0), (10.0, 5.0))]
    (kept,) = without_overlaps([lines])
    assert len(kept) == 3


def test_arcs_join_over_zero_and_to_a_full_circle():
    quarters = [Arc((1.0, 2.0), 5.0, start, start + 90.0) for start in (-45.0, 45.0)]
    (joined,) = without_overlaps([quarters])
    assert joined == (Arc((1.0, 2.0), 5.0, 315.0, 495.0),)
    halves = [Arc((1.0, 2.0), 5.0, 90.0, 270.0), Arc((1.0, 2.0), 5.0, 270.0, 450.0)]
    (full,) = without_overlaps([halves])
    assert full == (Arc((1.0, 2.0), 5.0, 0.0, 360.0),)


def test_hidden_arc_gives_way_to_the_visible_one():
    seen, hidden = without_overlaps([[Arc((0.0, 0.0), 5.0, 0.0, 180.0)], [Arc((0.0, 0.0), 5.0, 90.0, 270.0)]])
    assert seen == (Arc((0.0, 0.0), 5.0, 0.0, 180.0),)
    assert hidden == (Arc((0.0, 0.0), 5.0, 180.0, 270.0),)


def test_polyline_is_drawn_once_whichever_way_it_runs():
    points = ((0.0, 0.0), (1.0, 1.0), (2.0, 1.5))
    seen, hidden = without_overlaps([[Polyline(points)], [Polyline(points[::-1])]])
    assert seen == (Polyline(points),)
    assert hidden == ()
