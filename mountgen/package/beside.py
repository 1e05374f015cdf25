"""A second process for what needs no solids.

The CAD kernel takes most of a second to load and holds Python's lock while it works, so threads gain
nothing: flats and documents are written beside it by another process. That is a fork made before the
kernel is loaded, which costs no start of its own; where the system cannot fork safely, the same is done
in line. What is written is the same either way.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import get_context
from typing import ParamSpec, TypeVar

from mountgen.errors import MountgenError

P = ParamSpec("P")
T = TypeVar("T")


class InLine(Executor):
    """Does each job at once, in this process."""

    def submit(self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        done: Future[T] = Future()
        done.set_result(fn(*args, **kwargs))
        return done


@contextmanager
def second_process() -> Iterator[Executor]:
    """Another process, on Linux with a second processor; else this one.

    It is forked at its first job: for programs of one thread. MountgenError when that process dies.
    """
    if sys.platform != "linux" or (os.cpu_count() or 1) < 2:
        yield InLine()
        return
    with ProcessPoolExecutor(1, get_context("fork"), _leave_interrupts) as pool:
        try:
            yield pool
        except BrokenProcessPool as error:
            raise MountgenError(
                "the process that writes flats and documents was ended from outside"
            ) from error


@contextmanager
def finished_jobs() -> Iterator[list[Future[None]]]:
    """A list for jobs: when the block ends, by an error too, none of them runs any more. A job's own error
    is raised then."""
    jobs: list[Future[None]] = []
    try:
        yield jobs
    finally:
        wait(jobs)
    for job in jobs:
        job.result()


def _leave_interrupts() -> None:
    """An interrupt is the first process's to answer; it then ends this one."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
