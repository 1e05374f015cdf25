"""The walls of a rail as the middle line of its sheet, for torsion: channels, lipped channels, Z and angles.

The frame is the rail's (`rail_view`), the rail as it opens inwards.
"""

from __future__ import annotations

from mountgen.catalogue.rails import AngleRail, Rail, ZRail
from mountgen.catalogue.records import ChannelRail
from mountgen.geometry import Vec2
from mountgen.mechanics.torsion import Walls, formed_channel_walls, rolled_channel_walls


def rail_walls(profile: Rail) -> Walls | None:
    """The walls of an open rail, top at y = 0; None for what is no open thin section, and for drawn rails,
    whose walls are not known one by one."""
    if isinstance(profile, ChannelRail):
        return _channel(profile)
    if isinstance(profile, ZRail):
        t, low = profile.thickness, profile.thickness / 2 - profile.depth
        web = ((t / 2, -t / 2), (t / 2, low))
        return Walls(((profile.top_flange, -t / 2), *web, (t - profile.bottom_flange, low)), (t, t, t))
    if isinstance(profile, AngleRail):
        return _angle(profile)
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
