"""Reads a survey file: from bytes to a Survey, or to every fault of the file at once.

The steps: bytes, text, TOML, tables (`raw`), names (`devices`), what fits together (`cross`), records
(`assemble`). Whatever can be read is checked, even when something else cannot.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from mountgen.catalogue.reader import Catalogue
from mountgen.errors import SurveyError
from mountgen.files.complaints import Complaint, validation_complaints
from mountgen.files.places import PlaceIndex
from mountgen.files.text import FileKind, decoded, read_bytes
from mountgen.files.toml import located, parse_toml
from mountgen.files.values import Table
from mountgen.mechanics.vibration import Spectrum
from mountgen.survey.assemble import BULGE, SKEW_DEG, Attached, assemble
from mountgen.survey.cross import Pieces, cross_complaints
from mountgen.survey.day import day_complaints
from mountgen.survey.devices import Search, equipment
from mountgen.survey.files import Beside, file_complaints
from mountgen.survey.product_list.records import ProductList
from mountgen.survey.raw import (
    RawDevice,
    RawGuides,
    RawHead,
    RawLine,
    RawProduct,
    RawRail,
    RawSensor,
    RawStandOff,
    RawSurvey,
)
from mountgen.survey.records import Survey
from mountgen.survey.setting import Setting, as_assumptions, setting_faults, with_settings
from mountgen.units import System

M = TypeVar("M", bound=Table)

SURVEY = FileKind("survey", 500_000, SurveyError)
"""As long as more than a thousand products; a longer list belongs into a file of its own."""


@dataclass(frozen=True)
class Written:
    """A survey's bytes, what messages call its file, and where the files stand that it names."""

    name: Path
    source: bytes
    beside: Beside


def read_survey(path: Path, catalogue: Catalogue, settings: Sequence[Setting] = ()) -> Survey:
    """The survey in `path`, in mm, with its devices from `catalogue`; `settings` stand over its values.

    Raises SurveyError with every fault found, those of settings first, the others in the order of the file.
    """
    return survey_of(Written(path, read_bytes(path, SURVEY), Beside(path.parent)), catalogue, settings)


def survey_of(written: Written, catalogue: Catalogue, settings: Sequence[Setting] = ()) -> Survey:
    """As `read_survey`, for a survey whose bytes are at hand."""
    path, source, beside = written.name, written.source, written.beside
    document, places = parse_toml(path, decoded(path, source, SURVEY), SURVEY)
    data = with_settings(document, settings)
    units = _units(data)
    search = Search(catalogue, units, beside)
    raw, complaints = _validated(data, units)
    complaints += file_complaints(data, beside)
    pieces = _pieces(data, units, search)
    complaints += cross_complaints(pieces)
    _search_devices(data, units, search)
    complaints += search.complaints
    if raw is not None and raw.products is None:
        complaints += day_complaints(raw.day_order, [product.name for product in raw.product])
    if raw is None or pieces.profile is None or complaints or search.faults:
        set_wrong, others = setting_faults(complaints, settings)
        raise SurveyError([*set_wrong, *located(path, others, places), *search.faults])
    listed = _listed(raw, beside.folder, units)
    if listed is not None:
        _require_days(day_complaints(raw.day_order, listed.table.names.tolist()), path, places)
    named = equipment(raw, pieces.profile, catalogue, units)
    attached = Attached(listed, _spectrum(raw, beside.folder))
    survey = assemble(raw, named, attached, _digest(source, raw, beside.folder, settings))
    return replace(survey, assumptions=(*as_assumptions(settings), *survey.assumptions))


def _require_days(unknown: Iterable[Complaint], path: Path, places: PlaceIndex) -> None:
    """Raises SurveyError for names of the day that a list, read last, does not have."""
    if faults := located(path, unknown, places):
        raise SurveyError(faults)


def _digest(source: bytes, raw: RawSurvey, folder: Path, settings: Sequence[Setting]) -> str:
    """SHA-256 of the survey, of the files that it names, and of what stands over its values."""
    digest = hashlib.sha256(source)
    for setting in settings:
        digest.update(f"\n{setting.key}={setting.written}".encode())
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
    if head := _piece(RawHead, data.get("head"), units):
        search.heads(head)
    for part in ("encoder", "controller"):
        if table := _piece(RawDevice, data.get(part), units):
            search.device(part, table.device)
    if sensor := _piece(RawSensor, data.get("sensor"), units):
        search.device("sensor", sensor.device)
