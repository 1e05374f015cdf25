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
from mountgen.survey.files import NAMED


def common_key(profiles: Path, shop: Path, *, build: bool) -> str:
    """The digest of all that the surveys share."""
    files = (path for path in sorted(profiles.rglob("*")) if path.is_file())
    digest = hashlib.sha256(f"{mountgen.__version__} {'build' if build else 'check'}".encode())
    for path in (*files, shop, *_named(shop, (("brake_table",),))):
        _add(digest, path)
    return digest.hexdigest()


def survey_key(path: Path, common: str) -> str:
    """The digest of one survey: its bytes, and those of the files that it names."""
    digest = hashlib.sha256(common.encode())
    for file in (path, *_named(path, NAMED)):
        _add(digest, file)
    return digest.hexdigest()


def toml_of(path: Path) -> dict[str, Any] | None:
    """What a TOML file holds; None for what cannot be read as one: its own reader says why."""
    try:
        return tomllib.loads(_bytes(path).decode("utf-8-sig"))
    except (tomllib.TOMLDecodeError, RecursionError, ValueError):
        return None


def _add(digest: hashlib._Hash, path: Path) -> None:
    content = _bytes(path)
    digest.update(f"{path.name} {len(content)} ".encode())
    digest.update(content)


def _named(path: Path, keys: Iterable[tuple[str, ...]]) -> Iterator[Path]:
    """The files that a TOML file names."""
    data = toml_of(path)
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
