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
from typing import Generic, Protocol, TypeVar, TypeVarTuple

from mountgen.errors import MountgenError

T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)
Ts = TypeVarTuple("Ts")


class Job(Protocol[T_co]):
    """Work that was begun."""

    def wait(self) -> None:
        """Returns when it is no longer running."""

    def result(self) -> T_co:
        """Waits for it; what it found, or its error is raised."""


class Beside(Protocol):
    """Who does the work."""

    def submit(self, work: Callable[[*Ts], T], /, *arguments: *Ts) -> Job[T]:
        """Begins it."""


class InLine:
    """Does each job at once, in this process; its error is raised at once too."""

    def submit(self, work: Callable[[*Ts], T], /, *arguments: *Ts) -> Job[T]:
        return _Done(work(*arguments))


class _Done(Generic[T]):
    def __init__(self, found: T) -> None:
        self._found = found

    def wait(self) -> None:
        """Nothing to wait for."""

    def result(self) -> T:
        return self._found


class Forking:
    """Does each job in a fork of this process. For programs of one thread."""

    def submit(self, work: Callable[[*Ts], T], /, *arguments: *Ts) -> Job[T]:
        return _Fork(lambda: work(*arguments))


class _Fork(Generic[T]):
    def __init__(self, work: Callable[[], T]) -> None:
        context = get_context("fork")
        self._pipe, sender = context.Pipe(duplex=False)
        self._process = context.Process(target=_answered, args=(work, sender))
        self._answer: _Done[T] | Exception | None = None
        self._process.start()
        sender.close()

    def wait(self) -> None:
        self._finished()

    def result(self) -> T:
        answer = self._finished()
        if isinstance(answer, Exception):
            raise answer
        return answer.result()

    def _finished(self) -> _Done[T] | Exception:
        if self._answer is None:
            self._answer = self._received()
            self._pipe.close()
            self._process.join()
        return self._answer

    def _received(self) -> _Done[T] | Exception:
        try:
            answer: _Done[T] | Exception = self._pipe.recv()
        except EOFError:
            return MountgenError("the process that writes flats and documents was ended from outside")
        return answer


def _answered(work: Callable[[], T], pipe: Connection) -> None:
    """Does the work and sends what it found, or the error that people are told of. An interrupt is the
    first process's to answer; it then waits for this one."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    answer: _Done[T] | Exception
    try:
        answer = _Done(work())
    except (MountgenError, OSError) as told:
        answer = told
    pipe.send(answer)


def second_process() -> Beside:
    """Another process, on Linux with a second processor; else this one."""
    return Forking() if sys.platform == "linux" and (os.cpu_count() or 1) > 1 else InLine()


@contextmanager
def finished_jobs() -> Iterator[list[Job[object]]]:
    """A list for jobs: when the block ends, by an error too, none of them runs any more. A job's own error
    is raised then."""
    jobs: list[Job[object]] = []
    try:
        yield jobs
    finally:
        for job in jobs:
            job.wait()
    for job in jobs:
        job.result()
