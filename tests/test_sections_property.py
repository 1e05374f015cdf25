"""What holds for every section: turning, moving, mirroring, scaling, splitting."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.sections import rail_outline
from mountgen.geometry import Contour, Vertex
from mountgen.mechanics.sections import section_properties

OUTLINE = rail_outline(Catalogue().channel("upn-80"))
PLAIN = section_properties(OUTLINE)
distances = st.floats(-1000, 1000)


@given(distances, distances)
def test_moving_moves_the_centroid_alone(dx, dy):
    moved = section_properties(OUTLINE.moved(dx, dy))
    assert moved.centroid_x == pytest.approx(PLAIN.centroid_x + dx, abs=1e-6)
    assert moved.centroid_y == pytest.approx(PLAIN.centroid_y + dy, abs=1e-6)
    assert moved.i_xx == pytest.approx(PLAIN.i_xx, rel=1e-6)
    assert moved.i_yy == pytest.approx(PLAIN.i_yy, rel=1e-6)


@given(st.floats(-360, 360))
def test_turning_keeps_mohrs_circle(angle):
    turned = section_properties(OUTLINE.turned(angle))
    radius = math.hypot((turned.i_xx - turned.i_yy) / 2, turned.i_xy)
    assert turned.area == pytest.approx(PLAIN.area)
    assert turned.i_xx + turned.i_yy == pytest.approx(PLAIN.i_xx + PLAIN.i_yy)
    assert radius == pytest.approx((PLAIN.i_xx - PLAIN.i_yy) / 2)


def test_mirroring_turns_the_product_moment_round():
    tilted = OUTLINE.turned(20.0)
    one, other = section_properties(tilted), section_properties(tilted.mirrored())
    assert other.i_xy == pytest.approx(-one.i_xy)
    assert (other.i_xx, other.i_yy, other.area) == pytest.approx((one.i_xx, one.i_yy, one.area))


@given(st.floats(0.1, 20))
def test_scaling_by_the_fourth_power(factor):
    scaled = Contour(tuple(Vertex(v.x * factor, v.y * factor, v.bulge) for v in OUTLINE.vertices))
    section = section_properties(scaled)
    assert section.area == pytest.approx(PLAIN.area * factor**2)
    assert section.i_xx == pytest.approx(PLAIN.i_xx * factor**4)
    assert section.i_yy == pytest.approx(PLAIN.i_yy * factor**4)


def test_the_way_round_does_not_matter():
    turned_back = OUTLINE.vertices[::-1]
    bulges = [-v.bulge for v in turned_back[1:] + turned_back[:1]]
    clockwise = Contour(tuple(Vertex(v.x, v.y, b) for v, b in zip(turned_back, bulges, strict=True)))
    assert clockwise.area < 0
    assert section_properties(clockwise).i_xx == pytest.approx(PLAIN.i_xx)


@pytest.mark.parametrize("pieces", [20, 40, 80])
def test_chords_converge_on_the_arcs(pieces):
    """Chords in place of the arcs: the error falls with the square of their number."""
    chords = []
    for a, b in OUTLINE.segments():
        chords += _chords(a, b, pieces)
    error = abs(section_properties(Contour(tuple(chords))).i_xx / PLAIN.i_xx - 1)
    assert error < 2e-2 / pieces**2


def _chords(a: Vertex, b: Vertex, pieces: int) -> list[Vertex]:
    if a.bulge == 0.0:
        return [Vertex(a.x, a.y)]
    sweep = 4 * math.atan(a.bulge)
    middle_x, middle_y = (a.x + b.x) / 2, (a.y + b.y) / 2
    across = 1 / math.tan(sweep / 2) / 2
    x0, y0 = middle_x - across * (b.y - a.y), middle_y + across * (b.x - a.x)
    start, radius = math.atan2(a.y - y0, a.x - x0), math.hypot(a.x - x0, a.y - y0)
    angles = (start + sweep * i / pieces for i in range(pieces))
    return [Vertex(x0 + radius * math.cos(t), y0 + radius * math.sin(t)) for t in angles]
