"""Contours and placements against closed forms and against shapely."""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from mountgen.geometry import (
    Box,
    Contour,
    Placement,
    Vertex,
    arc_of,
    circle,
    cos_deg,
    dot,
    polygon,
    rectangle,
    rounded,
    sin_deg,
    unit,
)

KEYHOLE = Contour((Vertex(0, 0), Vertex(20, 0, 3.0), Vertex(20, 10), Vertex(0, 10)))


def test_bulge_of_a_quarter_turn():
    """DXF reference, group 42: tan(90 / 4 deg) = 0.414214, plus for counter-clockwise."""
    corner = rounded(((0, 0), (10, 0), (10, 10), (0, 10)), (0, 2, 0, 0))
    assert [v.bulge for v in corner.vertices] == pytest.approx([0, 0.414214, 0, 0, 0], abs=1e-6)


def test_bulge_sagitta():
    """DXF reference: the arc's rise over its chord is bulge * chord / 2."""
    arc = arc_of(Vertex(0, 0, 0.3), Vertex(10, 0))
    assert arc.radius - math.dist(arc.centre, (5, 0)) == pytest.approx(0.3 * 10 / 2)


def test_arc_over_half_a_turn():
    arc = arc_of(KEYHOLE.vertices[1], KEYHOLE.vertices[2])
    assert arc.centre == pytest.approx((20 + 20 / 3, 5))
    assert arc.radius == pytest.approx(25 / 3)
    assert arc.end_deg - arc.start_deg == pytest.approx(math.degrees(4 * math.atan(3)))


def test_keyhole_bounds_and_area():
    """Rectangle 20 x 10 and the segment of a circle r = 25/3 beyond its chord of 10."""
    assert KEYHOLE.bounds == pytest.approx((0, 5 - 25 / 3, 35, 5 + 25 / 3))
    sweep, r = 4 * math.atan(3), 25 / 3
    assert KEYHOLE.area == pytest.approx(200 + r**2 / 2 * (sweep - math.sin(sweep)))
    assert KEYHOLE.area == pytest.approx(406.812, abs=0.0005)
    assert KEYHOLE.length == pytest.approx(50 + r * sweep)


def test_clockwise_arc_runs_from_its_end():
    arc = arc_of(Vertex(0, 0, -1.0), Vertex(10, 0))
    assert (arc.start_deg, arc.end_deg) == pytest.approx((0.0, 180.0))


def test_giant_bulge_is_a_nearly_full_circle():
    arc = arc_of(Vertex(30, 0, 18000.0), Vertex(30.001, 0))
    assert arc.radius == pytest.approx(4.5, abs=1e-6)


def test_straight_segment_is_no_arc():
    with pytest.raises(ValueError, match="straight"):
        arc_of(Vertex(0, 0), Vertex(1, 0))


def test_circle():
    hole = circle((3, 4), 9)
    assert hole.area == pytest.approx(math.pi * 81 / 4)
    assert hole.length == pytest.approx(math.pi * 9)
    assert hole.bounds == pytest.approx((-1.5, -0.5, 7.5, 8.5))


def test_rounded_square_and_rounded_notch():
    """A convex corner loses (1 - pi/4) r^2, a concave one gains as much."""
    lost = (1 - math.pi / 4) * 4
    square = rounded(((0, 0), (10, 0), (10, 10), (0, 10)), (2, 2, 2, 2))
    assert square.area == pytest.approx(100 - 4 * lost)
    ell = ((0, 0), (20, 0), (20, 10), (10, 10), (10, 20), (0, 20))
    assert rounded(ell, (0, 0, 0, 2, 0, 0)).area == pytest.approx(300 + lost)


def test_clockwise_area_is_negative():
    assert polygon(((0, 0), (0, 5), (5, 5), (5, 0))).area == -25


@pytest.mark.parametrize("angle", [-450, -90, 0, 90, 180, 270, 360, 810])
def test_quarter_turns_are_exact(angle):
    assert {abs(sin_deg(angle)), abs(cos_deg(angle))} == {0.0, 1.0}
    assert sin_deg(angle) == pytest.approx(math.sin(math.radians(angle)), abs=1e-12)
    assert cos_deg(angle) == pytest.approx(math.cos(math.radians(angle)), abs=1e-12)


CORNERS = st.lists(
    st.tuples(st.floats(1, 50), st.sampled_from([0.0, 0.2, -0.3, 1.0, 2.5])), min_size=3, max_size=8
)


def starlike(corners):
    """A contour round the origin, one corner in each of equal sectors."""
    step = 2 * math.pi / len(corners)
    return Contour(
        tuple(Vertex(r * math.cos(i * step), r * math.sin(i * step), b) for i, (r, b) in enumerate(corners))
    )


def sampled(contour, steps=400):
    """The contour as many short lines."""
    points = []
    for a, b in contour.segments():
        points.append((a.x, a.y))
        if a.bulge:
            arc = arc_of(a, b)
            turn = (arc.end_deg - arc.start_deg) * (1 if a.bulge > 0 else -1)
            start = math.degrees(math.atan2(a.y - arc.centre[1], a.x - arc.centre[0]))
            for i in range(1, steps):
                angle = math.radians(start + turn * i / steps)
                points.append(
                    (
                        arc.centre[0] + arc.radius * math.cos(angle),
                        arc.centre[1] + arc.radius * math.sin(angle),
                    )
                )
    return points


@given(CORNERS)
def test_contour_against_many_short_lines(corners):
    contour = starlike(corners)
    ring = shapely.LinearRing(sampled(contour))
    assert contour.length == pytest.approx(ring.length, rel=1e-4)
    assert contour.bounds == pytest.approx(ring.bounds, abs=2e-3 * contour.length)
    xs, ys = ring.xy
    shoelace = sum(xs[i] * ys[i + 1] - xs[i + 1] * ys[i] for i in range(len(xs) - 1)) / 2
    assert contour.area == pytest.approx(shoelace, rel=1e-3, abs=1e-3 * contour.length**2)


@given(CORNERS, st.floats(-360, 360), st.floats(-50, 50))
def test_moving_turning_and_mirroring_keep_area_and_length(corners, angle, shift):
    contour = starlike(corners)
    for other in (contour.moved(shift, -shift), contour.turned(angle), contour.mirrored()):
        assert other.area == pytest.approx(contour.area, rel=1e-9, abs=1e-9)
        assert other.length == pytest.approx(contour.length)
    low_x, low_y, high_x, high_y = contour.bounds
    assert contour.mirrored().bounds == pytest.approx((-high_x, low_y, -low_x, high_y), abs=1e-9)


ANGLES = st.floats(-180, 180)


@given(ANGLES, ANGLES, ANGLES, st.tuples(*[st.floats(-9, 9)] * 6))
def test_placements(a, b, c, numbers):
    """Axes stay square, out and back is where one was, and mirroring mirrors what is placed."""
    x_axis = unit((cos_deg(a) * cos_deg(b), sin_deg(a) * cos_deg(b), sin_deg(b)))
    side = (-sin_deg(a), cos_deg(a), 0.0)
    up = unit(
        tuple(
            cos_deg(c) * s + sin_deg(c) * u
            for s, u in zip(side, Placement((0, 0, 0), x_axis, side).y_axis, strict=True)
        )
    )
    placement = Placement(numbers[:3], x_axis, up)
    point = numbers[3:]
    assert placement.local_point(placement.point(point)) == pytest.approx(point, abs=1e-9)
    assert dot(placement.x_axis, placement.y_axis) == pytest.approx(0, abs=1e-9)
    flipped = placement.mirrored().point((-point[0], point[1], point[2]))
    x, y, z = placement.point(point)
    assert flipped == pytest.approx((-x, y, z), abs=1e-9)
    inner = Placement((1, 2, 3), (0, 1, 0), (0, 0, 1))
    assert placement.then(inner).point(point) == pytest.approx(placement.point(inner.point(point)), abs=1e-9)


def test_zero_vector_has_no_direction():
    with pytest.raises(ValueError, match="direction"):
        unit((0, 0, 0))


def test_box_gap_and_growth():
    a, b = Box((0, 0, 0), (10, 10, 10)), Box((13, 14, 0), (20, 20, 10))
    assert a.gap(b) == pytest.approx(5)
    assert a.gap(Box((8, 1, 1), (20, 9, 9))) == pytest.approx(-2)
    assert a.grown(1).gap(b.grown(1)) == pytest.approx(math.hypot(1, 2))
    turned = a.placed(Placement((0, 0, 0), (0, 1, 0), (0, 0, 1)))
    assert (turned.low, turned.high) == ((-10, 0, 0), (0, 10, 10))


def test_rectangle_bounds():
    assert rectangle(1, 2, 3, 4).bounds == (1, 2, 3, 4)
