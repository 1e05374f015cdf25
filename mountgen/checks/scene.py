"""What the checks look at: one mount on one line, in the working view, with the boxes of all its pieces.

At a changeover pieces keep their shape and only move: the cross joint up and down, arm and head bracket
also in and out. So the boxes are taken once, at the first product's setting, and shifted for the others.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from mountgen.catalogue.reader import Catalogue
from mountgen.demand import Demand, Floats
from mountgen.detail.boxes import PieceBox, piece_boxes
from mountgen.detail.records import Detail
from mountgen.geometry import Box
from mountgen.layout.rail_mast import MastLayout, corner_products
from mountgen.shop.records import Shop
from mountgen.structure.joint_groups import Made, all_margins, rail_screws
from mountgen.structure.joint_strength import JointMargins
from mountgen.structure.rail_strength import RailTwist, WebStrain, rail_twist, web_strain
from mountgen.structure.records import Structure
from mountgen.structure.solve import analyse
from mountgen.structure.stand_strength import FloorLoad, floor_loads
from mountgen.survey.records import Survey
from mountgen.tolerance.budget import budget
from mountgen.tolerance.causes import Situation
from mountgen.tolerance.installation import Yard, installed
from mountgen.tolerance.records import Budget, Fit
from mountgen.tolerance.sprung import sprung

FAR = 1e5
"""mm; as good as endless."""


@dataclass(frozen=True)
class Scene:
    """A mount to check. `survey` is the working view, `detail` the first product's setting; what is computed
    of them is computed once, when first asked for."""

    survey: Survey
    demand: Demand
    layout: MastLayout
    detail: Detail
    catalogue: Catalogue
    shop: Shop

    @cached_property
    def boxes(self) -> tuple[PieceBox, ...]:
        return piece_boxes(self.detail)

    @cached_property
    def shifts(self) -> tuple[Floats, Floats]:
        """How far arm and head move in y and z from the first product's setting to each one's."""
        settings = self.layout.settings
        return settings.pivot_y - settings.pivot_y[0], settings.pivot_z - settings.pivot_z[0]

    def at(self, piece: PieceBox, product: int) -> Box:
        """A piece's box at a product's setting."""
        dy, dz = (float(shift[product]) for shift in self.shifts)
        return shifted(piece, dy, dz)

    @cached_property
    def structure(self) -> Structure:
        """The mount as a frame, solved at its corner poses."""
        return analyse(self.survey, self.demand, self.layout, self.detail, self.catalogue)

    @cached_property
    def budget(self) -> Budget:
        """The stand-off budget; with a sprung carriage where the fixed head does not hold the band."""
        situation = Situation(self.survey, self.demand, self.layout, self.structure)
        found, standoff = budget(situation), self.survey.standoff
        low, high = standoff.acceptable
        if float(found.worst.max()) <= min(standoff.target - low, high - standoff.target):
            return found
        return replace(found, sprung=sprung(situation, found.causes))

    @cached_property
    def fit(self) -> Fit:
        """How often the mount goes together at the first try."""
        return installed(Yard(self.survey, self.layout, self.catalogue))

    @cached_property
    def _made(self) -> Made:
        return Made(self.survey, self.layout, self.detail, self.catalogue)

    @cached_property
    def joint_margins(self) -> tuple[JointMargins, ...]:
        """Preload, slip and strength of every group of screws whose loads are known."""
        return all_margins(self._made, self.structure)

    @cached_property
    def web_strain(self) -> WebStrain | None:
        """The rail's web around the screws; None where the wall does not bend by itself."""
        return web_strain(self._made, self.structure, rail_screws(self._made, self.structure))

    @cached_property
    def rail_twist(self) -> RailTwist:
        """The rail's span between cross members."""
        return rail_twist(self._made, self.structure)

    @cached_property
    def floor_loads(self) -> tuple[FloorLoad, ...]:
        """What a stand does to the floor at every corner pose."""
        return floor_loads(self._made, self.structure)

    @cached_property
    def corner_products(self) -> tuple[int, ...]:
        return corner_products(self.layout.settings)

    def swept(self) -> tuple[tuple[PieceBox, Box], ...]:
        """Every piece with its box at each extreme setting; a fixed one once."""
        return self._swept

    @cached_property
    def _swept(self) -> tuple[tuple[PieceBox, Box], ...]:
        return tuple(
            (piece, self.at(piece, product))
            for piece in self.boxes
            for product in (self.corner_products if piece.motion != "fixed" else (0,))
        )


def shifted(piece: PieceBox, dy: float, dz: float) -> Box:
    """The box after the arm has moved by dy and dz."""
    if piece.motion == "fixed":
        return piece.box
    along = dy if piece.motion == "carriage" else 0.0
    low, high = piece.box.low, piece.box.high
    return Box((low[0], low[1] + along, low[2] + dz), (high[0], high[1] + along, high[2] + dz))
