"""Finds the smallest step of a lever with which a check passes and none that passed before fails.

The first step tried is what the check's margin suggests; from there steps are doubled until the trial is
accepted, then halved between the last refused and the first accepted one. So the answer is accepted and one
step less is not, though beyond a gap an even smaller one may be.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from mountgen.catalogue.reader import Catalogue
from mountgen.checks.records import Check, Verdict
from mountgen.errors import MountgenError
from mountgen.remedies.records import Lever, Remedy, Trial
from mountgen.shop.records import Shop
from mountgen.study import Study, study
from mountgen.survey.records import Survey

RANK: dict[Verdict, int] = {"fail": 0, "caution": 1, "pass": 2}
NEAREST_MISS = 3
"""Ordinary studies that one counts as whose layout is a nearest miss: every candidate was tried for it."""
LAID_OUT = frozenset({"reach_up_down", "reach_in_out", "sag", "handling", "first_frequency"})
"""Checks that only a nearest miss fails."""
UNMOVED = 1e-6
MOST_IDS = 3
"""Checks that are named in a sentence; the JSON names them all."""


@dataclass
class Allowance:
    """How much may still be studied, in ordinary studies; what of it was used, and how many were made."""

    left: int
    used: int = 0
    studies: int = 0

    def pay(self, made: Study | None) -> None:
        """Counts a study that was made."""
        cost = NEAREST_MISS if made is None or _is_nearest_miss(made) else 1
        self.left, self.used, self.studies = self.left - cost, self.used + cost, self.studies + 1

    def take(self, part: Allowance) -> None:
        """Counts what was spent of a part of this."""
        self.left, self.used, self.studies = (
            self.left - part.used,
            self.used + part.used,
            self.studies + part.studies,
        )


def _is_nearest_miss(made: Study) -> bool:
    if made.scene.layout.foot.clear < 0:
        return True
    return any(one.verdict == "fail" and one.id in LAID_OUT for one in made.checks)


@dataclass
class Bench:
    """A study and what became of the trials from it; each is studied once."""

    start: Study
    catalogue: Catalogue
    made: dict[tuple[str, int], Study | None] = field(default_factory=dict)

    def studied(self, lever: Lever, steps: int, allowance: Allowance) -> Study | None:
        """The study of a trial; None when nothing can be laid out for it, or when no more may be studied."""
        key = (lever.name, steps)
        if key not in self.made:
            if allowance.left <= 0:
                return None
            self.made[key] = _study_if_possible(lever.at(steps).survey, self.catalogue, self.start.scene.shop)
            allowance.pay(self.made[key])
        return self.made[key]


def _study_if_possible(survey: Survey, catalogue: Catalogue, shop: Shop) -> Study | None:
    """A change that is tried may ask for parts that nobody can make; that must not cost the answer."""
    try:
        return study(survey, catalogue, shop)
    except MountgenError:
        return None


@dataclass(frozen=True)
class Found:
    """A remedy with the lever, its steps and the study that showed it."""

    remedy: Remedy
    lever: Lever
    steps: int
    study: Study


def worst_of(made: Study) -> Mapping[str, Verdict]:
    """The worst verdict of each id."""
    worst: dict[str, Verdict] = {}
    for one in made.checks:
        if one.id not in worst or RANK[one.verdict] < RANK[worst[one.id]]:
            worst[one.id] = one.verdict
    return worst


def failing(made: Study) -> tuple[Check, ...]:
    """The checks that fail, one of an id, in their order."""
    found: dict[str, Check] = {}
    for one in made.checks:
        if one.verdict == "fail":
            found.setdefault(one.id, one)
    return tuple(found.values())


def is_mended(check_id: str, before: Study, after: Study) -> bool:
    """The check passes, and nothing fails that did not before. A check that no longer applies passes."""
    was, now = worst_of(before), worst_of(after)
    if now.get(check_id, "pass") != "pass":
        return False
    return not any(verdict == "fail" and was.get(id_, "pass") != "fail" for id_, verdict in now.items())


def find_remedy(bench: Bench, check: Check, lever: Lever, allowance: Allowance) -> Found | None:
    """The smallest accepted steps of a lever; None when it does not help or no study may be made."""
    steps = (
        _smallest(bench, check, lever, allowance) if lever.graded else _first(bench, check, lever, allowance)
    )
    return None if steps is None else _found(bench, check, lever, steps)


def _first(bench: Bench, check: Check, lever: Lever, allowance: Allowance) -> int | None:
    for steps in range(1, lever.count + 1):
        made = bench.studied(lever, steps, allowance)
        if made is not None and is_mended(check.id, bench.start, made):
            return steps
    return None


def _smallest(bench: Bench, check: Check, lever: Lever, allowance: Allowance) -> int | None:
    low, high = _bracket(bench, check, lever, allowance)
    if high is None:
        return None
    step = max(high - 1, low + 1)  # The margin is often exact: then one step less settles it.
    while high - low > 1:
        made = bench.studied(lever, step, allowance)
        if made is None:
            return None
        if is_mended(check.id, bench.start, made):
            high = step
        else:
            low = step
        step = (low + high) // 2
    return high


def _bracket(bench: Bench, check: Check, lever: Lever, allowance: Allowance) -> tuple[int, int | None]:
    """The last refused and the first accepted number of steps; None when none is accepted.

    Outwards while the check itself does not pass; back inwards once it does and something else fails.
    """
    low, steps, over, doubted = 0, _suggested(check, lever), 0, check.unit == lever.unit
    while (made := bench.studied(lever, steps, allowance)) is not None:
        if is_mended(check.id, bench.start, made):
            return low, steps
        if worst_of(made).get(check.id, "pass") == "pass":
            over = steps
        else:
            gains = _margin(made, check.id) > check.margin + UNMOVED
            if not over and (steps == lever.count or (doubted and not gains)):
                break
            low, doubted = steps, doubted or not gains
            # Where one step gains nothing a large one may: once past a corner, a key comes through.
            steps = min(2 * low if gains else max(2 * low, lever.count // 2), lever.count)
        if over - low == 1:
            break
        steps = (low + over) // 2 if over else steps
    return low, None


def _suggested(check: Check, lever: Lever) -> int:
    """Steps that the missing margin asks for: as it is when lever and check have the same unit, else in
    proportion, as far as can be known beforehand."""
    missing = abs(check.margin)
    if check.unit != lever.unit:
        missing *= lever.size / max(abs(check.value), abs(check.limit), abs(check.margin))
    return min(max(math.ceil(missing / lever.step - UNMOVED), 1), lever.count)


def _margin(made: Study, check_id: str) -> float:
    return min((one.margin for one in made.checks if one.id == check_id), default=math.inf)


def _found(bench: Bench, check: Check, lever: Lever, steps: int) -> Found:
    made, trial = bench.made[(lever.name, steps)], lever.at(steps)
    assert made is not None
    before = [one.id for one in failing(bench.start)]
    after = tuple(one.id for one in failing(made))
    also = tuple(id_ for id_ in before if id_ not in after and id_ != check.id)
    remedy = Remedy(
        check_id=check.id,
        key=lever.key,
        text=f"{trial.text}: {_outcome(check.id, made, after, also)}",
        amount=trial.amount,
        unit=lever.unit,
        new_value=trial.value,
        verdict_after=made.verdict,
        also_mends=also,
        still_fails=after,
        share=_share(lever, steps, trial),
    )
    return Found(remedy, lever, steps, made)


def _share(lever: Lever, steps: int, trial: Trial) -> float:
    if not lever.graded:
        return lever.cost + steps / 100
    return trial.amount / lever.at(lever.count).amount


def _outcome(check_id: str, made: Study, after: tuple[str, ...], also: tuple[str, ...]) -> str:
    """What the trial showed, as the end of a sentence."""
    if made.verdict == "feasible":
        return "tried, then every check passes"
    if made.verdict == "tight":
        tight = [id_ for id_, verdict in worst_of(made).items() if verdict == "caution"]
        return f"tried, then nothing fails, {_listed(tight)} tight"
    mended = f"{check_id} passes"
    if also:
        mended += f", {_listed(list(also))} no longer fail{'s' * (len(also) == 1)}"
    return f"tried, then {mended}, {_listed(list(after))} still fail{'s' * (len(after) == 1)}"


def _listed(ids: list[str]) -> str:
    shown = ids if len(ids) <= MOST_IDS + 1 else [*ids[:MOST_IDS], f"{len(ids) - MOST_IDS} more"]
    *first, last = shown
    return f"{', '.join(first)} and {last}" if first else last
