"""Writes a folder whole or not at all.

Everything is written to a hidden folder beside the target and renamed into place at the end. The earlier
folder is moved aside first and put back when that rename fails, or by the next build when this one was killed
between the two, so one of them is always whole.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import shutil
import stat
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from glob import escape
from pathlib import Path

from mountgen.errors import Fault, OutputError

TURNS = 20
"""Times that a build tries to put its folder into its place while others do the same."""
LONG_AGO = 24 * 3600.0
"""s after which a folder that is still being written to has been left behind."""


def _is_file(target: Path) -> bool:
    """Whether something that is no folder stands there, looked at once: another build may rename it between
    two looks."""
    try:
        return not stat.S_ISDIR(target.stat().st_mode)
    except FileNotFoundError:
        return False


@contextmanager
def replaced_folder(target: Path) -> Iterator[Path]:
    """A new, empty folder to write to; it becomes `target` when the block ends without an error.

    Raises OutputError when the place cannot be written to.
    """
    with _explained(target):
        target.parent.mkdir(parents=True, exist_ok=True)
        if _is_file(target):
            raise NotADirectoryError(f"{target} is a file")
        _recover(target)
        partial = Path(tempfile.mkdtemp(prefix=f".{target.name}.new.", dir=target.parent))
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
    """Puts the new folder in the place of the earlier one, whoever else does so at the same time; the last
    to come stays. Where it cannot be put there, the earlier one goes back."""
    for turn in range(TURNS):
        earlier = target.with_name(f"{_earlier_prefix(target)}{os.getpid()}.{turn}")
        with contextlib.suppress(FileNotFoundError):
            target.rename(earlier)
        try:
            partial.rename(target)
        except OSError as error:
            if error.errno in (errno.ENOTEMPTY, errno.EEXIST) and turn + 1 < TURNS:
                continue  # another build was quicker: its folder is now the earlier one
            if earlier.exists():
                earlier.rename(target)
            raise
        break
    for old in _earlier(target):
        shutil.rmtree(old, ignore_errors=True)


def _recover(target: Path) -> None:
    """Puts back the folder of a build that was killed while it exchanged the two, and clears what builds
    left that were killed long ago. Another build may do the same meanwhile."""
    if not target.exists():
        for old in _earlier(target)[:1]:
            with contextlib.suppress(OSError):  # that build goes on, or another was quicker
                old.rename(target)
    for left in target.parent.glob(f".{escape(target.name)}.new.*"):
        if time.time() - _changed(left) > LONG_AGO:
            shutil.rmtree(left, ignore_errors=True)


def _earlier(target: Path) -> list[Path]:
    """Earlier folders that were moved aside, the youngest first."""
    found = target.parent.glob(f"{escape(_earlier_prefix(target))}*")
    return sorted(found, key=_changed, reverse=True)


def _changed(path: Path) -> float:
    """When it was changed last; now for what is gone already."""
    try:
        return path.stat().st_mtime
    except FileNotFoundError:
        return time.time()


def _earlier_prefix(target: Path) -> str:
    return f".{target.name}.earlier."


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


def write_over(path: Path, content: bytes) -> None:
    """Writes a file whole or not at all, over an earlier one; its folder is made. OutputError when it cannot
    be written."""
    partial = path.with_name(f".{path.name}.partial")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        partial.write_bytes(content)
        partial.replace(path)
    except OSError as error:
        with contextlib.suppress(OSError):
            partial.unlink()
        found = f"the file cannot be written ({error.strerror or error})"
        fault = Fault(str(path), found, "a place that can be written to", "give another place")
        raise OutputError([fault]) from error


def safe_name(text: str) -> str:
    """The text as the name of a profile: letters, digits, dot and hyphen."""
    return re.sub(r"[^A-Za-z0-9.-]+", "-", text).strip("-.").lower() or "rail"
