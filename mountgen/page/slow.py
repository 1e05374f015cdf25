"""Questions that take seconds: what would make a mount feasible, how wrong a value may be, the report.

Each is a task of its own. A question that nobody waits for any more is ended.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from dataclasses import dataclass

from mountgen.page.sent import Sent
from mountgen.page.tasks import Task, Tell
from mountgen.page.workers import Answer, BusyError

AT_ONCE, WAITING = 2, 16
SECONDS = 180.0
ASK_AGAIN = 0.25
"""s between two looks whether the browser still waits."""


class LostError(Exception):
    """A question that found no answer; `how` it ended."""

    def __init__(self, how: str) -> None:
        self.how = how
        super().__init__(how)


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

    async def answer(
        self, work: Callable[[Sent], Answer], sent: Sent, is_gone: Callable[[], Awaitable[bool]]
    ) -> Answer:
        """The answer. BusyError when too many wait, LostError when there is none or nobody waits for it."""
        if self._room <= 0:
            raise BusyError
        self._room -= 1
        try:
            return await _unless_gone(self._asked(work, sent), is_gone)
        finally:
            self._room += 1

    async def _asked(self, work: Callable[[Sent], Answer], sent: Sent) -> Answer:
        async with self._turns:
            ending = await Task(Question(work, sent), SECONDS, lambda _: None).ending()
        if ending.answer is None:
            raise LostError(ending.how)
        return ending.answer


async def _unless_gone(asked: Awaitable[Answer], is_gone: Callable[[], Awaitable[bool]]) -> Answer:
    """The answer, as long as somebody waits for it."""
    waiting = asyncio.ensure_future(asked)
    try:
        while not (await asyncio.wait([waiting], timeout=ASK_AGAIN))[0]:
            if await is_gone():
                raise LostError("cancelled")
        return waiting.result()
    finally:
        waiting.cancel()
        await asyncio.wait([waiting])
