"""The walls of a rail as the middle line of its sheet, for torsion: channels, lipped channels, Z and angles.

The frame is the rail's (`rail_view`), the rail as it opens inwards.
"""

from __future__ import annotations

from mountgen.catalogue.rails import AngleRail, DrawnRail, Rail, ZRail
from mountgen.catalogue.records import ChannelRail
from mountgen.geometry import Vec2
from mountgen.mechanics.torsion import Walls, formed_channel_walls, rolled_channel_walls


def rail_walls(profile: Rail) -> Walls | None:
    """The walls of an open rail, top at y = 0; None for what is no open thin section. A drawn rail has sharp
    corners and flanges of one thickness here: warping up to 8 % high in sheet, 30 % in tapered flanges."""
    if isinstance(profile, ChannelRail):
        return _channel(profile)
    if isinstance(profile, ZRail):
        t, low = profile.thickness, profile.thickness / 2 - profile.depth
        web = ((t / 2, -t / 2), (t / 2, low))
        return Walls(((profile.top_flange, -t / 2), *web, (t - profile.bottom_flange, low)), (t, t, t))
    if isinstance(profile, AngleRail):
        return _angle(profile)
    if isinstance(profile, DrawnRail) and profile.flange:
        return _drawn(profile)
    return None


def _channel(profile: ChannelRail) -> Walls:
    """Those of `torsion`, whose mid-depth is at y = 0, moved down by half the depth."""
    depth, width, web = profile.depth, profile.flange_width, profile.web_thickness
    if profile.forming == "formed":
        walls = formed_channel_walls(depth, width, web, profile.inside_radius, profile.lip)
    else:
        taper = (profile.flange_slope, profile.flange_thickness_at or None)
        walls = rolled_channel_walls(depth, width, web, profile.flange_thickness, *taper)
    return Walls(tuple((x, y - depth / 2) for x, y in walls.points), walls.thicknesses)


def _angle(profile: AngleRail) -> Walls:
    t, free, flange = profile.thickness, -profile.depth, profile.flange_width
    points: tuple[Vec2, ...] = ((flange, -t / 2), (t / 2, -t / 2), (t / 2, free))
    if profile.flange_at == "bottom":
        points = tuple((x, free - y) for x, y in points)
    return Walls(points, (t, t))


def _drawn(profile: DrawnRail) -> Walls:
    """Web, and at each of its ends the longest flange that is drawn there, with its lip."""
    assert profile.web is not None
    web = profile.web.thickness
    upper, upper_walls = _drawn_end(profile, "top")
    lower, lower_walls = _drawn_end(profile, "bottom")
    return Walls((*upper, *reversed(lower)), (*upper_walls, web, *reversed(lower_walls)))


def _drawn_end(profile: DrawnRail, at: str) -> tuple[list[Vec2], list[float]]:
    """From the tip of a flange to where it meets the web, and the walls between those points."""
    assert profile.web is not None
    web, flanges = profile.web.thickness, [flange for flange in profile.flange if flange.at == at]
    down = 1.0 if at == "top" else -1.0
    edge = 0.0 if at == "top" else -profile.depth
    if not flanges:
        return [(web / 2, edge)], []
    flange = max(flanges, key=lambda one: one.reach)
    thick, level = flange.thickness, edge - down * flange.thickness / 2
    reach = flange.reach - thick / 2 if profile.lip else flange.reach
    tip = reach if flange.side == "right" else web - reach
    points, walls = [(tip, level), (web / 2, level)], [thick]
    if profile.lip:
        return [(tip, edge - down * profile.lip), *points], [thick, *walls]
    return points, walls
