"""One survey taken through every stage that needs no CAD kernel: demand, layout, detail, checks, numbers."""

from __future__ import annotations

from dataclasses import dataclass, replace

from mountgen.catalogue.reader import Catalogue
from mountgen.checks.records import Check, Overall, overall
from mountgen.checks.run import check
from mountgen.checks.scene import Scene
from mountgen.demand import essential, require, working_view
from mountgen.detail.mast import detail
from mountgen.detail.mirror import in_world
from mountgen.detail.records import Detail
from mountgen.layout.rail_mast import settings_of
from mountgen.layout.records import Setup
from mountgen.layout.search import solve
from mountgen.layout.setup import set_up
from mountgen.mechanics.bending import BendRule, Din6935
from mountgen.survey.records import Survey

SHOP_RULE: BendRule = Din6935()
"""The bend rule of the flats until the survey names the shop's own."""


@dataclass(frozen=True)
class Study:
    """What is known of a mount before any solid is made. `scene` is the working view, `detail` the same
    mount in the survey's own world with its parts numbered by hand."""

    survey: Survey
    scene: Scene
    detail: Detail
    checks: tuple[Check, ...]
    setup: Setup
    verdict: Overall


def study(survey: Survey, catalogue: Catalogue) -> Study:
    """The mount for a survey, with its checks; a mount that fails them is returned all the same."""
    working = working_view(survey)
    demand = require(working)
    solved = solve(working, essential(demand), catalogue)
    layout = replace(solved, settings=settings_of(working, demand, solved.head, solved.drop))
    made = detail(working, layout, catalogue)
    scene = Scene(working, demand, layout, made, catalogue)
    checks = check(scene, catalogue, SHOP_RULE)
    numbers = set_up(working, demand, layout)
    return Study(survey, scene, in_world(made, survey.line.flow), checks, numbers, overall(checks))
