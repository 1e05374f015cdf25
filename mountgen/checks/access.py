"""Tool access: a straight key reaches every screw when the mount stands assembled on the line."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.checks.clearances import bed_box, guide_boxes, keepout_boxes, rail_boxes
from mountgen.checks.records import Check, Subject, at_least
from mountgen.checks.scene import Scene
from mountgen.detail.records import Joint
from mountgen.geometry import Box, Vec3
from mountgen.layout.rules import KEY_ROOM

SOURCE = "ISO 2936 hexagon keys: short leg of a 5 mm key 33 mm (from memory)"
KEY_RADIUS = 4.0
"""mm; half the corridor that a key and its ball end need."""

FITTED_LAST = frozenset({"measuring wheel"})
"""What goes on after the screws behind it are tight."""

LINED_UP = 200.0
"""mm; no more free length than this is looked for."""


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
    site = [*rail_boxes(scene), bed_box(scene), *guide_boxes(scene), *keepout_boxes(scene)]
    boxes = others + [box for _, box in site if joint.members[0].instance != "rail"]
    return min((_run(joint.point, joint.direction, box) for box in boxes), default=LINED_UP)


def _run(start: Vec3, direction: Vec3, box: Box) -> float:
    """Distance from `start` back along the joint's axis to where the corridor meets a box."""
    enter, leave = 0.0, LINED_UP
    for axis in range(3):
        low, high = box.low[axis] - KEY_RADIUS, box.high[axis] + KEY_RADIUS
        back = -direction[axis]
        if abs(back) < 1e-9:
            if not low < start[axis] < high:
                return LINED_UP
            continue
        one, other = (box.low[axis] - start[axis]) / back, (box.high[axis] - start[axis]) / back
        enter, leave = max(enter, min(one, other)), min(leave, max(one, other))
    return enter if enter < leave else LINED_UP
