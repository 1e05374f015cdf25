"""The rail profile and the devices of a survey: by a name of the catalogue, or a table of their own.

A device's own table holds the keys of the catalogue's record. Its lengths take units like any other length
of the survey. Its other numbers are in the unit that ends the key (mass_kg), or carry one of their own
(`mass_kg = "2 lb 3 oz"`).
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from typing import Any, TypeVar

from pydantic import ValidationError

from mountgen.catalogue.head_stack import stack_of
from mountgen.catalogue.rails import Rail
from mountgen.catalogue.reader import Catalogue, Kind
from mountgen.catalogue.records import Controller, Encoder, Head, Record, Sensor
from mountgen.errors import CatalogueError, Fault, InputError
from mountgen.files.complaints import Complaint, dotted, nearest, validation_complaints
from mountgen.files.places import KeyPath
from mountgen.survey.assemble import Equipment
from mountgen.survey.files import Beside, rail_file
from mountgen.survey.raw import RawHead, RawRail, RawSurvey
from mountgen.survey.records import RailFile
from mountgen.units import (
    FREQUENCY,
    MASS,
    RESOLUTION,
    TIME,
    System,
    UnitError,
    quoted,
    read_angle,
    read_length,
    read_quantity,
    read_thread,
)
from mountgen.units import Kind as QuantityKind

R = TypeVar("R", bound=Record)
Given = str | dict[str, Any]

LENGTH_KEYS = frozenset(
    (
        *("at", "depth", "width", "height", "length", "diameter"),
        *("print_height", "x_before", "x_after", "u_below", "u_above", "cable_length", "cable_bend_radius"),
        "service_room",
        *("nut_outer", "nut_thickness", "range_min", "range_max", "beam_diameter"),
        *("wheel_circumference", "wheel_width", "wheel_offset", "body_diameter", "body_length"),
        *("boss_diameter", "boss_height", "shaft_diameter", "sensor_distance_min", "sensor_distance_max"),
    )
)
"""Keys of device records that hold lengths."""
QUANTITY_KEYS: dict[str, tuple[QuantityKind, str]] = {
    "_kg": (MASS, "kg"),
    "_hz": (FREQUENCY, "Hz"),
    "_ms": (TIME, "ms"),
    "_dpi": (RESOLUTION, "dpi"),
}
"""How the keys of other quantities end, and the unit of their bare numbers."""


class DeviceRefusedError(Exception):
    """A device or profile that cannot be had, with every complaint about it."""

    def __init__(self, complaints: list[Complaint]) -> None:
        self.complaints = complaints
        super().__init__("; ".join(complaint.found for complaint in complaints))


def equipment(raw: RawSurvey, profile: Rail, catalogue: Catalogue, units: System | None) -> Equipment:
    """The rail's profile and all devices. Raises DeviceRefusedError for one that cannot be had,
    CatalogueError for a broken file of the catalogue."""
    return Equipment(
        profile=profile,
        head=stacked(raw.head, _head(raw.head.device, catalogue, units)),
        sensor=_sensor(raw.sensor.device, catalogue, units),
        encoder=_encoder(raw.encoder.device, catalogue, units) if raw.encoder else None,
        controller=_controller(raw.controller.device, catalogue, units),
    )


class Search:
    """Looks names up one by one and keeps what was wrong: complaints about the survey, faults of
    the catalogue's own files."""

    def __init__(self, catalogue: Catalogue, units: System | None, beside: Beside) -> None:
        self._catalogue = catalogue
        self._beside = beside
        self._units = units
        self.complaints: list[Complaint] = []
        self.faults: list[Fault] = []

    def rail(self, raw: RawRail) -> Rail | None:
        """The rail's profile: a name of the catalogue, or read from a drawing beside the survey."""
        name, drawing = raw.profile, rail_file(raw)
        if name is not None:
            return self._kept(lambda: _profile(name, self._catalogue))
        return self._drawn(drawing) if drawing and self._beside.has(drawing.path) else None

    def _drawn(self, drawing: RailFile) -> Rail | None:
        from mountgen.section.profile import as_rail
        from mountgen.section.reader import read_section

        path = self._beside.folder / drawing.path
        try:
            section = read_section(path, units=drawing.units, layer=drawing.layer, loop=drawing.loop)
            return as_rail(section, path.stem)
        except InputError as error:
            self.complaints += [
                Complaint(("rail", "file"), f"{path.name}: {fault.found}", fault.expected, fault.action)
                for fault in error.faults
            ]
        return None

    def device(self, part: str, given: Given) -> Record | None:
        """The device of the survey's table `part`."""
        return self._kept(lambda: _LOOK_UPS[part](given, self._catalogue, self._units))

    def heads(self, raw: RawHead) -> Head | None:
        """The head, or several of them one over the other."""
        return self._kept(lambda: stacked(raw, _head(raw.device, self._catalogue, self._units)))

    def _kept(self, look_up: Callable[[], R]) -> R | None:
        try:
            return look_up()
        except DeviceRefusedError as error:
            self.complaints += error.complaints
        except CatalogueError as error:
            self.faults += error.faults
        return None


def _profile(name: str, catalogue: Catalogue) -> Rail:
    return _named(catalogue.rail, "rails", name, catalogue, ("rail", "profile"))


def _head(given: Given, catalogue: Catalogue, units: System | None) -> Head:
    if isinstance(given, dict):
        return _own(given, "head", Head, catalogue, units)
    return _named(catalogue.head, "heads", given, catalogue, ("head", "device"))


def stacked(raw: RawHead, single: Head) -> Head:
    """As many heads as the survey wants. Raises DeviceRefusedError for a pitch at which the cartridge of one
    cannot be taken out below the next."""
    count = raw.count or 1
    if count == 1:
        if raw.pitch is not None:
            found = "head.pitch, though there is one head"
            raise DeviceRefusedError(
                [Complaint(("head", "pitch"), found, "no pitch", "leave it out, or add head.count")]
            )
        return single
    least = single.u_below + single.u_above + single.service_room
    if raw.pitch is None or raw.pitch < least:
        told = "no key 'pitch' in [head]" if raw.pitch is None else f"head.pitch is {raw.pitch:g} mm"
        expected = f"at least {least:g} mm: the head's body, and room to take its cartridge out"
        raise DeviceRefusedError([Complaint(("head", "pitch"), told, expected, "measure from code to code")])
    return stack_of(single, count, raw.pitch)


def _sensor(given: Given, catalogue: Catalogue, units: System | None) -> Sensor:
    if isinstance(given, dict):
        return _own(given, "sensor", Sensor, catalogue, units)
    return _named(catalogue.sensor, "sensors", given, catalogue, ("sensor", "device"))


def _encoder(given: Given, catalogue: Catalogue, units: System | None) -> Encoder:
    if isinstance(given, dict):
        return _own(given, "encoder", Encoder, catalogue, units)
    return _named(catalogue.encoder, "encoders", given, catalogue, ("encoder", "device"))


def _controller(given: Given, catalogue: Catalogue, units: System | None) -> Controller:
    if isinstance(given, dict):
        return _own(given, "controller", Controller, catalogue, units)
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


def _own(table: dict[str, Any], part: str, model: type[R], catalogue: Catalogue, units: System | None) -> R:
    """The record of a device's own table; it may leave out `name` and `source`."""
    path: KeyPath = (part, "device")
    complaints: list[Complaint] = []
    read = {key: _read(item, (*path, key), units, complaints) for key, item in table.items()}
    if complaints or (complaints := list(_unknown_threads(read, path, catalogue))):
        raise DeviceRefusedError(complaints)
    whole = {"name": f"{part} of this survey", "source": "given in the survey file", **read}
    try:
        return model.model_validate_json(json.dumps(whole, default=str), strict=True)
    except ValidationError as error:
        raise DeviceRefusedError(validation_complaints(error, model, path)) from error


def _read(value: object, path: KeyPath, units: System | None, complaints: list[Complaint]) -> object:
    """The same value with every quantity in it in the unit of its key; adds to `complaints` what is none."""
    if isinstance(value, dict):
        return {key: _read(item, (*path, key), units, complaints) for key, item in value.items()}
    if isinstance(value, list):
        return [_read(item, (*path, number), units, complaints) for number, item in enumerate(value)]
    if not isinstance(value, str | int | float):
        return value
    key = next(step for step in reversed(path) if isinstance(step, str))
    try:
        return _in_unit_of(key, value, units)
    except UnitError as error:
        found = f"{dotted(path)} is {error.found}"
        complaints.append(Complaint(path, found, error.expected, error.action))
        return value


def _in_unit_of(key: str, value: str | float, units: System | None) -> object:
    """Lengths always; other quantities when they were written as text."""
    if key in LENGTH_KEYS:
        length = read_length(value, units, negative=True)
        if length.plus_minus:
            raise UnitError(f"{quoted(value)}, with +/-", "a length without +/-", "leave the +/- out")
        return float(length)
    if not isinstance(value, str):
        return value
    if key == "thread":
        return read_thread(value)
    if key.endswith("_deg"):
        return read_angle(value, negative=True)
    for ending, (kind, unit) in QUANTITY_KEYS.items():
        if key.endswith(ending):
            return read_quantity(value, kind, unit)
    return value


def _unknown_threads(read: dict[str, Any], path: KeyPath, catalogue: Catalogue) -> Iterator[Complaint]:
    """Threads that profiles has no screw for."""
    names = catalogue.names("threads")
    inner = read.get("reflector")
    if isinstance(inner, dict):
        yield from _unknown_threads(inner, (*path, "reflector"), catalogue)
    pattern = read.get("pattern")
    for number, hole in enumerate(pattern if isinstance(pattern, list) else ()):
        thread = hole.get("thread") if isinstance(hole, dict) else None
        if isinstance(thread, str) and thread not in names:
            at: KeyPath = (*path, "pattern", number, "thread")
            found = f"{dotted(at)} is {quoted(thread)}, which profiles does not hold"
            action = "take one of them, or add yours to profiles"
            yield Complaint(at, found, "one of " + ", ".join(names), action)
