"""The stand-off: does the gap between nozzles and product hold its bands, in the worst case and by share."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from mountgen.checks.records import Check, Subject, at_least, at_most
from mountgen.checks.scene import Scene
from mountgen.demand import Floats
from mountgen.survey.records import StandOff
from mountgen.tolerance.budget import sampled_gaps, shares_of, shrunk
from mountgen.tolerance.records import Budget

WORST_CASE = "worst case: sum of limits (interval arithmetic)"
EXPANDED = "root sum square of standard uncertainties, times 2: about 95 % (JCGM 100:2008 5.1.2, 6.2)"
MONTE_CARLO = "Monte Carlo of all causes (JCGM 101:2008); 99.7 % inside the band: rule of this project"
NEAR_ENOUGH = 0.2
"""mm of margin below which the stand-off is tight."""
LEAST_SHARE, USUAL_SHARE = 99.7, 99.9
"""% of products inside the acceptable band: fewer fails, fewer than usual is tight."""
STEPS = 12
"""Halvings in which the size is found to which a cause must come down."""


def checks(scene: Scene) -> Iterator[Check]:
    yield _worst(scene)
    yield _rss(scene)
    yield _share(scene)


def worst_by_product(scene: Scene) -> Floats:
    """mm that the product's face may stand off from where it should be, either way."""
    return scene.budget.worst


def _worst(scene: Scene) -> Check:
    standoff, spread = scene.survey.standoff, scene.budget.worst
    low, high = standoff.acceptable
    room = min(standoff.target - low, high - standoff.target)
    worst = int(np.argmax(spread))
    title = f"stand-off of {scene.demand.names[worst]!r}, worst case, inside the acceptable band"
    subject = Subject("standoff_worst", title, "mm", WORST_CASE)
    return at_most(subject, float(spread[worst]), room, _largest(scene.budget), NEAR_ENOUGH)


def _rss(scene: Scene) -> Check:
    standoff, spread = scene.survey.standoff, scene.budget.rss
    room = min(standoff.target - standoff.best[0], standoff.best[1] - standoff.target)
    worst = int(np.argmax(spread))
    title = (
        f"stand-off of {scene.demand.names[worst]!r}, 95 % of them (root sum square), inside the best band"
    )
    subject = Subject("standoff_rss", title, "mm", EXPANDED)
    return at_most(subject, float(spread[worst]), room, _largest(scene.budget), NEAR_ENOUGH / 2)


def _largest(budget: Budget) -> str:
    """Names the largest cause, which is where to begin."""
    if not budget.effects:
        return "widen the band by {} mm"
    first = budget.effects[0]
    return (
        f"reduce the spread by {{}} mm: the largest cause is {first.name}, {first.limit:.2f} mm"
        f"{_instead(budget)}"
    )


def _instead(budget: Budget) -> str:
    return "; or take a sprung carriage, which would work" if budget.sprung and budget.sprung.works else ""


def _share(scene: Scene) -> Check:
    budget = scene.budget
    title = (
        f"share of products inside the acceptable band ({100 * budget.share_best:.1f} % in the best one, "
        f"{_touching(budget)} touch the nozzle plate; {budget.samples} samples)"
    )
    subject = Subject("standoff_share", title, "%", MONTE_CARLO)
    value = 100 * budget.share_acceptable
    remedy = "" if value >= USUAL_SHARE else _share_remedy(scene)
    return at_least(subject, value, LEAST_SHARE, remedy, USUAL_SHARE - LEAST_SHARE)


def _touching(budget: Budget) -> str:
    if budget.touch > 0.0:
        return f"{100 * budget.touch:.2f} %"
    return f"fewer than {100 * budget.least_share:.3f} %"


def _share_remedy(scene: Scene) -> str:
    """The size to which the largest cause must come down, found by trying."""
    budget, standoff = scene.budget, scene.survey.standoff
    first = budget.effects[0]
    factor = _enough(budget, first.name, standoff)
    if factor is None:
        return f"not by {first.name} alone: reduce the {len(budget.effects)} causes{_instead(budget)}"
    return f"reduce {first.name} from {first.limit:.2f} mm to {first.limit * factor:.2f} mm{_instead(budget)}"


def _enough(budget: Budget, name: str, standoff: StandOff) -> float | None:
    """The largest factor on a cause with which the share is usual; None when none is."""

    def passes(factor: float) -> bool:
        gaps = sampled_gaps(shrunk(budget.causes, name, factor), standoff, len(budget.worst))
        return 100 * shares_of(gaps, standoff).acceptable >= USUAL_SHARE

    if not passes(0.0):
        return None
    low, high = 0.0, 1.0
    for _ in range(STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if passes(middle) else (low, middle)
    return low
