"""What a survey asks for: one letter for each thing that is measured, the same in every form and starter.

Capitals belong to the line, small letters to a product. I, O, i, l, o are left out: they read as figures.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Asked:
    """One thing to measure: its letter on the form, its survey key, what it is in a few words."""

    letter: str
    key: str
    what: str


LINE = (
    Asked("A", "line.surface_height", "floor to conveying surface"),
    Asked("B", "line.roller_pitch", "roller to roller"),
    Asked("C", "line.roller_diameter", "roller diameter"),
    Asked("D", "line.roller_axle_diameter", "axle diameter"),
    Asked("E", "line.first_roller_at", "print line to a roller's axle"),
    Asked("F", "line.bed_from_y", "rail's outer face to bed"),
    Asked("G", "rail.top_above_surface", "rail top over surface (below: -)"),
    Asked("H", "rail.profile", "rail: depth x flange x thickness"),
    Asked("J", "rail.far_rail_at", "outer face to outer face"),
    Asked("K", "rail.free_from", "free rail begins at x ="),
    Asked("L", "rail.free_to", "free rail ends at x ="),
    Asked("M", "guides.near_y", "near guide's inner face"),
    Asked("N", "guides.far_y", "far guide's inner face"),
    Asked("P", "guides.z", "guide's lower and upper edge"),
    Asked("Q", "guides.open", "near guide open from, to"),
    Asked("R", "guides.depth", "guide and its bracket"),
    Asked("S", "guides.play", "play at the guide"),
    Asked("T", "rail.keepout", "things in the way"),
    Asked("U", "line.speed", "fastest line speed"),
    Asked("V", "line.slope_deg", "slope in the flow, degrees"),
    Asked("W", "rail.supports_apart", "from leg to leg"),
)
PRODUCT = (
    Asked("a", "product.length", "length"),
    Asked("b", "product.width", "width"),
    Asked("c", "product.height", "height"),
    Asked("d", "product.clearance_height", "highest point"),
    Asked("e", "product.gap", "gap"),
    Asked("f", "product.near_side_at", "near side at"),
    Asked("g", "product.code.size", "code, long x high"),
    Asked("h", "product.code.from_leading", "from leading"),
    Asked("j", "product.code.above_base", "over the surface"),
    Asked("k", "product.code.below_top", "below the top"),
    Asked("m", "product.code.from_near", "from near side"),
    Asked("n", "product.bulge", "bulge"),
    Asked("p", "product.skew_deg", "skew, degrees"),
    Asked("q", "product.mass", "mass"),
)
BY_KEY = {asked.key: asked for asked in (*LINE, *PRODUCT)}
