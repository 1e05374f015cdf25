"""What several test files share: example surveys, their packages, the command line in this process."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from shops import SHOP

from mountgen import cli
from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey

SURVEYS = profiles_folder() / "surveys"
EXAMPLES = sorted(path.stem for path in SURVEYS.glob("*.toml"))
CARTONS = SURVEYS / "seed-cartons.toml"


@dataclass
class Package:
    """A package as a person gets it, and the study it was written from."""

    folder: Path
    study: Study

    @cached_property
    def manifest(self) -> dict[str, Any]:
        return json.loads((self.folder / "manifest.json").read_text(encoding="utf-8"))

    def made(self, *kinds: str) -> dict[str, dict[str, Any]]:
        """The manifest's parts of these kinds (all that are made when none is named), by number."""
        wanted = kinds or ("sheet", "extrusion")
        return {part["number"]: part for part in self.manifest["parts"] if part["kind"] in wanted}

    @cached_property
    def drawing_pages(self) -> list[str]:
        """The text of cut-and-drill.pdf, page by page."""
        return _page_texts(self.folder / "cut-and-drill.pdf")

    @cached_property
    def set_up_text(self) -> str:
        return "\n".join(_page_texts(self.folder / "set-up.pdf"))


def _page_texts(path: Path) -> list[str]:
    return [page.extract_text() for page in PdfReader(path).pages]


def times_told(word: str, text: str) -> int:
    """How often a number or tag stands in a text, not as part of a longer one."""
    return len(re.findall(rf"(?<![\w.]){re.escape(word)}(?![\w])", text))


@dataclass(frozen=True)
class Outcome:
    code: int
    out: str
    err: str


@pytest.fixture(scope="session")
def packages(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Package]:
    """The package of an example, built when it is first asked for."""
    # The kernel is loaded by the tests that want a package, not by all of them.
    from mountgen.package.writer import write_package

    out, catalogue = tmp_path_factory.mktemp("packages"), Catalogue()
    built: dict[str, Package] = {}

    def package(example: str) -> Package:
        if example not in built:
            survey = read_survey(SURVEYS / f"{example}.toml", catalogue)
            final, folder = write_package(study(survey, catalogue, SHOP), catalogue, out)
            built[example] = Package(folder, final)
        return built[example]

    return package


@pytest.fixture(params=EXAMPLES)
def package(request: pytest.FixtureRequest, packages: Callable[[str], Package]) -> Package:
    return packages(request.param)


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[..., Outcome]:
    """The command line with these arguments, in this process."""

    def call(*arguments: object) -> Outcome:
        monkeypatch.setattr(sys, "argv", ["mountgen", *map(str, arguments)])
        with pytest.raises(SystemExit) as left:
            cli.run()
        return Outcome(left.value.code or 0, *capsys.readouterr())

    return call


@pytest.fixture
def variant(tmp_path: Path) -> Callable[..., Path]:
    """The example of the seed cartons with some of its text replaced."""

    def write(*changes: tuple[str, str]) -> Path:
        text = CARTONS.read_text(encoding="utf-8")
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        path = tmp_path / "survey.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


@pytest.fixture
def contents() -> Callable[[Path], dict[str, bytes]]:
    """Every file below a folder, hidden ones too, by its path in it."""

    def read(folder: Path) -> dict[str, bytes]:
        return {path.relative_to(folder).as_posix(): path.read_bytes() for path in _files(folder)}

    return read


def _files(folder: Path) -> Iterator[Path]:
    return (path for path in sorted(folder.rglob("*")) if path.is_file())
