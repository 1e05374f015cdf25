"""The bars and plate strips of a mount, with the section moduli that turn couples into stress."""

from __future__ import annotations

from dataclasses import dataclass

from mountgen.catalogue.records import Extrusion, Material
from mountgen.mechanics.beams import torsion_constant_rectangle
from mountgen.mechanics.folded_strip import PLATE
from mountgen.mechanics.frame import Bar


@dataclass(frozen=True)
class Section:
    """A bar with its section moduli, mm3: for bending about local y and z, and for a torque's shear.

    `warp` is the stress at a folded strip's edges for each N mm of torque: fibres bend because it turns.
    """

    bar: Bar
    modulus_y: float
    modulus_z: float
    modulus_twist: float
    yield_mpa: float
    warp: float = 0.0


def extrusion_section(extrusion: Extrusion, material: Material) -> Section:
    """A T-slot bar. Its torque runs in its walls as in an open section: torque x thickness / J."""
    i, modulus = extrusion.i_mm4, extrusion.i_mm4 / (extrusion.size / 2)
    density = material.density_kg_per_m3 * 1e-9
    bar = Bar(extrusion.area_mm2, i, i, extrusion.j_mm4, material.e_mpa, material.g_mpa, density)
    return Section(bar, modulus, modulus, extrusion.j_mm4 / extrusion.web_thickness, material.yield_mpa)


@dataclass(frozen=True)
class Strip:
    """A plate strip, `width` x `thickness` x `length`. `twist` is N mm/rad of restrained fibres on top of its
    own torsion; `dense` is whether its weight is that of the bar."""

    width: float
    thickness: float
    length: float
    twist: float = 0.0
    dense: bool = False


def strip_section(strip: Strip, material: Material) -> Section:
    """Local y runs across the strip's thickness, so iy is the strong way; local z along its width."""
    b, t = strip.width, strip.thickness
    own = float(torsion_constant_rectangle(b, t))
    j = own + strip.twist * strip.length / material.g_mpa
    density = material.density_kg_per_m3 * 1e-9 if strip.dense else 0.0
    bar = Bar(b * t, t * b**3 / 12, PLATE * b * t**3 / 12, j, material.e_mpa, material.g_mpa, density)
    guided = 1.5 * PLATE * material.e_mpa * t * b / (material.g_mpa * j * strip.length)
    warp = guided if strip.twist else 0.0
    return Section(bar, t * b**2 / 6, b * t**2 / 6, j / t, material.yield_mpa, warp)


def solid_section(width: float, depth: float, material: Material) -> Section:
    """A block that is short against its own width: as good as rigid, without weight of its own."""
    j = float(torsion_constant_rectangle(width, depth))
    iy, iz = width * depth**3 / 12, depth * width**3 / 12
    bar = Bar(width * depth, iy, iz, j, material.e_mpa, material.g_mpa)
    return Section(bar, iy / (depth / 2), iz / (width / 2), j / min(width, depth), material.yield_mpa)
