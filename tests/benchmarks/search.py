"""How many candidates a second the search judges: python tests/benchmarks/search.py [RUNS]

A candidate is judged when it is known to pass every quick check of the search or to fail one: lengths, flat
on the web, change of sag, give, first frequency. Frequencies are estimated for those that pass the rest and
whose head alone is not too slow. The time is that of the arrays of all candidates of a survey, from their
frames on: medians of RUNS (20 when not given) on the clock, and of the seconds that the processor worked.
Beside it the rate with every frequency estimated.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from functools import partial

import numpy as np

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.demand import essential, require, working_view
from mountgen.layout import search
from mountgen.layout.candidates import Job, frames_of, job_of
from mountgen.survey.reader import read_survey

TARGET = 200_000.0


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    catalogue = Catalogue()
    for path in sorted((profiles_folder() / "surveys").glob("*.toml")):
        survey = working_view(read_survey(path, catalogue))
        job = job_of(survey, essential(require(survey)), catalogue)
        count = judge(job)
        for name, task in (("judged", judge), ("every frequency", estimate)):
            clock, work = _cost(partial(task, job), runs)
            verdict = f"target {TARGET:,.0f}: {'met' if count / clock >= TARGET else 'MISSED'}"
            told = f"{count} candidates, {1000 * clock:.1f} ms ({1000 * work:.1f} ms of work)"
            rate = f"{count / clock:,.0f} a second ({count / work:,.0f} by work)"
            sys.stdout.write(f"{path.stem:<18} {name:<16} {told}, {rate}; {verdict}\n")


def judge(job: Job) -> int:
    """Which pass all quick checks; how many were looked at."""
    field = search._field(job, frames_of(job))
    passing = np.flatnonzero((field.shortfall(search.PLAIN) == 0.0) & (field.swing <= 1.0))
    assert (field.slowness(passing) <= 1.0).any()
    return field.masses.size


def estimate(job: Job) -> int:
    """Every estimate of every candidate."""
    field = search._field(job, frames_of(job))
    field.slowness(np.arange(field.masses.size))
    return field.masses.size


def _cost(task: Callable[[], int], runs: int) -> tuple[float, float]:
    """Medians of seconds on the clock and of the processor."""
    costs = []
    for _ in range(runs):
        start, worked = time.perf_counter(), time.process_time()
        task()
        costs.append((time.perf_counter() - start, time.process_time() - worked))
    clocks, works = zip(*costs, strict=True)
    return statistics.median(clocks), statistics.median(works)


if __name__ == "__main__":
    main()
