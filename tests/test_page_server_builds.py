"""Builds of the page: each in a process of its own that can be ended and harms nothing else."""

from __future__ import annotations

import asyncio
import functools
import hashlib
import io
import json
import os
import signal
import time
import zipfile
from collections.abc import Iterator

import psutil
import pytest
from page_server import ended, served, started, survey_text
from starlette.testclient import TestClient

from mountgen.page import builds
from mountgen.page.tasks import Task

CARTONS = survey_text("seed-cartons")


@pytest.fixture(scope="module")
def client() -> Iterator[TestClient]:
    with served() as asked:
        yield asked


def asked(client: TestClient, text: str = CARTONS) -> dict:
    return client.post("/api/builds", json={"text": text}).json()


@pytest.fixture(scope="module")
def done(client) -> dict:
    return ended(client, asked(client))


def test_a_package_is_written(client, done):
    assert (done["state"], done["done"], done["verdict"]) == ("done", done["of"], "feasible")
    assert {one["kind"] for one in done["files"]} >= {
        "pdf",
        "dxf",
        "step",
        "glb",
        "html",
        "json",
        "csv",
        "xlsx",
    }


def test_the_archive_holds_every_file_of_the_manifest(client, done):
    answer = client.get(f"/api/builds/{done['id']}/package.zip")
    assert 'filename="seed-cartons.zip"' in answer.headers["content-disposition"]
    with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
        names = set(archive.namelist())
        listed = json.loads(archive.read("seed-cartons/manifest.json"))["files"]
        for one in listed:
            content = archive.read(f"seed-cartons/{one['path']}")
            assert hashlib.sha256(content).hexdigest() == one["sha256"]
    assert len(listed) > 30
    assert names == {f"seed-cartons/{one['path']}" for one in done["files"]}


def test_every_file_is_served_as_it_is_told(client, done):
    for one in done["files"]:
        answer = client.get(f"/api/builds/{done['id']}/files/{one['path']}")
        assert (answer.status_code, len(answer.content)) == (200, one["bytes"])
        assert answer.headers["content-type"] != "application/octet-stream"


def test_a_report_may_run_nothing(client, done):
    answer = client.get(f"/api/builds/{done['id']}/files/feasibility.html")
    assert answer.headers["content-security-policy"].startswith("default-src 'none'")


@pytest.mark.parametrize("path", ["..%2fpackage.zip", "%2e%2e%2f%2e%2e", "flat", "", "nest/"])
def test_no_other_file_is_served(client, done, path):
    assert client.get(f"/api/builds/{done['id']}/files/{path}").status_code == 404


def test_a_wrong_survey_is_a_build_that_failed(client):
    found = ended(client, asked(client, CARTONS.replace("30 m/min", "30")))
    assert found["state"] == "failed"
    assert [one["key"] for one in found["faults"]] == ["line.speed"]
    assert client.get(f"/api/builds/{found['id']}/package.zip").status_code == 404


def test_a_build_that_is_killed_fails_alone(client):
    first, second = asked(client), asked(client, CARTONS.replace("30 m/min", "30"))
    os.kill(started(client, first).pid, signal.SIGKILL)
    found = ended(client, first)
    assert (found["state"], found["files"]) == ("failed", [])
    assert "ended from outside" in found["message"]
    assert ended(client, second)["faults"]
    assert client.post("/api/survey", json={"text": CARTONS}).status_code == 200


def test_a_build_that_is_cancelled_ends_with_all_its_processes(client):
    build = asked(client)
    process = psutil.Process(started(client, build).pid)
    until = time.monotonic() + 60.0
    while not process.children() and time.monotonic() < until:
        time.sleep(0.02)
    family = [process, *process.children()]
    assert len(family) > 1
    assert client.delete(f"/api/builds/{build['id']}").json()["state"] == "cancelled"
    _, alive = psutil.wait_procs(family, timeout=10.0)
    assert alive == []
    found = client.app.state.builds.get(build["id"])
    while found.folder.exists() and time.monotonic() < until:
        time.sleep(0.02)
    assert not found.folder.exists()
    assert client.get(f"/api/builds/{build['id']}").json()["state"] == "cancelled"


def test_more_builds_than_the_queue_holds_are_refused(client, monkeypatch):
    monkeypatch.setattr(builds, "WAITING", 1)
    answers = [client.post("/api/builds", json={"text": CARTONS}) for _ in range(3)]
    for answer in answers[:2]:
        client.delete(f"/api/builds/{answer.json()['id']}")
    assert [answer.status_code for answer in answers] == [202, 202, 503]


def test_old_builds_make_room(client, monkeypatch):
    monkeypatch.setattr(builds, "KEPT", 2)
    wrong = [ended(client, asked(client, f"x = {number}")) for number in range(4)]
    known = [one["id"] for one in client.get("/api/builds").json()]
    assert wrong[0]["id"] not in known
    assert wrong[3]["id"] in known
    assert client.get(f"/api/builds/{wrong[0]['id']}").status_code == 404


def test_nothing_is_left_when_the_server_ends():
    with served() as client:
        build = asked(client, "x = 1")
        ended(client, build)
        folder = client.app.state.builds.get(build["id"]).folder.parent
        assert folder.exists()
    assert not folder.exists()


def how_it_ends(work, seconds: float = 60.0, told: list | None = None) -> tuple[str, object]:
    ending = asyncio.run(Task(work, seconds, (told if told is not None else []).append).ending())
    return ending.how, ending.answer


def answers(tell) -> int:
    tell("first")
    tell("second")
    return 42


def sleeps(_) -> None:
    time.sleep(600.0)


def kills_itself(_) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def takes_much(_) -> int:
    return len(bytearray(8_000_000_000))


def test_a_task_tells_its_stages_and_answers():
    told: list[str] = []
    assert how_it_ends(answers, told=told) == ("answered", 42)
    assert told == ["first", "second"]


@pytest.mark.parametrize(
    ("work", "seconds", "how"),
    [(sleeps, 0.2, "too long"), (kills_itself, 60.0, "died"), (takes_much, 60.0, "out of memory")],
    ids=["sleeps", "dies", "takes much"],
)
def test_a_task_that_does_not_answer_ends_all_the_same(work, seconds, how):
    assert how_it_ends(work, seconds) == (how, None)


def test_a_task_that_is_cancelled_before_it_began_never_begins():
    task = Task(functools.partial(sleeps), 60.0, [].append)
    task.cancel()
    assert asyncio.run(task.ending()).how == "cancelled"
    assert task.process is None


def test_a_task_that_nobody_waits_for_is_ended():
    async def given_up() -> Task:
        task = Task(sleeps, 60.0, [].append)
        waiting = asyncio.create_task(task.ending())
        while task.process is None or not task.process.is_alive():
            await asyncio.sleep(0.02)
        waiting.cancel()
        await asyncio.wait([waiting])
        return task

    assert not asyncio.run(given_up()).process.is_alive()
