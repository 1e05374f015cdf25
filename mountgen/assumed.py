"""What becomes of the verdict when a value that was assumed turns out to be another one.

The mount stays as it was laid out, because that is what people would build; the line differs from what was
assumed, everything is set anew by its scales, and the checks are run again. A *trial* is the survey with one
other plausible value, and that value as text. Which values are plausible is common practice, no standard.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from mountgen.catalogue.reader import Catalogue
from mountgen.checks.records import Check, overall
from mountgen.checks.run import check
from mountgen.checks.scene import Scene
from mountgen.demand import require, working_view
from mountgen.detail.mast import detail
from mountgen.layout.rail_mast import settings_of
from mountgen.study import Study
from mountgen.survey.assemble import BULGE, SKEW_DEG
from mountgen.survey.records import Assumption, Joining, Measured, Shaking, Survey, Work
from mountgen.units import format_length

ROLLER_STEP, AXLE_STEP, BED_STEP = 10.0, 4.0, 10.0
GUIDE_DEPTH_STEP, PLAY_STEP = 15.0, 1.0
MISREAD = 2.0
"""mm that a length read from a tape and noted without +/- may be off."""
FLAPS = 40.0
"""mm that lid flaps or soft tops stand above a product."""
KEEPOUT_STEP = 30.0
SLIPPERY = 0.1
"""Friction of clamped parts that are oiled (common practice)."""
ROUGH = 500.0
"""mm/s2, root mean square, on the rail of a line that runs rough (common practice)."""
RANK = {"fail": 0, "caution": 1, "pass": 2}
STATED = MappingProxyType(
    {
        "units": "no check depends on it: it says how bare numbers are read and results are written",
        "line.slope_deg": (
            "no check of this version depends on it: mount and products share the bed's frame; on a bed that "
            "rises the mount is fitted square to the bed, not plumb"
        ),
        "line.environment": (
            "where a line is washed down no bar may have open slots, and check washdown refuses it; dust "
            "asks for sealed devices and clean lenses"
        ),
        "rail.far_rail": (
            "a bridge's far foot, its holes and the beam's height follow from it: measure that rail before "
            "anything is made"
        ),
        "encoder": (
            "no check depends on it: when the line runs slower than its fastest, codes are printed shorter "
            "by the same share"
        ),
    }
)
"""What is said of assumptions that no check looks at."""


@dataclass(frozen=True)
class AssumedEffect:
    """An assumption with the other plausible values that were `tried` ('' for none) and, as a sentence
    without a full stop, what they would do to the verdict."""

    key: str
    value: str
    reason: str
    tried: str
    effect: str


@dataclass(frozen=True)
class Trial:
    """A survey with one other plausible value, and that value as text."""

    text: str
    survey: Survey


Variation = Callable[[Survey], Iterator[Trial]]


def assumption_effects(study: Study, catalogue: Catalogue) -> tuple[AssumedEffect, ...]:
    """Every assumption of a survey with its effect on the verdict, in the survey's order."""
    if not study.survey.assumptions:
        return ()
    before = check(study.scene, catalogue)
    return tuple(_effect_of(one, study, before, catalogue) for one in study.survey.assumptions)


def _effect_of(
    assumption: Assumption, study: Study, before: tuple[Check, ...], catalogue: Catalogue
) -> AssumedEffect:
    trials = tuple(trials_of(assumption.key, study.survey))
    results = [(trial.text, check(trial_scene(study, trial, catalogue), catalogue)) for trial in trials]
    effect = _sentence(before, results, study.survey) if results else _stated(assumption.key, study)
    if results and assumption.key == "line.first_roller_at":
        effect += _wheel_note(study)
    tried = " and ".join(trial.text for trial in trials)
    return AssumedEffect(assumption.key, assumption.value, assumption.reason, tried, effect)


def trial_scene(study: Study, trial: Trial, catalogue: Catalogue) -> Scene:
    """The same mount on the line of the trial, set anew for its products."""
    working, old = working_view(trial.survey), study.scene
    demand = require(working)
    settings = settings_of(working, demand, old.layout.head, old.layout.drop)
    layout = replace(old.layout, settings=settings)
    moved = _first(settings.pivot_y, settings.pivot_z) != _first(
        old.layout.settings.pivot_y, old.layout.settings.pivot_z
    )
    made = detail(working, layout, catalogue) if moved else old.detail
    return Scene(working, demand, layout, made, catalogue, old.shop)


def _first(*columns: np.ndarray) -> list[float]:
    return [float(column[0]) for column in columns]


def _sentence(before: tuple[Check, ...], results: list[tuple[str, tuple[Check, ...]]], survey: Survey) -> str:
    """What the trials do, the same said once."""
    same = f"stays {overall(before)}"
    outcomes = [(text, _change(before, found, survey)) for text, found in results]
    if not any(change for _, change in outcomes):
        return f"{same} at {' and '.join(text for text, _ in results)}"
    return "; ".join(change.format(text) if change else f"{same} at {text}" for text, change in outcomes)


def _change(before: tuple[Check, ...], found: tuple[Check, ...], survey: Survey) -> str:
    """How a trial differs from what was assumed, {} standing for its value; '' when it does not."""
    worse = _worse(before, found)
    if worse:
        first, *others = worse
        more = f", and {len(others)} more" if others else ""
        mended = len(_failing(before) - _failing(found))
        but = f", but {mended} that failed would not" if mended else ""
        return f"{_verb(before, first)} at {{}}: {_escaped(first.title)}, {_margin(first, survey)}{more}{but}"
    return "" if overall(found) == overall(before) else f"becomes {overall(found)} at {{}}"


def _verb(before: tuple[Check, ...], worst: Check) -> str:
    if worst.verdict == "caution":
        return "becomes tight"
    return "fails in one more way" if _failing(before) else "would fail"


def _failing(checks: tuple[Check, ...]) -> set[str]:
    return {one.id for one in checks if one.verdict == "fail"}


def _worse(before: tuple[Check, ...], found: tuple[Check, ...]) -> list[Check]:
    """The checks that turned out worse than any of their id before, failures first."""
    ranks: dict[str, int] = {}
    for one in before:
        ranks[one.id] = min(ranks.get(one.id, RANK["pass"]), RANK[one.verdict])
    worse = [one for one in found if RANK[one.verdict] < ranks.get(one.id, RANK["pass"])]
    return sorted(worse, key=lambda one: RANK[one.verdict])


def _escaped(title: str) -> str:
    return title.replace("{", "{{").replace("}", "}}")


def _margin(one: Check, survey: Survey) -> str:
    size = abs(one.margin)
    text = f"{size:.3g} {one.unit}"
    if one.unit == "mm":
        text = format_length(size, survey.units, 2 if size < 1.0 else 1)
    return f"{text} {'missing' if one.margin < 0 else 'left'}"


def _stated(key: str, study: Study) -> str:
    """What is said of an assumption that has no other value to try."""
    if key != "rail.keepout":
        return STATED.get(key, "not tried: no other value is more plausible than this one")
    ends = [end for piece in study.scene.boxes for end in (piece.box.low[0], piece.box.high[0])]
    low, high = sorted(_in_world(end, study) for end in (min(ends), max(ends)))
    units = study.survey.units
    return (
        f"the mount needs the rail clear from x = {format_length(low, units)} to {format_length(high, units)}"
    )


def _wheel_note(study: Study) -> str:
    """Where a measuring wheel that runs on a roller needs one."""
    place, survey = study.scene.layout.encoder, study.survey
    if place is None or survey.line.surface != "rollers":
        return ""
    x = format_length(_in_world(place.wheel_x, study), survey.units)
    return f"; the measuring wheel needs a roller at x = {x}"


def _in_world(x: float, study: Study) -> float:
    """An x of the working view as one of the survey's own world."""
    return -x if study.survey.line.flow == "right_to_left" else x


def trials_of(key: str, survey: Survey) -> Iterator[Trial]:
    """The survey with each other plausible value of what was assumed under `key`."""
    keepout = re.fullmatch(r"rail\.keepout\[(\d+)\]\.y", key)
    if keepout:
        yield _larger_keepout(survey, int(keepout[1]) - 1)
    elif key in VARIATIONS:
        yield from VARIATIONS[key](survey)


def _stepped(part: str, name: str, *steps: float) -> Variation:
    """A length of one of the survey's records, moved by each step (mm)."""

    def tries(survey: Survey) -> Iterator[Trial]:
        record = getattr(survey, part)
        for step in steps:
            old = getattr(record, name)
            value = Measured(old + step, getattr(old, "plus_minus", 0.0))
            changed = replace(record, **{name: value})
            yield Trial(format_length(value, survey.units), replace(survey, **{part: changed}))

    return tries


def _first_roller(survey: Survey) -> Iterator[Trial]:
    quarter = survey.line.roller_pitch / 4
    yield from _stepped("line", "first_roller_at", -quarter, quarter)(survey)


def _bed(survey: Survey) -> Iterator[Trial]:
    """A bed that begins elsewhere, but never nearer than the rail's inner edge."""
    nearer = min(BED_STEP, survey.line.bed_from_y - survey.rail.section.reach_in)
    yield from _stepped("line", "bed_from_y", -nearer, BED_STEP)(survey)


def _setting(survey: Survey) -> Iterator[Trial]:
    yield from _stepped("standoff", "setting", survey.standoff.setting)(survey)


def _guide_open(survey: Survey) -> Iterator[Trial]:
    """An opening at the print line as long as the shortest product allows: half its length."""
    assert survey.guides is not None
    end = float(survey.products.length.min()) / 4
    text = f"an opening from {format_length(-end, survey.units)} to {format_length(end, survey.units)}"
    yield Trial(text, replace(survey, guides=replace(survey.guides, open=(-end, end))))


def _larger_keepout(survey: Survey, number: int) -> Trial:
    keepouts = list(survey.rail.keepouts)
    low, high = keepouts[number].y
    y = (low - KEEPOUT_STEP, high + KEEPOUT_STEP)
    keepouts[number] = replace(keepouts[number], y=y)
    text = " to ".join(format_length(end, survey.units) for end in y)
    return Trial(text, replace(survey, rail=replace(survey.rail, keepouts=tuple(keepouts))))


def _bulge(survey: Survey) -> Iterator[Trial]:
    bulge = survey.products.bulge
    yield _other_products(
        survey, format_length(2 * BULGE, survey.units), bulge=np.where(bulge == BULGE, 2 * BULGE, bulge)
    )


def _skew(survey: Survey) -> Iterator[Trial]:
    skew = survey.products.skew_deg
    yield _other_products(
        survey, f"{2 * SKEW_DEG:g} deg", skew_deg=np.where(skew == SKEW_DEG, 2 * SKEW_DEG, skew)
    )


def _flaps(survey: Survey) -> Iterator[Trial]:
    highest, height = survey.products.clearance_height, survey.products.height
    text = f"{format_length(FLAPS, survey.units)} above the height"
    yield _other_products(survey, text, clearance_height=np.where(np.isnan(highest), height + FLAPS, highest))


def _height(survey: Survey) -> Iterator[Trial]:
    """Heights off by what is misread: the printed top moves, or what passes beside the head is taller."""
    products = survey.products
    exact = products.height_plus_minus == 0.0
    taller = np.fmax(products.height, products.clearance_height) + MISREAD
    beside = exact & (products.face != "top")
    yield _other_products(
        survey,
        f"+/- {format_length(MISREAD, survey.units)}",
        height_plus_minus=np.where(exact, MISREAD, products.height_plus_minus),
        clearance_height=np.where(beside, taller, products.clearance_height),
    )


def _near_side(survey: Survey) -> Iterator[Trial]:
    old = survey.products.near_side_at_plus_minus
    exact = ~np.isnan(survey.products.near_side_at) & (old == 0.0)
    text = f"+/- {format_length(MISREAD, survey.units)}"
    yield _other_products(survey, text, near_side_at_plus_minus=np.where(exact, MISREAD, old))


def _supports(survey: Survey) -> Iterator[Trial]:
    """Legs half as far apart again."""
    yield from _stepped("rail", "supports_apart", survey.rail.supports_apart / 2)(survey)


def _joining(survey: Survey) -> Iterator[Trial]:
    """Joints that were taken from common practice half as stiff."""
    usual, joining = Joining(), survey.joining
    soft = {
        name: getattr(usual, name) / 2
        for name in ("plate_stiffness", "tslot_stiffness")
        if getattr(joining, name) == getattr(usual, name)
    }
    if soft:
        yield Trial("joints half as stiff", replace(survey, joining=replace(joining, **soft)))
    if joining.friction == usual.friction:
        oiled = replace(joining, friction=SLIPPERY)
        yield Trial(f"a friction of {SLIPPERY:g}", replace(survey, joining=oiled))
    elif not soft:
        hard = replace(joining, hand_force=2 * joining.hand_force)
        yield Trial(f"a hand's {hard.hand_force:g} N", replace(survey, joining=hard))


def _shaking(survey: Survey) -> Iterator[Trial]:
    """Half the damping, and a rail that shakes where nobody measured it; else a harder bump."""
    usual, shaking = Shaking(), survey.shaking
    if shaking.damping == usual.damping:
        half = replace(shaking, damping=usual.damping / 2)
        yield Trial(f"a damping of {half.damping:g}", replace(survey, shaking=half))
    if shaking.rms_mm_per_s2 is None and shaking.spectrum is None:
        rough = replace(shaking, rms_mm_per_s2=ROUGH)
        yield Trial(f"a rail that shakes {ROUGH / 1000:g} m/s2", replace(survey, shaking=rough))
    elif shaking.damping != usual.damping:
        hard = replace(shaking, impact_speed_mm_per_s=2 * shaking.impact_speed_mm_per_s)
        text = f"a bump at {hard.impact_speed_mm_per_s / 1000:g} m/s"
        yield Trial(text, replace(survey, shaking=hard))


def _work(survey: Survey) -> Iterator[Trial]:
    """Holes drilled half as exactly, or bends where the drilling was given."""
    usual, work = Work(), survey.work
    name, words = ("drill", "drilled holes") if work.drill == usual.drill else ("bend_line", "bend lines")
    twice = replace(work, **{name: 2 * getattr(work, name)})
    text = f"{words} off by {format_length(getattr(twice, name), survey.units)}"
    yield Trial(text, replace(survey, work=twice))


def _other_products(survey: Survey, text: str, **columns: np.ndarray) -> Trial:
    return Trial(text, replace(survey, products=replace(survey.products, **columns)))


VARIATIONS: Mapping[str, Variation] = MappingProxyType(
    {
        "line.roller_diameter": _stepped("line", "roller_diameter", -ROLLER_STEP, ROLLER_STEP),
        "line.roller_axle_diameter": _stepped("line", "roller_axle_diameter", AXLE_STEP),
        "line.first_roller_at": _first_roller,
        "line.bed_from_y": _bed,
        "rail.top_above_surface": _stepped("rail", "top_above_surface", -MISREAD, MISREAD),
        "guides.near_y": _stepped("guides", "near_y", -MISREAD, MISREAD),
        "guides.depth": _stepped("guides", "depth", GUIDE_DEPTH_STEP),
        "guides.play": _stepped("guides", "play", PLAY_STEP),
        "guides.open": _guide_open,
        "rail.supports_apart": _supports,
        "standoff.setting": _setting,
        "joining": _joining,
        "shaking": _shaking,
        "work": _work,
        "product.bulge": _bulge,
        "products.bulge": _bulge,
        "product.skew_deg": _skew,
        "products.skew_deg": _skew,
        "product.clearance_height": _flaps,
        "product.height": _height,
        "products.height": _height,
        "product.near_side_at": _near_side,
    }
)
"""The other plausible values of what was assumed, by its key."""
