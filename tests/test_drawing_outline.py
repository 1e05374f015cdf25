"""From the dimensions on a drawing alone the outline can be made again, and nothing is dimensioned twice."""

from __future__ import annotations

import math
from itertools import combinations, pairwise
from random import Random

import pytest
from drawing_reader import Reading
from drawing_samples import order_of, overlapping, texts
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from outline_polygons import section_polygon
from random_surveys import feasible_studies
from shapely import Polygon

from mountgen.geometry import Contour, Vertex, rounded
from mountgen.mechanics.bending import Din6935
from mountgen.package.drawing import draw_part
from mountgen.package.drawing_flat import CROWDED
from mountgen.package.drawing_notes import PartOrder
from mountgen.package.drawing_outline import outline_sizes
from mountgen.sheet.flat import unfold
from mountgen.sheet.tree import ArcSlot, Flange, Hole, RoundHole, SheetPart

EXACT = 0.01
"""mm that a rebuilt outline may lie off: dimensions are written to 0.01 mm, each off by 0.005 at most."""
WITH_ARCS = 0.015
"""mm; the same for an arc between two corners, whose far side adds the rounding of its radius or rise."""
CLEARANCE = 12.0


def random_outline(dice: Random) -> Contour:
    """A plate whose corners are cut, stepped or rounded and whose sides have notches and arcs."""
    wide, tall = dice.uniform(120, 380), dice.uniform(100, 260)
    box = [(0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall)]
    found: list[tuple[float, float, float, float]] = []
    for k, (x, y) in enumerate(box):
        before, after = ((0, -1), (1, 0), (0, 1), (-1, 0))[k], ((1, 0), (0, 1), (-1, 0), (0, -1))[k]
        found += _corner(dice, (x, y), before, after)
        side = (wide, tall)[k % 2]
        found += _side(dice, (x + after[0] * side / 2, y + after[1] * side / 2), after)
    plain = list(rounded([p[:2] for p in found], [p[2] for p in found]).vertices)
    place = 0
    for x, y, radius, bulge in found:
        if bulge:
            plain[place] = Vertex(x, y, bulge)
        place += 2 if radius else 1
    outline = Contour(tuple(plain))
    low_x, low_y, _, _ = outline.bounds
    return outline.moved(-low_x, -low_y)


def _corner(dice, at, before, after):
    """Plain, chamfered (now and then at a round angle) or stepped, between two edges' directions."""
    a, b = dice.uniform(8, 25), dice.uniform(8, 25)
    if dice.random() < 0.3:
        a, b = round(a), round(b)
    usual = dice.choice((0.0, 5.0, 5.0, dice.uniform(1, 6)))
    kind = dice.choice(("plain", "chamfer", "round chamfer", "step"))
    start = (at[0] - a * before[0], at[1] - a * before[1])
    if kind == "round chamfer":
        b = a * math.tan(math.radians(dice.choice((30.0, 45.0, 60.0))))
    end = (at[0] + b * after[0], at[1] + b * after[1])
    if kind == "plain":
        return [(*at, usual, 0.0)]
    if kind == "step":
        inner = (start[0] + b * after[0], start[1] + b * after[1])
        return [
            (*start, dice.choice((0.0, 2.0)), 0.0),
            (*inner, dice.choice((0.0, 3.0)), 0.0),
            (*end, 0.0, 0.0),
        ]
    return [(*start, 0.0, 0.0), (*end, dice.choice((0.0, 1.0)), 0.0)]


def _side(dice, middle, way):
    """Nothing, a notch, or an arc inwards or outwards in the middle of a side."""
    half, deep = dice.uniform(6, 15), dice.uniform(6, 15)
    inwards = (-way[1], way[0])
    ends = [(middle[0] + s * half * way[0], middle[1] + s * half * way[1]) for s in (-1, 1)]
    kind = dice.choice(("none", "none", "notch", "arc"))
    if kind == "none":
        return []
    if kind == "arc":
        bulge = dice.choice((1.0, -1.0)) * dice.choice((1.0, dice.uniform(0.1, 0.7), dice.uniform(0.85, 1.5)))
        return [(*ends[0], 0.0, bulge), (*ends[1], 0.0, 0.0)]
    feet = [(x + deep * inwards[0], y + deep * inwards[1]) for x, y in ends]
    r = dice.choice((0.0, 2.0, 3.0))
    return [(*ends[0], 0.0, 0.0), (*feet[0], r, 0.0), (*feet[1], r, 0.0), (*ends[1], 0.0, 0.0)]


def random_plate(seed: int) -> SheetPart:
    """A plate of a random outline with holes in its middle, some in line with its corners."""
    dice = Random(seed)
    outline = random_outline(dice)
    _, _, x1, y1 = outline.bounds
    spots = [
        (dice.uniform(0.35, 0.65) * x1, dice.uniform(0.35, 0.65) * y1) for _ in range(dice.randint(0, 4))
    ]
    if spots and dice.random() < 0.5:
        spots[0] = (dice.choice(outline.vertices).x, y1 / 2)
    shape = section_polygon(outline).buffer(-CLEARANCE)
    holes = tuple(RoundHole(at, 5.5, "clearance", "M5") for at in spots if shape.contains(Polygon(_dot(at))))
    return SheetPart("T-9", "plate", 3.0, "steel-s235", Flange("plate", outline, holes))


def _dot(at):
    return [(at[0] + dx, at[1] + dy) for dx, dy in ((-0.1, -0.1), (0.1, -0.1), (0.1, 0.1))]


def off_by(one: Contour, other: Contour) -> float:
    """The greatest distance between two outlines."""
    a, b = (section_polygon(outline, pieces=256).exterior for outline in (one, other))
    return a.hausdorff_distance(b)


def require_whole(order: PartOrder) -> None:
    sheets = draw_part(order)
    reading = Reading(sheets, order.flat.outline)
    limit = WITH_ARCS if outline_sizes(order.flat).arcs else EXACT
    assert off_by(reading.rebuilt(), order.flat.outline) <= limit
    require_once(reading, order)
    for svg in sheets:
        assert overlapping(list(texts(svg))) == []


def require_once(reading: Reading, order: PartOrder) -> None:
    """No value twice along an axis, every hole's place once, and leaders that can be told apart."""
    rows = reading.cells("Holes")
    for axis in (0, 1):
        values = [one.value for one in reading.leaders if one.axis == axis]
        assert len(values) == len(set(values))
        assert reading.overall[axis] not in values
        for placed in order.flat.holes:
            at, reach = reading.point(placed.hole.centre), _half(placed.hole, 1 - axis) * reading.scale
            told = [one.value for one in reading.leaders if one.axis == axis and one.passes(at, reach)]
            told += [
                float(c.split()[0]) for h, c in rows[placed.tag].items() if h.startswith(f"{'xy'[axis]},")
            ]
            assert told == [pytest.approx(placed.hole.centre[axis], abs=0.005)]
    for one, other in combinations(reading.leaders, 2):
        if one.axis == other.axis and one.out[1 - one.axis] == other.out[1 - one.axis]:
            assert abs(one.out[one.axis] - other.out[one.axis]) >= CROWDED


def _half(hole: Hole, axis: int) -> float:
    """How far a hole reaches from its centre along an axis; of an arc slot, its centre mark."""
    if isinstance(hole, ArcSlot):
        return 2.0
    x0, y0, x1, y1 = hole.contour.bounds
    return (x1 - x0, y1 - y0)[axis] / 2


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(0, 10**6))
def test_any_plate_can_be_made_from_its_dimensions(seed):
    require_whole(order_of(random_plate(seed)))


def orders(count: int, start: int):
    for found in feasible_studies(count, start):
        for part in found.detail.sheets:
            yield order_of(part, "in" if len(part.name) % 2 else "mm")


def test_every_sheet_part_of_random_mounts_can_be_made_from_its_dimensions():
    checked = [require_whole(order) for order in orders(3, 0)]
    assert len(checked) > 20


@pytest.mark.campaign
def test_every_sheet_part_of_hundreds_of_mounts_can_be_made_from_its_dimensions():
    checked = [require_whole(order) for order in orders(200, 1000)]
    assert len(checked) > 1500


def test_a_rectangle_needs_no_ordinate_of_a_corner():
    part = SheetPart("R", "r", 3.0, "steel-s235", Flange("f", rounded(BOX, [5.0] * 4)))
    sizes = outline_sizes(unfold(part, Din6935()))
    assert (sizes.ordinates, sizes.own_radii, sizes.general_radius) == ((), (), pytest.approx(5.0))


BOX = [(0.0, 0.0), (90.0, 0.0), (90.0, 60.0), (0.0, 60.0)]


def test_a_step_needs_one_ordinate_each_way_at_each_corner_off_the_box():
    points = [(0.0, 0.0), (90.0, 0.0), (90.0, 40.0), (70.0, 40.0), (70.0, 60.0), (0.0, 60.0)]
    part = SheetPart("R", "r", 3.0, "steel-s235", Flange("f", rounded(points, [5.0] * 5 + [0.0])))
    sizes = outline_sizes(unfold(part, Din6935()))
    assert sizes.ordinates == ((2, 1), (3, 0), (3, 1), (4, 0))
    assert sizes.own_radii == (5,)


@pytest.mark.parametrize(("deg", "by_angle"), [(45.0, True), (30.0, True), (43.0, False)])
def test_a_chamfer_at_a_round_angle_is_told_by_it(deg, by_angle):
    """20 mm off the height; the width that is cut off follows from the angle."""
    off = 20.0 / math.tan(math.radians(deg))
    points = [(0.0, 0.0), (90.0, 0.0), (90.0, 40.0), (90.0 - off, 60.0), (0.0, 60.0)]
    part = SheetPart("R", "r", 3.0, "steel-s235", Flange("f", rounded(points, [0.0] * 5)))
    sizes = outline_sizes(unfold(part, Din6935()))
    assert [s.angle_deg for s in sizes.slants] == ([deg] if by_angle else [])
    assert len(sizes.ordinates) == 2 - by_angle


def test_every_kind_of_dimension_occurs_among_the_random_plates():
    """Else the property above would prove less than it says."""
    told = [outline_sizes(unfold(random_plate(seed), Din6935())) for seed in range(60)]
    assert any(sizes.slants for sizes in told)
    assert any(sizes.own_radii for sizes in told)
    kinds = {
        t.role.split()[0]
        for seed in range(25)
        for svg in draw_part(order_of(random_plate(seed)))
        for t in texts(svg)
    }
    assert {"radius", "rise", "angle", "ordinate-top", "ordinate-right"} <= kinds
    assert all(a <= b for sizes in told for a, b in pairwise(sizes.ordinates))
