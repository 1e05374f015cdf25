"""Sizes of sheet, frame, lines and tolerances from the standards."""

from __future__ import annotations

import pytest
from drawing_samples import angle_part, box_views, order_of, with_role

from mountgen.fabrication.lists import squareness
from mountgen.package.drawing import draw_part, scale_text
from mountgen.package.drawing_folded import Folded, view_sizes
from mountgen.package.drawing_paper import A3, A4, BLOCK, ISO_STYLE, SCALES, SIZE_A, SIZE_B, US_STYLE


def test_sheets_and_their_drawing_space():
    """ISO 216: A3 is 297 x 420, A4 210 x 297. ISO 5457:1999 4.2 (from memory): space of A3 277 x 390, of A4
    180 x 277, filing border 20."""
    for paper, size, space in ((A3, (420.0, 297.0), (390.0, 277.0)), (A4, (210.0, 297.0), (180.0, 277.0))):
        assert paper.size == size
        low, high = paper.space.low, paper.space.high
        assert (high[0] - low[0], high[1] - low[1]) == space
        assert low[0] == 20.0


def test_us_sheets():
    """ASME Y14.1: A is 8.5 x 11 in, B is 11 x 17 in."""
    assert [side / 25.4 for side in SIZE_A.size] == pytest.approx([8.5, 11.0])
    assert [side / 25.4 for side in SIZE_B.size] == pytest.approx([17.0, 11.0])


def test_title_block_width():
    """ISO 7200:2004 (from memory): 180 mm, as wide as the drawing space of A4."""
    assert BLOCK[0] == 180.0 == A4.space.high[0] - A4.space.low[0]


@pytest.mark.parametrize("style", [ISO_STYLE, US_STYLE])
def test_places_of_the_views(style):
    """ISO 5456-2: in first-angle projection the view from above lies below the front and the view from the
    left right of it; in third-angle projection above and left."""
    views = box_views(84.0, 75.0, 108.0)
    group = Folded(views, view_sizes(views), (), 0.5, style.projection)
    (x, y), (beside, over) = group.corners((0.0, 0.0))
    first = style.projection == "first angle"
    assert (beside > x + 42.0, over > y + 54.0) == (first, first)
    assert (beside + 37.5 < x, over + 37.5 < y) == (not first, not first)


def test_scales():
    """ISO 5455:1979 5.1: 5:1, 2:1, 1:1, 1:2, 1:5, 1:10, 1:20; 1:2.5 is not among them."""
    assert [scale_text(scale) for scale in SCALES] == ["5:1", "2:1", "1:1", "1:2", "1:5", "1:10", "1:20"]


@pytest.mark.parametrize(
    ("role", "width"), [("outline", 0.5), ("hole", 0.5), ("bend", 0.25), ("centre", 0.25), ("frame", 0.7)]
)
def test_line_widths(role, width):
    """ISO 128-2: wide 0.5 to narrow 0.25 (2:1); ISO 5457: frame 0.7."""
    marks = [m for m in with_role(draw_part(order_of(angle_part()))[0], role) if "stroke-width" in m.attrib]
    assert marks
    assert {float(mark.attrib["stroke-width"]) for mark in marks} == {width}


@pytest.mark.parametrize(
    ("side", "deviation"), [(10.0, "1°"), (20.0, "0°30'"), (50.0, "0°30'"), (60.0, "0°20'"), (121.0, "0°10'")]
)
def test_squareness_of_a_cut_end(side, deviation):
    """ISO 2768-1:1989 table 3, class m, by the length of the shorter side (from memory)."""
    assert squareness(side) == deviation
