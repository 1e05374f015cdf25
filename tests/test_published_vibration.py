"""Vibration formulas against standards and handbooks. The source stands beside each value."""

import math

import numpy as np
import pytest

from mountgen.mechanics.vibration import (
    LineSpeeds,
    Spectrum,
    half_sine_peak,
    half_sine_primary,
    half_sine_residual,
    line_excitations,
    magnification,
    miles_rms,
    spectrum_rms,
    transmissibility,
)


@pytest.mark.parametrize(
    ("ratio", "zeta", "expected"),
    [(0.0, 0.1, 1.0), (0.5, 0.0, 4 / 3), (1.0, 0.05, 10.0), (1.0, 0.5, 1.0), (2.0, 0.0, 1 / 3)],
)
def test_magnification(ratio, zeta, expected):
    """Den Hartog, Mechanical Vibrations, ch. 2: 1 / 2 zeta at resonance."""
    assert magnification(ratio, zeta) == pytest.approx(expected)


@pytest.mark.parametrize("zeta", [0.05, 0.1, 0.3])
def test_largest_magnification(zeta):
    """Den Hartog, ch. 2: 1 / (2 zeta sqrt(1 - zeta^2)) at r = sqrt(1 - 2 zeta^2)."""
    largest = magnification(np.linspace(0.5, 1.2, 70001), zeta).max()
    assert largest == pytest.approx(1 / (2 * zeta * math.sqrt(1 - zeta**2)), rel=1e-6)
    assert magnification(math.sqrt(1 - 2 * zeta**2), zeta) == pytest.approx(largest, rel=1e-6)


@pytest.mark.parametrize("zeta", [0.0, 0.1, 0.5])
def test_transmissibility_crosses_one(zeta):
    """Den Hartog, ch. 2: 1 at r = sqrt 2 for any damping."""
    assert transmissibility(math.sqrt(2), zeta) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("periods", "expected"),
    [(0.25, 0.943), (0.5, 1.571), (0.8, 1.768), (1.0, 1.732), (1.5, 1.5), (50.0, 1.01)],
)
def test_half_sine_shock(periods, expected):
    """Harris and Piersol, ch. 8; Biggs: 1.57 at half a period, 1.73 at one, at most 1.77 near 0.8."""
    assert half_sine_peak(1.0, periods) == pytest.approx(expected, abs=0.011)


def test_largest_half_sine_shock():
    """Harris and Piersol, ch. 8: 1.77 near f T = 0.8."""
    periods = np.linspace(0.6, 1.0, 401)
    peaks = np.array([half_sine_peak(1.0, p) for p in periods])
    assert peaks.max() == pytest.approx(1.77, abs=0.005)
    assert periods[peaks.argmax()] == pytest.approx(0.81, abs=0.02)


@pytest.mark.parametrize("periods", [1.5, 2.5, 3.5])
def test_no_residual(periods):
    """Clough and Penzien, ch. 5: nothing is left where cos(pi f T) vanishes, f T = 1.5, 2.5 and so on."""
    assert half_sine_residual(1.0, periods) == pytest.approx(0.0, abs=1e-12)
    assert half_sine_primary(1.0, periods) > 1.0


def test_miles():
    """Common teaching example: 200 Hz, Q 10, 0.04 g^2/Hz: 11.2 g (from memory)."""
    assert miles_rms(200.0, 0.05, 0.04) == pytest.approx(11.2, abs=0.02)


@pytest.mark.parametrize(
    ("frequencies", "densities", "overall"),
    [
        ((20, 50, 800, 2000), (0.026, 0.16, 0.16, 0.026), 14.1),
        ((20, 50, 800, 2000), (0.013, 0.08, 0.08, 0.013), 10.0),
        ((20, 80, 350, 2000), (0.01, 0.04, 0.04, 0.007), 6.06),
    ],
)
def test_overall_level_of_published_spectra(frequencies, densities, overall):
    """GSFC-STD-7000 (GEVS), qualification and acceptance; NAVMAT P-9492. From memory."""
    spectrum = Spectrum(np.array(frequencies, dtype=float), np.array(densities))
    assert spectrum_rms(spectrum) == pytest.approx(overall, rel=5e-3)


def test_excitations_of_a_line():
    """Kinematics: 30 m/min over rollers every 75 mm is 6.67 Hz; 1400 turns a minute are 23.3 Hz."""
    found = line_excitations(LineSpeeds(500.0, roller_pitch=75.0, drive_rpm=1400.0, product_pitch=550.0), 2)
    assert {e.name: round(e.frequency_hz, 2) for e in found} == {
        "rollers": 6.67,
        "rollers, 2 times": 13.33,
        "products": 0.91,
        "products, 2 times": 1.82,
        "drive": 23.33,
        "drive, 2 times": 46.67,
    }
