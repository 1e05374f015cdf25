"""Axis-parallel boxes of every piece of a mount, for the quick clearances, and how each piece moves.

A bent part is boxed flange by flange, so an angle is two thin boxes and not the block around it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from mountgen.detail.records import BoughtPart, Detail, ExtrusionPart, Instance, Part
from mountgen.geometry import Box, Placement
from mountgen.shapes import primitive_box
from mountgen.sheet.tree import Flange, SheetPart

Motion = Literal["fixed", "lift", "carriage"]
MOTIONS: dict[str, Motion] = {"cross joint": "lift", "sliding arm": "carriage", "head bracket": "carriage"}
"""What a sub-assembly does at a changeover: stays, goes up and down, or also goes in and out."""


@dataclass(frozen=True)
class PieceBox:
    """One box of one instance."""

    instance: str
    group: str
    joint: str
    box: Box

    @property
    def motion(self) -> Motion:
        return MOTIONS.get(self.group, "fixed")


def piece_boxes(detail: Detail) -> tuple[PieceBox, ...]:
    """Every instance as boxes in the detail's own world."""
    parts = detail.parts
    return tuple(
        PieceBox(instance.name, instance.group, instance.joint, box.placed(instance.placement))
        for instance in detail.instances
        for box in local_boxes(parts[instance.part], instance)
    )


def local_boxes(part: Part, instance: Instance) -> Iterator[Box]:
    """The boxes of a part in its own frame."""
    if isinstance(part, SheetPart):
        yield from _sheet_boxes(part)
    elif isinstance(part, ExtrusionPart):
        half = part.section.size / 2
        yield Box((-half, -half, 0.0), (half, half, part.length))
    elif isinstance(part, BoughtPart):
        for primitive in part.shape.add:
            yield primitive_box(primitive)
    else:
        raise TypeError(f"{instance.name} is no part")


def _sheet_boxes(part: SheetPart) -> Iterator[Box]:
    frames = {flange.name: frame for flange, frame in part.placed_flanges()}
    for flange, frame in part.placed_flanges():
        yield _flange_box(flange, frame, part.thickness)
        for bend in flange.bends:
            yield _bend_box(part.thickness, (flange, frame), frames[bend.child.name], bend.child)


def _flange_box(flange: Flange, frame: Placement, t: float) -> Box:
    x0, y0, x1, y1 = flange.outline.bounds
    return Box((x0, y0, 0.0), (x1, y1, t)).placed(frame)


def _bend_box(t: float, parent: tuple[Flange, Placement], child_frame: Placement, child: Flange) -> Box:
    """Around the four edges where the bend begins and ends: it bulges no farther than a corner would
    for bends up to 90 deg."""
    flange, frame = parent
    bend = next(b for b in flange.bends if b.child is child)
    starts = [frame.point((*end, z)) for end in (bend.start, bend.end) for z in (0.0, t)]
    ends = [child_frame.point((x, 0.0, z)) for x in (0.0, bend.width) for z in (0.0, t)]
    return Box.around([*starts, *ends])
