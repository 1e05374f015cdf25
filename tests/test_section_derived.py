"""Drawn sections with the faults that drawings have; right values are closed forms of the same figures."""

import math

import pytest
from section_drawings import (
    ANGLE,
    CENTIMETRE,
    FOOT,
    INCH,
    METRE,
    MILLIMETRE,
    channel_points,
    drawing,
    lines,
    polyline,
)

from mountgen.section.faults import SectionError
from mountgen.section.reader import read_section
from mountgen.section.records import round_of
from mountgen.section.trace import Choices, trace

IN = 25.4
C_SECTION = channel_points(3.5, 1.25, 0.0747)
"""A channel 3 1/2 x 1 1/4 x 0.0747 in."""
C_AREA = (3.5 * 0.0747 + 2 * (1.25 - 0.0747) * 0.0747) * IN * IN


def traced(path, **choices):
    return trace(path, Choices(**choices))


def message(path, **choices):
    with pytest.raises(SectionError) as caught:
        read_section(path, **choices)
    return str(caught.value)


def has_note(section, text):
    return any(text in note for note in section.notes)


# --- units


@pytest.mark.parametrize(
    ("code", "factor"), [(INCH, IN), (MILLIMETRE, 1.0), (CENTIMETRE, 10.0), (METRE, 1000.0), (FOOT, 12 * IN)]
)
def test_every_unit_of_the_header_gives_the_same_channel(tmp_path, code, factor):
    points = [(x * IN / factor, y * IN / factor) for x, y in C_SECTION]
    section = read_section(drawing(tmp_path / "rail.dxf", lambda m: polyline(m, points), code))
    assert section.kind == "channel"
    assert section.depth == pytest.approx(88.9)
    assert section.width == pytest.approx(31.75)
    assert section.web.thickness == pytest.approx(1.89738)
    assert section.properties.area == pytest.approx(C_AREA)
    assert pytest.approx(281.961, abs=5e-4) == C_AREA


@pytest.mark.parametrize(("units", "version"), [(0, "R2010"), (None, "R12")])
def test_without_a_unit_one_is_asked_for_and_taken_from_the_user(tmp_path, units, version):
    path = drawing(tmp_path / "rail.dxf", lambda m: lines(m, C_SECTION), units, version)
    text = message(path)
    assert "rail.dxf" in text
    assert "--units mm" in text
    assert "[rail]" in text
    assert "88.9 mm if in inches" in text
    section = read_section(path, units="in")
    assert section.depth == pytest.approx(88.9)
    assert has_note(section, "in inches, as the user says")


def test_another_unit_number_is_refused_by_its_number(tmp_path):
    path = drawing(tmp_path / "rail.dxf", lambda m: lines(m, C_SECTION), 8)
    assert "unit number 8" in message(path)


def test_millimetres_under_an_inch_flag_stop_with_both_readings(tmp_path):
    points = [(x * IN, y * IN) for x, y in C_SECTION]
    path = drawing(tmp_path / "rail.dxf", lambda m: polyline(m, points), INCH)
    text = message(path)
    assert "2258.06 mm" in text
    assert "88.9 mm" in text
    assert "--units mm" in text
    section = read_section(path, units="mm")
    assert section.depth == pytest.approx(88.9)
    assert has_note(section, "header says inches")


def test_inches_under_a_millimetre_flag_stop_with_both_readings(tmp_path):
    path = drawing(tmp_path / "rail.dxf", lambda m: polyline(m, C_SECTION))
    text = message(path)
    assert "3.5 mm" in text
    assert "88.9 mm" in text
    assert "--units in" in text


def test_a_section_a_thousand_times_too_small_is_told_as_such(tmp_path):
    points = [(x / 1000, y / 1000) for x, y in channel_points(100, 40, 2)]
    text = message(drawing(tmp_path / "rail.dxf", lambda m: polyline(m, points)))
    assert "0.1 mm deep" in text
    assert "100 mm" in text


# --- blocks


def web_with_holes(space, **scales):
    polyline(space, [(0, 0), (200, 0), (200, 100), (0, 100)])
    block = space.doc.blocks.new("HOLES")
    block.add_circle((10, 5), 4)
    block.add_arc((30, 5), 6, 0, 90)
    block.add_line((36, 5), (30, 5))
    block.add_line((30, 5), (30, 11))
    space.add_blockref("HOLES", (100, 50), dxfattribs=scales)


@pytest.mark.parametrize(
    ("scales", "hole", "corner", "ends"),
    [
        ({}, (110, 55), (130, 55), [(136, 55), (130, 61)]),
        ({"xscale": -1}, (90, 55), (70, 55), [(64, 55), (70, 61)]),
        ({"yscale": -1}, (110, 45), (130, 45), [(136, 45), (130, 39)]),
        ({"xscale": -1, "yscale": -1}, (90, 45), (70, 45), [(64, 45), (70, 39)]),
        ({"rotation": 90}, (95, 60), (95, 80), [(95, 86), (89, 80)]),
        ({"xscale": -1, "rotation": 90}, (95, 40), (95, 20), [(95, 14), (89, 20)]),
        ({"zscale": -1}, (110, 55), (130, 55), [(136, 55), (130, 61)]),
    ],
)
def test_a_mirrored_block_keeps_its_holes_in_place(tmp_path, scales, hole, corner, ends):
    found = traced(drawing(tmp_path / "web.dxf", lambda m: web_with_holes(m, **scales)))
    assert found.area == pytest.approx(20000 - math.pi * 16 - math.pi * 36 / 4)
    assert found.area == pytest.approx(19921.460, abs=5e-4)
    (centre, diameter), *_ = [r for h in found.holes if (r := round_of(h)) is not None]
    assert centre == pytest.approx(hole)
    assert diameter == pytest.approx(8)
    quarter = next(h for h in found.holes if round_of(h) is None)
    places = {(round(v.x, 6), round(v.y, 6)) for v in quarter.vertices}
    assert places == {corner, *ends}


def test_holes_of_a_read_section_go_back_to_where_they_were_drawn(tmp_path):
    section = read_section(drawing(tmp_path / "web.dxf", lambda m: web_with_holes(m, xscale=-1)))
    (centre, _), *_ = section.round_holes
    assert section.frame.drawn(centre) == pytest.approx((90, 55))
    assert section.frame.point((90, 55)) == pytest.approx(centre)


def test_nested_scaled_and_arrayed_blocks(tmp_path):
    def draw(space):
        polyline(space, [(0, 0), (120, 0), (120, 80), (0, 80)])
        inner = space.doc.blocks.new("INNER")
        inner.add_circle((1, 0), 1)
        outer = space.doc.blocks.new("OUTER")
        outer.add_blockref("INNER", (0, 0), dxfattribs={"xscale": 2, "yscale": 2, "zscale": 2})
        attribs = {"column_count": 3, "row_count": 2, "column_spacing": 30, "row_spacing": 40}
        space.add_blockref("OUTER", (20, 20), dxfattribs={**attribs, "xscale": -2, "yscale": 2, "zscale": 2})

    found = traced(drawing(tmp_path / "plate.dxf", draw))
    holes = sorted(round_of(hole) for hole in found.holes)
    assert [diameter for _, diameter in holes] == pytest.approx([8] * 6)
    expected = sorted((16.0 + 30 * i, 20.0 + 40 * j) for i in range(3) for j in range(2))
    assert [c for c, _ in holes] == [pytest.approx(place) for place in expected]


def test_a_circle_in_a_stretched_block_is_an_ellipse_within_a_hundredth(tmp_path):
    def draw(space):
        polyline(space, [(-50, -30), (50, -30), (50, 30), (-50, 30)])
        space.doc.blocks.new("ROUND").add_circle((0, 0), 10)
        space.add_blockref("ROUND", (0, 0), dxfattribs={"xscale": 2, "rotation": 30})

    found = traced(drawing(tmp_path / "plate.dxf", draw))
    assert found.area == pytest.approx(6000 - math.pi * 20 * 10, abs=0.01 * found.holes[0].length)
    assert has_note(found, "1 spline or ellipse followed by lines and arcs within 0.01 mm")


def test_a_block_that_unfolds_without_end_is_counted_not_unfolded(tmp_path):
    def draw(space):
        space.doc.blocks.new("B0").add_line((0, 0), (1, 0))
        for i in range(1, 12):
            block = space.doc.blocks.new(f"B{i}")
            for _ in range(10):
                block.add_blockref(f"B{i - 1}", (0, 0))
        space.add_blockref("B11", (0, 0))

    text = message(drawing(tmp_path / "bomb.dxf", draw))
    assert "unfold to 211111111111 lines" in text
    assert "at most" in text


def test_a_block_array_without_end_is_refused(tmp_path):
    def draw(space):
        space.doc.blocks.new("B").add_line((0, 0), (1, 0))
        counts = {"column_count": 30000, "row_count": 30000, "column_spacing": 1, "row_spacing": 1}
        space.add_blockref("B", (0, 0), dxfattribs=counts)

    assert "unfold to" in message(drawing(tmp_path / "bomb.dxf", draw))


def test_a_block_inside_itself_is_named(tmp_path):
    def draw(space):
        block = space.doc.blocks.new("SELF")
        block.add_line((0, 0), (1, 0))
        block.add_blockref("SELF", (0, 0))
        space.add_blockref("SELF", (0, 0))

    assert "'self' contains itself" in message(drawing(tmp_path / "self.dxf", draw))


def test_entities_on_layer_0_of_a_block_lie_on_the_layer_of_its_insert(tmp_path):
    def draw(space):
        lines(space.doc.blocks.new("L"), ANGLE)
        space.add_blockref("L", (0, 0), dxfattribs={"layer": "RAIL"})
        space.add_line((0, -20), (60, -20), dxfattribs={"layer": "AXES"})

    path = drawing(tmp_path / "l.dxf", draw)
    assert read_section(path, layer="rail").properties.area == pytest.approx(291)
    assert "AXES (1), RAIL (6)" in message(path)


# --- gaps and loose ends


def angle_with(start, **change):
    """The angle in lines, one end moved."""

    def draw(space):
        for a, b in zip(ANGLE, [*ANGLE[1:], ANGLE[0]], strict=True):
            space.add_line(a, change.get("end", b) if a == start else b)

    return draw


def test_a_hair_gap_is_closed_and_told(tmp_path):
    found = traced(drawing(tmp_path / "l.dxf", angle_with((60, 0), end=(60, 2.99995))))
    assert found.area == pytest.approx(291.0, abs=0.01)
    assert "1 gap of 0.00005 mm closed at (60, 3)" in found.notes


def test_a_real_gap_is_told_with_both_its_ends(tmp_path):
    path = drawing(tmp_path / "l.dxf", angle_with((60, 0), end=(60, 2.6)))
    assert "open contour, gap 0.400 mm between (60, 2.6) and (60, 3)" in message(path)
    section = read_section(path, joining=0.5)
    assert "1 gap of 0.400 mm closed at (60, 2.8)" in section.notes


def test_a_line_drawn_past_its_corner_is_told(tmp_path):
    path = drawing(tmp_path / "l.dxf", angle_with((0, 0), end=(60.2, 0)))
    assert "dangling end (60.2, 0), 0.200 mm past (60, 0)" in message(path)


def test_gaps_are_told_in_millimetres_of_an_inch_drawing(tmp_path):
    def draw(space):
        for a, b in zip(C_SECTION, [*C_SECTION[1:], C_SECTION[0]], strict=True):
            space.add_line(a, (1.25, 3.49) if b == (1.25, 3.5) else b)

    text = message(drawing(tmp_path / "c.dxf", draw, INCH))
    assert "gap 0.254 mm between (31.75, 88.646) and (31.75, 88.9)" in text


def test_every_open_place_is_told_up_to_a_few(tmp_path):
    def draw(space):
        for i in range(20):
            space.add_line((10 * i, 0), (10 * i + 5, 0))

    path = drawing(tmp_path / "dashes.dxf", draw)
    with pytest.raises(SectionError) as caught:
        read_section(path)
    assert len(caught.value.faults) == 7
    assert "14 more places" in str(caught.value)


def test_a_line_across_the_section_is_a_fork(tmp_path):
    def draw(space):
        lines(space, channel_points(100, 40, 2))
        space.add_line((0, 50), (2, 50))

    assert "3 lines meet at (0, 50)" in message(drawing(tmp_path / "c.dxf", draw))


# --- doubles and things without size


def plate_with_doubles(space):
    corners = [(0, 0), (120, 0), (120, 80), (0, 80)]
    polyline(space, corners)
    polyline(space, corners[::-1])
    space.add_line((20, 0), (70, 0))
    for centre in ((15, 15), (105, 15), (105, 65), (15, 65), (15, 15)):
        space.add_circle(centre, 4.5)
    space.add_arc((105, 65), 4.5, 0, 180)
    space.add_line((60, 40), (60, 40))
    space.add_circle((60, 40), 0)
    space.add_point((60, 41))


def test_doubles_and_points_are_taken_out_and_told(tmp_path):
    found = traced(drawing(tmp_path / "plate.dxf", plate_with_doubles))
    assert found.cut_length == pytest.approx(400 + 4 * math.pi * 9)
    assert found.cut_length == pytest.approx(513.097, abs=5e-4)
    assert len(found.holes) == 4
    assert found.area == pytest.approx(9600 - 4 * math.pi * 4.5**2)
    assert has_note(found, "4 duplicates removed: ")
    assert has_note(found, "3 degenerate entities ignored: ")
    assert has_note(found, "POINT at (60, 41)")


def test_partly_overlapping_lines_and_arcs_are_trimmed(tmp_path):
    def draw(space):
        space.add_line((0, 0), (60, 0))
        space.add_line((40, 0), (100, 0))
        space.add_line((100, 0), (100, 30))
        space.add_line((100, 30), (0, 30))
        space.add_arc((0, 15), 15, 90, 200)
        space.add_arc((0, 15), 15, 150, 270)

    found = traced(drawing(tmp_path / "slot.dxf", draw))
    assert found.area == pytest.approx(3000 + math.pi * 15**2 / 2)
    assert len(found.outline.vertices) == 4
    assert has_note(found, "2 entities overlapping others trimmed")


# --- polylines with bulges


def test_an_arc_over_half_a_turn_goes_the_long_way(tmp_path):
    found = traced(
        drawing(tmp_path / "key.dxf", lambda m: polyline(m, [(0, 0), (20, 0, 3), (20, 10), (0, 10)]))
    )
    sweep, radius = 4 * math.atan(3), 10 * (1 + 9) / 12
    assert found.area == pytest.approx(200 + radius**2 / 2 * (sweep - math.sin(sweep)))
    assert found.area == pytest.approx(406.812, abs=5e-4)
    x0, y0, x1, y1 = found.outline.bounds
    assert (x0, x1) == pytest.approx((0, 35.0))
    assert (y0, y1) == pytest.approx((5 - radius, 5 + radius))


def test_the_same_arc_inwards_cuts_through_the_outline(tmp_path):
    path = drawing(tmp_path / "key.dxf", lambda m: polyline(m, [(0, 0), (20, 0, -3), (20, 10), (0, 10)]))
    assert "self-intersecting outline at" in message(path)


def test_circles_written_as_polylines_are_round_holes(tmp_path):
    def draw(space):
        polyline(space, [(-50, -30), (50, -30), (50, 30), (-50, 30)])
        polyline(space, [(-4.5, 0, 1), (4.5, 0, 1)])
        polyline(space, [(30, 0, 18000), (30.001, 0)])

    found = traced(drawing(tmp_path / "plate.dxf", draw))
    holes = sorted(round_of(hole) for hole in found.holes)
    assert [c for c, _ in holes] == [pytest.approx((0, 0)), pytest.approx((30.0005, -4.5), abs=1e-5)]
    assert [d for _, d in holes] == pytest.approx([9.0, 9.0], abs=1e-5)
    assert found.area == pytest.approx(5872.766, abs=1e-3)


def test_a_circle_drawn_in_uneven_arcs_is_a_round_hole(tmp_path):
    def draw(space):
        polyline(space, [(0, 0), (100, 0), (100, 60), (0, 60)])
        for start, end in ((10, 50), (50, 170), (170, 300), (300, 10)):
            space.add_arc((30, 20), 4.5, start, end)

    (hole,) = traced(drawing(tmp_path / "plate.dxf", draw)).holes
    centre, diameter = round_of(hole)
    assert centre == pytest.approx((30, 20))
    assert diameter == pytest.approx(9.0)


@pytest.mark.parametrize("version", ["R12", "R2010"])
def test_heavy_polylines_are_read_like_light_ones(tmp_path, version):
    def draw(space):
        space.add_polyline2d([(0, 0, 0), (20, 0, 3), (20, 10, 0), (0, 10, 0)], format="xyb", close=True)

    found = traced(drawing(tmp_path / "key.dxf", draw, MILLIMETRE, version), units="mm")
    assert found.area == pytest.approx(406.812, abs=5e-4)


def test_a_polyline_seen_from_behind_keeps_its_arcs_outside(tmp_path):
    def draw(space):
        polyline(space, [(0, 0), (-40, 0, -1), (-40, 20), (0, 20)])
        space.query("LWPOLYLINE").first.dxf.extrusion = (0, 0, -1)

    found = traced(drawing(tmp_path / "d.dxf", draw))
    assert found.outline.bounds == pytest.approx((0, 0, 50, 20))
    assert found.area == pytest.approx(800 + math.pi * 100 / 2)


# --- curves


def test_a_spline_through_a_circle_is_followed_within_a_hundredth(tmp_path):
    def draw(space):
        polyline(space, [(-50, -30), (50, -30), (50, 30), (-50, 30)])
        turns = [2 * math.pi * i / 24 for i in range(25)]
        space.add_spline([(20 * math.cos(a), 20 * math.sin(a)) for a in turns])

    found = traced(drawing(tmp_path / "plate.dxf", draw))
    assert found.holes[0].area == pytest.approx(math.pi * 400, rel=2e-3)
    assert has_note(found, "1 spline or ellipse followed")


def test_a_rational_spline_that_is_a_half_circle_gives_true_arcs(tmp_path):
    def draw(space):
        half = math.sqrt(0.5)
        points = [(0, -10), (10, -10), (10, 0), (10, 10), (0, 10)]
        knots = [0, 0, 0, 1, 1, 2, 2, 2]
        space.add_rational_spline(points, [1, half, 1, half, 1], degree=2, knots=knots)
        lines_open = [((0, 10), (-30, 10)), ((-30, 10), (-30, -10)), ((-30, -10), (0, -10))]
        for a, b in lines_open:
            space.add_line(a, b)

    found = traced(drawing(tmp_path / "d.dxf", draw))
    assert found.area == pytest.approx(600 + math.pi * 100 / 2)
    assert found.outline.bounds == pytest.approx((-30, -10, 10, 10))


def test_an_elliptic_arc_closes_with_its_chord(tmp_path):
    def draw(space):
        space.add_ellipse((0, 0), (30, 0), 0.5, 0, math.pi)
        space.add_line((-30, 0), (30, 0))

    found = traced(drawing(tmp_path / "d.dxf", draw))
    assert found.area == pytest.approx(math.pi * 30 * 15 / 2, abs=0.01 * found.outline.length)


# --- which outline, which plane, what else stands in the drawing


def test_text_dimensions_and_hatches_are_passed_over_and_told(tmp_path):
    def draw(space):
        lines(space, ANGLE)
        space.add_text("L 60 x 40 x 3", height=4)
        space.add_mtext("as measured")
        space.add_linear_dim((0, -10), (0, 0), (60, 0)).render()
        space.add_hatch().paths.add_polyline_path(ANGLE)

    section = read_section(drawing(tmp_path / "l.dxf", draw))
    assert section.properties.area == pytest.approx(291)
    assert has_note(section, "not read: 1 DIMENSION, 1 HATCH, 1 MTEXT, 1 TEXT")


def test_several_sections_are_listed_largest_first_and_one_can_be_chosen(tmp_path):
    def draw(space):
        polyline(space, ANGLE)
        polyline(space, [(x + 200, y) for x, y in channel_points(100, 40, 2.5)])

    path = drawing(tmp_path / "two.dxf", draw)
    text = message(path)
    assert "2 separate outlines: 1 (40 x 100 mm at (200, 0)), 2 (60 x 40 mm at (0, 0))" in text
    assert "--loop" in text
    assert "--layer" in text
    assert read_section(path, loop=1).kind == "channel"
    assert read_section(path, loop=2).kind == "angle"
    assert "there is no outline 3" in message(path, loop=3)


def test_a_section_inside_a_drawing_frame_is_chosen_by_its_number(tmp_path):
    def draw(space):
        polyline(space, [(-100, -100), (197, -100), (197, 110), (-100, 110)])
        polyline(space, [(0, 0), (60, 0), (60, 40), (0, 40)])
        polyline(space, [(3, 3), (57, 3), (57, 37), (3, 37)])

    path = drawing(tmp_path / "framed.dxf", draw)
    assert "inside a hollow of outline 1 lies another: 3 (54 x 34 mm at (3, 3))" in message(path)
    section = read_section(path, loop=2)
    assert section.kind == "tube"
    assert section.properties.area == pytest.approx(60 * 40 - 54 * 34)


def test_outlines_that_cross_are_refused(tmp_path):
    def draw(space):
        polyline(space, [(0, 0), (100, 0), (100, 60), (0, 60)])
        space.add_circle((100, 10), 4.5)

    assert "two outlines cross or touch at (100," in message(drawing(tmp_path / "plate.dxf", draw))


def test_what_is_hidden_is_not_read_and_told(tmp_path):
    def draw(space):
        lines(space, ANGLE)
        space.doc.layers.add("CONSTRUCTION").off()
        space.doc.layers.add("OLD").freeze()
        space.add_line((0, 0), (99, 99), dxfattribs={"layer": "CONSTRUCTION"})
        space.add_line((0, 5), (99, 0), dxfattribs={"layer": "OLD"})

    section = read_section(drawing(tmp_path / "l.dxf", draw))
    assert has_note(section, "2 entities on hidden layers not read")


@pytest.mark.parametrize(
    ("stand", "where"),
    [
        (lambda x, y: (x, y, 7.0), "from above, at z = 7"),
        (lambda x, y: (x, 5.0, y), "from the front, at y = 5"),
        (lambda x, y: (-2.0, x, y), "from the right, at x = -2"),
    ],
)
def test_a_section_drawn_upright_or_lifted_is_looked_at_square(tmp_path, stand, where):
    def draw(space):
        for a, b in zip(ANGLE, [*ANGLE[1:], ANGLE[0]], strict=True):
            space.add_line(stand(*a), stand(*b))

    found = traced(drawing(tmp_path / "l.dxf", draw))
    assert found.area == pytest.approx(291)
    assert has_note(found, where)


def test_a_circle_at_another_height_is_looked_at_from_above(tmp_path):
    def draw(space):
        polyline(space, [(0, 0), (100, 0), (100, 60), (0, 60)])
        space.add_circle((50, 30, 3), 4.5)

    found = traced(drawing(tmp_path / "plate.dxf", draw))
    assert len(found.holes) == 1
    assert has_note(found, "several heights")


def test_a_tilted_line_is_named(tmp_path):
    def draw(space):
        lines(space, ANGLE)
        space.add_line((0, 0, 0), (10, 0, 10))

    assert "does not lie flat" in message(drawing(tmp_path / "l.dxf", draw))


# --- no section at all


def test_an_empty_drawing_and_one_of_text_alone(tmp_path):
    assert "no line, arc or curve" in message(drawing(tmp_path / "a.dxf", lambda m: None))
    text = message(drawing(tmp_path / "b.dxf", lambda m: m.add_text("nothing")))
    assert "only 1 TEXT" in text


def test_a_solid_is_named_as_what_it_is(tmp_path):
    text = message(drawing(tmp_path / "a.dxf", lambda m: m.add_3dface([(0, 0), (1, 0), (1, 1), (0, 1)])))
    assert "only 1 3DFACE" in text


def test_a_layer_that_is_not_there_lists_those_that_are(tmp_path):
    path = drawing(tmp_path / "l.dxf", lambda m: lines(m, ANGLE, "RAIL"))
    assert "on layer FRAME" in message(path, layer="FRAME")
    assert "RAIL" in message(path, layer="FRAME")


def test_a_section_on_a_paper_sheet_is_told(tmp_path):
    def draw(space):
        lines(space.doc.paperspace(), ANGLE)

    assert "paper sheets" in message(drawing(tmp_path / "l.dxf", draw))


def test_lines_alone_enclose_nothing(tmp_path):
    def draw(space):
        space.add_line((0, 0), (50, 0))
        space.add_line((50, 0), (0, 0))

    assert "open contour, gap 50.000 mm" in message(drawing(tmp_path / "l.dxf", draw))


@pytest.mark.parametrize(
    ("content", "found"),
    [
        (b"", "cannot be read as DXF"),
        (b"\x00\x01\x02" * 500, "cannot be read as DXF"),
        (b"not a drawing\n" * 50, "cannot be read as DXF"),
        (b"AC1032\x00\x00\x00" * 50, "DWG"),
        (b"%PDF-1.7\n" * 50, "cannot be read as DXF"),
        (b"0\nSECTION\n" * 1_000_000, "MB"),
    ],
)
def test_what_is_no_drawing_is_refused(tmp_path, content, found):
    path = tmp_path / "rail.dxf"
    path.write_bytes(content)
    assert found in message(path)


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    assert "cannot be read" in message(tmp_path / "none.dxf")
    assert "cannot be read" in message(tmp_path)


@pytest.mark.parametrize("value", ["nan", "inf", "1e300"])
def test_numbers_that_are_none_are_told_with_the_entity(tmp_path, value):
    path = drawing(tmp_path / "l.dxf", lambda m: lines(m, [(0, 0), (60.25, 0), (0, 40)]))
    path.write_text(path.read_text().replace("60.25", value))
    text = message(path)
    assert "LINE #" in text


def test_a_binary_drawing_is_read(tmp_path):
    import ezdxf

    path = tmp_path / "l.dxf"
    made = ezdxf.new("R2010", units=MILLIMETRE)
    lines(made.modelspace(), ANGLE)
    made.saveas(path, fmt="bin")
    assert read_section(path).properties.area == pytest.approx(291)


def test_a_very_large_section_is_refused_by_count(tmp_path):
    def draw(space):
        polyline(space, [(i % 2, i) for i in range(6_000)])

    assert "more than 5000 lines" in message(drawing(tmp_path / "l.dxf", draw))
