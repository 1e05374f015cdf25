"""Where the parts of a step stand in its picture: apart, each on the line along which it comes in.

On the bench the parts of a sub-assembly stand off the first one along their joints. On the line the pieces
stand back along their way in from the parts that they are fastened to; their screws stand in front of them.
"""

from __future__ import annotations

from dataclasses import replace

from mountgen.assembly.records import Step
from mountgen.assembly.units import SET_NUTS
from mountgen.detail.exploded import explosion
from mountgen.detail.records import RAILS, Detail, Instance, Joint
from mountgen.geometry import COINCIDENT, Vec3, add, dot, scale, subtract

STOOD_BACK = 60.0
"""mm that a piece stands back from its place on the line."""
SCREW_BACK, NUT_AHEAD = 30.0, 22.0
"""mm that the screw of a joint stands in front of it, and its nut behind."""
STAY: Vec3 = (0.0, 0.0, 0.0)


def stands(detail: Detail, step: Step) -> dict[str, Vec3]:
    """How far every instance that the step shows is moved from its place, mm, in the order of the detail."""
    return _on_bench(detail, step) if step.on_bench else _on_line(detail, step)


def members_of(detail: Detail, joint_id: str) -> set[str]:
    """The parts that a joint holds together; the rail is none of the mount's."""
    named = (joint for joint in detail.joints if joint.id == joint_id)
    return {member.instance for joint in named for member in joint.members} - RAILS


def _on_bench(detail: Detail, step: Step) -> dict[str, Vec3]:
    parts = set(step.instances)
    held = {i.name for i in detail.instances if not i.joint}
    inner = {j.id for j in detail.joints if members_of(detail, j.id) & held <= parts}
    inner -= {j.id for j in detail.joints if any(member.instance in RAILS for member in j.members)}
    shown = tuple(i for i in detail.instances if i.name in parts or i.joint in inner)
    joints = tuple(joint for joint in detail.joints if joint.id in inner)
    return explosion(replace(detail, instances=shown, joints=joints), step.moves[0].piece)


def _on_line(detail: Detail, step: Step) -> dict[str, Vec3]:
    """Pieces with what was tightened on the bench, the parts that hold them, and the step's fasteners."""
    back = {
        name: scale(move.direction, -STOOD_BACK)
        for move, names in zip(step.moves, step.pieces, strict=True)
        if move.direction is not None
        for name in names
    }
    joints = {joint.id: joint for joint in detail.joints}
    mates = {name for id_ in step.fastenings for name in members_of(detail, id_)}
    found: dict[str, Vec3] = {}
    for instance in detail.instances:
        name = instance.name
        if name in back or name in mates:
            found[name] = back.get(name, STAY)
        elif instance.joint in step.fastenings:
            found[name] = _fastener(instance, joints[instance.joint], back)
        elif instance.joint and _goes_along(instance, joints[instance.joint], set(back)):
            found[name] = back[joints[instance.joint].members[-1].instance]
    return found


def _goes_along(instance: Instance, joint: Joint, moved: set[str]) -> bool:
    """Whether a fastener is in its piece already: tightened on the bench, or a nut set for a later joint."""
    members = {member.instance for member in joint.members}
    is_set = instance.name.endswith(SET_NUTS) and joint.members[-1].instance in moved
    return is_set or (members - {instance.name} <= moved)


def _fastener(instance: Instance, joint: Joint, back: dict[str, Vec3]) -> Vec3:
    first, last = (back.get(joint.members[k].instance, STAY) for k in (0, -1))
    if instance.name.endswith(SET_NUTS):
        return last
    along = dot(subtract(instance.placement.origin, joint.point), joint.direction)
    if along <= COINCIDENT:
        return add(first, scale(joint.direction, -SCREW_BACK - (14.0 if "screw" in instance.name else 0.0)))
    return add(last, scale(joint.direction, NUT_AHEAD + (10.0 if instance.name.endswith(" nut") else 0.0)))
