"""What is told of every family: its best mounts worked out in full, quick estimates of the others, and what
is missing where none works.

A *goal* is what a mount is best by. *Figures* are what is compared. A *point* is a candidate with figures
that are quick estimates. Money is in the currency of the shop's rates: what the mount costs to make, without
devices and without work on site.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from mountgen.checks.records import Check, Overall
from mountgen.survey.records import Family
from mountgen.units import System

Goal = Literal["cost", "mass", "stiffness", "install", "drilling"]
GOALS: tuple[Goal, ...] = ("cost", "mass", "stiffness", "install", "drilling")

Status = Literal["works", "not allowed", "fails", "unfit"]
"""'not allowed' works but for the line's owner, 'unfit' is a family that the rail cannot carry at all."""


@dataclass(frozen=True)
class Figures:
    """kg of the whole mount with its devices, Hz, mm that a leaning hand moves the nozzles, s of work on the
    line, holes drilled into the line."""

    cost: float
    mass_kg: float
    frequency_hz: float
    give_mm: float
    install_s: float
    holes: int


@dataclass(frozen=True)
class Mount:
    """A mount worked out in full, with the goals that it is best by in its family."""

    goals: tuple[Goal, ...]
    figures: Figures
    verdict: Overall
    post: str
    post_length: float
    arm: str
    arm_length: float
    plate: float
    angle_thickness: float


@dataclass(frozen=True)
class FamilyOptions:
    """One family. `leave` is the word of `rail.attach` that the line's owner would have to allow, '' where
    nothing is forbidden; `why` says why the rail cannot carry it; `binding` is the check that fails by most,
    `said` and `changes` what would make it work."""

    family: Family
    title: str
    held: str
    status: Status
    leave: str = ""
    why: str = ""
    mounts: tuple[Mount, ...] = ()
    points: tuple[Figures, ...] = ()
    estimate_off: float = 0.0
    """Largest share by which a quick cost was off for a mount that was worked out."""
    binding: Check | None = None
    said: str = ""
    changes: tuple[str, ...] = ()

    def best(self, goal: Goal) -> Mount | None:
        return next((mount for mount in self.mounts if goal in mount.goals), None)


@dataclass(frozen=True)
class Options:
    """All families of one survey. `unpriced` are bought parts that the shop's rates have no price for."""

    name: str
    units: System
    currency: str
    source: str
    families: tuple[FamilyOptions, ...]
    unpriced: tuple[str, ...]
    survey_sha256: str

    @property
    def feasible(self) -> bool:
        """Whether a family works that the line's owner allows."""
        return any(one.status == "works" for one in self.families)


def front(points: Iterable[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """Those that no other beats: less is better of both numbers; from the least first number on."""
    least = float("inf")
    for first, second in sorted(points):
        if second < least:
            least = second
            yield first, second
