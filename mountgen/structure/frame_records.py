"""What the frames of a mount are made from: the mount itself, a solved frame's names, places of nodes."""

from __future__ import annotations

from dataclasses import dataclass

from mountgen.catalogue.records import Material
from mountgen.geometry import Vec3
from mountgen.layout.rail_give import RailGive
from mountgen.layout.rail_mast import MastLayout
from mountgen.layout.stand import FloorGive
from mountgen.mechanics.frame import Frame, Member
from mountgen.structure.bodies import Bodies
from mountgen.structure.sections import Section
from mountgen.survey.records import Joining, Survey


@dataclass(frozen=True)
class Mount:
    """Everything that the frames of all settings share. `joining` and `ground` may be stiffer than life:
    `math.inf` in either is rigid."""

    survey: Survey
    layout: MastLayout
    bodies: Bodies
    sheet: Material
    bar: Material
    joining: Joining
    ground: RailGive | FloorGive

    @property
    def rail(self) -> RailGive:
        """The rail that it hangs on; TypeError for a mount that does not."""
        if not isinstance(self.ground, RailGive):
            raise TypeError(f"a {self.layout.family} hangs on no rail")
        return self.ground


@dataclass(frozen=True)
class Model:
    """The frame of one setting, the sections of its members, and where the nozzle is: off node 'head'."""

    frame: Frame
    sections: dict[str, Section]
    nozzle: Vec3
    push: Vec3
    """Where a hand leans: from node 'head' to the middle of the head's body."""
    up: Vec3
    """Along the column."""
    out: Vec3
    """Out of the nozzle face."""


@dataclass(frozen=True)
class Places:
    """Where nodes stand; `stations` names the nodes along posts (by z) and arm (by y) in order, `at` the node
    that a thing on a bar belongs to, for two things at one place share a node."""

    nodes: dict[str, Vec3]
    stations: dict[str, tuple[str, ...]]
    at: dict[str, str]


Part = tuple[Member, Section]
