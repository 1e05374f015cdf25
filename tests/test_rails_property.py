"""What holds for the section of any rail that can be drawn, of every kind and either way round."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from outline_polygons import section_polygon
from shapely import LineString, Point, box, union_all

from mountgen.catalogue.rail_section import rail_section
from mountgen.catalogue.rail_view import RailSection
from mountgen.catalogue.rails import AngleRail, FlatRail, RectTubeRail, RoundTubeRail, SlotRail, ZRail
from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import ChannelRail

TEXTS = {"name": "any", "source": "test", "title": "any", "standard": "none", "material": "steel-s235"}
EXTRUSIONS = [Catalogue().extrusion(name) for name in Catalogue().names("extrusions")]
thicknesses = st.floats(1.0, 12.0)
radii = st.just(0.0) | st.floats(0.01, 12.0)
lengths = st.floats(0.5, 150.0)
"""What a leg measures beyond its radii."""


@st.composite
def channels(draw):
    t, r, lip = draw(thicknesses), draw(radii), draw(st.sampled_from([0.0, 5.0, 20.0]))
    lip = lip and lip + t + r
    return ChannelRail(
        **TEXTS,
        forming="formed",
        depth=2 * max(lip, t + r) + draw(lengths),
        flange_width=2 * (t + r) + draw(lengths),
        web_thickness=t,
        flange_thickness=t,
        inside_radius=r,
        lip=lip,
    )


@st.composite
def rolled_channels(draw):
    web, root, toe = draw(thicknesses), draw(radii), draw(st.just(0.0) | st.floats(0.01, 4.0))
    width, slope = web + root + toe + draw(lengths), draw(st.sampled_from([0.0, 0.08, 1 / 6]))
    flange = toe + slope * width / 2 + draw(st.floats(0.5, 12.0))
    return ChannelRail(
        **TEXTS,
        forming="hot_rolled",
        depth=2 * (flange + slope * width / 2 + root) + draw(lengths),
        flange_width=width,
        web_thickness=web,
        flange_thickness=flange,
        inside_radius=root,
        toe_radius=toe,
        flange_slope=slope,
    )


@st.composite
def z_rails(draw):
    t, r = draw(thicknesses), draw(radii)
    return ZRail(
        **TEXTS,
        depth=2 * (t + r) + draw(lengths),
        top_flange=t + r + draw(lengths),
        bottom_flange=t + r + draw(lengths),
        thickness=t,
        inside_radius=r,
    )


@st.composite
def angles(draw):
    t, r, forming = draw(thicknesses), draw(radii), draw(st.sampled_from(["formed", "hot_rolled"]))
    toe = draw(st.just(0.0) | st.floats(0.01, 0.9)) * t if forming == "hot_rolled" else 0.0
    return AngleRail(
        **TEXTS,
        forming=forming,
        depth=t + r + toe + draw(lengths),
        flange_width=t + r + toe + draw(lengths),
        flange_at=draw(st.sampled_from(["top", "bottom"])),
        thickness=t,
        inside_radius=r,
        toe_radius=toe,
    )


@st.composite
def flats(draw):
    t = draw(thicknesses)
    return FlatRail(**TEXTS, depth=t + draw(lengths), thickness=t)


@st.composite
def rect_tubes(draw):
    t, outer = draw(thicknesses), draw(radii)
    least = 2 * max(t, outer)
    sizes = {"depth": least + draw(lengths), "width": least + draw(lengths)}
    return RectTubeRail(**TEXTS, **sizes, thickness=t, outside_radius=outer)


@st.composite
def round_tubes(draw):
    t = draw(thicknesses)
    return RoundTubeRail(**TEXTS, diameter=2 * t + draw(lengths), thickness=t)


@st.composite
def slot_rails(draw):
    texts = {key: text for key, text in TEXTS.items() if key != "material"}
    bar, cells = draw(st.sampled_from(EXTRUSIONS)), draw(st.integers(1, 4))
    return SlotRail(**texts, extrusion=bar, cells=cells, torsion_mm4=1e4)


rails = st.one_of(
    channels(),
    rolled_channels(),
    z_rails(),
    angles(),
    flats(),
    rect_tubes(),
    round_tubes(),
    slot_rails(),
)
either = st.sampled_from(["in", "out"])


def polygon(section: RailSection):
    found = section_polygon(section.outline, section.holes)
    assert found.is_valid
    return found


@settings(max_examples=150)
@given(rails, either)
def test_area_by_the_polygon(rail, opens):
    section = rail_section(rail, opens)
    assert section.outline.area > 0
    assert section.area == pytest.approx(polygon(section).area, rel=1e-3)
    centre = polygon(section).centroid
    assert (section.properties.centroid_x, section.properties.centroid_y) == pytest.approx(
        (centre.x, centre.y), rel=1e-3, abs=0.02
    )


@settings(max_examples=150)
@given(rails, either)
def test_the_section_hangs_from_its_top_behind_its_face(rail, opens):
    """Top at y = 0, depth below it; the web's outer face at x = 0; the reaches are the outline's."""
    section = rail_section(rail, opens)
    x0, y0, x1, y1 = section.outline.bounds
    assert (y0, y1) == pytest.approx((-section.depth, 0.0), abs=1e-9)
    assert (section.reach_out, section.reach_in) == pytest.approx((max(0.0, -x0), x1))
    if opens == "in" and rail.kind != "z":
        assert section.reach_out == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=150)
@given(rails, either)
def test_covers_hold_the_section(rail, opens):
    section = rail_section(rail, opens)
    solid = union_all([box(*cover.low, *cover.high) for cover in section.covers])
    assert polygon(section).difference(solid.buffer(1e-6)).area == pytest.approx(0.0, abs=1e-6)
    assert section.covers[0].name == "web"
    assert solid.bounds == pytest.approx(section.outline.bounds, abs=1e-9)
    assert len({cover.name for cover in section.covers}) == len(section.covers)


@settings(max_examples=150)
@given(rails, either)
def test_flats_lie_on_the_web(rail, opens):
    """Metal right behind the outer flat and in front of the back flat, air on their other sides, but for
    the slots."""
    section = rail_section(rail, opens)
    t, shape = section.web_thickness, polygon(section)
    low, high = section.web_flat
    assert -section.depth <= low <= high <= 0.0
    assert_face(shape, section.web_flat, 0.0, 1.0, section.slots)
    if section.back_flat is not None:
        assert_face(shape, section.back_flat, t, -1.0, ())
        for y in (*section.through_flat, sum(section.through_flat) / 2):
            through = LineString([(1e-3, y), (t - 1e-3, y)])
            assert shape.buffer(1e-4).contains(through)


def assert_face(shape, span, x, inwards, slots):
    low, high = span
    for part in (0.01, 0.3, 0.5, 0.7, 0.99):
        y = low + part * (high - low)
        if low == high or any(abs(y - slot.y) <= slot.width / 2 + 1e-6 for slot in slots):
            continue
        assert shape.contains(Point(x + inwards * 1e-4, y))
        assert not shape.intersects(Point(x - inwards * 1e-4, y))


@settings(max_examples=100)
@given(rails)
def test_opening_out_changes_no_property(rail):
    inward, outward = rail_section(rail, "in"), rail_section(rail, "out")
    for key in ("depth", "web_thickness", "torsion_mm4"):
        assert getattr(inward, key) == getattr(outward, key)
    for key in ("area", "i_strong", "i_weak"):
        assert getattr(inward, key) == pytest.approx(getattr(outward, key), rel=1e-6)
    wide = max(inward.reach_in, outward.reach_in)
    assert outward.reach_out <= wide
    assert inward.is_closed == outward.is_closed


@settings(max_examples=100)
@given(rails, either)
def test_second_moments_bound_one_another(rail, opens):
    section = rail_section(rail, opens)
    p = section.properties
    assert 0 < section.i_weak <= min(p.i_xx, p.i_yy) * (1 + 1e-9)
    assert section.i_strong >= max(p.i_xx, p.i_yy) * (1 - 1e-9)
    assert section.i_strong + section.i_weak == pytest.approx(p.i_xx + p.i_yy)


@settings(max_examples=60)
@given(st.one_of(channels(), z_rails(), angles(), flats(), rect_tubes(), round_tubes()), st.floats(0.2, 5.0))
def test_scaling(rail, factor):
    """Areas by the square, second moments and torsion constant by the fourth power."""
    sizes = {key: value * factor for key, value in rail if isinstance(value, float)}
    small, large = rail_section(rail), rail_section(rail.model_copy(update=sizes))
    assert large.area == pytest.approx(small.area * factor**2)
    for key in ("i_strong", "i_weak", "torsion_mm4"):
        assert getattr(large, key) == pytest.approx(getattr(small, key) * factor**4, rel=1e-5)
    assert large.web_flat == pytest.approx([y * factor for y in small.web_flat])
