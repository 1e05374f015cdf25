"""The flat's DXF as a cutting shop reads it, with ezdxf as the reader."""

import math
import time
from io import StringIO
from itertools import pairwise

import ezdxf
import pytest

from mountgen.fabrication.part_mark import PartMark, find_mark
from mountgen.fabrication.stroke_font import text_strokes, text_width
from mountgen.geometry import Vertex, polygon, rectangle, rounded
from mountgen.mechanics.bending import KFactor
from mountgen.package.dxf_flavour import Flavour
from mountgen.package.dxf_lint import lint_flat
from mountgen.package.flat_dxf import flat_drawing
from mountgen.sheet.edges import edge_between, edge_gap, edges_of, is_inside, spine_of
from mountgen.sheet.flat import unfold
from mountgen.sheet.rules import bend_zone
from mountgen.sheet.tree import ArcSlot, Bend, Flange, RoundHole, SheetPart, Slot, mirrored_part

RULE = KFactor(0.42)


def bracket(number="RM-101-L"):
    """A rounded root with every kind of hole, a flange up, and a flange down on that."""
    holes = (RoundHole((20, 20), 9), RoundHole((100, 20), 9), Slot((60, 15), 6.6, 20, 15))
    last = Flange("foot", rounded(((0, 0), (80, 0), (80, 30), (0, 30)), (0, 0, 5, 5)))
    arc = ArcSlot((40, 5), 25, 6.6, 40, 140)
    mid = Flange("side", rectangle(0, 0, 80, 60), (arc,), (Bend((80, 60), (0, 60), -90, 3, last),))
    outline = polygon(((0, 0), (120, 0), (120, 70), (104, 70), (104, 64), (100, 64), (100, 70), (20, 70),
                       (20, 64), (16, 64), (16, 70), (0, 70)))  # fmt: skip
    root = Flange("root", outline, holes, (Bend((100, 70), (20, 70), 90, 3, mid),))
    return SheetPart(number, "bracket", 3.0, "steel", root)


def read_back(part, version="R2000"):
    return ezdxf.read(StringIO(flat_drawing(part, unfold(part, RULE), Flavour(version))))


@pytest.fixture(scope="module")
def drawing():
    return read_back(bracket())


def on(drawing, layer):
    return list(drawing.modelspace().query(f'*[layer=="{layer}"]'))


def test_units_and_version(drawing):
    """DXF reference: $INSUNITS 4 is millimetres; $MEASUREMENT 1 is metric; AC1015 is R2000."""
    assert drawing.header["$INSUNITS"] == 4
    assert drawing.header["$MEASUREMENT"] == 1
    assert drawing.dxfversion == "AC1015"
    assert read_back(bracket(), "R2010").dxfversion == "AC1024"


def test_audit_is_clean(drawing):
    auditor = drawing.audit()
    assert not auditor.has_errors
    assert not auditor.has_fixes


def test_layers_are_told_apart(drawing):
    layers = [drawing.layers.get(n) for n in ("CUT_OUTER", "CUT_INNER", "BEND_UP", "BEND_DOWN", "MARK")]
    assert len({layer.color for layer in layers}) == 5
    assert [layer.dxf.linetype for layer in layers[2:4]] == ["DASHED", "LONG_DASH_DOT"]


def test_outline_is_one_closed_polyline_with_true_arcs(drawing):
    (outline,) = on(drawing, "CUT_OUTER")
    flat = unfold(bracket(), RULE)
    assert outline.dxftype() == "LWPOLYLINE"
    assert outline.closed
    assert [tuple(p) for p in outline.get_points("xyb")] == [
        pytest.approx((v.x, v.y, v.bulge)) for v in flat.outline.vertices
    ]
    assert sorted(b for _, _, b in outline.get_points("xyb") if b) == pytest.approx(
        [math.tan(math.pi / 8)] * 2
    )


def test_holes(drawing):
    inner = on(drawing, "CUT_INNER")
    circles = [e for e in inner if e.dxftype() == "CIRCLE"]
    slots = [e for e in inner if e.dxftype() == "LWPOLYLINE"]
    assert [(c.dxf.center.x, c.dxf.center.y, c.dxf.radius) for c in circles] == [
        (20, 20, 4.5),
        (100, 20, 4.5),
    ]
    assert len(slots) == 2
    assert all(s.closed and len(s) == 4 for s in slots)
    assert len(inner) == len(circles) + len(slots)


def test_bend_lines(drawing):
    allowance = math.pi / 2 * 4.26
    (up,), (down,) = on(drawing, "BEND_UP"), on(drawing, "BEND_DOWN")
    assert (up.dxf.start.y, up.dxf.end.y) == pytest.approx((70 + allowance / 2,) * 2)
    assert {up.dxf.start.x, up.dxf.end.x} == {20, 100}
    assert down.dxf.start.y == pytest.approx(70 + allowance + 60 + allowance / 2)


def test_everything_is_in_the_plane_and_nothing_else_is_there(drawing):
    for entity in drawing.modelspace():
        assert entity.dxftype() in {"LWPOLYLINE", "CIRCLE", "LINE"}
        assert entity.dxf.get("extrusion", (0, 0, 1)) == (0, 0, 1)
    assert {e.dxf.elevation for e in drawing.modelspace().query("LWPOLYLINE")} == {0}
    assert len(drawing.modelspace()) == 1 + 4 + 2 + len(on(drawing, "MARK"))


def test_same_flat_same_bytes():
    part = bracket()
    flat = unfold(part, RULE)
    first = flat_drawing(part, flat, Flavour())
    time.sleep(1.01)
    assert flat_drawing(part, flat, Flavour()) == first
    assert first.isascii()


@pytest.mark.parametrize("state", [True, False])
def test_the_librarys_setting_is_put_back(state):
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = state
    try:
        flat_drawing(bracket(), unfold(bracket(), RULE), Flavour())
        assert ezdxf.options.write_fixed_meta_data_for_testing is state
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


@pytest.mark.parametrize("part", [bracket(), mirrored_part(bracket("RM-101-R"))], ids=["left", "right"])
def test_lint_finds_nothing(part, tmp_path):
    path = tmp_path / "flat.dxf"
    path.write_text(flat_drawing(part, unfold(part, RULE), Flavour()), encoding="ascii")
    assert lint_flat(path, Flavour()) == ()


def test_mark_keeps_clear_of_everything():
    part = bracket()
    flat = unfold(part, RULE)
    mark = find_mark(part.number, flat)
    spans = [edge_between(*pair) for pair in mark_spans(mark)]
    assert len(spans) > 20
    around = [*edges_of(flat.outline), *(e for b in flat.bend_lines for e in edges_of(bend_zone(b)))]
    assert min(edge_gap(s, e) for s in spans for e in around) >= 1.5
    for placed in flat.holes:
        spine, half = spine_of(placed.hole)
        assert min(edge_gap(s, spine) for s in spans) >= half + 1.5
    assert all(is_inside(s.start, flat.outline) for s in spans)


def mark_spans(mark):
    return [(Vertex(*a), Vertex(*b)) for stroke in mark.strokes for a, b in pairwise(stroke)]


def test_mark_is_drawn_on_its_own_layer(drawing):
    strokes = text_strokes("RM-101-L", 8)
    drawn = on(drawing, "MARK")
    assert len(drawn) == len(strokes)
    assert not any(e.closed for e in drawn)


def plain(width, height, holes=()):
    root = Flange("root", rectangle(0, 0, width, height), tuple(holes))
    return SheetPart("RM-101-L", "plate", 3.0, "steel", root)


@pytest.mark.parametrize(
    ("size", "height", "upwards"),
    [
        ((100, 40), 8, False),
        ((40, 100), 8, True),
        ((60, 10), 5, False),
        ((9, 40), 4, True),
        ((35, 8), 3, False),
    ],
)
def test_mark_shrinks_and_turns_to_fit(size, height, upwards):
    mark = find_mark("RM-101-L", unfold(plain(*size), RULE))
    assert (mark.height, mark.upwards) == (height, upwards)


def test_mark_that_reads_upwards_is_turned_and_never_mirrored():
    """The L's upright runs from its top left corner: turned, from the left end of its baseline."""
    mark = PartMark("L", (0, 0), 6.0, upwards=True)
    assert mark.strokes == (((-3, -2), (3, -2), (3, 2)),)


def test_no_room_for_a_mark():
    """No 31 x 6 box fits: nothing is marked, and the rest of the drawing is there."""
    part = plain(20, 20, [RoundHole((10, 10), 8)])
    flat = unfold(part, RULE)
    assert find_mark(part.number, flat) is None
    drawing = ezdxf.read(StringIO(flat_drawing(part, flat, Flavour())))
    assert (len(on(drawing, "MARK")), len(on(drawing, "CUT_INNER"))) == (0, 1)


def test_mark_stays_out_of_a_large_opening():
    part = plain(200, 120, [RoundHole((100, 60), 100)])
    flat = unfold(part, RULE)
    assert math.dist(find_mark(part.number, flat).middle, (100, 60)) > 50


def test_font_has_what_part_numbers_need():
    every = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-./ "
    drawn = [text_strokes(letter, 6) for letter in every]
    assert len(set(drawn)) == len(every)
    assert all(math.dist(a, b) > 0 for strokes in drawn for s in strokes for a, b in pairwise(s))
    assert text_width("AB", 6) == 10
    tops = [
        max(y for s in strokes for _, y in s) for strokes, c in zip(drawn, every, strict=True) if c.isalnum()
    ]
    assert set(tops) == {6.0}


def test_font_names_what_it_lacks():
    with pytest.raises(ValueError, match="no 'a'"):
        text_strokes("Ra", 5)
