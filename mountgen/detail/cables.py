"""Where the devices' cables run, how long they must be: each a line of straight stretches to the controller.

What moves with the head runs along the arm to the operator's end, in a loop to the post, and down the post to
the controller's underside; the loop takes up what the arm moves at a changeover. What stands still goes to
the post and along it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import pairwise

from mountgen.detail.blanks import controller_middle, head_point
from mountgen.detail.records import HEADS, Cable, Instance
from mountgen.geometry import Vec3
from mountgen.layout.rail_mast import MastLayout, corner_products
from mountgen.survey.records import Survey

AT_PLUGS = 150.0
"""mm of cable at its two plugs, to be drawn and put in by hand (common practice)."""

LOOP_RADII = 4.0
"""Bend radii that a loop which works is longer than straight (common practice: two half turns)."""

SENSOR_BEND = 40.0
"""mm; bend radius of a sensor's cable of 5 mm that moves: eight diameters (common practice)."""

UNDER_RAILS = 20.0
"""mm that a receiver's cable keeps from the rails that it goes under and around."""

NUMBERS = {
    "print head": "W01",
    "photo-eye": "W02",
    "encoder": "W03",
    HEADS[1]: "W04",
    HEADS[2]: "W05",
    "receiver": "W06",
}
"""The devices that are wired to the controller, and their cables' numbers."""


def cables(layout: MastLayout, survey: Survey, instances: Iterable[Instance]) -> Iterator[Cable]:
    """The cable of every device; `instances` stand at the first product's setting."""
    for name, (_, over) in zip(HEADS, survey.head.singles, strict=False):
        yield head_cable(layout, survey, name, over)
    placed = {instance.name: instance for instance in instances}
    for name in ("photo-eye", "encoder", "receiver"):
        if name in placed:
            yield _sensor_cable(layout, survey, placed[name])


def _under_line(start: Vec3, survey: Survey) -> tuple[Vec3, ...]:
    """From a receiver down its bracket, under the far rail and the line, and up before the near rail."""
    x, y, z = start
    low = float(survey.rail.top_above_surface) - survey.rail.section.depth - UNDER_RAILS
    near = -survey.rail.section.reach_out - UNDER_RAILS
    return start, (x, y, low), (x, near, low), (x, near, z)


def head_cable(layout: MastLayout, survey: Survey, name: str = HEADS[0], over: float = 0.0) -> Cable:
    """The route at the setting that needs most, and what all settings need; of a head that stands `over` mm
    over the lowest."""
    routes = [route(layout, survey, product, over) for product in corner_products(layout.settings)]
    longest, head = max(routes, key=_length), survey.head
    needed = _length(longest) + _slack(layout, survey, head.cable_bend_radius)
    return Cable(NUMBERS[name], name, longest, needed, head.cable_bend_radius, head.cable_length)


def route(layout: MastLayout, survey: Survey, product: int, over: float = 0.0) -> tuple[Vec3, ...]:
    """From a head's plug to the controller at a product's setting."""
    single, _ = survey.head.singles[0]
    plug = head_point(layout, product, 0.0, over + single.u_above, -single.depth / 2)
    return (plug, *_along_arm(layout, product), *_down_post(layout, survey, _over_arm(layout, product)))


def _sensor_cable(layout: MastLayout, survey: Survey, device: Instance) -> Cable:
    """Of a photo-eye or an encoder, at the setting that needs most."""
    start = device.placement.origin
    if device.group == "head bracket":
        settings = layout.settings
        found = []
        for product in corner_products(settings):
            dy, dz = (float(v[product] - v[0]) for v in (settings.pivot_y, settings.pivot_z))
            way = (*_along_arm(layout, product), *_down_post(layout, survey, _over_arm(layout, product)))
            found.append(((start[0], start[1] + dy, start[2] + dz), *way))
        points, slack = max(found, key=_length), _slack(layout, survey, SENSOR_BEND)
    elif device.name == "receiver":
        points, slack = (*_under_line(start, survey), *_down_post(layout, survey, start[2])), AT_PLUGS
    else:
        points, slack = (start, *_down_post(layout, survey, start[2])), AT_PLUGS
    return Cable(NUMBERS[device.name], device.name, points, _length(points) + slack, SENSOR_BEND)


def _over_arm(layout: MastLayout, product: int) -> float:
    return float(layout.settings.arm_z[product]) + layout.arm.size / 2


def _along_arm(layout: MastLayout, product: int) -> tuple[Vec3, Vec3]:
    arm_x, z = layout.head.arm_x + layout.arm.size / 2, _over_arm(layout, product)
    return (arm_x, float(layout.settings.tip_y[product]), z), (arm_x, layout.arm_tail(product), z)


def _down_post(layout: MastLayout, survey: Survey, from_z: float) -> tuple[Vec3, ...]:
    """From the post's operator face at a height to the controller's underside."""
    post_x, face = layout.post_x + layout.post.size / 2, layout.post_y - layout.post.size / 2
    box_x, box_y = controller_middle(layout, survey)
    under = layout.controller_z - survey.controller.height / 2
    return (
        (post_x, face, from_z),
        (post_x, face, under),
        (box_x, box_y - survey.controller.depth / 2, under),
    )


def _length(points: tuple[Vec3, ...]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(points))


def _slack(layout: MastLayout, survey: Survey, bend_radius: float) -> float:
    """The loop, a quarter turn of the head about its pivot, and the plugs."""
    head = survey.head
    lever = math.hypot(head.u_above - layout.head.pivot_u, head.depth / 2 + layout.head.pivot_n)
    return LOOP_RADII * bend_radius + math.pi / 2 * lever + AT_PLUGS


def mirrored_cable(cable: Cable) -> Cable:
    """The cable of the mount that is the mirror image in x = 0."""
    return replace(cable, points=tuple((-x, y, z) for x, y, z in cable.points))
