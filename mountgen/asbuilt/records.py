"""What may differ from the design, what was seen of it, and what follows.

An *unknown* is one thing that may be off, with its likely size from tolerances and from the survey's
uncertainties. An *observation* is how far one measured value is from the design, and how much of it each
unknown would make. The *estimate* is the unknowns' most likely values.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from mountgen.checks.records import Check, Overall
from mountgen.demand import Floats
from mountgen.layout.readings import Readings
from mountgen.layout.records import Setup

Unit = Literal["mm", "deg", "%"]


@dataclass(frozen=True)
class Unknown:
    """`sigma` is one standard deviation in `unit`; `tells` in words what positive means and whence sigma."""

    name: str
    unit: Unit
    sigma: float
    tells: str


@dataclass(frozen=True)
class Observation:
    """`deviation` is measured less designed, `sigma` one standard deviation of the measuring, both in the
    same unit; `on` is what one unit of each unknown adds to it."""

    what: str
    deviation: float
    sigma: float
    on: Mapping[str, float]


@dataclass(frozen=True)
class Estimate:
    """Most likely values with their covariance. `chance` is how often tolerances alone would give
    measured values as far from the design as these; `misfits` is each observation in standard deviations
    of what it was expected to be."""

    unknowns: tuple[Unknown, ...]
    values: Floats
    covariance: Floats
    observations: tuple[Observation, ...]
    misfits: Floats
    chance: float

    def value(self, name: str) -> float:
        """The most likely value of an unknown; 0 of one that nothing was seen of."""
        return next(
            (float(v) for u, v in zip(self.unknowns, self.values, strict=True) if u.name == name), 0.0
        )


@dataclass(frozen=True)
class Finding:
    """One unknown's result: most likely value, what is left of its uncertainty, and how many of its a priori
    standard deviations the value is."""

    name: str
    unit: Unit
    value: float
    sigma: float
    sigmas: float
    tells: str


@dataclass(frozen=True)
class AsBuilt:
    """The mount as installed: what differs, what to set, and whether that is good enough."""

    findings: tuple[Finding, ...]
    misfit: str
    """What does not fit together, '' when everything does."""
    readings: Readings
    setup: Setup
    advice: tuple[str, ...]
    checks: tuple[Check, ...]
    verdict: Overall
