"""Axis-parallel boxes of every piece of a mount, for the quick clearances, and how each piece moves.

A bent part is boxed flange by flange, so an angle is two thin boxes and not the block around it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mountgen.detail.records import Detail
from mountgen.geometry import Box

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
        for box in parts[instance.part].boxes
    )
