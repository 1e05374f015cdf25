"""Tool access: a straight key reaches every screw when the mount stands assembled on the line."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.assembly.room import Things, least_run, things_of
from mountgen.checks.clearances import site_boxes
from mountgen.checks.records import Check, Subject, at_least
from mountgen.checks.scene import Scene
from mountgen.detail.records import RAILS, Joint
from mountgen.layout.rules import KEY_ROOM

SOURCE = "ISO 2936 hexagon keys: short leg of a 5 mm key 33 mm (from memory)"
FITTED_LAST = frozenset({"measuring wheel"})
"""What goes on after the screws behind it are tight."""


def checks(scene: Scene) -> Iterator[Check]:
    pieces = things_of([(piece.instance, piece.box) for piece in scene.boxes])
    site = things_of(site_boxes(scene))
    free = {joint: _free_length(scene, joint, pieces, site) for joint in scene.detail.joints if joint.key}
    joint, room = min(free.items(), key=lambda item: item[1])
    title = f"straight room for the key at {joint.id} ({joint.title})"
    subject = Subject("tool_access", title, "mm", SOURCE)
    yield at_least(subject, room, KEY_ROOM, f"free {{}} mm more in front of {joint.id}")


def _free_length(scene: Scene, joint: Joint, pieces: Things, site: Things) -> float:
    """How far a key can be drawn straight back from the head before it meets anything."""
    hardware = {instance.name for instance in scene.detail.instances if instance.joint == joint.id}
    own = {member.instance for member in joint.members}
    others = pieces.but(*own, *hardware, *FITTED_LAST)
    room = least_run(joint.point, joint.direction, others)[0]
    if joint.members[0].instance in RAILS:
        return room
    return min(room, least_run(joint.point, joint.direction, site)[0])
