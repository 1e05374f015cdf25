"""T-slots of a section, found on the four sides of the box around it.

Words: on one side of the box lie *lips*; between two of them that follow each other round the outline the
contour dips into a *pocket*. A pocket that is wider behind the lips than between them is a T-slot.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from mountgen.geometry import Contour, Vec2
from mountgen.section.records import Side, TSlot
from mountgen.sheet.edges import edge_between

ON_SIDE = 0.05
"""mm; a face this close to the box's side lies on it."""
WIDER = 1.15
"""Behind the lips a T-slot is at least this many times as wide as between them."""
NARROWEST, WIDEST = 3.0, 40.0
"""mm; a slot for a nut between M2 and M20 (common practice)."""
DEEPEST = 0.6
"""A T-slot is no deeper than this share of the section; a lipped channel's hollow is."""
PAST_LIP = 0.02
"""mm; behind a lip a pocket is wider by more than this."""

SIDES: tuple[tuple[Side, int], ...] = (("right", 0), ("up", 1), ("left", 2), ("down", 3))


@dataclass(frozen=True)
class _Spot:
    """A point of the outline seen from one side: `along` it counter-clockwise, `deep` behind it."""

    along: float
    deep: float


def t_slots(outline: Contour) -> tuple[TSlot, ...]:
    """The T-slots of an outline whose sides are level and upright (mm)."""
    return tuple(slot for side, quarter in SIDES for slot in _on_side(outline, side, quarter))


def _on_side(outline: Contour, side: Side, quarter: int) -> Iterator[TSlot]:
    turned = outline.turned(-90.0 * quarter)
    low_x, _, far, _ = turned.bounds
    corners = [_Spot(v.y, far - v.x) for v in turned.vertices]
    count = len(corners)
    lips = [i for i in range(count) if _is_lip(corners[i], corners[(i + 1) % count])]
    straight = {i for i in lips if turned.vertices[i].bulge == 0.0}
    for i, j in zip(lips, [*lips[1:], *lips[:1]], strict=True):
        if not {i, j} <= straight or i == j:
            continue
        start, end = (i + 1) % count, j
        run = [(start + k) % count for k in range((end - start) % count + 1)]
        slot = _slot(turned, corners, run, (low_x, far))
        if slot is not None:
            yield _named(side, quarter, slot)


def _is_lip(a: _Spot, b: _Spot) -> bool:
    return max(a.deep, b.deep) <= ON_SIDE and b.along > a.along


def _slot(turned: Contour, corners: list[_Spot], run: list[int], span: Vec2) -> tuple[float, ...] | None:
    """Middle, opening, lip, inner width and depth of the pocket whose corners are `run`."""
    low, high = corners[run[0]].along, corners[run[-1]].along
    pocket = [*(corners[k] for k in run), *_tops(turned, run, span[1])]
    behind = [
        s for s in pocket if (s.along < low - PAST_LIP or s.along > high + PAST_LIP) and s.deep > ON_SIDE
    ]
    opening, depth = high - low, max(s.deep for s in pocket)
    if not behind or not NARROWEST <= opening <= WIDEST or depth > DEEPEST * (span[1] - span[0]):
        return None
    inner = max(s.along for s in behind) - min(s.along for s in behind)
    if inner < WIDER * opening:
        return None
    return ((low + high) / 2, opening, min(s.deep for s in behind), inner, depth)


def _tops(turned: Contour, run: list[int], far: float) -> Iterator[_Spot]:
    """The middles of the pocket's arcs."""
    for k in run[:-1]:
        a, b = turned.vertices[k], turned.vertices[(k + 1) % len(turned.vertices)]
        if a.bulge != 0.0 and edge_between(a, b).arc is not None:
            x, y = (a.x + b.x) / 2 + a.bulge * (b.y - a.y) / 2, (a.y + b.y) / 2 - a.bulge * (b.x - a.x) / 2
            yield _Spot(y, far - x)


def _named(side: Side, quarter: int, slot: tuple[float, ...]) -> TSlot:
    middle, opening, lip, inner, depth = slot
    at: Vec2 = ((0.0, middle), (-middle, 0.0), (0.0, -middle), (middle, 0.0))[quarter]
    return TSlot(side, at[0] + at[1] + 0.0, opening, lip, inner, depth)
