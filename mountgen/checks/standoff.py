"""The stand-off budget: everything that moves the product's face away from where the nozzles were set.

What is the same at every product is set out at installation. What counts is what changes afterwards:
the product itself, how finely a setting is read, and how the mount's sag differs between settings.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from mountgen.checks.records import Check, Subject, at_most
from mountgen.checks.scene import Scene
from mountgen.demand import Floats
from mountgen.mechanics.tolerances import Contribution, root_sum_square, worst_case
from mountgen.survey.product_list.table import ProductTable

BUDGET = "worst case: sum of limits (interval arithmetic); RSS: propagation of variance"
NEAR_ENOUGH = 0.2
"""mm of margin below which the stand-off is tight."""


def checks(scene: Scene) -> Iterator[Check]:
    parts = contributions(scene)
    yield _worst(scene, np.atleast_1d(np.asarray(worst_case(parts))))
    yield _rss(scene, np.atleast_1d(np.asarray(root_sum_square(parts))))


def contributions(scene: Scene) -> tuple[Contribution, ...]:
    """Each cause with its limit for every product, mm."""
    products, survey = scene.survey.products, scene.survey
    sag = float(np.ptp(scene.layout.sag)) / 2
    play = 0.0 if survey.guides is None else survey.guides.play
    sideways = (products.face != "top") & np.isnan(products.near_side_at)
    return (
        Contribution("product size", _size(products), "survey"),
        Contribution("bulge of the printed face", products.bulge, "survey"),
        Contribution("skew on the line", _skew(products), "survey"),
        Contribution("play at the guide", np.where(sideways, play, 0.0), "survey"),
        Contribution("reading a setting", np.full(len(products), survey.standoff.setting), "survey"),
        Contribution("sag between settings", np.full(len(products), sag), "first-order stiffness"),
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


def worst_by_product(scene: Scene) -> Floats:
    """mm that the product's face may stand off from where it should be, either way."""
    return np.atleast_1d(np.asarray(worst_case(contributions(scene)), dtype=np.float64))


def _worst(scene: Scene, spread: Floats) -> Check:
    standoff = scene.survey.standoff
    low, high = standoff.acceptable
    room = min(standoff.target - low, high - standoff.target)
    worst = int(np.argmax(spread))
    title = f"stand-off of {scene.demand.names[worst]!r}, worst case, inside the acceptable band"
    subject = Subject("standoff_worst", title, "mm", BUDGET)
    remedy = _remedy(scene, worst)
    return at_most(subject, float(spread[worst]), room, remedy, NEAR_ENOUGH)


def _rss(scene: Scene, spread: Floats) -> Check:
    standoff = scene.survey.standoff
    room = min(standoff.target - standoff.best[0], standoff.best[1] - standoff.target)
    worst = int(np.argmax(spread))
    title = f"stand-off of {scene.demand.names[worst]!r}, root sum square, inside the best band"
    subject = Subject("standoff_rss", title, "mm", BUDGET)
    return at_most(subject, float(spread[worst]), room, _remedy(scene, worst), NEAR_ENOUGH / 2)


def _remedy(scene: Scene, product: int) -> str:
    """Names the largest cause, which is where to begin."""
    parts = contributions(scene)
    sizes = [float(np.atleast_1d(part.limit)[product]) for part in parts]
    largest = int(np.argmax(sizes))
    cause = f"{parts[largest].name}, {sizes[largest]:.2f} mm"
    return f"reduce the spread by {{}} mm: the largest cause is {cause}"
