"""Nests: gaps and margins measured on the exact outlines, known optima, refusals, the same every time."""

import math
from itertools import combinations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from random_surveys import feasible_studies

from mountgen.errors import SheetError, StockError
from mountgen.fabrication.nest_outline import ARC_ERROR, convex_pieces, holding_polygon, shape_of
from mountgen.fabrication.nest_records import NestPiece
from mountgen.fabrication.nesting import nest, require_gaps
from mountgen.geometry import Contour, Vertex, arc_of, circle, polygon, rectangle, rounded
from mountgen.shop.flats import flat_of
from mountgen.shop.records import Cutting, StockSheet

NEAR = 1e-6
"""mm; gaps are kept to this."""
TIGHT = Cutting(0.0, 0.0)
SHOP = Cutting(6.0, 10.0)


def sheets(*sizes):
    return [StockSheet("steel", 3.0, *size) for size in sizes]


def piece(number, outline, quantity=1, *, grain=False):
    return NestPiece(number, outline, outline.area, quantity, grain)


def boxes(*sizes, grain=False):
    return [piece(f"P{i}", rectangle(0, 0, a, b), grain=grain) for i, (a, b) in enumerate(sizes, 1)]


def fine(contour):
    """The contour with its arcs as points every 0.3 deg on them: within 1e-3 mm for a radius of 250."""
    points = []
    for a, b in contour.segments():
        points.append((a.x, a.y))
        if a.bulge:
            arc = arc_of(a, b)
            (x, y), r = arc.centre, arc.radius
            count = 2 + int((arc.end_deg - arc.start_deg) / 0.3)
            angles = [arc.start_deg + (arc.end_deg - arc.start_deg) * k / count for k in range(1, count)]
            for angle in angles if a.bulge > 0 else reversed(angles):
                points.append((x + r * math.cos(math.radians(angle)), y + r * math.sin(math.radians(angle))))
    return shapely.Polygon(points)


def lies(placed, outline):
    """The exact outline on the sheet, moved by shapely's own affine transformation: turned, not mirrored."""
    turned = shapely.affinity.rotate(fine(outline), placed.turn_deg, origin=(0, 0))
    return shapely.affinity.translate(turned, placed.dx, placed.dy)


def require_sound(found, pieces, cutting):
    """Every piece once; gaps and margins; areas that add up; nothing in the remaining strip."""
    outlines = {p.number: p.outline for p in pieces}
    everything = sorted(placed.number for sheet in found.sheets for placed in sheet.placed)
    assert everything == sorted(p.number for p in pieces for _ in range(p.quantity))
    for sheet in found.sheets:
        drawn = [lies(placed, outlines[placed.number]) for placed in sheet.placed]
        margin = cutting.edge_margin - NEAR
        for one in drawn:
            low_x, low_y, high_x, high_y = one.bounds
            assert min(low_x, low_y) >= margin
            assert high_x <= sheet.stock.length - margin
            assert high_y <= sheet.stock.width - margin
        for one, other in combinations(drawn, 2):
            assert one.distance(other) >= cutting.part_gap - NEAR
            assert one.intersection(other).area <= NEAR * one.length
        rest = sheet.remaining
        strip = shapely.box(rest.x, rest.y, rest.x + rest.length, rest.y + rest.width)
        assert shapely.intersection(shapely.union_all(drawn), strip).area <= NEAR * strip.length
        assert sheet.share_used * sheet.area + sheet.scrap + rest.area == pytest.approx(sheet.area)
    assert found.least_area <= found.area


def flats_of(study):
    groups = {}
    for part in study.detail.sheets:
        flat = flat_of(part, study.scene.shop)
        one = NestPiece(part.number, flat.outline, flat.area, study.detail.quantity(part.number))
        groups.setdefault(part.thickness, []).append(one)
    return list(groups.values())


@pytest.mark.parametrize("index", range(3))
def test_flats_of_random_mounts(index):
    """On a whole sheet, and on small sheets so that several are needed."""
    for pieces in flats_of(feasible_studies(3)[index]):
        for stock in (sheets((2000, 1000)), sheets((260, 230), (300, 240))):
            found = nest(pieces, stock, SHOP)
            require_sound(found, pieces, SHOP)
            assert nest(pieces, stock, SHOP) == found


@st.composite
def stars(draw):
    """A polygon around its middle, as often concave as not, some corners rounded."""
    radii = draw(st.lists(st.floats(15, 90), min_size=3, max_size=8))
    step = 2 * math.pi / len(radii)
    points = [(r * math.cos(step * k), r * math.sin(step * k)) for k, r in enumerate(radii)]
    if draw(st.booleans()):
        return polygon(points)
    return rounded(points, [draw(st.sampled_from([0.0, 1.0, 2.0])) for _ in points])


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.tuples(stars(), st.integers(1, 3), st.booleans()), min_size=1, max_size=5),
    st.sampled_from([Cutting(0, 0), Cutting(5, 0), Cutting(0, 8), Cutting(6, 10)]),
)
def test_random_outlines(drawn, cutting):
    pieces = [piece(f"P{i}", outline, n, grain=grain) for i, (outline, n, grain) in enumerate(drawn)]
    found = nest(pieces, sheets((400, 300), (600, 400)), cutting)
    require_sound(found, pieces, cutting)
    grained = {p.number for p in pieces if p.grain}
    turns = {placed.turn_deg for sheet in found.sheets for placed in sheet.placed if placed.number in grained}
    assert turns <= {0.0, 180.0}


def test_tiles_fill_a_sheet_to_the_last():
    """Sixteen tiles of 250 x 125 in 1000 x 500, no gap: nothing is left over."""
    tiles = [piece("T", rectangle(0, 0, 250, 125), 16)]
    (sheet,) = nest(tiles, sheets((1000, 500)), TIGHT).sheets
    assert sheet.share_used == pytest.approx(1.0)
    assert sheet.remaining.area == pytest.approx(0.0, abs=1000 * 4 * NEAR)


def test_a_sheet_cut_into_rectangles_is_put_together_again():
    """1000 x 600: columns of 400, 350, 250, each cut across in its own way: one sheet."""
    cut = boxes((400, 350), (400, 250), (350, 600), (250, 200), (250, 400))
    found = nest(cut, sheets((1000, 600)), TIGHT)
    assert len(found.sheets) == 1
    assert found.sheets[0].share_used == pytest.approx(1.0)
    assert found.proven_minimal
    require_sound(found, cut, TIGHT)


@pytest.mark.parametrize(("spare", "count"), [(0.0, 1), (-0.001, 2)])
def test_gap_and_margin_are_used_to_the_full(spare, count):
    """Two plates of 100 x 80 with a gap of 6 and margins of 10 need 226 x 100, and not a micrometre less."""
    plates = [piece("P", rectangle(0, 0, 100, 80), 2)]
    found = nest(plates, sheets((226 + spare, 100)), SHOP)
    assert len(found.sheets) == count


def test_a_part_lies_in_the_mouth_of_another():
    """A U of 100 x 100 with a mouth of 60 x 80, a block of 50 x 70, gap 5: all in 100 x 100."""
    mouth = polygon(((0, 0), (100, 0), (100, 100), (80, 100), (80, 20), (20, 20), (20, 100), (0, 100)))
    pieces = [piece("U", mouth), *boxes((50, 70))]
    found = nest(pieces, sheets((100, 100)), Cutting(5.0, 0.0))
    assert len(found.sheets) == 1
    require_sound(found, pieces, Cutting(5.0, 0.0))


def test_grain_keeps_a_long_part_along_the_sheet():
    """80 x 300 fits across 400 x 100 only when it is turned by a quarter."""
    stock = sheets((400, 100))
    assert nest(boxes((80, 300)), stock, SHOP).sheets[0].placed[0].turn_deg in (90.0, 270.0)
    with pytest.raises(StockError, match=r"P1, its grain along the length, is 80\.0 x 300\.0 mm"):
        nest(boxes((80, 300), grain=True), stock, SHOP)


def test_left_and_right_parts_are_never_mirrored():
    """A skew triangle and its mirror image: each lies turned, and is never the other."""
    left = polygon(((0, 0), (90, 0), (0, 40)))
    pieces = [piece("L", left), piece("R", left.mirrored())]
    (sheet,) = nest(pieces, sheets((300, 200)), SHOP).sheets
    for placed in sheet.placed:
        own = left if placed.number == "L" else left.mirrored()
        contour = placed.contour(own)
        assert contour.area == pytest.approx(own.area)
        assert fine(contour).symmetric_difference(lies(placed, own)).area < NEAR


def test_the_smallest_sheets_that_do_are_chosen():
    """Three plates of 180 x 180 with margins and gaps: one 600 x 200 sheet, not two of 400 x 400."""
    found = nest(boxes(*[(180, 180)] * 3), sheets((400, 400), (600, 200), (2000, 1000)), SHOP)
    assert [(s.stock.length, s.stock.width) for s in found.sheets] == [(600, 200)]


def test_limited_sheets_are_not_used_twice():
    stock = [StockSheet("steel", 3.0, 220, 220, 1), StockSheet("steel", 3.0, 500, 500, 1)]
    found = nest(boxes(*[(190, 190)] * 5), stock, SHOP)
    assert sorted(s.stock.length for s in found.sheets) == [220, 500]
    assert sorted(len(s.placed) for s in found.sheets) == [1, 4]
    with pytest.raises(StockError, match=r"too few for 6 parts"):
        nest(boxes(*[(190, 190)] * 6), stock, SHOP)


@pytest.mark.parametrize(
    ("pieces", "stock", "said"),
    [
        ([], sheets((100, 100)), "no part to nest"),
        (boxes((10, 10)), [], "no sheet to nest on"),
        (boxes((90, 81)), sheets((100, 100)), r"P1 is 90\.0 x 81\.0 mm.*take 80 x 80 mm"),
        ([piece("P", rectangle(0, 0, 9, 9), 0)], sheets((100, 100)), "P: quantity 0"),
        (boxes((200, 9), (9, 300)), sheets((100, 100)), r"P1 is .*; P2 is"),
    ],
)
def test_refused(pieces, stock, said):
    with pytest.raises(StockError, match=said):
        nest(pieces, stock, SHOP)


def test_the_nests_own_check_sees_what_is_too_near():
    pieces = {p.number: p for p in boxes((50, 50), (60, 60))}
    (sheet,) = nest(list(pieces.values()), sheets((300, 200)), SHOP).sheets
    with pytest.raises(SheetError, match="P2 and P1 are nearer than 7 mm"):
        require_gaps(sheet, pieces, Cutting(7.0, 10.0))
    with pytest.raises(SheetError, match="P2 is nearer than 11 mm to the sheet's edge"):
        require_gaps(sheet, pieces, Cutting(6.0, 11.0))


OUTLINES = [
    rounded(((0, 0), (80, 0), (80, 60), (40, 20), (0, 60)), (3, 10, 5, 8, 0)),
    circle((0, 0), 75),
    polygon(((0, 0), (50, -0.005), (100, 0), (100, 50), (0, 50))),
    Contour((Vertex(0, 0, 0.2), Vertex(60, 0, -0.6), Vertex(60, 50, 1.0), Vertex(0, 50))),
]


@pytest.mark.parametrize("outline", OUTLINES)
def test_polygons_hold_their_outlines_and_little_more(outline):
    exact, held = fine(outline), holding_polygon(outline)
    assert exact.difference(held).area < 1e-5 * exact.length
    assert exact.hausdorff_distance(held) <= ARC_ERROR + 1e-3
    grown = shapely.union_all([shapely.Polygon(p) for p in shape_of("P", outline, 0.0, 6.0).pieces])
    low = held.bounds[:2]
    around = shapely.affinity.translate(exact, -low[0], -low[1]).buffer(3.0)
    assert around.difference(grown).area < 1e-5 * exact.length


@settings(max_examples=40, deadline=None)
@given(stars())
def test_convex_pieces_make_up_the_polygon(outline):
    whole = holding_polygon(outline)
    parts = convex_pieces(whole)
    assert shapely.union_all(parts).symmetric_difference(whole).area < 1e-5 * whole.length
    for part in parts:
        assert part.convex_hull.area == pytest.approx(part.area, rel=1e-6, abs=1e-4)
