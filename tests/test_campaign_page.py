"""Long runs of the page's server: a room of people, many builds, and requests that nobody would send.

`python -m pytest -m campaign tests/test_campaign_page.py -s` prints the figures. PAGE_BUILDS, PAGE_EDITS
and PAGE_EXAMPLES say how many builds, edits of each person, and requests of each kind are made.
"""

from __future__ import annotations

import contextlib
import os
import socket
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import httpx2
import numpy as np
import psutil
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis.errors import Unsatisfiable
from page_server import ended, served, survey_text

pytestmark = pytest.mark.campaign

BUILDS = int(os.environ.get("PAGE_BUILDS", "200"))
EDITS = int(os.environ.get("PAGE_EDITS", "20"))
EXAMPLES = int(os.environ.get("PAGE_EXAMPLES", "200"))
PEOPLE, PAUSE = 20, 3.0
"""People who edit at once, and s between the edits of one."""
SETTLED = 3
"""Builds after which the server has all that it keeps, but for the files of builds."""
MOST_GROWTH = 20_000_000
"""Bytes by which the server may grow meanwhile; twenty kept builds hold far less."""
SURVEYS = ("seed-cartons", "compost-sacks", "seed-trays-inch")


def told(text: str) -> None:
    sys.stdout.write(f"{text}\n")


@contextlib.contextmanager
def running() -> Iterator[str]:
    """`mountgen serve` as a process of its own; its address."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    command = [sys.executable, "-c", "from mountgen.cli import main; main()", "serve", "--port", str(port)]
    server = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
    try:
        assert str(port) in server.stderr.readline()
        yield f"http://127.0.0.1:{port}"
    finally:
        server.terminate()
        server.wait(60)
        server.stderr.close()


def edits(address: str, person: int) -> list[float]:
    """One person's edits: the line a little quicker each time; s of each round trip."""
    text, took = survey_text(SURVEYS[person % len(SURVEYS)]), []
    with httpx2.Client(base_url=address, timeout=120.0) as client:
        time.sleep(PAUSE * person / PEOPLE)
        for edit in range(EDITS):
            quicker = {"line.speed": f"{20 + edit / 10 + person / 1000:.3f} m/min"}
            begun = time.perf_counter()
            answer = client.post("/api/check", json={"text": text, "settings": quicker})
            took.append(time.perf_counter() - begun)
            assert answer.status_code == 200, answer.text
            time.sleep(max(PAUSE - took[-1], 0.0))
    return took


def test_a_room_of_people_edits_at_once():
    with running() as address:
        httpx2.post(f"{address}/api/check", json={"text": survey_text("seed-cartons")}, timeout=120.0)
        with ThreadPoolExecutor(PEOPLE) as people:
            found = list(people.map(lambda person: edits(address, person), range(PEOPLE)))
    took = np.concatenate(found)
    middle, most = np.percentile(took, [50, 95])
    told(f"\n{PEOPLE} people, an edit every {PAUSE:g} s: median {middle:.3f} s, 95 % {most:.3f} s")
    assert took.size == PEOPLE * EDITS


def test_many_builds_leave_nothing_behind():
    with served() as client:
        server = psutil.Process()
        sizes = []
        for number in range(BUILDS):
            text = survey_text("seed-cartons").replace("30 m/min", f"{25 + number % 5} m/min")
            build = ended(client, client.post("/api/builds", json={"text": text}).json(), 600.0)
            assert build["state"] == "done", build
            sizes.append(
                [server.memory_info().rss, *sorted(one.memory_info().rss for one in server.children())]
            )
        children = len(server.children(recursive=True))
    growth = sizes[-1][0] - sizes[min(SETTLED, BUILDS) - 1][0]
    told(f"\n{BUILDS} builds: the server {sizes[-1][0] / 1e6:.0f} MB, grown by {growth / 1e6:.1f} MB;")
    told(f"its {children} processes from {sizes[0][1:]} to {sizes[-1][1:]} bytes")
    assert growth < MOST_GROWTH
    assert children <= 6  # two workers, whence they are forked, and trackers


def test_no_request_makes_the_server_fail():
    """Requests made from the server's own description, by its rules and against them. A 503 that says when to
    ask again is no failure: builds are queued faster than any can be made."""
    schemathesis = pytest.importorskip("schemathesis")
    modes = [schemathesis.GenerationMode.POSITIVE, schemathesis.GenerationMode.NEGATIVE]
    asked: Counter[str] = Counter()
    with running() as address:
        schema = schemathesis.openapi.from_url(f"{address}/api/openapi.json")
        for found in schema.get_all_operations():
            operation = found.ok()
            for mode in modes:
                with contextlib.suppress(Unsatisfiable):
                    fuzz(operation, mode, address, asked)
        assert httpx2.get(f"{address}/api/starters").status_code == 200
    told("\n" + "; ".join(f"{name}: {count}" for name, count in sorted(asked.items())))
    assert len({name.rsplit(" ", 1)[0] for name in asked}) >= 10


def fuzz(operation: Any, mode: Any, address: str, asked: Counter[str]) -> None:
    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        database=None,
        derandomize=True,
        suppress_health_check=list(HealthCheck),
    )
    @given(operation.as_strategy(generation_mode=mode))
    def tried(case: Any) -> None:
        answer = case.call(base_url=address, timeout=300)
        asked[f"{operation.method} {operation.path} {answer.status_code}"] += 1
        busy = answer.status_code == 503 and "retry-after" in answer.headers
        assert answer.status_code < 500 or busy, (answer.status_code, case.as_curl_command())

    tried()
