"""Mechanics against closed forms and methods of another kind, worked out in the test."""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from mountgen.mechanics import beams, bolts, marking, timing, tolerances
from mountgen.mechanics.tolerances import Contribution


def bar_stiffness(e: float, i: float, length: float, angle: float) -> np.ndarray:
    """Stiffness of a plane bar between (u, v, turn) of its two ends; it hardly stretches."""
    k, stretch = e * i / length**3, 1e8
    bending = np.array(
        [
            [12, 6 * length, -12, 6 * length],
            [6 * length, 4 * length**2, -6 * length, 2 * length**2],
            [-12, -6 * length, 12, -6 * length],
            [6 * length, 2 * length**2, -6 * length, 4 * length**2],
        ]
    )
    local = np.zeros((6, 6))
    local[np.ix_([1, 2, 4, 5], [1, 2, 4, 5])] = k * bending
    local[np.ix_([0, 3], [0, 3])] = stretch * np.array([[1, -1], [-1, 1]])
    c, s = math.cos(angle), math.sin(angle)
    turn = np.kron(np.eye(2), np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]]))
    return turn.T @ local @ turn


def test_l_frame_against_the_stiffness_method():
    """Two bars, post up and arm across, assembled and solved; the weight acts at the arm's tip."""
    e, post, arm, post_i, arm_i, weight = 70000.0, 310.0, 170.0, 8e4, 3e4, 60.0
    stiffness = np.zeros((9, 9))
    stiffness[:6, :6] += bar_stiffness(e, post_i, post, math.pi / 2)
    stiffness[3:, 3:] += bar_stiffness(e, arm_i, arm, 0.0)
    moved = np.linalg.solve(stiffness[3:, 3:], np.array([0, 0, 0, 0, -weight, 0]))
    sway, down, turn = moved[3], -moved[4], -moved[5]
    assert beams.l_frame_sway(weight, arm, post, e, post_i) == pytest.approx(sway, rel=1e-4)
    assert beams.l_frame_deflection(weight, arm, post, e, post_i, arm_i) == pytest.approx(down, rel=1e-4)
    assert beams.l_frame_rotation(weight, arm, post, e, post_i, arm_i) == pytest.approx(turn, rel=1e-4)


def test_l_frame_out_of_plane_by_virtual_work():
    """Unit-load integral of bending along arm and post, and of the twist P a along the post."""
    arm, post, arm_ei, post_ei, post_gj = 150.0, 320.0, 2.1e9, 6.3e9, 0.9e9
    bending = quad(lambda s: s * s / arm_ei, 0, arm)[0] + quad(lambda s: s * s / post_ei, 0, post)[0]
    twist = quad(lambda s: arm * arm / post_gj, 0, post)[0]
    found = beams.l_frame_out_of_plane(40.0, arm, post, arm_ei, post_ei, post_gj)
    assert found == pytest.approx(40.0 * (bending + twist))


def test_cantilever_under_a_couple_by_virtual_work():
    """Unit-load integrals of the constant moment M."""
    length, e, i, couple = 240.0, 210000.0, 5e3, 1.2e4
    deflection = quad(lambda s: couple * s / (e * i), 0, length)[0]
    slope = quad(lambda s: couple / (e * i), 0, length)[0]
    assert beams.cantilever_deflection_by_couple(couple, length, e, i) == pytest.approx(deflection)
    assert beams.cantilever_slope_by_couple(couple, length, e, i) == pytest.approx(slope)


def exact_frequency(ratio: float) -> float:
    """(beta L)^2 of the first mode of a cantilever with tip mass ratio * own mass."""

    def characteristic(x: float) -> float:
        bending = 1 + math.cosh(x) * math.cos(x)
        return bending + ratio * x * (math.sinh(x) * math.cos(x) - math.cosh(x) * math.sin(x))

    return brentq(characteristic, 0.3, 1.9) ** 2


@pytest.mark.parametrize(
    ("ratio", "percent"), [(0.0, 1.47), (0.1, 0.73), (0.5, 0.15), (1.0, 0.05), (5.0, 0.003)]
)
def test_rayleigh_lies_just_above_the_exact_root(ratio, percent):
    """1 m, 1 kg, E I = 1 N m2: the frequency is (beta L)^2 / (2 pi)."""
    ours = 2 * math.pi * beams.cantilever_frequency(1000.0, 1e4, 100.0, ratio, 1.0)
    assert (ours / exact_frequency(ratio) - 1) * 100 == pytest.approx(percent, abs=0.01)
    assert ours > exact_frequency(ratio)


def test_steel_cantilever_of_one_metre():
    """E 2e11, I 4.7e-6 m4, A 2.6e-3 m2, 7800 kg/m3, 10 kg at the tip: 69.4 Hz by the exact root."""
    own = 7800 * 2.6e-3
    exact = exact_frequency(10 / own) / (2 * math.pi) * math.sqrt(2e11 * 4.7e-6 / own)
    assert beams.cantilever_frequency(1000.0, 2e5, 4.7e6, 10.0, own) == pytest.approx(exact, rel=2e-3)
    assert exact == pytest.approx(69.4, abs=0.15)


def test_dunkerley_stays_below_two_masses_on_a_cantilever():
    """Two equal masses at half and full length; flexibility matrix solved for its first mode."""
    length, e, i, mass = 400.0, 70000.0, 9e4, 2.0
    half = length / 2
    corner = half**2 / 2 * (length - half / 3)
    flexibility = np.array([[half**3 / 3, corner], [corner, length**3 / 3]]) / (e * i)
    first = math.sqrt(1000 / (mass * np.linalg.eigvalsh(flexibility)[-1])) / (2 * math.pi)
    alone = [beams.cantilever_frequency(at, e, i, mass, 0.0) for at in (half, length)]
    bound = beams.dunkerley_frequency(alone)
    assert 0.98 * first < bound < first


def test_frequency_from_the_deflection_under_the_weight():
    """A tip mass on a massless bar: its static deflection gives the same frequency."""
    deflection = beams.cantilever_deflection(3.0 * beams.GRAVITY, 350.0, 70000.0, 9e4)
    exact = beams.cantilever_frequency(350.0, 70000.0, 9e4, 3.0, 0.0)
    assert beams.frequency_from_deflection(deflection) == pytest.approx(exact)


def test_tipping_stiffness_of_two_rows():
    """Two rows of 500 N/mm, 60 mm apart: 2 * 500 * 30^2."""
    assert beams.tipping_stiffness([500.0, 500.0], [-30.0, 30.0]) == pytest.approx(900_000.0)


def test_torsion_constant_between_square_and_strip():
    """Saint-Venant's series for the square, 0.140577 a^4, and the strip's b t^3 / 3 less its two ends."""
    assert beams.torsion_constant_rectangle(10.0, 10.0) == pytest.approx(1405.77, rel=1e-5)
    strip = beams.torsion_constant_rectangle(200.0, 2.0)
    assert strip == pytest.approx(200 * 8 / 3 * (1 - 0.63025 * 2 / 200), rel=1e-6)


def test_group_forces_balance_the_load():
    """Sum of forces and sum of moments about any point equal the load's."""
    group = np.array([(0.0, 0.0), (40.0, 5.0), (12.0, 70.0), (-30.0, 33.0), (55.0, 61.0)])
    force, at = np.array([310.0, -920.0]), np.array([210.0, -75.0])
    forces = bolts.bolt_group_forces(group, force, at)
    moment = group[:, 0] * forces[:, 1] - group[:, 1] * forces[:, 0]
    assert forces.sum(axis=0) == pytest.approx(force)
    assert moment.sum() == pytest.approx(at[0] * force[1] - at[1] * force[0])


def test_group_forces_of_many_loads_at_once():
    """One row a load, the same as each load alone."""
    group = np.array([(0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0)])
    loads = np.array([[0.0, -100.0], [50.0, -20.0], [0.0, 10.0]])
    points = np.array([[100.0, 0.0], [0.0, 90.0], [30.0, 20.0]])
    together = bolts.bolt_group_forces(group, loads, points)
    for row, load, point in zip(together, loads, points, strict=True):
        assert row == pytest.approx(bolts.bolt_group_forces(group, load, point))


def test_combined_use_is_never_below_tension_alone():
    """Pull alone: F_t / F_t,Rd counts, not the smaller F_t / 1.4 F_t,Rd."""
    assert bolts.combined_use(0.0, 1000.0, 500.0, 1000.0) == pytest.approx(0.5)
    assert bolts.combined_use(500.0, 1000.0, 700.0, 1000.0) == pytest.approx(1.0)


def test_inner_bolts_and_columns_of_a_plate():
    """p1/(3 d0) - 1/4 and 1.4 p2/d0 - 1.7 with d0 = 10, p1 = 22, p2 = 24."""
    assert bolts.bearing_factor_along(10.0, 30.0, 22.0, 800.0, 360.0) == pytest.approx(22 / 30 - 0.25)
    assert bolts.bearing_factor_across(10.0, 30.0, 24.0) == pytest.approx(1.66)
    assert bolts.bearing_factor_across(10.0, 12.0, None) == pytest.approx(1.66)


def test_slip_resistance_of_two_surfaces():
    assert bolts.slip_resistance(9000.0, 0.15, 2, 1.5) == pytest.approx(1800.0)


def test_yield_is_used_to_ninety_percent():
    """Pull and twist of the preload put together by von Mises give 0.9 of the yield stress."""
    diameter, pitch, friction, limit = 6.0, 1.0, 0.12, 640.0
    preload = bolts.assembly_preload(diameter, pitch, limit, friction)
    d2 = bolts.pitch_diameter(diameter, pitch)
    d0 = (d2 + bolts.minor_diameter(diameter, pitch)) / 2
    twist = preload * d2 / 2 * (pitch / (math.pi * d2) + 1.155 * friction)
    pull, shear = preload / (math.pi / 4 * d0**2), twist / (math.pi / 12 * d0**3)
    assert math.sqrt(pull**2 + 3 * shear**2) == pytest.approx(0.9 * limit)


def test_effect_scales_a_contribution():
    """Play of 0.05 mm over 60 mm seen 300 mm away, and 0.2 mm straight, against the direction."""
    play = Contribution("guide play", 0.05, "measured", effect=300 / 60)
    setting = Contribution("setting", 0.2, "scale", effect=-1.0)
    assert tolerances.worst_case([play, setting]) == pytest.approx(0.45)
    assert tolerances.root_sum_square([play, setting]) == pytest.approx(math.hypot(0.25, 0.2))


def test_contributions_of_many_products_at_once():
    width = Contribution("product width", np.array([1.0, 2.0]), "survey")
    sag = Contribution("sag", 0.5, "closed form")
    assert tolerances.worst_case([width, sag]) == pytest.approx([1.5, 2.5])


def test_slip_shift_is_the_travel_of_the_missing_counts():
    """The controller counts off 400 mm * 5 counts; a wheel that gives 4 a mm has then gone 500 mm."""
    assert timing.slip_shift(400.0, 5.0, 4.0) == pytest.approx(100.0)


@pytest.mark.parametrize(
    ("dpi", "dots", "x"),
    [(150.0, 3, 0.508), (180.0, 4, 0.5644), (200.0, 4, 0.508), (300.0, 6, 0.508), (600.0, 12, 0.508)],
)
def test_whole_dots(dpi, dots, x):
    """The smallest X of whole columns from 0.495 mm on (GS1 limit from memory)."""
    found = marking.whole_dots(marking.LEAST_X, dpi)
    assert (found.dots, found.x_dimension) == (dots, pytest.approx(x, abs=1e-4))


def test_whole_dots_that_fit_exactly_are_kept():
    assert marking.whole_dots(0.508, 200.0).dots == 4


def test_a_bar_may_be_one_dot():
    """100 columns an inch are 0.254 mm wide each."""
    assert marking.whole_dots(0.2, 100.0) == marking.WholeDots(1, pytest.approx(0.254))
