"""What shakes a mount, how one mass on a spring answers, and how far a printed dot moves.

Words: the *frequency ratio* r is exciting over natural frequency; the *damping ratio* zeta is damping over
critical damping (about 0.01 for welded and bolted frames, 0.02 to 0.05 for frames with many slotted joints;
common practice). A *spectrum* is the mean square of acceleration for each Hz, in g^2/Hz, straight between its
points on log-log paper. A *pulse* is half a period of a sine.

Formulas take floats or arrays of one shape.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from mountgen.mechanics.beams import GRAVITY, MM_PER_M
from mountgen.mechanics.ranges import (
    Floats,
    Numbers,
    require_between,
    require_finite,
    require_not_negative,
    require_positive,
)
from mountgen.mechanics.timing import roller_pass_frequency

MM_PER_G = GRAVITY * MM_PER_M
"""mm/s2 for an acceleration of 1 g."""

GRID_STEPS = 400
"""Points for each stretch of an integral over a spectrum."""

RESONANCE_WIDTH = 40.0
"""How many half-power widths to each side of a resonance are integrated finely."""


@dataclass(frozen=True)
class Excitation:
    """One thing that shakes the line: its name and frequency, Hz."""

    name: str
    frequency_hz: float

    def __post_init__(self) -> None:
        require_positive(frequency_hz=self.frequency_hz)


@dataclass(frozen=True)
class LineSpeeds:
    """What the line's excitations follow from: mm/s, mm, turns a minute; None where there is no such part."""

    speed: float
    roller_pitch: float | None = None
    chain_pitch: float | None = None
    drive_rpm: float | None = None
    product_pitch: float | None = None


@dataclass(frozen=True)
class Pulse:
    """Half a period of a sine: its peak (N, or mm/s2 for a base) and how long it lasts, s."""

    peak: float
    duration: float

    def __post_init__(self) -> None:
        require_finite(peak=self.peak)
        require_positive(duration=self.duration)


@dataclass(frozen=True)
class Spectrum:
    """Measured acceleration: frequencies (Hz, rising, at least two) and densities (g^2/Hz), all above 0."""

    frequencies_hz: Floats
    densities: Floats

    def __post_init__(self) -> None:
        require_positive(frequencies_hz=self.frequencies_hz, densities=self.densities)
        if self.frequencies_hz.shape != self.densities.shape or self.frequencies_hz.size < 2:
            raise ValueError("a spectrum needs as many densities as frequencies, at least two")
        if not np.all(np.diff(self.frequencies_hz) > 0):
            raise ValueError("the frequencies of a spectrum must rise")

    def at(self, frequency_hz: Floats) -> Floats:
        """Density between the points, g^2/Hz; 0 outside them."""
        inside = np.interp(np.log(frequency_hz), np.log(self.frequencies_hz), np.log(self.densities))
        low, high = self.frequencies_hz[[0, -1]]
        return np.where((frequency_hz >= low) & (frequency_hz <= high), np.exp(inside), 0.0)


@dataclass(frozen=True)
class Flight:
    """A drop on its way: stand-off (mm), its speed and the product's (mm/s), columns per inch."""

    standoff: float
    drop_speed: float
    product_speed: float
    dpi: float

    def __post_init__(self) -> None:
        require_positive(standoff=self.standoff, drop_speed=self.drop_speed)
        require_positive(product_speed=self.product_speed, dpi=self.dpi)

    @property
    def column_pitch(self) -> float:
        """Distance between two columns on the product, mm."""
        return 25.4 / self.dpi


@dataclass(frozen=True)
class DotShift:
    """How far dots may land from where they belong, mm: along the flow and across it; share of a column."""

    along: float
    across: float
    column_share: float


def line_excitations(line: LineSpeeds, harmonics: int) -> tuple[Excitation, ...]:
    """Frequencies and multiples at which rollers, chain links, products and the drive shake the line.

    v / pitch each, and turns a second for the drive. Source: kinematics.

    Args:
        line: speed and pitches.
        harmonics: how many multiples of each, 1 for the frequency itself alone.
    """
    require_positive(harmonics=harmonics)
    pitches = {"rollers": line.roller_pitch, "chain links": line.chain_pitch, "products": line.product_pitch}
    found = {name: roller_pass_frequency(line.speed, p) for name, p in pitches.items() if p is not None}
    if line.drive_rpm is not None:
        require_positive(drive_rpm=line.drive_rpm)
        found["drive"] = line.drive_rpm / 60
    return tuple(
        Excitation(name if n == 1 else f"{name}, {n} times", n * frequency)
        for name, frequency in found.items()
        for n in range(1, harmonics + 1)
    )


def impact_pulse(kg: float, speed: float, restitution: float, duration: float) -> Pulse:
    """The push of a product that hits a stop or a guide: momentum m v (1 + e) over a half sine, in N.

    Peak = pi / 2 times momentum over duration. Source: impulse and momentum.

    Args:
        kg: of the product, above 0.
        speed: before the hit, square to what is hit, mm/s, above 0.
        restitution: e, 0 (it stays) to 1 (it bounces).
        duration: of contact, s, above 0; 0.005 to 0.03 for cartons (common practice).
    """
    require_positive(kg=kg, speed=speed, duration=duration)
    require_between(0.0, 1.0, restitution=restitution)
    return Pulse(math.pi / 2 * kg * speed * (1 + restitution) / MM_PER_M / duration, duration)


def magnification(ratio: Numbers, zeta: Numbers) -> Numbers:
    """Amplitude under a harmonic force over the deflection under the same steady force.

    1 / sqrt((1 - r^2)^2 + (2 zeta r)^2). Source: Den Hartog, Mechanical Vibrations, eq. 32.

    Args:
        ratio: r, 0 or more.
        zeta: damping ratio, 0 or more; above 0 at resonance.
    """
    _require_ratio(ratio, zeta)
    result: Numbers = 1 / np.sqrt((1 - np.square(ratio)) ** 2 + (2 * zeta * ratio) ** 2)
    return result


def transmissibility(ratio: Numbers, zeta: Numbers) -> Numbers:
    """Amplitude of a mass over that of its shaking base; also force passed on over force applied.

    sqrt(1 + (2 zeta r)^2) times the magnification; 1 at r = sqrt 2 for any damping.
    Source: Den Hartog, Mechanical Vibrations, ch. 2.

    Args:
        ratio: r, 0 or more.
        zeta: damping ratio, 0 or more; above 0 at resonance.
    """
    result: Numbers = magnification(ratio, zeta) * np.sqrt(1 + (2 * zeta * ratio) ** 2)
    return result


def _require_ratio(ratio: Numbers, zeta: Numbers) -> None:
    require_not_negative(ratio=ratio, zeta=zeta)
    if np.any((np.asarray(ratio) == 1) & (np.asarray(zeta) == 0)):
        raise ValueError("zeta must be above zero at resonance")


def half_sine_primary(frequency_hz: float, duration: float) -> float:
    """Largest answer during a half-sine push, over the deflection under its peak held; undamped, 0 or more.

    With b = 1 / (2 f T): sin(2 pi k b / (1 + b)) / (1 - b), the largest for whole k within the pulse.
    Source: Harris and Piersol, Shock and Vibration Handbook, ch. 8; Clough and Penzien, ch. 5.

    Args:
        frequency_hz: natural frequency f, above 0.
        duration: T of the pulse, s, above 0.
    """
    require_positive(frequency_hz=frequency_hz, duration=duration)
    b = 1 / (2 * frequency_hz * duration)
    if abs(b - 1) < 1e-6:
        return math.pi / 2
    last = math.floor((1 + b) / (2 * b) * (1 + 1e-12))
    peaks = [math.sin(2 * math.pi * k * b / (1 + b)) / (1 - b) for k in range(1, last + 1)]
    at_end = -b * math.sin(math.pi / b) / (1 - b**2)
    return max([at_end, *peaks])


def half_sine_residual(frequency_hz: float, duration: float) -> float:
    """Amplitude after a half-sine push, over the deflection under its peak held; undamped.

    2 b cos(pi / 2b) / (1 - b^2) with b = 1 / (2 f T). Source: Harris and Piersol, Shock and Vibration
    Handbook, ch. 8; Clough and Penzien, Dynamics of Structures, ch. 5.

    Args:
        frequency_hz: natural frequency f, above 0.
        duration: T of the pulse, s, above 0.
    """
    require_positive(frequency_hz=frequency_hz, duration=duration)
    b = 1 / (2 * frequency_hz * duration)
    if abs(b - 1) < 1e-6:
        return math.pi / 2
    return abs(2 * b * math.cos(math.pi / (2 * b)) / (1 - b**2))


def half_sine_peak(frequency_hz: float, duration: float) -> float:
    """Largest answer to a half-sine push, during or after it: at most 1.77, near f T = 0.8; undamped.

    Source: see `half_sine_primary` and `half_sine_residual`.

    Args:
        frequency_hz: natural frequency f, above 0.
        duration: T of the pulse, s, above 0.
    """
    return max(half_sine_primary(frequency_hz, duration), half_sine_residual(frequency_hz, duration))


def half_sine_history(frequency_hz: Numbers, duration: float, zeta: float, times: Floats) -> Floats:
    """Answer at any time to a half-sine push from rest, over the deflection under its peak held.

    A half sine is a sine that starts at 0 plus the same sine that starts at the pulse's end. Source: damped
    oscillator of one degree of freedom, Clough and Penzien, ch. 3.

    Args:
        frequency_hz: natural frequency, above 0; broadcasts against the times.
        duration: of the pulse, s, above 0.
        zeta: damping ratio, above 0, below 1.
        times: s, any.
    """
    require_positive(frequency_hz=frequency_hz, duration=duration, zeta=zeta, one_less_zeta=1 - zeta)
    require_finite(times=times)
    omega = 2 * math.pi * np.asarray(frequency_hz)
    result: Floats = _started_sine(omega, duration, zeta, times) + _started_sine(
        omega, duration, zeta, times - duration
    )
    return result


def _started_sine(omega: Floats, duration: float, zeta: float, times: Floats) -> Floats:
    """Answer to sin(pi t / T) that starts at 0 and goes on."""
    t = np.maximum(times, 0.0)
    push = math.pi / duration
    r = push / omega
    scale = (1 - r**2) ** 2 + (2 * zeta * r) ** 2
    in_phase, behind = (1 - r**2) / scale, 2 * zeta * r / scale
    damped = omega * math.sqrt(1 - zeta**2)
    kick = (zeta * omega * behind - push * in_phase) / damped
    fading = np.exp(-zeta * omega * t) * (behind * np.cos(damped * t) + kick * np.sin(damped * t))
    result: Floats = in_phase * np.sin(push * t) - behind * np.cos(push * t) + fading
    return np.where(times > 0, result, 0.0)


def miles_rms(frequency_hz: Numbers, zeta: Numbers, density: Numbers) -> Numbers:
    """Rms acceleration of a mass on a base that shakes at random with an even spectrum, in g.

    sqrt(pi / 2 f Q S), Q = 1 / (2 zeta). Source: Miles, 1954.

    Args:
        frequency_hz: natural frequency f, above 0.
        zeta: damping ratio, above 0.
        density: S at f, g^2/Hz, 0 or more.
    """
    require_positive(frequency_hz=frequency_hz, zeta=zeta)
    require_not_negative(density=density)
    result: Numbers = np.sqrt(math.pi / 2 * frequency_hz / (2 * zeta) * density)
    return result


def spectrum_rms(spectrum: Spectrum) -> float:
    """Rms acceleration of a spectrum, in g: each stretch is a power of the frequency, integrated exactly.

    Source: calculus; common practice for log-log spectra.

    Args:
        spectrum: frequencies and densities.
    """
    f, s = spectrum.frequencies_hz, spectrum.densities
    stretch = np.log(f[1:] / f[:-1])
    power = np.log(s[1:] / s[:-1]) / stretch + 1
    flat = np.abs(power) < 1e-9
    grown = np.expm1(power * stretch) / np.where(flat, 1.0, power)
    return math.sqrt(float(np.sum(s[:-1] * f[:-1] * np.where(flat, stretch, grown))))


def random_rms(spectrum: Spectrum, frequency_hz: float, zeta: float) -> float:
    """Rms acceleration of a mass whose base shakes with a measured spectrum, in g.

    Root of the integral of transmissibility squared times density. Source: random vibration of a linear
    oscillator; Miles' formula is its value for an even spectrum.

    Args:
        spectrum: of the base.
        frequency_hz: natural frequency, above 0.
        zeta: damping ratio, above 0.
    """
    require_positive(frequency_hz=frequency_hz, zeta=zeta)
    f = resonance_grid(spectrum, np.array([frequency_hz]), zeta)
    passed = np.square(transmissibility(f / frequency_hz, zeta)) * spectrum.at(f)
    return math.sqrt(float(np.trapezoid(passed, f)))


def resonance_grid(spectrum: Spectrum, natural_hz: Floats, zeta: float) -> Floats:
    """Frequencies over a spectrum, Hz, rising, that lie densely around each resonance.

    Args:
        spectrum: its range is covered.
        natural_hz: resonances, each above 0.
        zeta: damping ratio, above 0.
    """
    require_positive(natural_hz=natural_hz, zeta=zeta)
    low, high = spectrum.frequencies_hz[[0, -1]]
    reach = math.asinh(RESONANCE_WIDTH)
    spread = np.sinh(np.linspace(-reach, reach, GRID_STEPS))
    near = (natural_hz[:, np.newaxis] * (1 + zeta * spread)).reshape(-1)
    all_of_it = np.concatenate([np.geomspace(low, high, GRID_STEPS), spectrum.frequencies_hz, near])
    return np.unique(all_of_it[(all_of_it >= low) & (all_of_it <= high)])


def travel_of_acceleration(acceleration_g: Numbers, frequency_hz: Numbers) -> Numbers:
    """Travel of a motion at one frequency, a / (2 pi f)^2, in mm; rms gives rms, amplitude amplitude.

    Source: harmonic motion.

    Args:
        acceleration_g: g, 0 or more.
        frequency_hz: above 0.
    """
    require_not_negative(acceleration_g=acceleration_g)
    require_positive(frequency_hz=frequency_hz)
    return acceleration_g * MM_PER_G / (2 * math.pi * frequency_hz) ** 2


def dot_shift(amplitudes: tuple[float, float, float], frequency_hz: float, flight: Flight) -> DotShift:
    """How far a shaking nozzle throws its dots from their place, in mm, at worst.

    A drop keeps its nozzle's speed while it flies: X becomes X sqrt(1 + (w t)^2), t the time of flight.
    Motion in the throw direction changes the time of flight, by Y / u sqrt(1 + (w t)^2), and the product
    runs on meanwhile. Both meet at worst. Source: kinematics of a drop in straight flight.

    Args:
        amplitudes: of the nozzle along the flow, in the throw direction, across both, mm, 0 or more.
        frequency_hz: of the motion, above 0.
        flight: stand-off and speeds.
    """
    along, throw, across = amplitudes
    require_not_negative(along=along, throw=throw, across=across)
    require_positive(frequency_hz=frequency_hz)
    gain = math.hypot(1.0, 2 * math.pi * frequency_hz * flight.standoff / flight.drop_speed)
    shift = gain * (along + throw * flight.product_speed / flight.drop_speed)
    return DotShift(shift, gain * across, shift / flight.column_pitch)
