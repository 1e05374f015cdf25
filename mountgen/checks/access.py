"""Tool access: a straight key reaches every screw when the mount stands assembled on the line."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.assembly.room import least_run
from mountgen.checks.clearances import site_boxes
from mountgen.checks.records import Check, Subject, at_least
from mountgen.checks.scene import Scene
from mountgen.detail.records import Joint
from mountgen.layout.rules import KEY_ROOM

SOURCE = "ISO 2936 hexagon keys: short leg of a 5 mm key 33 mm (from memory)"
FITTED_LAST = frozenset({"measuring wheel"})
"""What goes on after the screws behind it are tight."""


def checks(scene: Scene) -> Iterator[Check]:
    free = {joint: _free_length(scene, joint) for joint in scene.detail.joints if joint.key}
    joint, room = min(free.items(), key=lambda item: item[1])
    title = f"straight room for the key at {joint.id} ({joint.title})"
    subject = Subject("tool_access", title, "mm", SOURCE)
    yield at_least(subject, room, KEY_ROOM, f"free {{}} mm more in front of {joint.id}")


def _free_length(scene: Scene, joint: Joint) -> float:
    """How far a key can be drawn straight back from the head before it meets anything."""
    own = {member.instance for member in joint.members}
    away = own | FITTED_LAST
    others = [p.box for p in scene.boxes if p.joint != joint.id and p.instance not in away]
    site = site_boxes(scene)
    boxes = others + [box for _, box in site if joint.members[0].instance != "rail"]
    return least_run(joint.point, joint.direction, (("", box) for box in boxes))[0]
