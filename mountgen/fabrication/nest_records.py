"""What a nest is made from and what comes out of it. Lengths in mm, areas in mm2.

Words. A *sheet's* datum is its lower left corner, its length lies along x and so does its grain. The
*remaining strip* is the larger of the two rectangles that are left beyond the last part: over the full width
at the far end, or over the full length along the top.
"""

from __future__ import annotations

from dataclasses import dataclass

from mountgen.geometry import Contour, Vec2, cos_deg, sin_deg
from mountgen.shop.records import StockSheet


@dataclass(frozen=True)
class NestPiece:
    """A flat to be nested. `area` is what is left of it (less its holes); `grain`: its x axis must lie along
    the sheet's grain."""

    number: str
    outline: Contour
    area: float
    quantity: int = 1
    grain: bool = False


@dataclass(frozen=True)
class Placed:
    """One copy on its sheet: turned counter-clockwise about the flat's own origin, then moved. Never
    mirrored."""

    number: str
    turn_deg: float
    dx: float
    dy: float

    def contour(self, drawn: Contour) -> Contour:
        """A contour of the flat, as it lies on the sheet."""
        return drawn.turned(self.turn_deg).moved(self.dx, self.dy)

    def point(self, drawn: Vec2) -> Vec2:
        """A point of the flat, as it lies on the sheet."""
        c, s = cos_deg(self.turn_deg), sin_deg(self.turn_deg)
        return (c * drawn[0] - s * drawn[1] + self.dx, s * drawn[0] + c * drawn[1] + self.dy)


@dataclass(frozen=True)
class Strip:
    """A rectangle of the sheet from its low corner (x, y)."""

    x: float
    y: float
    length: float
    width: float

    @property
    def area(self) -> float:
        return self.length * self.width


@dataclass(frozen=True)
class NestedSheet:
    """One stock sheet with the parts on it, in the order in which they were laid; `part_area` is theirs."""

    stock: StockSheet
    placed: tuple[Placed, ...]
    part_area: float
    remaining: Strip

    @property
    def area(self) -> float:
        return self.stock.length * self.stock.width

    @property
    def share_used(self) -> float:
        """Parts over sheet, 0 to 1: the yield."""
        return self.part_area / self.area

    @property
    def scrap(self) -> float:
        """Area that is neither part nor remaining strip."""
        return self.area - self.part_area - self.remaining.area


@dataclass(frozen=True)
class Nest:
    """The sheets of one material and thickness. `least_area` is an area of sheets that no nest can do with
    less than: the cheapest set of sheets between whose margins the outlines' areas would fit."""

    sheets: tuple[NestedSheet, ...]
    least_area: float

    @property
    def area(self) -> float:
        return sum(sheet.area for sheet in self.sheets)

    @property
    def proven_minimal(self) -> bool:
        """Whether no choice of sheets can have less area."""
        return self.area <= self.least_area * (1 + 1e-9)
