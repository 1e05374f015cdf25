"""Nothing is done for a browser that no longer waits for it."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from typing import TypeVar

T = TypeVar("T")
IsGone = Callable[[], Awaitable[bool]]
LOOK_AGAIN = 0.25
"""s between two looks whether the browser still waits."""


class LostError(Exception):
    """A question that found no answer; `how` it ended."""

    def __init__(self, how: str) -> None:
        self.how = how
        super().__init__(how)


async def unless_gone(asked: Awaitable[T], is_gone: IsGone) -> T:
    """The answer, as long as somebody waits for it. LostError, and the work ended, when nobody does."""
    waiting = asyncio.ensure_future(asked)
    try:
        while not (await asyncio.wait([waiting], timeout=LOOK_AGAIN))[0]:
            if await is_gone():
                raise LostError("cancelled")
        return waiting.result()
    finally:
        waiting.cancel()
        await asyncio.wait([waiting])
