"""The section of a rail that was read from a drawing: covers and torsion from its outline and its walls.

Frame and words are those of `rail_view`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from mountgen.catalogue.rail_view import Cover, Opens, RailSection, Slot, Span, turned_out
from mountgen.catalogue.rails import DrawnFlange, DrawnRail
from mountgen.geometry import COINCIDENT, Contour
from mountgen.mechanics.sections import section_properties, torsion_constant_open, torsion_constant_tube

CLOSED = frozenset({"tube", "round tube", "T-slot"})
ON_FACE = 1e-3
"""mm from x = 0 at which a drawn edge lies in the web's outer face."""
STEEPEST = 0.5
"""Rise of a flange's inner face over its length, at most."""
ALIKE = 0.01
"""Walls whose thicknesses differ by less than this share are of one sheet."""


def drawn_section(rail: DrawnRail, opens: Opens) -> RailSection:
    """The section of a drawn rail that opens `opens` on its line (lengths in mm).

    The way that its upper flange points in the drawing counts as in when it points to +x. Without a
    flange the section is the same either way.
    """
    section = RailSection(
        depth=rail.depth,
        web_thickness=_web_thickness(rail),
        outline=rail.outline_contour,
        holes=rail.hole_contours,
        web_flat=_web_flat(rail),
        back_flat=None if rail.web is None or rail.shape in CLOSED else rail.web.inner,
        covers=tuple(_covers(rail)),
        torsion_mm4=_torsion(rail),
        slots=tuple(_slots(rail)),
    )
    turned = _opens_as_drawn(rail) not in (None, opens)
    return turned_out(section, rail.lip) if turned and not section.is_closed else section


def _opens_as_drawn(rail: DrawnRail) -> Opens | None:
    """Which way the drawing's upper flange points, else its lower one; None without flanges."""
    flanges = sorted(rail.flange, key=lambda flange: flange.at != "top")
    if not flanges:
        return None
    return "in" if flanges[0].side == "right" else "out"


def _web_thickness(rail: DrawnRail) -> float:
    """What a bolt goes through: the web, else a T-slot's lips, else the usual wall."""
    if rail.web is not None:
        return rail.web.thickness
    return min((slot.lip for slot in rail.slot if slot.side == "left"), default=rail.thickness)


def _web_flat(rail: DrawnRail) -> Span:
    """The web's plain side; a T-slot bar's face from its lowest edge to its highest. Where nothing is
    flat, the one height halfway up."""
    if rail.web is not None:
        return rail.web.plain
    edges = [pair for pair in rail.outline_contour.segments() if pair[0].bulge == 0.0]
    heights = [v.y for pair in edges if all(abs(v.x) < ON_FACE for v in pair) for v in pair]
    if rail.shape != "T-slot" or not heights:
        return -rail.depth / 2, -rail.depth / 2
    return min(heights), max(heights)


def _slots(rail: DrawnRail) -> Iterator[Slot]:
    """The slots to the operator, from the top down."""
    ours = (slot for slot in rail.slot if slot.side == "left")
    for slot in sorted(ours, key=lambda slot: -slot.middle):
        yield Slot(slot.middle, slot.opening, slot.inner_width, slot.depth, slot.lip)


def _covers(rail: DrawnRail) -> Iterator[Cover]:
    """Web, flanges at their thickest, lips, and a square at every inner corner for its fillet; a box
    around everything where the walls are not known."""
    if rail.web is None or rail.shape in CLOSED:
        x0, _, x1, _ = rail.outline_contour.bounds
        yield Cover("web", (x0, -rail.depth), (x1, 0.0))
        return
    yield Cover("web", (0.0, -rail.depth), (rail.web.thickness, 0.0))
    for flange in rail.flange:
        for cover in _flange_covers(rail, rail.web.thickness, flange):
            yield _standing(cover, rail, flange)


def _flange_covers(rail: DrawnRail, web: float, flange: DrawnFlange) -> Iterator[Cover]:
    """A flange with its roots as if it stood at the top and pointed to the right."""
    reach, lip = flange.reach, rail.lip
    thick = max(_thickness(rail, flange, web), flange.thickness)
    fillet = max(_flat_from(rail, flange) - thick, 0.0)
    yield Cover("flange", (0.0, -thick), (reach, 0.0))
    if lip:
        yield Cover("lip", (reach - flange.thickness, -lip), (reach, 0.0))
    if fillet > COINCIDENT:
        yield Cover("root", (web, -thick - fillet), (web + fillet, -thick))
        if lip:
            inner = reach - flange.thickness
            yield Cover("lip root", (inner - fillet, -thick - fillet), (inner, -thick))


def _standing(cover: Cover, rail: DrawnRail, flange: DrawnFlange) -> Cover:
    """A cover of `_flange_covers` where its flange stands."""
    assert rail.web is not None
    (x0, y0), (x1, y1) = cover.low, cover.high
    if flange.side == "left":
        x0, x1 = rail.web.thickness - x1, rail.web.thickness - x0
    if flange.at == "bottom":
        y0, y1 = -rail.depth - y1, -rail.depth - y0
    return Cover(f"{flange.at} {cover.name}", (x0, y0), (x1, y1))


def _flat_from(rail: DrawnRail, flange: DrawnFlange) -> float:
    """mm from the flange's end of the rail to where the web's flat begins, on the flange's side."""
    assert rail.web is not None
    span = rail.web.plain if flange.side == "left" else rail.web.inner or rail.web.plain
    return -span[1] if flange.at == "top" else span[0] + rail.depth


def _thickness(rail: DrawnRail, flange: DrawnFlange, along: float) -> float:
    """A flange's thickness without its radii at a distance (mm) from the web's outer face on its side: a
    taper's inner face runs on beyond its ends."""
    web = rail.thickness if rail.web is None else rail.web.thickness
    face = _inner_face(rail.outline_contour, (web, rail.depth), flange)
    if face is None:
        return flange.thickness
    (ax, ay), (bx, by) = face
    x = along if flange.side == "right" else web - along
    y = ay + (by - ay) / (bx - ax) * (x - ax)
    return -y if flange.at == "top" else y + rail.depth


def _inner_face(outline: Contour, sizes: Span, flange: DrawnFlange) -> tuple[Span, Span] | None:
    """The longest edge of a flange that looks to the middle of the rail; the metal lies on its left."""
    web, depth = sizes
    found = []
    for a, b in outline.segments():
        along, rise = b.x - a.x, b.y - a.y
        looking = along > 0.0 if flange.at == "top" else along < 0.0
        at_end = ((a.y + b.y) / 2 > -depth / 2) == (flange.at == "top")
        beside = ((a.x + b.x) / 2 > web / 2) == (flange.side == "right")
        if a.bulge == 0.0 and looking and at_end and beside and abs(rise) <= STEEPEST * abs(along):
            found.append((abs(along), ((a.x, a.y), (b.x, b.y))))
    return max(found)[1] if found else None


def _torsion(rail: DrawnRail) -> float:
    """The torsion constant (mm4): Bredt's for tubes, the open strips' for what has walls.

    A T-slot bar gets half of St Venant's estimate for solid sections, A^4 / (40 I_p): less than finite
    elements give for every bar in profiles.
    """
    outline, holes = rail.outline_contour, rail.hole_contours
    properties = section_properties(outline, holes)
    polar = properties.i_xx + properties.i_yy
    match rail.shape:
        case "round tube":
            return polar
        case "tube":
            hollow = max(holes, key=lambda hole: hole.area)
            middle = (outline.length + hollow.length) / 2
            return torsion_constant_tube(middle, (outline.area + hollow.area) / 2, rail.thickness)
        case "T-slot":
            return properties.area**4 / (80.0 * polar)
        case _:
            return torsion_constant_open(_strips(rail, properties.area))


def _strips(rail: DrawnRail, area: float) -> list[Span]:
    """Length and thickness of every wall, a tapered one's at half its overhang; one strip of the whole area
    when all are of one sheet."""
    t = rail.thickness if rail.web is None else rail.web.thickness
    flanges = [(flange.reach, _thickness(rail, flange, (t + flange.reach) / 2)) for flange in rail.flange]
    if all(math.isclose(thick, t, rel_tol=ALIKE) for _, thick in flanges):
        return [(area / t, t)]
    web = (rail.depth - sum(thick for _, thick in flanges) / 2, t)
    return [web, *((reach - t / 2, thick) for reach, thick in flanges)]
