"""One run of a fleet: jobs, outcomes as they come, the summary at the end."""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from mountgen.errors import Fault, OutputError
from mountgen.fleet.jobs import jobs_for, surveys_in
from mountgen.fleet.page import page
from mountgen.fleet.plan import FleetSummary, summary_of
from mountgen.fleet.records import Outcome
from mountgen.fleet.run import outcomes
from mountgen.fleet.workbook import workbook
from mountgen.shop.reader import read_shop

KEPT = ".outcomes"
"""Folder of the outcomes that are kept."""
EVERY = 1.0
"""s between two lines of progress."""

Tell = Callable[[str], None]


@dataclass(frozen=True)
class FleetOrder:
    """What is asked for: surveys in `folder`, results to `out`, by the shop of a file, with `profiles`."""

    folder: Path
    out: Path
    shop: Path
    profiles: Path
    build: bool
    workers: int


def run_fleet(order: FleetOrder, tell: Tell) -> FleetSummary:
    """Looks at every survey, writes fleet.html and fleet.xlsx, and tells how far it is.

    Raises SurveyError for a folder without surveys, ShopError for a shop that cannot be read, OutputError
    where nothing can be written.
    """
    surveys, shop = surveys_in(order.folder), read_shop(order.shop)
    cache = _made(order.out / KEPT)
    out = _made(order.out / "packages") if order.build else None
    jobs, found = jobs_for(order.folder, surveys, order.profiles, order.shop, out)
    clock = _Progress(len(surveys), tell)
    for outcome in outcomes(jobs, cache, order.workers):
        found.append(outcome)
        clock.step(found)
    summary = summary_of(found, shop)
    _write(order.out / "fleet.html", page(f"Fleet: {order.folder.name}", summary).encode("utf-8"))
    _write(order.out / "fleet.xlsx", workbook(summary))
    return summary


class _Progress:
    """How many are done and how long the rest will take, by what the ones so far took."""

    def __init__(self, count: int, tell: Tell) -> None:
        self._count, self._tell = count, tell
        self._begun = self._told = time.monotonic()

    def step(self, found: list[Outcome]) -> None:
        now, done = time.monotonic(), len(found)
        if now - self._told < EVERY and done < self._count:
            return
        self._told = now
        left = (now - self._begun) / done * (self._count - done)
        trouble = sum(one.state in ("bad input", "failed") for one in found)
        self._tell(f"{done} of {self._count}, {trouble} without a verdict, {_clock(left)} left")


def _clock(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"


def _made(folder: Path) -> Path:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _refused(folder, error) from error
    return folder


def _write(path: Path, content: bytes) -> None:
    """Whole or not at all: an earlier summary survives."""
    try:
        handle, partial = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
            Path(partial).chmod(0o644)
            Path(partial).replace(path)
        finally:
            Path(partial).unlink(missing_ok=True)
    except OSError as error:
        raise _refused(path, error) from error


def _refused(path: Path, error: OSError) -> OutputError:
    found = f"it cannot be written ({error.strerror or error})"
    action = "give another with --out, or free the place; outcomes so far are kept"
    return OutputError([Fault(str(path), found, "a place that can be written to", action)])
