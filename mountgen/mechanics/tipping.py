"""A stand on the floor: whether it tips or slides when somebody pushes it, and what its feet carry.

Plan view: x and y on the floor, z up from it, mm. A stand tips about an *edge* of the polygon around its
feet. The *arm* of a mass is its distance inside an edge, below zero beyond it. Masses inside hold the stand
down, masses beyond and the push turn it over; the safety is the ratio of the two moments, so that a mass that
overhangs is never set off against one that holds. A push comes from any side: for each edge straight over it.

The floor is level and rigid, and so is the base. Feet are springs of one stiffness.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from mountgen.geometry import Vec2, Vec3
from mountgen.mechanics.beams import GRAVITY
from mountgen.mechanics.ranges import Floats, require_finite, require_not_negative, require_positive

MOST_FEET = 8
"""Feet that may lift off are tried in every combination."""
FLAT = 1e-9
"""Share of the polygon's size below which three feet stand in one line, or a load counts as balanced."""


@dataclass(frozen=True)
class PointMass:
    """A mass (kg, 0 or more) and its centre (mm, z from the floor)."""

    kg: float
    at: Vec3

    def __post_init__(self) -> None:
        require_not_negative(kg=self.kg)
        require_finite(at=np.array(self.at))


@dataclass(frozen=True)
class Stand:
    """Masses and feet; at least three feet that do not stand in one line."""

    masses: tuple[PointMass, ...]
    feet: tuple[Vec2, ...]

    def __post_init__(self) -> None:
        require_positive(mass=sum(mass.kg for mass in self.masses))
        support_polygon(self.feet)

    @property
    def weight(self) -> float:
        """N."""
        return sum(mass.kg for mass in self.masses) * GRAVITY

    @property
    def centre(self) -> Vec3:
        """The centre of all masses."""
        kg = sum(mass.kg for mass in self.masses)
        x, y, z = (sum(mass.kg * mass.at[axis] for mass in self.masses) / kg for axis in range(3))
        return x, y, z


@dataclass(frozen=True)
class Push:
    """A level push from any side: N and the height over the floor, mm, each 0 or more."""

    force: float
    height: float

    def __post_init__(self) -> None:
        require_not_negative(force=self.force, height=self.height)

    @property
    def moment(self) -> float:
        """N mm about the floor."""
        return self.force * self.height


@dataclass(frozen=True)
class Tipping:
    """The two moments about one edge, N mm, and the edge's ends."""

    edge: tuple[Vec2, Vec2]
    holding: float
    turning: float

    @property
    def safety(self) -> float:
        """Holding over turning moment; infinite where nothing turns the stand over."""
        return self.holding / self.turning if self.turning > 0 else math.inf


def support_polygon(feet: Sequence[Vec2]) -> tuple[Vec2, ...]:
    """The convex polygon around the feet, counter-clockwise, without feet inside it or along its edges.

    Source: Andrew's monotone chain (Information Processing Letters 9, 1979).

    Args:
        feet: at least three that do not stand in one line, else ValueError.
    """
    require_finite(feet=np.array(feet, np.float64))
    points = sorted(set(feet))
    size = max((math.dist(one, points[0]) for one in points), default=0.0)
    polygon = (*_chain(points, size)[:-1], *_chain(points[::-1], size)[:-1])
    if len(polygon) < 3:
        raise ValueError(f"a stand needs three feet that do not stand in one line, found {list(feet)}")
    return polygon


def _chain(points: Sequence[Vec2], size: float) -> list[Vec2]:
    """The lower side of the polygon for points that go to the right."""
    chain: list[Vec2] = []
    for point in points:
        while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= FLAT * size**2:
            chain.pop()
        chain.append(point)
    return chain


def _turn(a: Vec2, b: Vec2, c: Vec2) -> float:
    """Twice the area of a triangle, above 0 when it runs counter-clockwise."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def tipping(stand: Stand, push: Push) -> Tipping:
    """The edge over which the stand tips first.

    Source: statics, equilibrium of moments about the edge (Beer and Johnston, Statics, ch. 8, from
    memory). The ratio of the two moments is the usual measure of stability (common practice).

    Args:
        stand: masses and feet.
        push: from any side.
    """
    weights = _weights(stand)
    return min(
        (_about(edge, arms, weights, push) for edge, arms in _edges(stand)), key=lambda one: one.safety
    )


def tilt_of_tipping(stand: Stand) -> float:
    """deg by which a stand may be tilted about its nearest edge before it falls by itself.

    Its centre of mass then stands over the edge: tan = arm / height. 0 where it lies beyond one already.
    Source: statics (Beer and Johnston, Statics, ch. 8, from memory).

    Args:
        stand: masses and feet; the centre of mass above the floor.
    """
    x, y, z = stand.centre
    require_positive(height=z)
    polygon = support_polygon(stand.feet)
    edges = zip(polygon, (*polygon[1:], polygon[0]), strict=True)
    return math.degrees(math.atan(max(min(_arm(edge, (x, y)) for edge in edges), 0.0) / z))


def _weights(stand: Stand) -> Floats:
    return np.array([mass.kg for mass in stand.masses]) * GRAVITY


def _edges(stand: Stand) -> Iterator[tuple[tuple[Vec2, Vec2], Floats]]:
    """Each edge with the arms of all masses."""
    polygon = support_polygon(stand.feet)
    for start, end in zip(polygon, (*polygon[1:], polygon[0]), strict=True):
        yield (start, end), np.array([_arm((start, end), mass.at[:2]) for mass in stand.masses])


def _arm(edge: tuple[Vec2, Vec2], at: Vec2) -> float:
    return _turn(*edge, at) / math.dist(*edge)


def _about(edge: tuple[Vec2, Vec2], arms: Floats, weights: Floats, push: Push) -> Tipping:
    holding = float(np.sum(weights * np.maximum(arms, 0.0)))
    beyond = float(np.sum(weights * np.maximum(-arms, 0.0)))
    return Tipping(edge, holding, push.moment + beyond)


def least_ballast(stand: Stand, push: Push, safety: float, at: Vec2) -> float:
    """The least mass that must be added at a place on the base for a safety against tipping, kg.

    0 where the stand has it already; infinite where the place lies on or beyond an edge that needs it.
    Source: statics.

    Args:
        stand: masses and feet.
        push: from any side.
        safety: holding over turning moment, above 0.
        at: where the ballast stands.
    """
    require_positive(safety=safety)
    weights, least = _weights(stand), 0.0
    for edge, arms in _edges(stand):
        found = _about(edge, arms, weights, push)
        lacking = safety * found.turning - found.holding
        arm = _arm(edge, at)
        if lacking > 0:
            least = max(least, lacking / (GRAVITY * arm) if arm > 0 else math.inf)
    return least


def least_widening(stand: Stand, push: Push, safety: float) -> float:
    """How far the edges must move out for a safety against tipping, mm: the most that any edge needs.

    The masses stay where they are. Source: statics; the moments are linear between the places where a mass
    passes the edge.

    Args:
        stand: masses and feet.
        push: from any side.
        safety: holding over turning moment, above 0.
    """
    require_positive(safety=safety)
    weights = _weights(stand)
    return max(_widening(arms, weights, safety, push.moment) for _, arms in _edges(stand))


def _widening(arms: Floats, weights: Floats, safety: float, moment: float) -> float:
    """The least step out at which holding is `safety` times turning, for one edge."""
    steps = np.unique(np.append(np.maximum(-arms, 0.0), 0.0))
    moved = arms + steps[:, np.newaxis]
    surplus = np.sum(weights * np.where(moved > 0, moved, safety * moved), axis=1) - safety * moment
    reached = np.flatnonzero(surplus >= 0)
    if not reached.size:
        return float(steps[-1] - surplus[-1] / np.sum(weights))
    first = int(reached[0])
    if first == 0:
        return 0.0
    return float(np.interp(0.0, surplus[first - 1 : first + 1], steps[first - 1 : first + 1]))


def resultant(stand: Stand, push: Push, towards: float) -> Vec2:
    """Where the line of weight and push meets the floor, as the feet feel it, mm.

    Source: statics, e = M / W.

    Args:
        stand: masses and feet.
        push: level.
        towards: the way it pushes, rad from x.
    """
    require_finite(towards=towards)
    x, y, _ = stand.centre
    off = push.moment / stand.weight
    return x + off * math.cos(towards), y + off * math.sin(towards)


def foot_loads(feet: Sequence[Vec2], weight: float, at: Vec2) -> Floats:
    """What each foot carries of a load on a rigid base, N; below zero where an anchor pulls.

    R = W / n + M x / sum x^2 + M y / sum y^2 about the principal axes of the feet. Source: the
    formula of pile groups (Bowles, Foundation Analysis and Design, from memory), here for any axes.

    Args:
        feet: at least three that do not stand in one line.
        weight: N, above 0.
        at: where the load acts.
    """
    require_positive(weight=weight)
    require_finite(at=np.array(at))
    support_polygon(feet)
    return _plane_loads(np.array(feet, np.float64), weight, np.array(at))


def _plane_loads(feet: Floats, weight: float, at: Floats) -> Floats:
    """Loads in one plane over the feet; those of feet in one line or in one place are shared alike."""
    middle = feet.mean(axis=0)
    away = feet - middle
    tilt = np.linalg.pinv(away.T @ away) @ (at - middle)
    return np.asarray(weight * (1 / len(feet) + away @ tilt), np.float64)


def foot_load_range(feet: Sequence[Vec2], weight: float, at: Vec2, moment: float) -> tuple[Floats, Floats]:
    """The least and the most that each foot carries while the load is pushed from every side, N.

    Below zero: what an anchor at that foot must hold, or the foot lifts and `standing_loads` counts.
    Source: as `foot_loads`; the part of the moment is largest straight down the slope of a foot's influence.

    Args:
        feet: at least three that do not stand in one line.
        weight: N, above 0.
        at: where the load acts without the push.
        moment: of the push about the floor, N mm, 0 or more.
    """
    require_not_negative(moment=moment)
    still = foot_loads(feet, weight, at)
    away = np.array(feet) - np.mean(feet, axis=0)
    most = moment * np.linalg.norm(away @ np.linalg.inv(away.T @ away), axis=1)
    return still - most, still + most


def standing_loads(feet: Sequence[Vec2], weight: float, at: Vec2) -> Floats:
    """What each foot carries when none is anchored: feet lift off rather than pull, N.

    The loads in equilibrium, none below zero, with the least sum of squares: the least energy in equal
    springs that only push. Source: least work of springs that only push (from memory). ValueError where the
    load acts outside of the polygon: the stand tips.

    Args:
        feet: three to eight that do not stand in one line.
        weight: N, above 0.
        at: where the load acts.
    """
    if len(feet) > MOST_FEET:
        raise ValueError(f"at most {MOST_FEET} feet, found {len(feet)}")
    loads = foot_loads(feet, weight, at)
    if np.all(loads >= 0):
        return loads
    tried = list(_lifted(np.array(feet, np.float64), weight, np.array(at)))
    if not tried:
        raise ValueError(f"the load at {at} lies outside of the feet: the stand tips")
    return min(tried, key=lambda loads: float(loads @ loads))


def _lifted(feet: Floats, weight: float, at: Floats) -> Iterator[Floats]:
    """Loads in equilibrium, none below zero, for each choice of feet that stay on the floor."""
    tolerance = FLAT * weight * float(np.ptp(feet, axis=0).max())
    for count in range(1, len(feet)):
        for chosen in combinations(range(len(feet)), count):
            part = np.zeros(len(feet))
            part[list(chosen)] = _plane_loads(feet[list(chosen)], weight, at)
            if np.all(part >= -FLAT * weight) and np.all(np.abs(part @ feet - weight * at) <= tolerance):
                yield np.maximum(part, 0.0)


def sliding_safety(weight: float, push: float, friction: float) -> float:
    """How many times the friction under the feet holds a level push; infinite without a push.

    Source: Coulomb friction, mu W / P.

    Args:
        weight: on the floor, N, above 0.
        push: N, 0 or more.
        friction: between feet and floor, above 0.
    """
    require_positive(weight=weight, friction=friction)
    require_not_negative(push=push)
    return friction * weight / push if push > 0 else math.inf


def height_of_tipping(arm: float, friction: float) -> float:
    """The height above which a push tips a stand before it slides, mm.

    Source: statics, both at once: mu W h = W a (Beer and Johnston, Statics, ch. 8).

    Args:
        arm: of the centre of mass inside the edge, above 0.
        friction: between feet and floor, above 0.
    """
    require_positive(arm=arm, friction=friction)
    return arm / friction
