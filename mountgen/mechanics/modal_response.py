"""How a whole frame answers shaking: its modes, each a damped oscillator, added up.

Words: a *drive* is how strongly a push or a shaking base works on each mode, (k,), N for each sqrt(kg). What
is *seen* is the modes' shapes at a point, `Modes.at(node, offset)`, (k, 6). Answers are travel in mm and turn
in rad, relative to the base where the base shakes.

Modes that were not solved for answer like springs; ask for enough of them, up to some three times the highest
frequency that matters. Source: modal superposition, Clough and Penzien, Dynamics of Structures, ch. 12.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from mountgen.geometry import Vec3
from mountgen.mechanics.frame import NodalLoad
from mountgen.mechanics.frame_solve import Modes
from mountgen.mechanics.ranges import Floats, require_not_negative, require_positive
from mountgen.mechanics.vibration import (
    MM_PER_G,
    Spectrum,
    half_sine_history,
    resonance_grid,
)

MM_PER_M = 1000.0

Complexes = NDArray[np.complex128]


def drive_by_load(modes: Modes, load: NodalLoad) -> Floats:
    """Drive of a force and a couple on a node, (k,).

    Args:
        modes: of the frame.
        load: N and N mm.
    """
    push = np.concatenate([load.force, load.couple])
    seen = modes.at(load.node, load.offset)
    result: Floats = seen @ push
    return result


def drive_by_base(modes: Modes, acceleration: Vec3) -> Floats:
    """Drive of supports that all shake together, (k,).

    Args:
        modes: of the frame.
        acceleration: of the supports, mm/s2, world axes.
    """
    result: Floats = -modes.participation @ np.array(acceleration) / MM_PER_M
    return result


def harmonic_response(
    modes: Modes, drive: Floats, seen: Floats, frequencies_hz: Floats, zeta: float
) -> Complexes:
    """Steady answer to a harmonic drive, (frequencies, 6), complex: amplitude and phase against the drive.

    Args:
        modes: of the frame.
        drive: amplitude on each mode, see `drive_by_load` and `drive_by_base`.
        seen: shapes at the point, `Modes.at(node, offset)`.
        frequencies_hz: of the drive, 0 or more.
        zeta: damping ratio of every mode, above 0.
    """
    require_positive(zeta=zeta)
    require_not_negative(frequencies_hz=frequencies_hz)
    r = np.atleast_1d(frequencies_hz)[:, np.newaxis] / modes.frequencies_hz
    return np.asarray((_still(modes, drive) / (1 - r**2 + 2j * zeta * r)) @ seen, dtype=np.complex128)


def pulse_response(
    modes: Modes, drive: Floats, seen: Floats, duration: float, times: Floats, zeta: float
) -> Floats:
    """Answer to a half-sine pulse from rest, (times, 6).

    Args:
        modes: of the frame.
        drive: peak of the pulse on each mode, see `drive_by_load` and `drive_by_base`.
        seen: shapes at the point, `Modes.at(node, offset)`.
        duration: of the pulse, s, above 0.
        times: s, any, shape (times,).
        zeta: damping ratio of every mode, above 0, below 1.
    """
    histories = half_sine_history(modes.frequencies_hz, duration, zeta, times[:, np.newaxis])
    result: Floats = (histories * _still(modes, drive)) @ seen
    return result


def random_response_rms(
    modes: Modes, direction: Vec3, seen: Floats, spectrum: Spectrum, zeta: float
) -> Floats:
    """Rms answer, (6,), when the supports shake together at random along one direction.

    Modes are added with their phases before the mean square is taken.

    Args:
        modes: of the frame.
        direction: of the shaking, a unit vector, world axes.
        seen: shapes at the point, `Modes.at(node, offset)`.
        spectrum: acceleration of the supports.
        zeta: damping ratio of every mode, above 0.
    """
    f = resonance_grid(spectrum, modes.frequencies_hz, zeta)
    drive = drive_by_base(modes, direction) * MM_PER_G
    squares = np.abs(harmonic_response(modes, drive, seen, f, zeta)) ** 2
    mean = np.trapezoid(squares * spectrum.at(f)[:, np.newaxis], f, axis=0)
    return np.asarray(np.sqrt(mean), dtype=np.float64)


def _still(modes: Modes, drive: Floats) -> Floats:
    """Each mode's answer to the drive held still: a push of 1 N moves 1 kg by 1000 mm/s2."""
    result: Floats = drive * MM_PER_M / (2 * math.pi * modes.frequencies_hz) ** 2
    return result
