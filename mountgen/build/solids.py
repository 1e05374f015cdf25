"""The exact solids of a detailed mount, one for each distinct part."""

from __future__ import annotations

from dataclasses import dataclass

from mountgen.detail.records import BoughtPart, Detail, Part, Rgb
from mountgen.kernel.assembly import Assembly, Product, grouped_tree
from mountgen.kernel.frames import Solid, placed
from mountgen.kernel.measure import volume
from mountgen.kernel.solids import part_solid
from mountgen.sheet.tree import SheetPart

SHEET_COLOUR: Rgb = (0.78, 0.70, 0.42)
BAR_COLOUR: Rgb = (0.80, 0.82, 0.84)


@dataclass(frozen=True)
class Model:
    """The detail with its solids (by part number), volumes in mm3 and masses in kg."""

    detail: Detail
    solids: dict[str, Solid]
    volumes: dict[str, float]
    masses: dict[str, float]


def model(detail: Detail, densities: dict[str, float]) -> Model:
    """Every part's solid, checked. `densities` in kg/m3 by material name, for the made parts.

    Raises KernelError naming the part when a solid fails its own check.
    """
    solids = {number: part_solid(part) for number, part in detail.parts.items()}
    volumes = {number: volume(solid) for number, solid in solids.items()}
    masses = {number: _mass(part, volumes[number], densities) for number, part in detail.parts.items()}
    return Model(detail, solids, volumes, masses)


def _mass(part: Part, volume_mm3: float, densities: dict[str, float]) -> float:
    if isinstance(part, BoughtPart):
        return part.mass_kg
    return volume_mm3 * densities[part.material] * 1e-9


def assembly(name: str, built: Model) -> Assembly:
    """The mount as groups of named, placed parts."""
    products = {
        number: Product(_product_name(part), built.solids[number], colour_of(part))
        for number, part in built.detail.parts.items()
    }
    return Assembly(grouped_tree(name, built.detail.instances), products)


def placed_solids(built: Model, detail: Detail) -> dict[str, Solid]:
    """Every instance of a detail of the same parts, in its place."""
    return {i.name: placed(built.solids[i.part], i.placement) for i in detail.instances}


def product_of(built: Model, number: str) -> Product:
    """One part as it is stored in a file of its own."""
    part = built.detail.parts[number]
    return Product(_product_name(part), built.solids[number], colour_of(part))


def _product_name(part: Part) -> str:
    label = part.designation if isinstance(part, BoughtPart) else part.name
    return f"{part.number} {label}"


def colour_of(part: Part) -> Rgb:
    """The colour of a part in models and pictures."""
    if isinstance(part, BoughtPart):
        return part.colour
    return SHEET_COLOUR if isinstance(part, SheetPart) else BAR_COLOUR
