"""Looks a spreadsheet file over before anything in it is unpacked.

An XLSX file is a zip of XML parts. A few hundred kilobytes of zip can hold gigabytes of zeros, so sizes
and ratios are read from the zip's own table first; the zip reader never unpacks more than that table says.
"""

from __future__ import annotations

import lzma
import re
import struct
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from mountgen.errors import Fault, SurveyError

MOST_BYTES = 256 * 1024 * 1024
MOST_UNPACKED = 1024 * 1024 * 1024
MOST_OF_ONE_TABLE = 128 * 1024 * 1024
"""Of a part that is no sheet: shared texts and formats are held in memory as a whole."""
MOST_PARTS = 5_000
HIGHEST_RATIO = 200
"""Sheets of real lists are packed about tenfold; a part that is packed harder is no list."""
_NO_ZIP = (
    zipfile.BadZipFile,
    zipfile.LargeZipFile,
    zlib.error,
    lzma.LZMAError,
    EOFError,
    RuntimeError,
    ValueError,
    OverflowError,
    struct.error,
)
"""What the zip reader raises on damaged, encrypted or unusual files, besides errors of the file system."""
_SMALL = 4 * 1024 * 1024
_OLD_FORMAT = b"\xd0\xcf\x11\xe0"
_SHEET = re.compile(r"xl/worksheets/[^/]+\.xml")
_FORMULA = re.compile(rb"<(?:\w+:)?f[ >/]")
_HIDDEN_ROW = re.compile(rb"<(?:\w+:)?row [^>]*\bhidden=\"(?:1|true)\"")
_BLOCK = 1 << 20
_OVERLAP = 512


@dataclass(frozen=True)
class Contents:
    """What the sheets hold that a reader of values does not see."""

    formulas: bool
    hidden_rows: int


def look_over(path: Path) -> Contents:
    """Refuses files that are no spreadsheets, or too large unpacked, with SurveyError."""
    size = path.stat().st_size
    if size > MOST_BYTES:
        raise _error(path, f"the file has {size} bytes", f"at most {MOST_BYTES}", "split the list")
    with path.open("rb") as file:
        start = file.read(8)
    if start.startswith(_OLD_FORMAT):
        found = "this is an old spreadsheet (.xls), or one with a password"
        raise _error(path, found, "an .xlsx file without a password", "save it as .xlsx or CSV")
    try:
        with zipfile.ZipFile(path) as archive:
            _refuse_oversize(path, archive.infolist())
            return _contents(path, archive)
    except _NO_ZIP as error:
        found = f"this is no spreadsheet ({error})"
    raise _error(path, found, "an .xlsx file", "save the list again as .xlsx or CSV")


def _refuse_oversize(path: Path, parts: list[zipfile.ZipInfo]) -> None:
    if len(parts) > MOST_PARTS:
        raise _error(path, f"{len(parts)} parts in one file", f"at most {MOST_PARTS}", "check the file")
    total = sum(part.file_size for part in parts)
    if total > MOST_UNPACKED:
        raise _bomb(path, f"{total} bytes unpacked", f"at most {MOST_UNPACKED}")
    for part in parts:
        if part.file_size > _SMALL and part.file_size > HIGHEST_RATIO * max(part.compress_size, 1):
            raise _bomb(
                path, f"'{part.filename}' is packed {part.file_size} bytes to {part.compress_size}", ""
            )
        if part.file_size > MOST_OF_ONE_TABLE and not _SHEET.fullmatch(part.filename):
            raise _bomb(path, f"'{part.filename}' has {part.file_size} bytes", f"at most {MOST_OF_ONE_TABLE}")


def _contents(path: Path, archive: zipfile.ZipFile) -> Contents:
    if "xl/workbook.xml" not in archive.namelist():
        raise _error(path, "there is no workbook in this zip file", "an .xlsx file", "check the file")
    formulas, hidden = False, 0
    for part in archive.infolist():
        if part.filename.endswith((".xml", ".rels")):
            with archive.open(part) as file:
                if b"<!DOCTYPE" in file.read(_BLOCK // 16):
                    raise _error(
                        path, f"'{part.filename}' defines entities", "plain XML", "save the list again"
                    )
        if _SHEET.fullmatch(part.filename):
            for block in _blocks(archive, part):
                formulas = formulas or _FORMULA.search(block) is not None
                hidden += sum(1 for match in _HIDDEN_ROW.finditer(block) if match.end() > _OVERLAP)
    return Contents(formulas, hidden)


def _blocks(archive: zipfile.ZipFile, part: zipfile.ZipInfo) -> Iterator[bytes]:
    """A part's bytes; each block begins with the end of the one before, so that no tag is cut in two."""
    before = b" " * _OVERLAP
    with archive.open(part) as file:
        while block := file.read(_BLOCK):
            yield before + block
            before = (before + block)[-_OVERLAP:]


def _bomb(path: Path, found: str, expected: str) -> SurveyError:
    wanted = expected or f"a part that is packed at most {HIGHEST_RATIO} to 1"
    return _error(path, found, wanted, "save the list again, or as CSV")


def _error(path: Path, found: str, expected: str, action: str) -> SurveyError:
    return SurveyError([Fault(str(path), found, expected, action)])
