"""A bridge's far side as the near one's mirror image: places, members, forces and couples."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from mountgen.geometry import Vec3
from mountgen.mechanics.frame import End, Member


def mirrored(at: Vec3, far: float = 0.0) -> Vec3:
    """A place or a force mirrored in the plane y = far / 2."""
    return at[0], far - at[1], at[2]


def mirrored_couple(couple: Vec3) -> Vec3:
    """A couple or a turn, which is an axial vector, mirrored in a plane of constant y."""
    return -couple[0], couple[1], -couple[2]


def mirrored_member(member: Member, name: str, nodes: Mapping[str, str]) -> Member:
    """A member between the far side's nodes; its springs act about its own axes and stay as they are."""
    return replace(
        member,
        name=name,
        start=nodes[member.start],
        end=nodes[member.end],
        start_end=_mirrored_end(member.start_end),
        end_end=_mirrored_end(member.end_end),
    )


def _mirrored_end(end: End) -> End:
    return replace(end, offset=mirrored(end.offset))
