"""Everything that moves a product's face against the nozzles after they were set, each with its limit.

What is the same at every product is set out at installation. What counts is what changes afterwards: the
product, where guides leave it, how finely a setting is read, what is out of square between two settings, how
the mount's sag differs between them, and what shakes. Limits are in the stand-off direction, mm either way.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mountgen.demand import Demand, Floats
from mountgen.layout.play import cut_limit
from mountgen.layout.rail_mast import MastLayout
from mountgen.structure.records import Shake, Structure
from mountgen.survey.product_list.table import ProductTable
from mountgen.survey.records import Survey
from mountgen.tolerance.records import Cause, Law

PLUMB_DEG = 0.06
"""deg that a post set with a spirit level may be off plumb or bent, 1 mm/m (common practice: a level good to
0.5 mm/m, and as much again for its reading and for the bar)."""

SURFACE = 0.2
"""mm by which a product's underside may rise or fall on rollers and belts (rule of this project)."""


@dataclass(frozen=True)
class Situation:
    """A mount on its line: what causes are computed from. `survey` is the working view."""

    survey: Survey
    demand: Demand
    layout: MastLayout
    structure: Structure

    @property
    def on_top(self) -> NDArray[np.bool_]:
        """Which products are printed from above."""
        result: NDArray[np.bool_] = self.survey.products.face == "top"
        return result

    @property
    def count(self) -> int:
        return len(self.survey.products)


def causes(situation: Situation) -> tuple[Cause, ...]:
    """Every cause that moves any product at all."""
    every = (*_product_causes(situation), *_mount_causes(situation), *_shake_causes(situation))
    return tuple(cause for cause in every if cause.limit.any())


def _product_causes(situation: Situation) -> Iterator[Cause]:
    products, guides = situation.survey.products, situation.survey.guides
    yield Cause(
        "product size",
        "survey",
        _size(products),
        "normal",
        "tolerance of width or height as surveyed",
        "measure ten products and note the tolerance",
    )
    yield Cause(
        "bulge of the printed face",
        "product",
        products.bulge,
        "uniform",
        "how far the face stands out or falls in, from the survey",
        "lay a straight edge on ten filled products",
    )
    yield Cause(
        "skew on the line",
        "product",
        _skew(products),
        "uniform",
        "how far the far end of the code stands off when the product is turned",
        "measure how far products turn, or guide them nearer",
    )
    if guides is not None:
        sideways = ~situation.on_top & np.isnan(products.near_side_at)
        yield Cause(
            "play at the guide",
            "survey",
            np.where(sideways, guides.play, 0.0),
            "uniform",
            "how far a product may wander off its guide, from the survey",
            "set the guides closer, or measure the play",
        )
        yield Cause(
            "place of the other guide",
            "survey",
            np.where(sideways, _other_guide(situation), 0.0),
            "normal",
            "products on another guide than the one that the head was set at",
            "measure both guides' places more exactly",
        )


def _size(products: ProductTable) -> Floats:
    """What the tolerance of a size or of a measured place does to the printed face, mm either way."""
    share = np.select([products.against == "far", products.against == "centre"], [1.0, 0.5], 0.0)
    measured = ~np.isnan(products.near_side_at)
    side = np.where(measured, products.near_side_at_plus_minus, share * products.width_plus_minus)
    result: Floats = np.where(products.face == "top", products.height_plus_minus, side)
    return result


def _skew(products: ProductTable) -> Floats:
    """Half of what the far end of the code stands off when the product is turned, mm."""
    reach = products.from_leading + products.code_along
    away = reach * np.tan(np.radians(products.skew_deg)) / 2
    result: Floats = np.where(products.face == "top", 0.0, away)
    return result


def _other_guide(situation: Situation) -> Floats:
    """Uncertainty of the guides' places for products that lie on another one than the first product.

    From one guide to the other it is that of their distance; to or from the middle, which lies between
    them, half of it.
    """
    products, guides = situation.survey.products, situation.survey.guides
    assert guides is not None
    apart = float(np.hypot(guides.near_y.plus_minus, guides.far_y.plus_minus))
    at = np.select([products.against == "far", products.against == "centre"], [1.0, 0.5], 0.0)
    result: Floats = apart * np.abs(at - at[0])
    return result


def _mount_causes(situation: Situation) -> Iterator[Cause]:
    survey, on_top = situation.survey, situation.on_top
    yield Cause(
        "reading a setting",
        "setting",
        np.full(situation.count, survey.standoff.setting),
        "uniform",
        "what a person sets with a scale and a thumb, from the survey",
        "set the stand-off with a gauge instead of by the scale",
    )
    yield Cause(
        "post out of plumb",
        "setting",
        np.where(on_top, 0.0, _plumb(situation)),
        "normal",
        f"{PLUMB_DEG:g} deg over the travel between settings (common practice)",
        "plumb the post at both ends of its travel",
    )
    yield Cause(
        "arm out of level",
        "cutting",
        np.where(on_top, _level(situation), 0.0),
        "normal",
        "holes of the cross plate, over the arm's travel between settings",
        "level the arm at both ends of its travel",
    )
    yield Cause(
        "tilt stop",
        "cutting",
        _tilt(situation),
        "normal",
        "place of the stop's holes, at the ends of the code",
        "ream the stop's holes together",
    )
    sags = situation.structure.sags
    yield Cause(
        "sag between settings",
        "sag",
        np.full(situation.count, float(np.ptp(sags)) / 2),
        "uniform",
        "the frame under its weight at the extreme settings",
        "take a stiffer post and arm",
    )
    yield Cause(
        "height of the surface",
        "survey",
        np.where(on_top, SURFACE, 0.0),
        "uniform",
        f"rollers and belts rise and fall by {SURFACE:g} mm (rule of this project)",
        "measure along one product's length",
    )


def _plumb(situation: Situation) -> Floats:
    z = situation.layout.settings.pivot_z
    result: Floats = np.abs(z - z[0]) * np.tan(np.radians(PLUMB_DEG))
    return result


def _level(situation: Situation) -> Floats:
    """Rise of the nozzles when the arm goes in and out on a cross plate whose two holes are off."""
    layout, y = situation.layout, situation.layout.settings.tip_y
    apart = 2 * layout.cross_bolts[0]
    slope = cut_limit(situation.survey.work, apart) * np.sqrt(2.0) / apart
    result: Floats = np.abs(y - y[0]) * slope
    return result


def _tilt(situation: Situation) -> Floats:
    """What a turned column does at the ends of the code: the stop's two holes are off on their radius."""
    radius = situation.layout.head.pin_radius
    turn = cut_limit(situation.survey.work, radius) * np.sqrt(2.0) / radius
    result: Floats = situation.survey.products.code_across / 2 * turn
    return result


def _shake_causes(situation: Situation) -> Iterator[Cause]:
    for shake in situation.structure.shaking.lasting:
        law: Law = "arcsine" if shake.frequency_hz > 0 else "normal"
        yield Cause(
            f"shaking: {shake.name}",
            "vibration",
            np.full(situation.count, _amplitude(shake)),
            law,
            shake.source,
            "measure the acceleration on the rail",
        )


def _amplitude(shake: Shake) -> float:
    return abs(shake.standoff)
