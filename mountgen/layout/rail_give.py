"""How a side rail gives way under a mount: its span bends and twists, its web yields around the screws.

Words: a *tie* holds the two side rails of a line together: the bed's cross members, and axles that are
screwed to both rails. Between legs the rail bends up and down. It twists between cross members alone, for
those keep it upright, and sideways it bends from one to the next, for they stay square to it.
World axes: the rail runs along x, its web's normal is y.

The mount is taken to stand in the middle of a span with hinged ends, where the rail is softest.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from mountgen.catalogue.rail_view import Span
from mountgen.catalogue.rails import Rail
from mountgen.catalogue.records import Material
from mountgen.layout import rules
from mountgen.layout.rail_walls import rail_walls
from mountgen.mechanics.plate_grid import Edge
from mountgen.mechanics.plates import LEAST_GAP, Patch, PatchResponse, Web, patch_response
from mountgen.mechanics.torsion import wall_properties
from mountgen.survey.records import RailSite, Survey

POISSON = 0.3
TWIST_TERMS = 400
"""Terms of the sine series of the twist; the rest adds less than 0.1 %."""
LEAST_RIM = 0.5
"""mm of web that always stays free beside the foot."""


@dataclass(frozen=True)
class RailGive:
    """Stiffness of the rail as a beam at its middle line (N/mm, N mm/rad), and of its web around the foot;
    `inf` is rigid. `sideways` is along y, `upright` along z; `twist` turns about x, `nod` about y, `swing`
    about z. `web` is None where the wall does not bend by itself (a bar, a round tube, a slot bar)."""

    sideways: float
    upright: float
    twist: float
    nod: float
    swing: float
    middle_z: float
    web: PatchResponse | None

    @property
    def web_springs(self) -> tuple[float, float, float]:
        """Of the web alone: against a push along y, a turn about x and one about z."""
        if self.web is None:
            return math.inf, math.inf, math.inf
        push, tilt, swing = (1 / float(give) for give in self.web.flexibility.diagonal())
        return push, tilt, swing


def rail_give(survey: Survey, material: Material, foot: tuple[float, Span]) -> RailGive:
    """The rail under a foot; `foot` is the width along x and z from and to of the plate around the screws."""
    rail, section = survey.rail, survey.rail.section
    length, e = rail.supports_apart, material.e_mpa
    across, up = e * section.properties.i_yy, e * section.properties.i_xx
    return RailGive(
        sideways=ladder_stiffness(length, rules.CROSS_TIES_APART, across),
        upright=48 * up / length**3,
        twist=twist_stiffness(survey, material),
        nod=12 * up / length,
        swing=16 * across / min(length, rules.CROSS_TIES_APART),
        middle_z=rail.top_above_surface - section.depth / 2,
        web=None if survey.is_clamped else web_response(rail, material, foot),
    )


def ladder_stiffness(length: float, apart: float, ei: float) -> float:
    """N/mm sideways in the middle of a span and between two ties: both rails and their ties are a ladder.

    Ties stay square to the rails, so the rails bend in S shapes from tie to tie: a ladder of shear stiffness
    S = 24 E I / s^2 gives by L / 4 S, and one rail between two ties by s^3 / 192 E I. No tie within the span:
    one rail with fixed ends. Source: slope-deflection equations; Roark, Table 8.1, case 1d.

    Args:
        length: L of the span, mm.
        apart: s from tie to tie, mm.
        ei: E I of one rail for bending sideways, N mm2.
    """
    panel = min(length, apart)
    whole = panel**2 * length / (96 * ei) if length > apart else 0.0
    return 1 / (whole + panel**3 / (192 * ei))


def rigid_rail(survey: Survey) -> RailGive:
    """A rail that does not give at all."""
    middle = survey.rail.top_above_surface - survey.rail.section.depth / 2
    return RailGive(math.inf, math.inf, math.inf, math.inf, math.inf, middle, None)


def twist_stiffness(survey: Survey, material: Material) -> float:
    """N mm/rad at the middle between two cross members, each of which holds the rail upright.

    With twist as a sum of sines between fork ends a couple T meets in each term E C_w b^4 + G J b^2 + k,
    b = n pi / L, where k is what axles add along the way; 0 for k gives `torsion.span_twist`.
    Source: Vlasov; Ritz's method, exact for these ends.
    """
    rail = survey.rail
    length = min(rail.supports_apart, rules.CROSS_TIES_APART)
    ecw = material.e_mpa * warping_constant(rail.profile)
    gj = material.g_mpa * rail.section.torsion_mm4
    beta = np.pi / length * np.arange(1, 2 * TWIST_TERMS, 2)
    against = ecw * beta**4 + gj * beta**2 + axle_stiffness(survey, material)
    return float(length / (2 * np.sum(1 / against)))


def axle_stiffness(survey: Survey, material: Material) -> float:
    """N mm/rad for each mm of rail, of roller axles that are screwed to both rails: 2 E I / b for each, as if
    the far rail turned as far the other way (Roark, Table 8.1); 0 without rollers."""
    line = survey.line
    if line.surface != "rollers" or line.roller_axle_diameter == 0:
        return 0.0
    inertia = math.pi * line.roller_axle_diameter**4 / 64
    return 2 * material.e_mpa * inertia / survey.rail.far_rail_at / line.roller_pitch


def warping_constant(profile: Rail) -> float:
    """C_w of a channel, a Z or an angle, mm6; 0 for sections whose warping hardly counts (bars, tubes) or
    whose walls are not known one by one (drawn ones), which is on the safe side."""
    walls = rail_walls(profile)
    return 0.0 if walls is None else wall_properties(walls).warping


def rail_web(rail: RailSite, material: Material) -> tuple[Web, float] | None:
    """The wall that the mount is bolted to as a plate, and z of its lower edge; None where there is none."""
    section = rail.section
    low, high = section.through_flat
    below, above = section.bottom_flange is not None, section.top_flange is not None
    if section.slots or high <= low or not (section.is_closed or below or above):
        return None
    size = (high - low, rail.supports_apart, section.web_thickness)
    low_edge, high_edge = (_edge(flanged=section.is_closed or flange) for flange in (below, above))
    web = Web(*size, material.e_mpa, POISSON, low=low_edge, high=high_edge)
    return web, rail.top_above_surface + low


def _edge(*, flanged: bool) -> Edge:
    """A flange clamps the web's edge."""
    return "clamped" if flanged else "free"


def web_patch(web: Web, width: float, low: float, high: float) -> Patch:
    """The foot on the web, from `low` to `high` over its lower edge, as far as it lies on the web."""
    rim = max(LEAST_RIM, 2 * LEAST_GAP * web.thickness)
    low, high = max(low, rim), min(high, web.height - rim)
    return Patch(width, high - low, (low + high) / 2)


def web_response(rail: RailSite, material: Material, foot: tuple[float, Span]) -> PatchResponse | None:
    """How the web yields under the foot; None where it does not bend by itself."""
    found = rail_web(rail, material)
    if found is None:
        return None
    web, bottom = found
    width, (low, high) = foot
    return _response(web, web_patch(web, width, low - bottom, high - bottom))


@lru_cache(maxsize=64)
def _response(web: Web, patch: Patch) -> PatchResponse:
    return patch_response(web, patch)
