"""Plates against handbooks. The source stands beside each value."""

import pytest

from mountgen.mechanics.plate_formulas import (
    boss_rotation,
    circular_plate_deflection,
    hole_factor_in_bending,
    hole_factor_in_tension,
    patch_strip_rotation,
    plate_stiffness_d,
)
from mountgen.mechanics.plates import Patch, Web, patch_response


@pytest.mark.parametrize(("edge", "deflection"), [("clamped", 2.290), ("supported", 5.840)])
def test_circular_plate(edge, deflection):
    """Roark, Table 11.2: a 150, t 1.5 mm, E 200000, nu 0.29, P 314 N."""
    d = plate_stiffness_d(1.5, 200000.0, 0.29)
    assert circular_plate_deflection(314.0, 150.0, d, 0.29, edge) == pytest.approx(deflection, rel=1e-3)


@pytest.mark.parametrize(
    ("edge", "ratio", "alpha"),
    [
        ("supported", 1.0, 0.1267),
        ("supported", 2.0, 0.1805),
        ("clamped", 1.0, 0.0611),
        ("clamped", 2.0, 0.0788),
    ],
)
def test_rectangular_plate_with_a_load_in_its_middle(edge, ratio, alpha):
    """Roark, 7th ed., Table 11.4, cases 1b and 8b (clamped from memory): y = alpha W b^2 / E t^3, nu 0.3.

    The load stands on a stiff spot of a hundredth of the width, not on a point: 0.5 % less deflection.
    """
    web = Web(100.0, 100.0 * ratio, 2.0, 200000.0, 0.3, edge, edge, edge)
    deflection = patch_response(web, Patch(1.0, 1.0, 50.0)).flexibility[0, 0]
    assert deflection * 200000.0 * 2.0**3 / 100.0**2 == pytest.approx(alpha, rel=0.02)
    assert deflection * 200000.0 * 2.0**3 / 100.0**2 < alpha * 1.001


SUPPORTED = {0.1: 1.403, 0.15: 1.058, 0.2: 0.820, 0.25: 0.641, 0.3: 0.500, 0.4: 0.301, 0.5: 0.169, 0.6: 0.084}
CLAMPED = {0.1: 1.149, 0.15: 0.817, 0.2: 0.595, 0.25: 0.439, 0.3: 0.320, 0.4: 0.167, 0.5: 0.081, 0.6: 0.035}


@pytest.mark.parametrize("edge", ["supported", "clamped"])
@pytest.mark.parametrize("ratio", SUPPORTED)
def test_boss_under_a_couple(edge, ratio):
    """Roark, Table 11.2, trunnion on a plate, from memory: theta = alpha M / E t^3, nu 0.3.

    The printed figures are off the closed form by up to 0.5 %.
    """
    alpha = (SUPPORTED if edge == "supported" else CLAMPED)[ratio]
    unit_d = plate_stiffness_d(1.0, 1.0, 0.3)
    assert boss_rotation(1.0, 1.0, ratio, unit_d, 0.3, edge) == pytest.approx(alpha, rel=6e-3, abs=1e-3)


@pytest.mark.parametrize(("ends", "factor"), [("fixed", 16), ("supported", 12), ("one_side_free", 1)])
def test_strip_under_a_couple(ends, factor):
    """Roark, Table 8.1, cases 3d, 3e, 3a: M L / (16, 12, 1) EI."""
    assert patch_strip_rotation(500.0, 100.0, 0.0, 1e6, ends) == pytest.approx(500.0 * 100.0 / (factor * 1e6))


@pytest.mark.parametrize(("ratio", "factor"), [(0.001, 3.0), (0.5, 2.16)])
def test_hole_in_a_strip_under_tension(ratio, factor):
    """Howland; Peterson, Stress Concentration Factors, chart 4.1: small hole 3, half the width 2.16."""
    assert hole_factor_in_tension(8 * ratio, 8.0) == pytest.approx(factor, abs=0.005)


@pytest.mark.parametrize(("ratio", "factor"), [(1e-6, 3.0), (1e6, 1.79)])
def test_hole_in_a_bent_plate(ratio, factor):
    """Goodier and Reissner in Peterson: 3 where the plate is thick, (5 + 3 nu)/(3 + nu) where it is thin."""
    assert hole_factor_in_bending(2.5 * ratio, 2.5) == pytest.approx(factor, abs=0.02)
