"""Sizes of sheet, frame, lines and tolerances from the standards."""

from __future__ import annotations

import pytest
from drawing_samples import angle_part, order_of, with_role

from mountgen.package.cut_sheet import squareness
from mountgen.package.drawing import SCALES, draw_part, scale_text
from mountgen.package.drawing_frame import BLOCK, SHEET, SPACE


def test_sheet_and_drawing_space():
    """ISO 216: A3 is 297 x 420. ISO 5457:1999 4.2 (from memory): space 277 x 390, filing border 20."""
    assert SHEET == (420.0, 297.0)
    assert (SPACE.high[0] - SPACE.low[0], SPACE.high[1] - SPACE.low[1]) == (390.0, 277.0)
    assert SPACE.low[0] == 20.0


def test_title_block_width():
    """ISO 7200:2004 (from memory): 180 mm."""
    assert BLOCK[0] == 180.0


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
