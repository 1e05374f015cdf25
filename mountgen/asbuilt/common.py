"""What may be off the same way at every product: where the head then stands against its product.

y runs away from the operator, z up. A head that stands `toward` too far towards the line is nearer to a side,
one that stands `up` too high is farther from a top. Limits are three standard deviations of a normal law, as
everywhere in the tolerance model.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from mountgen.asbuilt.records import Unknown
from mountgen.demand import Floats
from mountgen.layout import rules
from mountgen.layout.bridge import spans
from mountgen.layout.play import cut_limit
from mountgen.tolerance.causes import PLUMB_DEG, Situation
from mountgen.tolerance.installation import saw_limit

POST_SCALE, ARM_SCALE = "post scale's zero", "arm scale's zero"
HOLES_ALONG, HOLES_UP, HOLES_TURNED = "holes along the line", "holes in height", "holes turned"
LEAN, LEVEL = "post out of plumb", "arm out of level"
EYE, SPEED, ENCODER = "photo-eye's place", "line speed", "encoder's counts"

LAID = 1.0
"""mm that a strip or a template may be laid off its place (rule of this project)."""
TURNED = 0.3
"""deg that a template may be laid turned (rule of this project)."""
SPEED_OFF, ENCODER_OFF = 10.0, 3.0
"""Per cent that a line's speed may be off what was surveyed, and an encoder off its wheel's circumference by
slip, wear and load (rule of this project)."""
SIGMAS = 3.0
RAD = math.pi / 180.0


@dataclass(frozen=True)
class Common:
    """An unknown, and what one unit of it does to the head at every product, mm."""

    unknown: Unknown
    toward: Floats
    up: Floats


def commons(situation: Situation) -> tuple[Common, ...]:
    """Every unknown that moves the head, those without uncertainty left out."""
    return tuple(one for one in _every(situation) if one.unknown.sigma > 0.0)


def _every(situation: Situation) -> Iterator[Common]:
    yield from _scales(situation)
    yield from _across(situation)
    yield from _heights(situation)
    yield from _angles(situation)


def _scales(situation: Situation) -> Iterator[Common]:
    told = (
        f"positive: the strip begins too far {{}}; strips are laid within {LAID:g} mm (rule of this project)"
    )
    yield _shift(situation, POST_SCALE, LAID, told.format("up"), up=1.0)
    inwards = "towards the operator" if spans(situation.survey) else "towards the line"
    yield _shift(situation, ARM_SCALE, LAID, told.format(inwards), toward=-1.0)


def _across(situation: Situation) -> Iterator[Common]:
    survey, layout = situation.survey, situation.layout
    bent = math.hypot(survey.work.bend_line, cut_limit(survey.work, layout.post.size))
    told = "positive: too near to the line; bend and holes of the rail angle"
    yield _shift(situation, "post across the line", bent, told, toward=1.0)
    sawn = saw_limit(survey, layout.arm_length)
    yield _shift(situation, "arm's length", sawn, "positive: too long; as sawn", toward=1.0)
    if survey.guides is not None:
        products = survey.products
        far = np.select([products.against == "far", products.against == "centre"], [1.0, 0.5], 0.0)
        placed = np.isnan(products.near_side_at)
        told = "positive: farther from the operator than surveyed"
        for name, guide, share in (
            ("near guide's place", survey.guides.near_y, 1.0 - far),
            ("far guide's place", survey.guides.far_y, far),
        ):
            unknown = Unknown(name, "mm", guide.plus_minus / SIGMAS, told)
            yield Common(unknown, -np.where(placed, share, 0.0), np.zeros(situation.count))


def _heights(situation: Situation) -> Iterator[Common]:
    survey = situation.survey
    rail = survey.rail.top_above_surface.plus_minus
    yield _shift(situation, "rail's height", rail, "positive: higher over the surface than surveyed", up=1.0)
    told = "positive: too high; how a template is laid (rule of this project)"
    yield _shift(situation, HOLES_UP, LAID, told, up=1.0)
    told = "positive: too high; set in its slots, as exactly as the rail is drilled"
    yield _shift(situation, "rail angle in its slots", survey.work.drill, told, up=1.0)


def _angles(situation: Situation) -> Iterator[Common]:
    """Turns about the first product's setting: what they shift there is in the zeros."""
    layout, none = situation.layout, np.zeros(situation.count)
    z, y = layout.settings.pivot_z, layout.settings.tip_y
    told = f"positive: leans towards the line; {PLUMB_DEG:g} deg by a spirit level (common practice)"
    yield Common(Unknown(LEAN, "deg", PLUMB_DEG / SIGMAS, told), (z - z[0]) * math.tan(RAD), none)
    apart = 2 * layout.cross_bolts[0]
    slope = cut_limit(situation.survey.work, apart) * math.sqrt(2.0) / apart / RAD
    told = "positive: rises towards the line; holes of the cross plate"
    yield Common(Unknown(LEVEL, "deg", slope / SIGMAS, told), none, (y - y[0]) * math.tan(RAD))


def _shift(
    situation: Situation, name: str, limit: float, told: str, *, toward: float = 0.0, up: float = 0.0
) -> Common:
    count = situation.count
    unknown = Unknown(name, "mm", limit / SIGMAS, told)
    return Common(unknown, np.full(count, toward), np.full(count, up))


def apart_from_head() -> tuple[Unknown, ...]:
    """The unknowns that move the head not at all, or only along the line."""
    rule = "(rule of this project)"
    return (
        Unknown(HOLES_ALONG, "mm", LAID / SIGMAS, f"positive: to the right; how a template is laid {rule}"),
        Unknown(
            HOLES_TURNED, "deg", TURNED / SIGMAS, f"positive: anticlockwise; a template laid turned {rule}"
        ),
        Unknown(EYE, "mm", rules.EYE_TRAVEL / SIGMAS, "positive: farther upstream; anywhere in its slot"),
        Unknown(SPEED, "%", SPEED_OFF / SIGMAS, f"positive: faster than surveyed {rule}"),
        Unknown(ENCODER, "%", ENCODER_OFF / SIGMAS, f"negative: too few counts, as with slip {rule}"),
    )
