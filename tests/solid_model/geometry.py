"""The carrying parts of a mast as prisms: rail, rail angle, backing plate, post, cross plate, arm.

Every part is a *prism*: a flat outline with hollows, drawn square to one axis and extruded along it. Two
prisms that touch are one piece there. The rail angle touches the rail at its *pads* alone, a gap of `GAP`
apart from it elsewhere: `screws` are the four pressure cones of its screws, `patch` is the rectangle around
them, `leg` is all of its rail leg. Small holes are left out.

Bars have their drawn T-slot section, but for its corner radius: so their give near the joints is there too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import Extrusion
from mountgen.catalogue.records import Material as Metal
from mountgen.catalogue.sections import extrusion_contours
from mountgen.geometry import Contour, Vec2, Vertex, arc_of
from mountgen.layout import rules
from mountgen.layout.rail_mast import MastLayout
from mountgen.survey.records import Survey

Axis = Literal["x", "y", "z"]
Span = tuple[float, float]
Bond = Literal["screws", "patch", "leg"]

GAP = 1.0
"""mm between rail leg and web beside the pads."""
CHORD_DEG = 46.0
"""An arc is drawn as chords of at most this sweep."""
WASHER = 12.0
"""mm; outside diameter of an M6 washer (ISO 7089)."""
STIFFER = 1000.0
"""Moduli of a part that hardly gives, as a multiple of its own."""
NEAR = 40.0
"""mm of rail to either side of the rail angle where it keeps its true scale in the mesh."""


@dataclass(frozen=True)
class Elastic:
    """A metal's moduli, MPa, and density, kg/mm3."""

    e_mpa: float
    g_mpa: float
    kg_per_mm3: float


@dataclass(frozen=True)
class Prism:
    """One part; `outline` is in the two other axes in their order x, y, z, `size` the mesh's aim, mm."""

    name: str
    axis: Axis
    outline: tuple[Vec2, ...]
    hollows: tuple[tuple[Vec2, ...], ...]
    span: Span
    metal: Elastic
    size: float


@dataclass(frozen=True)
class Choice:
    """What of the mount is solid, and how it holds together."""

    bond: Bond = "screws"
    rail: bool = True
    """Without a rail the rail angle's pads are held."""
    stiff: frozenset[str] = frozenset()
    """Names of parts that hardly give."""


@dataclass(frozen=True)
class Hold:
    """Nodes of a part in planes of an axis that do not move along some axes; `only` one of them in each."""

    part: str
    axis: Axis
    planes: tuple[float, ...]
    fixed: tuple[Axis, ...]
    only: bool = False


@dataclass(frozen=True)
class Solids:
    """All prisms, the stretches of each axis that only prisms along it occupy, and where it is held."""

    prisms: tuple[Prism, ...]
    plain: dict[Axis, tuple[Span, ...]]
    holds: tuple[Hold, ...]
    tip: float
    """y of the arm's loaded end."""


def solids(layout: MastLayout, survey: Survey, catalogue: Catalogue, choice: Choice) -> Solids:
    """The mount in the working view at its first product's setting, mm."""
    prisms = tuple(_stiffened(p, choice.stiff) for p in _prisms(layout, survey, catalogue, choice))
    ends = next((prism.span for prism in prisms if prism.name == "rail"), None)
    holds = _forks(ends) if ends else (Hold("pads", "y", (0.0,), ("x", "y", "z")),)
    return Solids(prisms, _plain(layout, survey), holds, float(layout.settings.tip_y[0]))


def _forks(ends: Span) -> tuple[Hold, ...]:
    """The rail's ends keep outline and place but may bend and warp; one point stops it along x."""
    return Hold("rail", "x", ends, ("y", "z")), Hold("rail", "x", ends[:1], ("x",), only=True)


def _stiffened(prism: Prism, stiff: frozenset[str]) -> Prism:
    if prism.name not in stiff:
        return prism
    metal = prism.metal
    return replace(prism, metal=replace(metal, e_mpa=STIFFER * metal.e_mpa, g_mpa=STIFFER * metal.g_mpa))


def _prisms(layout: MastLayout, survey: Survey, catalogue: Catalogue, choice: Choice) -> Iterator[Prism]:
    steel = _elastic(catalogue.material("steel-s235"))
    if choice.rail:
        yield _rail(layout, survey, catalogue)
    if layout.on_rail.backing and choice.rail:
        yield _backing(layout, survey, steel)
    yield from _pads(layout, steel, choice.bond)
    yield _rail_angle(layout, steel)
    yield _post(layout, catalogue)
    yield _cross_plate(layout, steel)
    yield _arm(layout, catalogue)


def _elastic(metal: Metal) -> Elastic:
    return Elastic(metal.e_mpa, metal.g_mpa, metal.density_kg_per_m3 * 1e-9)


def _rail(layout: MastLayout, survey: Survey, catalogue: Catalogue) -> Prism:
    """From support to support, the middle of the rail angle's screws in the middle."""
    site, section = survey.rail, survey.rail.section
    top, middle = float(site.top_above_surface), sum(layout.on_rail.pattern.columns) / 2
    half = site.supports_apart / 2
    outline = _chords(section.outline.moved(0.0, top))
    hollows = tuple(_chords(hole.moved(0.0, top)) for hole in section.holes)
    metal = _elastic(catalogue.material(site.profile.material))
    return Prism("rail", "x", outline, hollows, (middle - half, middle + half), metal, 9.0)


def _backing(layout: MastLayout, survey: Survey, steel: Elastic) -> Prism:
    web = survey.rail.section.web_thickness
    outline = _rectangle(*_patch(layout))
    return Prism("backing plate", "y", outline, (), (web, web + rules.BACKING_THICKNESS), steel, 9.0)


def _patch(layout: MastLayout) -> tuple[Span, Span]:
    """x and z of the rectangle around the screws."""
    (x0, x1), (z0, z1), edge = layout.on_rail.pattern.columns, layout.on_rail.pattern.rows, rules.EDGE
    return (x0 - edge, x1 + edge), (z0 - edge, z1 + edge)


def _pads(layout: MastLayout, steel: Elastic, bond: Bond) -> Iterator[Prism]:
    pattern, t = layout.on_rail.pattern, layout.on_rail.angle_thickness
    span = (-GAP, 0.0)
    if bond == "screws":
        for x in pattern.columns:
            for z in pattern.rows:
                yield Prism("pads", "y", _octagon((x, z), WASHER + t), (), span, steel, 7.0)
        return
    flat = (layout.angle_x + 2 * t, pattern.leg_end_x), pattern.leg_z
    yield Prism("pads", "y", _rectangle(*(_patch(layout) if bond == "patch" else flat)), (), span, steel, 9.0)


def _rail_angle(layout: MastLayout, steel: Elastic) -> Prism:
    """Bent at its inside radius of one thickness."""
    pattern, t = layout.on_rail.pattern, layout.on_rail.angle_thickness
    x, inner = layout.angle_x, rules.BEND_RADIUS_RATIO * t
    behind = max(layout.post.size / 2, rules.EDGE + rules.PLUMB_TRAVEL)
    end, face = layout.post_y - behind, -GAP
    centre = (x + t + inner, face - t - inner)
    turn = [math.pi + k * math.pi / 8 for k in (0, -1, -2, -3, -4)]
    outer = [_around(centre, inner + t, angle) for angle in turn]
    inside = [_around(centre, inner, angle) for angle in turn[::-1]]
    far = [(pattern.leg_end_x, face), (pattern.leg_end_x, face - t)]
    outline = ((x, end), *outer, *far, *inside, (x + t, end))
    return Prism("rail angle", "z", outline, (), pattern.leg_z, steel, 8.0)


def _around(centre: Vec2, radius: float, angle: float) -> Vec2:
    return centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)


def _post(layout: MastLayout, catalogue: Catalogue) -> Prism:
    middle = (layout.post_x + layout.post.size / 2, layout.post_y)
    span = (layout.post_bottom, layout.post_bottom + layout.post_length)
    return bar_prism("post", "z", (layout.post, middle), span, catalogue)


def _arm(layout: MastLayout, catalogue: Catalogue) -> Prism:
    middle = (layout.head.arm_x + layout.arm.size / 2, float(layout.settings.arm_z[0]))
    span = (layout.arm_tail(0), float(layout.settings.tip_y[0]))
    return bar_prism("arm", "y", (layout.arm, middle), span, catalogue)


def _cross_plate(layout: MastLayout, steel: Elastic) -> Prism:
    (dy, dz), y, z = layout.cross_half, layout.post_y, float(layout.settings.arm_z[0])
    outline = _rectangle((y - dy, y + dy), (z - dz, z + dz))
    span = (layout.cross_x, layout.cross_x + layout.plate)
    return Prism("cross plate", "x", outline, (), span, steel, 8.0)


def bar_prism(
    name: str, axis: Axis, place: tuple[Extrusion, Vec2], span: Span, catalogue: Catalogue
) -> Prism:
    """A length of a drawn section with its middle at a point of the two other axes."""
    section, (u, v) = place
    metal = catalogue.material(section.material)
    contour, hollows = extrusion_contours(section.model_copy(update={"corner_radius": 0.0}))
    drawn = tuple(_chords(hollow.moved(u, v)) for hollow in hollows)
    return Prism(name, axis, _chords(contour.moved(u, v)), drawn, span, _elastic(metal), section.size / 4)


def _plain(layout: MastLayout, survey: Survey) -> dict[Axis, tuple[Span, ...]]:
    """Where an axis may be drawn shorter for the mesher: no part but prisms along it begins or ends there."""
    pattern, far, margin = layout.on_rail.pattern, math.inf, 12.0
    (dy, dz), y, z = layout.cross_half, layout.post_y, float(layout.settings.arm_z[0])
    tip, top = float(layout.settings.tip_y[0]), float(survey.rail.top_above_surface)
    inner = max(survey.rail.section.reach_in, y + dy) + margin
    reach_out = min(0.0, survey.rail.section.outline.bounds[0])
    upper = max(pattern.leg_z[1], top) + margin
    lower = min(pattern.leg_z[0], top - survey.rail.section.depth) - margin
    first = min(layout.head.arm_x, layout.angle_x) - NEAR
    return {
        "x": ((-far, first), (pattern.leg_end_x + NEAR, far)),
        "y": _real((-far, min(y - dy, reach_out) - margin), (inner, tip - margin)),
        "z": _real((-far, lower), (upper, z - dz - margin), (z + dz + margin, far)),
    }


def _real(*spans: Span) -> tuple[Span, ...]:
    return tuple(span for span in spans if span[1] > span[0])


def _rectangle(u: Span, v: Span) -> tuple[Vec2, ...]:
    return (u[0], v[0]), (u[1], v[0]), (u[1], v[1]), (u[0], v[1])


def _octagon(centre: Vec2, diameter: float) -> tuple[Vec2, ...]:
    """Of the circle's area."""
    radius = diameter / 2 * math.sqrt(math.pi / (2 * math.sqrt(2)))
    return tuple(_around(centre, radius, math.pi * (2 * k + 1) / 8) for k in range(8))


def _chords(contour: Contour) -> tuple[Vec2, ...]:
    return tuple(point for a, b in contour.segments() for point in _chords_of(a, b))


def _chords_of(a: Vertex, b: Vertex) -> Iterator[Vec2]:
    """The points of one segment but its last."""
    yield a.x, a.y
    if a.bulge == 0.0:
        return
    arc = arc_of(a, b)
    sweep = arc.end_deg - arc.start_deg
    pieces = math.ceil(sweep / CHORD_DEG)
    inner = [math.radians(arc.start_deg + sweep * k / pieces) for k in range(1, pieces)]
    for angle in inner if a.bulge > 0 else inner[::-1]:
        yield _around(arc.centre, arc.radius, angle)
