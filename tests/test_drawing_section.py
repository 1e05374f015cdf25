"""Sections through bends: against closed forms, against the folded part, and on paper."""

from __future__ import annotations

import math
from itertools import combinations

import pytest
from drawing_samples import order_of, overlapping, texts, with_role
from hypothesis import given
from hypothesis import strategies as st
from outline_polygons import section_polygon
from random_surveys import feasible_studies
from shapely import LineString, Polygon, box

from mountgen.geometry import Placement, dot, rectangle
from mountgen.package.drawing import draw_part
from mountgen.package.drawing_arrangement import pack
from mountgen.package.drawing_hatch import SPACING, chords, hatching
from mountgen.package.drawing_section import Section, legs, pieces, profile, sections
from mountgen.sheet.tree import Bend, Flange, RoundHole, SheetPart


def hat() -> SheetPart:
    """A 60 base with two 90 deg bends and 35 legs."""
    leg, other = Flange("left", rectangle(0, 0, 80, 35)), Flange("right", rectangle(0, 0, 80, 35))
    bends = (
        Bend((0.0, 0.0), (80.0, 0.0), 90.0, 3.0, leg),
        Bend((80.0, 60.0), (0.0, 60.0), 90.0, 3.0, other),
    )
    return SheetPart("H", "hat", 3.0, "steel-s235", Flange("base", rectangle(0, 0, 80, 60), (), bends))


def shoe(thickness: float = 3.0) -> SheetPart:
    """A foot, a leg bent off it by 90 deg, a lip bent off that by 105 deg."""
    lip = Flange("lip", rectangle(0, 0, 50, 8))
    leg = Flange("leg", rectangle(0, 0, 50, 66), (), (Bend((50.0, 66.0), (0.0, 66.0), 105.0, 6.0, lip),))
    foot = Flange("foot", rectangle(0, 0, 50, 20), (), (Bend((0.0, 0.0), (50.0, 0.0), 90.0, 3.0, leg),))
    return SheetPart("S", "shoe", thickness, "steel-s235", foot)


def tray() -> SheetPart:
    """A base with an upright side on each of its four edges."""
    corners = [(0.0, 0.0), (90.0, 0.0), (90.0, 60.0), (0.0, 60.0)]
    bends = []
    for k, (name, width) in enumerate((("south", 90), ("east", 60), ("north", 90), ("west", 60))):
        side = Flange(name, rectangle(0, 0, width, 20 + 5 * k))
        bends.append(Bend(corners[k], corners[(k + 1) % 4], 90.0, 2.0, side))
    return SheetPart(
        "T", "tray", 2.0, "steel-s235", Flange("base", rectangle(0, 0, 90, 60), (), tuple(bends))
    )


def outside(section: Section) -> dict[str, float]:
    return {name: section.outside(k) for k, name in enumerate(section.flanges)}


def test_outside_lengths_of_a_hat():
    """Setback 6 at each bend: 72 over all, legs 41."""
    (found,) = sections(hat())
    assert outside(found) == pytest.approx({"left": 41.0, "base": 72.0, "right": 41.0})


def test_outside_lengths_count_the_setback_of_a_further_bend():
    """Setback (6 + 3) tan 52.5 deg of the lip beside the 6 of the first bend."""
    setback = 9 * math.tan(math.radians(52.5))
    (found,) = sections(shoe())
    assert outside(found) == pytest.approx({"foot": 26.0, "leg": 66 + 6 + setback, "lip": 8 + setback})


def test_a_tray_needs_two_sections_that_cross():
    found = sections(tray())
    assert [one.letter for one in found] == ["A", "B"]
    assert sorted(tuple(sorted(one.flanges)) for one in found) == [
        ("base", "east", "west"),
        ("base", "north", "south"),
    ]
    assert all(one.outside(one.base) in (pytest.approx(98.0), pytest.approx(68.0)) for one in found)


def bent_parts():
    yield from (hat(), shoe(), tray())
    for study in feasible_studies(2):
        yield from (part for part in study.detail.sheets if part.root.bends)


PARTS = list(bent_parts())


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.name)
def test_legs_lie_on_the_folded_parts_flanges(part):
    """The tree's own placements are another way to fold: each face of a leg, put into the part by the cut's
    frame, lies on the flange's."""
    placed = {flange.name: (flange, place) for flange, place in part.placed_flanges()}
    for section in sections(part):
        for name, leg in zip(section.flanges, legs(section), strict=True):
            flange, place = placed[name]
            for along, up in ((0.0, 0.0), (leg.length, leg.thickness)):
                x, y, z = place.local_point(section.cut.point((*leg.point(along, up), 0.0)))
                assert z == pytest.approx(up, abs=1e-6)
                assert section_polygon(flange.outline).distance(_spot(x, y)) < 1e-6


def _spot(x: float, y: float) -> Polygon:
    return box(x - 1e-9, y - 1e-9, x + 1e-9, y + 1e-9)


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.name)
def test_area_of_a_section_is_that_of_its_flats_and_rings(part):
    """Length x thickness, and angle (r + t / 2) t for a fold (Pappus)."""
    t = part.thickness
    for section in sections(part):
        rings = sum(math.radians(abs(f.turn_deg)) * (f.inside_radius + t / 2) * t for f in section.folds)
        assert profile(section).area == pytest.approx(t * sum(section.lengths) + rings)
        union = sum(Polygon(piece).convex_hull.area for piece in pieces(section, 3.0))
        assert union == pytest.approx(profile(section).area, rel=0.02)


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.name)
def test_every_bend_is_in_one_section_seen_from_a_drawn_side(part):
    found = sections(part)
    tags = [fold.tag for section in found for fold in section.folds]
    assert sorted(tags) == [f"B{n}" for n in range(1, len(tags) + 1)]
    assert len(tags) == sum(len(flange.bends) for flange, _ in part.placed_flanges())
    assert all(dot(section.view_direction, (1.0, 1.0, -1.0)) > 0.0 for section in found)


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.name)
def test_no_cut_runs_through_a_hole(part):
    for section in sections(part):
        for flange, place in part.placed_flanges():
            if flange.name in section.flanges:
                assert not any(_is_cut(section.cut, place, hole) for hole in flange.holes)


def _is_cut(cut: Placement, place: Placement, hole) -> bool:
    depths = [cut.local_point(place.point((v.x, v.y, 0.0)))[2] for v in hole.contour.vertices]
    return min(depths) < 0.0 < max(depths)


def test_a_cut_stays_where_the_flange_is_whole():
    """The hole in the middle and the chamfer on one side leave one place between."""
    leg = Flange("leg", rectangle(0, 0, 80, 30), (RoundHole((40.0, 15.0), 12.0),))
    root = Flange("root", rectangle(0, 0, 80, 40), (), (Bend((0.0, 0.0), (80.0, 0.0), 90.0, 3.0, leg),))
    (found,) = sections(SheetPart("C", "c", 3.0, "steel-s235", root))
    assert abs(found.cut.origin[0] - 40.0) == pytest.approx(7.5, abs=1.0)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.name)
def test_every_size_of_a_section_is_on_the_drawing_once_and_covers_nothing(part, units):
    sheets = draw_part(order_of(part, units))
    found = [text for svg in sheets for text in texts(svg)]
    shown = [float(t.text.split()[0]) for t in found if t.role == "outside"]
    wanted = {name: size for one in reversed(sections(part)) for name, size in outside(one).items()}
    crossing = [size for one in sections(part) for size in outside(one).values()]
    assert len(shown) in (len(wanted), len(crossing))
    assert all(any(abs(a - b) <= 0.005 for b in shown) for a in crossing)
    for fold in (fold for one in sections(part) for fold in one.folds):
        assert [t.role for t in found].count(f"inside {fold.tag}") == 1
        (between,) = (t.text for t in found if t.role == f"between {fold.tag}")
        assert float(between.rstrip("°")) == pytest.approx(180.0 - abs(fold.turn_deg), abs=0.005)
    for svg in sheets:
        assert overlapping(list(texts(svg))) == []
        assert_clear_of_hatching(svg)


SIZES_OF_SECTIONS = ("outside", "inside", "between", "thickness")


def assert_clear_of_hatching(svg: str) -> None:
    lines = [
        LineString(((float(e["x1"]), float(e["y1"])), (float(e["x2"]), float(e["y2"]))))
        for e in (mark.attrib for mark in with_role(svg, "hatch"))
    ]
    for text in (t for t in texts(svg) if t.role.split(" ")[0] in SIZES_OF_SECTIONS):
        shape = box(*text.patch.low, *text.patch.high).buffer(-0.1)
        assert not any(shape.intersects(line) for line in lines), text.text


@given(st.integers(0, len(PARTS) - 1))
def test_hatching_fills_the_section_evenly_and_stays_inside(k):
    for section in sections(PARTS[k]):
        run = chords(profile(section))
        lines = [LineString(one) for one in hatching(run)]
        inside = Polygon(run)
        assert all(line.difference(inside.buffer(1e-6)).length == 0.0 for line in lines)
        assert sum(line.length for line in lines) * SPACING == pytest.approx(inside.area, rel=0.15)


SIZES = st.lists(st.tuples(st.floats(5, 120), st.floats(5, 90)), max_size=6)


@given(SIZES, SIZES)
def test_packed_blocks_neither_overlap_nor_leave_the_room(views, tables):
    corners = pack(views, tables, (300.0, 200.0))
    if corners is None:
        assert sum(w * h for w, h in (*views, *tables)) > 3000.0
        return
    blocks = [box(x, y, x + w, y + h) for (x, y), (w, h) in zip(corners, (*views, *tables), strict=True)]
    assert all(box(0, 0, 300, 200).buffer(1e-9).contains(block) for block in blocks)
    assert all(a.intersection(b).area < 1e-9 for a, b in combinations(blocks, 2))
