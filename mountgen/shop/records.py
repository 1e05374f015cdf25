"""What a shop has and how it works: stock, bend rules, machines, rates. Lengths mm, times s."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from mountgen.mechanics.bending import BendRule


@dataclass(frozen=True)
class StockSheet:
    """A sheet that the shop stocks; its grain runs along its length. `quantity` None: as many as needed."""

    material: str
    thickness: float
    length: float
    width: float
    quantity: int | None = None


@dataclass(frozen=True)
class StockBar:
    """A length of an extrusion that the shop stocks. `quantity` None: as many as needed."""

    section: str
    length: float
    quantity: int | None = None


@dataclass(frozen=True)
class Cutting:
    """How flats are laid on a sheet: least gap between parts, least margin to the sheet's edge."""

    part_gap: float
    edge_margin: float


@dataclass(frozen=True)
class Saw:
    """What a saw takes: `kerf` a cut, `trim` from either end of a stock bar."""

    kerf: float
    trim: float


@dataclass(frozen=True)
class CuttingSpeed:
    """Of the laser in sheets up to a thickness."""

    up_to_thickness: float
    speed_mm_per_s: float
    pierce_s: float


@dataclass(frozen=True)
class Rates:
    """What time is needed and what it costs, in `currency`. `material_per_kg` is by material name."""

    currency: str
    cutting: tuple[CuttingSpeed, ...]
    bend_s: float
    saw_cut_s: float
    drilled_hole_s: float
    tapped_hole_s: float
    setup_s: float
    """Once for each machine that a job visits."""

    laser_per_hour: float
    brake_per_hour: float
    saw_per_hour: float
    drill_per_hour: float
    material_per_kg: Mapping[str, float]
    source: str


@dataclass(frozen=True)
class Shop:
    """One shop. `bend_rules` is by material name; `dies` are the V openings of its press brake."""

    name: str
    sheets: tuple[StockSheet, ...]
    bars: tuple[StockBar, ...]
    cutting: Cutting
    saw: Saw
    bend_rules: Mapping[str, BendRule]
    usual_bend_rule: BendRule
    dies: tuple[float, ...]
    rates: Rates

    def bend_rule(self, material: str) -> BendRule:
        """The rule for a material: its own, or the shop's usual one."""
        return self.bend_rules.get(material, self.usual_bend_rule)
