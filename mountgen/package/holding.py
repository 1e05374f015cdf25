"""The part of the feasibility page that answers whether the nozzles stay where they were set.

Figures first, then how the stand-off is spread over all products and which causes spread it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

import numpy as np

from mountgen.checks.scene import Scene
from mountgen.package.drawing_words import plain
from mountgen.package.svg import number
from mountgen.survey.records import StandOff
from mountgen.tolerance.records import Budget, Effect, Fit, Histogram, Sprung
from mountgen.units import System, format_length

WIDE, HIGH, EDGE, WORDS = 720.0, 250.0, 40.0, 15.0
"""Units of the histogram: its width, its bars' greatest height, its margin, its words' height."""
BELOW = 3 * WORDS
"""Units under the bars: the axis and the names of the bands."""
LEAST_SHARE = 0.005
"""Causes that make up less of the spread are told together."""


@dataclass(frozen=True)
class Holding:
    """The figures of the page: sag in the stand-off direction at the softest pose and how much it differs
    between settings, mm; the slowest natural frequencies with what shakes nearest to the first; the least
    slip margin (0 at the limit) with its joint."""

    sag: float
    sag_change: float
    frequencies_hz: tuple[float, ...]
    nearest: str
    separation: float
    slip_margin: float
    slip_joint: str
    budget: Budget
    fit: Fit


def holding_of(scene: Scene) -> Holding:
    """The figures of a mount."""
    structure, shaking = scene.structure, scene.structure.shaking
    sags = structure.sags
    slowest = min(structure.poses, key=lambda pose: float(pose.frequencies_hz[0]))
    slips = min(scene.joint_margins, key=lambda margins: margins.slip.margin)
    return Holding(
        sag=float(np.abs(sags).max()),
        sag_change=float(np.ptp(sags)),
        frequencies_hz=tuple(slowest.frequencies_hz.tolist()),
        nearest=shaking.nearest,
        separation=shaking.separation,
        slip_margin=slips.slip.margin,
        slip_joint=slips.title,
        budget=scene.budget,
        fit=scene.fit,
    )


def holding_section(holding: Holding, standoff: StandOff, units: System) -> str:
    """The section's inner HTML."""
    budget = holding.budget
    parts = [
        f"<ul>\n{''.join(f'<li>{escape(line)}</li>' for line in figures(holding, units))}</ul>\n",
        histogram(budget, standoff, units),
        _effects(budget, units),
        _sprung(budget.sprung, units),
    ]
    return "".join(parts)


def figures(holding: Holding, units: System) -> Iterator[str]:
    """The main figures, one sentence each."""
    budget = holding.budget
    sag, change = (format_length(value, units, 2) for value in (holding.sag, holding.sag_change))
    yield f"The nozzles sag by {sag}; that changes by {change} between settings, which counts."
    slowest = ", ".join(plain(f, 1) for f in holding.frequencies_hz[:3])
    yield f"It swings at {slowest} Hz{_nearest(holding)}."
    if holding.slip_joint:
        hold = plain(min(1 + holding.slip_margin, 99.0), 1)
        yield f"The joint that would slip first, {holding.slip_joint}, holds {hold} times its load."
    best, acceptable = percent(budget.share_best), percent(budget.share_acceptable)
    yield (
        f"{best} of {budget.samples} sampled products are printed inside the best band, {acceptable} inside "
        f"the acceptable one; {touching(budget)}."
    )
    yield _fitting(holding.fit)


def _fitting(fit: Fit) -> str:
    """How many of the mounts made go together, and what hinders the others."""
    least = fit.joints[0]
    hinders = f"; most of the others stop at {least.name}" if least.share < 1.0 else ""
    return f"{percent(fit.share)} of {fit.samples} virtual mounts go together at the first try{hinders}."


def _nearest(holding: Holding) -> str:
    if not holding.nearest:
        return ", and nothing steady is known to shake the line"
    return f"; nearest to the first is {holding.nearest}, {plain(holding.separation, 2)} times away"


def touching(budget: Budget) -> str:
    """The chance that a product meets the nozzle plate; where none did, no more than three in the number of
    samples (rule of three, 95 % confidence)."""
    if budget.touch > 0.0:
        return f"{percent(budget.touch, 2)} touch the nozzle plate"
    return f"none touches the nozzle plate (fewer than {percent(budget.least_share, 3)}, rule of three)"


def percent(share: float, decimals: int = 1) -> str:
    """A share as a percentage that is never rounded up to all of them."""
    steps = 10**decimals
    shown = share * 100 if share >= 1.0 or share <= 0.0 else min(share * 100, 100 - 1 / steps)
    return f"{plain(shown, decimals)} %"


@dataclass(frozen=True)
class _Axis:
    """mm of gap to units of the picture."""

    low: float
    high: float

    def x(self, gap: float) -> float:
        share = (min(max(gap, self.low), self.high) - self.low) / (self.high - self.low)
        return EDGE + share * (WIDE - 2 * EDGE)


def histogram(budget: Budget, standoff: StandOff, units: System) -> str:
    """How the gap is spread over all sampled products, with the two bands behind it."""
    shown = budget.histogram
    low = min(0.0, float(shown.edges[0]), standoff.acceptable[0])
    axis = _Axis(low, max(float(shown.edges[-1]), standoff.acceptable[1]) + 0.2)
    label = escape(
        f"Gap between nozzle plate and product over {budget.samples} sampled products: "
        f"{percent(budget.share_best)} inside the best band, {percent(budget.share_acceptable)} acceptable."
    )
    size = f"0 0 {number(WIDE)} {number(HIGH + EDGE + BELOW)}"
    marks = (*_bands(axis, standoff), *_bars(axis, shown), *_scale(axis, standoff, units))
    svg = f'<svg viewBox="{size}" role="img" aria-label="{label}">{"".join(marks)}</svg>'
    caption = f"<strong>Stand-off of all products.</strong> {label}"
    return f'<figure class="spread">{svg}<figcaption>{caption}</figcaption></figure>\n'


def _bands(axis: _Axis, standoff: StandOff) -> Iterator[str]:
    for name, (low, high) in (("acceptable", standoff.acceptable), ("best", standoff.best)):
        x, width = axis.x(low), axis.x(high) - axis.x(low)
        shape = f'x="{number(x)}" y="{number(EDGE)}" width="{number(width)}" height="{number(HIGH)}"'
        yield f'<rect class="band {name}" {shape}><title>{name} band</title></rect>'
        at = f'x="{number(x + 4)}" y="{number(EDGE + WORDS * (1.2 if name == "best" else 2.4))}"'
        yield f"<text {at}>{name}</text>"


def _bars(axis: _Axis, shown: Histogram) -> Iterator[str]:
    tallest = float(shown.shares.max())
    for low, high, share in zip(shown.edges[:-1], shown.edges[1:], shown.shares, strict=True):
        if share > 0.0:
            height = HIGH * 0.8 * float(share) / tallest
            x, width = axis.x(float(low)), axis.x(float(high)) - axis.x(float(low))
            place = f'x="{number(x)}" y="{number(EDGE + HIGH - height)}"'
            yield f'<rect class="share" {place} width="{number(width)}" height="{number(height)}"/>'


def _scale(axis: _Axis, standoff: StandOff, units: System) -> Iterator[str]:
    """The axis with the bands' limits, the target and the nozzle plate at 0, as far as their words fit."""
    floor = EDGE + HIGH
    yield f'<path class="bar" d="M{number(EDGE)} {number(floor)}H{number(WIDE - EDGE)}"/>'
    ends = [standoff.target, 0.0, *standoff.best, *standoff.acceptable]
    written: list[float] = []
    for gap in ends:
        x = axis.x(gap)
        yield f'<path class="bar" d="M{number(x)} {number(floor)}v6"/>'
        if all(abs(x - other) >= 62.0 for other in written):
            written.append(x)
            at = f'x="{number(x)}" y="{number(floor + 8 + WORDS)}" text-anchor="middle"'
            yield f"<text {at}>{escape(format_length(gap, units, 1 if units == 'mm' else 2))}</text>"
    for gap, name, anchor in ((0.0, "nozzle plate", "start"), (standoff.target, "target", "middle")):
        at = f'x="{number(axis.x(gap))}" y="{number(floor + 8 + 2.2 * WORDS)}" text-anchor="{anchor}"'
        yield f"<text {at}>{name}</text>"


def _effects(budget: Budget, units: System) -> str:
    """The causes of the spread, the largest first, with bars."""
    shown = [effect for effect in budget.effects if effect.share >= LEAST_SHARE]
    rows = "".join(_effect_row(effect, units) for effect in shown)
    hidden = len(budget.effects) - len(shown)
    rest = f"<p>Left out: {hidden} that make up less than half a per cent each.</p>\n" if hidden else ""
    heads = "".join(
        f'<th scope="col">{head}</th>' for head in ("What spreads it", "Either way", "Share", "Known from")
    )
    table = f"<table>\n<thead><tr>{heads}</tr></thead>\n<tbody>\n{rows}</tbody>\n</table>"
    return f'<h3>What spreads the stand-off</h3>\n<div class="wide">{table}</div>\n{rest}'


def _effect_row(effect: Effect, units: System) -> str:
    width = f"width:{round(100 * effect.share)}%"
    share = f'<span class="bar" aria-hidden="true"><span style="{width}"></span></span>'
    advice = f"<br><em>{escape(effect.measure)}</em>" if effect.measure else ""
    return (
        f'<tr><th scope="row">{escape(effect.name)}</th><td>{format_length(effect.limit, units, 2)}</td>'
        f'<td>{share}<span class="word">{percent(effect.share, 0)}</span></td>'
        f"<td>{escape(effect.origin)}: {escape(effect.tells)}{advice}</td></tr>\n"
    )


def _sprung(sprung: Sprung | None, units: System) -> str:
    """What a floating carriage would do, where the fixed head does not hold the band."""
    if sprung is None:
        return ""
    travel = format_length(sprung.travel, units, 0)
    text = (
        f"A sprung carriage on a roller, {travel} of travel, spring {plain(sprung.spring_n_per_mm, 2)} N/mm, "
        f"swinging by itself at {plain(sprung.own_hz, 1)} Hz, presses the product with "
        f"{plain(sprung.least_force, 1)} to {plain(sprung.most_force, 1)} N: "
        f"{percent(sprung.share_best)} inside the best band, {percent(sprung.share_acceptable)} acceptable. "
        f"{'It would work' if sprung.works else 'It would not work'}: {sprung.why}."
    )
    return f"<h3>Instead of the fixed head</h3>\n<p>{escape(text)}</p>\n"


def effect_lines(effects: Sequence[Effect], units: System) -> Iterator[str]:
    """The causes of the spread for a terminal, the largest first."""
    for effect in effects:
        if effect.share >= LEAST_SHARE:
            bar = "#" * round(20 * effect.share)
            limit = f"+/- {format_length(effect.limit, units, 2)}"
            yield f"{effect.name:<30} {limit:<14} {percent(effect.share, 0):>5} {bar}"
