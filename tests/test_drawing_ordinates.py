"""Texts along an edge keep apart, keep their order and move as little as can be."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountgen.package.drawing_ordinates import Edge, Ordinate, merged, spread

PLACES = st.lists(st.floats(0.0, 400.0), max_size=40).map(sorted)


@given(PLACES)
def test_no_two_texts_come_closer_than_the_pitch(wanted):
    placed = spread(wanted, 3.7)
    assert all(b - a >= 3.7 - 1e-9 for a, b in pairwise(placed))


@given(PLACES)
def test_texts_move_as_far_to_the_left_as_to_the_right(wanted):
    """Least squares: the sum of all shifts is zero, in the whole and so in each block."""
    assert sum(spread(wanted, 3.7)) == pytest.approx(sum(wanted), abs=1e-6)


@given(st.lists(st.integers(0, 100), unique=True, max_size=30).map(sorted))
def test_texts_that_stand_apart_stay_where_they_are(wanted):
    places = [4.0 * n for n in wanted]
    assert spread(places, 3.7) == pytest.approx(places)


def test_three_texts_at_one_place_stand_about_it():
    assert spread([50.0, 50.0, 50.0], 4.0) == pytest.approx([46.0, 50.0, 54.0])


def test_two_clashing_pairs_merge_into_one_block_only_when_they_meet():
    assert spread([10.0, 10.0, 30.0, 30.0], 4.0) == pytest.approx([8.0, 12.0, 28.0, 32.0])
    assert spread([10.0, 10.0, 14.0, 14.0], 4.0) == pytest.approx([6.0, 10.0, 14.0, 18.0])


def test_equal_values_share_the_leader_of_the_farthest_feature():
    edge = Edge("bottom", 100.0)
    near, far = Ordinate(20.0, "20", 40.0, 90.0), Ordinate(20.0, "20", 40.0, 30.0)
    assert merged([near, far], edge) == [far]
    assert merged([far, near], edge) == [far]
    top = Edge("top", 10.0)
    assert merged([near, far], top) == [near]
