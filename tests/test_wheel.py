"""The wheel: what a person installs works without the checkout."""

import os
import re
import shutil
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
from conftest import EXAMPLES

ROOT = Path(__file__).resolve().parents[1]
SOURCES = ("mountgen", "profiles", "pyproject.toml", "README.md", "LICENSE")


def pip(*arguments):
    command = [sys.executable, "-m", "pip", "--disable-pip-version-check", *map(str, arguments)]
    subprocess.run(command, check=True, capture_output=True)


@pytest.fixture(scope="module")
def wheel(tmp_path_factory) -> Path:
    """Built from a copy of the sources, so that nothing is written to the checkout."""
    place = tmp_path_factory.mktemp("wheel")
    copy = place / "sources"
    copy.mkdir()
    for name in SOURCES:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(source, copy / name)
    options = ("--no-deps", "--no-index", "--no-build-isolation", "--wheel-dir")
    pip("wheel", copy, *options, place)
    [path] = place.glob("mountgen-*.whl")
    return path


@pytest.fixture(scope="module")
def installed(wheel) -> Path:
    target = wheel.parent / "site"
    pip("install", "--no-deps", "--no-index", "--target", target, wheel)
    return target


def run(installed, place, *arguments):
    """The installed script, in another folder; only the libraries come from this environment."""
    environment = os.environ | {"PYTHONPATH": str(installed)}
    script = installed / "bin/mountgen"
    command = [sys.executable, str(script), *map(str, arguments)]
    return subprocess.run(
        command, cwd=place, env=environment, capture_output=True, text=True, encoding="utf-8", check=False
    )


def test_every_library_has_its_licence_in_the_notices():
    """Those of the project's own list; what they bring along is theirs to tell."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    notices = (ROOT / "mountgen" / "NOTICES.md").read_text(encoding="utf-8").lower()
    names = [re.split(r"[<>=!~ ]", one)[0].lower() for one in project["dependencies"]]
    assert [name for name in names if not re.search(rf"\b{re.escape(name)}\b", notices)] == []


def test_the_wheel_holds_every_module_and_data_file(wheel):
    held = set(zipfile.ZipFile(wheel).namelist())
    folders = ((ROOT / "mountgen", "mountgen"), (ROOT / "profiles", "mountgen/profiles"))
    for folder, place in folders:
        for path in folder.rglob("*"):
            if path.is_file() and "__pycache__" not in path.parts:
                assert f"{place}/{path.relative_to(folder).as_posix()}" in held
    assert not [name for name in held if name.startswith(("tests/", "outputs/", "profiles/"))]
    assert any(name.endswith("licenses/LICENSE") for name in held)


def test_the_modules_come_from_the_wheel(installed, tmp_path):
    command = [sys.executable, "-c", "import mountgen; print(mountgen.__file__)"]
    environment = os.environ | {"PYTHONPATH": str(installed)}
    done = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=True)
    assert Path(done.stdout.strip()).is_relative_to(installed)


@pytest.mark.parametrize("example", EXAMPLES)
def test_check_from_the_wheel(installed, tmp_path, example):
    done = run(installed, tmp_path, "check", installed / f"mountgen/profiles/surveys/{example}.toml")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith(f"{example}: feasible")


def test_build_from_the_wheel_gives_the_package_of_the_checkout(installed, tmp_path, packages, contents):
    survey = installed / "mountgen/profiles/surveys/seed-trays-inch.toml"
    done = run(installed, tmp_path, "build", survey)
    assert (done.returncode, done.stderr) == (0, "")
    assert contents(tmp_path / "outputs/seed-trays-inch") == contents(packages("seed-trays-inch").folder)
