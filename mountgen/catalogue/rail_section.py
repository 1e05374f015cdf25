"""The section of every kind of rail: what to bolt to, what is in the way, how stiff it is.

Frame and words are those of `rail_view`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from mountgen.catalogue.drawn_section import drawn_section
from mountgen.catalogue.rail_outlines import (
    angle_outline,
    rect_tube_contours,
    round_tube_contours,
    slot_rail_contours,
    z_outline,
)
from mountgen.catalogue.rail_view import Cover, Opens, RailSection, Slot, Span, turned_out
from mountgen.catalogue.rails import (
    AngleRail,
    DrawnRail,
    FlatRail,
    Rail,
    RectTubeRail,
    RoundTubeRail,
    SlotRail,
    ZRail,
)
from mountgen.catalogue.records import ChannelRail, Extrusion
from mountgen.catalogue.sections import flange_thickness_of, flat_web, rail_outline
from mountgen.geometry import rectangle
from mountgen.mechanics.sections import torsion_constant_open, torsion_constant_tube


def rail_section(rail: Rail, opens: Opens = "in") -> RailSection:
    """The section of any rail that opens `opens` on its line (lengths in mm).

    Opening out turns the section round its web, so that the outer face stays at x = 0. A flat bar, a tube
    and a slot bar are the same either way.
    """
    lip = 0.0
    match rail:
        case ChannelRail():
            section, lip = _channel(rail), rail.lip
        case ZRail():
            section = _z(rail)
        case AngleRail():
            section = _angle(rail)
        case FlatRail():
            return _flat(rail)
        case RectTubeRail():
            return _rect_tube(rail)
        case RoundTubeRail():
            return _round_tube(rail)
        case SlotRail():
            return _slot_bar(rail)
        case DrawnRail():
            return drawn_section(rail, opens)
    return section if opens == "in" else turned_out(section, lip)


def _channel(rail: ChannelRail) -> RailSection:
    outline = rail_outline(rail)
    strips = [(outline.area / rail.web_thickness, rail.web_thickness)]
    if rail.forming == "hot_rolled":
        flange = (rail.flange_width - rail.web_thickness / 2, rail.flange_thickness)
        strips = [(rail.depth - rail.flange_thickness, rail.web_thickness), flange, flange]
    return RailSection(
        depth=rail.depth,
        web_thickness=rail.web_thickness,
        outline=outline,
        holes=(),
        web_flat=flat_web(rail, "plain"),
        back_flat=flat_web(rail, "flange"),
        covers=tuple(_channel_covers(rail)),
        torsion_mm4=torsion_constant_open(strips),
    )


def _channel_covers(rail: ChannelRail) -> Iterator[Cover]:
    """Web, flanges at their thickest, lips, and a square at every inner corner for its fillet."""
    t, b, depth, lip = rail.web_thickness, rail.flange_width, rail.depth, rail.lip
    flange = flange_thickness_of(rail, t)
    fillet = -flat_web(rail, "flange")[1] - flange
    yield Cover("web", (0.0, -depth), (t, 0.0))
    top = [Cover("top flange", (0.0, -flange), (b, 0.0))]
    if lip:
        top.append(Cover("top lip", (b - t, -lip), (b, 0.0)))
        top.append(Cover("top lip root", (b - t - fillet, -flange - fillet), (b - t, -flange)))
    if fillet:
        top.append(Cover("top root", (t, -flange - fillet), (t + fillet, -flange)))
    for cover in top:
        yield cover
        yield _upside_down(cover, depth)


def _upside_down(cover: Cover, depth: float) -> Cover:
    """A cover mirrored in the section's middle height."""
    (x0, y0), (x1, y1) = cover.low, cover.high
    return Cover(cover.name.replace("top", "bottom"), (x0, -depth - y1), (x1, -depth - y0))


def _z(rail: ZRail) -> RailSection:
    t, depth, r = rail.thickness, rail.depth, rail.inside_radius
    outline = z_outline(rail)
    flat = (t + r - depth, -t - r)
    covers = (
        Cover("web", (0.0, -depth), (t, 0.0)),
        Cover("top flange", (0.0, -t), (rail.top_flange, 0.0)),
        Cover("bottom flange", (t - rail.bottom_flange, -depth), (t, t - depth)),
        Cover("top root", (t, -t - r), (t + r, -t)),
        Cover("bottom root", (-r, t - depth), (0.0, t + r - depth)),
    )
    return RailSection(
        depth=depth,
        web_thickness=t,
        outline=outline,
        holes=(),
        web_flat=flat,
        back_flat=flat,
        covers=covers,
        torsion_mm4=torsion_constant_open([(outline.area / t, t)]),
    )


def _angle(rail: AngleRail) -> RailSection:
    t, b, depth, r = rail.thickness, rail.flange_width, rail.depth, rail.inside_radius
    outline = angle_outline(rail)
    formed = rail.forming == "formed"
    web, back = (t + r if formed else 0.0, 0.0), (t + r, rail.toe_radius)
    top = (
        Cover("web", (0.0, -depth), (t, 0.0)),
        Cover("top flange", (0.0, -t), (b, 0.0)),
        Cover("top root", (t, -t - r), (t + r, -t)),
    )
    at_top = rail.flange_at == "top"
    strips = [(depth - t / 2, t), (b - t / 2, t)]
    return RailSection(
        depth=depth,
        web_thickness=t,
        outline=outline,
        holes=(),
        web_flat=_between(web, depth, at_top=at_top),
        back_flat=_between(back, depth, at_top=at_top),
        covers=top if at_top else tuple(_upside_down(cover, depth) for cover in top),
        torsion_mm4=torsion_constant_open([(outline.area / t, t)] if formed else strips),
    )


def _between(ends: Span, depth: float, *, at_top: bool) -> Span:
    """The span that leaves `ends` (heel, toe) free, the heel at the top or at the bottom."""
    heel, toe = ends
    return (toe - depth, -heel) if at_top else (heel - depth, -toe)


def _flat(rail: FlatRail) -> RailSection:
    outline = rectangle(0.0, -rail.depth, rail.thickness, 0.0)
    face = (-rail.depth, 0.0)
    return RailSection(
        depth=rail.depth,
        web_thickness=rail.thickness,
        outline=outline,
        holes=(),
        web_flat=face,
        back_flat=face,
        covers=(Cover("web", (0.0, -rail.depth), (rail.thickness, 0.0)),),
        torsion_mm4=torsion_constant_open([(rail.depth, rail.thickness)]),
    )


def _rect_tube(rail: RectTubeRail) -> RailSection:
    """The torsion constant after EN 10219-2 Annex B: corners at the mean of outer and inner radius."""
    t, depth, width, outer = rail.thickness, rail.depth, rail.width, rail.outside_radius
    outline, holes = rect_tube_contours(rail)
    corner = (outer + max(outer - t, 0.0)) / 2
    midline = 2 * (width - t + depth - t) - 2 * corner * (4 - math.pi)
    enclosed = (width - t) * (depth - t) - corner**2 * (4 - math.pi)
    return RailSection(
        depth=depth,
        web_thickness=t,
        outline=outline,
        holes=holes,
        web_flat=(outer - depth, -outer),
        back_flat=None,
        covers=(Cover("web", (0.0, -depth), (width, 0.0)),),
        torsion_mm4=torsion_constant_tube(midline, enclosed, t),
    )


def _round_tube(rail: RoundTubeRail) -> RailSection:
    """The torsion constant is exactly twice the second moment."""
    outline, holes = round_tube_contours(rail)
    d = rail.diameter
    return RailSection(
        depth=d,
        web_thickness=rail.thickness,
        outline=outline,
        holes=holes,
        web_flat=(-d / 2, -d / 2),
        back_flat=None,
        covers=(Cover("web", (0.0, -d), (d, 0.0)),),
        torsion_mm4=math.pi / 32 * (d**4 - (d - 2 * rail.thickness) ** 4),
    )


def _slot_bar(rail: SlotRail) -> RailSection:
    """What a T-nut's bolt goes through is the lips."""
    bar = rail.extrusion
    outline, holes = slot_rail_contours(rail)
    depth = bar.size * rail.cells
    return RailSection(
        depth=depth,
        web_thickness=bar.lip_thickness,
        outline=outline,
        holes=holes,
        web_flat=(bar.corner_radius - depth, -bar.corner_radius),
        back_flat=None,
        covers=(Cover("web", (0.0, -depth), (bar.size, 0.0)),),
        torsion_mm4=rail.torsion_mm4,
        slots=tuple(_slot(bar, -bar.size * (cell + 0.5)) for cell in range(rail.cells)),
    )


def _slot(bar: Extrusion, y: float) -> Slot:
    return Slot(y, bar.slot_width, bar.slot_inner_width, bar.slot_depth, bar.lip_thickness)
