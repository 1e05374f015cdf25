"""Clearances by boxes: swept products, guides, rail, bed and keepouts against every piece of the mount.

A gap is that between boxes, so it is never larger than the true one but for a tilted piece, whose box
is only larger still. The exact solids repeat the near ones when the mount is built.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mountgen.assembly.room import corners_of
from mountgen.checks.records import Check, Subject, at_least, at_most
from mountgen.checks.scene import FAR, Scene
from mountgen.checks.standoff import worst_by_product
from mountgen.demand import Floats
from mountgen.detail.boxes import Motion, PieceBox
from mountgen.detail.eye_units import GROUPS
from mountgen.detail.records import HEADS
from mountgen.geometry import Box
from mountgen.layout import rules
from mountgen.layout.bridge import spans
from mountgen.layout.eye_across import far_frame
from mountgen.layout.stand import FREE_UNDER

RULE = "rule of this project"
AT_THE_PRODUCT = frozenset({*HEADS, "lead-in shoe"})
"""What may come nearer to the product than the clearance: nozzles by the stand-off, the shoe on purpose."""
ON_THE_RAIL = frozenset({"rail mount", "far rail mount", *GROUPS})
WHEEL = "measuring wheel"
SURVEYED_BEYOND = 2.0
"""mm kept from a keepout, whose own size was measured with a tape."""


@dataclass(frozen=True)
class Nearest:
    """The nearest pair found: gap (negative: depth of the overlap), the piece, and the thing."""

    gap: float
    piece: str
    thing: str


def checks(scene: Scene) -> Iterator[Check]:
    yield _product(scene)
    if scene.survey.guides is not None:
        yield _between_guides(scene)
        yield _guides(scene)
        if scene.survey.guides.open is not None:
            yield _opening(scene)
    yield _frame(scene)
    yield _free_stretch(scene)
    if scene.survey.encoder is not None:
        yield _wheel_room(scene)


def product_box(scene: Scene, product: int) -> Box:
    """The space that a product sweeps."""
    demand = scene.demand
    near, far = float(demand.near_y[product]), float(demand.far_y[product])
    return Box((-FAR, near, 0.0), (FAR, far, float(demand.envelope[product])))


def _product(scene: Scene) -> Check:
    """The nearest piece to any swept product, each at its own setting."""
    wander = worst_by_product(scene)
    pieces = _kept_clear(scene)
    bounds = _least_gaps(scene, pieces, wander)
    found = Nearest(math.inf, "", "")
    for at in np.argsort(bounds, kind="stable").tolist():
        if bounds[at] >= found.gap:
            break
        gaps = _gaps(scene, pieces[at], wander)
        product = int(gaps.argmin())
        if gaps[product] < found.gap:
            found = Nearest(float(gaps[product]), pieces[at].instance, scene.demand.names[product])
    title = f"{found.piece} to the swept product {found.thing!r}, its spread taken off"
    subject = Subject("product_clearance", title, "mm", RULE)
    remedy = f"move the product {{}} mm away from the {found.piece}, or print it from the other side"
    return at_least(subject, found.gap, rules.CLEAR, remedy)


def clearance_by_product(scene: Scene) -> Floats:
    """mm from every product to the nearest piece within the clearance of any; infinite without one."""
    wander = worst_by_product(scene)
    least = np.full(len(scene.demand.names), math.inf)
    pieces = _kept_clear(scene)
    for piece, bound in zip(pieces, _least_gaps(scene, pieces, wander), strict=True):
        if bound < rules.CLEAR:
            least = np.minimum(least, _gaps(scene, piece, wander))
    return least


def _between_guides(scene: Scene) -> Check:
    """Every product fits between the guides, where they place it."""
    guides = scene.survey.guides
    assert guides is not None
    demand = scene.demand
    room = np.minimum(demand.near_y - guides.near_y, guides.far_y - demand.far_y)
    worst = int(room.argmin())
    title = f"product {demand.names[worst]!r} between the guides"
    subject = Subject("between_guides", title, "mm", "survey")
    remedy = "move the guides {} mm apart, or keep wider products off this line"
    return at_least(subject, float(room[worst]), 0.0, remedy)


def rises_beside_print(scene: Scene) -> NDArray[np.bool_]:
    """The products that rise higher elsewhere than where they are printed from above, so that head and
    shoe would meet what stands up."""
    rises = scene.demand.envelope > scene.demand.height + scene.survey.standoff.acceptable[0]
    result: NDArray[np.bool_] = rises & (scene.demand.tilt_deg > 45.0)
    return result


def _kept_clear(scene: Scene) -> list[PieceBox]:
    """Every piece that some product must be clear of."""
    rising = bool(rises_beside_print(scene).any())
    return [piece for piece in scene.boxes if rising or piece.instance not in AT_THE_PRODUCT]


def _least_gaps(scene: Scene, pieces: Sequence[PieceBox], wander: Floats) -> list[float]:
    """No more than each piece's gap to any product: that of everywhere it goes to all that products sweep."""
    demand, most, corners = scene.demand, float(wander.max()), corners_of(piece.box for piece in pieces)
    goes = {
        motion: tuple((float(np.min(way)), float(np.max(way))) for way in moves(scene, motion))
        for motion in {piece.motion for piece in pieces}
    }
    dy, dz = np.array([goes[piece.motion] for piece in pieces]).reshape(-1, 2, 2).swapaxes(0, 1)
    nearer = float(demand.near_y.min()) - most - corners[:, 1, 1] - dy[:, 1]
    farther = corners[:, 0, 1] + dy[:, 0] - float(demand.far_y.max()) - most
    above = corners[:, 0, 2] + dz[:, 0] - float(demand.envelope.max()) - most
    apart = np.hypot(np.maximum(np.maximum(nearer, farther), 0.0), np.maximum(above, 0.0))
    return [gap if gap > 0.0 else -math.inf for gap in apart.tolist()]


def _gaps(scene: Scene, piece: PieceBox, wander: Floats) -> Floats:
    """mm from one piece to every product's swept envelope; negative is the depth of the overlap."""
    demand = scene.demand
    (_, y_low, z_low), (_, y_high, z_high) = piece.box.low, piece.box.high
    dy, dz = moves(scene, piece.motion)
    near, far = demand.near_y - wander, demand.far_y + wander
    across = np.maximum(near - (y_high + dy), y_low + dy - far)
    upright = np.maximum(-wander - (z_high + dz), z_low + dz - (demand.envelope + wander))
    apart = np.hypot(np.maximum(across, 0.0), np.maximum(upright, 0.0))
    result: Floats = np.where(apart > 0.0, apart, np.maximum(across, upright))
    if piece.instance in AT_THE_PRODUCT:
        return np.where(rises_beside_print(scene), result, math.inf)
    return result


def moves(scene: Scene, motion: Motion) -> tuple[Floats | float, Floats | float]:
    """How far a piece moves in y and z to every product's setting."""
    dy, dz = scene.shifts
    return (dy if motion == "carriage" else 0.0), (dz if motion != "fixed" else 0.0)


def guide_boxes(scene: Scene) -> list[tuple[str, Box]]:
    """Near guide, in one piece or interrupted, and far guide."""
    guides = scene.survey.guides
    if guides is None:
        return []
    low, high = guides.z
    spans = [(-FAR, FAR)] if guides.open is None else [(-FAR, guides.open[0]), (guides.open[1], FAR)]
    near = [
        ("near guide", Box((a, guides.near_y - guides.depth, low), (b, guides.near_y, high)))
        for a, b in spans
    ]
    far = Box((-FAR, guides.far_y, low), (FAR, guides.far_y + guides.depth, high))
    return [*near, ("far guide", far)]


def _guides(scene: Scene) -> Check:
    found = nearest(scene.swept(), guide_boxes(scene))
    title = f"{found.piece} to the {found.thing}"
    subject = Subject("guide_clearance", title, "mm", RULE)
    remedy = f"open the near guide, or move it, {{}} mm further from the {found.piece}"
    return at_least(subject, found.gap, rules.CLEAR, remedy)


def _opening(scene: Scene) -> Check:
    """The interruption of the near guide: wide enough for the head, short enough for the product."""
    guides = scene.survey.guides
    assert guides is not None and guides.open is not None
    length = guides.open[1] - guides.open[0]
    shortest = int(scene.demand.length.argmin())
    half = float(scene.demand.length[shortest]) / 2
    title = f"opening of the near guide against half the shortest product, {scene.demand.names[shortest]!r}"
    unsupported = Subject("guide_opening", title, "mm", "common practice: under half its length unsupported")
    inside = _opening_room(scene)
    if half - length < inside - rules.CLEAR:
        remedy = "shorten the opening by {} mm, or code longer products only here"
        return at_most(unsupported, length, half, remedy)
    title = "head group inside the opening of the near guide, at its nearer end"
    subject = Subject("guide_opening", title, "mm", RULE)
    return at_least(subject, inside, rules.CLEAR, "widen the opening by {} mm at either end")


def _opening_room(scene: Scene) -> float:
    """Least distance along x from what reaches into the guide's space, or from the beam, to the
    opening's ends."""
    guides = scene.survey.guides
    assert guides is not None and guides.open is not None
    space = Box((-FAR, guides.near_y - guides.depth, guides.z[0]), (FAR, guides.near_y, guides.z[1])).grown(
        rules.CLEAR
    )
    spans = [(box.low[0], box.high[0]) for _, box in scene.swept() if box.gap(space) < 0]
    spans += beam_spans(scene)
    length = guides.open[1] - guides.open[0]
    return min((min(low - guides.open[0], guides.open[1] - high) for low, high in spans), default=length)


def beam_spans(scene: Scene) -> list[tuple[float, float]]:
    """x from where to where the near guide must let the photo-eye's beam through; none over or under it."""
    if scene.layout.eye is not None:
        return []
    beam, eye_x = scene.survey.sensor.beam_diameter / 2, scene.layout.head.eye_x
    return [(eye_x - beam, eye_x + beam)]


def nearest(pieces: Sequence[tuple[PieceBox, Box]], things: Sequence[tuple[str, Box]]) -> Nearest:
    """The smallest gap between any piece and any thing, the first of equal ones; infinite without things."""
    found = Nearest(math.inf, "nothing", "nothing")
    if not pieces or not things:
        return found
    boxes, others = corners_of(box for _, box in pieces)[:, None], corners_of(box for _, box in things)
    apart = np.maximum(boxes[..., 0, :] - others[:, 1], others[:, 0] - boxes[..., 1, :]).max(axis=2).ravel()
    first = len(apart)
    for at in np.argsort(apart, kind="stable").tolist():
        if apart[at] > found.gap:
            break
        (piece, box), (name, thing) = pieces[at // len(things)], things[at % len(things)]
        gap = box.gap(thing)
        if (gap, at) < (found.gap, first):
            found, first = Nearest(gap, piece.instance, name), at
    return found


def rail_boxes(scene: Scene) -> list[tuple[str, Box]]:
    """The mount-side rail: a box for each cover of its section; the far rail too where something stands on
    it."""
    top, survey = float(scene.survey.rail.top_above_surface), scene.survey
    near = [
        (
            f"rail {cover.name}",
            Box((-FAR, cover.low[0], top + cover.low[1]), (FAR, cover.high[0], top + cover.high[1])),
        )
        for cover in survey.rail.section.covers
    ]
    if scene.layout.eye is None and not spans(survey):
        return near
    turned = far_frame(survey)
    return [*near, *((f"far {name}", box.placed(turned)) for name, box in near)]


def bed_box(scene: Scene) -> tuple[str, Box]:
    """The conveying surface and all that is under it, between the rails; over the floor where a stand's base
    runs under it."""
    line, rail, stand = scene.survey.line, scene.survey.rail, scene.layout.on_floor
    low = -FAR if stand is None else stand.floor + FREE_UNDER
    return "bed", Box((-FAR, line.bed_from_y, low), (FAR, rail.far_rail_at, 0.0))


def keepout_boxes(scene: Scene) -> list[tuple[str, Box]]:
    return [
        (k.what, Box((k.x[0], k.y[0], k.z[0]), (k.x[1], k.y[1], k.z[1])).grown(SURVEYED_BEYOND - rules.CLEAR))
        for k in scene.survey.rail.keepouts
    ]


def site_boxes(scene: Scene) -> tuple[tuple[str, Box], ...]:
    """All that stands on the line before anything is mounted."""
    return (*rail_boxes(scene), bed_box(scene), *guide_boxes(scene), *keepout_boxes(scene))


def _frame(scene: Scene) -> Check:
    """Everything against keepouts; all but what is bolted to the rail against the rail; all but the
    measuring wheel against the bed."""
    found = nearest(scene.swept(), keepout_boxes(scene))
    off_rail = [(p, b) for p, b in scene.swept() if p.group not in ON_THE_RAIL]
    found = min(found, nearest(off_rail, rail_boxes(scene)), key=lambda n: n.gap)
    off_bed = [(p, b) for p, b in off_rail if p.instance != WHEEL]
    found = min(found, nearest(off_bed, [bed_box(scene)]), key=lambda n: n.gap)
    subject = Subject("frame_clearance", f"{found.piece} to {found.thing}", "mm", RULE)
    remedy = f"move the {found.thing} or the print line so that the {found.piece} gains {{}} mm"
    return at_least(subject, found.gap, rules.CLEAR, remedy)


def _free_stretch(scene: Scene) -> Check:
    rail = scene.survey.rail
    low = min(piece.box.low[0] for piece in scene.boxes)
    high = max(piece.box.high[0] for piece in scene.boxes)
    left = min(low - rail.free_from, rail.free_to - high)
    subject = Subject("free_stretch", "mount inside the free stretch of the rail", "mm", "survey")
    return at_least(subject, left, 0.0, "free {} mm more of the rail, or move the print line by that")


def _wheel_room(scene: Scene) -> Check:
    """The measuring wheel runs beside the product, never under it."""
    wheel = max(piece.box.high[1] for piece in scene.boxes if piece.instance == WHEEL)
    near = float((scene.demand.near_y - worst_by_product(scene)).min())
    subject = Subject("encoder_place", "measuring wheel to the product beside it", "mm", RULE)
    remedy = "guide the products {} mm farther from the mount side, or drive the encoder from the shaft"
    return at_least(subject, near - wheel, rules.CLEAR, remedy)
