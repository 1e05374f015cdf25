"""Warm worker processes for questions that are answered at once.

As many questions wait as `QUEUE` says; beyond that a BusyError tells the browser to ask again. A worker that
is ended from outside fails the questions that its pool had taken on, and new workers take its place.
"""

from __future__ import annotations

import asyncio
import gc
import json
import os
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from typing import NamedTuple

from mountgen.errors import Fault, InputError, MountgenError
from mountgen.package.report import Json
from mountgen.page.answers import check_answer, known
from mountgen.page.faults import faults_json
from mountgen.page.sent import Sent

WORKERS = 2
QUEUE = 64
"""Questions that are answered or wait at one time: a few for each of a room of people."""
TRIES = 2

Work = Callable[[Sent], dict[str, Json]]


class Answer(NamedTuple):
    """What is sent back: an HTTP status and a JSON text."""

    status: int
    body: bytes


class BusyError(Exception):
    """More is asked than can be answered; nothing was begun."""


def answered(work: Work, sent: Sent) -> Answer:
    """The work's answer as JSON; errors that mountgen raises on purpose are answers too."""
    try:
        return Answer(200, json.dumps(work(sent), ensure_ascii=False, allow_nan=False).encode())
    except InputError as error:
        return Answer(422, faults_json(error.faults))
    except MountgenError as error:
        fault = Fault("mount", str(error), "a mount that can be made", "change the survey, and report it")
        return Answer(422, faults_json([fault]))


def warmed(texts: tuple[str, ...]) -> None:
    """Reads and loads what every question needs, by answering some."""
    gc.set_threshold(100_000)  # Records that stay, hardly a cycle to be found.
    known()
    for text in texts:
        answered(check_answer, Sent(text=text))


class Workers:
    """The pool. Its methods are called from one event loop."""

    def __init__(self, texts: tuple[str, ...], count: int = WORKERS, queue: int = QUEUE) -> None:
        self._texts = texts
        self._count = count
        self.room = queue
        self._pool = self._new_pool()

    def _new_pool(self) -> ProcessPoolExecutor:
        pool = ProcessPoolExecutor(
            self._count, mp_context=get_context("spawn"), initializer=warmed, initargs=(self._texts,)
        )
        pool.submit(os.getpid)  # Workers are begun with the first work: so that nobody waits for it.
        return pool

    async def answer(self, work: Work, sent: Sent) -> Answer:
        """A worker's answer. Raises BusyError, and BrokenProcessPool when workers die of the question."""
        if self.room <= 0:
            raise BusyError
        self.room -= 1
        try:
            return await self._tried(work, sent)
        finally:
            self.room += 1

    async def _tried(self, work: Work, sent: Sent) -> Answer:
        """Asked once more when a worker died: another question may have been the cause."""
        for turn in range(TRIES):
            pool = self._pool
            try:
                return await asyncio.wrap_future(pool.submit(answered, work, sent))
            except BrokenProcessPool:
                if self._pool is pool:
                    self._pool = self._new_pool()
                    pool.shutdown(wait=False, cancel_futures=True)
                if turn + 1 == TRIES:
                    raise
        raise AssertionError("unreachable")

    @property
    def processes(self) -> tuple[int, ...]:
        """Who they are now."""
        return tuple(self._pool._processes or ())

    def close(self) -> None:
        """Ends the workers."""
        self._pool.shutdown(cancel_futures=True)
