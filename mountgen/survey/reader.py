"""Reads a survey file: from bytes to a Survey, or to every fault of the file at once.

The steps: bytes, text, TOML, tables (`raw`), names (`devices`), what fits together (`cross`), records
(`assemble`). Whatever can be read is checked, even when something else cannot.
"""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from mountgen.catalogue.reader import Catalogue
from mountgen.errors import Fault, SurveyError
from mountgen.mechanics.vibration import Spectrum
from mountgen.survey.assemble import BULGE, SKEW_DEG, Attached, assemble
from mountgen.survey.complaints import Complaint, dotted, validation_complaints
from mountgen.survey.cross import Pieces, cross_complaints
from mountgen.survey.devices import Search, equipment
from mountgen.survey.files import file_complaints
from mountgen.survey.lines import KeyPath, PlaceIndex, place_index
from mountgen.survey.product_list.records import ProductList
from mountgen.survey.raw import (
    RawDevice,
    RawGuides,
    RawLine,
    RawProduct,
    RawRail,
    RawSensor,
    RawStandOff,
    RawSurvey,
    Table,
)
from mountgen.survey.records import Survey
from mountgen.units import System

M = TypeVar("M", bound=Table)

LARGEST_FILE = 500_000
"""Bytes, of more than a thousand products; a longer list belongs into a file of its own."""
LARGEST_NUMBER = 10**18
"""No key of a survey takes more, in whatever unit."""


def read_survey(path: Path, catalogue: Catalogue) -> Survey:
    """The survey in `path`, in mm, with its devices from `catalogue`.

    Raises SurveyError with every fault found, in the order of the file.
    """
    source = _read_bytes(path)
    text = _decode(path, source)
    data, places = _parse(path, text)
    if giants := list(_giants(data, ())):
        raise SurveyError(_located(path, giants, places))
    units = _units(data)
    search = Search(catalogue, units, path.parent)
    raw, complaints = _validated(data, units)
    complaints += file_complaints(data)
    pieces = _pieces(data, units, search)
    complaints += cross_complaints(pieces)
    _search_devices(data, units, search)
    complaints += search.complaints
    if raw is None or pieces.profile is None or complaints or search.faults:
        raise SurveyError([*_located(path, complaints, places), *search.faults])
    named = equipment(raw, pieces.profile, catalogue, units)
    attached = Attached(_listed(raw, path.parent, units), _spectrum(raw, path.parent))
    return assemble(raw, named, attached, _digest(source, raw, path.parent))


def _digest(source: bytes, raw: RawSurvey, folder: Path) -> str:
    """SHA-256 of the survey and of the files that it names."""
    digest = hashlib.sha256(source)
    for name in (raw.rail.file, raw.products.file if raw.products else None, raw.shaking.spectrum):
        if name:
            digest.update((folder / name).read_bytes())
    return digest.hexdigest()


def _listed(raw: RawSurvey, folder: Path, units: System | None) -> ProductList | None:
    if raw.products is None:
        return None
    from mountgen.survey.listed import listed_products

    has_guides = raw.guides is not None
    return listed_products(raw.products, folder, units, has_guides=has_guides, defaults=(BULGE, SKEW_DEG))


def _spectrum(raw: RawSurvey, folder: Path) -> Spectrum | None:
    """The spectrum that the survey names."""
    if raw.shaking.spectrum is None:
        return None
    from mountgen.survey.spectrum_file import read_spectrum

    return read_spectrum(folder / raw.shaking.spectrum)


def _read_bytes(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            source = file.read(LARGEST_FILE + 1)
        if len(source) <= LARGEST_FILE:
            return source
        limit = f"at most {LARGEST_FILE} bytes"
        fault = Fault(
            str(path), "it is longer than any survey", limit, "give long lists as a file of their own"
        )
    except FileNotFoundError:
        fault = Fault(str(path), "there is no such file", "a survey file", "check the path")
    except IsADirectoryError:
        fault = Fault(str(path), "this is a folder", "a survey file", "name a file in it")
    except OSError as error:
        fault = Fault(str(path), f"it cannot be read ({error.strerror})", "a survey file", "check the file")
    raise SurveyError([fault])


def _decode(path: Path, source: bytes) -> str:
    """The text, without the mark that some editors put before it."""
    try:
        return source.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = source[: error.start].decode("utf-8-sig").split("\n")
        where = f"{path}:{len(before)}:{len(before[-1]) + 1}"
        found = f"byte 0x{source[error.start]:02x} is not UTF-8"
    action = "save the file as UTF-8; spreadsheets and old editors often write cp1252"
    raise SurveyError([Fault(where, found, "a text file in UTF-8", action)])


def _parse(path: Path, text: str) -> tuple[dict[str, Any], PlaceIndex]:
    """The document and the places of its keys and values."""
    try:
        return tomllib.loads(text), place_index(text)
    except RecursionError:
        where, found = str(path), "brackets are nested too deeply"
    except tomllib.TOMLDecodeError as error:
        where, found = _broken_at(path, text, str(error)), f"this is not TOML: {error}"
    except ValueError as error:  # a number of thousands of digits
        where, found = str(path), f"a value cannot be read: {error}"
    action = 'mend the line; a length with its unit stands in quotes, such as "2 1/4 in"'
    raise SurveyError([Fault(where, found, "key = value, or a table's name in brackets", action)])


def _broken_at(path: Path, text: str, message: str) -> str:
    """File, line and column of what the decoder stumbled over; without a line it was the end of the text."""
    if place := re.search(r"at line (\d+), column (\d+)", message):
        return f"{path}:{place[1]}:{place[2]}"
    lines = text.split("\n")
    return f"{path}:{len(lines)}:{len(lines[-1]) + 1}"


def _giants(value: object, path: KeyPath) -> Iterator[Complaint]:
    """Whole numbers too large for arithmetic; TOML sets no limit to them."""
    if isinstance(value, dict):
        for key, item in value.items():
            yield from _giants(item, (*path, key))
    elif isinstance(value, list):
        for number, item in enumerate(value):
            yield from _giants(item, (*path, number))
    elif isinstance(value, int) and abs(value) > LARGEST_NUMBER:
        found = f"{dotted(path)} is a number of {value.bit_length()} bits"
        yield Complaint(path, found, f"at most {LARGEST_NUMBER:g}", "check the number and its unit")


def _units(data: dict[str, Any]) -> System | None:
    """The unit of bare numbers. A wrong one is a fault of its own and reads as mm: one fault, not one for
    every bare number."""
    if "units" not in data:
        return None
    return "in" if data["units"] == "in" else "mm"


def _validated(data: dict[str, Any], units: System | None) -> tuple[RawSurvey | None, list[Complaint]]:
    try:
        return RawSurvey.model_validate(data, context={"units": units}), []
    except ValidationError as error:
        return None, validation_complaints(error, RawSurvey)


def _piece(model: type[M], table: object, units: System | None) -> M | None:
    """One table, when it can be read on its own; its faults are found with the whole file's."""
    try:
        return model.model_validate(table, context={"units": units})
    except ValidationError:
        return None


def _pieces(data: dict[str, Any], units: System | None, search: Search) -> Pieces:
    rail = _piece(RawRail, data.get("rail"), units)
    products = data.get("product")
    return Pieces(
        line=_piece(RawLine, data.get("line"), units),
        rail=rail,
        profile=search.rail(rail) if rail else None,
        guides=_piece(RawGuides, data.get("guides"), units),
        has_guides="guides" in data,
        products=tuple(_piece(RawProduct, item, units) for item in products)
        if isinstance(products, list)
        else (),
        standoff=_piece(RawStandOff, data.get("standoff"), units),
    )


def _search_devices(data: dict[str, Any], units: System | None, search: Search) -> None:
    """Looks every device up whose table can be read."""
    for part in ("head", "encoder", "controller"):
        if table := _piece(RawDevice, data.get(part), units):
            search.device(part, table.device)
    if sensor := _piece(RawSensor, data.get("sensor"), units):
        search.device("sensor", sensor.device)


def _located(path: Path, complaints: Iterable[Complaint], places: PlaceIndex) -> list[Fault]:
    """The complaints as faults, in the order of the file."""
    placed = sorted(
        ((places.of(item.path, item.part), item) for item in complaints), key=lambda pair: pair[0]
    )
    return [
        Fault(f"{path}:{line}:{column}", item.found, item.expected, item.action)
        for (line, column), item in placed
    ]
