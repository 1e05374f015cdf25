"""The kinds of side rail beside the channel, and `Rail`, any of them.

Words: the rail's *web* is the wall the mount is bolted to; `depth` is the rail's height, top to bottom.
Every size is an outer one. Which way a rail points (`opens`) belongs to the line, not to the rail: a
record is written as it opens inwards, away from the operator.
"""

from __future__ import annotations

import math
import typing
from functools import cached_property
from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from mountgen.catalogue.records import ChannelRail, Extrusion, NotNegative, Positive, Record, require
from mountgen.geometry import Contour, Vec2, Vec3, Vertex

MOST_CORNERS = 20_000
"""Corners of a drawn contour, and hollows of a drawn section, that are read."""
DRAWN_OFF = 1e-3
"""mm that a drawn rail's numbers may be off one another."""
WEBLESS = frozenset({"round tube", "T-slot", "other"})
"""Drawn shapes without a wall to bolt to."""


class RailRecord(Record):
    """What every kind of rail says. `published` holds figures of the standard's own table, for the
    tests: area_mm2, i_strong_mm4 and i_weak_mm4 (principal axes), i_xx_mm4 (bending up and down),
    i_yy_mm4 (sideways), torsion_mm4, centroid_mm, mass_kg_per_m."""

    title: str
    standard: str
    published: dict[str, float] = Field(default_factory=dict)


class ZRail(RailRecord):
    """A Z bent from sheet: the top flange points as the rail opens, the bottom flange the other way.

    Flange widths are measured over the web, from its far face to the flange's free edge.
    """

    kind: Literal["z"] = "z"
    depth: Positive
    top_flange: Positive
    bottom_flange: Positive
    thickness: Positive
    inside_radius: NotNegative
    material: str

    @model_validator(mode="after")
    def _can_be_drawn(self) -> Self:
        bend = self.thickness + self.inside_radius
        require(
            ("the web needs a flat part", self.depth > 2 * bend),
            ("the top flange must reach past its bend", self.top_flange > bend),
            ("the bottom flange must reach past its bend", self.bottom_flange > bend),
        )
        return self


class AngleRail(RailRecord):
    """An angle: the mount is bolted to the upright leg, the other leg is the flange.

    'formed' is bent from sheet (outer radius one thickness over the inside radius, square toes);
    'hot_rolled' has a sharp heel, a root fillet of `inside_radius` and toes of `toe_radius`.
    """

    kind: Literal["angle"] = "angle"
    forming: Literal["formed", "hot_rolled"]
    depth: Positive
    flange_width: Positive
    flange_at: Literal["top", "bottom"]
    thickness: Positive
    inside_radius: NotNegative
    toe_radius: NotNegative = 0.0
    material: str

    @model_validator(mode="after")
    def _can_be_drawn(self) -> Self:
        ends = self.thickness + self.inside_radius + self.toe_radius
        require(
            ("a formed angle has no toe radius", self.forming == "hot_rolled" or not self.toe_radius),
            ("the upright leg needs a flat part", self.depth > ends),
            ("the flange must reach past its radii", self.flange_width > ends),
            ("the toe must be thicker than its radius", self.thickness > self.toe_radius),
        )
        return self


class FlatRail(RailRecord):
    """A flat bar on edge, its corners sharp."""

    kind: Literal["flat"] = "flat"
    depth: Positive
    thickness: Positive
    material: str

    @model_validator(mode="after")
    def _can_be_drawn(self) -> Self:
        require(("a flat bar on edge is deeper than it is thick", self.depth > self.thickness))
        return self


class RectTubeRail(RailRecord):
    """A square or rectangular tube, `width` across the line. The corners' inner radius is the outer one
    less the thickness."""

    kind: Literal["rect_tube"] = "rect_tube"
    depth: Positive
    width: Positive
    thickness: Positive
    outside_radius: NotNegative
    material: str

    @model_validator(mode="after")
    def _can_be_drawn(self) -> Self:
        least = min(self.depth, self.width)
        require(
            ("the walls must leave a hollow", least > 2 * self.thickness),
            ("every wall needs a flat part", least > 2 * self.outside_radius),
        )
        return self


class RoundTubeRail(RailRecord):
    """A round tube: nothing bolts to it flat; it is clamped."""

    kind: Literal["round_tube"] = "round_tube"
    diameter: Positive
    thickness: Positive
    material: str

    @model_validator(mode="after")
    def _can_be_drawn(self) -> Self:
        require(("the wall must leave a hollow", self.diameter > 2 * self.thickness))
        return self


class SlotRail(RailRecord):
    """A T-slot bar: `cells` squares of one extrusion, one above another, with a slot each to the
    operator. In a file `extrusion` is a name in profiles/extrusions. `torsion_mm4` is the bar's torsion
    constant, as the drawing alone does not give it."""

    kind: Literal["slot"] = "slot"
    extrusion: Extrusion
    cells: int = Field(ge=1, le=8)
    torsion_mm4: Positive

    @property
    def material(self) -> str:
        return self.extrusion.material


class DrawnPart(BaseModel):
    """A table inside a drawn rail's file."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class DrawnWeb(DrawnPart):
    """The wall to bolt to: its flat faces from low to high, on the plain side and on the flange side
    (missing where nobody could tell)."""

    thickness: Positive
    plain: Vec2
    inner: Vec2 | None = None


class DrawnFlange(DrawnPart):
    """A wall across an end of the web; `reach` is from the web's outer face on that side."""

    at: Literal["top", "bottom"]
    side: Literal["left", "right"]
    thickness: Positive
    reach: Positive


class DrawnSlot(DrawnPart):
    """A T-slot: the side it opens to, its middle along that side, `opening` between lips of thickness
    `lip`, `inner_width` behind them, `depth` from the face."""

    side: Literal["left", "right", "up", "down"]
    middle: float
    opening: Positive
    lip: Positive
    inner_width: Positive
    depth: Positive


class DrawnRail(RailRecord):
    """A rail read from a drawing. Contours are corners [x, y, bulge], counter-clockwise, in the rail's
    frame: web's outer face (else the left edge) at x = 0, top at y = 0. `shape` is what was recognised."""

    kind: Literal["drawn"] = "drawn"
    shape: Literal["channel", "lipped channel", "angle", "Z", "flat", "tube", "round tube", "T-slot", "other"]
    material: str
    depth: Positive
    width: Positive
    thickness: Positive
    lip: NotNegative = 0.0
    outline: tuple[Vec3, ...] = Field(min_length=2, max_length=MOST_CORNERS)
    holes: tuple[tuple[Vec3, ...], ...] = Field(default=(), max_length=MOST_CORNERS)
    web: DrawnWeb | None = None
    flange: tuple[DrawnFlange, ...] = Field(default=(), max_length=4)
    slot: tuple[DrawnSlot, ...] = Field(default=(), max_length=64)

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        x0, y0, x1, y1 = self.outline_contour.bounds
        hollow = sum(hole.area for hole in self.hole_contours)
        require(
            ("the outline must run counter-clockwise", self.outline_contour.area > hollow),
            ("holes must run counter-clockwise", all(hole.area > 0 for hole in self.hole_contours)),
            ("depth must be that of the outline", math.isclose(y1 - y0, self.depth, abs_tol=DRAWN_OFF)),
            ("width must be that of the outline", math.isclose(x1 - x0, self.width, abs_tol=DRAWN_OFF)),
            ("the top must be at y = 0", abs(y1) < DRAWN_OFF),
            ("a web is needed by this shape", self.web is not None or self.shape in WEBLESS),
            ("a T-slot bar needs slots", bool(self.slot) or self.shape != "T-slot"),
        )
        return self

    @cached_property
    def outline_contour(self) -> Contour:
        return _contour(self.outline)

    @cached_property
    def hole_contours(self) -> tuple[Contour, ...]:
        return tuple(_contour(hole) for hole in self.holes)


def _contour(corners: tuple[Vec3, ...]) -> Contour:
    return Contour(tuple(Vertex(*corner) for corner in corners))


Rail = ChannelRail | ZRail | AngleRail | FlatRail | RectTubeRail | RoundTubeRail | SlotRail | DrawnRail

RAIL_KINDS: tuple[str, ...] = tuple(kind.model_fields["kind"].default for kind in typing.get_args(Rail))
"""What `kind` in a rail's file may be."""
