"""A rail's section as the rest of the product sees it, whatever kind of rail it is.

The frame is the rail's (`rail_outlines`): x is the world's y, away from the operator, with the web's
outer face at x = 0; y is up with the rail's top at y = 0. In a survey's frame a point (x, y) of the
section lies at world y = x and z = top_above_surface + y.

Words: the *web* is the wall the mount is bolted to, its *outer face* the operator's side and its *back*
the other; a *span* runs from a low to a high y; a *cover* is a rectangle filled solid for clearances.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from mountgen.catalogue.records import Material
from mountgen.geometry import Contour, Vec2
from mountgen.mechanics.sections import SectionProperties, section_properties

Span = tuple[float, float]
Opens = Literal["in", "out"]


@dataclass(frozen=True)
class Cover:
    """One solid rectangle of a rail's section: its name and its low and high corner."""

    name: str
    low: Vec2
    high: Vec2


@dataclass(frozen=True)
class Slot:
    """A T-slot in the outer face: height of its middle line and the sizes of its extrusion."""

    y: float
    width: float
    inner_width: float
    depth: float
    lip_thickness: float


@dataclass(frozen=True)
class RailSection:
    """One rail's section, as it opens on its line.

    `web_flat` is where a bracket and its bolts lie flat on the outer face; on a round tube it is the one
    height where the tube touches the face. `back_flat` is where nuts lie flat behind the web, None when
    nobody can reach there (closed sections: blind rivet nuts, or T-nuts in `slots`). The covers hold the
    whole section, the web's first. `torsion_mm4` is the St Venant torsion constant.
    """

    depth: float
    web_thickness: float
    outline: Contour
    holes: tuple[Contour, ...]
    web_flat: Span
    back_flat: Span | None
    covers: tuple[Cover, ...]
    torsion_mm4: float
    slots: tuple[Slot, ...] = ()

    @property
    def is_closed(self) -> bool:
        return self.back_flat is None

    @property
    def through_flat(self) -> Span:
        """Where a bolt through the web lies flat on both sides: low and high, or low = high for nowhere."""
        if self.back_flat is None:
            return self.web_flat
        low = max(self.web_flat[0], self.back_flat[0])
        return low, max(low, min(self.web_flat[1], self.back_flat[1]))

    @property
    def top_flange(self) -> Cover | None:
        return self._cover("top flange")

    @property
    def bottom_flange(self) -> Cover | None:
        return self._cover("bottom flange")

    def _cover(self, name: str) -> Cover | None:
        return next((cover for cover in self.covers if cover.name == name), None)

    @property
    def reach_out(self) -> float:
        """How far the rail stands out towards the operator from the web's outer face."""
        return max(0.0, -self.outline.bounds[0])

    @property
    def reach_in(self) -> float:
        """How far the rail reaches over the line from the web's outer face."""
        return self.outline.bounds[2]

    @cached_property
    def properties(self) -> SectionProperties:
        """Area, centroid and second moments: `i_xx` for bending up and down, `i_yy` for sideways."""
        return section_properties(self.outline, self.holes)

    @property
    def area(self) -> float:
        return self.properties.area

    @property
    def i_strong(self) -> float:
        """The larger principal second moment (mm4)."""
        return self._principal()[1]

    @property
    def i_weak(self) -> float:
        """The smaller principal second moment (mm4)."""
        return self._principal()[0]

    def _principal(self) -> Span:
        """Mohr's circle of the second moments."""
        p = self.properties
        middle, radius = (p.i_xx + p.i_yy) / 2, math.hypot((p.i_xx - p.i_yy) / 2, p.i_xy)
        return middle - radius, middle + radius

    def mass_kg_per_m(self, material: Material) -> float:
        """Mass of a metre of the rail; `material` is the record that the rail names."""
        return self.area * 1e-6 * material.density_kg_per_m3


def turned_out(section: RailSection, lip: float) -> RailSection:
    """The section mirrored in the web's middle plane; a bracket comes to the web between the lips."""
    assert section.back_flat is not None
    t, (low, high) = section.web_thickness, section.back_flat
    return replace(
        section,
        outline=section.outline.mirrored().moved(t, 0.0),
        web_flat=(max(low, lip - section.depth), min(high, -lip)),
        back_flat=section.web_flat,
        covers=tuple(_mirrored(cover, t) for cover in section.covers),
    )


def _mirrored(cover: Cover, web: float) -> Cover:
    """A cover mirrored in the middle plane of a web of that thickness."""
    (x0, y0), (x1, y1) = cover.low, cover.high
    return Cover(cover.name, (web - x1, y0), (web - x0, y1))
