"""The families of mount: how each is held, when a rail can carry it, and what the line's owner must allow.

All families share post, cross joint, arm and head bracket; they differ in what holds the post. The survey
says which ways of fixing are allowed (`rail.attach`); `[mount] family` settles the choice.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from mountgen.layout import clamp, rules
from mountgen.layout.stand import too_low
from mountgen.survey.records import Assumption, Family, Survey

Unfit = Callable[[Survey], str | None]
"""Why a line cannot carry a family whatever its numbers; None where it can."""


@dataclass(frozen=True)
class FamilyRule:
    """One family: its title, how it is held, which word of `rail.attach` allows it, and its own obstacle;
    how long its post may be, mm."""

    name: Family
    title: str
    held: str
    attach: str
    unfit: Unfit
    longest_post: float = rules.LONGEST_POST


def _without_slots(survey: Survey) -> str | None:
    if survey.rail.section.slots:
        return "the rail has T-slots: nothing needs to be drilled"
    return None


def _with_slots(survey: Survey) -> str | None:
    if not survey.rail.section.slots:
        return "the rail has no T-slots"
    return None


def _any_rail(_: Survey) -> str | None:
    """What screws hold to one rail they hold to both: T-nuts where the rails have slots."""
    return None


FAMILIES: tuple[FamilyRule, ...] = (
    FamilyRule("slot_rail", "slot-rail mast", "by T-nuts in the rail's own slots", "clamped", _with_slots),
    FamilyRule("rail_mast", "rail mast", "by screws through the rail's web", "bolted", _without_slots),
    FamilyRule("rail_clamp", "rail clamp", "by jaws over and under the rail", "clamped", clamp.unfit),
    FamilyRule("bridge", "bridge", "by screws through the webs of both side rails", "bolted", _any_rail),
    FamilyRule("floor_stand", "floor stand", "by a base on the floor", "floor", too_low, rules.LONGEST_STAND),
)
"""In the order in which they are tried: the stiffest and lightest first (common practice)."""

FAR_RAIL = "rail.far_rail"
"""Key of what a bridge assumes: there is no such key in a survey."""

USUAL: Family = "rail_mast"


def rule_of(family: Family) -> FamilyRule:
    return next(rule for rule in FAMILIES if rule.name == family)


def is_allowed(rule: FamilyRule, survey: Survey) -> bool:
    """Whether the line's owner allows it; T-nuts in a rail's own slots harm nothing and need no leave."""
    return rule.attach in survey.rail.attach or rule.name == "slot_rail"


def assumed_of(family: Family, survey: Survey) -> tuple[Assumption, ...]:
    """What a family takes for granted of a line beyond its survey."""
    if family != "bridge" or any(one.key == FAR_RAIL for one in survey.assumptions):
        return ()
    reason = "only the near rail was surveyed; measure profile, height and what is in the way at the far one"
    return (Assumption(FAR_RAIL, "the near rail's profile, mirrored, at the same height", reason),)


def _is_printed_on_top(survey: Survey) -> bool:
    """Else a head hangs nearer from one post, and a bridge is made only for those who ask for it."""
    return bool((survey.products.face == "top").all())


def choices(survey: Survey) -> tuple[Family, ...]:
    """The families to try, in order: the settled one, else those that are allowed and fit; the usual one
    where none does, so that its checks can say what is missing."""
    if survey.family is not None:
        return (survey.family,)
    fitting = (rule for rule in FAMILIES if is_allowed(rule, survey) and rule.unfit(survey) is None)
    found = tuple(rule.name for rule in fitting if rule.name != "bridge" or _is_printed_on_top(survey))
    return found or (("slot_rail",) if survey.rail.section.slots else (USUAL,))
