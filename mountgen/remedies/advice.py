"""Advice for a mount that is not feasible: every failing check with the changes found to mend it."""

from __future__ import annotations

from dataclasses import replace

from mountgen.catalogue.reader import Catalogue
from mountgen.checks.records import Check
from mountgen.remedies.records import Advice
from mountgen.remedies.search import Allowance, Bench, Found, failing, find_remedy
from mountgen.remedies.table import levers_for
from mountgen.study import Study

ALONE, TOGETHER = 60, 30
"""Ordinary studies that may be spent on changes that mend a check alone, each failing check getting an even
part of what is left, and on combining them."""


def advise(study: Study, catalogue: Catalogue, spent: tuple[int, int] = (ALONE, TOGETHER)) -> Advice:
    """What would make a mount feasible, found by trying; nothing for one that is. `spent` is what may be
    spent on changes alone and together, in ordinary studies."""
    purse = Allowance(spent[0])
    groups = _alone(Bench(study, catalogue), failing(study), purse)
    alone = [one for group in groups.values() for one in group]
    remedies, surveys = tuple(one.remedy for one in alone), tuple(one.study.survey for one in alone)
    if not remedies or any(one.verdict_after != "not feasible" for one in remedies):
        return Advice(remedies, (), purse.studies, surveys)
    more = Allowance(spent[1])
    together = _together(groups, catalogue, more)
    return Advice(
        remedies,
        tuple(one.remedy for one in together),
        purse.studies + more.studies,
        surveys,
        tuple(one.study.survey for one in together),
    )


def with_remedies(study: Study, advice: Advice) -> Study:
    """The study with what was tried as the remedy of each failing check; its formula stands where nothing
    that was tried alone helps."""
    return replace(study, checks=tuple(_advised(one, advice) for one in study.checks))


def _advised(check: Check, advice: Advice) -> Check:
    if check.verdict != "fail":
        return check
    best = advice.best_for(check.id)
    return replace(check, remedy=best.text if best else f"nothing tried alone helps: {check.remedy}")


def _alone(bench: Bench, checks: tuple[Check, ...], purse: Allowance) -> dict[str, list[Found]]:
    """For each check what mends it, best first."""
    groups: dict[str, list[Found]] = {}
    for at, check in enumerate(checks):
        part = Allowance(max(purse.left, 0) // (len(checks) - at))
        groups[check.id] = find_remedies(bench, check, part)
        purse.take(part)
    return groups


def find_remedies(bench: Bench, check: Check, allowance: Allowance) -> list[Found]:
    """What mends a check alone, best first."""
    tried = [find_remedy(bench, check, lever, allowance) for lever in levers_for(bench.start, check)]
    return sorted((one for one in tried if one), key=lambda one: one.remedy.rank)


def _together(groups: dict[str, list[Found]], catalogue: Catalogue, purse: Allowance) -> list[Found]:
    """One pass: the best remedy is taken as done and what still fails is mended from there, by what mended
    it alone where anything did, until nothing fails; [] when that is not reached."""
    best = min((one for group in groups.values() for one in group), key=lambda one: one.remedy.rank)
    taken = [best]
    while (made := taken[-1].study).verdict == "not feasible":
        bench = Bench(made, catalogue)
        known_first = sorted(failing(made), key=lambda one: not groups.get(one.id))
        mended = (_again(bench, check, groups.get(check.id, []), purse) for check in known_first)
        following = next((one for one in mended if one), None)
        if following is None:
            return []
        taken.append(following)
    return taken


def _again(bench: Bench, check: Check, known: list[Found], purse: Allowance) -> Found | None:
    """The first lever that mends a check after another change was made; those that did alone first."""
    order = {one.lever.name: at for at, one in enumerate(known)}
    levers = [one for one in levers_for(bench.start, check) if not order or one.name in order]
    levers.sort(key=lambda one: order.get(one.name, 0))
    tried = (find_remedy(bench, check, lever, purse) for lever in levers)
    return next((one for one in tried if one), None)
