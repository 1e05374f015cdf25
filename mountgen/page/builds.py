"""The queue of builds: one runs, the others wait; what is done is kept until newer ones need its place."""

from __future__ import annotations

import asyncio
import shutil
import tempfile
import uuid
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from mountgen.package.writer import STAGES
from mountgen.page.building import ZIP, BuildWork, Built, PackageFile
from mountgen.page.sent import Sent
from mountgen.page.tasks import Ending, Task
from mountgen.page.workers import BusyError

State = Literal["queued", "running", "done", "failed", "cancelled"]
WAITING, KEPT = 16, 20
"""Builds that wait at most, and ended ones that are kept."""
SECONDS = 600.0
"""s that a build may take; an ordinary one takes about ten."""
STEPS = ("layout", *STAGES)
"""What is told while it runs, in the usual order."""
MESSAGES = {
    "too long": f"it took longer than {SECONDS:g} s and was ended",
    "out of memory": "it needed more memory than a build may take",
    "died": "its process was ended from outside (out of memory?)",
}


@dataclass
class Build:
    """One build and how far it is; `done` names the stages that are."""

    id: str
    sent: Sent
    folder: Path
    state: State = "queued"
    done: list[str] = field(default_factory=list)
    built: Built = field(default_factory=Built)
    message: str = ""
    task: Task[Built] | None = None

    @property
    def ended(self) -> bool:
        return self.state not in ("queued", "running")

    @property
    def step(self) -> str:
        """The first stage that is not done yet."""
        return next((one for one in STEPS if one not in self.done), "") if self.state == "running" else ""

    def file(self, path: str) -> tuple[PackageFile, Path] | None:
        """A file of the package by the path that is told of it; None for any other path."""
        found = next((one for one in self.built.files if one.path == path), None)
        return (found, self.folder / "out" / self.built.name / found.path) if found else None

    @property
    def archive(self) -> Path | None:
        """The whole package in one file."""
        return self.folder / ZIP if self.built.files else None


class Builds:
    """All builds of one server. Its methods are called from one event loop."""

    def __init__(self) -> None:
        self._folder = Path(tempfile.mkdtemp(prefix="mountgen-page-"))
        self._builds: dict[str, Build] = {}
        self._turn = asyncio.Lock()
        self._running: set[asyncio.Task[None]] = set()

    def add(self, sent: Sent) -> Build:
        """Puts a survey into the queue. BusyError when too many wait."""
        if sum(not one.ended for one in self) > WAITING:
            raise BusyError
        name = uuid.uuid4().hex
        build = Build(name, sent, self._folder / name)
        self._builds[name] = build
        self._forget_oldest()
        running = asyncio.create_task(self._run(build))
        self._running.add(running)
        running.add_done_callback(self._running.discard)
        return build

    def __iter__(self) -> Iterator[Build]:
        return iter(self._builds.values())

    def get(self, name: str) -> Build | None:
        return self._builds.get(name)

    async def cancel(self, build: Build) -> None:
        """Ends a build that waits or runs; one that has ended stays as it is."""
        if build.ended:
            return
        build.state = "cancelled"
        if build.task is not None:
            await asyncio.to_thread(build.task.cancel)

    async def close(self) -> None:
        """Ends all builds and takes their files away."""
        for build in self:
            await self.cancel(build)
        await asyncio.gather(*self._running)
        shutil.rmtree(self._folder, ignore_errors=True)

    def _forget_oldest(self) -> None:
        ended = [one for one in self if one.ended]
        for build in ended[: max(len(ended) - KEPT, 0)]:
            del self._builds[build.id]
            shutil.rmtree(build.folder, ignore_errors=True)

    async def _run(self, build: Build) -> None:
        async with self._turn:
            if build.ended:
                return
            build.state = "running"
            build.folder.mkdir()
            build.task = Task(BuildWork(build.sent, build.folder), SECONDS, build.done.append)
            _close(build, await build.task.ending())
        if not build.built.files:
            await asyncio.to_thread(shutil.rmtree, build.folder, ignore_errors=True)


def _close(build: Build, ending: Ending[Built]) -> None:
    """What became of it."""
    build.task = None
    if build.state == "cancelled":
        return
    if ending.answer is not None and not ending.answer.faults:
        build.state, build.built = "done", ending.answer
    elif ending.answer is not None:
        build.state, build.built = "failed", ending.answer
        build.message = "; ".join(f"{one.where}: {one.found}" for one in ending.answer.faults)
    else:
        build.state, build.message = "failed", MESSAGES[ending.how]
