"""A package's folder when builds are killed, or meet: one whole folder is always there."""

from __future__ import annotations

import multiprocessing
import os
import time
from pathlib import Path

import pytest

from mountgen.package import folder as module
from mountgen.package.folder import replaced_folder

FILES = 12


def write_all(folder: Path, text: str) -> None:
    for number in range(FILES):
        (folder / f"{number}.txt").write_text(text)


def texts(folder: Path) -> set[str]:
    assert len(list(folder.iterdir())) == FILES
    return {path.read_text() for path in folder.iterdir()}


def test_a_build_that_was_killed_between_the_renames_is_mended_by_the_next(tmp_path):
    """The earlier folder was moved aside and the new one not put there: it comes back even when the next
    build fails."""
    aside = tmp_path / ".line.earlier.4711.0"
    aside.mkdir()
    write_all(aside, "good")
    with pytest.raises(ZeroDivisionError), replaced_folder(tmp_path / "line"):
        raise ZeroDivisionError
    assert texts(tmp_path / "line") == {"good"}
    assert [path.name for path in tmp_path.iterdir()] == ["line"]


def test_the_youngest_folder_aside_comes_back_and_the_others_go(tmp_path):
    for age, text in ((300, "old"), (100, "young")):
        aside = tmp_path / f".line.earlier.{age}.0"
        aside.mkdir()
        write_all(aside, text)
        os.utime(aside, (time.time() - age, time.time() - age))
    with pytest.raises(ZeroDivisionError), replaced_folder(tmp_path / "line"):
        raise ZeroDivisionError
    assert texts(tmp_path / "line") == {"young"}
    with replaced_folder(tmp_path / "line") as new:
        write_all(new, "new")
    assert [path.name for path in tmp_path.iterdir()] == ["line"]


def test_what_killed_builds_left_long_ago_is_cleared_and_what_runs_is_not(tmp_path):
    for name, age in ((".line.new.a", 2 * module.LONG_AGO), (".line.new.b", 60.0), (".other.new.c", 1e9)):
        (tmp_path / name).mkdir()
        os.utime(tmp_path / name, (time.time() - age, time.time() - age))
    with replaced_folder(tmp_path / "line") as new:
        write_all(new, "new")
    assert {path.name for path in tmp_path.iterdir()} == {"line", ".line.new.b", ".other.new.c"}


def test_a_name_with_brackets_is_no_pattern(tmp_path):
    (tmp_path / ".a.earlier.1.0").mkdir()
    with replaced_folder(tmp_path / "[a]") as new:
        write_all(new, "new")
    assert {path.name for path in tmp_path.iterdir()} == {"[a]", ".a.earlier.1.0"}


def build_often(target: Path, text: str, times: int) -> None:
    for _ in range(times):
        with replaced_folder(target) as new:
            write_all(new, text)


def test_builds_of_one_survey_at_once_leave_one_whole_package(tmp_path):
    """Four processes, forty folders each, in the same place."""
    target = tmp_path / "line"
    context = multiprocessing.get_context("spawn")
    builders = [context.Process(target=build_often, args=(target, f"by {k}", 40)) for k in range(4)]
    for builder in builders:
        builder.start()
    for builder in builders:
        builder.join()
    assert [builder.exitcode for builder in builders] == [0] * 4
    assert len(texts(target)) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["line"]
