"""What the page is told of a survey: the report of `check --json`, the same in words, and what is drawn.

Runs in the workers; pure but for the folder of a survey's files.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from mountgen.catalogue.reader import Catalogue
from mountgen.layout import rules
from mountgen.options.records import FamilyOptions, Options
from mountgen.package.feasibility import VERDICTS, counted, in_words, sentence, tightest
from mountgen.package.options_text import (
    GOAL_WORDS,
    HEADS,
    STATUS_WORDS,
    figures_told,
    made_of,
    missing,
    notes,
    options_report,
)
from mountgen.package.report import Json, check_report, plain
from mountgen.page.changes import settings_between
from mountgen.page.scene import scene_of
from mountgen.page.sent import Sent, survey_sent
from mountgen.page.values import values_of
from mountgen.remedies.records import NO_ADVICE, Advice, what_helps
from mountgen.shop.reader import USUAL_SHOP, read_shop
from mountgen.shop.records import Shop
from mountgen.study import Study, study


class Known(NamedTuple):
    """What a worker reads once."""

    catalogue: Catalogue
    shop: Shop


@lru_cache(maxsize=1)
def known() -> Known:
    """The catalogue and the usual shop."""
    catalogue = Catalogue()
    return Known(catalogue, read_shop(catalogue.folder / USUAL_SHOP))


def studied(sent: Sent) -> Study:
    """The mount for a survey that was sent. Raises InputError."""
    catalogue, shop = known()
    return study(survey_sent(sent, catalogue), catalogue, shop)


def check_answer(sent: Sent) -> dict[str, Json]:
    """A survey's verdict at once: what would mend one that is not feasible is found by `advice_answer`."""
    return _answer(sent, studied(sent), NO_ADVICE)


def advice_answer(sent: Sent) -> dict[str, Json]:
    """All that `check --json` prints: what would make a mount feasible takes seconds to find."""
    return _answer(sent, *advised(sent))


def advised(sent: Sent) -> tuple[Study, Advice]:
    """A study with what would make it feasible, where it is not."""
    found = studied(sent)
    if found.verdict != "not feasible":
        return found, NO_ADVICE
    from mountgen.remedies.advice import advise, with_remedies

    advice = advise(found, known().catalogue)
    return with_remedies(found, advice), advice


def sensitivity_answer(sent: Sent) -> dict[str, Json]:
    """What `check --sensitivity` adds, as numbers and in words."""
    from mountgen.package.critical import critical_lines
    from mountgen.sensitivity import sensitivities

    found = studied(sent)
    critical = sensitivities(found, known().catalogue)
    lines = [line.strip() for line in critical_lines(critical, found.survey.units)]
    return {"sensitivity": plain(critical), "told": list[Json](lines)}


def options_answer(sent: Sent) -> dict[str, Json]:
    """Every family with its best mounts in words, and the setting that takes it."""
    from mountgen.options.find import find_options

    catalogue, shop = known()
    found = find_options(survey_sent(sent, catalogue), catalogue, shop)
    return {
        "report": options_report(found),
        "options": [_option(family, found) for family in found.families],
        "notes": [sentence(note) for note in notes(found)],
    }


def _option(family: FamilyOptions, options: Options) -> dict[str, Json]:
    heads = HEADS[2:-1]
    mounts: list[Json] = [
        {
            "best": [GOAL_WORDS[goal] for goal in mount.goals],
            "made": made_of(mount, options.units),
            "figures": dict(zip(heads, figures_told(mount.figures, options), strict=True)),
        }
        for mount in family.mounts
    ]
    return {
        "title": family.title,
        "headline": f"{family.held}: {STATUS_WORDS[family.status]}",
        "status": family.status,
        "mounts": mounts,
        "missing": [sentence(line) for line in missing(family, options.units)],
        "settings": {"mount.family": family.family} if family.mounts else {},
    }


def _answer(sent: Sent, found: Study, advice: Advice) -> dict[str, Json]:
    return {
        "report": check_report(found, advice),
        "advised": found.verdict != "not feasible" or advice is not NO_ADVICE,
        "told": told(found, advice),
        "remedies": applicable(found, advice),
        "histogram": histogram(found),
        "reach": reach(found),
        "scene": scene_of(found),
        "values": dict(values_of(sent)),
    }


def told(found: Study, advice: Advice) -> dict[str, Json]:
    """The answer in words."""
    units = found.survey.units
    said, changes = what_helps(advice)
    return {
        "headline": VERDICTS[found.verdict],
        "counted": f"{counted(found.checks)}.",
        "tightest": [sentence(f"{one.title}: {in_words(one, units)}") for one in tightest(found.checks)],
        "helps": sentence(said, end=":" if changes else ".") if said else "",
        "changes": [sentence(one) for one in changes],
    }


def applicable(found: Study, advice: Advice) -> list[Json]:
    """The changes that `what_helps` tells, each with the settings that make it (null where none can); those
    that help together build on one another."""
    if advice.enough:
        surveys = dict(zip((one.text for one in advice.remedies), advice.surveys, strict=True))
        steps = [(one, found.survey, surveys[one.text]) for one in advice.enough]
    else:
        earlier = (found.survey, *advice.together_surveys)
        steps = list(zip(advice.together, earlier, advice.together_surveys, strict=False))
    return [
        {
            "text": sentence(remedy.text),
            "settings": plain(settings_between(before, after)),
            "verdict_after": remedy.verdict_after,
        }
        for remedy, before, after in steps
    ]


def histogram(found: Study) -> dict[str, Json]:
    """How the gap is spread over all sampled products, mm, with the two bands of the survey."""
    budget, standoff = found.scene.budget, found.survey.standoff
    return {
        "edges": plain(budget.histogram.edges),
        "shares": plain(budget.histogram.shares),
        "target": plain(standoff.target),
        "best": plain(standoff.best),
        "acceptable": plain(standoff.acceptable),
        "effects": plain(budget.effects),
    }


def reach(found: Study) -> dict[str, Json]:
    """Where the arm's tip can be put, from its T-nuts' travel in post and arm, and where each product asks
    for it; working view, mm."""
    layout, rail = found.scene.layout, float(found.survey.rail.top_above_surface)
    settings = layout.settings
    low = rail + rules.CLEAR + layout.cross_half[1]
    high = layout.post_bottom + layout.post_length - layout.cross_half[1]
    inner = layout.post_y - layout.cross_bolts[0] - rules.TNUT_END + layout.arm_length
    return {
        "z": [plain(low), plain(high)],
        "y": [plain(float(settings.tip_y.min())), plain(inner)],
        "products": [
            {"name": str(name), "y": plain(float(y)), "z": plain(float(z))}
            for name, y, z in zip(found.scene.demand.names, settings.tip_y, settings.arm_z, strict=True)
        ],
    }
