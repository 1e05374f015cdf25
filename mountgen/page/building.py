"""Writes a package for the page, in a process of its own."""

from __future__ import annotations

import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from mountgen.errors import Fault, InputError, MountgenError
from mountgen.page.answers import advised, known
from mountgen.page.sent import Sent

ZIP = "package.zip"
LONG_AGO = (1980, 1, 1, 0, 0, 0)
"""Time of every file in the archive, the earliest that there is: the same files give the same bytes."""
SHARED_DATA = 0o644 << 16


@dataclass(frozen=True)
class PackageFile:
    """One file of a package, its path seen from the package's folder; `kind` is its ending."""

    path: str
    bytes: int
    kind: str


@dataclass(frozen=True)
class Built:
    """A package that was written, or the faults for which there is none."""

    name: str = ""
    verdict: str = ""
    files: tuple[PackageFile, ...] = ()
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class BuildWork:
    """One build: the survey that was sent, and the folder that is its own."""

    sent: Sent
    folder: Path

    def __call__(self, tell: Callable[[str], None]) -> Built:
        try:
            return _built(self.sent, self.folder, tell)
        except InputError as error:
            return Built(faults=error.faults)
        except MountgenError as error:
            fault = Fault("mount", str(error), "a mount that can be made", "change the survey, and report it")
            return Built(faults=(fault,))


def _built(sent: Sent, folder: Path, tell: Callable[[str], None]) -> Built:
    from mountgen.package.beside import second_process
    from mountgen.package.writer import Order, write_package

    found, advice = advised(sent)
    tell("layout")
    order = Order(second_process(), advice=advice, tell=tell)
    final, package = write_package(found, known().catalogue, folder / "out", order)
    files = tuple(_files(package))
    _pack(package, files, folder / ZIP)
    return Built(final.survey.name, final.verdict, files)


def _files(package: Path) -> Iterator[PackageFile]:
    for path in sorted(package.rglob("*")):
        if path.is_file():
            name = path.relative_to(package).as_posix()
            yield PackageFile(name, path.stat().st_size, path.suffix.removeprefix("."))


def _pack(package: Path, files: tuple[PackageFile, ...], target: Path) -> None:
    """The package as one archive."""
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for one in files:
            entry = zipfile.ZipInfo(f"{package.name}/{one.path}", LONG_AGO)
            entry.compress_type, entry.external_attr = zipfile.ZIP_DEFLATED, SHARED_DATA
            archive.writestr(entry, (package / one.path).read_bytes())
