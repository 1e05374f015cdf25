"""Axis-parallel boxes of every piece of a mount, for the quick clearances, and how each piece moves.

A bent part is boxed flange by flange, so an angle is two thin boxes and not the block around it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from mountgen.detail.records import BoughtPart, Detail, Part
from mountgen.geometry import Box, Placement
from mountgen.shapes import placed_box
from mountgen.sheet.edges import edges_of
from mountgen.sheet.tree import SheetPart, bend_corners

Motion = Literal["fixed", "lift", "carriage"]
MOTIONS: dict[str, Motion] = {
    "cross joint": "lift",
    "far cross joint": "lift",
    "beam unit": "lift",
    "sliding arm": "carriage",
    "head bracket": "carriage",
}
"""What a sub-assembly does at a changeover: stays, goes up and down, or also goes in and out."""


SQUARE = 1e-9
"""An axis is square to the world's where its parts are 0 and 1 within this."""


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
        PieceBox(instance.name, instance.group, instance.joint, box)
        for instance in detail.instances
        for box in _placed(parts[instance.part], instance.placement)
    )


def _placed(part: Part, place: Placement) -> Iterator[Box]:
    """A part's boxes where it stands; what stands askew is boxed by its flanges' corners and its cylinders,
    which is closer than a box around its boxes."""
    square = all(any(abs(abs(value) - 1) < SQUARE for value in axis) for axis in (place.x_axis, place.z_axis))
    if isinstance(part, BoughtPart) and not square:
        yield from (placed_box(primitive, place) for primitive in part.shape.add)
    elif isinstance(part, SheetPart) and not square:
        yield from _askew(part, place)
    else:
        yield from (box.placed(place) for box in part.boxes)


def _askew(part: SheetPart, place: Placement) -> Iterator[Box]:
    t, frames = part.thickness, {flange.name: place.then(inner) for flange, inner in part.placed_flanges()}
    for flange, _ in part.placed_flanges():
        frame, spots = frames[flange.name], [edge.start for edge in edges_of(flange.outline)]
        yield Box.around(frame.point((*spot, z)) for spot in spots for z in (0.0, t))
        for bend in flange.bends:
            yield Box.around(bend_corners(t, bend, frame, frames[bend.child.name]))
