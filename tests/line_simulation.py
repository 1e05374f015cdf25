"""A virtual line: products run past a photo-eye and a print head, a controller prints by its numbers.

Nothing of the program's formulas is used here: positions come from integrating a speed over time, counts from
an encoder that ticks every so many mm from a phase of its own, columns from counting ticks (or, at a fixed
speed, from a clock). All lengths in mm, times in s. Every line of a batch runs at the same time steps.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
STEP = 0.002
"""s between two points of a line's speed; in between the line runs at an even acceleration."""


@dataclass(frozen=True)
class Entered:
    """What the installer enters, and what the eye and the wheel are like."""

    delay: float
    counts_per_mm: float
    divider: int
    response: float
    columns: int


@dataclass(frozen=True)
class Run:
    """Travel of the belt over time, one row per line."""

    time: Floats
    travel: Floats

    def at(self, row: int, time: Floats) -> Floats:
        return np.interp(time, self.time, self.travel[row])

    def when(self, row: int, travel: Floats) -> Floats:
        """The first moment at which the belt has gone so far; a standing line keeps it waiting."""
        index = np.searchsorted(self.travel[row], travel, side="left")
        index = np.clip(index, 1, len(self.time) - 1)
        x0, x1 = self.travel[row, index - 1], self.travel[row, index]
        t0, t1 = self.time[index - 1], self.time[index]
        return t0 + (t1 - t0) * (travel - x0) / np.maximum(x1 - x0, 1e-12)


def ramped_runs(dice: np.random.Generator, lines: int, top_speed: float, seconds: float) -> Run:
    """Lines that speed up, slow down, stop and go, each with another set of ramps, never over `top_speed`."""
    knots = np.linspace(0.0, seconds, 12)
    speeds = dice.uniform(0.1, 1.0, (lines, knots.size)) * top_speed
    speeds[dice.random((lines, knots.size)) < 0.2] = 0.0
    speeds[:, 0] = top_speed
    time = np.arange(0.0, seconds, STEP)
    sampled = np.array([np.interp(time, knots, row) for row in speeds])
    return run_of(time, sampled)


def steady_runs(speeds: Floats, seconds: float) -> Run:
    time = np.arange(0.0, seconds, STEP)
    return run_of(time, np.repeat(speeds[:, None], time.size, 1))


def run_of(time: Floats, speeds: Floats) -> Run:
    mean = (speeds[:, 1:] + speeds[:, :-1]) / 2 * np.diff(time)
    return Run(time, np.concatenate([np.zeros((len(speeds), 1)), np.cumsum(mean, 1)], 1))


@dataclass(frozen=True)
class Prints:
    """Where the first and the last column lie on every product, from its leading edge (nan: not printed in
    the time), one row per line, one column per product."""

    first: Floats
    last: Floats


def print_by_encoder(run: Run, arrivals: Floats, eye_to_nozzle: float, entered: Entered, dice) -> Prints:
    """Products whose leading edges meet the beam after `arrivals` mm of travel.

    The eye answers after a part of its response time. The controller then counts off the delay in whole
    counts from the next tick on, and prints a column every `divider` ticks.
    """
    phase = dice.uniform(0.0, 1.0, (len(arrivals), 1))
    late = dice.uniform(0.0, entered.response, arrivals.shape)
    rows = range(len(arrivals))
    seen = np.array([run.at(row, run.when(row, arrivals[row]) + late[row]) for row in rows])
    first_tick = np.ceil(seen * entered.counts_per_mm - phase)
    start = (first_tick + round(entered.delay * entered.counts_per_mm) + phase) / entered.counts_per_mm
    length = (entered.columns - 1) * entered.divider / entered.counts_per_mm
    return _on_products(run, start, start + length, arrivals, eye_to_nozzle)


def print_by_clock(
    run: Run, arrivals: Floats, eye_to_nozzle: float, entered: Entered, set_speed: float
) -> Prints:
    """The same without an encoder: the delay and the columns' pitch are turned into times at `set_speed`."""
    rows = range(len(arrivals))
    pitch = entered.divider / entered.counts_per_mm
    begin = [run.when(row, arrivals[row]) + entered.delay / set_speed for row in rows]
    end = [moment + (entered.columns - 1) * pitch / set_speed for moment in begin]
    start = np.array([run.at(row, begin[row]) for row in rows])
    stop = np.array([run.at(row, end[row]) for row in rows])
    return _on_products(run, start, stop, arrivals, eye_to_nozzle)


def _on_products(run: Run, start: Floats, stop: Floats, arrivals: Floats, eye_to_nozzle: float) -> Prints:
    """From belt travel to places on the product: what is under the nozzles has gone `eye_to_nozzle` past the
    beam."""
    done = stop < run.travel[:, -1:]
    first = np.where(done, start - arrivals - eye_to_nozzle, np.nan)
    return Prints(first, np.where(done, stop - arrivals - eye_to_nozzle, np.nan))


def most_waiting(arrivals: Floats, distance: float) -> int:
    """Products that have met the beam and are not yet printed, at the most, counted at every arrival."""
    return max(int(((row <= at) & (row > at - distance)).sum()) for row in arrivals for at in row)


def seen_by_eye(run: Run, row: int, edges: tuple[float, float], response: float, beam: float) -> bool:
    """Whether a product between two places of the belt darkens the whole beam as long as the eye needs."""
    lead, trail = edges
    if trail - lead < beam:
        return False
    covered = run.when(row, np.array([lead + beam, trail]))
    return bool(covered[1] - covered[0] >= response)
