"""Preload and prying: equilibrium, consistency between formulas, properties, refusals."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountgen.mechanics.bolts import slip_resistance, tightening_torque
from mountgen.mechanics.preload import (
    Clamp,
    Margin,
    PlaneLoad,
    Thread,
    friction_radius,
    group_preload,
    least_engagement,
    metric_thread_limits,
    plane_forces,
    preload_of_torque,
    preload_range,
    required_preload,
    shear_areas,
    single_bolt_preload,
    slip_margin,
)
from mountgen.mechanics.prying import (
    PulledLeg,
    TStub,
    least_thickness,
    prying_factor,
    prying_force,
    t_stub_resistance,
    thickness_without_prying,
)

CLAMP = Clamp(friction=0.2, surfaces=1, safety=1.25)
M6 = Thread(6.0, 1.0, 8.3)
SLOT = np.array([[0.0, 0.0], [0.0, 60.0]])
forces = st.floats(-1000.0, 1000.0)


@given(st.tuples(forces, forces), st.tuples(forces, forces), forces)
def test_bolts_together_balance_the_load(force, at, couple):
    bolts = np.array([[0.0, 0.0], [60.0, 10.0], [20.0, 80.0]])
    found = plane_forces(bolts, PlaneLoad(force, at, couple))
    assert found.sum(axis=0) == pytest.approx(force, abs=1e-6)
    moment = np.sum(bolts[:, 0] * found[:, 1] - bolts[:, 1] * found[:, 0])
    assert moment == pytest.approx(at[0] * force[1] - at[1] * force[0] + couple, rel=1e-6, abs=1e-4)


def test_two_bolts_in_a_slot():
    """A couple M on two bolts 60 mm apart is M / 60 on each, across the slot."""
    found = plane_forces(SLOT, PlaneLoad((0.0, 0.0), couple=6000.0))
    assert found == pytest.approx(np.array([[100.0, 0.0], [-100.0, 0.0]]))
    assert group_preload(SLOT, PlaneLoad((0.0, 0.0), couple=6000.0), np.zeros(2), CLAMP) == pytest.approx(
        625.0
    )


def test_tension_adds_to_the_preload():
    load = PlaneLoad((0.0, -80.0), (0.0, 30.0))
    assert group_preload(SLOT, load, np.array([0.0, 500.0]), CLAMP) == pytest.approx(40.0 * 6.25 + 500.0)
    assert required_preload(40.0, 500.0, CLAMP) == pytest.approx(750.0)


@given(st.floats(1.0, 1e4), st.floats(0.05, 0.5), st.integers(1, 3), st.floats(1.0, 3.0))
def test_required_preload_gives_just_the_resistance(shear, friction, surfaces, safety):
    preload = required_preload(shear, 0.0, Clamp(friction, surfaces, safety))
    assert slip_resistance(preload, friction, surfaces, safety) == pytest.approx(shear)


@given(st.floats(1.0, 500.0), st.floats(10.0, 1e4))
def test_twice_the_load_is_twice_the_preload(force, couple):
    one = group_preload(SLOT, PlaneLoad((force, force), (30.0, 100.0), couple), np.zeros(2), CLAMP)
    two = group_preload(
        SLOT, PlaneLoad((2 * force, 2 * force), (30.0, 100.0), 2 * couple), np.zeros(2), CLAMP
    )
    assert two == pytest.approx(2 * one)


def test_lone_bolt():
    assert single_bolt_preload(20.0, -300.0, 6.0, CLAMP) == pytest.approx((20.0 + 50.0) * 6.25)
    assert single_bolt_preload(20.0, 0.0, 6.0, CLAMP) == required_preload(20.0, 0.0, CLAMP)


def test_more_faces_need_less():
    assert replace(CLAMP, surfaces=2).preload_for_one == CLAMP.preload_for_one / 2


@given(st.floats(100.0, 2e4), st.floats(0.05, 0.3), st.floats(0.05, 0.3))
def test_torque_and_back(torque, thread_friction, head_friction):
    preload = preload_of_torque(torque, M6, thread_friction, head_friction)
    assert tightening_torque(preload, 6.0, 1.0, thread_friction, head_friction, 8.3) == pytest.approx(torque)


def test_range_of_preloads():
    found = preload_range(9000.0, M6, (0.08, 0.16), 0.1)
    assert found.low == pytest.approx(preload_of_torque(8100.0, M6, 0.16, 0.16))
    assert found.high == pytest.approx(preload_of_torque(9900.0, M6, 0.08, 0.08))
    assert found.low < preload_of_torque(9000.0, M6, 0.12, 0.12) < found.high


def test_margins():
    assert slip_margin("joint", 3000.0, 1500.0) == Margin("joint", 1500.0, 3000.0)
    assert Margin("x", 1500.0, 3000.0).margin == pytest.approx(1.0)
    assert Margin("x", 3000.0, 3000.0).is_met
    assert not Margin("x", 3001.0, 3000.0).is_met
    assert Margin("x", 4000.0, 3000.0).margin == pytest.approx(-0.25)
    assert Margin("x", 0.0, 1.0).margin == math.inf


def test_weak_nut_threads_need_more():
    limits = metric_thread_limits(6.0, 1.0)
    lengths = [least_engagement(limits, 800.0, nut) for nut in (1000.0, 800.0, 400.0, 200.0)]
    assert lengths == sorted(lengths)
    assert lengths[3] == pytest.approx(2 * lengths[2])
    screw, nut = shear_areas(limits)
    assert lengths[3] * nut * 200.0 == pytest.approx(2 * limits.stress_area * 800.0)
    assert nut > screw


LEG = PulledLeg(pitch=40.0, bolt_at=25.0, rim=20.0, diameter=6.0, hole=6.6, strength_mpa=235.0)


def test_levers_of_a_leg():
    """b' = b - d/2, a' = a + d/2 with a up to 1.25 b, delta = 1 - d_h / p."""
    assert (LEG.lever, LEG.rim_lever, LEG.net) == pytest.approx((22.0, 23.0, 0.835))
    assert replace(LEG, rim=60.0).rim_lever == pytest.approx(34.25)
    assert LEG.moment(4.0) == pytest.approx(235.0 * 40.0 * 16.0 / 4)


def test_stiff_leg_does_not_pry():
    thick = thickness_without_prying(1000.0, LEG)
    assert prying_force(1000.0, LEG, thick) == pytest.approx(0.0, abs=1e-6)
    assert prying_force(1000.0, LEG, 2 * thick) == 0.0
    assert prying_factor(1000.0, LEG, 2 * thick) == 1.0


def test_forces_on_the_leg_balance():
    """Moments about the bolt's near side: at the root T b' - Q a' = M, at the bolt Q a' within delta M."""
    thick = 0.85 * thickness_without_prying(1000.0, LEG)
    force = prying_force(1000.0, LEG, thick)
    assert 1000.0 * LEG.lever - force * LEG.rim_lever == pytest.approx(LEG.moment(thick))
    assert 0.0 < force * LEG.rim_lever < LEG.net * LEG.moment(thick)
    assert prying_factor(1000.0, LEG, thick) == pytest.approx((1000.0 + force) / 1000.0)


@given(st.floats(1.001, 3.0))
def test_least_thickness_loads_the_bolt_just_fully(spare):
    """At the least thickness T + Q is the bolt's resistance, or the leg folds at root and bolts first."""
    pull = 1000.0
    thick = least_thickness(pull, spare * pull, LEG)
    force = prying_force(pull, LEG, thick)
    folds = LEG.net * LEG.moment(thick) / LEG.rim_lever
    assert force == pytest.approx(min((spare - 1) * pull, folds), rel=1e-6)


def test_strong_bolts_let_the_leg_be_thinner():
    sizes = [least_thickness(1000.0, bolt, LEG) for bolt in (1000.0, 1100.0, 1300.0, 5000.0)]
    assert sizes == sorted(sizes, reverse=True)
    assert sizes[0] == pytest.approx(thickness_without_prying(1000.0, LEG))
    assert sizes[-1] == pytest.approx(sizes[0] / math.sqrt(1 + LEG.net))


def test_leg_that_folds_is_refused():
    with pytest.raises(ValueError, match="folds"):
        prying_force(1000.0, LEG, 0.5 * thickness_without_prying(1000.0, LEG))


STUB = TStub(length=100.0, thickness=10.0, m=30.0, rim=35.0, yield_mpa=235.0, bolts=2e5)


def test_modes_of_a_t_stub_follow_its_thickness():
    """Thin flanges yield, thick ones leave it to the bolts; virtual work of four hinges gives mode 1."""
    modes = [t_stub_resistance(replace(STUB, thickness=t)) for t in (5.0, 18.0, 40.0)]
    assert [m.mode for m in modes] == [1, 2, 3]
    assert modes[0].resistance * 30.0 == pytest.approx(4 * 100.0 * 5.0**2 * 235.0 / 4)
    assert modes[2].resistance == 2e5


def test_far_rim_does_not_count():
    near, far = (t_stub_resistance(replace(STUB, rim=rim)) for rim in (37.5, 80.0))
    assert near == far


@pytest.mark.parametrize(
    "make",
    [
        lambda: Clamp(0.0),
        lambda: Clamp(0.6),
        lambda: Clamp(0.2, 0),
        lambda: Clamp(0.2, 1, 0.9),
        lambda: Margin("x", -1.0, 1.0),
        lambda: Margin("x", 1.0, 0.0),
        lambda: preload_of_torque(0.0, M6, 0.1, 0.1),
        lambda: preload_range(1.0, M6, (0.2, 0.1), 0.1),
        lambda: preload_range(1.0, M6, (0.1, 0.2), 1.0),
        lambda: required_preload(-1.0, 0.0, CLAMP),
        lambda: required_preload(1.0, -1.0, CLAMP),
        lambda: plane_forces(SLOT, PlaneLoad((0.0, math.nan))),
        lambda: plane_forces(SLOT, PlaneLoad((0.0, 0.0), couple=math.inf)),
        lambda: plane_forces(np.zeros((2, 2)), PlaneLoad((1.0, 0.0))),
        lambda: group_preload(SLOT, PlaneLoad((1.0, 0.0)), np.array([-1.0, 0.0]), CLAMP),
        lambda: friction_radius(5.0, 5.0),
        lambda: single_bolt_preload(1.0, 1.0, 0.0, CLAMP),
        lambda: metric_thread_limits(3.0, 1.6),
        lambda: metric_thread_limits(2.0, 0.4),
        lambda: least_engagement(metric_thread_limits(6.0, 1.0), 800.0, 0.0),
        lambda: replace(LEG, hole=40.0),
        lambda: replace(LEG, hole=5.0),
        lambda: replace(LEG, bolt_at=3.0),
        lambda: replace(STUB, m=0.0),
        lambda: prying_force(-1.0, LEG, 3.0),
        lambda: prying_factor(0.0, LEG, 3.0),
        lambda: least_thickness(1000.0, 900.0, LEG),
        lambda: thickness_without_prying(-1.0, LEG),
    ],
)
def test_impossible_numbers_are_refused(make):
    with pytest.raises(ValueError, match=r"must"):
        make()
