"""What the documents are written from.

*Findings* is what a check knows, whether or not the mount is feasible; a *dossier* adds the mount in
detail. A *scene box* is one thing of the line or the mount as a box of the world frame, for the
pictures of the feasibility page.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from mountgen.assembly.records import Step
from mountgen.assumed import AssumedEffect
from mountgen.checks.records import Check
from mountgen.detail.records import Detail, Rgb
from mountgen.fabrication.nest_stock import NO_STOCK, StockPlan
from mountgen.geometry import Box
from mountgen.kernel.step_text import Schema
from mountgen.layout.records import Setup
from mountgen.package.dxf_flavour import Flavour
from mountgen.package.holding import Holding
from mountgen.sheet.flat import FlatPattern
from mountgen.structure.joint_strength import JointMargins
from mountgen.survey.records import Survey
from mountgen.views import FROM_FRONT, FROM_LEFT, FROM_TOP, ISOMETRIC, Curve, View

DRAWN_VIEWS = (FROM_FRONT, FROM_TOP, FROM_LEFT, ISOMETRIC)
"""The views of a folded part that its drawing shows, in the order in which a dossier holds them."""


@dataclass(frozen=True)
class SceneBox:
    """A named box in the world frame; colour as three shares from 0 to 1."""

    name: str
    box: Box
    colour: Rgb


@dataclass(frozen=True)
class Findings:
    """What is known before anything is detailed; `verdict` is that of `checks.records.overall`,
    `setup` is None when no layout was found, `effects` are the survey's assumptions with what they decide,
    `holding` is whether the nozzles stay where they were set."""

    survey: Survey
    verdict: str
    checks: tuple[Check, ...]
    setup: Setup | None
    scene: tuple[SceneBox, ...]
    effects: tuple[AssumedEffect, ...]
    holding: Holding


@dataclass(frozen=True)
class Formats:
    """What the shop's programs read: the schema of STEP files and the flavour of DXF files."""

    step: Schema = "AP242"
    dxf: Flavour = field(default_factory=Flavour)


@dataclass(frozen=True)
class Early:
    """What the first job finds: the effects of the survey's assumptions, and the stock that the parts are cut
    from."""

    effects: tuple[AssumedEffect, ...]
    stock: StockPlan = NO_STOCK


@dataclass(frozen=True)
class Pictures:
    """What is seen of the whole mount from ISOMETRIC: lines by instance, put together (without its fasteners)
    and pulled apart; and of every instance `alone`, with its origin at (0, 0)."""

    assembled: dict[str, tuple[Curve, ...]]
    exploded: dict[str, tuple[Curve, ...]]
    alone: dict[str, tuple[Curve, ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class Dossier(Findings):
    """The mount in detail. `flats`, `views` and `masses` (kg) are by part number;
    a part's views are those of DRAWN_VIEWS, and a part without bends needs none."""

    setup: Setup
    detail: Detail
    flats: dict[str, FlatPattern]
    views: dict[str, tuple[View, ...]]
    masses: dict[str, float]
    pictures: Pictures
    margins: tuple[JointMargins, ...] = ()
    """Preload and margins of the groups of screws whose loads are known, in the order of the load path."""
    steps: tuple[Step, ...] = ()
    """The steps that put it together; none for a mount that stands already."""
