"""Rails against closed forms worked out in the test, in numbers a person can check with a ruler."""

import math

import pytest

from mountgen.catalogue.rail_section import rail_section
from mountgen.catalogue.rail_view import Cover
from mountgen.catalogue.rails import AngleRail, FlatRail, RectTubeRail, RoundTubeRail, ZRail
from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.sections import flat_web
from mountgen.mechanics.sections import torsion_constant_tube

CATALOGUE = Catalogue()
TEXTS = {"name": "any", "source": "test", "title": "any", "standard": "none", "material": "steel-s235"}
FORMED = "channel-formed-120x40x2.5"
LIPPED = "lipped-formed-120x40x12x2.5"
CHANNELS = [name for name in CATALOGUE.names("rails") if CATALOGUE.rail(name).kind == "channel"]


def z_rail(**sizes) -> ZRail:
    usual = {"depth": 100, "top_flange": 40, "bottom_flange": 30, "thickness": 3, "inside_radius": 3}
    return ZRail(**TEXTS, **(usual | sizes))


def angle(**sizes) -> AngleRail:
    usual = {"forming": "formed", "depth": 80, "flange_width": 50, "flange_at": "bottom"}
    return AngleRail(**TEXTS, **(usual | {"thickness": 4, "inside_radius": 4} | sizes))


def tube(**sizes) -> RectTubeRail:
    usual = {"depth": 60, "width": 40, "thickness": 3, "outside_radius": 6}
    return RectTubeRail(**TEXTS, **(usual | sizes))


def covers(section) -> dict[str, Cover]:
    return {cover.name: cover for cover in section.covers}


def test_formed_channel_opening_in():
    """120 x 40 x 2.5, inside radius 2.5: flat from 5 mm below the top to 5 mm above the bottom."""
    section = rail_section(CATALOGUE.rail(FORMED), "in")
    assert (section.depth, section.web_thickness) == (120.0, 2.5)
    assert section.web_flat == section.back_flat == section.through_flat == (-115.0, -5.0)
    assert (section.reach_out, section.reach_in) == pytest.approx((0.0, 40.0))
    assert section.top_flange == Cover("top flange", (0.0, -2.5), (40.0, 0.0))
    assert section.bottom_flange == Cover("bottom flange", (0.0, -120.0), (40.0, -117.5))
    assert not section.is_closed
    assert section.slots == ()


def test_formed_channel_opening_out():
    """The web stays at 0 to 2.5; the flanges stand out to the operator by 40 - 2.5."""
    section = rail_section(CATALOGUE.rail(FORMED), "out")
    assert (section.reach_out, section.reach_in) == pytest.approx((37.5, 2.5))
    assert covers(section)["web"] == Cover("web", (0.0, -120.0), (2.5, 0.0))
    assert section.top_flange == Cover("top flange", (-37.5, -2.5), (2.5, 0.0))
    assert section.web_flat == (-115.0, -5.0)


def test_lips_narrow_the_way_to_a_web_that_opens_out():
    """Lips 12 mm deep: a bracket passes between -108 and -12; the nuts behind a web that opens in do not."""
    inwards, outwards = (rail_section(CATALOGUE.rail(LIPPED), opens) for opens in ("in", "out"))
    assert outwards.web_flat == (-108.0, -12.0)
    assert outwards.back_flat == (-115.0, -5.0)
    assert inwards.web_flat == inwards.back_flat == (-115.0, -5.0)
    assert covers(inwards)["top lip"] == Cover("top lip", (37.5, -12.0), (40.0, 0.0))
    assert covers(outwards)["bottom lip"] == Cover("bottom lip", (-37.5, -120.0), (-35.0, -108.0))


def test_hot_rolled_channel_has_a_plain_and_a_hollow_side():
    """UPE 80: flanges 7, root radius 10: plain side flat from edge to edge, hollow side from 17 to 63."""
    inwards, outwards = (rail_section(CATALOGUE.rail("upe-80"), opens) for opens in ("in", "out"))
    assert inwards.web_flat == outwards.back_flat == (-80.0, 0.0)
    assert inwards.back_flat == outwards.web_flat == pytest.approx((-63.0, -17.0))
    assert inwards.through_flat == outwards.through_flat == pytest.approx((-63.0, -17.0))


@pytest.mark.parametrize("name", CHANNELS)
def test_through_flat_is_the_channels_flat_web(name):
    rail = CATALOGUE.channel(name)
    assert rail_section(rail).through_flat == pytest.approx(flat_web(rail))


def test_tapered_flange_is_covered_at_its_thickest():
    """UPN 80: 8 mm at half of 45, 8 % taper: 8 + 0.08 (22.5 - 6) = 9.32 mm at the web."""
    flange = rail_section(CATALOGUE.rail("upn-80")).top_flange
    assert flange.high[1] - flange.low[1] == pytest.approx(9.32)


def test_z_by_its_midline():
    """Bent strip: thickness times the midline, less (2 - pi/2) (r + t/2) at both bends; J = A t^2 / 3."""
    section, t, r = rail_section(z_rail()), 3.0, 3.0
    midline = (100 - t) + (40 - t / 2) + (30 - t / 2) - 2 * (2 - math.pi / 2) * (r + t / 2)
    assert section.area == pytest.approx(t * midline)
    assert section.torsion_mm4 == pytest.approx(midline * t**3 / 3)


def test_z_points_both_ways():
    """Top flange in and bottom flange out, and the other way round when it opens out."""
    inwards, outwards = rail_section(z_rail(), "in"), rail_section(z_rail(), "out")
    assert (inwards.reach_out, inwards.reach_in) == pytest.approx((27.0, 40.0))
    assert (outwards.reach_out, outwards.reach_in) == pytest.approx((37.0, 30.0))
    assert inwards.web_flat == inwards.back_flat == (-94.0, -6.0)
    assert inwards.properties.i_xy > 0 > outwards.properties.i_xy


def test_even_z_is_point_symmetric():
    section = rail_section(z_rail(bottom_flange=40))
    p = section.properties
    assert (p.centroid_x, p.centroid_y) == pytest.approx((1.5, -50.0))
    assert section.i_strong > p.i_xx > p.i_yy > section.i_weak


def test_formed_angle_with_its_flange_below_and_above():
    """Leg 80, t 4, r 4: heel 8 mm off one end, free edge at the other; above is below mirrored."""
    below, above = rail_section(angle()), rail_section(angle(flange_at="top"))
    assert below.web_flat == below.back_flat == (-72.0, 0.0)
    assert above.web_flat == above.back_flat == (-80.0, -8.0)
    assert below.top_flange is None
    assert below.bottom_flange == Cover("bottom flange", (0.0, -80.0), (50.0, -76.0))
    assert above.top_flange == Cover("top flange", (0.0, -4.0), (50.0, 0.0))
    assert below.area == pytest.approx(above.area)
    assert below.area == pytest.approx(4 * (80 - 2 + 50 - 2 - (2 - math.pi / 2) * 6))
    assert above.properties.i_xy == pytest.approx(-below.properties.i_xy)


def test_rolled_angle_is_flat_to_its_heel_outside():
    """t 5, root 6, toe 3: outside from edge to edge; inside past the fillet to the toe's radius."""
    rail = angle(forming="hot_rolled", depth=60, flange_width=40, thickness=5, inside_radius=6, toe_radius=3)
    section = rail_section(rail)
    assert section.web_flat == (-60.0, 0.0)
    assert section.back_flat == (-49.0, -3.0)
    sharp = 5 * 60 + 5 * 35
    assert section.area == pytest.approx(sharp + (1 - math.pi / 4) * (6**2 - 2 * 3**2))


def test_flat_bar():
    section = rail_section(FlatRail(**TEXTS, depth=80, thickness=8))
    assert section.web_flat == section.back_flat == (-80.0, 0.0)
    assert section.i_strong == pytest.approx(8 * 80**3 / 12)
    assert section.i_weak == pytest.approx(80 * 8**3 / 12)
    assert section.torsion_mm4 == pytest.approx(80 * 8**3 / 3)
    assert section.mass_kg_per_m(CATALOGUE.material("steel-s235")) == pytest.approx(5.024)


def test_nobody_reaches_into_a_tube():
    section = rail_section(tube())
    assert section.is_closed
    assert section.back_flat is None
    assert section.through_flat == section.web_flat == (-54.0, -6.0)
    assert (section.reach_out, section.reach_in) == pytest.approx((0.0, 40.0))
    assert section.covers == (Cover("web", (0.0, -60.0), (40.0, 0.0)),)


def test_tube_with_sharp_corners():
    """Square 40 x 3: A and I of two squares; J by Bredt a^3 t, a = 37, and 4 a t^3 / 3 of the wall."""
    section = rail_section(tube(depth=40, width=40, outside_radius=0))
    assert section.area == pytest.approx(40**2 - 34**2)
    assert section.i_strong == pytest.approx((40**4 - 34**4) / 12)
    assert section.torsion_mm4 == pytest.approx(37**3 * 3 + 4 * 37 * 27 / 3)


def test_inner_corner_is_sharp_under_a_small_outer_radius():
    section = rail_section(tube(outside_radius=2))
    assert section.area == pytest.approx(60 * 40 - 54 * 34 - (4 - math.pi) * 2**2)


@pytest.mark.parametrize("opens", ["in", "out"])
def test_what_is_even_does_not_turn(opens):
    for name in ("tube-60x40x3", "tube-round-48.3x3", "flat-60x8", "tslot-rail-40x80"):
        rail = CATALOGUE.rail(name)
        assert rail_section(rail, opens) == rail_section(rail)


def test_round_tube_touches_at_one_height():
    section = rail_section(RoundTubeRail(**TEXTS, diameter=50, thickness=3))
    assert section.web_flat == (-25.0, -25.0)
    assert section.is_closed
    assert section.i_strong == pytest.approx(math.pi / 64 * (50**4 - 44**4))
    assert section.torsion_mm4 == pytest.approx(2 * section.i_strong)


def test_bredt_against_the_exact_ring():
    """A ring of mean radius 24, t 3: 2 pi r^3 t by Bredt; with the wall's own part it misses the exact
    pi (R^4 - r^4) / 2 by less than 0.1 %."""
    r, t = 24.0, 3.0
    exact = math.pi / 2 * ((r + t / 2) ** 4 - (r - t / 2) ** 4)
    assert torsion_constant_tube(2 * math.pi * r, math.pi * r**2, t) == pytest.approx(exact, rel=2e-3)


@pytest.mark.parametrize("sizes", [(0, 10, 1), (10, 0, 1), (10, 10, 0), (10, -10, 1)])
def test_no_such_tube(sizes):
    with pytest.raises(ValueError, match="above zero"):
        torsion_constant_tube(*sizes)


def test_slots_of_a_stacked_bar():
    """40 x 80: a slot to the operator in the middle of each square."""
    rail = CATALOGUE.rail("tslot-rail-40x80")
    section = rail_section(rail)
    assert [slot.y for slot in section.slots] == [-20.0, -60.0]
    assert section.web_thickness == section.slots[0].lip_thickness == 3.5
    assert (section.slots[0].width, section.slots[0].lip_thickness) == (8.2, 3.5)
    assert section.is_closed
    assert rail.material == "aluminium-6060-t66"


def test_stacking_squares():
    """The area adds up, but for the outer radii that the inner corners lose: (4 - pi) r^2 a joint."""
    one, three = (rail_section(CATALOGUE.rail(f"tslot-rail-40x{40 * n}")) for n in (1, 3))
    assert three.area == pytest.approx(3 * one.area + 2 * (4 - math.pi) * 2**2)
    steiner = 2 * one.area * 40**2
    assert three.properties.i_xx == pytest.approx(3 * one.properties.i_xx + steiner, rel=0.01)
    assert len(three.holes) == 3 * len(one.holes) + 2


def test_single_bar_is_the_extrusion():
    rail = CATALOGUE.rail("tslot-rail-60x60")
    section, extrusion = rail_section(rail), CATALOGUE.extrusion("tslot-60")
    assert rail.extrusion == extrusion
    assert section.area == pytest.approx(extrusion.area_mm2, rel=1e-4)
    assert section.i_strong == pytest.approx(extrusion.i_mm4, rel=1e-4)
    assert section.torsion_mm4 == extrusion.j_mm4


@pytest.mark.parametrize("name", CATALOGUE.names("rails"))
def test_outlines_and_hollows_run_counter_clockwise(name):
    section = rail_section(CATALOGUE.rail(name))
    assert all(contour.area > 0.0 for contour in (section.outline, *section.holes))
