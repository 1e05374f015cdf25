"""The other hand of a mount: mirrored in x = 0, with no bought part, thread or text mirrored.

A bent part's mirror image is another part: it gets the other hand's number and flat. A flat plate's mirror
image is the same plate turned over, so it keeps its number and is placed turned over. Bars and bought
parts are the same again in their mirrored place; a device's features were mirrored when the line was
turned into the working view, so its shape is mirrored back to the real device's, which fits its holes.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from mountgen.detail.cables import mirrored_cable
from mountgen.detail.records import Detail, Instance, Joint
from mountgen.geometry import Placement, Vec3
from mountgen.shapes import mirrored_shape
from mountgen.sheet.tree import SheetPart, mirrored_part
from mountgen.survey.records import Flow

RIGHT, LEFT = "-R", "-L"


def in_world(detail: Detail, flow: Flow) -> Detail:
    """A detail of the working view in the survey's own world, its bent parts numbered by hand."""
    return mirrored(detail) if flow == "right_to_left" else handed(detail)


def handed(detail: Detail) -> Detail:
    """The detail with its bent parts numbered as the right hand: the mast right of the head."""
    return _renumbered(detail, RIGHT)


def mirrored(detail: Detail) -> Detail:
    """The left-hand mount: mast left of the head."""
    plates = {part.number: part for part in detail.sheets if not part.root.bends}
    sheets = tuple(p if p.number in plates else mirrored_part(p) for p in detail.sheets)
    flipped = replace(
        detail,
        sheets=sheets,
        bought=tuple(replace(part, shape=mirrored_shape(part.shape)) for part in detail.bought),
        instances=tuple(_mirrored_instance(i, plates.get(i.part)) for i in detail.instances),
        joints=tuple(_mirrored_joint(joint) for joint in detail.joints),
        rail_holes=tuple(replace(hole, x=-hole.x) for hole in detail.rail_holes),
        cables=tuple(mirrored_cable(cable) for cable in detail.cables),
        floor_holes=tuple(replace(hole, x=-hole.x) for hole in detail.floor_holes),
    )
    return _renumbered(flipped, LEFT)


def _renumbered(detail: Detail, suffix: str) -> Detail:
    hand: Literal["left", "right"] = "right" if suffix == RIGHT else "left"
    bent = {part.number for part in detail.sheets if part.root.bends}
    sheets = tuple(
        replace(part, number=part.number + suffix, hand=hand) if part.number in bent else part
        for part in detail.sheets
    )
    instances = tuple(replace(i, part=i.part + suffix) if i.part in bent else i for i in detail.instances)
    return replace(detail, sheets=sheets, instances=instances)


def _mirrored_instance(instance: Instance, flat: SheetPart | None) -> Instance:
    place = instance.placement.mirrored()
    if flat is not None:
        place = place.then(turned_over(flat.thickness))
    return replace(instance, placement=place)


def turned_over(thickness: float) -> Placement:
    """A flat plate turned over about its own y: x and z change sides, the plate fills the same space."""
    return Placement((0.0, 0.0, thickness), (-1.0, 0.0, 0.0), (0.0, 0.0, -1.0))


def _mirrored_joint(joint: Joint) -> Joint:
    return replace(joint, point=_flip(joint.point), direction=_flip(joint.direction))


def _flip(vector: Vec3) -> Vec3:
    return (-vector[0], vector[1], vector[2])
