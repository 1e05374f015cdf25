"""Content addresses: what an outcome depends on, as one digest.

These are the version of mountgen, every file of the profiles, the shop with its bend table, the survey with
the files that it names, and whether a package is asked for.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import mountgen

NAMED = (("rail", "file"), ("products", "file"), ("shaking", "spectrum"))
"""Where a survey names other files."""


def common_key(profiles: Path, shop: Path, *, build: bool) -> str:
    """The digest of all that the surveys share."""
    files = (path for path in sorted(profiles.rglob("*")) if path.is_file())
    digest = hashlib.sha256(f"{mountgen.__version__} {'build' if build else 'check'}".encode())
    for path in (*files, shop, *_named(shop, (("brake_table",),))):
        digest.update(path.name.encode())
        digest.update(_bytes(path))
    return digest.hexdigest()


def survey_key(path: Path, common: str) -> str:
    """The digest of one survey: its bytes, and those of the files that it names."""
    digest = hashlib.sha256(common.encode())
    for file in (path, *_named(path, NAMED)):
        content = _bytes(file)
        digest.update(f"{file.name} {len(content)} ".encode())
        digest.update(content)
    return digest.hexdigest()


def _named(path: Path, keys: Iterable[tuple[str, ...]]) -> Iterator[Path]:
    """The files that a TOML file names; none where it cannot be read: its own reader says why."""
    try:
        data: dict[str, Any] = tomllib.loads(_bytes(path).decode("utf-8"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError, ValueError):
        return
    for steps in keys:
        name: object = data
        for step in steps:
            name = name.get(step) if isinstance(name, dict) else None
        if isinstance(name, str) and "\0" not in name:
            yield path.parent / name


def _bytes(path: Path) -> bytes:
    """What a file holds; nothing for one that cannot be read, which its own reader reports."""
    try:
        return path.read_bytes()
    except OSError:
        return b""
