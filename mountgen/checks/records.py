"""One check result: what was asked, what was found, how much is left, and what would mend it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Verdict = Literal["pass", "caution", "fail"]
Overall = Literal["feasible", "tight", "not feasible"]


@dataclass(frozen=True)
class Check:
    """`margin` is what is left to the limit in `unit`: negative when the limit is not kept.

    `remedy` is '' when the check passes and else names a change with a number in it.
    """

    id: str
    title: str
    verdict: Verdict
    value: float
    limit: float
    unit: str
    margin: float
    source: str
    remedy: str = ""


def overall(checks: Iterable[Check]) -> Overall:
    """The verdict on the whole mount: a failed check sinks it, a caution makes it tight."""
    verdicts = {check.verdict for check in checks}
    if "fail" in verdicts:
        return "not feasible"
    return "tight" if "caution" in verdicts else "feasible"


@dataclass(frozen=True)
class Subject:
    """What a check is about and on whose authority: the part of a result that does not depend on numbers."""

    id: str
    title: str
    unit: str
    source: str


def at_least(subject: Subject, value: float, limit: float, remedy: str, enough: float = 0.0) -> Check:
    """A value that must not fall below its limit; within `enough` of it is a caution.

    `remedy` may hold {} for the amount that lacks.
    """
    return _judged(subject, value, limit, value - limit, enough, remedy)


def at_most(subject: Subject, value: float, limit: float, remedy: str, enough: float = 0.0) -> Check:
    """A value that must not rise above its limit; within `enough` of it is a caution."""
    return _judged(subject, value, limit, limit - value, enough, remedy)


def rounded_up(amount: float) -> str:
    """An amount that is enough, with one decimal below 100."""
    steps = 1 if amount >= 100 else 10
    return f"{math.ceil(amount * steps - 1e-6) / steps:g}"


def _judged(subject: Subject, value: float, limit: float, margin: float, enough: float, remedy: str) -> Check:
    verdict: Verdict = "fail" if margin < -1e-9 else "caution" if margin < enough - 1e-9 else "pass"
    text = "" if verdict == "pass" else remedy.format(rounded_up(enough - margin))
    return Check(subject.id, subject.title, verdict, value, limit, subject.unit, margin, subject.source, text)
