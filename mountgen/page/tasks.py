"""Long work, each in a process of its own: it tells how far it is, can be ended, harms nothing but itself.

A *task* ends in one way of four: it answers, it takes too long, it is ended on purpose, or its process dies.
"""

from __future__ import annotations

import asyncio
import gc
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing import get_context
from multiprocessing.connection import Connection, wait
from multiprocessing.forkserver import ensure_running
from multiprocessing.process import BaseProcess
from typing import Generic, Literal, TypeVar

from mountgen.page.limits import end, limit_this_process

T = TypeVar("T")
How = Literal["answered", "too long", "out of memory", "died", "cancelled"]
Tell = Callable[[str], None]
Work = Callable[[Tell], T]
"""Long work: a picklable call that is handed whom to tell of its stages."""

if sys.platform == "win32":
    CONTEXT = get_context("spawn")
else:
    CONTEXT = get_context("forkserver")  # New processes come from one that has loaded what they need.
    CONTEXT.set_forkserver_preload(["mountgen.page.loaded"])


@dataclass(frozen=True)
class Ending(Generic[T]):
    """How a task ended; `answer` is there when it answered."""

    how: How
    answer: T | None = None


def ready_processes() -> None:
    """Begins to load what tasks need, and returns at once."""
    if sys.platform != "win32":
        ensure_running()


class Task(Generic[T]):
    """One piece of long work: begun when its ending is waited for, `tell` hears of its stages."""

    def __init__(self, work: Work[T], seconds: float, tell: Tell) -> None:
        self._work = work
        self._seconds = seconds
        self._tell = tell
        self._lock = threading.Lock()
        self._cancelled = False
        self.process: BaseProcess | None = None

    def cancel(self) -> None:
        """Ends it, from any thread; one that was not begun never begins."""
        with self._lock:
            self._cancelled = True
            if self.process is not None:
                end(self.process)

    async def ending(self) -> Ending[T]:
        """Does it; when the waiting is given up, the task is ended."""
        watching = asyncio.create_task(asyncio.to_thread(self._watched))
        try:
            return await asyncio.shield(watching)
        except asyncio.CancelledError:
            await asyncio.to_thread(self.cancel)
            await watching
            raise

    def _watched(self) -> Ending[T]:
        """In a thread of its own: the process from its beginning to its end."""
        begun = self._begun()
        if begun is None:
            return Ending("cancelled")
        process, pipe = begun
        try:
            found = self._heard(process, pipe)
        finally:
            with self._lock:
                end(process)
                pipe.close()
        return Ending("cancelled") if self._cancelled and found.how != "answered" else found

    def _begun(self) -> tuple[BaseProcess, Connection] | None:
        with self._lock:
            if self._cancelled:
                return None
            pipe, sender = CONTEXT.Pipe(duplex=False)
            process = CONTEXT.Process(target=_worked, args=(self._work, sender))
            process.start()
            sender.close()
            self.process = process
            return process, pipe

    def _heard(self, process: BaseProcess, pipe: Connection) -> Ending[T]:
        """What the process says, to its end."""
        until = time.monotonic() + self._seconds
        while True:
            ready = wait([pipe, process.sentinel], max(until - time.monotonic(), 0.0))
            if not ready:
                return Ending("too long")
            if pipe not in ready:
                return Ending("died")
            try:
                kind, said = pipe.recv()
            except (EOFError, OSError):
                return Ending("died")
            if kind == "stage":
                self._tell(said)
            else:
                return Ending(kind, said)


def _worked(work: Work[T], pipe: Connection) -> None:
    """In the new process."""
    limit_this_process()
    gc.set_threshold(100_000)  # Records that stay, hardly a cycle to be found.
    try:
        answer = work(lambda stage: pipe.send(("stage", stage)))
    except MemoryError:
        pipe.send(("out of memory", None))
    else:
        pipe.send(("answered", answer))
