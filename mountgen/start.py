"""The program's way in: what has to be settled before the rest of it is imported."""

from __future__ import annotations

import gc
from typing import NoReturn


def main() -> NoReturn:
    """Runs the command line.

    Imports and a run make many records that stay and hardly a cycle to be found: the collector looks seldom.
    """
    gc.set_threshold(100_000)
    from mountgen.cli import main as command_line

    command_line()
