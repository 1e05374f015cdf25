"""Reads `profiles/`: one small TOML a record, read when it is asked for and kept.

Words: a *kind* is a family of records ("rails"); its *place* is a folder with one file a record, or
one file with a table a record (threads). The file's stem, or the table's key, is the record's name.
"""

from __future__ import annotations

import difflib
import json
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, Literal, TypeVar

from pydantic import Field, TypeAdapter, ValidationError
from pydantic_core import ErrorDetails

from mountgen.catalogue.rails import RAIL_KINDS, Rail
from mountgen.catalogue.records import (
    Anchor,
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

Kind = Literal[
    "rails",
    "heads",
    "sensors",
    "encoders",
    "controllers",
    "threads",
    "anchors",
    "materials",
    "extrusions",
]
Location = tuple[int | str, ...]
R = TypeVar("R", bound=Record)
V = TypeVar("V")

_RAIL: TypeAdapter[Rail] = TypeAdapter(Annotated[Rail, Field(discriminator="kind")])

PLACES: dict[Kind, str] = {
    "rails": "rails",
    "heads": "devices/heads",
    "sensors": "devices/sensors",
    "encoders": "devices/encoders",
    "controllers": "devices/controllers",
    "threads": "fasteners/threads.toml",
    "anchors": "fasteners/anchors.toml",
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
        self._rails: dict[str, Rail] = {}
        self._tables: dict[Path, dict[str, Any]] = {}

    def rail(self, name: str) -> Rail:
        """A side rail of any kind."""
        if name not in self._rails:
            self._rails[name] = self._read_rail(name)
        return self._rails[name]

    def channel(self, name: str) -> ChannelRail:
        """A side rail that must be a channel; CatalogueError for another kind."""
        rail = self.rail(name)
        if isinstance(rail, ChannelRail):
            return rail
        path = self.folder / PLACES["rails"] / f"{name}.toml"
        found = f"{name} is a rail of kind '{rail.kind}'"
        raise CatalogueError([Fault(str(path), found, "a channel", "name a rail of kind 'channel'")])

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

    def anchor(self, name: str) -> Anchor:
        return self._record("anchors", name, Anchor)

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
        path, data = self._found(kind, name)
        return _validated(path, name, data, model.model_validate_json)

    def _read_rail(self, name: str) -> Rail:
        path, data = self._found("rails", name)
        kind = data.get("kind")
        if kind not in RAIL_KINDS:
            raise CatalogueError([_no_such_kind(path, name, kind)])
        if isinstance(data.get("extrusion"), str):
            data = data | {"extrusion": self._extrusion_of(path, data["extrusion"])}
        return _validated(path, name, data, _RAIL.validate_json)

    def _extrusion_of(self, path: Path, name: str) -> dict[str, Any]:
        names = self.names("extrusions")
        if name not in names:
            raise CatalogueError([_unknown(path, "extrusions", name, names)])
        return self.extrusion(name).model_dump()

    def _found(self, kind: Kind, name: str) -> tuple[Path, dict[str, Any]]:
        """The file that holds a record and the record's table, its values not looked at yet."""
        names = self.names(kind)
        place = self.folder / PLACES[kind]
        if name not in names:
            raise CatalogueError([_unknown(place, kind, name, names)])
        path = place if place.suffix == ".toml" else place / f"{name}.toml"
        table = self._table(path)
        data = table[name] if path == place else table
        if not isinstance(data, dict):
            raise CatalogueError([Fault(str(path), f"'{name}' is no table", f"[{name}]", "make it a table")])
        return path, data

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


def _no_such_kind(path: Path, name: str, kind: object) -> Fault:
    found = "'kind' is missing" if kind is None else f"kind = {kind!r}"
    nearest = difflib.get_close_matches(kind, RAIL_KINDS, n=1) if isinstance(kind, str) else []
    action = f"did you mean '{nearest[0]}'?" if nearest else "say what kind of rail it is"
    return Fault(str(path), f"{name}: {found}", "kind = one of " + ", ".join(RAIL_KINDS), action)


def _validated(path: Path, name: str, data: dict[str, Any], model: Callable[..., V]) -> V:
    """The record of a table. Checked as JSON, the one form in which pydantic's strict mode takes an
    array for a tuple and still refuses a text or a truth value for a number."""
    if data.get("name", name) != name:
        found = f"name = '{data['name']}'"
        raise CatalogueError([Fault(str(path), found, f"'{name}', as the file", "rename one of them")])
    try:
        return model(json.dumps(data | {"name": name}, default=str), strict=True)
    except ValidationError as error:
        kind = data.get("kind")
        errors = error.errors(include_url=False)
        raise CatalogueError(
            _fault(path, name, item, _within(item["loc"], kind)) for item in errors
        ) from error


def _within(loc: Location, kind: object) -> Location:
    """A place inside the record: that of a rail begins with its kind, which the file does not nest."""
    return loc[1:] if loc and loc[0] == kind else loc


def _fault(path: Path, name: str, error: ErrorDetails, loc: Location) -> Fault:
    return Fault(
        where=str(path),
        found=f"{name}: {_found(error['type'], loc, error['input'])}",
        expected=error["msg"].removeprefix("Value error, "),
        action=f"mend '{_key(loc)}'" if loc else "mend the sizes that disagree",
    )


def _found(kind: str, loc: Location, given: object) -> str:
    if kind == "missing":
        return f"'{_key(loc)}' is missing"
    return f"{_key(loc)} = {given!r}" if loc else "its values do not fit together"


def _key(loc: Location) -> str:
    return ".".join(str(step) for step in loc)
