"""From a path to text: what is no such file, too long or not UTF-8 is one fault."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from mountgen.errors import Fault, InputError


@dataclass(frozen=True)
class FileKind:
    """What sort of file is read: its name in messages ("survey"), the most bytes that one may have, and the
    error that its faults are raised as."""

    title: str
    most_bytes: int
    error: type[InputError]

    @property
    def wanted(self) -> str:
        return f"a {self.title} file"


def read_bytes(path: Path, kind: FileKind) -> bytes:
    """The bytes of a file. Raises the kind's error."""
    try:
        with path.open("rb") as file:
            source = file.read(kind.most_bytes + 1)
        if len(source) <= kind.most_bytes:
            return source
        found, limit = f"it is longer than any {kind.title}", f"at most {kind.most_bytes} bytes"
        fault = Fault(str(path), found, limit, "give long lists as a file of their own")
    except FileNotFoundError:
        fault = Fault(str(path), "there is no such file", kind.wanted, "check the path")
    except IsADirectoryError:
        fault = Fault(str(path), "this is a folder", kind.wanted, "name a file in it")
    except OSError as error:
        fault = Fault(str(path), f"it cannot be read ({error.strerror})", kind.wanted, "check the file")
    raise kind.error([fault])


def decoded(path: Path, source: bytes, kind: FileKind) -> str:
    """The text, without the mark that some editors put before it. Raises the kind's error."""
    try:
        return source.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = source[: error.start].decode("utf-8-sig").split("\n")
        where = f"{path}:{len(before)}:{len(before[-1]) + 1}"
        found = f"byte 0x{source[error.start]:02x} is not UTF-8"
    action = "save the file as UTF-8; spreadsheets and old editors often write cp1252"
    raise kind.error([Fault(where, found, "a text file in UTF-8", action)])
