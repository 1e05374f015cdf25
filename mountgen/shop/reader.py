"""Reads a shop file: from a path to a Shop, or to every fault of the file and its bend table at once."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from mountgen.errors import ShopError
from mountgen.files.complaints import Complaint, validation_complaints
from mountgen.files.text import FileKind, decoded, read_bytes
from mountgen.files.toml import located, parse_toml
from mountgen.mechanics.bending import BendRule, Din6935, KFactor
from mountgen.mechanics.brake_table import BrakeTable
from mountgen.shop.brake_file import read_brake_table
from mountgen.shop.cross import cross_complaints, rule_complaints
from mountgen.shop.raw import RawRates, RawShop
from mountgen.shop.records import Cutting, CuttingSpeed, Rates, Saw, Shop, StockBar, StockSheet

SHOP = FileKind("shop", 500_000, ShopError)
USUAL_SHOP = Path("shops") / "garden-works.toml"
"""The shop that is taken where none is named, seen from the folder of profiles."""


def read_shop(path: Path) -> Shop:
    """The shop in `path`, in mm and s; its name is the file's stem.

    Raises ShopError with every fault of the file, in its order, and then those of its bend table.
    """
    data, places = parse_toml(path, decoded(path, read_bytes(path, SHOP), SHOP), SHOP)
    raw, complaints = _validated(data)
    complaints += rule_complaints(data)
    if raw is not None:
        complaints += cross_complaints(raw)
    faults = located(path, complaints, places)
    tables: dict[str, BrakeTable] = {}
    if raw is not None and raw.brake_table is not None:
        try:
            tables = read_brake_table(path.parent / raw.brake_table, sorted(raw.dies))
        except ShopError as error:
            faults += error.faults
    if raw is None or faults:
        raise ShopError(faults)
    return _shop(path.stem, raw, tables)


def _validated(data: dict[str, Any]) -> tuple[RawShop | None, list[Complaint]]:
    try:
        return RawShop.model_validate(data, context={"units": "mm"}), []
    except ValidationError as error:
        return None, validation_complaints(error, RawShop)


def _shop(name: str, raw: RawShop, tables: Mapping[str, BrakeTable]) -> Shop:
    return Shop(
        name,
        tuple(
            StockSheet(sheet.material, thickness, sheet.length, sheet.width, sheet.quantity)
            for sheet in raw.sheet
            for thickness in sheet.thicknesses
        ),
        tuple(StockBar(section, bar.length, bar.quantity) for bar in raw.bar for section in bar.sections),
        Cutting(raw.cutting.part_gap, raw.cutting.edge_margin),
        Saw(raw.saw.kerf, raw.saw.trim),
        tables,
        _usual_rule(raw),
        tuple(sorted(raw.dies)),
        _rates(raw.rates),
    )


def _usual_rule(raw: RawShop) -> BendRule:
    """What goes for a material that has no table of its own: beside a table a table without rows, which
    asks for the one that is missing."""
    if raw.brake_table is not None:
        return BrakeTable("", (), f"bend table {Path(raw.brake_table).name}")
    return Din6935() if raw.k_factor is None else KFactor(raw.k_factor)


def _rates(raw: RawRates) -> Rates:
    speeds = sorted(raw.cutting, key=lambda speed: speed.up_to_thickness)
    return Rates(
        raw.currency,
        tuple(CuttingSpeed(one.up_to_thickness, one.speed_mm_per_s, one.pierce_s) for one in speeds),
        raw.bend_s,
        raw.saw_cut_s,
        raw.drilled_hole_s,
        raw.tapped_hole_s,
        raw.setup_s,
        raw.laser_per_hour,
        raw.brake_per_hour,
        raw.saw_per_hour,
        raw.drill_per_hour,
        dict(raw.material_per_kg),
        raw.source,
        dict(raw.bought),
    )
