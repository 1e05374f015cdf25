"""What a drawn section is: its contours in the rail's frame and what was recognised in them.

The rail's frame is that of the catalogue's channels: y is up with the top edge at y = 0, the web's outer
face stands at x = 0 with its flanges towards +x. Without a web the section begins at x = 0.

Words: a *wall* is metal between two straight faces; the *web* is the wall that the others stand on, its
*plain side* at x = 0; a *face* is a straight stretch of the outline; a *slot* is a T-slot.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from mountgen.geometry import Contour, Vec2, cos_deg, sin_deg
from mountgen.mechanics.sections import SectionProperties
from mountgen.section.unit import Unit

Kind = Literal["channel", "lipped channel", "angle", "Z", "flat", "tube", "round tube", "T-slot", "other"]
Side = Literal["left", "right", "up", "down"]
Line = tuple[Vec2, Vec2]


@dataclass(frozen=True)
class Frame:
    """How the drawing was brought into the rail's frame: turned, then moved."""

    turned_deg: float
    moved: Vec2

    def point(self, drawn: Vec2) -> Vec2:
        """A point of the drawing (mm) in the rail's frame."""
        c, s = cos_deg(self.turned_deg), sin_deg(self.turned_deg)
        x, y = drawn
        return (c * x - s * y + self.moved[0], s * x + c * y + self.moved[1])

    def drawn(self, point: Vec2) -> Vec2:
        """A point of the rail's frame where it stands in the drawing (mm)."""
        c, s = cos_deg(self.turned_deg), sin_deg(self.turned_deg)
        x, y = point[0] - self.moved[0], point[1] - self.moved[1]
        return (c * x + s * y, c * y - s * x)

    def contour(self, drawn: Contour) -> Contour:
        return drawn.turned(self.turned_deg).moved(*self.moved)


@dataclass(frozen=True)
class Face:
    """A straight stretch of the outline, from `start` to `end` with the metal on the left."""

    name: str
    start: Vec2
    end: Vec2

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end)

    @property
    def outward_deg(self) -> float:
        """Direction away from the metal: 0 to the right, 90 up; in [0, 360)."""
        turn = math.degrees(math.atan2(self.end[1] - self.start[1], self.end[0] - self.start[0])) - 90.0
        return round(turn, 6) % 360.0

    @property
    def side(self) -> Side:
        """Which way it faces, roughly."""
        sides: tuple[Side, ...] = ("right", "up", "left", "down")
        return sides[round(self.outward_deg / 90.0) % 4]


@dataclass(frozen=True)
class Web:
    """The wall that a bracket is bolted to: `plain` and `inner` are (low, high) in y of its flat faces,
    on the plain side and on the flange side; mm."""

    thickness: float
    plain: Vec2
    inner: Vec2

    @property
    def flat(self) -> Vec2:
        """Where both sides are flat: (low, high)."""
        return (max(self.plain[0], self.inner[0]), min(self.plain[1], self.inner[1]))


@dataclass(frozen=True)
class Flange:
    """A wall across the web's end: which end, which way it points, its thickness halfway along and how
    far it reaches from the web's outer face on that side (mm)."""

    at: Literal["top", "bottom"]
    side: Literal["left", "right"]
    thickness: float
    reach: float


@dataclass(frozen=True)
class TSlot:
    """A T-slot: the side it opens to, its middle along that side (x, or y for left and right), and its
    sizes: `opening` between the lips, `lip` thick, `inner_width` behind them, `depth` from the face."""

    side: Side
    middle: float
    opening: float
    lip: float
    inner_width: float
    depth: float


@dataclass(frozen=True)
class Section:
    """A rail's cross-section as drawn: contours counter-clockwise, in the rail's frame, mm."""

    path: Path
    kind: Kind
    outline: Contour
    holes: tuple[Contour, ...]
    thickness: float
    web: Web | None
    flanges: tuple[Flange, ...]
    lip: float
    """Outer length of a lipped channel's lips; 0 without."""
    faces: tuple[Face, ...]
    slots: tuple[TSlot, ...]
    properties: SectionProperties
    unit: Unit
    frame: Frame
    notes: tuple[str, ...]

    @property
    def depth(self) -> float:
        """Height of the section (mm)."""
        _, low, _, high = self.outline.bounds
        return high - low

    @property
    def width(self) -> float:
        """Extent across (mm)."""
        low, _, high, _ = self.outline.bounds
        return high - low

    @property
    def round_holes(self) -> tuple[tuple[Vec2, float], ...]:
        """Centre and diameter of every round hollow."""
        return tuple(found for hole in self.holes if (found := round_of(hole)) is not None)


def round_of(contour: Contour) -> tuple[Vec2, float] | None:
    """Centre and diameter of a contour of two half-turns, as full circles are kept here; else nothing."""
    if len(contour.vertices) != 2:
        return None
    a, b = contour.vertices
    if not (math.isclose(a.bulge, 1.0) and math.isclose(b.bulge, 1.0)):
        return None
    return ((a.x + b.x) / 2, (a.y + b.y) / 2), math.hypot(b.x - a.x, b.y - a.y)
