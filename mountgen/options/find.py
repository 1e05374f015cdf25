"""Finds the options: every family's best mounts, or what is missing.

The search estimates every candidate quickly; the best by each goal are worked out in full until one passes
every check. Where a check's full solution is less kind than its estimate, the others are asked for so much
more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from mountgen.catalogue.reader import Catalogue
from mountgen.checks.records import Check
from mountgen.demand import Floats, essential, require, working_view
from mountgen.layout.families import FAMILIES, FamilyRule, is_allowed
from mountgen.layout.search import PLAIN, Choices, all_choices
from mountgen.options.figures import Base, estimates, place_of, unpriced, worked_out
from mountgen.options.records import GOALS, FamilyOptions, Figures, Goal, Mount, Options, Status, front
from mountgen.remedies.advice import advise
from mountgen.remedies.records import what_helps
from mountgen.remedies.search import failing
from mountgen.shop.records import Shop
from mountgen.study import Study, raised_reserve, study_of, study_with
from mountgen.survey.records import Survey

MOST_TRIED = 4
"""Candidates that are worked out for a goal before it is given up; bars that failed are not taken again."""
MOST_POINTS = 40
"""Candidates of a family that are shown by their quick estimates."""
ADVICE = (16, 8)
"""Ordinary studies that may be spent on what would make a family work, alone and together."""

Told = Callable[[str], None]


def find_options(survey: Survey, catalogue: Catalogue, shop: Shop, told: Told = lambda _: None) -> Options:
    """Every family for a survey, whichever it settles. `told` is called with each family's title before it is
    looked at. Raises as `study` does, and ShopError for what the shop's rates do not know."""
    survey = replace(survey, family=None)
    found, missing = [], set()
    for rule in FAMILIES:
        told(rule.title)
        options, studies = _family(rule, survey, catalogue, shop)
        found.append(options)
        missing |= {name for study in studies for name in unpriced(study)}
    rates = shop.rates
    names = (survey.name, survey.units, rates.currency, rates.source)
    return Options(*names, tuple(found), tuple(sorted(missing)), survey.source_sha256)


def _family(
    rule: FamilyRule, survey: Survey, catalogue: Catalogue, shop: Shop
) -> tuple[FamilyOptions, list[Study]]:
    plain = FamilyOptions(rule.name, rule.title, rule.held, "unfit")
    if why := rule.unfit(survey):
        return replace(plain, why=why), []
    leave = "" if is_allowed(rule, survey) else rule.attach
    first = study_of(rule.name, survey, catalogue, shop)
    bench = _Bench(first, catalogue)
    made = bench.mounts()
    if not made:
        said, changes = what_helps(advise(first, catalogue, ADVICE))
        binding = _binding(first)
        return replace(plain, status="fails", leave=leave, binding=binding, said=said, changes=changes), [
            first
        ]
    status: Status = "not allowed" if leave else "works"
    mounts, points = tuple(_mounts(made)), bench.points()
    off = max(
        abs(bench.cost[place_of(bench.choices, one.study)] / one.figures.cost - 1) for one in made.values()
    )
    shown = replace(plain, status=status, leave=leave, mounts=mounts, points=points, estimate_off=float(off))
    return shown, [one.study for one in made.values()]


def _binding(study: Study) -> Check:
    """The failing check that lacks the largest share of its limit."""
    return min(failing(study), key=lambda one: one.margin / (abs(one.limit) or abs(one.value) or 1.0))


class _Bench:
    """One family's candidates and what became of those that were worked out."""

    def __init__(self, first: Study, catalogue: Catalogue) -> None:
        self.first, self.catalogue = first, catalogue
        working = working_view(first.survey)
        self.choices: Choices = all_choices(working, essential(require(working)), catalogue)
        self.base = worked_out(first)
        self.cost, self.mass = estimates(self.choices, self.base)
        self.made: dict[int, Base] = {place_of(self.choices, first): self.base}

    def mounts(self) -> dict[Goal, Base]:
        """The best by each goal among what was found to pass every check; {} where nothing does."""
        by_estimate: dict[Goal, Floats] = {
            "cost": self.cost,
            "mass": self.choices.masses,
            "stiffness": -self.choices.frequencies,
        }
        for order in by_estimate.values():
            self._first_that_passes(order)
        good = [one for one in self.made.values() if one.study.verdict != "not feasible"]
        return {goal: min(good, key=lambda one: _rank(one, goal)) for goal in GOALS} if good else {}

    def _first_that_passes(self, order: Floats) -> None:
        """Works out the best by a quick estimate, the next best where it fails."""
        reserve, tried, refused = PLAIN, 0, set[tuple[str, str]]()
        lacks = self.choices.shortfall(reserve)
        for place in np.argsort(order, kind="stable").tolist():
            frame, post, _ = self.choices.made_of(place)
            bars = (post.name, frame.arm.name)
            if bars in refused or lacks[place] > 0.0 or not np.isfinite(self.cost[place]):
                continue
            if place not in self.made:
                layout = self.choices.layout(place)
                if layout.foot.clear < 0.0:
                    continue
                shop = self.first.scene.shop
                self.made[place] = worked_out(study_with(layout, self.first.survey, self.catalogue, shop))
            found = self.made[place].study
            wanted = raised_reserve(found.scene.survey, found.scene, reserve)
            if found.verdict == "not feasible" and wanted == reserve:
                refused.add(bars)
            reserve, lacks, tried = wanted, self.choices.shortfall(wanted), tried + 1
            if found.verdict != "not feasible" or tried == MOST_TRIED:
                return

    def points(self) -> tuple[Figures, ...]:
        """Quick estimates of candidates that pass the quick checks: those that no other beats, and of the
        others some, evenly by their cost."""
        passing = np.flatnonzero((self.choices.shortfall(PLAIN) == 0.0) & np.isfinite(self.cost))
        by_cost = passing[np.argsort(self.cost[passing], kind="stable")]
        kept = dict.fromkeys(self._best(by_cost.tolist()))
        spread = (
            by_cost[np.linspace(0, len(by_cost) - 1, MOST_POINTS).astype(int)] if len(by_cost) else by_cost
        )
        kept |= dict.fromkeys(spread.tolist())
        return tuple(self._estimated(place) for place in list(kept)[:MOST_POINTS])

    def _best(self, places: Sequence[int]) -> Iterator[int]:
        """Which are on a front of cost against mass, or against frequency."""
        for other in (self.mass, -self.choices.frequencies):
            at = {(float(self.cost[place]), float(other[place])): int(place) for place in places}
            yield from (at[point] for point in front(at))

    def _estimated(self, place: int) -> Figures:
        figures, choices = self.base.figures, self.choices
        return Figures(
            cost=float(self.cost[place]),
            mass_kg=float(self.mass[place]),
            frequency_hz=float(choices.frequencies[place]),
            give_mm=float(choices.gives[place]),
            install_s=figures.install_s,
            holes=figures.holes,
        )


def _rank(one: Base, goal: Goal) -> tuple[float, float]:
    """Sorts mounts by a goal, the cheaper one first where they are alike."""
    figures = one.figures
    by: dict[Goal, float] = {
        "cost": figures.cost,
        "mass": figures.mass_kg,
        "stiffness": -figures.frequency_hz,
        "install": figures.install_s,
        "drilling": figures.holes,
    }
    return by[goal], figures.cost


def _mounts(made: dict[Goal, Base]) -> Iterator[Mount]:
    """Each mount once, with all goals that it is best by."""
    for base in {id(one): one for one in made.values()}.values():
        layout, figures = base.study.scene.layout, base.figures
        yield Mount(
            goals=tuple(goal for goal, one in made.items() if one is base),
            figures=figures,
            verdict=base.study.verdict,
            post=layout.post.title,
            post_length=float(layout.post_length),
            arm=layout.arm.title,
            arm_length=float(layout.arm_length),
            plate=layout.plate,
            angle_thickness=layout.foot.angle_thickness,
        )
