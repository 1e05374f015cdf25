"""The stand-off budget: everything that moves the product's face away from where the nozzles were set.

What is the same at every product is set out at installation. What counts is what changes afterwards:
the product itself, how finely a setting is read, and how the mount's sag differs between settings.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from mountgen.checks.records import Check, Subject, at_most
from mountgen.checks.scene import Scene
from mountgen.demand import Floats
from mountgen.mechanics.tolerances import Contribution, root_sum_square, worst_case
from mountgen.survey.records import Product

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
    faces = [_face(product) for product in products]
    return (
        Contribution("product size", np.array([face[0] for face in faces]), "survey"),
        Contribution("bulge of the printed face", np.array([p.bulge for p in products]), "survey"),
        Contribution("skew on the line", np.array([face[1] for face in faces]), "survey"),
        Contribution("reading a setting", np.full(len(products), survey.standoff.setting), "survey"),
        Contribution("sag between settings", np.full(len(products), sag), "first-order stiffness"),
    )


def worst_by_product(scene: Scene) -> Floats:
    """mm that the product's face may stand off from where it should be, either way."""
    return np.atleast_1d(np.asarray(worst_case(contributions(scene)), dtype=np.float64))


def _face(product: Product) -> tuple[float, float]:
    """What size tolerance and skew do to the printed face, mm either way."""
    if product.code.face == "top":
        return product.height.plus_minus, 0.0
    share = {"near": 0.0, "centre": 0.5, "far": 1.0}[product.against]
    if product.near_side_at is not None:
        size = product.near_side_at.plus_minus
    else:
        size = share * product.width.plus_minus
    reach = product.code.from_leading + product.code.size[0]
    return size, reach * math.tan(math.radians(product.skew_deg)) / 2


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
