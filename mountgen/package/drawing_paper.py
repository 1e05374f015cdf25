"""The sheets of paper that drawings stand on, and the conventions that go with them.

Sources: ISO 216 and ISO 5457 (A4 upright, A3 lying, border 20 mm on the filing side and 10 mm on the
others); ASME Y14.1 for the sizes A (8.5 x 11 in) and B (11 x 17 in), which get the same borders here, so
that a sheet can be filed; ISO 5456-2 for first-angle and third-angle projection.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mountgen.geometry import Vec2
from mountgen.package.drawing_labels import Patch
from mountgen.units import System

Projection = Literal["first angle", "third angle"]

FILING, BORDER = 20.0, 10.0
BLOCK: Vec2 = (180.0, 40.0)
"""Size of the title block in the lower right corner (width: ISO 7200)."""
SCALES = (5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05)
"""ISO 5455, clause 5.1."""
CAPTION = 9.0
"""mm of paper over a view, for its name and scale."""
CLEAR = 4.0
"""mm kept free inside the frame and between parts of the sheet."""


@dataclass(frozen=True)
class Paper:
    """A sheet's name and its size, mm across and up."""

    name: str
    size: Vec2

    @property
    def space(self) -> Patch:
        """Inside of the frame."""
        return Patch((FILING, BORDER), (self.size[0] - BORDER, self.size[1] - BORDER))

    @property
    def block(self) -> Vec2:
        """Upper left corner of the title block."""
        return (self.space.high[0] - BLOCK[0], self.space.high[1] - BLOCK[1])

    @property
    def above_block(self) -> float:
        """y where the title block's clearance begins."""
        return self.block[1] - CLEAR - 1.0

    @property
    def is_upright(self) -> bool:
        return self.size[1] > self.size[0]


A4, A3 = Paper("A4", (210.0, 297.0)), Paper("A3", (420.0, 297.0))
SIZE_A, SIZE_B = Paper("A", (215.9, 279.4)), Paper("B", (431.8, 279.4))


@dataclass(frozen=True)
class Style:
    """How a shop wants its drawings: the small sheet, the large one, and the projection."""

    small: Paper
    large: Paper
    projection: Projection


ISO_STYLE = Style(A4, A3, "first angle")
US_STYLE = Style(SIZE_A, SIZE_B, "third angle")


def style_for(units: System) -> Style:
    """What is usual where people measure in mm, or in inches."""
    return US_STYLE if units == "in" else ISO_STYLE
