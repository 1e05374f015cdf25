"""The order of the day: every name in it must be that of a product."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mountgen.files.complaints import Complaint, nearest
from mountgen.units import quoted

MOST_LIKENED = 5_000
"""Names among which the most like one is looked for."""


def day_complaints(day: Sequence[str], names: Sequence[str]) -> Iterator[Complaint]:
    """A complaint for every name in `day` that is none of `names`."""
    known = set(names) if day else set()
    for at, name in enumerate(day):
        if name not in known:
            meant = nearest(name, names[:MOST_LIKENED])
            action = f"did you mean '{meant}'?" if meant else "name a product of this survey"
            yield Complaint(("day_order", at), f"day_order names {quoted(name)}", "a product's name", action)
