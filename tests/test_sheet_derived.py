"""Flat patterns, volumes and refusals against closed forms written out here."""

import math
from dataclasses import replace

import pytest

from mountgen.errors import SheetError
from mountgen.geometry import Contour, Vertex, polygon, rectangle, rounded
from mountgen.mechanics.bending import Din6935, KFactor
from mountgen.sheet.flat import unfold, volume
from mountgen.sheet.tree import ArcSlot, Bend, Flange, RoundHole, SheetPart, Slot, mirrored_part

RULE = KFactor(0.42)


def plate(outline, holes=(), bends=(), thickness=3.0):
    return SheetPart("P-1", "plate", thickness, "steel", Flange("base", outline, tuple(holes), tuple(bends)))


def angle(legs, thickness=3.0, radius=3.0, turned=90.0, width=80.0):
    """An angle bracket from its outside legs."""
    back = (radius + thickness) * math.tan(math.radians(turned) / 2)
    first, second = (leg - back for leg in legs)
    child = Flange("short", rectangle(0, 0, width, second))
    bend = Bend((width, first), (0, first), turned, radius, child)
    return plate(rectangle(0, 0, width, first), bends=[bend], thickness=thickness)


def test_angle_60_by_40():
    """54 + 34 flat and a quarter turn of the neutral line at 3 + 0.42 * 3."""
    flat = unfold(angle((60, 40)), RULE)
    assert flat.size == pytest.approx((80, 94.692), abs=0.0005)
    assert flat.size[1] == pytest.approx(54 + 34 + math.pi / 2 * 4.26)
    assert len(flat.outline.vertices) == 4
    line = flat.bend_lines[0]
    assert (line.start, line.end) == (
        pytest.approx((80, 57.346), abs=5e-4),
        pytest.approx((0, 57.346), abs=5e-4),
    )
    assert (line.tag, line.direction, line.angle_deg, line.parent, line.child) == (
        "B1",
        "up",
        90,
        "base",
        "short",
    )
    assert 60 + 40 - line.deduction == pytest.approx(flat.size[1])


def test_angle_wording():
    """Legs that enclose 120 deg are turned through 60; taking 120 for the turn gives 78.138."""
    assert unfold(angle((50, 40), turned=60), RULE).size[1] == pytest.approx(87.533, abs=0.001)
    assert unfold(angle((50, 40), turned=120), RULE).size[1] == pytest.approx(78.138, abs=0.001)
    assert unfold(angle((50, 40), turned=90), RULE).size[1] == pytest.approx(84.692, abs=0.001)


def test_channel_2_1_8_inch_wide():
    """1 + 2 1/8 + 1 in outside, T 1/8, R 1/8, two quarter turns: 3.68263 in, all in inches here."""
    t = r = 0.125
    side = rectangle(0, 0, 2, 1 - t - r)
    web = rectangle(0, 0, 2, 2.125 - 2 * (t + r))
    bends = (
        Bend((0, 0), (2, 0), 90, r, Flange("low", side)),
        Bend((2, 1.625), (0, 1.625), 90, r, Flange("high", side)),
    )
    assert unfold(plate(web, bends=bends, thickness=t), RULE).size[1] == pytest.approx(3.68263, abs=1e-5)


def test_bend_down_has_the_same_flat():
    up, down = angle((60, 40)), angle((60, 40))
    bend = replace(down.root.bends[0], angle_deg=-90.0)
    down = replace(down, root=replace(down.root, bends=(bend,)))
    flats = unfold(up, RULE), unfold(down, RULE)
    assert flats[0].outline == flats[1].outline
    assert flats[1].bend_lines[0].direction == "down"
    assert flats[1].bend_lines[0].angle_deg == 90


def test_outline_of_a_narrow_bend_with_relief_and_round_corners():
    """Root, bend zone and tab as one contour: areas add up, arcs stay arcs, no corner is idle."""
    base = polygon(((0, 0), (50, 0), (50, 30), (38, 30), (38, 26), (35, 26), (35, 30), (15, 30), (15, 26),
                    (12, 26), (12, 30), (0, 30)))  # fmt: skip
    tab = rounded(((0, 0), (20, 0), (20, 15), (0, 15)), (0, 0, 4, 4))
    flat = unfold(plate(base, bends=[Bend((35, 30), (15, 30), 90, 2, Flange("tab", tab))]), RULE)
    allowance = math.pi / 2 * (2 + 0.42 * 3)
    assert flat.outline.area == pytest.approx(base.area + 20 * allowance + tab.area)
    assert sum(v.bulge != 0 for v in flat.outline.vertices) == 2
    assert len(flat.outline.vertices) == 12 - 2 + 4
    assert flat.size == pytest.approx((50, 30 + allowance + 15))


def test_two_bends_on_one_edge():
    tab = Flange("left tab", rectangle(0, 0, 10, 10)), Flange("right tab", rectangle(0, 0, 10, 10))
    bends = [Bend((50, 30), (40, 30), 90, 2, tab[1]), Bend((10, 30), (0, 30), 90, 2, tab[0])]
    for order in (bends, bends[::-1]):
        flat = unfold(plate(rectangle(0, 0, 50, 30), bends=order), RULE)
        allowance = math.pi / 2 * (2 + 0.42 * 3)
        assert flat.outline.area == pytest.approx(1500 + 2 * 10 * (10 + allowance))
        assert len(flat.outline.vertices) == 8


def test_datum_is_the_lower_left_corner():
    flat = unfold(plate(rectangle(-20, -30, 5, 7), [RoundHole((0, 0), 6)]), RULE)
    assert flat.outline.bounds == (0, 0, 25, 37)
    assert flat.holes[0].hole.centre == (20, 30)
    assert flat.holes[0].local.centre == (0, 0)


def test_holes_turn_with_their_flange():
    """A flange off the right-hand edge lies a quarter turn clockwise: its x runs down, its y outwards."""
    holes = (RoundHole((5, 6), 4), Slot((10, 6), 3, 9, 20), ArcSlot((15, 10), 6, 2, 10, 70))
    child = Flange("side", rectangle(0, 0, 30, 20), holes)
    part = plate(rectangle(0, 0, 40, 30), bends=[Bend((40, 0), (40, 30), 90, 3, child)])
    allowance = math.pi / 2 * 4.26
    for placed, hole in zip(unfold(part, RULE).holes, holes, strict=True):
        x, y = hole.centre
        assert placed.hole.centre == pytest.approx((40 + allowance + y, 30 - x))
        assert placed.hole.contour.area == pytest.approx(hole.contour.area)
    slot, arc = (placed.hole for placed in unfold(part, RULE).holes[1:])
    assert slot.angle_deg == pytest.approx(20 - 90)
    assert (arc.start_deg, arc.end_deg) == pytest.approx((-80, -20))


def test_tags():
    """Alike holes share a letter across flanges; B is for bends alone; the mirror image has the same."""
    small, large = RoundHole((10, 10), 6.6, size="M6"), RoundHole((20, 10), 9)
    slots = (Slot((30, 10), 6.6, 14), RoundHole((40, 10), 6.6, size="M6"), ArcSlot((25, 25), 9, 4, 0, 60))
    child = Flange(
        "child", rectangle(0, 0, 50, 30), (replace(small, centre=(7, 8)), replace(large, centre=(9, 20)))
    )
    part = plate(rectangle(0, 0, 50, 40), (small, large, *slots), [Bend((50, 40), (0, 40), 90, 3, child)])
    flat = unfold(part, RULE)
    assert [(h.tag, h.flange) for h in flat.holes] == [
        ("A1", "base"), ("A2", "base"), ("A3", "child"), ("C1", "base"), ("C2", "child"), ("D1", "base"),
        ("E1", "base"),
    ]  # fmt: skip
    other = unfold(mirrored_part(part), RULE)
    assert [h.tag for h in other.holes] == [h.tag for h in flat.holes]


def test_letters_go_on_after_z():
    holes = [RoundHole((10 + 5 * i, 10), 1 + i / 20) for i in range(24)]
    tags = [h.tag for h in unfold(plate(rectangle(0, 0, 200, 20), holes), RULE).holes]
    assert tags[20:] == ["Y1", "Z1", "AA1", "AC1"]


def test_volume_of_an_angle():
    """Two plates less a hole, and a quarter of a tube."""
    part = angle((60, 40))
    part = replace(part, root=replace(part.root, holes=(RoundHole((20, 20), 9),)))
    tube = math.pi * ((3 + 3) ** 2 - 3**2) / 4 * 80
    assert volume(part) == pytest.approx(80 * 3 * (54 + 34) - 3 * math.pi * 81 / 4 + tube)


def test_flat_area():
    slot = Slot((40, 20), 6, 20, 30)
    flat = unfold(plate(rectangle(0, 0, 80, 40), [RoundHole((10, 10), 9), slot]), RULE)
    assert flat.area == pytest.approx(3200 - math.pi * 81 / 4 - 6 * 14 - math.pi * 9)


def test_arc_slot_area():
    """Its middle line times its width, and a round end cut in two."""
    slot = ArcSlot((0, 0), 20, 6, -30, 75)
    assert slot.contour.area == pytest.approx(math.radians(105) * 20 * 6 + math.pi * 9)


@pytest.mark.parametrize(
    ("bend", "message"),
    [
        (Bend((80, 50), (0, 50), 90, 3, Flange("c", rectangle(0, 0, 80, 9))), "not on one straight edge"),
        (Bend((0, 54), (80, 54), 90, 3, Flange("c", rectangle(0, 0, 80, 9))), "not on one straight edge"),
        (Bend((90, 54), (10, 54), 90, 3, Flange("c", rectangle(0, 0, 80, 9))), "not on one straight edge"),
        (Bend((80, 54), (0, 54), 90, 3, Flange("c", rectangle(0, 1, 80, 9))), "c has no edge on y = 0"),
        (Bend((80, 54), (0, 54), 90, 3, Flange("c", rectangle(0, 0, 70, 9))), "width 80.000 mm"),
        (Bend((80, 54), (0, 54), 90, 3, Flange("c", rectangle(0, -9, 80, 0))), "below y = 0"),
        (Bend((80, 54), (0, 54), 90, -1, Flange("c", rectangle(0, 0, 80, 9))), "inside radius -1 mm"),
        (Bend((80, 54), (0, 54), 180, 3, Flange("c", rectangle(0, 0, 80, 9))), "bend angle 180 deg"),
        (Bend((80, 54), (0, 54), 0, 3, Flange("c", rectangle(0, 0, 80, 9))), "bend angle 0 deg"),
        (Bend((80, 54), (80, 54), 90, 3, Flange("c", rectangle(0, 0, 80, 9))), "no width"),
        (Bend((80, 54), (0, 54), 90, 3, Flange("base", rectangle(0, 0, 80, 9))), "flanges are called base"),
    ],
)  # fmt: skip
def test_bends_that_cannot_be(bend, message):
    with pytest.raises(SheetError, match=message):
        unfold(plate(rectangle(0, 0, 80, 54), bends=[bend]), RULE)


def test_bends_that_overlap():
    bends = [
        Bend((80, 54), (30, 54), 90, 3, Flange("c", rectangle(0, 0, 50, 9))),
        Bend((40, 54), (0, 54), 90, 3, Flange("d", rectangle(0, 0, 40, 9))),
    ]
    with pytest.raises(SheetError, match=r"overlap by 10\.000 mm"):
        unfold(plate(rectangle(0, 0, 80, 54), bends=bends), RULE)


def test_rule_that_refuses_is_a_sheet_error():
    with pytest.raises(SheetError, match="bend to flange short: DIN 6935"):
        unfold(angle((60, 40), radius=0.0), Din6935())


def test_self_intersecting_outlines():
    """A clockwise arc of over half a turn cuts back through the rectangle, a counter-clockwise one not."""
    corners = ((0, 0), (20, 0), (20, 10), (0, 10))
    bulges = {
        b: Contour(tuple(Vertex(x, y, b if i == 1 else 0.0) for i, (x, y) in enumerate(corners)))
        for b in (3.0, -3.0)
    }
    assert unfold(plate(bulges[3.0]), RULE).size == pytest.approx((35, 2 * 25 / 3))
    with pytest.raises(SheetError, match="self-intersecting outline"):
        unfold(plate(bulges[-3.0]), RULE)
    with pytest.raises(SheetError, match="self-intersecting outline"):
        unfold(plate(polygon(((0, 0), (10, 10), (10, 0), (0, 10)))), RULE)
    with pytest.raises(SheetError, match="self-intersecting outline"):
        unfold(plate(polygon(((0, 0), (20, 0), (10, 0), (10, 10), (0, 10)))), RULE)


def test_clockwise_outline():
    with pytest.raises(SheetError, match="clockwise"):
        unfold(plate(polygon(((0, 0), (0, 5), (5, 5), (5, 0)))), RULE)


def test_flanges_that_overlap_when_flat():
    """Two tabs off the arms of a U, each longer than half the gap between the arms."""
    outline = polygon(((0, 0), (60, 0), (60, 40), (45, 40), (45, 10), (15, 10), (15, 40), (0, 40)))
    long, short = (Flange(name, rectangle(0, 0, 20, 12)) for name in ("long", "short"))
    right = Bend((45, 35), (45, 15), 90, 2, long)
    left = Bend((15, 15), (15, 35), 90, 2, short)
    assert unfold(plate(outline, bends=[left]), RULE).outline.area > outline.area
    with pytest.raises(SheetError, match="self-intersecting outline in the flat"):
        unfold(plate(outline, bends=[left, right]), RULE)


@pytest.mark.parametrize(
    "hole",
    [
        RoundHole((20, 20), 0.0),
        Slot((20, 20), 6, 6),
        Slot((20, 20), 6, 4),
        ArcSlot((20, 20), 3, 6, 0, 90),
        ArcSlot((20, 20), 9, 4, 90, 0),
        ArcSlot((20, 20), 9, 4, 0, 360),
    ],
)
def test_holes_without_a_shape(hole):
    with pytest.raises(SheetError, match="no shape that can be cut"):
        unfold(plate(rectangle(0, 0, 80, 54), [hole]), RULE)
