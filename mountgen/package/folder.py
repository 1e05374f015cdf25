"""Writes a folder whole or not at all.

Everything is written to a hidden folder beside the target and renamed into place at the end. The earlier
folder is moved aside first and put back when that rename fails, so one of the two is always whole.
"""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from mountgen.errors import Fault, OutputError


@contextmanager
def replaced_folder(target: Path) -> Iterator[Path]:
    """A new, empty folder to write to; it becomes `target` when the block ends without an error.

    Raises OutputError when the place cannot be written to.
    """
    with _explained(target):
        target.parent.mkdir(parents=True, exist_ok=True)
        if target.exists() and not target.is_dir():
            raise NotADirectoryError(f"{target} is a file")
        partial = Path(tempfile.mkdtemp(prefix=f".{target.name}.", dir=target.parent))
        partial.chmod(0o755)
    try:
        with _explained(target):
            yield partial
            _swap(partial, target)
    finally:
        shutil.rmtree(partial, ignore_errors=True)


@contextmanager
def _explained(target: Path) -> Iterator[None]:
    """Turns the system's refusal into an error that says what to do."""
    try:
        yield
    except OSError as error:
        fault = Fault(
            where=str(target),
            found=f"the package cannot be written there ({error.strerror or error})",
            expected="a folder that can be made and written to",
            action="give another with --out, or free the place; an earlier package is untouched",
        )
        raise OutputError([fault]) from error


def _swap(partial: Path, target: Path) -> None:
    if not target.exists():
        partial.rename(target)
        return
    earlier = target.with_name(f".{target.name}.earlier.{os.getpid()}")
    target.rename(earlier)
    try:
        partial.rename(target)
    except OSError:
        earlier.rename(target)
        raise
    shutil.rmtree(earlier, ignore_errors=True)


def write_new(path: Path, content: bytes) -> None:
    """Writes a file that is not there yet; OutputError when it is, or when it cannot be written."""
    try:
        with path.open("xb") as file:
            file.write(content)
    except FileExistsError as error:
        fault = Fault(str(path), "this file is there already", "a new file", "give another name or move it")
        raise OutputError([fault]) from error
    except OSError as error:
        found = f"the file cannot be written ({error.strerror or error})"
        fault = Fault(str(path), found, "a place that can be written to", "give another place")
        raise OutputError([fault]) from error


def safe_name(text: str) -> str:
    """The text as the name of a profile: letters, digits, dot and hyphen."""
    return re.sub(r"[^A-Za-z0-9.-]+", "-", text).strip("-.").lower() or "rail"
