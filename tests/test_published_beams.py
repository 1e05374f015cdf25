"""Beam formulas against handbook values. The source stands beside each value."""

import math

import numpy as np
import pytest

from mountgen.mechanics import beams

BAR = (50.0, 200.0, 70000.0, 90000.0)
"""50 N on a 200 mm aluminium bar of 9 cm4: the numbers below are the handbooks' formulas worked by hand."""


def test_cantilever_deflection_and_slope():
    """Roark, Table 8.1, case 1a."""
    assert beams.cantilever_deflection(*BAR) == pytest.approx(0.02116, rel=1e-3)
    assert beams.cantilever_slope(*BAR) == pytest.approx(0.000159, rel=2e-3)


L_FRAME = {"force": 50.0, "arm": 200.0, "post": 300.0, "e_mpa": 70000.0, "post_i": 90000.0}


def test_l_frame_deflection():
    """Castigliano: P a^2 h / EI + P a^3 / 3EI, stretch left out."""
    assert beams.l_frame_deflection(**L_FRAME, arm_i=90000.0) == pytest.approx(0.1164, rel=1e-3)


def test_l_frame_sway_and_rotation():
    """Castigliano, from memory; four figures given."""
    assert beams.l_frame_sway(**L_FRAME) == pytest.approx(0.0714, rel=1e-3)
    assert beams.l_frame_rotation(**L_FRAME, arm_i=90000.0) == pytest.approx(0.000635, rel=1e-3)


@pytest.mark.parametrize(
    ("ratio", "alpha"),
    [
        (1.0, 0.141),
        (1.5, 0.196),
        (2.0, 0.229),
        (2.5, 0.249),
        (3.0, 0.263),
        (4.0, 0.281),
        (5.0, 0.291),
        (10.0, 0.312),
        (1e6, 0.333),
    ],
)
def test_torsion_constant_of_a_rectangle(ratio, alpha):
    """Timoshenko, Strength of Materials, and Roark, Table 10.1: J = alpha b t^3, three figures printed."""
    thickness = 4.0
    j = beams.torsion_constant_rectangle(ratio * thickness, thickness)
    assert j / (ratio * thickness**4) == pytest.approx(alpha, abs=0.0006)


def eigenvalue(tip_kg: float) -> float:
    """(beta L)^2 of a bar of 1 m, 1 kg and E I = 1e6 N mm2 (1 N m2) that our frequency stands for."""
    return 2 * math.pi * beams.cantilever_frequency(1000.0, 1e4, 100.0, tip_kg, 1.0)


def test_bare_cantilever():
    """Blevins: beta L = 1.8751. Rayleigh's 33/140 is known to lie 1.47 % high there (from memory)."""
    assert eigenvalue(0.0) / 1.8751**2 == pytest.approx(1.0147, abs=2e-4)


def test_tip_mass_equal_to_the_bar():
    """Mathematical Problems in Engineering 2017, article 1568019, Table 1: (beta L)^2 = 1.557298.

    Rayleigh's value lies 0.05 % above the exact one (from memory).
    """
    assert eigenvalue(1.0) / 1.557298 == pytest.approx(1.0005, abs=1e-4)


def test_frequency_from_a_deflection_of_one_millimetre():
    """Textbook, from memory: 15.76 Hz."""
    assert beams.frequency_from_deflection(1.0) == pytest.approx(15.76, rel=1e-3)


@pytest.mark.parametrize(("ends", "coefficient"), [("fixed", 16), ("supported", 12), ("one_side_free", 1)])
def test_strip_under_a_couple(ends, coefficient):
    """Beam tables: M L / 16 EI from Roark, Table 8.1 (fixed-pinned bar, 4 EI / L); 12 from memory."""
    rotation = beams.strip_rotation(1000.0, 120.0, 210000.0, 50.0, ends)
    assert 1000.0 * 120.0 / (210000.0 * 50.0) / rotation == pytest.approx(coefficient)


def test_formulas_take_arrays():
    arms = np.array([200.0, 400.0])
    found = beams.l_frame_sway(50.0, arms, 300.0, 70000.0, 90000.0)
    assert found == pytest.approx([0.0714, 0.1429], rel=1e-3)
