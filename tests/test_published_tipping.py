"""Tipping, sliding and loads of feet against handbooks, closed forms and scaling. Sources stand beside."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from mountgen.mechanics.beams import GRAVITY
from mountgen.mechanics.tipping import (
    PointMass,
    Push,
    Stand,
    foot_load_range,
    foot_loads,
    height_of_tipping,
    least_ballast,
    least_widening,
    resultant,
    sliding_safety,
    standing_loads,
    support_polygon,
    tipping,
)

SQUARE = ((0.0, 0.0), (600.0, 0.0), (600.0, 600.0), (0.0, 600.0))
INCH, POUND_FORCE = 25.4, 4.4482216152605


# Published


# Beer and Johnston, Vector Mechanics: Statics, problem on a cabinet on locked casters: 120 lb, 24 in from
# caster to caster, mu = 0.30. Answers (from memory, and by the closed form): P = 36.0 lb, h = 40.0 in.
def test_the_cabinet_slides_and_tips():
    weight, push = 120 * POUND_FORCE, 36 * POUND_FORCE
    assert sliding_safety(weight, push, 0.30) == pytest.approx(1.0)
    assert height_of_tipping(12 * INCH, 0.30) == pytest.approx(40 * INCH)
    wide = 24 * INCH
    feet = ((0.0, 0.0), (wide, 0.0), (wide, wide), (0.0, wide))
    cabinet = Stand((PointMass(weight / GRAVITY, (wide / 2, wide / 2, 500.0)),), feet)
    assert tipping(cabinet, Push(push, 40 * INCH)).safety == pytest.approx(1.0)


# Any text on foundations (Bowles, Foundation Analysis and Design, eccentric footings, from memory):
# q = P / A (1 +- 6 e / B); at e = B / 6, the edge of the kern, one side carries nothing and the other twice
# the mean. For four feet at the corners the kern reaches e = B / 2, where two of them carry all.
@pytest.mark.parametrize(("share", "low", "high"), [(0.0, 0.25, 0.25), (0.25, 0.125, 0.375), (0.5, 0.0, 0.5)])
def test_four_feet_under_an_eccentric_load(share, low, high):
    loads = foot_loads(SQUARE, 1000.0, (300.0 + share * 600.0, 300.0))
    assert loads == pytest.approx(1000.0 * np.array([low, high, high, low]))


# Formula of pile groups, P = Q / n +- M x / sum x^2 (Bowles; from memory), six piles in two rows of three at
# 1 m, Q = 1200 kN, M = 200 kN m along the rows: 200 +- 200 x 1 / 4 = 150, 200, 250 kN, by hand.
def test_a_group_of_six():
    piles = [(x, y) for y in (0.0, 1.0) for x in (-1.0, 0.0, 1.0)]
    assert foot_loads(piles, 1200.0, (200 / 1200, 0.5)) == pytest.approx([150, 200, 250] * 2)


# By hand


def stand(kg: float = 40.0, at: tuple[float, float, float] = (300.0, 300.0, 700.0)) -> Stand:
    return Stand((PointMass(kg, at),), SQUARE)


def test_a_mass_that_overhangs_turns_and_does_not_hold():
    """30 kg in the middle, 5 kg 200 mm beyond the right edge; 60 N at 1100 mm:
    30 g x 300 mm against 60 x 1100 + 5 g x 200 N mm."""
    made = Stand((PointMass(30, (300, 300, 100)), PointMass(5, (800, 300, 1000))), SQUARE)
    found = tipping(made, Push(60, 1100))
    assert found.edge == ((600.0, 0.0), (600.0, 600.0))
    assert found.holding == pytest.approx(30 * GRAVITY * 300)
    assert found.turning == pytest.approx(60 * 1100 + 5 * GRAVITY * 200)
    assert made.centre == pytest.approx(((30 * 300 + 5 * 800) / 35, 300, (3000 + 5000) / 35))


def test_nothing_turns_a_stand_that_nobody_pushes():
    assert tipping(stand(), Push(0, 1000)).safety == math.inf
    assert sliding_safety(100, 0, 0.3) == math.inf


def test_ballast_and_wider_feet_reach_the_factor_exactly():
    made = Stand((PointMass(20, (250, 300, 400)), PointMass(6, (700, 300, 1000))), SQUARE)
    push = Push(100, 1000)
    assert tipping(made, push).safety < 1
    kg = least_ballast(made, push, 1.5, (300, 300))
    loaded = Stand((*made.masses, PointMass(kg, (300, 300, 50))), SQUARE)
    assert tipping(loaded, push).safety == pytest.approx(1.5)
    out = least_widening(made, push, 1.5)
    feet = tuple((x + math.copysign(out, x - 300), y + math.copysign(out, y - 300)) for x, y in SQUARE)
    assert tipping(Stand(made.masses, feet), push).safety == pytest.approx(1.5)


def test_no_ballast_where_none_is_needed_and_none_helps_on_the_edge():
    assert least_ballast(stand(), Push(10, 1000), 1.5, (300, 300)) == 0.0
    assert least_widening(stand(), Push(10, 1000), 1.5) == 0.0
    assert least_ballast(stand(), Push(200, 1000), 1.5, (600, 300)) == math.inf
    assert least_ballast(stand(), Push(200, 1000), 1.5, (700, 300)) == math.inf


def test_a_widening_that_a_mass_passes():
    """10 kg at -100 mm of an edge and 1 kg far inside: solved by hand, 10 g (w - 100) + g (w + 50) = M."""
    feet = ((0.0, 0.0), (200.0, 0.0), (200.0, 1000.0), (0.0, 1000.0))
    made = Stand((PointMass(10, (-100, 500, 0)), PointMass(1, (50, 500, 0))), feet)
    push = Push(GRAVITY, 500.0)
    assert least_widening(made, push, 1.0) == pytest.approx((500 + 1000 - 50) / 11)


def test_a_widening_that_no_mass_passes():
    """20 kg 50 mm inside, 10 kg 100 mm beyond, no push, twofold: 20 (50 + w) = 2 x 10 (100 - w), w = 25."""
    feet = ((0.0, 0.0), (200.0, 0.0), (200.0, 1000.0), (0.0, 1000.0))
    made = Stand((PointMass(10, (-100, 500, 0)), PointMass(20, (50, 500, 0))), feet)
    assert least_widening(made, Push(0, 0), 2.0) == pytest.approx(25.0)


def test_feet_that_lift_off():
    """Beyond the line between two feet of a square the one behind lifts; three carry by their levers."""
    loads = standing_loads(SQUARE, 100.0, (450.0, 450.0))
    assert loads == pytest.approx([0.0, 25.0, 50.0, 25.0])
    assert foot_loads(SQUARE, 100.0, (450.0, 450.0)) == pytest.approx([0.0, 25.0, 50.0, 25.0])
    assert foot_loads(SQUARE, 100.0, (540.0, 540.0)) == pytest.approx([-15.0, 25.0, 65.0, 25.0])
    assert standing_loads(SQUARE, 100.0, (540.0, 540.0)) == pytest.approx([0.0, 10.0, 80.0, 10.0])
    assert standing_loads(SQUARE, 100.0, (600.0, 150.0)) == pytest.approx([0.0, 75.0, 25.0, 0.0])
    assert standing_loads(SQUARE, 100.0, (600.0, 600.0)) == pytest.approx([0.0, 0.0, 100.0, 0.0])


def test_refused():
    with pytest.raises(ValueError, match="tips"):
        standing_loads(SQUARE, 100.0, (601.0, 300.0))
    with pytest.raises(ValueError, match="one line"):
        support_polygon([(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)])
    with pytest.raises(ValueError, match="one line"):
        support_polygon([(0.0, 0.0), (1.0, 0.0)])
    with pytest.raises(ValueError, match="at most 8"):
        standing_loads([(float(k), float(k * k)) for k in range(9)], 1.0, (1.0, 2.0))
    with pytest.raises(ValueError, match="mass"):
        Stand((), SQUARE)
    with pytest.raises(ValueError, match="friction"):
        sliding_safety(1.0, 1.0, 0.0)
    with pytest.raises(ValueError, match="finite"):
        support_polygon([(0.0, 0.0), (math.nan, 0.0), (1.0, 1.0)])


# Scaling and properties

PLACES = st.floats(0.0, 600.0)
SPOTS = st.tuples(st.integers(-50, 50), st.integers(-50, 50))


def test_feet_inside_or_along_an_edge_do_not_count():
    more = (*SQUARE, (300.0, 300.0), (300.0, 0.0), (600.0, 600.0))
    assert support_polygon(more) == SQUARE


@given(PLACES, PLACES, st.floats(0.0, 2 * math.pi), st.floats(1.0, 200.0))
def test_a_push_at_the_limit_keeps_the_resultant_on_the_feet_from_every_side(x, y, towards, height):
    made = stand(at=(x, y, 500.0))
    assume(min(x, y, 600 - x, 600 - y) > 1.0)
    at_one = tipping(made, Push(1.0, height)).safety
    at = resultant(made, Push(at_one, height), towards)
    assert all(-1e-6 <= side <= 600 + 1e-6 for side in at)
    edge = tipping(made, Push(at_one, height)).edge
    assert tipping(made, Push(at_one, height)).safety == pytest.approx(1.0)
    assert edge == tipping(made, Push(1.0, height)).edge


@given(PLACES, PLACES)
def test_feet_carry_the_load_and_its_moments(x, y):
    for loads in (foot_loads(SQUARE, 500.0, (x, y)), standing_loads(SQUARE, 500.0, (x, y))):
        assert loads.sum() == pytest.approx(500.0)
        assert loads @ np.array(SQUARE) == pytest.approx(500.0 * np.array([x, y]), abs=1e-3)
    assert np.all(standing_loads(SQUARE, 500.0, (x, y)) >= 0)


@given(st.lists(SPOTS, min_size=3, max_size=6, unique=True), st.floats(0.0, 2 * math.pi))
def test_no_side_of_the_push_leaves_the_range(spots, towards):
    feet = [(float(x), float(y)) for x, y in spots]
    middle = np.mean(feet, axis=0)
    assume(np.linalg.cond(np.cov(np.array(feet).T)) < 1e4)
    low, high = foot_load_range(feet, 100.0, tuple(middle), 250.0)
    at = middle + 2.5 * np.array([math.cos(towards), math.sin(towards)])
    loads = foot_loads(feet, 100.0, tuple(at))
    assert np.all(loads >= low - 1e-6) and np.all(loads <= high + 1e-6)


@pytest.mark.parametrize("foot", range(4))
def test_the_range_is_reached_when_the_push_comes_from_the_opposite_corner(foot):
    """M over the diagonal: W / 4 + M / d, d = 600 sqrt 2."""
    low, high = foot_load_range(SQUARE, 400.0, (300.0, 300.0), 60_000.0)
    assert high[foot] == pytest.approx(100 + 60_000 / (600 * math.sqrt(2)))
    assert low[foot] == pytest.approx(100 - 60_000 / (600 * math.sqrt(2)))


@given(st.floats(0.1, 10.0))
def test_twice_the_mass_or_the_base_is_twice_the_safety(factor):
    push = Push(50.0, 1100.0)
    once = tipping(stand(), push).safety
    assert tipping(stand(40.0 * factor), push).safety == pytest.approx(factor * once)
    wide = tuple((x * factor, y * factor) for x, y in SQUARE)
    grown = Stand((PointMass(40, (300 * factor, 300 * factor, 700)),), wide)
    assert tipping(grown, push).safety == pytest.approx(factor * once)
    assert tipping(stand(), Push(50.0 * factor, 1100.0)).safety == pytest.approx(once / factor)
