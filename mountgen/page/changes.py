"""What a changed survey would have to be told: the settings that lead from one survey to another.

So a remedy is applied by one press. What no setting can say, such as a product that is left out, has none.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import fields
from typing import Any

import numpy as np

from mountgen.survey.product_list.table import MEASURED, ProductTable
from mountgen.survey.records import Keepout, Survey
from mountgen.units import System, format_length

MM_PER_INCH = 25.4
MM_PER_S = {"mm": ("m/min", 1000.0 / 60.0), "in": ("ft/min", 304.8 / 60.0)}
"""The unit of a speed for people who measure in mm or inches, in mm/s."""
DECIMALS = 9
Write = Callable[[Any, System], str]


class NoSettingError(Exception):
    """Two surveys differ in what no setting can say."""


def settings_between(before: Survey, after: Survey) -> dict[str, str] | None:
    """By key what makes `before` into `after`; None when settings cannot."""
    try:
        return dict(_settings(before, after))
    except NoSettingError:
        return None


def _settings(before: Survey, after: Survey) -> Iterator[tuple[str, str]]:
    units = before.units
    for part, writers in PARTS.items():
        yield from _of_record(part, (getattr(before, part), getattr(after, part)), writers, units)
    yield from _keepouts(before.rail.keepouts, after.rail.keepouts, units)
    yield from _devices(before, after)
    if before.sensor_distance != after.sensor_distance:
        yield "sensor.distance", written_length(after.sensor_distance, units)
    if before.products is not after.products:
        if before.product_list is not None or len(before.products) != len(after.products):
            raise NoSettingError
        yield from _products(before.products, after.products, units)


def written_length(value: Any, units: System) -> str:  # noqa: ANN401
    """A length, with its +/- where it has one: a binary fraction in inches where it is one, else decimals."""
    if value is None:
        raise NoSettingError
    off = getattr(value, "plus_minus", 0.0)
    numbers = [float(value), off] if off else [float(value)]
    if units == "in" and all(_is_binary(one) for one in numbers):
        return " +/- ".join(format_length(one, "in").removesuffix(" in") for one in numbers) + " in"
    return " +/- ".join(_decimal(one) for one in numbers) + " mm"


def _is_binary(mm: float) -> bool:
    parts = mm / MM_PER_INCH * 64
    return abs(parts - round(parts)) < 1e-9


def _decimal(value: float) -> str:
    return f"{value:.{DECIMALS}f}".rstrip("0").rstrip(".")


def _pair(value: Any, units: System) -> str:  # noqa: ANN401
    if value is None:
        raise NoSettingError
    return json.dumps([written_length(one, units) for one in value])


def _speed(value: Any, units: System) -> str:  # noqa: ANN401
    unit, factor = MM_PER_S[units]
    return f"{_decimal(value / factor)} {unit}"


def _number(value: Any, _: System) -> str:  # noqa: ANN401
    if value is None:
        raise NoSettingError
    return _decimal(value)


PARTS: dict[str, dict[str, tuple[str, Write]]] = {
    "line": {
        "speed_mm_per_s": ("speed", _speed),
        "drive_rpm": ("drive_speed", _number),
        "first_roller_at": ("first_roller_at", written_length),
    },
    "rail": {
        name: (name, written_length)
        for name in ("top_above_surface", "free_from", "free_to", "supports_apart")
    },
    "guides": {name: (name, written_length) for name in ("near_y", "far_y", "depth", "play")}
    | {name: (name, _pair) for name in ("z", "open")},
    "standoff": {name: (name, written_length) for name in ("target", "setting")},
    "work": {name: (name, written_length) for name in ("cut", "drill")},
    "joining": {"friction": ("friction", _number)},
    "shaking": {},
}
"""What may differ, by record and field: its key in the record's table, and how it is written."""


def _of_record(
    part: str, records: tuple[Any, Any], writers: dict[str, tuple[str, Write]], units: System
) -> Iterator[tuple[str, str]]:
    before, after = records
    if before is None or after is None:
        if before is not after:
            raise NoSettingError
        return
    for one in fields(before):
        value = getattr(after, one.name)
        if one.name == "keepouts" or _is_same(getattr(before, one.name), value):
            continue
        if one.name not in writers:
            raise NoSettingError
        key, write = writers[one.name]
        yield f"{part}.{key}", write(value, units)


def _is_same(before: object, after: object) -> bool:
    """Equal, and known as exactly."""
    exactly = getattr(before, "plus_minus", 0.0) == getattr(after, "plus_minus", 0.0)
    return before is after or (before == after and exactly)


def _keepouts(
    before: tuple[Keepout, ...], after: tuple[Keepout, ...], units: System
) -> Iterator[tuple[str, str]]:
    for number, (old, new) in enumerate(zip(before, after, strict=True), 1):
        for axis in ("x", "y", "z"):
            if getattr(old, axis) != getattr(new, axis):
                yield f"rail.keepout[{number}].{axis}", _pair(getattr(new, axis), units)


def _devices(before: Survey, after: Survey) -> Iterator[tuple[str, str]]:
    for name in ("head", "sensor", "encoder", "controller"):
        old, new = getattr(before, name), getattr(after, name)
        if old != new:
            if old is None or new is None:
                raise NoSettingError
            yield f"{name}.device", new.name


def _products(before: ProductTable, after: ProductTable, units: System) -> Iterator[tuple[str, str]]:
    """Row by row, key by key."""
    columns = [column.name for column in fields(before)]
    differ = [name for name in columns if not _same(getattr(before, name), getattr(after, name)).all()]
    for name in differ:
        key = name.removesuffix("_plus_minus")
        if key not in PRODUCT_KEYS:
            raise NoSettingError
        for row in np.flatnonzero(~_same(getattr(before, name), getattr(after, name))).tolist():
            yield f"product[{row + 1}].{PRODUCT_KEYS[key]}", _product_value(after, key, row, units)


def _same(before: Any, after: Any) -> Any:  # noqa: ANN401
    equal = before == after
    return equal | (np.isnan(before) & np.isnan(after)) if before.dtype.kind == "f" else equal


PRODUCT_KEYS = {
    **{name: name for name in ("length", "width", "height", "gap", "near_side_at", "bulge", "skew_deg")},
    **{name: f"code.{name}" for name in ("from_leading", "above_base", "below_top", "from_near")},
    "clearance_height": "clearance_height",
    "code_along": "code.size",
    "code_across": "code.size",
}


def _product_value(table: ProductTable, key: str, row: int, units: System) -> str:
    product = table.row(row)
    if key in ("code_along", "code_across"):
        return _pair(product.code.size, units)
    if key == "skew_deg":
        return _decimal(product.skew_deg)
    holder = product.code if key in MEASURED and hasattr(product.code, key) else product
    return written_length(getattr(holder, key), units)
