"""Every rail of the catalogue, drawn from its own numbers, turned and moved, is recognised as what it is."""

import pytest
from section_drawings import contours, drawing

from mountgen.catalogue.rail_section import rail_section
from mountgen.catalogue.rails import AngleRail, FlatRail, RectTubeRail, RoundTubeRail, SlotRail, ZRail
from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import ChannelRail
from mountgen.catalogue.sections import extrusion_contours
from mountgen.section.reader import read_section

CATALOGUE = Catalogue()
RAILS = CATALOGUE.names("rails")
EXTRUSIONS = CATALOGUE.names("extrusions")
TURNS = (0.0, 90.0, 180.0, -90.0, 33.0)
KINDS = {
    AngleRail: "angle",
    FlatRail: "flat",
    RectTubeRail: "tube",
    RoundTubeRail: "round tube",
    SlotRail: "T-slot",
    ZRail: "Z",
}


def read_back(tmp_path, outline, holes, turn):
    drawn = [contour.turned(turn).moved(123.0, -45.0) for contour in (outline, *holes)]
    return read_section(drawing(tmp_path / "rail.dxf", lambda m: contours(m, drawn)))


def turn_of(name):
    """A turn that is another one from rail to rail."""
    return TURNS[RAILS.index(name) % len(TURNS)]


@pytest.mark.parametrize("name", RAILS)
def test_every_rail_is_read_back(tmp_path, name):
    rail = CATALOGUE.rail(name)
    known = rail_section(rail)
    section = read_back(tmp_path, known.outline, known.holes, turn_of(name))
    kind = KINDS.get(type(rail)) or ("lipped channel" if rail.lip else "channel")
    assert section.kind == kind
    x0, y0, x1, y1 = known.outline.bounds
    assert section.depth == pytest.approx(y1 - y0)
    assert section.width == pytest.approx(x1 - x0)
    assert section.properties.area == pytest.approx(known.properties.area, rel=1e-7)
    assert section.properties.i_xx == pytest.approx(known.properties.i_xx, rel=1e-6)


@pytest.mark.parametrize("name", [n for n in RAILS if isinstance(CATALOGUE.rail(n), ChannelRail)])
def test_every_channel_has_its_web_flanges_and_lips(tmp_path, name):
    rail = CATALOGUE.rail(name)
    known = rail_section(rail)
    section = read_back(tmp_path, known.outline, (), turn_of(name))
    assert section.frame.turned_deg % 360 == pytest.approx(-turn_of(name) % 360)
    assert section.web.thickness == pytest.approx(rail.web_thickness)
    assert section.web.plain == pytest.approx(known.web_flat, abs=1e-6)
    assert section.web.inner == pytest.approx(known.back_flat, abs=1e-6)
    assert [(f.side, f.reach) for f in section.flanges] == [("right", pytest.approx(rail.flange_width))] * 2
    assert {f.at for f in section.flanges} == {"top", "bottom"}
    assert section.lip == pytest.approx(rail.lip)
    if rail.flange_slope == 0.0:
        assert [f.thickness for f in section.flanges] == pytest.approx([rail.flange_thickness] * 2)
    assert section.outline.bounds == pytest.approx(known.outline.bounds, abs=1e-6)


@pytest.mark.parametrize(
    "name", [n for n in RAILS if isinstance(CATALOGUE.rail(n), ZRail | AngleRail | RectTubeRail)]
)
def test_every_other_rail_with_a_web_has_it_where_it_is(tmp_path, name):
    rail = CATALOGUE.rail(name)
    known = rail_section(rail)
    section = read_back(tmp_path, known.outline, known.holes, 33.0)
    assert section.thickness == pytest.approx(rail.thickness)
    assert section.web.thickness == pytest.approx(rail.thickness)
    if isinstance(rail, RectTubeRail):
        assert section.web.plain == pytest.approx(known.web_flat, abs=1e-6)
    else:
        assert section.outline.bounds[0] == pytest.approx(known.outline.bounds[0], abs=1e-6)
        sizes = {(f.at, f.side): f.reach for f in section.flanges}
        expected = (
            {("top", "right"): rail.top_flange, ("bottom", "left"): rail.bottom_flange}
            if isinstance(rail, ZRail)
            else {(rail.flange_at, "right"): rail.flange_width}
        )
        if not (isinstance(rail, AngleRail) and rail.depth == rail.flange_width):
            assert sizes == {key: pytest.approx(size) for key, size in expected.items()}


@pytest.mark.parametrize("name", EXTRUSIONS)
def test_every_extrusion_shows_its_four_slots(tmp_path, name):
    bar = CATALOGUE.extrusion(name)
    outline, holes = extrusion_contours(bar)
    section = read_back(tmp_path, outline, holes, 20.0)
    assert section.kind == "T-slot"
    assert (section.depth, section.width) == (pytest.approx(bar.size), pytest.approx(bar.size))
    assert {slot.side for slot in section.slots} == {"left", "right", "up", "down"}
    for slot in section.slots:
        assert slot.opening == pytest.approx(bar.slot_width)
        assert slot.lip == pytest.approx(bar.lip_thickness)
        assert slot.inner_width == pytest.approx(bar.slot_inner_width)
        assert slot.depth == pytest.approx(bar.slot_depth)
        assert abs(slot.middle) == pytest.approx(bar.size / 2)


@pytest.mark.parametrize("name", [n for n in RAILS if isinstance(CATALOGUE.rail(n), SlotRail)])
def test_every_slot_bar_stands_tall_with_its_slots_at_their_heights(tmp_path, name):
    known = rail_section(CATALOGUE.rail(name))
    section = read_back(tmp_path, known.outline, known.holes, 90.0)
    found = sorted(slot.middle for slot in section.slots if slot.side == "left")
    assert found == pytest.approx(sorted(slot.y for slot in known.slots))
