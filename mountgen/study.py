"""One survey taken through every stage that needs no CAD kernel: demand, layout, detail, checks, numbers."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from mountgen.catalogue.reader import Catalogue
from mountgen.checks.records import Check, Overall, overall
from mountgen.checks.run import check
from mountgen.checks.scene import Scene
from mountgen.demand import Demand, essential, require, working_view
from mountgen.detail.mast import detail
from mountgen.detail.mirror import in_world
from mountgen.detail.records import Detail
from mountgen.errors import Fault, ShopError, SurveyError
from mountgen.layout.eye_across import eye_of
from mountgen.layout.families import assumed_of, choices, rule_of
from mountgen.layout.rail_mast import MastLayout, settings_of
from mountgen.layout.records import Setup
from mountgen.layout.search import PLAIN, Reserve, least_frequency, most_give, most_sag, shortfall, solve
from mountgen.layout.setup import set_up
from mountgen.shop.flats import bend_faults
from mountgen.shop.records import Shop
from mountgen.survey.records import Family, Survey

ROUNDS = 3
"""Times that the search is asked for a mount; the frame then tells how far its estimates were too kind."""

MOST_RESERVE = 3.0
"""A reserve is not raised by more than this at a time."""


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


def study(survey: Survey, catalogue: Catalogue, shop: Shop) -> Study:
    """The mount for a survey as a shop makes it, with its checks; one that fails is returned all the same.

    Its family is the one that the survey settles, else the first allowed one that works, else the one with
    the fewest failing checks. Raises ShopError for bends that the shop's bend rule does not know, SurveyError
    for a settled family that the line cannot carry.
    """
    found: list[Study] = []
    for family in choices(survey):
        found.append(study_of(family, survey, catalogue, shop))
        if found[-1].verdict != "not feasible":
            return found[-1]
    return min(found, key=lambda one: sum(check.verdict == "fail" for check in one.checks))


def study_of(family: Family, survey: Survey, catalogue: Catalogue, shop: Shop) -> Study:
    """The best mount of one family; the study's survey has it settled. Raises as `study` does."""
    if why := rule_of(family).unfit(survey):
        action = f"choose one of {', '.join(choices(replace(survey, family=None)))}, or leave the key out"
        raise SurveyError([Fault("mount.family", f"'{family}', but {why}", "a family that fits", action)])
    survey = replace(survey, family=family, assumptions=(*survey.assumptions, *assumed_of(family, survey)))
    working = working_view(survey)
    return _judged(survey, settled(working, require(working), catalogue, shop), catalogue, shop)


def study_with(solved: MastLayout, survey: Survey, catalogue: Catalogue, shop: Shop) -> Study:
    """The study of a mount that the search found among others; `survey` has its family settled."""
    working = working_view(survey)
    return _judged(survey, _scene_with(solved, working, require(working), catalogue, shop), catalogue, shop)


def _judged(survey: Survey, scene: Scene, catalogue: Catalogue, shop: Shop) -> Study:
    made = in_world(scene.detail, survey.line.flow)
    if faults := bend_faults(made.sheets, shop):
        raise ShopError(faults)
    checks = check(scene, catalogue)
    numbers = set_up(scene.survey, scene.demand, scene.layout)
    return Study(survey, scene, made, checks, numbers, overall(checks))


def settled(working: Survey, demand: Demand, catalogue: Catalogue, shop: Shop) -> Scene:
    """The lightest mount that is stiff enough as a frame, too, and not by the search's estimates alone.

    Where the frame falls short of its limits the search is asked again, with as much reserve as its
    estimate was too kind. The first mount stands where no candidate has that reserve.
    """
    first = scene = _scene(working, demand, catalogue, shop, PLAIN)
    reserve = PLAIN
    for _ in range(ROUNDS - 1):
        if shortfall(working, scene.layout) > 0.0:
            return first
        wanted = raised_reserve(working, scene, reserve)
        if wanted == reserve:
            return scene
        reserve = wanted
        scene = _scene(working, demand, catalogue, shop, reserve)
    return first if shortfall(working, scene.layout) > 0.0 else scene


def _scene(working: Survey, demand: Demand, catalogue: Catalogue, shop: Shop, reserve: Reserve) -> Scene:
    solved = solve(working, essential(demand), catalogue, reserve)
    return _scene_with(solved, working, demand, catalogue, shop)


def _scene_with(
    solved: MastLayout, working: Survey, demand: Demand, catalogue: Catalogue, shop: Shop
) -> Scene:
    settings = settings_of(working, demand, solved.head, solved.drop)
    layout = replace(solved, settings=settings, eye=eye_of(working, solved.head.eye_x, catalogue))
    return Scene(working, demand, layout, detail(working, layout, catalogue), catalogue, shop)


def raised_reserve(working: Survey, scene: Scene, reserve: Reserve) -> Reserve:
    """The reserve that would have been enough; as it is where the frame keeps every limit."""
    structure, layout = scene.structure, scene.layout
    change, give = float(np.ptp(structure.sags)), max(abs(p.standoff(p.hand)) for p in structure.poses)
    frequency = structure.first_frequency_hz
    return Reserve(
        _raised(reserve.sag, change / max(most_sag(working), 1e-9), change / max(np.ptp(layout.sag), 1e-9)),
        _raised(reserve.give, give / max(most_give(working), 1e-9), give / max(layout.give.max(), 1e-9)),
        _raised(
            reserve.frequency,
            least_frequency(working) / frequency,
            layout.first_frequency_hz / frequency,
        ),
    )


def _raised(reserve: float, used: float, kind: float) -> float:
    """A reserve raised to how much too kind an estimate was, where more than all of the limit is used."""
    return max(reserve, min(kind, MOST_RESERVE * reserve)) if used > 1.0 else reserve
