"""Prying: a leg that is pulled off its base bends, levers against its rim and loads its bolts the more.

Words: a *leg* is pulled by a force T for each bolt at its root; the bolt stands at a distance from the root,
the rim beyond the bolt. The *prying force* Q presses at the rim; the bolt carries T + Q.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from mountgen.mechanics.ranges import require_not_negative, require_positive

FARTHEST_RIM = 1.25
"""The rim counts up to this times the bolt's distance from the root (EN 1993-1-8, Table 6.2; AISC)."""


@dataclass(frozen=True)
class TStub:
    """A T-stub: mm, MPa, N. `m` from root to bolt less 0.8 of the fillet, `rim` e_min from bolt to rim.

    `length` is the effective length for all its bolts; `bolts` the sum of their tension resistances.
    """

    length: float
    thickness: float
    m: float
    rim: float
    yield_mpa: float
    bolts: float

    def __post_init__(self) -> None:
        require_positive(length=self.length, thickness=self.thickness, m=self.m, rim=self.rim)
        require_positive(yield_mpa=self.yield_mpa, bolts=self.bolts)


@dataclass(frozen=True)
class TStubResistance:
    """Resistances by yielding of the flange (1), by flange and bolts (2), by the bolts alone (3), N."""

    mode_1: float
    mode_2: float
    mode_3: float

    @property
    def resistance(self) -> float:
        return min(self.mode_1, self.mode_2, self.mode_3)

    @property
    def mode(self) -> int:
        """Which of the three governs."""
        return 1 + (self.mode_1, self.mode_2, self.mode_3).index(self.resistance)


@dataclass(frozen=True)
class PulledLeg:
    """One bolt's share of a leg: mm and MPa.

    `pitch`: width of leg for each bolt; `bolt_at` b, from the leg's root to the bolt's centre; `rim` a, from
    there to the rim; `diameter` of the bolt and of its `hole`; `strength_mpa` that the leg may reach.
    """

    pitch: float
    bolt_at: float
    rim: float
    diameter: float
    hole: float
    strength_mpa: float

    def __post_init__(self) -> None:
        require_positive(pitch_less_hole=self.pitch - self.hole, hole_less_bolt=self.hole - self.diameter)
        require_positive(diameter=self.diameter, rim=self.rim, strength_mpa=self.strength_mpa)
        require_positive(bolt_at_less_radius=self.bolt_at - self.diameter / 2)

    @property
    def lever(self) -> float:
        """b', from the root to the bolt's near side, mm."""
        return self.bolt_at - self.diameter / 2

    @property
    def rim_lever(self) -> float:
        """a', from the bolt's near side to the rim, mm."""
        return min(self.rim, FARTHEST_RIM * self.bolt_at) + self.diameter / 2

    @property
    def net(self) -> float:
        """delta, part of the leg that is left beside the hole."""
        return 1 - self.hole / self.pitch

    def moment(self, thickness: float) -> float:
        """Plastic moment of the leg's share at its root, N mm."""
        return self.strength_mpa * self.pitch * thickness**2 / 4


def t_stub_resistance(stub: TStub) -> TStubResistance:
    """Tension resistance of a T-stub where prying may develop, in N.

    4 M / m, (2 M + n B) / (m + n), B; M = l t^2 f_y / 4, n = e_min up to 1.25 m, gamma_M0 = 1.
    Source: EN 1993-1-8, 6.2.4 and Table 6.2.

    Args:
        stub: sizes, yield stress, bolts.
    """
    moment = stub.length * stub.thickness**2 * stub.yield_mpa / 4
    n = min(stub.rim, FARTHEST_RIM * stub.m)
    return TStubResistance(4 * moment / stub.m, (2 * moment + n * stub.bolts) / (stub.m + n), stub.bolts)


def prying_force(pull: float, leg: PulledLeg, thickness: float) -> float:
    """Force at the rim for each bolt, (T b' - M) / a' once the leg yields at its root, in N.

    0 while the leg is stiff enough, T b' <= M; ValueError beyond (1 + delta) M, where it would fold.
    Source: Thornton, Prying Action - a General Treatment, 1985; AISC Manual, part 9.

    Args:
        pull: T for each bolt, N, 0 or more.
        leg: sizes and strength.
        thickness: of the leg, mm, above 0.
    """
    require_not_negative(pull=pull)
    require_positive(thickness=thickness)
    moment = leg.moment(thickness)
    beyond = pull * leg.lever - moment
    if beyond > leg.net * moment * (1 + 1e-9):
        most = (1 + leg.net) * moment / leg.lever
        raise ValueError(f"pull must not be above {most:g}, found {pull:g}: the leg folds at root and bolts")
    return max(0.0, beyond) / leg.rim_lever


def prying_factor(pull: float, leg: PulledLeg, thickness: float) -> float:
    """By how much prying raises the bolt's force, (T + Q) / T, 1 or more.

    Source: see `prying_force`.

    Args:
        pull: T for each bolt, N, above 0.
        leg: sizes and strength.
        thickness: of the leg, mm, above 0.
    """
    require_positive(pull=pull)
    return 1 + prying_force(pull, leg, thickness) / pull


def thickness_without_prying(pull: float, leg: PulledLeg) -> float:
    """Thickness at which the leg does not yield at its root, sqrt(4 T b' / (p f)), in mm.

    Source: AISC Manual, part 9, eq. 9-17 (t_c with the bolt's strength in place of T).

    Args:
        pull: T for each bolt, N, 0 or more.
        leg: sizes and strength.
    """
    require_not_negative(pull=pull)
    return math.sqrt(4 * pull * leg.lever / (leg.pitch * leg.strength_mpa))


def least_thickness(pull: float, bolt: float, leg: PulledLeg) -> float:
    """Least thickness of a leg whose bolts can bear the prying that goes with it, in mm.

    sqrt(4 T b' / (p f (1 + delta alpha))), alpha = beta / (delta (1 - beta)) up to 1,
    beta = (B / T - 1) a'/b'; alpha is 1 where beta is. Source: Thornton, 1985; AISC Manual, part 9.

    Args:
        pull: T for each bolt, N, above 0.
        bolt: B, tension resistance of one bolt, N, at least T.
        leg: sizes and strength.
    """
    require_positive(pull=pull)
    require_not_negative(bolt_less_pull=bolt - pull)
    beta = (bolt / pull - 1) * leg.rim_lever / leg.lever
    alpha = 1.0 if beta >= 1 else min(1.0, beta / (leg.net * (1 - beta)))
    return thickness_without_prying(pull, leg) / math.sqrt(1 + leg.net * alpha)
