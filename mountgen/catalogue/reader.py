"""Reads `profiles/`: one small TOML a record, read when it is asked for and kept.

Words: a *kind* is a family of records ("rails"); its *place* is a folder with one file a record, or
one file with a table a record (threads). The file's stem, or the table's key, is the record's name.
"""

from __future__ import annotations

import difflib
import json
import tomllib
from pathlib import Path
from typing import Any, Literal, TypeVar

from pydantic import ValidationError

from mountgen.catalogue.records import (
    ChannelRail,
    Controller,
    Encoder,
    Extrusion,
    Head,
    Material,
    Record,
    Sensor,
    Thread,
)
from mountgen.errors import CatalogueError, Fault

Kind = Literal["rails", "heads", "sensors", "encoders", "controllers", "threads", "materials", "extrusions"]
R = TypeVar("R", bound=Record)

PLACES: dict[Kind, str] = {
    "rails": "rails",
    "heads": "devices/heads",
    "sensors": "devices/sensors",
    "encoders": "devices/encoders",
    "controllers": "devices/controllers",
    "threads": "fasteners/threads.toml",
    "materials": "materials",
    "extrusions": "extrusions",
}


def profiles_folder() -> Path:
    """Where `profiles/` is: beside the modules in an installed wheel, else at the top of the checkout."""
    package = Path(__file__).resolve().parents[1]
    installed = package / "profiles"
    return installed if installed.is_dir() else package.parent / "profiles"


class Catalogue:
    """The records of one `profiles/` folder, by kind and name.

    Every look-up raises CatalogueError for a name that is not there (with the nearest ones that
    are) and for a file that cannot be read as its record.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = profiles_folder() if folder is None else folder
        self._records: dict[tuple[Kind, str], Record] = {}
        self._tables: dict[Path, dict[str, Any]] = {}

    def rail(self, name: str) -> ChannelRail:
        return self._record("rails", name, ChannelRail)

    def head(self, name: str) -> Head:
        return self._record("heads", name, Head)

    def sensor(self, name: str) -> Sensor:
        return self._record("sensors", name, Sensor)

    def encoder(self, name: str) -> Encoder:
        return self._record("encoders", name, Encoder)

    def controller(self, name: str) -> Controller:
        return self._record("controllers", name, Controller)

    def thread(self, name: str) -> Thread:
        return self._record("threads", name, Thread)

    def material(self, name: str) -> Material:
        return self._record("materials", name, Material)

    def extrusion(self, name: str) -> Extrusion:
        return self._record("extrusions", name, Extrusion)

    def names(self, kind: Kind) -> tuple[str, ...]:
        """Every name of a kind, sorted."""
        place = self.folder / PLACES[kind]
        if place.suffix == ".toml":
            return tuple(sorted(self._table(place)))
        return tuple(sorted(path.stem for path in place.glob("*.toml")))

    def _record(self, kind: Kind, name: str, model: type[R]) -> R:
        known = self._records.get((kind, name))
        if known is None:
            known = self._read(kind, name, model)
            self._records[kind, name] = known
        assert isinstance(known, model)
        return known

    def _read(self, kind: Kind, name: str, model: type[R]) -> R:
        names = self.names(kind)
        place = self.folder / PLACES[kind]
        if name not in names:
            raise CatalogueError([_unknown(place, kind, name, names)])
        if place.suffix == ".toml":
            return _validated(place, name, self._table(place)[name], model)
        path = place / f"{name}.toml"
        return _validated(path, name, self._table(path), model)

    def _table(self, path: Path) -> dict[str, Any]:
        if path not in self._tables:
            self._tables[path] = _parsed(path)
        return self._tables[path]


def _unknown(place: Path, kind: Kind, name: str, names: tuple[str, ...]) -> Fault:
    nearest = difflib.get_close_matches(name, names, n=3, cutoff=0.4) or names
    return Fault(
        where=str(place),
        found=f"no {kind.removesuffix('s')} is named '{name}'",
        expected="one of " + ", ".join(names),
        action="did you mean " + " or ".join(nearest[:3]) + "?" if nearest else f"add {name}.toml",
    )


def _parsed(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        found, action = f"cannot be read ({error})", "restore the file, saved as UTF-8 text"
    except tomllib.TOMLDecodeError as error:
        found, action = f"is not TOML: {error}", "mend that line"
    raise CatalogueError([Fault(str(path), found, "a TOML file", action)])


def _validated(path: Path, name: str, data: object, model: type[R]) -> R:
    """The record of a table. Checked as JSON, the one form in which pydantic's strict mode takes an
    array for a tuple and still refuses a text or a truth value for a number."""
    if not isinstance(data, dict):
        raise CatalogueError([Fault(str(path), f"'{name}' is no table", f"[{name}]", "make it a table")])
    if data.get("name", name) != name:
        found = f"name = '{data['name']}'"
        raise CatalogueError([Fault(str(path), found, f"'{name}', as the file", "rename one of them")])
    try:
        return model.model_validate_json(json.dumps(data | {"name": name}, default=str), strict=True)
    except ValidationError as error:
        raise CatalogueError(_faults(path, name, error)) from error


def _faults(path: Path, name: str, error: ValidationError) -> list[Fault]:
    return [
        Fault(
            where=str(path),
            found=f"{name}: {_found(item['type'], item['loc'], item['input'])}",
            expected=item["msg"].removeprefix("Value error, "),
            action=f"mend '{_key(item['loc'])}'" if item["loc"] else "mend the sizes that disagree",
        )
        for item in error.errors(include_url=False)
    ]


def _found(kind: str, loc: tuple[int | str, ...], given: object) -> str:
    if kind == "missing":
        return f"'{_key(loc)}' is missing"
    return f"{_key(loc)} = {given!r}" if loc else "its values do not fit together"


def _key(loc: tuple[int | str, ...]) -> str:
    return ".".join(str(step) for step in loc)
