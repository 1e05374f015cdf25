"""Order of assembly: at every step the part comes in on a straight way and every screw takes its key."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.assembly.records import Assembly, Blocked
from mountgen.assembly.units import put_together
from mountgen.checks.access import SOURCE
from mountgen.checks.clearances import site_boxes
from mountgen.checks.records import Check, Subject, at_least
from mountgen.checks.scene import Scene
from mountgen.layout.rules import KEY_ROOM


def assembly_of(scene: Scene) -> Assembly:
    """The steps that put this mount together on this line."""
    return put_together(scene.detail, site_boxes(scene))


def checks(scene: Scene) -> Iterator[Check]:
    yield order_check(assembly_of(scene))


def order_check(assembly: Assembly) -> Check:
    """The least room of any key at the moment it is used, or what blocks the assembly."""
    if assembly.blocked is not None:
        return _blocked(assembly.blocked)
    room = min((move.room for step in assembly.steps for move in step.moves), default=KEY_ROOM)
    title = f"order of assembly in {len(assembly.steps)} steps: straight room for the key when it is used"
    return at_least(Subject("assembly_order", title, "mm", SOURCE), room, KEY_ROOM, "free {} mm more")


def _blocked(found: Blocked) -> Check:
    if found.fastening:
        title = f"order of assembly: the {found.blocker} is in the way of the key at {found.fastening}"
        remedy = f"free {{}} mm more in front of {found.fastening}: move the {found.blocker}"
    else:
        title = f"order of assembly: the {found.blocker} is in the way of the {found.piece} coming in"
        remedy = f"move the {found.blocker} {{}} mm aside for the {found.piece} to come in"
    return at_least(Subject("assembly_order", title, "mm", SOURCE), found.room, found.needed, remedy)
