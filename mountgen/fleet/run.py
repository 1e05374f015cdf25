"""Runs a fleet's jobs on all processors: kept outcomes first, the others by worker processes.

A worker that is ended from outside (out of memory, killed) takes its pool with it: the jobs that were under
way are tried again, each by itself, and only one that ends its own worker twice is given up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from pathlib import Path

from mountgen.fleet.cache import keep, kept
from mountgen.fleet.look import look_at
from mountgen.fleet.records import Job, Outcome

AHEAD = 4
"""Jobs handed out for each worker: enough to keep it busy, few enough to lose little."""
TRIES = 2
ENDED = "the process that worked on it was ended from outside, twice (out of memory?)"

Look = Callable[[Job], Outcome]


def outcomes(jobs: Sequence[Job], cache: Path, workers: int, look: Look = look_at) -> Iterator[Outcome]:
    """Every job's outcome as it is found, those that are kept first; each is kept at once."""
    left: list[Job] = []
    for job in jobs:
        known = kept(cache, job.key)
        if known is not None and _is_whole(job, known):
            yield known
        else:
            left.append(job)
    for outcome in _found(left, workers, look):
        if outcome.state != "failed":
            keep(cache, outcome)
        yield outcome


def _is_whole(job: Job, known: Outcome) -> bool:
    """An outcome whose package, if it has one, is still there."""
    return not job.out or not known.package or (Path(job.out) / known.package / "manifest.json").is_file()


def _found(jobs: Sequence[Job], workers: int, look: Look) -> Iterator[Outcome]:
    waiting = list(reversed(jobs))
    suspects: list[Job] = []
    while waiting:
        yield from _in_one_pool(waiting, suspects, workers, look)
        while suspects:
            yield from _alone(suspects.pop(0), look)


def _alone(job: Job, look: Look) -> Iterator[Outcome]:
    """A job by itself: when it ends its own worker twice, it is the one."""
    for _ in range(TRIES):
        ended: list[Job] = []
        yield from _in_one_pool([job], ended, 1, look)
        if not ended:
            return
    yield Outcome(job.label, job.key, Path(job.path).stem, "failed", messages=(ENDED,))


def _in_one_pool(waiting: list[Job], suspects: list[Job], workers: int, look: Look) -> Iterator[Outcome]:
    """Outcomes until nothing waits, or until the pool breaks: what was under way then goes to `suspects`."""
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        running: dict[Future[Outcome], Job] = {}
        while waiting or running:
            while waiting and len(running) < AHEAD * workers:
                job = waiting.pop()
                try:
                    running[pool.submit(look, job)] = job
                except BrokenProcessPool:
                    suspects += [job, *running.values()]
                    return
            done, _ = wait(running, return_when=FIRST_COMPLETED)
            for future in done:
                job = running.pop(future)
                error = future.exception()
                if isinstance(error, BrokenProcessPool):
                    suspects += [job, *running.values()]
                    return
                yield _crashed(job, error) if error is not None else future.result()


def _crashed(job: Job, error: BaseException) -> Outcome:
    """An error that nobody foresaw: told with its kind, and the rest goes on."""
    message = f"{type(error).__name__}: {error}; please report this survey"
    return Outcome(job.label, job.key, Path(job.path).stem, "failed", messages=(message,))
