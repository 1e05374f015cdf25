"""Drawings against closed forms: scale, corners, outside lengths, widths of text."""

from __future__ import annotations

import math

import pytest
from drawing_samples import (
    angle_part,
    mount,
    order_of,
    overlapping,
    path_points,
    plate_part,
    texts,
    with_role,
)
from fontTools.ttLib import TTFont

from mountgen.geometry import Contour, Vertex, rectangle, rounded
from mountgen.package.cut_sheet import cut_and_drill_sheets
from mountgen.package.drawing import draw_part
from mountgen.package.drawing_corners import corners, is_rectangle
from mountgen.package.drawing_paper import SCALES
from mountgen.package.drawing_tables import Table, stacked
from mountgen.package.svg_text import CAPITAL_SHARE, FONTS, text_width
from mountgen.sheet.tree import RoundHole


def out_of_frame(svg: str) -> list[str]:
    """Texts that run over the frame, but for the names of the reference fields, which stand outside."""
    frame = next(e for e in with_role(svg, "frame") if "width" in e.attrib).attrib
    x0, y0 = float(frame["x"]), float(frame["y"])
    x1, y1 = x0 + float(frame["width"]), y0 + float(frame["height"])
    shown = [t for t in texts(svg) if t.role != "grid"]
    beside = [t.text for t in shown if t.patch.low[0] < x0 or t.patch.high[0] > x1]
    return beside + [t.text for t in shown if t.patch.low[1] < y0 or t.patch.high[1] > y1]


def stated_scale(svg: str) -> float:
    field = next(t.text for t in texts(svg) if t.role == "field" and ":" in t.text)
    enlarged, reduced = (float(part) for part in field.split(":"))
    return enlarged / reduced


@pytest.mark.parametrize("size", [(12.0, 8.0), (60.0, 40.0), (160.0, 100.0), (400.0, 180.0), (900.0, 700.0)])
def test_the_outline_is_drawn_exactly_at_the_stated_scale(size):
    holes = [RoundHole((size[0] / 2, size[1] / 3), 2.0)]
    (svg,) = draw_part(order_of(plate_part(holes, size)))
    scale = stated_scale(svg)
    points = path_points(with_role(svg, "outline")[0])
    drawn = [max(p[i] for p in points) - min(p[i] for p in points) for i in (0, 1)]
    assert scale in SCALES
    assert drawn == pytest.approx([scale * size[0], scale * size[1]], abs=1e-3)
    low = (min(p[0] for p in points), max(p[1] for p in points))
    hole = path_points(with_role(svg, "hole A1")[0])
    middle = (sum(p[0] for p in hole[1:]) / 2, sum(p[1] for p in hole[1:]) / 2)
    assert (middle[0] - low[0], low[1] - middle[1]) == pytest.approx(
        (scale * size[0] / 2, scale * size[1] / 3), abs=1e-3
    )


@pytest.mark.parametrize("units", ["mm", "in"])
def test_a_bent_part_has_no_text_on_another_nor_out_of_the_frame(units):
    for svg in draw_part(order_of(angle_part(), units)):
        found = list(texts(svg))
        assert overlapping(found) == []
        assert out_of_frame(svg) == []


@pytest.mark.parametrize("survey", ["seed-cartons", "seed-trays-inch", "compost-sacks"])
def test_no_sheet_of_a_whole_mount_has_text_on_text(survey):
    for svg in (sheet.svg for sheet in cut_and_drill_sheets(mount(survey))):
        found = list(texts(svg))
        assert overlapping(found) == []
        assert out_of_frame(svg) == []


def test_a_bent_part_says_all_that_its_making_needs():
    found = {t.text for svg in draw_part(order_of(angle_part())) for t in texts(svg)}
    # BA = pi/2 (3 + 3 * 0.65 / 2), BD = 2 * 6 - BA (DIN 6935, r / s = 1)
    allowance = math.pi / 2 * (3 + 0.975)
    assert {f"{allowance:.2f}", f"{12 - allowance:.2f}", "up", "90°"} <= found
    assert {"B1 up", "B1 R3", "t 3"} <= found
    assert "slot 9 × 20 overall, long axis 90°" in found
    assert "arc slot 6.6 wide, R60, -70° to -40°" in found
    assert "M6 tapped through, core Ø5" in found
    assert {"M6 clearance", "5 H7 dowel"} <= found
    assert any(t.startswith("Corners R5 unless shown otherwise") for t in found)
    assert any(t.startswith("Material steel-s235, thickness 3 mm") for t in found)


def test_a_part_that_needs_two_sheets_is_cut_by_one_and_bent_by_the_other():
    flat, bending = ({t.text for t in texts(svg)} for svg in draw_part(order_of(angle_part())))
    assert {"Part drawing, flat", "Holes"} <= flat
    assert {"Part drawing, bending", "Bends", "Material steel-s235, thickness 3 mm. Quantity 2."} <= bending
    assert not {"Bends", "B1 R3"} & flat
    assert "Holes" not in bending


def test_lettering_is_never_below_two_and_a_half_millimetres():
    for svg in draw_part(order_of(angle_part())):
        assert min(t.height for t in texts(svg)) >= 2.5 - 1e-4


def test_inch_drawings_show_inches_in_brackets():
    (svg,) = draw_part(order_of(plate_part([RoundHole((25.4, 50.8), 6.35)]), "in"))
    shown = {t.text for t in texts(svg) if t.role.startswith("ordinate")}
    assert {"25.4 [1.000]", "50.8 [2.000]"} <= shown


def test_more_holes_than_a_column_holds_go_on_a_further_sheet():
    holes = [
        RoundHole((10.0 + 12 * i, 10.0 + 12 * j), 3.4, "clearance", "M3") for i in range(20) for j in range(5)
    ]
    sheets = draw_part(order_of(plate_part(holes, (260.0, 80.0))))
    cells = [t.text for svg in sheets for t in texts(svg) if t.role == "cell"]
    assert len(sheets) == 2
    assert all(cells.count(f"A{i}") == 1 for i in range(1, 101))


def test_rounded_corners_stand_where_their_edges_meet():
    outline = rounded([(0.0, 0.0), (60.0, 0.0), (60.0, 30.0), (20.0, 80.0)], [5.0, 0.0, 8.0, 3.0])
    found = corners(outline)
    assert [c.radius for c in found] == pytest.approx([5.0, 0.0, 8.0, 3.0])
    expected = [(0.0, 0.0), (60.0, 0.0), (60.0, 30.0), (20.0, 80.0)]
    for corner, at in zip(found, expected, strict=True):
        assert corner.at == pytest.approx(at, abs=1e-9)


def test_a_round_end_is_an_arc_between_two_corners():
    half_turn = Contour((Vertex(0, 0), Vertex(40, 0, 1.0), Vertex(40, 20), Vertex(0, 20)))
    found = corners(half_turn)
    assert [c.radius for c in found] == [0.0] * 4
    assert found[1].leaves_by is not None
    assert found[1].leaves_by.radius == pytest.approx(10.0)
    assert found[1].leaves_by.centre == pytest.approx((40.0, 10.0))
    assert not is_rectangle(half_turn)


def test_only_an_upright_box_with_equal_corners_is_a_rectangle():
    box = [(0.0, 0.0), (60.0, 0.0), (60.0, 30.0), (0.0, 30.0)]
    assert is_rectangle(rectangle(0, 0, 60, 30))
    assert is_rectangle(rounded(box, [4.0] * 4))
    assert not is_rectangle(rounded(box, [4.0, 4.0, 4.0, 0.0]))
    assert not is_rectangle(rectangle(0, 0, 60, 30).turned(10.0))


def test_a_table_is_cut_without_losing_a_row():
    table = Table("T", ("no",), tuple((str(i),) for i in range(120)))
    columns = stacked([table], 100.0)
    assert [row[0] for column in columns for part in column for row in part.rows] == [
        str(i) for i in range(120)
    ]
    assert all(sum(part.height for part in column) <= 100.0 for column in columns)


@pytest.mark.parametrize(
    ("file", "bold"), [("DejaVuSansCondensed.ttf", False), ("DejaVuSansCondensed-Bold.ttf", True)]
)
def test_text_widths_agree_with_another_reader_of_the_font(file, bold):
    font = TTFont(FONTS / file)
    glyphs, advances = font.getBestCmap(), font["hmtx"]
    text = "Ø6.6 × 20, 30° [0.260] Größe ±"
    em = sum(advances[glyphs[ord(c)]][0] for c in text) / font["head"].unitsPerEm
    assert text_width(text, 2.5, bold=bold) == pytest.approx(em * 2.5 / CAPITAL_SHARE)
    assert font["glyf"]["H"].yMax / font["head"].unitsPerEm == pytest.approx(CAPITAL_SHARE)
