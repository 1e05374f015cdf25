"""Cost against another figure as inline SVG: full marks for mounts worked out, faint ones for estimates.

A line joins the candidates that no other beats in both figures. Colours come from the page's style sheet.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from html import escape

from mountgen.options.records import FamilyOptions, Figures, front
from mountgen.package.drawing_words import plain
from mountgen.package.svg import number

WIDE, HIGH, LEFT, BELOW, EDGE, WORDS = 720.0, 300.0, 62.0, 64.0, 18.0, 15.0
TICKS = 5
SHAPES = ("circle", "square", "triangle", "diamond", "cross", "bar")
"""A mark for each family, so that none is told by its colour alone."""


@dataclass(frozen=True)
class Against:
    """What is drawn upwards: its title with the unit, its value, and whether more of it is better, and
    whether its axis begins at nothing."""

    title: str
    value: Callable[[Figures], float]
    more_is_better: bool = False
    from_zero: bool = False


AGAINST = (
    Against("first frequency, Hz", lambda f: f.frequency_hz, more_is_better=True),
    Against("mass, kg", lambda f: f.mass_kg),
    Against("time to install, min", lambda f: f.install_s / 60, from_zero=True),
)


@dataclass(frozen=True)
class _Axis:
    """Values from `low` to `high`, drawn from `start` to `end`."""

    low: float
    high: float
    step: float
    start: float
    end: float

    def at(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    @property
    def ticks(self) -> list[float]:
        return [self.low + k * self.step for k in range(round((self.high - self.low) / self.step) + 1)]


def axis(values: Sequence[float], start: float, end: float) -> _Axis:
    """Round numbers around all values."""
    low, high = min(values), max(values)
    room = max(high - low, 0.05 * abs(high), 1e-6)
    rough = room / TICKS
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * m for m in (1, 2, 5, 10) if power * m >= rough)
    first, last = math.floor(low / step) * step, math.ceil(high / step) * step
    return _Axis(first, last if last > first else first + step, step, start, end)


def chart(families: Sequence[FamilyOptions], against: Against, currency: str) -> str:
    """A figure with its caption; '' where there is nothing to draw."""
    drawn = [one for one in families if one.mounts]
    everything = [f for one in drawn for f in (*one.points, *(mount.figures for mount in one.mounts))]
    if not everything:
        return ""
    across = axis([figures.cost for figures in everything], LEFT, WIDE - EDGE)
    values = [against.value(figures) for figures in everything]
    upwards = axis([*values, 0.0] if against.from_zero else values, HIGH, EDGE)
    label = escape(f"Cost against {against.title}, {len(everything)} candidates.")
    marks = (
        *_grid(across, upwards, (f"cost, {currency}", against.title)),
        *_front(everything, against, (across, upwards)),
        *_marks(families, against, (across, upwards)),
    )
    svg = f'<svg viewBox="0 0 {number(WIDE)} {number(HIGH + BELOW)}" role="img" aria-label="{label}">'
    return f"<figure>{svg}{''.join(marks)}</svg></figure>\n"


def _grid(across: _Axis, upwards: _Axis, titles: tuple[str, str]) -> Iterator[str]:
    for value in across.ticks:
        x = number(across.at(value))
        yield f'<path class="grid" d="M{x} {number(EDGE)}V{number(HIGH)}"/>'
        y = number(HIGH + WORDS + 10)
        yield f'<text x="{x}" y="{y}" text-anchor="middle">{_told(value, across)}</text>'
    for value in upwards.ticks:
        level = upwards.at(value)
        yield f'<path class="grid" d="M{number(LEFT)} {number(level)}H{number(WIDE - EDGE)}"/>'
        x = number(LEFT - 8)
        yield f'<text x="{x}" y="{number(level + 5)}" text-anchor="end">{_told(value, upwards)}</text>'
    foot = number(HIGH + 2 * WORDS + 24)
    yield f'<text x="{number(WIDE - EDGE)}" y="{foot}" text-anchor="end">{escape(titles[0])} →</text>'
    yield f'<text x="{number(LEFT)}" y="{foot}">↑ {escape(titles[1])}</text>'


def _told(value: float, scale: _Axis) -> str:
    return plain(value, max(0, -math.floor(math.log10(scale.step) + 1e-9)))


def _front(everything: Sequence[Figures], against: Against, axes: tuple[_Axis, _Axis]) -> Iterator[str]:
    sign = -1.0 if against.more_is_better else 1.0
    best = front((figures.cost, sign * against.value(figures)) for figures in everything)
    places = [f"{number(axes[0].at(x))} {number(axes[1].at(sign * y))}" for x, y in best]
    if len(places) > 1:
        yield f'<path class="front" d="M{"L".join(places)}"/>'


def _marks(families: Sequence[FamilyOptions], against: Against, axes: tuple[_Axis, _Axis]) -> Iterator[str]:
    """Faint ones first, so that those worked out lie above them."""
    for at, family in enumerate(families):
        for figures in family.points:
            yield _mark(at, (axes[0].at(figures.cost), axes[1].at(against.value(figures))), "guess")
    for at, family in enumerate(families):
        for mount in family.mounts:
            figures = mount.figures
            yield _mark(at, (axes[0].at(figures.cost), axes[1].at(against.value(figures))), "full")


def _mark(family: int, at: tuple[float, float], kind: str) -> str:
    size = 7.0 if kind == "full" else 4.0
    return f'<path class="{kind} family-{family}" d="{shape_path(family, at, size)}"/>'


def shape_path(family: int, at: tuple[float, float], size: float) -> str:
    """The mark of a family, by its place among all."""
    x, y = at
    name, r = SHAPES[family % len(SHAPES)], size
    if name == "circle":
        n = number(r)
        return (
            f"M{number(x - r)} {number(y)}a{n} {n} 0 1 0 {number(2 * r)} 0a{n} {n} 0 1 0 {number(-2 * r)} 0Z"
        )
    corners: dict[str, tuple[tuple[float, float], ...]] = {
        "square": ((-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)),
        "triangle": ((0, -1.15), (1.1, 0.8), (-1.1, 0.8)),
        "diamond": ((0, -1.25), (1.0, 0), (0, 1.25), (-1.0, 0)),
        "cross": ((-1, -1), (0, -0.4), (1, -1), (0.4, 0), (1, 1), (0, 0.4), (-1, 1), (-0.4, 0)),
        "bar": ((-1.3, -0.5), (1.3, -0.5), (1.3, 0.5), (-1.3, 0.5)),
    }
    return "M" + "L".join(f"{number(x + r * dx)} {number(y + r * dy)}" for dx, dy in corners[name]) + "Z"
