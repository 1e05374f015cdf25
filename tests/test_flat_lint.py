"""Faults drawn on purpose, one by one and together, and what the lint says."""

from itertools import pairwise

import ezdxf
import pytest

from mountgen.errors import InputError
from mountgen.package.dxf_flavour import Flavour
from mountgen.package.dxf_lint import lint_flat

CUT = {"layer": "CUT"}
SQUARE = [(0, 0), (100, 0), (100, 60), (0, 60)]


def new(units=4):
    drawing = ezdxf.new("R2010")
    drawing.header["$INSUNITS"] = units
    drawing.modelspace().add_lwpolyline(SQUARE, close=True, dxfattribs=CUT)
    return drawing


def lint(drawing, tmp_path):
    path = tmp_path / "flat.dxf"
    drawing.saveas(path)
    return lint_flat(path, Flavour())


def test_one_of_each_fault(tmp_path):
    drawing = new(units=6)
    space = drawing.modelspace()
    space.add_line((40, 0), (40, 60), dxfattribs=CUT)
    space.add_text("PART 12", dxfattribs=CUT)
    space.add_spline([(5, 5), (8, 9), (12, 5)], dxfattribs=CUT)
    drawing.blocks.new("HOLE").add_circle((0, 0), 4.5)
    space.add_blockref("HOLE", (20, 20), dxfattribs=CUT)
    space.add_lwpolyline([(15, 40), (25, 40), (25, 50)], dxfattribs=CUT)
    space.add_circle((85, 45, 3), 4.5, dxfattribs=CUT)
    space.add_circle((100, 10), 4.5, dxfattribs=CUT)
    found = lint(drawing, tmp_path)
    assert len(found) == 8
    expected = ["unit is metre", "TEXT", "SPLINE", "INSERT", "45.000) on CUT lies off the plane",
                "(40.000, 0.000) and (40.000, 60.000)", "(15.000, 40.000) and (25.000, 50.000)",
                "meets CIRCLE of diameter 9.000 about (100.000, 10.000)"]  # fmt: skip
    assert all(part in sentence for part, sentence in zip(expected, found, strict=True))


def test_sound_outlines_of_any_kind(tmp_path):
    """Lines and arcs that join, a circle, a polyline that ends where it began: all closed."""
    drawing = new()
    space = drawing.modelspace()
    space.add_circle((50, 30), 5, dxfattribs=CUT)
    space.add_line((20, 20), (30, 20), dxfattribs=CUT)
    space.add_line((20, 26), (30, 26), dxfattribs=CUT)
    space.add_arc((30, 23), 3, -90, 90, dxfattribs=CUT)
    space.add_arc((20, 23), 3, 90, 270, dxfattribs=CUT)
    space.add_lwpolyline([(70, 20), (80, 20), (75, 30), (70, 20)], dxfattribs=CUT)
    space.add_line((0, 30), (100, 30), dxfattribs={"layer": "BEND_UP"})
    space.add_text("note", dxfattribs={"layer": "NOTES"})
    assert lint(drawing, tmp_path) == ()


@pytest.mark.parametrize("units", [0, 1, 5, 6, 21])
def test_unit(units, tmp_path):
    (found,) = lint(new(units), tmp_path)
    assert "not millimetre" in found


def test_doubles(tmp_path):
    """The outline again the other way round from another corner, a slot likewise, a hole again."""
    drawing = new()
    space = drawing.modelspace()
    space.add_lwpolyline([SQUARE[i] for i in (2, 1, 0, 3)], close=True, dxfattribs=CUT)
    for _ in range(2):
        space.add_circle((50, 30), 5, dxfattribs=CUT)
    slot = [(20, 20, 0), (30, 20, 1), (30, 26, 0), (20, 26, 1)]
    backwards = [(30, 26, -1), (30, 20, 0), (20, 20, -1), (20, 26, 0)]
    for corners in (slot, backwards):
        space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs=CUT)
    found = lint(drawing, tmp_path)
    assert [sentence.endswith("is drawn twice") for sentence in found] == [True, True, True]


def test_no_length(tmp_path):
    drawing = new()
    drawing.modelspace().add_line((9, 9), (9, 9), dxfattribs={"layer": "BEND_UP"})
    drawing.modelspace().add_circle((20, 20), 0, dxfattribs=CUT)
    assert ["no length" in sentence for sentence in lint(drawing, tmp_path)] == [True, True]


def test_flipped_normal_and_raised_line(tmp_path):
    drawing = new()
    drawing.modelspace().add_circle((50, 30), 5, dxfattribs=CUT | {"extrusion": (0, 0, -1)})
    drawing.modelspace().add_line((0, 5, 1), (9, 5, 1), dxfattribs={"layer": "BEND_UP"})
    assert ["off the plane" in sentence for sentence in lint(drawing, tmp_path)] == [True, True]


def test_gap_of_half_a_millimetre(tmp_path):
    drawing = new()
    corners = [(20, 20), (30, 20), (30, 30), (20, 30), (20, 20.5)]
    for a, b in pairwise(corners):
        drawing.modelspace().add_line(a, b, dxfattribs=CUT)
    (found,) = lint(drawing, tmp_path)
    assert found == "open path on CUT with loose ends at (20.000, 20.000) and (20.000, 20.500)"


def test_outline_that_crosses_itself(tmp_path):
    drawing = new()
    drawing.modelspace().add_lwpolyline([(20, 20), (30, 30), (30, 20), (20, 30)], close=True, dxfattribs=CUT)
    (found,) = lint(drawing, tmp_path)
    assert "crosses itself at (25.000, 25.000)" in found


def test_nothing_to_cut(tmp_path):
    drawing = ezdxf.new("R2010")
    drawing.header["$INSUNITS"] = 4
    assert lint(drawing, tmp_path) == ("no closed path on a layer whose name begins with CUT",)


@pytest.mark.parametrize("content", [b"", b"this is not a drawing", b"0\nSECTION\n2\nHEADER\nx\n"])
def test_not_a_drawing(content, tmp_path):
    path = tmp_path / "not.dxf"
    path.write_bytes(content)
    with pytest.raises(InputError, match=r"not\.dxf: cannot be read as DXF"):
        lint_flat(path, Flavour())


def test_missing_file(tmp_path):
    with pytest.raises(InputError, match="cannot be read"):
        lint_flat(tmp_path / "none.dxf", Flavour())
