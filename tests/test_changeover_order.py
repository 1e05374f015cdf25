"""The order of settings: against every order there is, and what holds for all."""

from __future__ import annotations

from itertools import pairwise, permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mountgen.package.changeover_order import MOST_EXACT, MOST_IMPROVED, small_order, travel


def way(points, order) -> float:
    """The way as a person adds it up."""
    return sum(abs(a - b) for i, j in pairwise(order) for a, b in zip(points[i], points[j], strict=True))


places = st.tuples(st.integers(0, 400), st.integers(0, 200), st.sampled_from((0, 90)))


@settings(max_examples=40, deadline=None)
@given(st.lists(places, min_size=1, max_size=7))
def test_no_order_of_few_settings_is_shorter(points):
    found = small_order(np.array(points, dtype=float)).tolist()
    assert sorted(found) == list(range(len(points)))
    assert way(points, found) == min(way(points, order) for order in permutations(range(len(points))))


def test_travel_is_the_sum_of_all_movements():
    assert travel(np.array([[0.0, 0.0, 0.0], [3.0, -4.0, 90.0], [3.0, 0.0, 90.0]])) == 3 + 4 + 90 + 4


@pytest.mark.parametrize("count", [MOST_EXACT + 1, 60, MOST_IMPROVED + 1])
def test_many_settings_are_each_visited_once_and_far_less_is_moved_than_as_they_come(count):
    points = np.random.default_rng(count).uniform(0, 300, (count, 2))
    order = small_order(points)
    assert sorted(order.tolist()) == list(range(count))
    assert travel(points[order]) < 0.5 * travel(points)


@pytest.mark.parametrize("seed", range(5))
def test_settings_just_too_many_for_the_exact_way_are_near_it(seed, monkeypatch):
    """Within a quarter of the shortest (2-opt is about 5 per cent off on average, common knowledge)."""
    points = np.random.default_rng(seed).uniform(0, 300, (10, 2))
    exact = travel(points[small_order(points)])
    monkeypatch.setattr("mountgen.package.changeover_order.MOST_EXACT", 3)
    assert exact <= travel(points[small_order(points)]) + 1e-9 <= 1.25 * exact


def test_a_line_of_settings_is_swept_from_end_to_end():
    points = np.column_stack([np.random.default_rng(1).permutation(40) * 5.0, np.zeros(40)])
    assert travel(points[small_order(points)]) == 39 * 5.0


@pytest.mark.parametrize("seed", range(6))
def test_two_opt_leaves_no_stretch_whose_turning_shortens(seed):
    points = np.random.default_rng(seed).uniform(0, 300, (40, 2))
    found = points[small_order(points)]
    for start in range(40):
        for end in range(start + 1, 40):
            turned = np.concatenate([found[:start], found[start : end + 1][::-1], found[end + 1 :]])
            assert travel(turned) >= travel(found) - 1e-6
