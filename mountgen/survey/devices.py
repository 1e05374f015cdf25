"""The rail profile and the devices of a survey: by a name of the catalogue, or a table of their own.

A device's own table holds the keys of the catalogue's record; its lengths take units like any other
length of the survey, its other numbers stand bare (kg, Hz, ms, degrees).
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any, TypeVar

from pydantic import ValidationError

from mountgen.catalogue.reader import Catalogue, Kind
from mountgen.catalogue.records import ChannelRail, Controller, Encoder, Head, Record, Sensor
from mountgen.errors import CatalogueError, Fault
from mountgen.survey.assemble import Equipment
from mountgen.survey.complaints import Complaint, dotted, nearest, validation_complaints
from mountgen.survey.lines import KeyPath
from mountgen.survey.raw import RawSurvey
from mountgen.units import System, UnitError, quoted, read_length

R = TypeVar("R", bound=Record)
Given = str | dict[str, Any]

LENGTH_KEYS = frozenset(
    (
        *("at", "depth", "width", "height", "length", "diameter"),
        *("print_height", "x_before", "x_after", "u_below", "u_above", "cable_length", "cable_bend_radius"),
        *("nut_outer", "nut_thickness", "range_min", "range_max", "beam_diameter"),
        *("wheel_circumference", "wheel_width", "wheel_offset", "body_diameter", "body_length"),
        *("boss_diameter", "boss_height", "shaft_diameter", "sensor_distance_min", "sensor_distance_max"),
    )
)
"""Keys of device records that hold lengths."""


class DeviceRefusedError(Exception):
    """A device or profile that cannot be had, with every complaint about it."""

    def __init__(self, complaints: list[Complaint]) -> None:
        self.complaints = complaints
        super().__init__("; ".join(complaint.found for complaint in complaints))


def equipment(raw: RawSurvey, catalogue: Catalogue, units: System | None) -> Equipment:
    """The profile and all devices. Raises DeviceRefusedError for one that cannot be had, CatalogueError for
    a broken file of the catalogue."""
    return Equipment(
        profile=_profile(raw.rail.profile, catalogue),
        head=_head(raw.head.device, catalogue, units),
        sensor=_sensor(raw.sensor.device, catalogue, units),
        encoder=_encoder(raw.encoder.device, catalogue, units) if raw.encoder else None,
        controller=_controller(raw.controller.device, catalogue, units),
    )


class Search:
    """Looks names up one by one and keeps what was wrong: complaints about the survey, faults of
    the catalogue's own files."""

    def __init__(self, catalogue: Catalogue, units: System | None) -> None:
        self._catalogue = catalogue
        self._units = units
        self.complaints: list[Complaint] = []
        self.faults: list[Fault] = []

    def rail_profile(self, name: str) -> ChannelRail | None:
        return self._kept(lambda: _profile(name, self._catalogue))

    def device(self, part: str, given: Given) -> Record | None:
        """The device of the survey's table `part`."""
        return self._kept(lambda: _LOOK_UPS[part](given, self._catalogue, self._units))

    def _kept(self, look_up: Callable[[], R]) -> R | None:
        try:
            return look_up()
        except DeviceRefusedError as error:
            self.complaints += error.complaints
        except CatalogueError as error:
            self.faults += error.faults
        return None


def _profile(name: str, catalogue: Catalogue) -> ChannelRail:
    return _named(catalogue.channel, "rails", name, catalogue, ("rail", "profile"))


def _head(given: Given, catalogue: Catalogue, units: System | None) -> Head:
    if isinstance(given, dict):
        return _own(given, "head", Head, units)
    return _named(catalogue.head, "heads", given, catalogue, ("head", "device"))


def _sensor(given: Given, catalogue: Catalogue, units: System | None) -> Sensor:
    if isinstance(given, dict):
        return _own(given, "sensor", Sensor, units)
    return _named(catalogue.sensor, "sensors", given, catalogue, ("sensor", "device"))


def _encoder(given: Given, catalogue: Catalogue, units: System | None) -> Encoder:
    if isinstance(given, dict):
        return _own(given, "encoder", Encoder, units)
    return _named(catalogue.encoder, "encoders", given, catalogue, ("encoder", "device"))


def _controller(given: Given, catalogue: Catalogue, units: System | None) -> Controller:
    if isinstance(given, dict):
        return _own(given, "controller", Controller, units)
    return _named(catalogue.controller, "controllers", given, catalogue, ("controller", "device"))


_LOOK_UPS: dict[str, Callable[[Given, Catalogue, System | None], Record]] = {
    "head": _head,
    "sensor": _sensor,
    "encoder": _encoder,
    "controller": _controller,
}


def _named(look_up: Callable[[str], R], kind: Kind, name: str, catalogue: Catalogue, path: KeyPath) -> R:
    names = catalogue.names(kind)
    if name in names:
        return look_up(name)
    meant = nearest(name, names)
    action = f"did you mean '{meant}'?" if meant else "take one of them, or add yours to profiles"
    found = f"{dotted(path)} is {quoted(name)}, which profiles does not hold"
    raise DeviceRefusedError([Complaint(path, found, "one of " + ", ".join(names), action)])


def _own(table: dict[str, Any], part: str, model: type[R], units: System | None) -> R:
    """The record of a device's own table; it may leave out `name` and `source`."""
    path: KeyPath = (part, "device")
    complaints: list[Complaint] = []
    lengths = {key: _in_mm(item, (*path, key), units, complaints) for key, item in table.items()}
    if complaints:
        raise DeviceRefusedError(complaints)
    whole = {"name": f"{part} of this survey", "source": "given in the survey file", **lengths}
    try:
        return model.model_validate_json(json.dumps(whole, default=str), strict=True)
    except ValidationError as error:
        raise DeviceRefusedError(validation_complaints(error, model, path)) from error


def _in_mm(value: object, path: KeyPath, units: System | None, complaints: list[Complaint]) -> object:
    """The same value with every length in it read into mm; adds to `complaints` what is no length."""
    if isinstance(value, dict):
        return {key: _in_mm(item, (*path, key), units, complaints) for key, item in value.items()}
    if isinstance(value, list):
        return [_in_mm(item, (*path, number), units, complaints) for number, item in enumerate(value)]
    key = next(step for step in reversed(path) if isinstance(step, str))
    if key not in LENGTH_KEYS or not isinstance(value, str | int | float):
        return value
    try:
        return float(read_length(value, units, negative=True))
    except UnitError as error:
        found = f"{dotted(path)} is {error.found}"
        complaints.append(Complaint(path, found, error.expected, error.action))
        return value
