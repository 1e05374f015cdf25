"""The page's server as tests ask it, and surveys to ask with."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from mountgen.catalogue.reader import profiles_folder
from mountgen.page.app import create_app

HOME = "http://127.0.0.1:8765"
SURVEYS = profiles_folder() / "surveys"


@contextlib.contextmanager
def served() -> Iterator[TestClient]:
    """A server that is as it starts, asked under its own address."""
    with TestClient(create_app(profiles_folder()), base_url=HOME) as client:
        yield client


def survey_text(name: str) -> str:
    return (SURVEYS / f"{name}.toml").read_text(encoding="utf-8")


def ended(client: TestClient, build: dict[str, Any], seconds: float = 120.0) -> dict[str, Any]:
    """A build when it has ended."""
    until = time.monotonic() + seconds
    while build["state"] in ("queued", "running") and time.monotonic() < until:
        time.sleep(0.05)
        build = client.get(f"/api/builds/{build['id']}").json()
    return build


def started(client: TestClient, build: dict[str, Any]) -> Any:
    """The process of a build, when it runs."""
    until = time.monotonic() + 60.0
    while time.monotonic() < until:
        task = client.app.state.builds.get(build["id"]).task
        if task is not None and task.process is not None:
            return task.process
        time.sleep(0.02)
    raise AssertionError("the build never ran")


def written(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path
