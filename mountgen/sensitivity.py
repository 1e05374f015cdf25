"""How wrong each measured value may be before the verdict turns.

The mount stays as it was laid out, because that is what people would build; the line turns out to be other
than measured, everything is set anew by its scales, and the checks are run again. Where the verdict turns is
found by halving, between the value as measured and the farthest that is worth asking about.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from mountgen.assumed import MISREAD, Trial, trial_scene
from mountgen.catalogue.reader import Catalogue
from mountgen.checks.records import Check, overall
from mountgen.checks.run import check
from mountgen.study import Study
from mountgen.survey.records import Measured, Survey

FARTHEST = 10.0
"""Times its uncertainty (or a tape's misreading) that a value is moved, at most."""
PITCH_OFF = 0.2
"""mm that a pitch measured over ten rollers may be off (common practice)."""
SHARE_OF_SPEED = 0.1
"""What a line speed read from a display may be off, as a share (rule of this project)."""
HALVINGS = 7
LENGTHS = (
    ("line", "roller_pitch"),
    ("line", "first_roller_at"),
    ("line", "bed_from_y"),
    ("rail", "top_above_surface"),
    ("rail", "free_from"),
    ("rail", "free_to"),
    ("guides", "near_y"),
    ("guides", "far_y"),
    ("guides", "depth"),
)
OF_PRODUCTS = (
    "length",
    "width",
    "height",
    "gap",
    "near_side_at",
    "bulge",
    "above_base",
    "below_top",
    "from_leading",
    "from_near",
)
ROLLERS_ONLY = frozenset({"roller_pitch", "first_roller_at"})

Move = Callable[[float], Survey]


@dataclass(frozen=True)
class Turn:
    """Where the verdict turns one way: `by` how far the value is off there, in its unit, and the title of
    the check that fails first; inf and '' where it does not turn as far as was looked."""

    by: float
    check: str


@dataclass(frozen=True)
class Sensitivity:
    """One measured value: how far it may be lower and higher, against how far it may be off by measuring."""

    key: str
    unit: str
    off: float
    lower: Turn
    higher: Turn

    @property
    def ratio(self) -> float:
        """The nearer turn over what the value may be off: below 1 it must be measured again."""
        return min(self.lower.by, self.higher.by) / self.off


@dataclass(frozen=True)
class _Value:
    key: str
    unit: str
    off: float
    moved: Move


def sensitivities(study: Study, catalogue: Catalogue) -> tuple[Sensitivity, ...]:
    """Every measured value, the most critical first; none for a mount that is not feasible: it turns by what
    `remedies` finds."""
    if study.verdict == "not feasible":
        return ()
    bench = _Bench(study, catalogue)
    found = [
        Sensitivity(v.key, v.unit, v.off, bench.turn(v, -1.0), bench.turn(v, 1.0))
        for v in _values(study.survey)
    ]
    return tuple(sorted(found, key=lambda one: (one.ratio, one.key)))


@dataclass(frozen=True)
class _Bench:
    study: Study
    catalogue: Catalogue

    def turn(self, value: _Value, way: float) -> Turn:
        """Where the verdict turns, to a hundredth of the way that is looked at."""
        low, high = 0.0, FARTHEST * value.off
        failing = self._failing(value, way * high)
        if failing is None:
            low, high = high, math.inf
            middle = self._failing(value, way * low / 2)
            if middle is None:
                return Turn(math.inf, "")
            low, high, failing = 0.0, low / 2, middle
        for _ in range(HALVINGS):
            between = (low + high) / 2
            found = self._failing(value, way * between)
            if found is None:
                low = between
            else:
                high, failing = between, found
        return Turn(high, failing.title)

    def _failing(self, value: _Value, by: float) -> Check | None:
        """The first check that fails with the value off by so much; None where the verdict stands."""
        scene = trial_scene(self.study, Trial("", value.moved(by)), self.catalogue)
        checks = check(scene, self.catalogue)
        if overall(checks) != "not feasible":
            return None
        return next(one for one in checks if one.verdict == "fail")


def _values(survey: Survey) -> Iterator[_Value]:
    speed = survey.line.speed_mm_per_s
    yield _Value(
        "line.speed", "mm/s", SHARE_OF_SPEED * speed, lambda by: _with_speed(survey, max(speed + by, 1.0))
    )
    for part, name in LENGTHS:
        record = getattr(survey, part)
        if record is not None and not (name in ROLLERS_ONLY and survey.line.surface != "rollers"):
            yield _length(survey, part, name)
    for name in OF_PRODUCTS:
        column = getattr(survey.products, name)
        if not np.isnan(column).all():
            yield _Value(f"product.{name}", "mm", _off(survey, name) or MISREAD, _column(survey, name))


def _off(survey: Survey, name: str) -> float:
    """What a key of the products may be off: as surveyed; a bulge is no better known than it is large."""
    known = survey.products.bulge if name == "bulge" else getattr(survey.products, f"{name}_plus_minus", 0.0)
    return float(np.max(known))


def _with_speed(survey: Survey, speed: float) -> Survey:
    return replace(survey, line=replace(survey.line, speed_mm_per_s=speed))


def _length(survey: Survey, part: str, name: str) -> _Value:
    """A length of one of the survey's records."""
    record = getattr(survey, part)
    old = getattr(record, name)
    off = getattr(old, "plus_minus", 0.0)

    def moved(by: float) -> Survey:
        value = Measured(float(old) + by, off)
        return replace(survey, **{part: replace(record, **{name: value})})

    return _Value(f"{part}.{name}", "mm", off or (PITCH_OFF if name == "roller_pitch" else MISREAD), moved)


def _column(survey: Survey, name: str) -> Move:
    """All products' values of a key at once, none below nothing."""
    old = getattr(survey.products, name)

    def moved(by: float) -> Survey:
        column = np.where(
            np.isnan(old), old, np.maximum(old + by, 0.0 if name != "near_side_at" else -math.inf)
        )
        return replace(survey, products=replace(survey.products, **{name: column}))

    return moved
