"""The quick clearances again, on the exact solids: do parts run into each other, and do the gaps agree.

Two parts of one joint meet on purpose (a screw in its thread); every other pair whose boxes overlap is
intersected. Gaps to the product are taken from each solid's tight box: a swept product is a box without
ends, so a part that is wholly beside or above it is as far away as its nearest face.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from mountgen.build.solids import Model
from mountgen.checks.clearances import AT_THE_PRODUCT, product_box
from mountgen.checks.records import Check, Subject, at_most
from mountgen.checks.scene import Scene
from mountgen.checks.standoff import worst_by_product
from mountgen.detail.boxes import MOTIONS, PieceBox, piece_boxes
from mountgen.detail.records import Instance
from mountgen.geometry import Box
from mountgen.kernel.frames import Solid, placed
from mountgen.kernel.measure import bounding_box, common_volume

EXACT = "exact solids (boundary representation)"
TOUCHING = 1e-3
"""mm of overlap of two boxes that is still only touching."""

MOST_COMMON = 0.01
"""mm3 that two parts may share by rounding."""

AGREEMENT = 0.1
"""mm between quick and exact clearance."""


def exact_checks(scene: Scene, built: Model) -> tuple[Check, ...]:
    """Interference of all parts, and the quick product clearance against the exact one.

    `built` may be the mirror image of the scene's mount: mirroring in x changes no gap and no overlap.
    """
    return (_interference(built), _agreement(scene, built))


def _interference(built: Model) -> Check:
    worst, title = 0.0, "no two parts run into each other"
    places = {instance.name: instance for instance in built.detail.instances}
    for one, other in suspects(built):
        shared = common_volume(_solid(built, places[one]), _solid(built, places[other]))
        if shared > worst:
            worst, title = shared, f"{one} and {other} share material"
    subject = Subject("interference", title, "mm3", EXACT)
    return at_most(subject, worst, MOST_COMMON, "report this survey: {} mm3 too much")


def suspects(built: Model) -> list[tuple[str, str]]:
    """Pairs of instances, not of one joint, whose boxes overlap."""
    boxes: dict[str, list[Box]] = {}
    for piece in piece_boxes(built.detail):
        boxes.setdefault(piece.instance, []).append(piece.box)
    wholes = {name: _around(pieces) for name, pieces in boxes.items()}
    together = _meeting_on_purpose(built)
    return [
        (one, other)
        for one, other in itertools.combinations(boxes, 2)
        if wholes[one].gap(wholes[other]) < -TOUCHING
        and frozenset((one, other)) not in together
        and any(a.gap(b) < -TOUCHING for a in boxes[one] for b in boxes[other])
    ]


def _around(pieces: list[Box]) -> Box:
    return Box.around(corner for box in pieces for corner in (box.low, box.high))


def _meeting_on_purpose(built: Model) -> set[frozenset[str]]:
    pairs: set[frozenset[str]] = set()
    for joint in built.detail.joints:
        fasteners = [i.name for i in built.detail.instances if i.joint == joint.id]
        members = [member.instance for member in joint.members]
        pairs.update(frozenset(p) for p in itertools.product(fasteners, members))
        pairs.update(frozenset(p) for p in itertools.combinations(fasteners, 2))
    return pairs


def _solid(built: Model, instance: Instance) -> Solid:
    return placed(built.solids[instance.part], instance.placement)


def _agreement(scene: Scene, built: Model) -> Check:
    """The nearest piece to the product, by boxes and by solids."""
    exact = [piece for piece in _tight_boxes(built) if piece.instance not in AT_THE_PRODUCT]
    quick = [piece for piece in scene.boxes if piece.instance not in AT_THE_PRODUCT]
    difference = abs(_nearest_gap(scene, exact) - _nearest_gap(scene, quick))
    subject = Subject("exact_agreement", "quick against exact product clearance", "mm", EXACT)
    return at_most(subject, difference, AGREEMENT, "report this survey: {} mm too much")


def _tight_boxes(built: Model) -> Iterator[PieceBox]:
    for instance in built.detail.instances:
        if instance.group in MOTIONS or instance.group == "encoder unit":
            box = bounding_box(_solid(built, instance))
            yield PieceBox(instance.name, instance.group, instance.joint, box)


def _nearest_gap(scene: Scene, pieces: list[PieceBox]) -> float:
    wander = worst_by_product(scene)
    gaps = [
        scene.at(piece, product).gap(product_box(scene, product).grown(float(wander[product])))
        for product in scene.corner_products
        for piece in pieces
    ]
    return min(gaps, default=math.inf)
