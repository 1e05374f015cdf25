"""The cross-sections of rails and extrusions as contours, drawn from their catalogue numbers.

A rail's frame: x is the world's y for a channel that opens inwards (the web's outer face at x = 0,
flanges towards +x), y is up with the top edge at y = 0 and the bottom at y = -depth. An extrusion's
frame: origin at the middle of the bar.

Words: a channel's *flange side* is the hollow one, its *plain side* the web's outer face; the *toe* is
the flange's free edge, the *root* where it meets the web.
"""

from __future__ import annotations

import math
from typing import Literal

from mountgen.catalogue.records import ChannelRail, Extrusion
from mountgen.geometry import Contour, Vec2, circle, polygon, rectangle, rounded

Corner = tuple[float, float, float]
"""x, y and the radius of one corner."""


def rail_outline(rail: ChannelRail) -> Contour:
    """The channel's outline, counter-clockwise, with its radii, taper and lips (mm)."""
    lower = _formed_half(rail) if rail.forming == "formed" else _hot_rolled_half(rail)
    upper = [(x, -rail.depth - y, radius) for x, y, radius in reversed(lower)]
    corners = [*lower, *upper]
    return rounded([(x, y) for x, y, _ in corners], [radius for _, _, radius in corners])


def flat_web(rail: ChannelRail, side: Literal["flange", "plain"] = "flange") -> tuple[float, float]:
    """Where the web is flat on one side: (low, high) in mm below the top edge, both negative or zero.

    The flange side ends at the root radii; what lies flat there lies flat on the plain side too, which
    in a formed channel ends at the bends' outer radii and in a hot-rolled one at its edges.
    """
    if rail.forming == "formed":
        edge = rail.web_thickness + rail.inside_radius
    elif side == "plain":
        edge = 0.0
    else:
        turn = math.pi / 2 - math.atan(rail.flange_slope)
        edge = flange_thickness_of(rail, rail.web_thickness) + rail.inside_radius * math.tan(turn / 2)
    return (edge - rail.depth, -edge)


def _formed_half(rail: ChannelRail) -> list[Corner]:
    """The lower half from the web's outer to its inner face: one thickness, bends of one radius."""
    t, b, low = rail.web_thickness, rail.flange_width, -rail.depth
    inner, outer = rail.inside_radius, rail.inside_radius + t
    root: Corner = (t, low + t, inner)
    if rail.lip == 0.0:
        return [(0.0, low, outer), (b, low, 0.0), (b, low + t, 0.0), root]
    return [
        (0.0, low, outer),
        (b, low, outer),
        (b, low + rail.lip, 0.0),
        (b - t, low + rail.lip, 0.0),
        (b - t, low + t, inner),
        root,
    ]


def _hot_rolled_half(rail: ChannelRail) -> list[Corner]:
    """The lower half from the web's outer to its inner face: tapered flange, root fillet, toe radius."""
    b, low = rail.flange_width, -rail.depth
    return [
        (0.0, low, 0.0),
        (b, low, 0.0),
        (b, low + flange_thickness_of(rail, b), rail.toe_radius),
        (rail.web_thickness, low + flange_thickness_of(rail, rail.web_thickness), rail.inside_radius),
    ]


def flange_thickness_of(rail: ChannelRail, x: float) -> float:
    """A channel's flange's thickness without its radii, at x from the web's outer face."""
    reference = rail.flange_thickness_at or rail.flange_width / 2
    return rail.flange_thickness + rail.flange_slope * (reference - x)


def extrusion_contours(extrusion: Extrusion) -> tuple[Contour, tuple[Contour, ...]]:
    """The bar's outline with its four slots, counter-clockwise, and its hollows: the core bore and the
    four corners' (mm)."""
    return slot_bar_contours(extrusion, 1)


def slot_bar_contours(extrusion: Extrusion, cells: int) -> tuple[Contour, tuple[Contour, ...]]:
    """Outline and hollows of `cells` squares of an extrusion one above another, origin in the middle of
    the lowest (mm). Where two squares meet, their slots close to one hollow."""
    right, top = _right_slot(extrusion), extrusion.size * (cells - 1)
    up = [(x, y + extrusion.size * cell) for cell in range(cells) for x, y in right]
    over = [(x, y + top) for x, y in _turned(right, 1)]
    down = [(-x, y) for x, y in reversed(up)]
    points: list[Vec2] = []
    radii: list[float] = []
    half = extrusion.size / 2
    corners = [(half, half + top), (-half, half + top), (-half, -half), (half, -half)]
    for side, corner in zip((up, over, down, _turned(right, 3)), corners, strict=True):
        points += [*side, corner]
        radii += [0.0] * len(side) + [extrusion.corner_radius]
    hollows = [*_core(extrusion), *_corner_voids(extrusion)]
    moved = [h.moved(0.0, extrusion.size * cell) for cell in range(cells) for h in hollows]
    return rounded(points, radii), (*moved, *_closed_slots(extrusion, cells))


def _closed_slots(extrusion: Extrusion, cells: int) -> list[Contour]:
    """The hollows between neighbouring squares: the lower one's top slot and the upper one's bottom."""
    right = _right_slot(extrusion)
    above = [(x, y + extrusion.size) for x, y in _turned(right, 3)]
    hollow = polygon([*_turned(right, 1)[1:-1], *above[1:-1]][::-1])
    return [hollow.moved(0.0, extrusion.size * cell) for cell in range(cells - 1)]


def _right_slot(extrusion: Extrusion) -> list[Vec2]:
    """The slot in the face x = size / 2, from its lower mouth corner in and out to the upper one. Its
    floor corners are cut at 45 deg so that a web of the wanted thickness stays on the diagonal."""
    half = extrusion.size / 2
    web = extrusion.web_thickness / math.sqrt(2)
    mouth, inner = extrusion.slot_width / 2, extrusion.slot_inner_width / 2
    behind, floor = half - extrusion.lip_thickness, half - extrusion.slot_depth
    lower = [
        (half, -mouth),
        (behind, -mouth),
        (behind, -inner),
        (inner + web, -inner),
        (floor, -(floor - web)),
    ]
    upper = [(x, -y) for x, y in reversed(lower)]
    return lower + upper


def _turned(points: list[Vec2], quarters: int) -> list[Vec2]:
    for _ in range(quarters):
        points = [(-y, x) for x, y in points]
    return points


def _core(extrusion: Extrusion) -> tuple[Contour, ...]:
    return (circle((0.0, 0.0), extrusion.core_bore),) if extrusion.core_bore else ()


def _corner_voids(extrusion: Extrusion) -> tuple[Contour, ...]:
    """Square hollows, centred in the solid square between two slots and the bar's corner."""
    side = extrusion.corner_void
    if side == 0.0:
        return ()
    middle = (extrusion.size + extrusion.slot_inner_width) / 4
    square = rectangle(middle - side / 2, middle - side / 2, middle + side / 2, middle + side / 2)
    return tuple(square.turned(90.0 * quarter) for quarter in range(4))
