"""What is asked of a fleet's workers and what they answer; plain enough to be kept as JSON.

An *outcome* is what one survey came to. Its *key* is a digest of everything that it depends on, so that an
outcome that is kept under its key need not be found again.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

State = Literal["feasible", "tight", "not feasible", "bad input", "failed"]
"""`failed`: mountgen itself, or the process that worked on it, did not come to an end."""


@dataclass(frozen=True)
class Job:
    """One survey to look at: its path, how it is named in the summary, the shop's file. `out`: where its
    package goes, '' to check only."""

    path: str
    label: str
    key: str
    shop: str
    out: str = ""


@dataclass(frozen=True)
class Bound:
    """A check that is not passed, or only just."""

    id: str
    verdict: str
    title: str


@dataclass(frozen=True)
class MadeBar:
    """A length to saw, mm."""

    section: str
    length: float


@dataclass(frozen=True)
class MadeFlat:
    """A flat to cut: its outline as x, y and bulge of each corner, and the area that is left of it; mm."""

    material: str
    thickness: float
    outline: tuple[tuple[float, float, float], ...]
    area: float


@dataclass(frozen=True)
class MadePiece:
    """A made part of one mount. Parts with one `digest` are the same piece of metal."""

    digest: str
    number: str
    name: str
    quantity: int
    made: MadeFlat | MadeBar


@dataclass(frozen=True)
class Outcome:
    """What one survey came to; `messages` are faults or an error, `pieces` those of a mount that works."""

    label: str
    key: str
    name: str
    state: State
    bound: tuple[Bound, ...] = ()
    messages: tuple[str, ...] = ()
    pieces: tuple[MadePiece, ...] = ()
    package: str = ""
