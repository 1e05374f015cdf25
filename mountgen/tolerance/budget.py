"""The stand-off budget: worst case, expanded root sum square, and a Monte Carlo of all products.

Source of the sampling: JCGM 101:2008 (propagation of distributions by a Monte Carlo method). The numbers come
from NumPy's PCG64 with a fixed seed, so the same survey gives the same shares.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from mountgen.demand import Floats
from mountgen.mechanics.tolerances import Contribution, root_sum_square, worst_case
from mountgen.survey.records import StandOff
from mountgen.tolerance.causes import Situation, causes
from mountgen.tolerance.records import Budget, Cause, Effect, Histogram, Law

SAMPLES = 20_000
"""Products sampled: a share of 99.7 % then has a standard error of 0.04 %."""
SEED = 2718
BINS = 48
VARIANCE: dict[Law, float] = {"uniform": 1 / 3, "normal": 1 / 9, "arcsine": 1 / 2}
"""Variance over limit squared (JCGM 100:2008 4.3.7, JCGM 101:2008 6.4); a normal limit is three sigma."""
COVERAGE = 2.0
"""Standard uncertainties either way that hold about 95 % of a product's pieces (JCGM 100:2008 6.3.3)."""


@dataclass(frozen=True)
class Shares:
    """Of all sampled products: inside the best band, inside the acceptable one, touching the nozzle plate."""

    best: float
    acceptable: float
    touch: float


def budget(situation: Situation) -> Budget:
    """The budget of a mount with a fixed head; `sprung` is evaluated elsewhere."""
    found, standoff = causes(situation), situation.survey.standoff
    worst, rss = limits(found, situation.count)
    gaps = sampled_gaps(found, standoff, situation.count)
    shares = shares_of(gaps, standoff)
    at = int(np.argmax(worst))
    return Budget(
        causes=found,
        worst=worst,
        rss=rss,
        samples=SAMPLES,
        seed=SEED,
        share_best=shares.best,
        share_acceptable=shares.acceptable,
        touch=shares.touch,
        histogram=_histogram(gaps),
        worst_product=at,
        effects=effects(found, at),
        sprung=None,
    )


def limits(found: Sequence[Cause], count: int) -> tuple[Floats, Floats]:
    """Worst case of every product, and the spread that about 95 % of its pieces keep, mm either way.

    The spread is the root sum square of standard uncertainties times the coverage factor: limits of
    unlike laws do not add up as squares by themselves (JCGM 100:2008 5.1.2).
    """
    if not found:
        return np.zeros(count), np.zeros(count)
    limited = [Contribution(cause.name, cause.limit, cause.tells) for cause in found]
    standard = [
        Contribution(cause.name, math.sqrt(VARIANCE[cause.law]) * cause.limit, cause.tells) for cause in found
    ]
    return np.asarray(worst_case(limited)), COVERAGE * np.asarray(root_sum_square(standard))


def sampled_gaps(found: Sequence[Cause], standoff: StandOff, count: int) -> Floats:
    """The gap of many products, mm, each product as often as any other."""
    rows, values = _drawn_products(count, tuple(cause.law for cause in found))
    gaps = np.full(SAMPLES, standoff.target)
    for cause, drawn in zip(found, values, strict=True):
        gaps += cause.limit[rows] * drawn
    return gaps


@lru_cache(maxsize=16)
def _drawn_products(count: int, laws: tuple[Law, ...]) -> tuple[NDArray[np.intp], tuple[Floats, ...]]:
    """Which product is sampled each time, and what each cause draws; kept for the next mount of its kind."""
    dice = np.random.Generator(np.random.PCG64(SEED))
    rows = np.arange(SAMPLES) % count if count <= SAMPLES else dice.integers(0, count, SAMPLES)
    return rows, tuple(_drawn(law, dice) for law in laws)


def _drawn(law: Law, dice: np.random.Generator) -> Floats:
    """Values between the limits -1 and 1 (three sigma for a normal law, which has none)."""
    if law == "normal":
        return dice.standard_normal(SAMPLES) / 3
    spread = dice.uniform(-1.0, 1.0, SAMPLES)
    result: Floats = spread if law == "uniform" else np.sin(np.pi / 2 * spread)
    return result


def shares_of(gaps: Floats, standoff: StandOff) -> Shares:
    def inside(band: tuple[float, float]) -> float:
        return float(np.mean((gaps >= band[0]) & (gaps <= band[1])))

    return Shares(inside(standoff.best), inside(standoff.acceptable), float(np.mean(gaps < 0.0)))


def _histogram(gaps: Floats) -> Histogram:
    counts, edges = np.histogram(gaps, BINS)
    return Histogram(edges, counts / len(gaps))


def effects(found: Sequence[Cause], product: int) -> tuple[Effect, ...]:
    """What each cause has of the variance at one product, the largest first."""
    variances = [VARIANCE[cause.law] * float(cause.limit[product]) ** 2 for cause in found]
    whole = sum(variances)
    parts = [
        Effect(c.name, c.origin, float(c.limit[product]), v / whole if whole else 0.0, c.tells, c.measure)
        for c, v in zip(found, variances, strict=True)
    ]
    return tuple(sorted((part for part in parts if part.limit > 0.0), key=lambda part: -part.share))


def shrunk(found: Sequence[Cause], name: str, factor: float) -> tuple[Cause, ...]:
    """The same causes, one of them smaller."""
    return tuple(
        replace(cause, limit=cause.limit * factor) if cause.name == name else cause for cause in found
    )
