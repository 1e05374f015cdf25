"""Section properties against closed forms worked out in the test."""

import math

import pytest

from mountgen.geometry import Contour, Vertex, circle, polygon, rectangle
from mountgen.mechanics.sections import section_properties, torsion_constant_open


def test_rectangle_off_the_origin():
    b, h = 50.0, 6.0
    section = section_properties(rectangle(10, -20, 10 + b, -20 + h))
    assert section.area == pytest.approx(b * h)
    assert (section.centroid_x, section.centroid_y) == pytest.approx((35.0, -17.0))
    assert section.i_xx == pytest.approx(b * h**3 / 12)
    assert section.i_yy == pytest.approx(h * b**3 / 12)
    assert section.i_xy == pytest.approx(0.0, abs=1e-8)


def test_right_triangle_has_a_product_moment():
    """Legs b and h along x and y: Ixx b h^3 / 36, Ixy -b^2 h^2 / 72 about the centroid."""
    b, h = 30.0, 12.0
    section = section_properties(polygon([(0, 0), (b, 0), (0, h)]))
    assert (section.centroid_x, section.centroid_y) == pytest.approx((b / 3, h / 3))
    assert section.i_xx == pytest.approx(b * h**3 / 36)
    assert section.i_yy == pytest.approx(h * b**3 / 36)
    assert section.i_xy == pytest.approx(-(b**2) * h**2 / 72)


def test_circle_and_tube():
    outer, inner = circle((7.0, -3.0), 20.0), circle((7.0, -3.0), 12.0)
    full = section_properties(outer)
    assert full.area == pytest.approx(math.pi * 100)
    assert full.i_xx == pytest.approx(math.pi * 10**4 / 4)
    tube = section_properties(outer, [inner])
    assert tube.i_xx == pytest.approx(math.pi * (10**4 - 6**4) / 4)
    assert tube.i_yy == pytest.approx(tube.i_xx)
    assert (tube.centroid_x, tube.centroid_y) == pytest.approx((7.0, -3.0))


def test_half_disc():
    """Centroid 4 r / (3 pi) from the diameter, I about it (pi/8 - 8/(9 pi)) r^4, across it pi r^4 / 8."""
    r = 5.0
    half = section_properties(Contour((Vertex(r, 0, 1.0), Vertex(-r, 0))))
    assert half.area == pytest.approx(math.pi * r**2 / 2)
    assert half.centroid_y == pytest.approx(4 * r / (3 * math.pi))
    assert half.i_xx == pytest.approx((math.pi / 8 - 8 / (9 * math.pi)) * r**4)
    assert half.i_yy == pytest.approx(math.pi * r**4 / 8)


def test_inward_arc_takes_material_away():
    """A square of side 2 a with a half disc of radius r let into its right side."""
    a, r = 10.0, 4.0
    notched = Contour(
        (Vertex(-a, -a), Vertex(a, -a), Vertex(a, -r, -1.0), Vertex(a, r), Vertex(a, a), Vertex(-a, a))
    )
    section = section_properties(notched)
    area = 4 * a**2 - math.pi * r**2 / 2
    assert section.area == pytest.approx(area)
    assert section.i_xx == pytest.approx((2 * a) ** 4 / 12 - math.pi * r**4 / 8)
    assert section.centroid_x == pytest.approx(-math.pi * r**2 / 2 * (a - 4 * r / (3 * math.pi)) / area)


def test_quarter_disc_product_moment():
    """About the corner Ixy = r^4 / 8, the centroid is 4 r / (3 pi) along each leg."""
    r = 6.0
    quarter = Contour((Vertex(0, 0), Vertex(r, 0, math.tan(math.pi / 8)), Vertex(0, r)))
    section, c = section_properties(quarter), 4 * r / (3 * math.pi)
    assert section.centroid_x == pytest.approx(c)
    assert section.i_xy == pytest.approx(r**4 / 8 - math.pi * r**2 / 4 * c * c)


def test_arc_of_more_than_half_a_turn():
    """Three quarters of a disc and the square corner that closes it."""
    r = 3.0
    bulge = math.tan(math.radians(270) / 4)
    section = section_properties(Contour((Vertex(0, -r, bulge), Vertex(-r, 0), Vertex(-r, -r))))
    kept = math.pi * r**2 * 3 / 4 + r**2
    assert section.area == pytest.approx(kept)
    assert section.i_xx + section.area * section.centroid_y**2 == pytest.approx(
        math.pi * r**4 / 4 * 3 / 4 + r**4 / 3
    )


def test_nothing_left_is_refused():
    with pytest.raises(ValueError, match="area above zero"):
        section_properties(circle((0, 0), 4), [circle((0, 0), 6)])


def test_torsion_adds_strips_and_refuses_none():
    assert torsion_constant_open([(80, 3), (40, 3)]) == pytest.approx((80 + 40) * 27 / 3)
    with pytest.raises(ValueError, match="above zero"):
        torsion_constant_open([(80, 0.0)])
