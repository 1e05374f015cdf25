"""How much sheet a bend takes up: bend allowance, setback and bend deduction.

Words: the *angle* is the one the sheet is turned through (90 for a square corner, 60 when the legs
enclose 120). The *allowance* is the length of the neutral line round the bend, so that flat length =
straight flats + allowances. *Setback* runs from the tangent line to the sharp corner of the outer faces.
*Deduction* is what the two outside lengths, measured to that corner, are longer than the flat.
The neutral line lies K * thickness inside the sheet, counted from the inside of the bend.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol


class BendRule(Protocol):
    """The fabricator's rule for the allowance of a bend."""

    @property
    def title(self) -> str:
        """How the rule is named in a bend table."""

    def allowance(self, thickness: float, inside_radius: float, angle_deg: float) -> float:
        """Length of the neutral line in mm; ValueError for a bend outside the rule."""


@dataclass(frozen=True)
class KFactor:
    """A fixed place of the neutral line: 0 < k <= 0.5 of the thickness from the inside face."""

    k: float

    def __post_init__(self) -> None:
        if not 0 < self.k <= 0.5:
            raise ValueError(f"K-factor {self.k:g} is outside 0 < K <= 0.5")

    @property
    def title(self) -> str:
        return f"K-factor {self.k:g}"

    def allowance(self, thickness: float, inside_radius: float, angle_deg: float) -> float:
        """Angle (rad) * (r + K t), mm. ValueError: t <= 0, r < 0, angle not between 0 and 180 deg."""
        _require_bend(thickness, inside_radius, angle_deg)
        return math.radians(angle_deg) * (inside_radius + self.k * thickness)


@dataclass(frozen=True)
class Din6935:
    """DIN 6935: the neutral line moves inwards in tight bends; its factor k counts half thicknesses."""

    @property
    def title(self) -> str:
        return "DIN 6935"

    def correction(self, thickness: float, inside_radius: float) -> float:
        """k = 0.65 + 0.5 log10(r / s) up to r / s = 5, then 1. ValueError when no k > 0 comes out."""
        if thickness <= 0 or inside_radius <= 0:
            raise ValueError(
                f"DIN 6935 needs a thickness and an inside radius above 0,"
                f" not {thickness:g} and {inside_radius:g} mm"
            )
        ratio = inside_radius / thickness
        k = 0.65 + 0.5 * math.log10(ratio) if ratio <= 5 else 1.0
        if k <= 0:
            raise ValueError(
                f"DIN 6935 has no factor for an inside radius of {inside_radius:g} mm"
                f" in {thickness:g} mm sheet: the radius must be above {10**-1.3 * thickness:.3g} mm"
            )
        return k

    def allowance(self, thickness: float, inside_radius: float, angle_deg: float) -> float:
        """Angle (rad) * (r + s k / 2), mm. ValueError as for a K-factor, and for r = 0."""
        _require_bend(thickness, inside_radius, angle_deg)
        k = self.correction(thickness, inside_radius)
        return math.radians(angle_deg) * (inside_radius + thickness * k / 2)


def setback(thickness: float, inside_radius: float, angle_deg: float) -> float:
    """From the tangent line to the sharp corner of the outer faces, mm: (r + t) tan(A / 2).

    Source: FAA-H-8083-31 ch. 4, setback = K (R + T) with K = tan(A / 2).
    """
    _require_bend(thickness, inside_radius, angle_deg)
    return (inside_radius + thickness) * math.tan(math.radians(angle_deg) / 2)


def bend_deduction(rule: BendRule, thickness: float, inside_radius: float, angle_deg: float) -> float:
    """What outside lengths to the sharp corner are longer than the flat, mm: 2 setbacks - allowance."""
    twice = 2 * setback(thickness, inside_radius, angle_deg)
    return twice - rule.allowance(thickness, inside_radius, angle_deg)


def _require_bend(thickness: float, inside_radius: float, angle_deg: float) -> None:
    if not thickness > 0:
        raise ValueError(f"thickness {thickness:g} mm must be above 0")
    if not inside_radius >= 0:
        raise ValueError(f"inside radius {inside_radius:g} mm must not be negative")
    if not 0 < angle_deg < 180:
        raise ValueError(f"bend angle {angle_deg:g} deg must lie between 0 and 180, both left out")
