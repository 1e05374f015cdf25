"""Preload, prying and thread engagement against published examples. The source stands beside each value."""

import math

import numpy as np
import pytest

from mountgen.mechanics.bolts import tension_resistance
from mountgen.mechanics.preload import (
    PlaneLoad,
    Thread,
    friction_radius,
    least_engagement,
    metric_thread_limits,
    plane_forces,
    preload_of_torque,
)
from mountgen.mechanics.prying import TStub, t_stub_resistance


def worst(bolts, force, at, couple=0.0):
    return np.linalg.norm(plane_forces(np.array(bolts), PlaneLoad(force, at, couple)), axis=1).max()


FOUR = [(-100.0, -75.0), (100.0, -75.0), (-100.0, 75.0), (100.0, 75.0)]


def test_four_bolts_under_an_eccentric_load():
    """Bhandari, Design of Machine Elements, Ex. 7.3: 10 kN at 500 mm, bolts 200 x 150: 12093 N."""
    assert worst(FOUR, (0.0, -10000.0), (500.0, 0.0)) == pytest.approx(12093.0, rel=1e-3)


def test_four_bolts_under_a_force_and_its_couple():
    """The same example with the force moved to the centre and its couple written out."""
    assert worst(FOUR, (0.0, -10000.0), (0.0, 0.0), -5e6) == pytest.approx(12093.0, rel=1e-3)


def test_three_bolts_in_line():
    """Bhandari, Ex. 7.4: 5 kN at 305 mm, pitch 75: 11833 N."""
    bolts = [(-75.0, 0.0), (0.0, 0.0), (75.0, 0.0)]
    assert worst(bolts, (0.0, -5000.0), (305.0, 0.0)) == pytest.approx(11833.0, rel=1e-3)


def test_six_bolts():
    """AS 4100 elastic method example: 2 x 3 bolts, pitch 70, gauge 80, 120 kN at 200 mm: 78.14 kN."""
    bolts = [(x, y) for x in (-40.0, 40.0) for y in (-70.0, 0.0, 70.0)]
    assert worst(bolts, (0.0, -120e3), (200.0, 0.0)) == pytest.approx(78140.0, rel=1e-3)


def test_four_bolts_of_a_bar_on_a_channel():
    """Shigley, Ex. 8-7, from memory: 16 kN at 425 mm, bolts 120 x 150: 21.0 and 14.8 kN."""
    bolts = [(x, y) for x in (-75.0, 75.0) for y in (-60.0, 60.0)]
    forces = np.linalg.norm(plane_forces(np.array(bolts), PlaneLoad((0.0, -16e3), (425.0, 0.0))), axis=1)
    assert forces.max() == pytest.approx(21000.0, rel=5e-3)
    assert forces.min() == pytest.approx(14800.0, rel=5e-3)


@pytest.mark.parametrize(
    ("diameter", "pitch", "torque", "preload", "head", "hole"),
    [
        (5.0, 0.8, 5.9, 7200.0, 8.0, 5.5),
        (6.0, 1.0, 10.1, 10200.0, 10.0, 6.6),
        (8.0, 1.25, 24.6, 18600.0, 13.0, 9.0),
        (10.0, 1.5, 48.0, 29600.0, 16.0, 11.0),
    ],
)
def test_preload_of_a_torque(diameter, pitch, torque, preload, head, hole):
    """VDI 2230-1, hexagon heads, 8.8, friction 0.12: 5.9, 10.1, 24.6, 48 Nm; 7.2, 10.2, 18.6, 29.6 kN."""
    thread = Thread(diameter, pitch, (head * 0.95 + hole) / 2)
    assert preload_of_torque(torque * 1000.0, thread, 0.12, 0.12) == pytest.approx(preload, rel=0.04)


@pytest.mark.parametrize(
    ("moment", "mode_1", "mode_2"), [(3345.8e3, 564.1e3, 282.2e3), (4169.5e3, 703e3, 313e3)]
)
def test_t_stub(moment, mode_1, mode_2):
    """Public worked example to EN 1993-1-8, 6.2.4: two M20 8.8, m 23.7 mm, n = 1.25 m, F_t3 282.2 kN.

    For its first row the example caps mode 2 at the bolts; by the clause it is 282.0 kN.
    """
    bolts = 2 * tension_resistance(245.0, 800.0)
    assert bolts == pytest.approx(282.24e3)
    found = t_stub_resistance(TStub(4 * moment / (20.0**2 * 275.0), 20.0, 23.7, 60.0, 275.0, bolts))
    assert found.mode_1 == pytest.approx(mode_1, rel=2e-3)
    assert found.mode_2 == pytest.approx(mode_2, rel=2e-3)
    assert found.mode_3 == pytest.approx(282.24e3)


def test_friction_radius():
    """Shigley, ch. 16: a full disc acts at two thirds, a thin ring at its own radius."""
    assert friction_radius(30.0, 0.0) == pytest.approx(20.0)
    assert friction_radius(30.0, 29.9) == pytest.approx(29.95, rel=1e-4)


@pytest.mark.parametrize(
    ("diameter", "pitch", "nut"), [(6.0, 1.0, 5.2), (8.0, 1.25, 6.8), (10.0, 1.5, 8.4), (12.0, 1.75, 10.8)]
)
def test_same_strength_is_a_nut_of_style_one(diameter, pitch, nut):
    """ISO 4032 heights, which break the screw of their own class, are up to a half above what is needed."""
    needed = least_engagement(metric_thread_limits(diameter, pitch), 800.0, 800.0)
    assert needed < nut < 1.5 * needed


def test_engagement_by_the_short_formula():
    """FED-STD-H28: 2 A_t / (pi / 2 (d - 0.64952 P)) takes half the pitch cylinder: within 15 %."""
    limits = metric_thread_limits(10.0, 1.5)
    short = 2 * limits.stress_area / (math.pi / 2 * (10.0 - 0.64952 * 1.5))
    assert least_engagement(limits, 800.0, 800.0) == pytest.approx(short, rel=0.15)


def test_engagement_in_aluminium():
    """Common practice: 1.5 to 2.5 diameters for an 8.8 screw in wrought aluminium of 215 to 245 MPa."""
    for strength in (215.0, 245.0):
        needed = least_engagement(metric_thread_limits(6.0, 1.0), 800.0, strength) / 6.0
        assert 1.5 < needed < 2.5


@pytest.mark.parametrize(
    ("diameter", "pitch", "major", "middle", "nut_minor", "nut_middle"),
    [
        (5.0, 0.8, 4.826, 4.361, 4.334, 4.605),
        (6.0, 1.0, 5.794, 5.212, 5.153, 5.500),
        (8.0, 1.25, 7.760, 7.042, 6.912, 7.348),
        (10.0, 1.5, 9.732, 8.862, 8.676, 9.206),
    ],
)
def test_limits_of_metric_threads(diameter, pitch, major, middle, nut_minor, nut_middle):
    """ISO 965-2, limits of sizes, 6g and 6H, from memory; the tables round the formulas to a series."""
    found = metric_thread_limits(diameter, pitch)
    assert (found.screw_major, found.screw_pitch) == pytest.approx((major, middle), abs=0.01)
    assert (found.nut_minor, found.nut_pitch) == pytest.approx((nut_minor, nut_middle), abs=0.012)
