"""Where the views of a part stand on a sheet, and how large: flat pattern, sections, folded views.

Every view is a block of paper. For each choice of scales (ISO 5455) the blocks are packed from the upper
left corner; the most legible choice wins. The flat and the sections are *legible* at full size, the folded
views, which carry no dimension, at half of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

from mountgen.geometry import Vec2, dot
from mountgen.package.drawing_flat import FlatRequest, FlatView, Window, plan_flat
from mountgen.package.drawing_folded import Folded, view_sizes
from mountgen.package.drawing_labels import Patch
from mountgen.package.drawing_notes import PartOrder
from mountgen.package.drawing_paper import CAPTION, CLEAR, SCALES
from mountgen.package.drawing_section import Section
from mountgen.package.drawing_section_view import SectionPlan, plan_section
from mountgen.units import System

PARALLEL = 1.0 - 1e-9
SECTION_SCALES = SCALES[1:]
"""At 5:1 the labels of a section stand no better than at 2:1."""
FOLDED_SHARE = 2.0
"""The folded views may be this much smaller than the flat and the sections."""


@dataclass(frozen=True)
class Shown:
    """Which views of a part a sheet shows: the flat, and the sections with the folded views."""

    order: PartOrder
    sections: tuple[Section, ...]
    flat: bool = True

    @property
    def folded(self) -> bool:
        """A part without bends has neither sections nor folded views."""
        return bool(self.sections)


@dataclass(frozen=True)
class Scales:
    """Of the flat, of the sections and of the folded views; 0 for what is not shown."""

    flat: float
    section: float
    folded: float

    @property
    def smallest(self) -> float:
        """Of all that is shown, the folded views counted by what they need."""
        shown = (self.flat, self.section, FOLDED_SHARE * self.folded)
        return min(scale for scale in shown if scale)

    @property
    def rank(self) -> tuple[float, ...]:
        """Sorts choices, the best first."""
        return (-min(1.0, self.smallest), -self.smallest, -self.flat, -self.section, -self.folded)


@dataclass(frozen=True)
class Arrangement:
    """Upper left corners of the blocks: flat, each section, folded views, as many as are shown; then of the
    tables that were placed among them."""

    shown: Shown
    scales: Scales
    area: Patch
    corners: tuple[Vec2, ...]
    sizes: tuple[Vec2, ...]
    tables: tuple[Vec2, ...]

    @property
    def main_scale(self) -> float:
        return self.scales.flat or self.scales.section

    @property
    def flat_view(self) -> FlatView | None:
        """The flat with the upper left corner of all it covers under its caption."""
        if not self.shown.flat:
            return None
        x, y = self.corners[0]
        room = _room(self.area)
        low = _flat(self.shown.order, Window((0.0, 0.0), self.scales.flat), room).covered.low
        window = Window((x - low[0], y + CAPTION - low[1]), self.scales.flat)
        return _flat(self.shown.order, window, room)

    @property
    def section_plans(self) -> list[SectionPlan]:
        """Every section under its caption."""
        scale, corners = self.scales.section, self.corners[int(self.shown.flat) :]
        lows = [plan.covered.low for plan in _sections_at(self.shown, scale, [(0.0, 0.0)] * len(corners))]
        places = [(x - low[0], y + CAPTION - low[1]) for low, (x, y) in zip(lows, corners, strict=False)]
        return _sections_at(self.shown, scale, places)

    @property
    def folded(self) -> tuple[Folded, Vec2] | None:
        """The folded views and the upper left corner under their caption."""
        if not self.shown.folded:
            return None
        x, y = self.corners[-1]
        return _folded(self.shown, self.scales.folded), (x, y + CAPTION)

    @property
    def flat_area(self) -> Patch:
        """The paper that labels of the flat may use: up to the next blocks."""
        (x, y), (wide, tall) = self.corners[0], self.sizes[0]
        others = (*self.corners[1:], *self.tables)
        beside = [corner[0] for corner in others if corner[0] >= x + wide]
        right = min(beside, default=self.area.high[0])
        below = [corner[1] for corner in others if corner[1] >= y + tall and corner[0] < right]
        bottom = min(below, default=self.area.high[1])
        return Patch((x, y + CAPTION - 1.0), (right, bottom))


_Maker = Callable[[Shown, float, Patch], list[Vec2]]


def best_arrangement(shown: Shown, area: Patch, tables: Sequence[Vec2] = ()) -> Arrangement | None:
    """The most legible arrangement that fits, with tables of these sizes (mm of paper) where the views leave
    room; None when even the smallest scales do not fit."""
    return min(_fitting(shown, area, tables), key=lambda found: found.scales.rank, default=None)


def smallest_arrangement(shown: Shown, area: Patch) -> Arrangement:
    """For a part that is too large for any scale: everything from the corner, over the area's end."""
    choice = [(scales[-1], make) for scales, make in _makers(shown)]
    sizes = tuple(size for scale, make in choice for size in make(shown, scale, area))
    scales = Scales(*(scale for scale, _ in choice))
    return Arrangement(shown, scales, area, tuple(area.low for _ in sizes), sizes, ())


def _fitting(shown: Shown, area: Patch, tables: Sequence[Vec2]) -> Iterator[Arrangement]:
    choices = [{scale: make(shown, scale, area) for scale in scales} for scales, make in _makers(shown)]
    room = (area.high[0] - area.low[0], area.high[1] - area.low[1])
    for scales in product(*choices):
        sizes = tuple(size for made, scale in zip(choices, scales, strict=True) for size in made[scale])
        corners = pack(sizes, tables, room)
        if corners is not None:
            placed = tuple((area.low[0] + x, area.low[1] + y) for x, y in corners)
            views, beside = placed[: len(sizes)], placed[len(sizes) :]
            yield Arrangement(shown, Scales(*scales), area, views, sizes, beside)


def _makers(shown: Shown) -> list[tuple[tuple[float, ...], _Maker]]:
    """The scales to try for flat, sections and folded views, and what measures their blocks."""
    wanted = (shown.flat, shown.folded, shown.folded)
    tried = (SCALES, SECTION_SCALES, SCALES)
    makers = (_flat_blocks, _section_blocks, _folded_blocks)
    return [
        (scales if there else (0.0,), make) for there, scales, make in zip(wanted, tried, makers, strict=True)
    ]


def pack(views: Sequence[Vec2], tables: Sequence[Vec2], room: Vec2) -> list[Vec2] | None:
    """Upper left corners of blocks in a room: each as high as it goes beside or below those before it, views
    then as far left, tables as far right; None when one finds no place."""
    placed: list[tuple[Vec2, Vec2]] = []
    for i, size in enumerate((*views, *tables)):
        xs = [0.0, *(corner[0] + own[0] + CLEAR for corner, own in placed)]
        ys = [0.0, *(corner[1] + own[1] + CLEAR for corner, own in placed)]
        ways = sorted(xs) if i < len(views) else [room[0] - size[0], *sorted(xs, reverse=True)]
        free = ((x, y) for y in sorted(ys) for x in ways if _is_free((x, y), size, placed, room))
        corner = next(free, None)
        if corner is None:
            return None
        placed.append((corner, size))
    return [corner for corner, _ in placed]


def _is_free(at: Vec2, size: Vec2, placed: Sequence[tuple[Vec2, Vec2]], room: Vec2) -> bool:
    if at[0] < 0.0 or at[0] + size[0] > room[0] or at[1] + size[1] > room[1]:
        return False
    own = Patch(at, (at[0] + size[0] + CLEAR, at[1] + size[1] + CLEAR))
    return not any(own.overlaps(Patch(c, (c[0] + s[0] + CLEAR, c[1] + s[1] + CLEAR))) for c, s in placed)


def _flat_blocks(shown: Shown, scale: float, area: Patch) -> list[Vec2]:
    """Paper of the flat with its caption."""
    if not scale:
        return []
    return [_block(_flat(shown.order, Window((0.0, 0.0), scale), _room(area)).covered)]


def _section_blocks(shown: Shown, scale: float, _: Patch) -> list[Vec2]:
    """Paper of every section with its caption."""
    plans = _sections_at(shown, scale, [(0.0, 0.0)] * len(shown.sections))
    return [_block(plan.covered) for plan in plans]


def _folded_blocks(shown: Shown, scale: float, _: Patch) -> list[Vec2]:
    """Paper of the folded views with their caption."""
    if not scale:
        return []
    wide, tall = _folded(shown, scale).size
    return [(wide, tall + CAPTION)]


def _block(patch: Patch) -> Vec2:
    return (patch.high[0] - patch.low[0], patch.high[1] - patch.low[1] + CAPTION)


def _room(area: Patch) -> Vec2:
    return (area.high[0] - area.low[0], area.high[1] - area.low[1] - CAPTION)


def _flat(order: PartOrder, window: Window, room: Vec2) -> FlatView:
    return plan_flat(FlatRequest(order.flat, order.units, order.tabled), window, room)


def _folded(shown: Shown, scale: float) -> Folded:
    views = shown.order.views
    return Folded(views, view_sizes(views), shown.sections, scale, shown.order.style.projection)


def _sections_at(shown: Shown, scale: float, origins: Sequence[Vec2]) -> list[SectionPlan]:
    """Every section with its own origin on the paper."""
    found = shown.sections
    return [
        _planned(one, _told(found[:i], one), shown.order.units, Window(origin, scale))
        for i, (one, origin) in enumerate(zip(found, origins, strict=False))
    ]


@lru_cache(maxsize=64)
def _planned(section: Section, told: frozenset[str], units: System, window: Window) -> SectionPlan:
    """Kept, since every sheet that is tried asks for the same few."""
    return plan_section(section, told, units, window)


def _told(before: Sequence[Section], section: Section) -> frozenset[str]:
    """Flanges whose length a parallel section before this one tells."""
    parallel = (one for one in before if abs(dot(one.cut.z_axis, section.cut.z_axis)) > PARALLEL)
    return frozenset(name for one in parallel for name in one.flanges)
