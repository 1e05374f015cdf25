"""What the people beside the line need: a screen they can read, a head they can reach and serve, a cable that
is long enough, and no gap that a running product presses a hand into."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from mountgen.checks.clearances import AT_THE_PRODUCT, guide_boxes, product_box, rail_boxes
from mountgen.checks.records import Check, Subject, at_least, at_most
from mountgen.checks.scene import Scene
from mountgen.detail.records import HEADS
from mountgen.geometry import Box
from mountgen.layout.rules import GRAVITY
from mountgen.structure.shaking import product_masses

RULE = "rule of this project"
STANDING = "common practice: hands and eyes of a standing person, as in ISO 14738"
LOWEST_SCREEN, HIGHEST_SCREEN = 700.0, 1600.0
"""mm over the floor of a screen's middle that a standing person reads and touches."""
FARTHEST_REACH = 600.0
"""mm from where a person stands that both hands still work at."""
PLUG = "bend radius of the head's cable, from its record"
FINGERTIP, FINGER = 6.0, 25.0
"""mm: a fingertip does not go into a gap up to the one (ISO 13857, Table 4, from memory), and is not crushed
in a gap from the other on (ISO 13854, Table 1)."""
HARMLESS = 150.0
"""N that a product may press with (EN 619, from memory)."""
DRAGGED = 0.5
"""Friction with which a line drags a product, at most (common practice: 0.3 to 0.5)."""
FREE = 500.0
"""mm; no more room than this is looked for."""


def checks(scene: Scene) -> Iterator[Check]:
    yield _screen(scene)
    yield _reach(scene)
    yield _service(scene)
    yield _cable_length(scene)
    yield _cable_bend(scene)
    yield _crush(scene)


def _screen(scene: Scene) -> Check:
    height = scene.survey.line.surface_height + scene.layout.controller_z
    if height > (LOWEST_SCREEN + HIGHEST_SCREEN) / 2:
        subject = Subject("operator_reach", "controller's screen over the floor, at most", "mm", STANDING)
        return at_most(subject, height, HIGHEST_SCREEN, "hang the controller {} mm lower, off the post")
    subject = Subject("operator_reach", "controller's screen over the floor, at least", "mm", STANDING)
    return at_least(subject, height, LOWEST_SCREEN, "set the controller {} mm higher, on a stand of its own")


def _reach(scene: Scene) -> Check:
    """From the mount's outermost part, before which a person stands, to the middle of the farthest head."""
    outermost = min(box.low[1] for _, box in scene.swept())
    farthest = max(_middle(box, 1) for box in _heads(scene).values())
    subject = Subject("operator_reach", "reach over the mount to the print head", "mm", STANDING)
    remedy = "serve the head from the far side, or bring the farthest code {} mm nearer"
    return at_most(subject, farthest - outermost, FARTHEST_REACH, remedy)


def _service(scene: Scene) -> Check:
    """The cartridge comes out at the head's top, at every setting."""
    needed = scene.survey.head.service_room
    room, what = _room_over_the_head(scene)
    title = f"room over the head to take its cartridge out{_under(what)}"
    subject = Subject("service_access", title, "mm", "room that the head asks for, from its record")
    return at_least(subject, room, needed, f"free {{}} mm more over the head, at the {what or 'head'}")


def _cable_length(scene: Scene) -> Check:
    run = max((cable for cable in scene.detail.cables if cable.own), key=lambda one: one.needed)
    subject = Subject("cable", "head's cable to the controller: loop, tilt and plugs", "mm", RULE)
    remedy = "take a cable {} mm longer, or set the controller nearer"
    return at_most(subject, run.needed, run.own, remedy)


def _cable_bend(scene: Scene) -> Check:
    room, what = _room_over_the_head(scene)
    title = f"room over the head's plug for its cable to bend{_under(what)}"
    subject = Subject("cable", title, "mm", PLUG)
    radius = scene.survey.head.cable_bend_radius
    return at_least(subject, room, radius, "free {} mm more over the head's plug")


def _under(what: str) -> str:
    return f", under the {what}" if what else ""


def _top_head(scene: Scene) -> str:
    """The head that has others under it: those are as far below it as their cartridges need."""
    return HEADS[len(scene.survey.head.singles) - 1]


def _heads(scene: Scene) -> dict[int, Box]:
    """The head's body at every extreme setting."""
    (piece, *_) = sorted(
        (one for one in scene.boxes if one.instance == _top_head(scene)), key=lambda one: -_volume(one.box)
    )
    return {product: scene.at(piece, product) for product in scene.corner_products}


def _room_over_the_head(scene: Scene) -> tuple[float, str]:
    """mm that are free in the direction of the column's top, with what ends them; the least of all extreme
    settings. What is fixed to the head's back and sides is beside it, not over it."""
    found: list[tuple[float, str]] = [(FREE, "")]
    site = [*rail_boxes(scene), *guide_boxes(scene)]
    for product, head in _heads(scene).items():
        axis = 2 if scene.layout.settings.tilt_deg[product] < 45.0 else 1
        mount = [(p.instance, scene.at(p, product)) for p in scene.boxes if p.instance not in HEADS]
        others = [*mount, *site, ("product", product_box(scene, product))]
        found += [(gap, name) for name, box in others if (gap := _over(head, box, axis)) is not None]
    return min(found)


def _over(head: Box, other: Box, axis: int) -> float | None:
    """How far another box is over the head's; None where it is not over it."""
    sides = [side for side in range(3) if side != axis]
    beside = any(other.high[s] <= head.low[s] or other.low[s] >= head.high[s] for s in sides)
    under = other.high[axis] <= head.high[axis]
    return None if beside or under else max(other.low[axis] - head.high[axis], 0.0)


def _middle(box: Box, axis: int) -> float:
    return (box.low[axis] + box.high[axis]) / 2


def _volume(box: Box) -> float:
    return math.prod(high - low for low, high in zip(box.low, box.high, strict=True))


def _crush(scene: Scene) -> Check:
    """A gap beside a running product that a finger goes into and does not clear: what presses there."""
    gap, piece, product = _finger_gap(scene)
    if not piece:
        title = "narrowest gap beside a running product that a finger goes into"
        return at_least(
            Subject("crush_gap", title, "mm", "ISO 13854, Table 1"), gap, FINGER, "widen it by {} mm"
        )
    force = DRAGGED * GRAVITY * float(product_masses(scene.survey, scene.demand)[product])
    title = (
        f"a hand between {scene.demand.names[product]!r} and {piece}, {gap:.0f} mm apart, "
        f"is pressed with what drags the product"
    )
    subject = Subject("crush_gap", title, "N", "EN 619 (from memory); gaps: ISO 13854, Table 1")
    remedy = "fit a guard at the upstream side: {} N too much for an open gap"
    return at_most(subject, force, HARMLESS, remedy)


def _finger_gap(scene: Scene) -> tuple[float, str, int]:
    """The narrowest gap between a piece and a product that lies between a fingertip and a finger, with the
    heaviest product that has one; the next wider gap and '' where there is none."""
    masses = product_masses(scene.survey, scene.demand)
    between: list[tuple[float, float, str, int]] = []
    wider = FREE
    for piece in scene.boxes:
        if piece.instance in AT_THE_PRODUCT or piece.motion == "fixed":
            continue
        for product in scene.corner_products:
            gap = scene.at(piece, product).gap(product_box(scene, product))
            if FINGERTIP < gap < FINGER:
                between.append((-float(masses[product]), gap, piece.instance, product))
            elif gap >= FINGER:
                wider = min(wider, gap)
    if not between:
        return wider, "", int(np.argmax(masses))
    _, gap, name, product = min(between)
    return gap, name, product
