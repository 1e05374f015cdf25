"""What holds for all numbers: powers, signs, orders and bounds."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountgen.mechanics import beams, bolts, timing, tolerances
from mountgen.mechanics.tolerances import Contribution

lengths = st.floats(1.0, 2000.0)
factors = st.floats(0.1, 10.0)
frequencies = st.lists(st.floats(0.5, 500.0), min_size=1, max_size=6)


@given(lengths, factors)
def test_deflection_grows_with_the_third_power_of_length(length, k):
    once, longer = (beams.cantilever_deflection(10.0, x, 7e4, 1e4) for x in (length, k * length))
    assert longer / once == pytest.approx(k**3)


@given(lengths, lengths, factors)
def test_a_frame_scaled_in_all_lengths_has_deflection_over_k(arm, post, k):
    """Same force, every length times k: I grows with k^4, deflection falls with k."""
    once = beams.l_frame_deflection(10.0, arm, post, 7e4, 1e4, 2e4)
    scaled = beams.l_frame_deflection(10.0, k * arm, k * post, 7e4, 1e4 * k**4, 2e4 * k**4)
    assert scaled == pytest.approx(once / k)


@given(lengths, lengths)
def test_turning_the_force_round_turns_the_deflection_round(arm, post):
    assert beams.l_frame_sway(-10.0, arm, post, 7e4, 1e4) == -beams.l_frame_sway(10.0, arm, post, 7e4, 1e4)


@given(lengths, lengths)
def test_stiff_post_leaves_the_arm_alone(arm, post):
    """Out of plane and in plane, a frame on a post without give is its arm."""
    arm_only = beams.cantilever_deflection(10.0, arm, 7e4, 1e4)
    in_plane = beams.l_frame_deflection(10.0, arm, post, 7e4, 1e30, 1e4)
    out = beams.l_frame_out_of_plane(10.0, arm, post, 7e4 * 1e4, 1e30, 1e30)
    assert in_plane == pytest.approx(arm_only)
    assert out == pytest.approx(arm_only)


@given(frequencies)
def test_dunkerley_is_below_every_part_and_independent_of_order(parts):
    whole = beams.dunkerley_frequency(parts)
    assert whole <= min(parts) * (1 + 1e-12)
    assert beams.dunkerley_frequency(parts[::-1]) == pytest.approx(whole)


@given(lengths, lengths)
def test_torsion_constant_does_not_mind_which_side_is_which(width, thickness):
    j = beams.torsion_constant_rectangle(width, thickness)
    assert j == beams.torsion_constant_rectangle(thickness, width)
    assert 0 < j < max(width, thickness) * min(width, thickness) ** 3 / 3


@given(st.lists(lengths, min_size=2, max_size=5))
def test_arrays_give_what_floats_give(values):
    array = beams.cantilever_frequency(np.array(values), 7e4, 1e4, 2.0, 1.0)
    assert array == pytest.approx([beams.cantilever_frequency(v, 7e4, 1e4, 2.0, 1.0) for v in values])


@given(st.floats(-5000, 5000), st.floats(-5000, 5000), st.floats(-300, 300), st.floats(0, 6.28))
def test_bolt_group_turned_with_its_load_turns_its_forces(fx, fy, at, angle):
    group = np.array([(0.0, 0.0), (50.0, 0.0), (50.0, 80.0), (0.0, 80.0)])
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    force, point = np.array([fx, fy]), np.array([at, 40.0])
    forces = bolts.bolt_group_forces(group, force, point)
    turned = bolts.bolt_group_forces(group @ turn.T, turn @ force, turn @ point)
    assert turned == pytest.approx(forces @ turn.T, abs=1e-6)


@given(st.floats(0.05, 0.3), factors)
def test_torque_follows_the_preload(friction, k):
    once, more = (bolts.tightening_torque(f, 6.0, 1.0, friction, friction, 7.8) for f in (8000.0, 8000.0 * k))
    assert more / once == pytest.approx(k)


@given(st.floats(0.05, 200.0), st.floats(20.0, 600.0))
def test_divider_is_the_nearest_whole_number(per_mm, dpi):
    ratio = timing.counts_per_column(per_mm, dpi)
    if ratio < 1:
        with pytest.raises(timing.EncoderTooCoarseError):
            timing.choose_divider(per_mm, dpi)
        return
    found = timing.choose_divider(per_mm, dpi)
    assert found.divider >= 1
    assert abs(found.divider - ratio) <= 0.5 + 1e-9
    assert found.print_length_error == pytest.approx(dpi / found.resolution_dpi - 1, abs=1e-9)


@given(st.floats(1.0, 2000.0), st.floats(1.0, 2000.0))
def test_queue_holds_every_product_on_the_way(distance, pitch):
    pending = timing.pending_triggers(distance, pitch)
    assert (pending - 1) * pitch <= distance * (1 + 1e-6)
    assert distance <= pending * pitch * (1 + 1e-6)


@given(st.lists(st.floats(0.0, 5.0), min_size=1, max_size=8))
def test_root_sum_square_lies_between_the_largest_and_the_worst_case(limits):
    parts = [Contribution("part", limit, "drawing") for limit in limits]
    likely, worst = tolerances.root_sum_square(parts), tolerances.worst_case(parts)
    assert max(limits) <= likely * (1 + 1e-9) + 1e-12
    assert likely <= worst * (1 + 1e-9) + 1e-12


@given(st.floats(0.5, 4000.0), st.floats(0.5, 4000.0))
def test_longer_parts_have_no_tighter_general_tolerance(one, other):
    short, long = sorted((one, other))
    assert tolerances.linear_limit(short) <= tolerances.linear_limit(long)
