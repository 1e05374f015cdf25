"""Which measured values are critical, in words: how wrong each may be before the verdict turns."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from mountgen.sensitivity import Sensitivity
from mountgen.units import System, format_length, format_speed

HEAD = "how wrong a measured value may be before the mount as laid out fails, the most critical first:"
NONE = "the mount is not feasible as measured: what would turn that stands above"


def critical_lines(found: Sequence[Sensitivity], units: System) -> Iterator[str]:
    """A heading and one line a value; those that turn nothing are told together."""
    if not found:
        yield NONE
        return
    yield HEAD
    quiet = [one.key for one in found if math.isinf(one.ratio)]
    for one in found:
        if math.isfinite(one.ratio):
            again = "measure again" if one.ratio < 1.0 else f"{one.ratio:.1f} times what measuring is off"
            turns = "; ".join(_turns(one, units))
            yield f"      {one.key:<24} {turns}; measuring may be off {_amount(one.off, one, units)}: {again}"
    if quiet:
        yield f"      not critical: {', '.join(quiet)}"


def _turns(one: Sensitivity, units: System) -> Iterator[str]:
    for way, turn in (("lower", one.lower), ("higher", one.higher)):
        if math.isfinite(turn.by):
            yield f"{_amount(turn.by, one, units)} {way} ({turn.check})"


def _amount(value: float, one: Sensitivity, units: System) -> str:
    return format_speed(value, units) if one.unit == "mm/s" else format_length(value, units, 1)
