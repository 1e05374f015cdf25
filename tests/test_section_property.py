"""A known outline, taken apart, shuffled, doubled and moved through blocks, is read back as it was."""

import math
import random
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from section_drawings import drawing

from mountgen.geometry import Contour, arc_of, rounded
from mountgen.section.trace import Choices, trace

SETTINGS = settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@st.composite
def outlines(draw) -> Contour:
    """A star-shaped polygon about (0, 0), some of its corners rounded."""
    count = draw(st.integers(3, 9))
    radii = draw(st.lists(st.floats(40, 120), min_size=count, max_size=count))
    points = [
        (r * math.cos(2 * math.pi * i / count), r * math.sin(2 * math.pi * i / count))
        for i, r in enumerate(radii)
    ]
    roundings = draw(st.lists(st.sampled_from([0.0, 0.0, 1.0, 2.5]), min_size=count, max_size=count))
    made = rounded(points, roundings)
    assume(min(math.hypot(b.x - a.x, b.y - a.y) for a, b in made.segments()) > 0.1)
    return made


def pieces_of(contour, dice):
    """Each line and arc in up to three parts, some of them twice; all longer than the joining distance."""
    for a, b in contour.segments():
        long = math.hypot(b.x - a.x, b.y - a.y) > 2.0
        inner = [dice.uniform(0.1, 0.4), dice.uniform(0.6, 0.9)][: dice.randint(0, 2)] if long else []
        cuts = [0.0, *inner, 1.0]
        for low, high in pairwise(cuts):
            for _ in range(dice.choice([1, 1, 1, 2])):
                yield a, b, low, high


def add_piece(space, piece, dice):
    a, b, low, high = piece
    if a.bulge == 0.0:
        ends = [(a.x + s * (b.x - a.x), a.y + s * (b.y - a.y)) for s in (low, high)]
        dice.shuffle(ends)
        space.add_line(*ends)
    else:
        arc = arc_of(a, b)
        sweep = arc.end_deg - arc.start_deg
        space.add_arc(arc.centre, arc.radius, arc.start_deg + low * sweep, arc.start_deg + high * sweep)


@SETTINGS
@given(
    outline=outlines(),
    seed=st.integers(0, 10**6),
    pose=st.tuples(st.sampled_from([1.0, 0.5, 2.0]), st.floats(-180, 180), st.booleans()),
    shift=st.tuples(st.floats(-1000, 1000), st.floats(-1000, 1000)),
)
def test_an_outline_taken_apart_is_read_back(tmp_path, outline, seed, pose, shift):
    scale, turn, mirrored = pose
    dice = random.Random(seed)
    pieces = list(pieces_of(outline, dice))
    dice.shuffle(pieces)

    def draw(space):
        block = space.doc.blocks.new("RAIL")
        for piece in pieces:
            add_piece(block, piece, dice)
        flip = -1 if mirrored else 1
        attribs = {"xscale": flip * scale, "yscale": scale, "zscale": scale, "rotation": turn}
        space.add_blockref("RAIL", shift, dxfattribs=attribs)

    found = trace(drawing(tmp_path / "rail.dxf", draw), Choices())
    assert found.holes == ()
    assert found.area == pytest.approx(scale**2 * outline.area, rel=1e-6, abs=1e-3)
    assert found.outline.length == pytest.approx(scale * outline.length, abs=1e-3)
    expected = outline.mirrored() if mirrored else outline
    placed = [
        ((v.x * c - v.y * s) * scale + shift[0], (v.x * s + v.y * c) * scale + shift[1])
        for c, s in [(math.cos(math.radians(turn)), math.sin(math.radians(turn)))]
        for v in expected.vertices
    ]
    assert len(found.outline.vertices) <= len(placed)
    for vertex in found.outline.vertices:
        assert min(math.dist((vertex.x, vertex.y), place) for place in placed) < 1e-3


@SETTINGS
@given(outline=outlines(), seed=st.integers(0, 10**6), slack=st.floats(0, 0.004))
def test_ends_a_little_off_change_the_area_as_little(tmp_path, outline, seed, slack):
    dice = random.Random(seed)

    def near(x, y):
        return (x + dice.uniform(-slack, slack), y + dice.uniform(-slack, slack))

    def draw(space):
        straight = [(a, b) for a, b in outline.segments() if a.bulge == 0.0]
        for a, b in straight:
            space.add_line(near(a.x, a.y), near(b.x, b.y))
        for a, b in outline.segments():
            if a.bulge != 0.0:
                add_piece(space, (a, b, 0.0, 1.0), dice)

    found = trace(drawing(tmp_path / "rail.dxf", draw), Choices())
    assert found.area == pytest.approx(outline.area, abs=2 * 0.01 * outline.length)


@SETTINGS
@given(outline=outlines(), seed=st.integers(0, 10**6))
def test_the_order_of_a_drawing_does_not_matter(tmp_path, outline, seed):
    dice = random.Random(seed)
    pieces = [(a, b, 0.0, 1.0) for a, b in outline.segments()]

    def vertices(order):
        def draw(space):
            for piece in order:
                add_piece(space, piece, random.Random(1))

        found = trace(drawing(tmp_path / "rail.dxf", draw), Choices())
        return sorted((round(v.x, 9), round(v.y, 9)) for v in found.outline.vertices)

    shuffled = dice.sample(pieces, len(pieces))
    assert vertices(pieces) == vertices(shuffled)
