"""From bytes to text without a guess: UTF-8, or what a byte order mark says, or what the user says."""

from __future__ import annotations

import codecs
from pathlib import Path

from mountgen.errors import Fault, SurveyError
from mountgen.units import quoted

MOST_BYTES = 512 * 1024 * 1024
MOST_LINES = 2_000_000
_BLOCK = 1 << 20
_START = 1 << 16
_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig", ("utf-8-sig",)),
    (codecs.BOM_UTF16_LE, "utf-16", ("utf-16", "utf-16-le")),
    (codecs.BOM_UTF16_BE, "utf-16", ("utf-16", "utf-16-be")),
)
"""Byte order marks, the encoding that reads them, and the encodings that they go with."""
_MULTI_BYTE = {"utf-8": "utf-8-sig", "utf-8-sig": "utf-8-sig"} | {
    name: name for name in ("utf-16", "utf-16-le", "utf-16-be")
}
_SINGLE_BYTE = (
    "ascii", "cp1250", "cp1251", "cp1252", "cp437", "cp850", "cp852",
    "iso8859-1", "iso8859-2", "iso8859-15", "mac-roman",
)  # fmt: skip
ENCODINGS = (*_MULTI_BYTE, *_SINGLE_BYTE)


def text_encoding(path: Path, given: str | None) -> str:
    """The encoding in which every byte of the file is text. Raises SurveyError.

    A file that is not UTF-8 and has no byte order mark is refused with the encoding to try; so is one
    that was given an encoding though it is UTF-8, since its letters would turn into others.
    """
    with path.open("rb") as file:
        start = file.read(_START)
    _refuse_binary(path, start, given)
    encoding = _named_or_marked(path, start, given)
    bad = _first_bad_byte(path, encoding)
    if bad is not None:
        raise _not_decodable(path, encoding, bad, given)
    if encoding in _SINGLE_BYTE and encoding != "ascii" and _is_utf8_beyond_ascii(path):
        found = f"encoding = {quoted(given)}, though the file is UTF-8"
        raise _error(str(path), found, "the file's own encoding", "leave 'encoding' out")
    return encoding


def _named_or_marked(path: Path, start: bytes, given: str | None) -> str:
    """What the user says, unless the file's byte order mark says otherwise; UTF-8 if neither does."""
    named = _given(path, given) if given else None
    for mark, encoding, fitting in _MARKS:
        if start.startswith(mark):
            if named in (None, *fitting):
                return encoding
            found = f"encoding = {quoted(given)}, though the file begins with the mark of {encoding}"
            raise _error(str(path), found, "the file's own encoding", "leave 'encoding' out")
    return named or "utf-8-sig"


def _given(path: Path, given: str) -> str:
    try:
        name = codecs.lookup(given).name
    except (LookupError, ValueError):
        name = given
    if name in _MULTI_BYTE:
        return _MULTI_BYTE[name]
    if name not in _SINGLE_BYTE:
        expected = "one of " + ", ".join(ENCODINGS)
        raise _error(str(path), f"unknown encoding {quoted(given)}", expected, "write one of them")
    return name


def _refuse_binary(path: Path, start: bytes, given: str | None) -> None:
    if not start.strip():
        raise _error(str(path), "the file is empty", "a list of products", "export the list again")
    if start.startswith(b"PK\x03\x04"):
        action = "give it its own ending, .xlsx, or export the list as CSV"
        raise _error(str(path), "this is a zip file, as spreadsheets are", "a text file (CSV)", action)
    if start.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
        raise _error(str(path), "the file is UTF-32", "a text file in UTF-8", "save it as UTF-8")
    if start.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) or given is not None:
        return
    if b"\0" not in start:
        return
    even, odd = start[0::2].count(0), start[1::2].count(0)
    if max(even, odd) > len(start) // 5 and min(even, odd) <= len(start) // 50:
        guess = "utf-16-le" if odd > even else "utf-16-be"
        action = f'if it is text, give encoding = "{guess}", or save it as UTF-8'
        raise _error(str(path), "every other byte is zero, or nearly", "a text file in UTF-8", action)
    raise _error(str(path), "this is no text file", "a list of products as CSV or XLSX", "check the file")


def _first_bad_byte(path: Path, encoding: str) -> tuple[int, int, bytes] | None:
    """Line, value and surroundings of the first byte that is not text, None when all are.

    Raises SurveyError for lines that would fill the memory when they are read, and for too many of them.
    """
    decoder = codecs.getincrementaldecoder(encoding)("strict")
    lines = 1
    with path.open("rb") as file:
        while True:
            block = file.read(_BLOCK)
            if len(block) == _BLOCK and b"\n" not in block and b"\r" not in block:
                found = f"a line of more than {_BLOCK} bytes"
                raise _error(f"{path}:{lines}", found, "one line a product", "check the file's line ends")
            try:
                decoder.decode(block, final=not block)
            except UnicodeDecodeError as error:
                source: bytes = error.object
                line = lines + source.count(b"\n", 0, error.start)
                around = source[max(error.start - 12, 0) : error.start + 13]
                return line, source[error.start] if error.start < len(source) else 0, around
            if not block:
                return None
            lines += block.count(b"\n")
            if lines > MOST_LINES:
                raise _error(
                    str(path), f"more than {MOST_LINES} lines", f"at most {MOST_LINES}", "split the list"
                )


def _not_decodable(path: Path, encoding: str, bad: tuple[int, int, bytes], given: str | None) -> SurveyError:
    line, byte, around = bad
    name = encoding.removesuffix("-sig").upper()
    found = f"byte 0x{byte:02x} is not {name}"
    if given:
        action = "leave 'encoding' out, or give the one that the list was exported in"
    else:
        seen = " ".join(around.decode("cp1252", "replace").split())
        action = (
            f'if {quoted(seen)} reads right, give encoding = "cp1252" (what spreadsheets and older '
            "systems write); else save the file as UTF-8"
        )
    return _error(f"{path}:{line}", found, f"a text file in {name}", action)


def _is_utf8_beyond_ascii(path: Path) -> bool:
    return _first_bad_byte(path, "utf-8") is None and _first_bad_byte(path, "ascii") is not None


def _error(where: str, found: str, expected: str, action: str) -> SurveyError:
    return SurveyError([Fault(where, found, expected, action)])
