"""Joints by closed forms worked here, by scaling, and what must turn when a load turns."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from joint_samples import group, load, thread

from mountgen.mechanics.preload import Margin
from mountgen.mechanics.prying import PulledLeg
from mountgen.structure.joint_strength import (
    FRICTIONS,
    SLIP_SAFETY,
    WRENCH_SCATTER,
    JointMargins,
    Leg,
    Lips,
    Plate,
    bearing,
    joint_margins,
    pried_by,
    screw_forces,
    torque_for,
)
from mountgen.structure.loosening import EACH_TIME, LOCKED, PREVAILING, RIBBED, SETTLES, loosening_advice

PAIR = [(0.0, -30.0), (0.0, 30.0)]
FOUR = [(-15.0, 40.0), (15.0, 40.0), (-15.0, -40.0), (15.0, -40.0)]


def test_a_pull_is_shared_and_a_push_is_left_out():
    pulled = screw_forces(group(FOUR), (load((0.0, -400.0, 0.0)), load((0.0, 400.0, 0.0))))
    assert pulled.tension.tolist() == [[100.0] * 4, [0.0] * 4]
    other_side = screw_forces(group(FOUR, apart=(0.0, 1.0, 0.0)), (load((0.0, 400.0, 0.0)),))
    assert other_side.tension.tolist() == [[100.0] * 4]


@pytest.mark.parametrize(("couple", "pulled"), [((6e3, 0.0, 0.0), 30.0), ((-6e3, 0.0, 0.0), -30.0)])
def test_a_bracket_tips_about_its_lower_rim(couple, pulled):
    """Weight that hangs on the operator's side turns the bracket about +x: its top comes off the wall. The
    pair's levers are 6 and 66 mm: 6000 x 66 / (6^2 + 66^2) = 90.16 N."""
    found = screw_forces(group(PAIR), (load(couple=couple),))
    row = int(found.tension[0].argmax())
    assert PAIR[row][1] == pulled
    assert found.tension.max() == pytest.approx(6e3 * 66 / (36 + 66**2))


def test_a_couple_about_z_pulls_the_screws_on_its_side():
    """About +z the part on the operator's side comes off where x is below zero."""
    found = screw_forces(group(FOUR), (load(couple=(0.0, 0.0, 3e3)),))
    left = [x < 0 for x, _ in FOUR]
    assert (found.tension[0][left] > found.tension[0][np.logical_not(left)]).all()
    assert found.tension.max() == pytest.approx(3e3 * 36 / (2 * 36**2 + 2 * 6**2))


def test_tension_balances_the_couple():
    """Forces times levers about the rim give the couple back."""
    found = screw_forces(group(FOUR), (load(couple=(5e3, 0.0, 0.0)),))
    levers = np.array([z + 40.0 + 6.0 for _, z in FOUR])
    assert found.tension[0] @ levers == pytest.approx(5e3)


def test_the_faces_meet_behind_the_heads():
    """A force along x at the heads, 3 mm before the faces, tips with 3 mm: couple -3 F about z."""
    shifted = screw_forces(group(FOUR, plane=3.0), (load((100.0, 0.0, 0.0)),))
    direct = screw_forces(group(FOUR), (load((100.0, 0.0, 0.0), (0.0, 0.0, 300.0)),))
    assert shifted.tension == pytest.approx(direct.tension)


def test_slip_of_a_pair_by_hand():
    """2 x 30 mm apart, 1200 N mm about y and 60 N down: 20 N and 30 N square to each other on each screw;
    preload 1.25 / 0.15 x 36.06. Low preload: 0.9 x 10.1 N m by the rough end of the friction."""
    found = joint_margins(group(PAIR), (load((0.0, 0.0, -60.0), (0.0, 1200.0, 0.0)),), 0.15)
    assert found.slip.value == pytest.approx(SLIP_SAFETY / 0.15 * math.hypot(30.0, 20.0))
    d2 = 6.0 - 0.649519
    arm = 0.159 + 0.577 * FRICTIONS[1] * d2 + FRICTIONS[1] * (10.0 + 6.6) / 4
    assert found.preload.low == pytest.approx((1 - WRENCH_SCATTER) * 10100.0 / arm)
    assert found.slip.margin == pytest.approx(found.preload.low / found.slip.value - 1)


def test_the_friction_that_is_needed_just_holds():
    loads = (load((50.0, -40.0, -60.0), (9e3, 4e4, 2e3)), load((0.0, 0.0, -60.0), (0.0, -3e4, 0.0)))
    needed = joint_margins(group(FOUR), loads, 0.15).friction_needed
    assert joint_margins(group(FOUR), loads, needed).slip.margin == pytest.approx(0.0, abs=1e-9)


def test_no_friction_holds_what_is_pulled_off():
    assert joint_margins(group(PAIR), (load((0.0, -20e3, 0.0)),), 0.15).friction_needed == math.inf


@pytest.mark.parametrize("preload", [500.0, 3000.0, 9000.0])
def test_the_torque_that_is_advised_gives_the_preload(preload):
    torque = torque_for(thread(), preload)
    found = joint_margins(group(PAIR, torque_nm=torque), (load((10.0, 0.0, 0.0)),), 0.15)
    assert found.preload.low == pytest.approx(preload)


vector = st.tuples(*[st.floats(-1e3, 1e3)] * 3)


@given(vector, vector, st.floats(1.1, 10.0))
def test_everything_goes_with_the_load(force, couple, times):
    once = screw_forces(group(FOUR), (load(force, couple),))
    more = screw_forces(
        group(FOUR), (load(tuple(times * f for f in force), tuple(times * c for c in couple)),)
    )
    assert more.shear == pytest.approx(times * once.shear)
    assert more.tension == pytest.approx(times * once.tension)


@given(vector, vector)
def test_screws_farther_apart_carry_less_of_a_couple(force, couple):
    wide = [(2 * x, 2 * z) for x, z in FOUR]
    near, far = (screw_forces(group(s), (load((0.0, 0.0, 0.0), couple),)) for s in (FOUR, wide))
    assert far.shear.max() <= near.shear.max() + 1e-9
    assert far.tension.max() <= near.tension.max() + 1e-9


def test_threads_strip_before_the_screw_breaks_where_little_is_engaged():
    """Half of the engagement bears half of the force; beyond a full one the screw breaks."""
    deep, half = (joint_margins(group(PAIR, engaged=e), (load(),), 0.15) for e in (8.0, 1.0))
    assert deep.stripping.limit == pytest.approx(800.0 * thread().stress_area_mm2)
    quarter = joint_margins(group(PAIR, engaged=0.5), (load(),), 0.15)
    assert half.stripping.limit == pytest.approx(2 * quarter.stripping.limit)
    assert half.stripping.limit < deep.stripping.limit


def leg(thickness: float, rows: int = 1) -> Leg:
    return Leg(PulledLeg(40.0, 18.0, 15.0, 6.0, 6.6, 235.0), thickness, rows)


def test_a_thin_leg_pries():
    """M = 235 x 40 x 9 / 4 = 21150 N mm, lever 15: up to 1410 N there is no prying; at 2000 N it is
    (2000 x 15 - 21150) / (15 + 3) = 491.7 N."""
    assert pried_by(leg(3.0), 1400.0) == 0.0
    assert pried_by(leg(3.0), 2000.0) == pytest.approx((2000 * 15 - 21150) / 18)
    assert pried_by(leg(6.0), 2000.0) == 0.0


def test_the_nearest_screw_takes_its_rows_whole_pull():
    assert pried_by(leg(6.0, rows=2), 300.0) == pytest.approx(300.0)


def test_a_plate_bears_in_proportion_to_its_thickness():
    thin = Plate("plate", 2.0, 360.0, 6.6, 10.0, slotted=False)
    assert bearing(replace(thin, thickness=5.0), thread(), 800.0) == pytest.approx(
        2.5 * bearing(thin, thread(), 800.0)
    )


def test_lips_are_two_hinges():
    """18 mm of 2 mm lips at a lever of 2.35 mm, 150 MPa: 2 x 150 x 18 x 4 / 4 / 2.35 = 2297.9 N."""
    assert Lips(18.0, 2.0, 2.35, 150.0).resistance == pytest.approx(2 * 150 * 18 / 2.35)


def joint(margin: float, **changes: object) -> JointMargins:
    found = joint_margins(group(PAIR), (load((10.0, 0.0, 0.0)),), 0.15)
    return replace(found, slip=Margin("slip", 1000.0, 1000.0 * (1 + margin)), **changes)


@pytest.mark.parametrize(
    ("margin", "title", "end", "advice"),
    [
        (3.0, "ear to arm", "T-nut", SETTLES),
        (0.4, "post to rail angle", "T-nut", LOCKED),
        (0.4, "rail angle to rail", "nut", PREVAILING),
        (0.4, "cross plate to arm", "T-nut", RIBBED),
        (3.0, "pivot and tilt lock", "press nut", EACH_TIME),
    ],
)
def test_advice_against_loosening(margin, title, end, advice):
    assert loosening_advice(joint(margin, title=title, end=end)) == advice


def test_tightening_is_told_only_when_it_overdoes():
    found = joint_margins(group(PAIR), (load((10.0, 0.0, 0.0)),), 0.15)
    assert "tightening" not in found.weakest.name
    overdone = joint_margins(group(PAIR, torque_nm=12.0), (load((10.0, 0.0, 0.0)),), 0.15)
    assert "tightening" in overdone.weakest.name
