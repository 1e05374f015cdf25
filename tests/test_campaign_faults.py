"""Builds that are killed at any moment, meet a full disk, or lose their folder (`pytest -m campaign`).

After each the last good package is whole, and the next build succeeds.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from random import Random

import pytest

from mountgen.catalogue.reader import profiles_folder

pytestmark = pytest.mark.campaign
CARTONS = profiles_folder() / "surveys" / "seed-cartons.toml"
KILLS = 100
RUN = "from mountgen.cli import main; main()"
LIMITED = """import resource, signal
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, ({}, resource.RLIM_INFINITY))"""


def started(*arguments: object, limit: int | None = None) -> subprocess.Popen[bytes]:
    """A build in a process group of its own; `limit` is the largest file that it may write, bytes."""
    code = f"{LIMITED.format(limit)}\n{RUN}" if limit else RUN
    return subprocess.Popen(
        [sys.executable, "-c", code, *map(str, arguments)],
        start_new_session=True,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )


def ended(build: subprocess.Popen[bytes]) -> tuple[int, bytes]:
    """Waits for a build: its exit code and what it said."""
    _, error = build.communicate()
    return build.returncode, error


def assert_whole(package: Path) -> None:
    """Every file that the manifest lists is there with its bytes, and no other."""
    manifest = json.loads((package / "manifest.json").read_text(encoding="utf-8"))
    listed = {one["path"]: one["sha256"] for one in manifest["files"]}
    there = {p.relative_to(package).as_posix(): p for p in package.rglob("*") if p.is_file()}
    del there["manifest.json"]
    assert set(there) == set(listed)
    for name, path in there.items():
        assert hashlib.sha256(path.read_bytes()).hexdigest() == listed[name], name


@pytest.fixture(scope="module")
def built(tmp_path_factory) -> tuple[Path, float]:
    """A place with a good package, and how long it took."""
    out = tmp_path_factory.mktemp("out")
    begun = time.monotonic()
    assert ended(started("build", CARTONS, "--out", out))[0] == 0
    return out, time.monotonic() - begun


def test_killed_at_a_hundred_moments(built):
    out, took = built
    dice = Random(20261130)
    for _ in range(KILLS):
        build = started("build", CARTONS, "--out", out)
        time.sleep(dice.uniform(0.0, 1.05 * took))
        os.killpg(build.pid, signal.SIGKILL)
        ended(build)
        if (out / "seed-cartons").exists():
            assert_whole(out / "seed-cartons")
        else:  # killed between the two renames: the next build puts it back
            assert list(out.glob(".seed-cartons.earlier.*"))
    assert ended(started("build", CARTONS, "--out", out))[0] == 0
    assert_whole(out / "seed-cartons")


@pytest.mark.parametrize("limit", [1_000, 20_000, 60_000, 200_000])
def test_a_disk_that_takes_no_more(built, limit):
    """Files may grow to a limit only, as on a full disk: an error that says so, the package as it was."""
    out, _ = built
    before = (out / "seed-cartons" / "manifest.json").read_bytes()
    build = started("build", CARTONS, "--out", out, limit=limit)
    code, error = ended(build)
    assert code == 2, error
    assert b"Traceback" not in error
    assert b"cannot be written" in error
    assert (out / "seed-cartons" / "manifest.json").read_bytes() == before
    assert_whole(out / "seed-cartons")


def test_a_folder_that_vanishes(tmp_path):
    out = tmp_path / "out"
    build = started("build", CARTONS, "--out", out)
    while not list(tmp_path.glob("out/.seed-cartons.new.*")):
        time.sleep(0.01)
    shutil.rmtree(out, ignore_errors=True)
    code, error = ended(build)
    assert code == 2, error
    assert b"Traceback" not in error
    assert ended(started("build", CARTONS, "--out", out))[0] == 0
    assert_whole(out / "seed-cartons")


def test_two_builds_of_one_survey_at_once(tmp_path):
    builds = [started("build", CARTONS, "--out", tmp_path) for _ in range(3)]
    assert [ended(build)[0] for build in builds] == [0, 0, 0]
    assert_whole(tmp_path / "seed-cartons")
    assert [path.name for path in tmp_path.iterdir()] == ["seed-cartons"]
