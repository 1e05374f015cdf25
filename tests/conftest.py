"""What several test files share: example surveys, their packages, the command line in this process."""

from __future__ import annotations

import json
import re
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from pypdf import PdfReader
from shops import SHOP

from mountgen import cli
from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page, Route

SURVEYS = profiles_folder() / "surveys"
EXAMPLES = sorted(path.stem for path in SURVEYS.glob("*.toml"))
CARTONS = SURVEYS / "seed-cartons.toml"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests that look at the same packages run in one process, which builds them once."""
    for item in items:
        if "packages" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.xdist_group("packages"))


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


@pytest.fixture(scope="session")
def page_address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Where `mountgen serve` serves the page, in a process of its own."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-c", "from mountgen.cli import run; run()", "serve", "--port", str(port)]
    log = tmp_path_factory.mktemp("page") / "server.log"
    with log.open("w+") as said, subprocess.Popen(command, stderr=said) as server:
        try:
            until = time.monotonic() + 60.0
            while "the page is at" not in log.read_text():
                assert server.poll() is None and time.monotonic() < until, log.read_text()
                time.sleep(0.05)
            yield f"http://127.0.0.1:{port}/"
        finally:
            server.terminate()


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """The system's Chromium; Playwright's own is not needed."""
    from playwright.sync_api import sync_playwright

    path = shutil.which("chromium")
    assert path, "the tests of the page need chromium: apt-get install chromium"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path)
        yield browser
        browser.close()


@pytest.fixture
def browse(chromium: Browser, page_address: str) -> Iterator[Callable[..., Page]]:
    """Opens the page at a size. Afterwards its console must be empty, and nothing asked for elsewhere.

    The browser itself tells of a refusal there; `refused` is what it says of one that a test provokes. A
    machine without a graphics card tells of its own slowness ("GL Driver Message").
    """
    contexts: list[BrowserContext] = []
    troubles: list[str] = []

    def is_elsewhere(address: str) -> bool:
        return address.startswith(("http:", "https:", "ws:")) and not address.startswith(page_address)

    def refuse(route: Route) -> None:
        troubles.append(f"asked for {route.request.url}")
        route.abort()

    def listen(kind: str, text: str, refused: str) -> None:
        if refused not in text and "GL Driver Message" not in text:
            troubles.append(f"{kind}: {text}")

    def open_page(size: tuple[int, int], path: str = "", refused: str = "none", **options: Any) -> Page:
        context = chromium.new_context(viewport={"width": size[0], "height": size[1]}, **options)
        contexts.append(context)
        context.route(is_elsewhere, refuse)
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.on("console", lambda said: listen(said.type, said.text, refused))
        page.on("pageerror", lambda error: troubles.append(str(error)))
        page.goto(page_address + path)
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert troubles == []
