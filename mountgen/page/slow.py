"""Questions that take seconds: what would make a mount feasible, how wrong a value may be, the report.

Each is a task of its own. A question that nobody waits for any more is ended.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass

from mountgen.page.sent import Sent
from mountgen.page.tasks import Task, Tell
from mountgen.page.waiting import IsGone, LostError, unless_gone
from mountgen.page.workers import Answer, BusyError

AT_ONCE, WAITING = 2, 16
SECONDS = 180.0


@dataclass(frozen=True)
class Question:
    """A piece of work for a survey, as a process is handed it."""

    work: Callable[[Sent], Answer]
    sent: Sent

    def __call__(self, _: Tell) -> Answer:
        return self.work(self.sent)


class Slow:
    """The questions of one server. Its methods are called from one event loop."""

    def __init__(self) -> None:
        self._room = AT_ONCE + WAITING
        self._turns = asyncio.Semaphore(AT_ONCE)

    async def answer(self, work: Callable[[Sent], Answer], sent: Sent, is_gone: IsGone) -> Answer:
        """The answer. BusyError when too many wait, LostError when there is none or nobody waits for it."""
        if self._room <= 0:
            raise BusyError
        self._room -= 1
        try:
            return await unless_gone(self._asked(work, sent), is_gone)
        finally:
            self._room += 1

    async def _asked(self, work: Callable[[Sent], Answer], sent: Sent) -> Answer:
        async with self._turns:
            ending = await Task(Question(work, sent), SECONDS, lambda _: None).ending()
        if ending.answer is None:
            raise LostError(ending.how)
        return ending.answer
