"""What may differ from the drawing and the survey, and what comes of it.

A *cause* is one thing that moves the product's face against the nozzles, with its limit to either side for
every product. The *gap* is what is left between nozzle plate and product, mm; below 0 they touch.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mountgen.demand import Floats

Origin = Literal["survey", "device", "cutting", "bending", "setting", "sag", "vibration", "product"]
Law = Literal["uniform", "normal", "arcsine"]
"""How a cause is spread between its limits; a normal one has them at three standard deviations."""


@dataclass(frozen=True)
class Cause:
    """One cause: `limit` (mm in the stand-off direction, either way) has one entry a product. `tells` says
    in words what the limit was taken from; `measure` what a person would do to make it smaller."""

    name: str
    origin: Origin
    limit: Floats
    law: Law
    tells: str
    measure: str


@dataclass(frozen=True)
class Histogram:
    """Share of products in each bin of gap; `edges` has one more entry than `shares`, mm."""

    edges: Floats
    shares: Floats


@dataclass(frozen=True)
class Effect:
    """A cause's part in the spread of the product that spreads most: its limit, mm, and its share of the
    variance."""

    name: str
    origin: Origin
    limit: float
    share: float
    tells: str
    measure: str


@dataclass(frozen=True)
class Sprung:
    """The floating head carriage in place of the fixed one: a roller on the product holds the gap."""

    travel: float
    spring_n_per_mm: float
    own_hz: float
    """Natural frequency of the carriage on its spring."""
    least_force: float
    most_force: float
    """N of the roller on the product, over the travel."""
    share_best: float
    share_acceptable: float
    touch: float
    works: bool
    why: str


@dataclass(frozen=True)
class JointFit:
    """How often one joint goes together, or one setting can be set, at the first try: a share from 0 to 1."""

    name: str
    share: float


@dataclass(frozen=True)
class Fit:
    """How often the whole mount does; `joints` the least first."""

    samples: int
    seed: int
    share: float
    joints: tuple[JointFit, ...]


@dataclass(frozen=True)
class Budget:
    """The stand-off of every product. `worst` and `rss` (what about 95 % of its pieces keep) have one entry a
    product, mm either way; shares are of all sampled products from 0 to 1, `touch` the chance that one meets
    the nozzle plate. `effects` are sorted, the largest first. `sprung` is None when the fixed head holds the
    acceptable band."""

    causes: tuple[Cause, ...]
    worst: Floats
    rss: Floats
    samples: int
    seed: int
    share_best: float
    share_acceptable: float
    touch: float
    histogram: Histogram
    worst_product: int
    effects: tuple[Effect, ...]
    sprung: Sprung | None

    @property
    def least_share(self) -> float:
        """The share that a happening may still have of which no sample told (rule of three, 95 %)."""
        return 3.0 / self.samples
