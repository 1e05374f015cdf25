"""Building that goes wrong: nothing half-written is left, and an earlier package stays as it was."""

import os
import time
from pathlib import Path

import pytest
from conftest import CARTONS

from mountgen.checks.records import Subject, at_most
from mountgen.errors import KernelError, MountgenError, OutputError, SheetError
from mountgen.package.beside import Forking, InLine, finished_jobs, second_process
from mountgen.package.dxf_flavour import Flavour
from mountgen.package.folder import replaced_folder
from mountgen.package.papers import write_flats
from mountgen.remedies.records import NO_ADVICE

FEASIBLE, NOT_FEASIBLE, BAD_INPUT = 0, 1, 2
EARLIER = {"manifest.json": b"{}", "parts/A1.step": b"old"}
TOO_TALL = (("height = 320", "height = 2600"), ("above_base = 150", "above_base = 2400"))


@pytest.fixture
def earlier(tmp_path) -> Path:
    """A folder of packages with an earlier one of the seed cartons."""
    for name, content in EARLIER.items():
        path = tmp_path / "out/seed-cartons" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    return tmp_path / "out"


@pytest.fixture
def unadvised(monkeypatch):
    """What would mend a mount takes many studies and does not matter to where files go."""
    monkeypatch.setattr("mountgen.remedies.advice.advise", lambda *_: NO_ADVICE)


def raiser(error):
    def fail(*arguments, **options):
        raise error

    return fail


@pytest.mark.parametrize(
    "step_and_error",
    [
        ("documents.write_set_up", OSError(28, "No space left on device")),
        ("models.write_part_step", KernelError("A10: the kernel failed")),
        ("dxf_lint.lint_flat", SheetError("flat of A10: open outline")),
    ],
)
def test_a_failure_halfway_leaves_the_earlier_package(run, monkeypatch, earlier, contents, step_and_error):
    step, error = step_and_error
    monkeypatch.setattr(f"mountgen.package.{step}", raiser(error))
    monkeypatch.setattr("os.cpu_count", lambda: 1)  # all in this process, where the step was replaced
    outcome = run("build", CARTONS, "--out", earlier)
    assert outcome.code == BAD_INPUT
    assert str(error.args[-1]) in outcome.err
    assert "Traceback" not in outcome.err
    assert contents(earlier) == {f"seed-cartons/{name}": text for name, text in EARLIER.items()}


def test_a_failing_model_leaves_the_earlier_package(run, monkeypatch, earlier, contents):
    """While the second process still writes flats."""
    monkeypatch.setattr("os.cpu_count", lambda: 2)
    monkeypatch.setattr("mountgen.package.models.model", raiser(KernelError("B10: two bodies")))
    outcome = run("build", CARTONS, "--out", earlier)
    assert (outcome.code, outcome.err) == (BAD_INPUT, "B10: two bodies\n")
    assert contents(earlier) == {f"seed-cartons/{name}": text for name, text in EARLIER.items()}
    assert [path.name for path in earlier.iterdir()] == ["seed-cartons"]


def test_solids_that_collide_get_the_report_alone(run, monkeypatch, tmp_path, contents):
    clash = at_most(Subject("interference", "two parts share material", "mm3", "test"), 5.0, 0.0, "{} mm3")
    monkeypatch.setattr("mountgen.package.models.exact_checks", lambda scene, built: (clash,))
    outcome = run("build", CARTONS, "--out", tmp_path)
    assert outcome.code == NOT_FEASIBLE
    assert "FAIL interference" in outcome.out
    assert set(contents(tmp_path)) == {"seed-cartons/manifest.json", "seed-cartons/feasibility.html"}


def fails(message: str) -> None:
    raise SheetError(message)


def writes(path: Path) -> None:
    time.sleep(0.1)
    path.write_text("done", encoding="utf-8")


@pytest.mark.parametrize("beside", [Forking(), InLine()])
def test_a_job_that_fails_is_told_and_the_others_waited_for(tmp_path, beside):
    with pytest.raises(SheetError, match="open"), finished_jobs() as jobs:
        jobs.append(beside.submit(writes, tmp_path / "file"))
        jobs.append(beside.submit(fails, "open"))
    assert (tmp_path / "file").read_text(encoding="utf-8") == "done"


@pytest.mark.parametrize("beside", [Forking(), InLine()])
def test_a_job_hands_back_what_it_found(beside):
    job = beside.submit("x".join, ["1"] * 200_000)
    job.wait()
    assert len(job.result()) == len(job.result()) == 399_999


def test_jobs_are_waited_for_when_the_first_process_fails(tmp_path):
    with pytest.raises(KernelError, match="two bodies"), finished_jobs() as jobs:
        jobs.append(Forking().submit(writes, tmp_path / "file"))
        jobs.append(Forking().submit(fails, "told later"))
        raise KernelError("two bodies")
    assert (tmp_path / "file").exists()


def test_the_second_process_hands_its_errors_back(tmp_path):
    with pytest.raises(FileNotFoundError), finished_jobs() as jobs:
        jobs.append(Forking().submit(write_flats, tmp_path / "none/flat", [], {}, Flavour()))


def test_a_second_process_that_dies_is_an_error_of_its_own():
    with pytest.raises(MountgenError, match="ended from outside"):
        Forking().submit(os._exit, 3).result()


@pytest.mark.parametrize(
    ("platform", "processors"), [("darwin", 8), ("win32", 8), ("linux", 1), ("linux", None)]
)
def test_no_second_process_where_it_is_not_safe_or_of_no_use(monkeypatch, platform, processors):
    monkeypatch.setattr("sys.platform", platform)
    monkeypatch.setattr("os.cpu_count", lambda: processors)
    assert isinstance(second_process(), InLine)


@pytest.mark.usefixtures("unadvised")
def test_a_report_replaces_the_whole_earlier_package(run, variant, earlier, contents):
    outcome = run("build", variant(*TOO_TALL), "--out", earlier)
    assert outcome.code == NOT_FEASIBLE
    assert set(contents(earlier)) == {"seed-cartons/manifest.json", "seed-cartons/feasibility.html"}
    assert "package:" in outcome.out


@pytest.mark.usefixtures("unadvised")
@pytest.mark.parametrize("place", ["file", "file/below", "out-of-file"])
def test_a_place_that_cannot_be_written(run, variant, tmp_path, contents, place):
    """A file where a folder must be, above it or in the package's own place (a file's mode would not
    stop a superuser)."""
    survey = variant(*TOO_TALL)
    (tmp_path / "file").write_bytes(b"mine")
    (tmp_path / "out-of-file").mkdir()
    (tmp_path / "out-of-file/seed-cartons").write_bytes(b"mine too")
    before = contents(tmp_path)
    outcome = run("build", survey, "--out", tmp_path / place)
    assert outcome.code == BAD_INPUT
    assert outcome.out == ""
    assert "cannot be written" in outcome.err
    assert "--out" in outcome.err
    assert contents(tmp_path) == before


def test_the_folder_appears_whole(tmp_path):
    target = tmp_path / "deep/package"
    with replaced_folder(target) as folder:
        (folder / "one.txt").write_text("1")
        assert not target.exists()
        assert folder.parent == target.parent
    assert (target / "one.txt").read_text() == "1"
    assert list(target.parent.iterdir()) == [target]


def test_an_interrupted_block_leaves_nothing(tmp_path):
    with pytest.raises(KeyboardInterrupt), replaced_folder(tmp_path / "package") as folder:
        (folder / "one.txt").write_text("1")
        raise KeyboardInterrupt
    assert list(tmp_path.iterdir()) == []


def test_an_earlier_folder_comes_back_when_the_last_rename_fails(tmp_path, monkeypatch):
    target = tmp_path / "package"
    target.mkdir()
    (target / "old.txt").write_text("old")
    rename = Path.rename

    def refuse(self, other):
        if Path(other) == target and "earlier" not in self.name:
            raise OSError(13, "Permission denied")
        return rename(self, other)

    monkeypatch.setattr(Path, "rename", refuse)
    with pytest.raises(OutputError, match="Permission denied"), replaced_folder(target) as folder:
        (folder / "new.txt").write_text("new")
    assert [path.name for path in tmp_path.iterdir()] == ["package"]
    assert [path.name for path in target.iterdir()] == ["old.txt"]


def test_the_new_folder_holds_nothing_of_the_earlier_one(tmp_path):
    for name in ("first", "second"):
        with replaced_folder(tmp_path / "package") as folder:
            (folder / f"{name}.txt").write_text(name)
    assert [path.name for path in (tmp_path / "package").iterdir()] == ["second.txt"]
    assert [path.name for path in tmp_path.iterdir()] == ["package"]


def test_the_folder_can_be_read_by_others(tmp_path):
    with replaced_folder(tmp_path / "package"):
        pass
    assert (tmp_path / "package").stat().st_mode & 0o777 == 0o755
