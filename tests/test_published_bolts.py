"""Bolt formulas against standards and worked examples. The source stands beside each value."""

import math

import numpy as np
import pytest

from mountgen.mechanics import bolts

COARSE = {
    "M3": (3.0, 0.5),
    "M4": (4.0, 0.7),
    "M5": (5.0, 0.8),
    "M6": (6.0, 1.0),
    "M8": (8.0, 1.25),
    "M10": (10.0, 1.5),
    "M12": (12.0, 1.75),
}
"""ISO 261: nominal diameter and coarse pitch, mm."""


@pytest.mark.parametrize(
    ("size", "area"),
    [("M3", 5.03), ("M4", 8.78), ("M5", 14.2), ("M6", 20.1), ("M8", 36.6), ("M10", 58.0), ("M12", 84.3)],
)
def test_stress_area(size, area):
    """ISO 898-1, table of coarse threads: three figures printed."""
    assert bolts.stress_area(*COARSE[size]) == pytest.approx(area, rel=0.005)


@pytest.mark.parametrize(
    ("size", "newton"),
    [
        ("M3", 2920),
        ("M4", 5100),
        ("M5", 8230),
        ("M6", 11600),
        ("M8", 21200),
        ("M10", 33700),
        ("M12", 48900),
    ],
)
def test_proof_load_of_class_8_8(size, newton):
    """ISO 898-1, proof loads: three figures printed, worked from rounded areas."""
    load = bolts.proof_load(bolts.stress_area(*COARSE[size]), bolts.STRENGTHS["8.8"].proof)
    assert load == pytest.approx(newton, rel=0.01)


@pytest.mark.parametrize(
    ("name", "strength"),
    [
        ("8.8", (580.0, 640.0, 800.0)),  # MPa; ISO 898-1, Table 3, up to M16
        ("grade 5", (85 * 6.894757, 92 * 6.894757, 120 * 6.894757)),  # ksi; SAE J429, from memory
    ],
)
def test_strengths(name, strength):
    found = bolts.STRENGTHS[name]
    assert (found.proof, found.yield_, found.ultimate) == pytest.approx(strength, rel=1e-3)


def test_m6_diameters():
    """ISO 724, M6: pitch diameter 5.350, root diameter 4.773 (from memory)."""
    assert bolts.pitch_diameter(6.0, 1.0) == pytest.approx(5.350, abs=5e-4)
    assert bolts.minor_diameter(6.0, 1.0) == pytest.approx(4.773, abs=5e-4)


HEXAGON_BEARING = {"M5": (6.9, 5.5), "M6": (8.9, 6.6), "M8": (11.6, 9.0), "M10": (14.6, 11.0)}
"""Bearing face of ISO 4014 heads and medium holes of ISO 273, mm."""


def preload_and_torque(diameter, pitch, bearing, friction):
    preload = bolts.assembly_preload(diameter, pitch, bolts.STRENGTHS["8.8"].yield_, friction)
    mean = bolts.bearing_mean_diameter(*bearing)
    torque = bolts.tightening_torque(preload, diameter, pitch, friction, friction, mean)
    return preload / 1000, torque / 1000


@pytest.mark.parametrize(
    ("size", "kilonewton", "newton_metre"),
    [("M5", 7.2, 5.9), ("M6", 10.18, 10.1), ("M8", 18.6, 24.6), ("M10", 29.6, 48.0)],
)
def test_preload_and_torque_of_coarse_threads(size, kilonewton, newton_metre):
    """VDI 2230-1, Table A1: class 8.8, friction 0.12, 90 % of yield, hexagon head."""
    preload, torque = preload_and_torque(*COARSE[size], HEXAGON_BEARING[size], 0.12)
    assert preload == pytest.approx(kilonewton, rel=0.01)
    assert torque == pytest.approx(newton_metre, rel=0.02)


@pytest.mark.parametrize(
    ("size", "friction", "kilonewton", "newton_metre"),
    [
        ("M5", 0.10, 7.4, 5.2),
        ("M5", 0.14, 7.0, 6.5),
        ("M6", 0.10, 10.4, 9.0),
        ("M6", 0.14, 9.9, 11.3),
        ("M8", 0.10, 19.1, 21.6),
        ("M8", 0.14, 18.1, 27.3),
    ],
)
def test_friction_moves_preload_and_torque(size, friction, kilonewton, newton_metre):
    """VDI 2230-1, Table A1, class 8.8, from memory."""
    preload, torque = preload_and_torque(*COARSE[size], HEXAGON_BEARING[size], friction)
    assert preload == pytest.approx(kilonewton, rel=0.015)
    assert torque == pytest.approx(newton_metre, rel=0.03)


@pytest.mark.parametrize(
    ("size", "friction", "kilonewton", "newton_metre"),
    [
        ("M8", 0.10, 20.7, 22.8),
        ("M8", 0.12, 20.2, 26.1),
        ("M8", 0.14, 19.7, 29.2),
        ("M10", 0.10, 32.4, 44.0),
        ("M10", 0.12, 31.6, 51.0),
        ("M10", 0.14, 30.8, 57.0),
    ],
)
def test_preload_and_torque_of_fine_threads(size, friction, kilonewton, newton_metre):
    """VDI 2230 (2001), table of fine threads, M8x1 and M10x1.25, class 8.8."""
    diameter, pitch = {"M8": (8.0, 1.0), "M10": (10.0, 1.25)}[size]
    preload, torque = preload_and_torque(diameter, pitch, HEXAGON_BEARING[size], friction)
    assert preload == pytest.approx(kilonewton, rel=0.005)
    assert torque == pytest.approx(newton_metre, rel=0.03)


M20_STRESS_AREA = 245.0
"""mm2, ISO 898-1."""


def test_shear_and_tension_resistance_of_m20():
    """EN 1993-1-8, Table 3.4: M20 8.8 in shear 94.08 kN; M20 4.6 in shear 47.04, in tension 70.56 kN."""
    assert bolts.shear_resistance(M20_STRESS_AREA, 800.0) == pytest.approx(94080, rel=1e-3)
    assert bolts.shear_resistance(M20_STRESS_AREA, 400.0) == pytest.approx(47040, rel=1e-3)
    assert bolts.tension_resistance(M20_STRESS_AREA, 400.0) == pytest.approx(70560, rel=1e-3)


def test_splice_of_six_bolts():
    """Worked example to EN 1993-1-8: 6 M20 8.8, 500 kN: 564.6 kN in all, use 0.89."""
    resistance = 6 * bolts.shear_resistance(M20_STRESS_AREA, 800.0)
    assert resistance == pytest.approx(564_600, rel=1e-3)
    assert bolts.combined_use(500_000, resistance, 0.0, 1.0) == pytest.approx(0.89, abs=0.005)


def test_bearing_resistance():
    """EN 1993-1-8, Table 3.4: M20, d0 22, e1 = e2 = 40, p1 70, t 12, f_u 470: 136.7 kN."""
    alpha_b = bolts.bearing_factor_along(22.0, 40.0, 70.0, 800.0, 470.0)
    k_1 = bolts.bearing_factor_across(22.0, 40.0, None)
    assert (alpha_b, k_1) == pytest.approx((0.606, 2.5), abs=5e-4)
    assert bolts.bearing_resistance(k_1, alpha_b, 470.0, 20.0, 12.0) == pytest.approx(136_700, rel=2e-3)


def test_bearing_takes_the_plate_and_not_the_bolt():
    """A published sheet to EN 1993-1-8 puts f_ub in the place of f_u and prints 33.997 kN.

    M20 4.6 in 8 mm of S235, k_1 1.66, alpha_b 0.4; with f_u = 360 MPa it is 30.60 kN.
    """
    right = bolts.bearing_resistance(1.66, 0.4, 360.0, 20.0, 8.0)
    assert right == pytest.approx(30_600, rel=1e-3)
    assert bolts.bearing_resistance(1.66, 0.4, 400.0, 20.0, 8.0) == pytest.approx(33_997, rel=1e-3)


def test_a_stronger_bolt_does_not_help_the_plate():
    """EN 1993-1-8, Table 3.4: f_ub enters alpha_b alone, and there only when it is below f_u."""
    weak, strong = (bolts.bearing_factor_along(22.0, 80.0, None, fub, 360.0) for fub in (400.0, 1000.0))
    assert weak == strong == 1.0
    assert bolts.bearing_factor_along(22.0, 80.0, None, 300.0, 360.0) == pytest.approx(300 / 360)


def test_small_bolt():
    """EN 1993-1-8, Table 3.4, worked from memory: M6 8.8, d0 6.6, e1 = 2 d0, e2 = 1.5 d0, 2 mm S235."""
    alpha_b = bolts.bearing_factor_along(6.6, 13.2, None, 800.0, 360.0)
    k_1 = bolts.bearing_factor_across(6.6, 9.9, None)
    assert bolts.bearing_resistance(k_1, alpha_b, 360.0, 6.0, 2.0) == pytest.approx(5760, rel=2e-3)
    assert bolts.shear_resistance(20.1, 800.0) == pytest.approx(7720, rel=2e-3)
    assert bolts.tension_resistance(20.1, 800.0) == pytest.approx(11_580, rel=2e-3)


def test_least_distances():
    """EN 1993-1-8:2005, Table 3.3, d0 = 22: 26.4, 26.4, 48.4, 52.8 mm."""
    assert bolts.least_distances(22.0) == bolts.LeastDistances(
        end=pytest.approx(26.4),
        edge=pytest.approx(26.4),
        pitch=pytest.approx(48.4),
        gauge=pytest.approx(52.8),
    )


def largest_force(positions, force, at) -> float:
    forces = bolts.bolt_group_forces(np.array(positions), np.array(force), np.array(at))
    return float(np.hypot(forces[:, 0], forces[:, 1]).max())


def core_diameter(force, yield_mpa, safety) -> float:
    """Of the bolt that carries a shear force at half the yield stress (Bhandari, ch. 7)."""
    return math.sqrt(4 * force / (math.pi * 0.5 * yield_mpa / safety))


def test_bracket_with_four_bolts():
    """Bhandari, Design of Machine Elements, ex. 7.3, p. 233: 10 kN at 500 mm, bolts 200 x 150: M20."""
    corners = [(100.0, 75.0), (-100.0, 75.0), (-100.0, -75.0), (100.0, -75.0)]
    force = largest_force(corners, (0.0, -10_000.0), (500.0, 0.0))
    assert force == pytest.approx(12_093, rel=1e-3)
    assert 16 < core_diameter(force, 400.0, 2.5) / 0.8 <= 20


def test_bracket_with_three_bolts_in_line():
    """Bhandari, ex. 7.4, p. 235: 5 kN at 305 mm, bolts 75 apart: 11 833 N on the worst."""
    row = [(-75.0, 0.0), (0.0, 0.0), (75.0, 0.0)]
    assert largest_force(row, (0.0, -5000.0), (305.0, 0.0)) == pytest.approx(11_833, rel=1e-3)


def test_bracket_that_tips():
    """Bhandari, ex. 7.5, p. 236: 25 kN at 100 mm, bolts 150 and 25 above the edge: 98.022213 mm2."""
    tension = bolts.largest_tipping_tension(25_000.0 * 100.0, [150.0, 150.0, 25.0, 25.0])
    area = math.hypot(tension / 2, 25_000.0 / 4) / (0.5 * 380.0 / 2.5)
    assert area == pytest.approx(98.022213, rel=1e-7)


def test_group_of_six_bolts():
    """AS 4100, elastic method, example: 2 x 3 bolts, pitch 70, gauge 80, 120 kN at 200: 78.14 kN."""
    group = [(x, y) for x in (-40.0, 40.0) for y in (-70.0, 0.0, 70.0)]
    assert largest_force(group, (0.0, -120_000.0), (200.0, 0.0)) == pytest.approx(78_140, rel=1e-3)


def test_bar_on_a_channel():
    """Shigley, ex. 8-7, from memory: 4 M16 at 150 x 120, 16 kN at 425 mm: 21.0 and 14.8 kN."""
    group = np.array([(75.0, 60.0), (75.0, -60.0), (-75.0, 60.0), (-75.0, -60.0)])
    forces = bolts.bolt_group_forces(group, np.array([0.0, -16_000.0]), np.array([425.0, 0.0]))
    sizes = np.hypot(forces[:, 0], forces[:, 1])
    assert sizes == pytest.approx([21_000, 21_000, 14_800, 14_800], rel=5e-3)


def test_slip_resistance_of_one_surface():
    """EN 1993-1-8, 3.9.1: k_s n mu F / 1.25; mu 0.2 is its class D (as rolled)."""
    assert bolts.slip_resistance(10_180.0, 0.2, 1, 1.25) == pytest.approx(1628.8)


def test_thread_stands_out_by_one_pitch():
    """EN 1090-2, 8.2.2, from memory. M6: 8 mm grip, nut ISO 4032 of 5.2 mm."""
    assert bolts.least_screw_length(8.0, 5.2, 1.0) == pytest.approx(14.2)
