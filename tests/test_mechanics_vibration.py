"""Answers to shaking against step-by-step integration, direct solution and closed forms; refusals."""

import math
from dataclasses import replace

import numpy as np
import pytest
from frame_samples import HEAD, cantilever, l_frame
from hypothesis import given, settings
from hypothesis import strategies as st

from mountgen.mechanics.frame import Bar, LoadCase, Mass, NodalLoad
from mountgen.mechanics.frame_matrices import frame_matrices
from mountgen.mechanics.frame_solve import solve_modes, solve_static
from mountgen.mechanics.modal_response import (
    drive_by_base,
    drive_by_load,
    harmonic_response,
    pulse_response,
    random_response_rms,
)
from mountgen.mechanics.vibration import (
    MM_PER_G,
    Excitation,
    Flight,
    LineSpeeds,
    Pulse,
    Spectrum,
    dot_shift,
    half_sine_history,
    half_sine_peak,
    half_sine_primary,
    half_sine_residual,
    impact_pulse,
    line_excitations,
    magnification,
    miles_rms,
    random_rms,
    resonance_grid,
    spectrum_rms,
    transmissibility,
    travel_of_acceleration,
)

WHITE = Spectrum(np.array([0.1, 1e4]), np.array([0.01, 0.01]))


def stepped(frequency, duration, zeta, end, steps=20000):
    """The oscillator's equation by fourth-order steps."""
    omega, dt = 2 * math.pi * frequency, end / steps
    times = np.arange(steps + 1) * dt

    def push(t):
        return math.sin(math.pi * t / duration) if t < duration else 0.0

    def slope(t, x, v):
        return v, omega**2 * (push(t) - x) - 2 * zeta * omega * v

    x = v = 0.0
    track = [0.0]
    for t in times[:-1]:
        a = slope(t, x, v)
        b = slope(t + dt / 2, x + dt / 2 * a[0], v + dt / 2 * a[1])
        c = slope(t + dt / 2, x + dt / 2 * b[0], v + dt / 2 * b[1])
        d = slope(t + dt, x + dt * c[0], v + dt * c[1])
        x += dt / 6 * (a[0] + 2 * b[0] + 2 * c[0] + d[0])
        v += dt / 6 * (a[1] + 2 * b[1] + 2 * c[1] + d[1])
        track.append(x)
    return times, np.array(track)


@pytest.mark.parametrize(("frequency", "zeta"), [(3.0, 0.02), (12.5, 0.1), (40.0, 0.3)])
def test_half_sine_history_step_by_step(frequency, zeta):
    times, track = stepped(frequency, 0.04, zeta, 0.2, 4000)
    assert half_sine_history(frequency, 0.04, zeta, times) == pytest.approx(track, abs=2e-5)


@given(st.floats(0.05, 6.0))
def test_peak_without_damping_is_that_of_the_history(periods):
    times = np.sort(np.append(np.linspace(0.0, periods + 1.5, 20001), periods))
    history = half_sine_history(1.0, periods, 1e-9, times)
    during = history[times <= periods].max()
    assert half_sine_primary(1.0, periods) == pytest.approx(during, rel=1e-3, abs=1e-4)
    assert half_sine_residual(1.0, periods) == pytest.approx(
        np.abs(history[times >= periods]).max(), rel=1e-3, abs=2e-3
    )


def test_peak_has_no_jump_at_half_a_period():
    at, beside = half_sine_peak(1.0, 0.5), half_sine_peak(1.0, 0.5001)
    assert at == pytest.approx(beside, rel=1e-3)


def test_nothing_happens_before_the_pulse():
    assert np.all(half_sine_history(5.0, 0.1, 0.05, np.array([-1.0, 0.0])) == 0.0)


def test_impact_has_the_momentum():
    """2 kg at 500 mm/s that bounces with e 0.5: 1.5 N s; the area under a half sine is 2/pi of its box."""
    pulse = impact_pulse(2.0, 500.0, 0.5, 0.01)
    assert pulse.peak * pulse.duration * 2 / math.pi == pytest.approx(1.5)


@given(st.floats(5.0, 200.0), st.floats(0.005, 0.1))
def test_even_spectrum_is_miles(frequency, zeta):
    """With transmissibility the exact factor is (1 + 4 zeta^2); the band is cut at 0.1 Hz and 10 kHz."""
    exact = miles_rms(frequency, zeta, 0.01) * math.sqrt(1 + 4 * zeta**2)
    assert random_rms(WHITE, frequency, zeta) == pytest.approx(exact, rel=5e-3)


def test_stiff_mass_feels_the_whole_spectrum():
    band = Spectrum(np.array([5.0, 50.0]), np.array([0.02, 0.01]))
    assert random_rms(band, 5000.0, 0.02) == pytest.approx(spectrum_rms(band), rel=1e-3)


@given(st.floats(-3.0, 3.0))
def test_spectrum_level_against_fine_steps(power):
    spectrum = Spectrum(np.array([10.0, 200.0]), np.array([0.5, 0.5 * 20.0**power]))
    f = np.geomspace(10.0, 200.0, 20001)
    assert spectrum_rms(spectrum) == pytest.approx(
        math.sqrt(np.trapezoid(0.5 * (f / 10) ** power, f)), rel=1e-4
    )
    assert spectrum.at(np.array([5.0, 10.0, 300.0])) == pytest.approx([0.0, 0.5, 0.0])


def test_grid_covers_the_spectrum_and_the_resonance():
    grid = resonance_grid(WHITE, np.array([30.0]), 0.01)
    assert grid[[0, -1]] == pytest.approx([0.1, 1e4])
    assert np.all(np.diff(grid) > 0)
    assert np.sum(np.abs(grid - 30.0) < 0.3) > 30


def test_travel():
    """1 g at 10 Hz is 2.48 mm."""
    assert travel_of_acceleration(1.0, 10.0) == pytest.approx(2.484, rel=1e-3)


FLIGHT = Flight(standoff=3.0, drop_speed=6000.0, product_speed=500.0, dpi=150.0)


def test_slow_motion_moves_a_dot_as_far_as_the_nozzle():
    shift = dot_shift((0.05, 0.0, 0.02), 0.001, FLIGHT)
    assert (shift.along, shift.across) == pytest.approx((0.05, 0.02))
    assert shift.column_share == pytest.approx(0.05 / (25.4 / 150))


def test_standoff_change_moves_a_dot_by_the_products_run():
    """0.3 mm more at 6 m/s is 50 us, in which 500 mm/s make 0.025 mm."""
    assert dot_shift((0.0, 0.3, 0.0), 0.001, FLIGHT).along == pytest.approx(0.025)


def test_dots_thrown_by_a_shaking_nozzle():
    """Drops let go at many moments of a period, flown in straight lines to a product at the stand-off."""
    x, y, f = 0.05, 0.02, 300.0
    omega, u, v, s = 2 * math.pi * f, FLIGHT.drop_speed, FLIGHT.product_speed, FLIGHT.standoff
    phases = np.linspace(0.0, 2 * math.pi, 2001)
    landed = []
    for lag in np.linspace(0.0, 2 * math.pi, 41):
        flown = (s - y * np.sin(phases + lag)) / (u + y * omega * np.cos(phases + lag))
        spot = x * np.sin(phases) + x * omega * np.cos(phases) * flown - v * (flown - s / u)
        landed.append(np.abs(spot).max())
    assert dot_shift((x, y, 0.0), f, FLIGHT).along == pytest.approx(max(landed), rel=0.02)


SPRING = Bar(1e6, 90000.0, 1e9, 1e9, 70000.0, 27000.0)
ONE = cantilever(bar=SPRING, masses=(Mass("tip", 2.0),))
"""One mass on a bar without mass that is soft upwards alone."""


@given(st.floats(0.0, 300.0), st.floats(0.01, 0.3))
@settings(max_examples=30, deadline=None)
def test_one_mass_under_a_harmonic_force(frequency, zeta):
    modes = solve_modes(ONE, 1)
    load = NodalLoad("tip", force=(0.0, 0.0, 10.0))
    answer = harmonic_response(
        modes, drive_by_load(modes, load), modes.at("tip"), np.array([frequency]), zeta
    )
    still = solve_static(ONE, LoadCase((load,))).at("tip")[2]
    expected = still * magnification(frequency / modes.frequencies_hz[0], zeta)
    assert abs(answer[0, 2]) == pytest.approx(expected, rel=1e-4)


def test_one_mass_on_a_shaking_base():
    """Relative travel a / omega^2 times the magnification; total travel by transmissibility."""
    modes = solve_modes(ONE, 1)
    f, zeta = modes.frequencies_hz[0] * 0.8, 0.05
    omega = 2 * math.pi * f
    drive = drive_by_base(modes, (0.0, 0.0, 1000.0))
    relative = harmonic_response(modes, drive, modes.at("tip"), np.array([f]), zeta)[0, 2]
    assert abs(relative) == pytest.approx(
        1000.0 / (2 * math.pi * modes.frequencies_hz[0]) ** 2 * magnification(0.8, zeta)
    )
    total = relative - 1000.0 / omega**2
    assert abs(total) * omega**2 / 1000.0 == pytest.approx(transmissibility(0.8, zeta), rel=1e-3)


def test_one_mass_hit_by_a_pulse():
    modes = solve_modes(ONE, 1)
    f = modes.frequencies_hz[0]
    load = NodalLoad("tip", force=(0.0, 0.0, 10.0))
    times = np.linspace(0.0, 3 / f, 4001)
    track = pulse_response(modes, drive_by_load(modes, load), modes.at("tip"), 0.8 / f, times, 1e-6)
    still = solve_static(ONE, LoadCase((load,))).at("tip")[2]
    assert np.abs(track[:, 2]).max() == pytest.approx(still * half_sine_peak(f, 0.8 / f), rel=1e-3)


def test_one_mass_shaken_at_random_is_miles():
    modes, zeta = solve_modes(ONE, 1), 0.02
    f = modes.frequencies_hz[0]
    rms = random_response_rms(modes, (0.0, 0.0, 1.0), modes.at("tip"), WHITE, zeta)
    expected = miles_rms(f, zeta, 0.01) * MM_PER_G / (2 * math.pi * f) ** 2
    assert rms[2] == pytest.approx(expected, rel=5e-3)
    assert rms[1] == pytest.approx(0.0, abs=1e-9 * rms[2])


def test_all_modes_give_the_direct_solution():
    """(K - omega^2 M) u = F for a whole frame, hardly damped, away from resonance."""
    frame = l_frame(masses=(HEAD,))
    modes, f = solve_modes(frame, 12), 37.0
    load = NodalLoad("tip", force=(1.0, 2.0, 3.0), couple=(10.0, -20.0, 30.0))
    answer = harmonic_response(modes, drive_by_load(modes, load), modes.at("tip"), np.array([f]), 1e-9)
    matrices = frame_matrices(frame)
    dynamic = (matrices.stiffness - (2 * math.pi * f) ** 2 * matrices.mass)[6:, 6:]
    direct = np.linalg.solve(dynamic, np.concatenate([np.zeros(6), load.force, load.couple]))
    assert answer[0].real == pytest.approx(direct[6:], rel=1e-5, abs=1e-9)


def test_base_shaken_slowly_is_a_weight():
    """Relative to a base that accelerates steadily the frame hangs as under that weight, turned round."""
    frame = l_frame(masses=(HEAD,))
    modes = solve_modes(frame, 12)
    drive = drive_by_base(modes, (0.0, 0.0, 9806.65))
    slow = harmonic_response(modes, drive, modes.at("tip"), np.array([0.0]), 0.01)[0].real
    hanging = solve_static(frame, LoadCase(gravity=(0.0, 0.0, -9806.65))).at("tip")
    assert slow == pytest.approx(hanging, rel=1e-5, abs=1e-9)


def test_point_off_the_node_is_seen_there():
    modes = solve_modes(l_frame(masses=(HEAD,)), 3)
    node, off = modes.at("tip"), modes.at("tip", (0.0, 0.0, -50.0))
    assert off[:, 1] == pytest.approx(node[:, 1] + 50.0 * node[:, 3])


@pytest.mark.parametrize(
    "make",
    [
        lambda: Excitation("x", 0.0),
        lambda: Pulse(1.0, 0.0),
        lambda: Pulse(math.nan, 1.0),
        lambda: Spectrum(np.array([1.0]), np.array([1.0])),
        lambda: Spectrum(np.array([1.0, 2.0]), np.array([1.0])),
        lambda: Spectrum(np.array([2.0, 1.0]), np.array([1.0, 1.0])),
        lambda: Spectrum(np.array([1.0, 2.0]), np.array([1.0, 0.0])),
        lambda: replace(FLIGHT, drop_speed=0.0),
        lambda: line_excitations(LineSpeeds(500.0, roller_pitch=0.0), 1),
        lambda: line_excitations(LineSpeeds(500.0, drive_rpm=-1.0), 1),
        lambda: line_excitations(LineSpeeds(500.0), 0),
        lambda: impact_pulse(1.0, 1.0, 1.1, 0.01),
        lambda: magnification(1.0, 0.0),
        lambda: transmissibility(-1.0, 0.1),
        lambda: half_sine_primary(0.0, 1.0),
        lambda: half_sine_residual(1.0, 0.0),
        lambda: half_sine_history(1.0, 1.0, 0.0, np.array([1.0])),
        lambda: half_sine_history(1.0, 1.0, 1.0, np.array([1.0])),
        lambda: miles_rms(1.0, 0.0, 1.0),
        lambda: random_rms(WHITE, 1.0, 0.0),
        lambda: travel_of_acceleration(1.0, 0.0),
        lambda: dot_shift((-0.1, 0.0, 0.0), 1.0, FLIGHT),
    ],
)
def test_impossible_numbers_are_refused(make):
    with pytest.raises(ValueError, match=r"."):
        make()
