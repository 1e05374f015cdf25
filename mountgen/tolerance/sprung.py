"""The floating head carriage: a roller on the product holds the gap, a spring holds it there.

What lies between roller and nozzles still moves the gap: the face between the two, the roller's run-out, the
setting against the roller, the shaking. All else the carriage follows, over its travel. The spring must press
hard enough to follow the product's face at line speed, and softly enough to leave the product where it is.
"""

from __future__ import annotations

import math

import numpy as np

from mountgen.layout import rules
from mountgen.mechanics.vibration import MM_PER_G, spectrum_rms
from mountgen.structure.shaking import PEAKS, measured_spectrum, product_masses
from mountgen.tolerance.budget import limits, sampled_gaps, shares_of
from mountgen.tolerance.causes import Situation
from mountgen.tolerance.records import Cause, Sprung

ROLLER_AHEAD = 40.0
"""mm from the roller's contact to the nozzle column, upstream."""
RUN_OUT = 0.1
"""mm of the roller, either way (rule of this project: a turned roller on a ball bearing)."""
CARRIAGE_KG = 0.4
"""kg of slide, roller and bracket, besides the head."""
RATES = (0.05, 0.1, 0.2, 0.35, 0.5, 0.8, 1.2)
"""N/mm of the springs to choose from (invented, rule of this project)."""
LONGEST_PRELOAD = 60.0
"""mm by which a spring may be stretched before the roller touches."""
SLIDE_FRICTION = 0.1
BELT_FRICTION = 0.3
"""Of a product on belt or rollers, at least (common practice: board on steel 0.2 to 0.4)."""
SURPLUS = 1.5
"""Force of contact over what the face's movement asks for."""
MOST_FORCE = 20.0
"""N that a carton's side bears from a roller without a mark (rule of this project)."""
SPARE_TRAVEL = 2.0
ENOUGH_ACCEPTABLE = 0.997
FOLLOWED = frozenset({"survey", "cutting", "bending", "sag"})
"""Origins of causes that the carriage follows."""


def sprung(situation: Situation, found: tuple[Cause, ...]) -> Sprung:
    """What a sprung carriage would do on this line."""
    standoff = situation.survey.standoff
    left = remaining(situation, found)
    shares = shares_of(sampled_gaps(left, standoff, situation.count), standoff)
    worst, _ = limits(found, situation.count)
    travel = 2 * float(worst.max()) + SPARE_TRAVEL
    needed, borne = _needed_force(situation), _borne_weight(situation)
    allowed = min(MOST_FORCE, _holding_force(situation))
    preload = max(needed - borne, 0.0)
    rate = next((k for k in RATES if preload / k <= LONGEST_PRELOAD), RATES[-1])
    least = preload + borne
    most = least + rate * travel
    holds, gentle = shares.acceptable >= ENOUGH_ACCEPTABLE, most <= allowed
    return Sprung(
        travel=travel,
        spring_n_per_mm=rate,
        own_hz=math.sqrt(1000.0 * rate / _mass(situation)) / (2 * math.pi),
        least_force=least,
        most_force=most,
        share_best=shares.best,
        share_acceptable=shares.acceptable,
        touch=shares.touch,
        works=holds and gentle,
        why=_why(holds=holds, gentle=gentle, most=most, allowed=allowed),
    )


def _why(*, holds: bool, gentle: bool, most: float, allowed: float) -> str:
    if not gentle:
        return f"the roller would press with {most:.1f} N, and products bear {allowed:.1f} N"
    if not holds:
        return "the face between roller and nozzles is too uneven"
    return "the roller follows the face and leaves the product where it is"


def remaining(situation: Situation, found: tuple[Cause, ...]) -> tuple[Cause, ...]:
    """The causes that a roller ahead of the nozzles does not follow, and its own."""
    products = situation.survey.products
    bulge = Cause(
        "face between roller and nozzles",
        "product",
        products.bulge * np.minimum(1.0, np.pi * ROLLER_AHEAD / products.length),
        "uniform",
        "slope of the bulge over the roller's lead",
        "put the roller nearer to the nozzles",
    )
    skew = Cause(
        "skew between roller and nozzles",
        "product",
        np.where(situation.on_top, 0.0, ROLLER_AHEAD * np.tan(np.radians(products.skew_deg))),
        "uniform",
        "turn of the product over the roller's lead",
        "put the roller nearer to the nozzles",
    )
    own = Cause(
        "run-out of the roller",
        "device",
        np.full(situation.count, RUN_OUT),
        "arcsine",
        "rule of this project",
        "measure it with a dial gauge",
    )
    kept = [c for c in found if c.origin not in FOLLOWED and c.origin != "product"]
    return (bulge, skew, own, *kept)


def _mass(situation: Situation) -> float:
    return situation.survey.head.mass_kg + CARRIAGE_KG


def _borne_weight(situation: Situation) -> float:
    """What the roller bears of the carriage's weight, N: all of it where every product is printed from above;
    on a slide that lies level, none."""
    return _mass(situation) * rules.GRAVITY if situation.on_top.all() else 0.0


def _needed_force(situation: Situation) -> float:
    """N with which the roller stays on the face: the carriage's inertia, on the face's bulge and under what
    shakes the line, and the friction of its slide where its weight lies on it."""
    inertia = _mass(situation) * (_bulge_acceleration(situation) + _shaking_acceleration(situation)) / 1000.0
    lying = 0.0 if situation.on_top.all() else SLIDE_FRICTION * _mass(situation) * rules.GRAVITY
    return SURPLUS * (inertia + lying)


def _bulge_acceleration(situation: Situation) -> float:
    """a (2 pi v / L)^2, mm/s2, along a bulge of height a on a product of length L."""
    products, speed = situation.survey.products, situation.survey.line.speed_mm_per_s
    swing = 2 * math.pi * speed / products.length
    return float((products.bulge * swing**2).max())


def _shaking_acceleration(situation: Situation) -> float:
    """s (2 pi f)^2 of every steady shake at the nozzles, together, mm/s2; of a measured band its peaks."""
    shaking, measured = situation.structure.shaking.lasting, measured_spectrum(situation.survey)
    if measured is not None:
        return PEAKS * MM_PER_G * spectrum_rms(measured)
    return math.hypot(*(abs(s.standoff) * (2 * math.pi * s.frequency_hz) ** 2 for s in shaking))


def _holding_force(situation: Situation) -> float:
    """What the lightest product takes sideways before it slides, N; from above it only stands firmer."""
    sideways = product_masses(situation.survey, situation.demand)[~situation.on_top]
    return math.inf if sideways.size == 0 else BELT_FRICTION * rules.GRAVITY * float(sideways.min())
