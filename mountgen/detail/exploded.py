"""The mount pulled apart: every part moved off its neighbour along the axis of the joint between them.

The parts hang on each other as a tree, nearest to the root part first. A part stands off the one that it
hangs on by a step along their joint, on the side it is put on from; fasteners go further out along their
own joint, in the order in which they are put on.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from mountgen.detail.records import Detail, Instance, Joint
from mountgen.geometry import COINCIDENT, Vec3, add, dot, scale, subtract

ROOTS = ("rail angle", "base plate")
"""What all else hangs on: whichever of these a mount has."""
STEP = 55.0
"""mm between a part and the one that it hangs on."""
FASTENER_STEP = 14.0
"""mm between the fasteners of a joint."""
FARTHER = MappingProxyType({"controller bracket": 4.0, "encoder bracket": 2.0})
"""Parts that would hide others so near: how many steps they stand off."""
CARRIED = MappingProxyType(
    {
        "post cap": "post",
        "arm cap, operator end": "arm",
        "arm cap, line end": "arm",
        "far post cap": "far post",
        "beam cap, operator end": "beam",
        "beam cap, far end": "beam",
        "photo-eye": "photo-eye arm",
        "front eye nut": "photo-eye",
        "rear eye nut": "photo-eye arm",
        "receiver": "far eye bracket",
        "receiver's front eye nut": "receiver",
        "receiver's rear eye nut": "far eye bracket",
        "measuring wheel": "encoder",
        "encoder spring": "encoder bracket",
    }
)
"""What is held by no screw, and by which part."""


def exploded(detail: Detail) -> Detail:
    """The same detail with its instances moved apart."""
    shifts = explosion(detail)
    moved = (_moved(instance, shifts[instance.name]) for instance in detail.instances)
    return replace(detail, instances=tuple(moved))


def explosion(detail: Detail, root: str = "") -> dict[str, Vec3]:
    """How far every instance is moved off the root part, mm; '' is the mount's own."""
    root = root or next(i.name for i in detail.instances if i.name in ROOTS)
    shifts = _carried_along(detail, _part_shifts(detail, root))
    for joint in detail.joints:
        shifts.update(_fastener_shifts(detail, joint, shifts))
    return {instance.name: shifts.get(instance.name, (0.0, 0.0, 0.0)) for instance in detail.instances}


def _moved(instance: Instance, shift: Vec3) -> Instance:
    place = replace(instance.placement, origin=add(instance.placement.origin, shift))
    return replace(instance, placement=place)


def _part_shifts(detail: Detail, root: str) -> dict[str, Vec3]:
    """Parts that joints hold, reached from the root by the fewest joints."""
    names = {instance.name for instance in detail.instances}
    shifts: dict[str, Vec3] = {root: (0.0, 0.0, 0.0)}
    waiting = deque([root])
    while waiting:
        here = waiting.popleft()
        for joint in detail.joints:
            members = [member.instance for member in joint.members if member.instance in names]
            if here not in members:
                continue
            for other in members:
                if other not in shifts:
                    away = members.index(other) - members.index(here)
                    steps = away * FARTHER.get(other, 1.0)
                    shifts[other] = add(shifts[here], scale(joint.direction, STEP * steps))
                    waiting.append(other)
    return shifts


def _carried_along(detail: Detail, shifts: Mapping[str, Vec3]) -> dict[str, Vec3]:
    """Caps, nuts and the like stand off their carrier along their own axis, which points outwards."""
    found = dict(shifts)
    places = {instance.name: instance.placement for instance in detail.instances}
    for name, carrier in CARRIED.items():
        if name in places and carrier in found:
            found[name] = add(found[carrier], scale(places[name].z_axis, 2 * FASTENER_STEP))
    return found


def _fastener_shifts(detail: Detail, joint: Joint, shifts: Mapping[str, Vec3]) -> dict[str, Vec3]:
    """Screws and washers go back along the axis, the screw farthest; nuts go forward beyond the last member,
    but a T-nut to before the bar whose slot it slides into."""
    own = [i for i in detail.instances if i.joint == joint.id and i.name not in shifts]
    held = [shifts[member.instance] for member in joint.members if member.instance in shifts]
    if not own or not held:
        return {}
    first, last = (pick(held, key=lambda shift: dot(shift, joint.direction)) for pick in (min, max))
    ordered = sorted(own, key=lambda i: ("screw" in i.name, -_along(joint, i)))
    behind = [i for i in ordered if _along(joint, i) <= COINCIDENT]
    ahead = [i for i in reversed(ordered) if i not in behind]
    found = {i.name: _off(first, joint, -steps) for steps, i in enumerate(behind, 1)}
    for steps, fastener in enumerate(ahead, 1):
        found[fastener.name] = _off(last, joint, -1 if "T-nut" in fastener.name else steps)
    return found


def _off(shift: Vec3, joint: Joint, steps: int) -> Vec3:
    return add(shift, scale(joint.direction, FASTENER_STEP * steps))


def _along(joint: Joint, instance: Instance) -> float:
    return dot(subtract(instance.placement.origin, joint.point), joint.direction)
