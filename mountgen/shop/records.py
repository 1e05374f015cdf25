"""What a shop has and how it works: stock, bend rules, machines, rates. Lengths mm, times s."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from mountgen.mechanics.bending import BendRule
from mountgen.mechanics.brake_table import SAME, BrakeTable
from mountgen.sheet.flat import Die
from mountgen.sheet.rules import DIE_THICKNESSES


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
    bought: Mapping[str, float] = field(default_factory=dict)
    """What a bought part costs, by its name in the bill of material."""


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
        usual = self.usual_bend_rule
        if isinstance(usual, BrakeTable):  # it has no rows; what it says is missing names the material
            usual = replace(usual, material=material)
        return self.bend_rules.get(material, usual)

    def die(self, material: str, thickness: float, inside_radius: float) -> Die:
        """The die for a bend: the one of the material's bend table, else the narrowest of at least 8 t
        (common practice); the widest where none is."""
        rule = self.bend_rule(material)
        named = rule.die(thickness, inside_radius) if isinstance(rule, BrakeTable) else None
        if named is not None:
            return Die(named, measured=True)
        wide = [die for die in self.dies if die >= DIE_THICKNESSES * thickness - SAME]
        return Die(min(wide, default=max(self.dies)), measured=False)
