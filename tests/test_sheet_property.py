"""Random parts: unfolded, folded back by a routine of its own, mirrored, and measured by shapely."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from mountgen.errors import SheetError
from mountgen.geometry import Contour, Vertex, arc_of, circle, polygon, rectangle
from mountgen.mechanics.bending import Din6935, KFactor
from mountgen.sheet.edges import contours_meeting, edge_between, edge_gap, is_inside, self_crossing, spine_of
from mountgen.sheet.flat import unfold, volume
from mountgen.sheet.tree import ArcSlot, Bend, Flange, RoundHole, SheetPart, Slot, mirrored_part

RULES = st.sampled_from([KFactor(0.33), KFactor(0.42), KFactor(0.5), Din6935()])
SIGNED_ANGLES = st.floats(10, 150).flatmap(lambda a: st.sampled_from([a, -a, 90.0, -90.0]))


@st.composite
def flanges(draw, width, depth, name):
    """A rectangular flange with a hole and, while `depth` lasts, a bend off its far edge."""
    height = draw(st.floats(15, 60))
    hole = RoundHole((draw(st.floats(0.2, 0.8)) * width, draw(st.floats(0.2, 0.8)) * height), 3.0)
    bends = ()
    if depth and draw(st.booleans()):
        bends = (draw(bend_between((width, height), (0.0, height), depth, name + "a")),)
    return Flange(name, rectangle(0, 0, width, height), (hole,), bends)


@st.composite
def bend_between(draw, start, end, depth, name):
    """A bend off part of an edge, or all of it."""
    first, last = draw(st.sampled_from([(0.0, 1.0), (0.1, 0.8), (0.25, 1.0)]))
    points = [tuple(s + f * (e - s) for s, e in zip(start, end, strict=True)) for f in (first, last)]
    child = draw(flanges(math.dist(*points), depth - 1, name))
    return Bend(*points, draw(SIGNED_ANGLES), draw(st.floats(0.5, 8)), child)


@st.composite
def parts(draw):
    """A convex root of 3 to 6 sides, turned anyhow, with flanges off some sides: flat, none overlap."""
    sides, size, turn = draw(st.integers(3, 6)), draw(st.floats(25, 60)), draw(st.floats(0, 360))
    corners = [
        (size * math.cos(a), size * math.sin(a))
        for a in (math.radians(turn) + 2 * math.pi * i / sides for i in range(sides))
    ]
    edges = list(zip(corners, corners[1:] + corners[:1], strict=True))
    chosen = draw(st.sets(st.integers(0, sides - 1), min_size=1))
    bends = tuple(draw(bend_between(*edges[i], 2, f"f{i}")) for i in sorted(chosen))
    holes = (RoundHole((1.0, 2.0), 4.0), Slot((-5.0, 3.0), 2.0, 6.0, 30.0))
    root = Flange("root", polygon(corners), holes, bends)
    return SheetPart("P-1", "random", draw(st.floats(0.8, 4)), "steel", root)


def rotated(points, axis_point, axis, angle):
    """Points turned about an axis (Rodrigues)."""
    k = np.asarray(axis) / np.linalg.norm(axis)
    cross = np.array([[0, -k[2], k[1]], [k[2], 0, -k[0]], [-k[1], k[0], 0]])
    matrix = np.eye(3) + math.sin(angle) * cross + (1 - math.cos(angle)) * cross @ cross
    return (np.asarray(points) - axis_point) @ matrix.T + axis_point


def folded_back(points, chain, t):
    """Flat points of a flange, folded about its bends from the last to the root's.

    Take the bend zone out, then turn about the axis that the inside of the bend has: r over the upper
    face for a bend up, r under the lower one for a bend down.
    """
    for line in reversed(chain):
        along = np.array([line.end[0] - line.start[0], line.end[1] - line.start[1], 0.0])
        along /= np.linalg.norm(along)
        out = np.array([along[1], -along[0], 0.0])
        up = line.direction == "up"
        height = t + line.inside_radius if up else -line.inside_radius
        tangent = np.array([*line.start, 0.0]) - out * line.allowance / 2
        turn = math.radians(line.angle_deg) * (1 if up else -1)
        points = rotated(
            points - out * line.allowance, tangent + np.array([0, 0, height]), np.cross(out, [0, 0, 1]), turn
        )
    return points


def chain_to(flat, flange):
    """The bend lines from the root to a flange."""
    leading = {line.child: line for line in flat.bend_lines}
    chain = []
    while flange in leading:
        chain.insert(0, leading[flange])
        flange = leading[flange].parent
    return chain


@given(parts(), RULES)
@settings(max_examples=60, deadline=None)
def test_folding_the_flat_back_gives_the_part(part, rule):
    """Hole centres on both faces, within a ten-thousandth of a millimetre."""
    flat = unfold(part, rule)
    root_hole = next(h for h in flat.holes if h.flange == "root")
    shift = np.array(
        [h - o for h, o in zip(root_hole.hole.centre, root_hole.local.centre, strict=True)] + [0.0]
    )
    places = {flange.name: placement for flange, placement in part.placed_flanges()}
    for placed in flat.holes:
        for z in (0.0, part.thickness):
            back = folded_back(
                np.array([[*placed.hole.centre, z]]), chain_to(flat, placed.flange), part.thickness
            )
            there = places[placed.flange].point((*placed.local.centre, z))
            assert back[0] - shift == pytest.approx(there, abs=1e-4)


@given(parts(), RULES)
@settings(max_examples=60, deadline=None)
def test_flat_against_shapely_and_by_parts(part, rule):
    """A valid polygon whose area is that of all flanges and bend zones; no hole and no bend is lost."""
    flat = unfold(part, rule)
    shape = shapely.Polygon([(v.x, v.y) for v in flat.outline.vertices])
    assert shape.is_valid
    assert flat.outline.area == pytest.approx(shape.area)
    assert flat.size == pytest.approx(shape.bounds[2:])
    every = [flange for flange, _ in part.placed_flanges()]
    zones = sum(line.allowance * math.dist(line.start, line.end) for line in flat.bend_lines)
    assert flat.outline.area == pytest.approx(zones + sum(flange.outline.area for flange in every))
    assert len(flat.holes) == sum(len(flange.holes) for flange in every)
    assert len(flat.bend_lines) == sum(len(flange.bends) for flange in every)
    assert len({h.tag for h in flat.holes} | {b.tag for b in flat.bend_lines}) == len(flat.holes) + len(
        flat.bend_lines
    )


@given(parts())
@settings(max_examples=30, deadline=None)
def test_neutral_line_in_the_middle_keeps_the_volume(part):
    flat = unfold(part, KFactor(0.5))
    assert flat.area * part.thickness == pytest.approx(volume(part))


@given(parts(), RULES)
@settings(max_examples=40, deadline=None)
def test_mirrored_part_has_the_mirrored_flat(part, rule):
    flat, other = unfold(part, rule), unfold(mirrored_part(part), rule)
    wide = flat.size[0]
    assert other.size == pytest.approx(flat.size)
    mirrored = flat.outline.mirrored().moved(wide, 0)
    for v in mirrored.vertices:
        assert min(math.dist((v.x, v.y), (w.x, w.y)) for w in other.outline.vertices) < 1e-6
    assert len(mirrored.vertices) == len(other.outline.vertices)
    for a, b in zip(flat.holes, other.holes, strict=True):
        assert (a.tag, a.flange) == (b.tag, b.flange)
        assert b.hole.centre == pytest.approx((wide - a.hole.centre[0], a.hole.centre[1]))
        mirrored_hole = a.hole.contour.mirrored().moved(wide, 0)
        for v in mirrored_hole.vertices:
            if not isinstance(a.hole, RoundHole):
                assert min(math.dist((v.x, v.y), (w.x, w.y)) for w in b.hole.contour.vertices) < 1e-6
    for a, b in zip(flat.bend_lines, other.bend_lines, strict=True):
        assert (a.tag, a.direction, a.child) == (b.tag, b.direction, b.child)
        assert b.start == pytest.approx((wide - a.end[0], a.end[1]))


POINTS = st.tuples(st.integers(0, 12), st.integers(0, 12))


@given(st.lists(POINTS, min_size=3, max_size=7, unique=True))
@settings(max_examples=200, deadline=None)
def test_self_intersection_against_shapely(corners):
    """Straight outlines on a coarse grid, where touching and overlapping are common."""
    ring = shapely.LinearRing(corners)
    assume(abs(shapely.Polygon(corners).area) > 0 or not ring.is_simple)
    assert (self_crossing(polygon(corners)) is None) == ring.is_simple


BULGES = st.sampled_from([0.0, 0.0, 0.4, -0.7, 1.0, -2.0])
SPANS = st.tuples(POINTS, POINTS, BULGES).filter(lambda s: s[0] != s[1])


def span(drawn):
    (a, b, bulge) = drawn
    return Vertex(*a, bulge), Vertex(*b)


def as_lines(a, b, steps=300):
    if not a.bulge:
        return shapely.LineString([(a.x, a.y), (b.x, b.y)])
    arc = arc_of(a, b)
    angles = np.radians(np.linspace(arc.start_deg, arc.end_deg, steps))
    x, y = arc.centre
    return shapely.LineString(
        np.stack((x + arc.radius * np.cos(angles), y + arc.radius * np.sin(angles)), axis=1)
    )


@given(SPANS, SPANS)
@settings(max_examples=150, deadline=None)
def test_edge_gap_against_shapely(one, other):
    """To what 300 chords in place of an arc leave out."""
    a, b = span(one), span(other)
    gap = edge_gap(edge_between(*a), edge_between(*b))
    assert gap == pytest.approx(as_lines(*a).distance(as_lines(*b)), abs=5e-3)


@given(st.lists(st.floats(5, 20), min_size=3, max_size=7), BULGES, POINTS)
@settings(max_examples=100, deadline=None)
def test_is_inside_against_shapely(radii, bulge, point):
    step = 2 * math.pi / len(radii)
    corners = [(r * math.cos(i * step + 0.1), r * math.sin(i * step + 0.1)) for i, r in enumerate(radii)]
    contour = Contour(tuple(Vertex(x, y, bulge if i == 0 else 0.0) for i, (x, y) in enumerate(corners)))
    assume(self_crossing(contour) is None)
    first = as_lines(*contour.vertices[:2]).coords[:]
    shape = shapely.Polygon([*(first if bulge >= 0 else first[::-1]), *corners[2:]])
    assume(shape.boundary.distance(shapely.Point(point)) > 0.01)
    assert is_inside(point, contour) == shape.contains(shapely.Point(point))


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_points_on_the_chord_of_one_arc_are_inside(turn):
    """A plate 20 x 10 with one bulging side, turned so that the chord is level, upright, and reversed."""
    contour = Contour((Vertex(0, 0), Vertex(20, 0, 0.8), Vertex(20, 10), Vertex(0, 10))).turned(turn)
    a, b = contour.vertices[1:3]
    for share in (0.25, 0.5, 0.75):
        assert is_inside((a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)), contour)


@given(POINTS, st.sampled_from([3.5, 9.0, 13.3]), st.floats(0, 360))
@settings(max_examples=150, deadline=None)
def test_is_inside_a_circle(point, diameter, turn):
    """Points on the chord that both halves share are the hard ones."""
    contour = circle((6, 6), diameter)
    assert is_inside(point, contour) == (math.dist(point, (6, 6)) < diameter / 2)
    turned = contour.moved(-6, -6).turned(turn)
    assert is_inside((0.0, 0.0), turned)


@pytest.mark.parametrize(
    "hole",
    [
        RoundHole((3, 4), 9),
        Slot((3, 4), 5, 18, 33),
        ArcSlot((3, 4), 20, 5, 20, 130),
        ArcSlot((0, 0), 9, 4, -170, 60),
    ],
)
def test_spine_thickened_is_the_hole(hole):
    edge, half = spine_of(hole)
    line = shapely.LineString([edge.start, edge.end])
    if edge.arc is not None:
        bulge = math.tan(math.radians(edge.arc.end_deg - edge.arc.start_deg) / 4)
        line = as_lines(Vertex(*edge.start, bulge), Vertex(*edge.end))
    assert line.buffer(half, quad_segs=200).area == pytest.approx(hole.contour.area, rel=1e-4)


def test_contours_that_touch_or_keep_apart():
    big = rectangle(0, 0, 100, 60)
    assert contours_meeting(big, RoundHole((100, 10), 9).contour) is not None
    assert contours_meeting(big, RoundHole((95.5, 10), 9).contour) is not None
    assert contours_meeting(big, RoundHole((95.4, 10), 9).contour) is None


def test_flat_that_would_be_cut_twice_is_refused():
    """A chain of flanges that comes round and lies on the root when flat."""
    flange = Flange("last", rectangle(0, 0, 40, 60))
    for name in ("third", "second", "first"):
        flange = Flange(name, rectangle(0, 0, 40, 40), (), (Bend((40, 0), (40, 40), 90, 1, flange),))
    root = Flange("root", rectangle(0, 0, 40, 40), (), (Bend((40, 0), (40, 40), 90, 1, flange),))
    with pytest.raises(SheetError, match="self-intersecting"):
        unfold(SheetPart("P-2", "round", 2.0, "steel", root), KFactor(0.42))
