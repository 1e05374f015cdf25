"""The head's cable from its plug to the controller: where it runs, how long it must be.

It leaves the head at the top of its column, runs along the arm to the operator's end, in a loop to the post,
and down the post to the controller's underside. The loop takes up what the arm moves at a changeover.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from mountgen.detail.blanks import controller_middle, head_point
from mountgen.geometry import Vec3
from mountgen.layout.rail_mast import MastLayout, corner_products
from mountgen.survey.records import Survey

AT_PLUGS = 150.0
"""mm of cable at its two plugs, to be drawn and put in by hand (common practice)."""

LOOP_RADII = 4.0
"""Bend radii that a loop which works is longer than straight (common practice: two half turns)."""


@dataclass(frozen=True)
class CableRun:
    """The points of the route at one product's setting, mm in the working view, and the length needed for
    every setting with loop, tilt and plugs."""

    points: tuple[Vec3, ...]
    needed: float


def head_cable(layout: MastLayout, survey: Survey) -> CableRun:
    """The route at the setting that needs most, and what all settings need."""
    routes = [route(layout, survey, product) for product in corner_products(layout.settings)]
    longest = max(routes, key=_length)
    return CableRun(longest, _length(longest) + _slack(layout, survey))


def route(layout: MastLayout, survey: Survey, product: int) -> tuple[Vec3, ...]:
    """From the head to the controller at a product's setting."""
    head, settings = survey.head, layout.settings
    arm_x = layout.head.arm_x + layout.arm.size / 2
    over_arm = float(settings.arm_z[product]) + layout.arm.size / 2
    face = layout.post_y - layout.post.size / 2
    box_x, box_y = controller_middle(layout, survey)
    under = layout.controller_z - survey.controller.height / 2
    return (
        head_point(layout, product, 0.0, head.u_above, -head.depth / 2),
        (arm_x, float(settings.tip_y[product]), over_arm),
        (arm_x, layout.arm_tail(product), over_arm),
        (layout.post_x + layout.post.size / 2, face, over_arm),
        (layout.post_x + layout.post.size / 2, face, under),
        (box_x, box_y - survey.controller.depth / 2, under),
    )


def _length(points: tuple[Vec3, ...]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(points))


def _slack(layout: MastLayout, survey: Survey) -> float:
    """The loop, a quarter turn of the head about its pivot, and the plugs."""
    head = survey.head
    lever = math.hypot(head.u_above - layout.head.pivot_u, head.depth / 2 + layout.head.pivot_n)
    return LOOP_RADII * head.cable_bend_radius + math.pi / 2 * lever + AT_PLUGS
