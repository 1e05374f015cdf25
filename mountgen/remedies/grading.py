"""Levers on one number of a survey: from where it is, step by step, to the farthest plausible value.

New values are round ones, whole multiples of the step, because somebody will set them with a tape or a knob.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from mountgen.remedies.records import Lever, Trial
from mountgen.survey.records import Survey
from mountgen.units import System, format_length

MM_PER_INCH = 25.4
COARSE, MIDDLE, FINE, FINEST = 5.0, 1.0, 0.5, 0.1
"""mm; steps of what is moved on a line, of what is adjusted, of small parts, of what is measured."""
_IN_INCHES = {
    COARSE: MM_PER_INCH / 4,
    MIDDLE: MM_PER_INCH / 16,
    FINE: MM_PER_INCH / 32,
    FINEST: MM_PER_INCH / 64,
}
DECIMALS = 9
"""Of amounts and values: so that 1.2 is not told as 1.2000000000000002."""
_SLACK = 1e-6
"""Share of a step that rounding may cost."""


@dataclass(frozen=True)
class Number:
    """A number that may move from `old` towards `limit`; `step` in its unit."""

    key: str
    kind: str
    old: float
    limit: float
    step: float
    unit: str = "mm"


def step_of(step: float, units: System) -> float:
    """mm of a step for people who measure in `units`: inches go by binary fractions."""
    return step if units == "mm" else _IN_INCHES[step]


def shown(value: float, units: System) -> str:
    """A length as short as it can be told."""
    decimals = (
        0 if abs(value - round(value)) < 1e-9 else 1 if abs(value * 10 - round(value * 10)) < 1e-9 else 2
    )
    return format_length(value, units, decimals)


def graded(
    number: Number, words: Callable[[str, str], str], change: Callable[[float], Survey], units: System
) -> Iterator[Lever]:
    """The lever of a number, none where it has no room; `words` takes the new value and the amount as text,
    `change` makes the survey with the new value."""
    way = math.copysign(1.0, number.limit - number.old)
    first = (math.floor(way * number.old / number.step + _SLACK) + 1) * number.step
    count = math.floor((way * number.limit - first) / number.step + _SLACK) + 1

    def text_of(value: float) -> str:
        return shown(value, units) if number.unit == "mm" else f"{value:.4g} {number.unit}".strip()

    def at(steps: int) -> Trial:
        value = round(way * (first + (steps - 1) * number.step), DECIMALS) + 0.0
        amount = round(abs(value - number.old), DECIMALS)
        return Trial(change(value), words(text_of(value), text_of(amount)), amount, value)

    if count >= 1 and number.limit != number.old:
        yield Lever(number.key, number.kind, number.unit, number.step, count, at, size=abs(number.old))
