"""What would make a mount feasible, as far as it was found by trying.

A *lever* is one thing that a person could change. A *trial* is the survey after a lever was moved by some
steps. A *remedy* is the smallest trial of a lever that was studied and found to make a failing check pass
while none that passed before fails; *advice* is all remedies for one survey.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from mountgen.checks.records import Overall
from mountgen.survey.records import Survey

Value = float | str | tuple[float, float]


@dataclass(frozen=True)
class Trial:
    """`text` says what is changed, without a full stop; `amount` is how much, in the lever's unit."""

    survey: Survey
    text: str
    amount: float
    value: Value


@dataclass(frozen=True)
class Lever:
    """`at` takes 1 to `count` steps. A lever that is not `graded` has choices instead of amounts, the least
    costly one first. `kind` tells apart levers on one key; `unit` is that of the amount."""

    key: str
    kind: str
    unit: str
    step: float
    count: int
    at: Callable[[int], Trial]
    graded: bool = True
    size: float = 0.0
    """The number that it changes, as it is: 0 where there is no such number."""
    cost: float = 1.0
    """What a choice counts as when changes are compared: 1 as the greatest amount of a graded lever."""

    @property
    def name(self) -> str:
        return f"{self.key} {self.kind}"


@dataclass(frozen=True)
class Remedy:
    """A change that was tried. `verdict_after` is the whole mount's; `also_mends` are other checks that
    failed and no longer do, `still_fails` those that do. `share` is the amount as a share of the greatest
    that was thought plausible: by it remedies are compared."""

    check_id: str
    key: str
    text: str
    amount: float
    unit: str
    new_value: Value
    verdict_after: Overall
    also_mends: tuple[str, ...]
    still_fails: tuple[str, ...]
    share: float

    @property
    def rank(self) -> tuple[bool, int, float]:
        """Sorts remedies: those that make the mount feasible first, then the smallest relative change."""
        return (self.verdict_after == "not feasible", len(self.still_fails), self.share)


@dataclass(frozen=True)
class Advice:
    """`remedies` hold for the survey as it is, the best of each check first. Where none of them makes the
    mount feasible alone, `together` are those which do one after the other, () when none were found.
    `studies` were made to find them. `surveys` are those that each of `remedies` leads to."""

    remedies: tuple[Remedy, ...] = ()
    together: tuple[Remedy, ...] = ()
    studies: int = 0
    surveys: tuple[Survey, ...] = ()
    together_surveys: tuple[Survey, ...] = ()
    """Those that each of `together` leads to with all before it."""

    def best_for(self, check_id: str) -> Remedy | None:
        """The first remedy of a check; None when nothing that was tried alone helps."""
        return next((one for one in self.remedies if one.check_id == check_id), None)

    @property
    def enough(self) -> tuple[Remedy, ...]:
        """The remedies that make the mount feasible alone, the smallest change first; each change once."""
        ranked = sorted(self.remedies, key=lambda one: one.rank)
        feasible = {one.text: one for one in reversed(ranked) if one.verdict_after != "not feasible"}
        return tuple(sorted(feasible.values(), key=lambda one: one.rank))


def what_helps(advice: Advice) -> tuple[str, tuple[str, ...]]:
    """What would make the mount feasible: what is said first, and each change; ('', ()) without advice."""
    if advice.enough:
        return "Any one of these is enough", tuple(one.text for one in advice.enough)
    if advice.together:
        return "All of these together, in this order", tuple(one.text for one in advice.together)
    if advice.studies:
        return f"Nothing that was tried is enough ({advice.studies} changed surveys were studied)", ()
    return "", ()


NO_ADVICE = Advice()
