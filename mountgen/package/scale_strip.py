"""The strips for post and arm: rulers at full size with a named mark wherever a product is set.

A strip is printed upright, its lower end at the end of the bar where the scale begins. It is cut into
*pieces* as long as a page holds; a piece ends in a *tab*, onto which the next piece is stuck.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from mountgen.layout.bridge import spans
from mountgen.layout.readings import ScaleZero
from mountgen.package.changeover import Changeover
from mountgen.package.changeover_groups import Group, mark_of
from mountgen.package.mount_words import words_of
from mountgen.package.svg_text import text_width
from mountgen.survey.records import Survey
from mountgen.units import System, format_length

BEYOND = 20.0
"""mm of scale above the highest reading, where the bar is as long."""
LABEL_ROOM = 3.0
"""mm along the strip that one name takes."""
NUMERAL, NAME, NAME_ROOM = 2.0, 1.7, 5.6
"""mm; height of numbers and of names on a strip, and the width that it has for a name."""
MOST_AWAY = 3.0
"""mm that a name may stand away from its mark to leave room for others."""
SAME = 1e-6


@dataclass(frozen=True)
class Mark:
    """A named reading. `label_at` is where its name stands, mm on the scale."""

    name: str
    at: float
    label_at: float


@dataclass(frozen=True)
class Piece:
    """What one column of a page shows of a strip: from reading to reading."""

    strip: str
    number: int
    low: float
    high: float
    last: bool


@dataclass(frozen=True)
class Strip:
    """One scale: `low` stands at the end of the bar. `unmarked` readings have no room for a name, and a line
    without one would only hide the ruler."""

    name: str
    low: float
    high: float
    marks: tuple[Mark, ...]
    unmarked: int


@dataclass(frozen=True)
class Strips:
    """All that the pages show."""

    survey: Survey
    issued: str
    strips: tuple[Strip, ...]
    how: tuple[str, ...]
    legend: str
    """Which products the marks stand for."""


def strips_of(plan: Changeover) -> Strips:
    """The strips of a mount, with a mark for every reading."""
    post = _strip("post", plan.post_zero, [g.post for g in plan.groups], plan.groups)
    arm = _strip(words_of(plan.survey).arm, plan.arm_zero, [g.arm for g in plan.groups], plan.groups)
    posts = (post, replace(post, name="far post")) if spans(plan.survey) else (post,)
    legend = _legend(plan, post.unmarked + arm.unmarked)
    return Strips(plan.survey, plan.issued, (*posts, arm), zero_words(plan), legend)


def zero_words(plan: Changeover) -> tuple[str, ...]:
    """Where each scale begins, which edge reads it, and where its strip goes."""
    told, units = words_of(plan.survey), plan.survey.units
    begins, end = (_place(zero.begins_at, units) for zero in (plan.post_zero, plan.arm_zero))
    return (
        f"Post scale: {begins} is {told.post_zero}. It is read at the underside of the cross plate; "
        f"{told.post_strip}",
        f"{told.arm.capitalize()} scale: {end} is {told.arm_zero}. It is read {told.arm_read}",
    )


def _place(begins_at: float, units: System) -> str:
    return "0" if begins_at == 0.0 else format_length(begins_at, units)


def _strip(name: str, zero: ScaleZero, readings: Sequence[float], groups: Sequence[Group]) -> Strip:
    top = min(max(readings) + BEYOND, zero.begins_at + zero.length)
    named = _named(readings, groups)
    marks = tuple(_placed(named))
    return Strip(name, zero.begins_at, top, marks, len(named) - len(marks))


def _named(readings: Sequence[float], groups: Sequence[Group]) -> list[tuple[float, str, int]]:
    """Every different reading in rising order: where, the marks of its groups, how many products."""
    at_one: dict[float, list[int]] = {}
    for place in sorted(range(len(groups)), key=lambda i: (readings[i], i)):
        at_one.setdefault(round(readings[place], 6), []).append(place)
    return [
        (at, short_names(places), sum(len(groups[place].rows) for place in places))
        for at, places in at_one.items()
    ]


def short_names(places: Sequence[int]) -> str:
    """The marks of groups by their places, rising: 'A', 'A C', those that follow one another 'A–D'; where
    that is too wide or too many, the first with an ellipsis."""
    first, last = mark_of(places[0]), mark_of(places[-1])
    if len(places) == 1:
        return first
    together = places[-1] - places[0] == len(places) - 1
    told = f"{first}–{last}" if together and len(places) > 2 else " ".join(map(mark_of, places[:3]))
    fits = (together or len(places) < 3) and _is_narrow(told)
    if fits:
        return told
    return f"{first}…" if _is_narrow(f"{first}…") else "…"


def _is_narrow(name: str) -> bool:
    return text_width(name, NAME, bold=True) <= NAME_ROOM


def _placed(named: Sequence[tuple[float, str, int]]) -> Iterator[Mark]:
    """Names as near to their marks as their neighbours let them; those of the most products first."""
    kept: list[tuple[float, str, int]] = []
    for candidate in sorted(named, key=lambda item: (-item[2], item[0])):
        tried = sorted([*kept, candidate])
        if all(abs(at - label) <= MOST_AWAY for (at, _, _), label in zip(tried, _spread(tried), strict=True)):
            kept = tried
        if len(kept) * LABEL_ROOM > named[-1][0] - named[0][0] + 2 * MOST_AWAY:
            break
    for (at, name, _), label in zip(kept, _spread(kept), strict=True):
        yield Mark(name, at, label)


def _spread(named: Sequence[tuple[float, str, int]]) -> list[float]:
    """Where names stand that keep LABEL_ROOM from each other, each run of them around its middle."""
    runs: list[list[float]] = []
    for at, _, _ in named:
        runs.append([at])
        while len(runs) > 1 and _middle(runs[-1]) - _middle(runs[-2]) < _half(runs[-1]) + _half(runs[-2]):
            last = runs.pop()
            runs[-1] = [*runs[-1], *last]
    return [_middle(run) + (i - (len(run) - 1) / 2) * LABEL_ROOM for run in runs for i in range(len(run))]


def _middle(run: Sequence[float]) -> float:
    return sum(run) / len(run)


def _half(run: Sequence[float]) -> float:
    return len(run) * LABEL_ROOM / 2 - SAME


def pieces(strip: Strip, longest: float) -> tuple[Piece, ...]:
    """The strip in pieces; all but the last end at whole tens of mm."""
    cuts = [strip.low]
    while strip.high - cuts[-1] > longest:
        cuts.append(math.floor((cuts[-1] + longest) / 10.0) * 10.0)
    ends = [*cuts[1:], strip.high]
    return tuple(
        Piece(strip.name, i + 1, low, high, i + 1 == len(cuts))
        for i, (low, high) in enumerate(zip(cuts, ends, strict=True))
    )


def _legend(plan: Changeover, unmarked: int) -> str:
    names = plan.readings.names
    told = []
    for group in plan.groups[:26]:
        first = names[int(group.rows[0])]
        others = f" and {len(group.rows) - 1} more" if len(group.rows) > 1 else ""
        told.append(f"{group.mark}: {first}{others}")
    lacking = f"Readings without room for a mark: {unmarked}. " if unmarked else ""
    return f"Marks are those of the changeover sheet. {lacking}" + "; ".join(told) + "."
