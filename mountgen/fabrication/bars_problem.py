"""The cutting-stock problem in whole numbers (micrometres), free of saws and part numbers.

A *length* here has its kerf added, and a *room* is what the lengths on one bar may add up to. A *load* is one
bar: its size and how many of each length it holds. Costs order plans: stock length first, then the number of
bars.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import gcd

MICROMETRES = 1000
"""in a millimetre"""


@dataclass(frozen=True)
class Size:
    """A stock length: `limit` is how many bars of it may be used."""

    length: int
    room: int
    limit: int


@dataclass(frozen=True)
class Load:
    """One bar: index of its size, and how many it holds of each of the problem's lengths."""

    size: int
    held: tuple[int, ...]


Loads = tuple[Load, ...]


@dataclass(frozen=True)
class Problem:
    """Distinct lengths, longest first, how many of each, and the sizes, shortest first."""

    lengths: tuple[int, ...]
    demands: tuple[int, ...]
    sizes: tuple[Size, ...]

    @property
    def count(self) -> int:
        """How many pieces there are; no plan needs more bars."""
        return sum(self.demands)

    @property
    def total(self) -> int:
        """What all pieces take, kerfs included."""
        return sum(length * demand for length, demand in zip(self.lengths, self.demands, strict=True))

    @cached_property
    def _step(self) -> int:
        return gcd(*(size.length for size in self.sizes))

    @cached_property
    def costs(self) -> tuple[int, ...]:
        """Of a bar of each size: so weighted that all the bars of a plan count for less than one step of
        stock length."""
        return tuple(size.length // self._step * (self.count + 1) + 1 for size in self.sizes)

    def cost(self, loads: Loads) -> int:
        return sum(self.costs[load.size] for load in loads)

    def stock_length(self, cost: int) -> int:
        """The stock length in a plan's cost."""
        return cost // (self.count + 1) * self._step

    def taken(self, held: tuple[int, ...]) -> int:
        """What so many of each length take."""
        return sum(length * n for length, n in zip(self.lengths, held, strict=True))


@dataclass(frozen=True)
class Solution:
    """A plan, nothing when none was found, and a cost that no plan goes below. `is_proven`: no plan costs
    less (or, without a plan, there is none)."""

    loads: Loads | None
    bound: int
    is_proven: bool
