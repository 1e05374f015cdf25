"""A second process for what needs no solids.

The CAD kernel takes most of a second to load and holds Python's lock while it works, so threads gain
nothing: flats and documents are written beside it by forks of this process. A fork begins at once, with
all that is loaded already and without handing its data over. Where the system cannot fork safely, the
same is done in line. What is written is the same either way.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from multiprocessing import get_context
from multiprocessing.connection import Connection
from typing import Protocol, TypeVarTuple

from mountgen.errors import MountgenError

Ts = TypeVarTuple("Ts")


class Job(Protocol):
    """Work that was begun."""

    def wait(self) -> None:
        """Returns when it is no longer running."""

    def result(self) -> None:
        """Waits for it and raises its error, if it has one."""


class Beside(Protocol):
    """Who does the work."""

    def submit(self, work: Callable[[*Ts], None], /, *arguments: *Ts) -> Job:
        """Begins it."""


class InLine:
    """Does each job at once, in this process; its error is raised at once too."""

    def submit(self, work: Callable[[*Ts], None], /, *arguments: *Ts) -> Job:
        work(*arguments)
        return _Done()


class _Done:
    def wait(self) -> None:
        """Nothing to wait for."""

    def result(self) -> None:
        """Nothing went wrong."""


class Forking:
    """Does each job in a fork of this process. For programs of one thread."""

    def submit(self, work: Callable[[*Ts], None], /, *arguments: *Ts) -> Job:
        return _Fork(lambda: work(*arguments))


class _Fork:
    def __init__(self, work: Callable[[], None]) -> None:
        context = get_context("fork")
        self._answer, sender = context.Pipe(duplex=False)
        self._process = context.Process(target=_answered, args=(work, sender))
        self._error: Exception | None = None
        self._process.start()
        sender.close()

    def wait(self) -> None:
        if self._answer.closed:
            return
        try:
            self._error = self._answer.recv()
        except EOFError:
            self._error = MountgenError("the process that writes flats and documents was ended from outside")
        self._answer.close()
        self._process.join()

    def result(self) -> None:
        self.wait()
        if self._error is not None:
            raise self._error


def _answered(work: Callable[[], None], answer: Connection) -> None:
    """Does the work and sends the error that people are told of, or None. An interrupt is the first
    process's to answer; it then waits for this one."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    error: Exception | None = None
    try:
        work()
    except (MountgenError, OSError) as told:
        error = told
    answer.send(error)


def second_process() -> Beside:
    """Another process, on Linux with a second processor; else this one."""
    return Forking() if sys.platform == "linux" and (os.cpu_count() or 1) > 1 else InLine()


@contextmanager
def finished_jobs() -> Iterator[list[Job]]:
    """A list for jobs: when the block ends, by an error too, none of them runs any more. A job's own error
    is raised then."""
    jobs: list[Job] = []
    try:
        yield jobs
    finally:
        for job in jobs:
            job.wait()
    for job in jobs:
        job.result()
