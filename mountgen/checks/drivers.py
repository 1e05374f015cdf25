"""Of many products: which ones drive the design, and which fall outside what the mount can do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mountgen.checks.clearances import clearance_by_product
from mountgen.checks.scene import Scene
from mountgen.checks.standoff import worst_by_product
from mountgen.demand import Floats
from mountgen.layout import rules
from mountgen.layout.rail_mast import lowest_column

MOST_OUTSIDE = 20
"""Products outside that are named one by one; the others are counted."""


@dataclass(frozen=True)
class Driver:
    """A product that sets a limit of the design: what it is the extreme of, and its value in mm."""

    role: str
    product: str
    value: float


@dataclass(frozen=True)
class Outside:
    """A product that the mount cannot serve, and every reason."""

    product: str
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class ProductReport:
    """How many products there are, who drives the design, and who falls outside (the first ones named)."""

    count: int
    drivers: tuple[Driver, ...]
    outside_count: int
    outside: tuple[Outside, ...]


def product_report(scene: Scene) -> ProductReport:
    """The products of a mount, from its checks' own figures."""
    misses = dict(_misses(scene))
    wrong = np.zeros(len(scene.demand.names), np.bool_)
    for rows in misses.values():
        wrong |= rows
    named = np.flatnonzero(wrong)[:MOST_OUTSIDE].tolist()
    return ProductReport(
        count=len(scene.demand.names),
        drivers=tuple(_drivers(scene)),
        outside_count=int(wrong.sum()),
        outside=tuple(
            Outside(scene.demand.names[row], tuple(reason for reason, rows in misses.items() if rows[row]))
            for row in named
        ),
    )


def _drivers(scene: Scene) -> Iterator[Driver]:
    demand, settings = scene.demand, scene.layout.settings
    extremes: tuple[tuple[str, Floats, bool], ...] = (
        ("highest setting", settings.arm_z, True),
        ("lowest setting", settings.arm_z, False),
        ("farthest in", settings.tip_y, True),
        ("tallest", demand.envelope, True),
        ("shortest", demand.length, False),
        ("smallest gap", demand.gap, False),
        ("widest stand-off spread", worst_by_product(scene), True),
    )
    for role, values, largest in extremes:
        row = int(values.argmax() if largest else values.argmin())
        yield Driver(role, demand.names[row], float(values[row]))


def _misses(scene: Scene) -> Iterator[tuple[str, NDArray[np.bool_]]]:
    """Each reason with the rows that it applies to."""
    demand, survey, layout = scene.demand, scene.survey, scene.layout
    upright = demand.tilt_deg < 45.0
    lowest = lowest_column(survey, layout.head) - survey.head.print_height / 2
    standoff = survey.standoff
    room = min(standoff.target - standoff.acceptable[0], standoff.acceptable[1] - standoff.target)
    yield "its code is taller than the nozzle column", demand.slide < 0.0
    yield "its code lies lower than the head can print", upright & (demand.code_low < lowest)
    yield "its stand-off leaves the acceptable band", worst_by_product(scene) > room
    yield "a part of the mount comes too near to it", clearance_by_product(scene) < rules.CLEAR
    guides = survey.guides
    if guides is not None:
        wide = (demand.near_y < guides.near_y) | (demand.far_y > guides.far_y)
        yield "it is wider than the space between the guides", wide
        if guides.open is not None:
            opening = guides.open[1] - guides.open[0]
            yield "the guide is open over more than half its length", demand.length < 2 * opening
