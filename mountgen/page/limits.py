"""What a process of the page may take of this machine, and how it is ended with all that it began."""

from __future__ import annotations

import contextlib
import os
import signal
import sys
from multiprocessing.process import BaseProcess

MOST_MEMORY = 3_000_000_000
"""Bytes of data of one process; a build takes about a fifth of it."""
POLITE = 5
"""By how much long work steps back behind questions that somebody waits for."""


def limit_this_process(most_memory: int = MOST_MEMORY) -> None:
    """Makes this process the head of a group of its own and limits it, where the system can."""
    if sys.platform == "win32":
        return
    import resource

    os.setsid()
    os.nice(POLITE)
    kind = resource.RLIMIT_DATA if sys.platform == "linux" else resource.RLIMIT_AS
    resource.setrlimit(kind, (most_memory, most_memory))


def end(process: BaseProcess) -> None:
    """Ends a process and what it began, at once, and waits until it is gone."""
    process.kill()
    if sys.platform != "win32" and process.pid is not None:
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, signal.SIGKILL)
    process.join()
