"""The outlines of the rails beside the channel, as they open inwards, in the rail's frame.

The frame: x is the world's y, away from the operator, with the web's outer face at x = 0; y is up with
the rail's top at y = 0. An outline runs counter-clockwise, its holes too.
"""

from __future__ import annotations

from mountgen.catalogue.rails import AngleRail, RectTubeRail, RoundTubeRail, SlotRail, ZRail
from mountgen.catalogue.sections import Corner, slot_bar_contours
from mountgen.geometry import Contour, circle, rounded

Drawn = tuple[Contour, tuple[Contour, ...]]
"""An outline and the holes in it."""


def z_outline(rail: ZRail) -> Contour:
    """The outline of a Z with its bends (mm)."""
    t, low, inner = rail.thickness, -rail.depth, rail.inside_radius
    outer = inner + t
    near = t - rail.bottom_flange
    lower: list[Corner] = [(near, low, 0.0), (t, low, outer), (t, -t, inner), (rail.top_flange, -t, 0.0)]
    upper: list[Corner] = [(rail.top_flange, 0.0, 0.0), (0.0, 0.0, outer), (0.0, low + t, inner)]
    return _contour([*lower, *upper, (near, low + t, 0.0)])


def angle_outline(rail: AngleRail) -> Contour:
    """The outline of an angle with its radii, its flange at the top or at the bottom (mm)."""
    t, b, low = rail.thickness, rail.flange_width, -rail.depth
    heel = rail.inside_radius + t if rail.forming == "formed" else 0.0
    flange: list[Corner] = [(0.0, low, heel), (b, low, 0.0), (b, low + t, rail.toe_radius)]
    upright: list[Corner] = [(t, low + t, rail.inside_radius), (t, 0.0, rail.toe_radius), (0.0, 0.0, 0.0)]
    corners = [*flange, *upright]
    if rail.flange_at == "top":
        corners = [(x, low - y, radius) for x, y, radius in reversed(corners)]
    return _contour(corners)


def rect_tube_contours(rail: RectTubeRail) -> Drawn:
    """Outline and hollow of a rectangular tube (mm)."""
    t, outer = rail.thickness, rail.outside_radius
    hollow = _box(t, t - rail.depth, rail.width - t, -t, max(outer - t, 0.0))
    return _box(0.0, -rail.depth, rail.width, 0.0, outer), (hollow,)


def round_tube_contours(rail: RoundTubeRail) -> Drawn:
    """Outline and hollow of a round tube (mm)."""
    centre = (rail.diameter / 2, -rail.diameter / 2)
    return circle(centre, rail.diameter), (circle(centre, rail.diameter - 2 * rail.thickness),)


def slot_rail_contours(rail: SlotRail) -> Drawn:
    """Outline and hollows of a T-slot bar (mm)."""
    size = rail.extrusion.size
    outline, holes = slot_bar_contours(rail.extrusion, rail.cells)
    right, up = size / 2, size * (0.5 - rail.cells)
    return outline.moved(right, up), tuple(hole.moved(right, up) for hole in holes)


def _contour(corners: list[Corner]) -> Contour:
    return rounded([(x, y) for x, y, _ in corners], [radius for _, _, radius in corners])


def _box(x0: float, y0: float, x1: float, y1: float, radius: float) -> Contour:
    return rounded([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], [radius] * 4)
