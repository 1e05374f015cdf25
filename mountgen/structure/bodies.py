"""What hangs on the frame: every part of the mount that is no bar, as masses at their true places.

Masses are those of the detail's own parts; a flange counts with its holes cut out and each bend with its
middle fibre, so nothing needs the CAD kernel. A *body* is what is screwed together so that it moves as one:
what sits on the post where the arm crosses it ('cross'), at the arm's root and end, the head with all that
tilts with it, the encoder, the controller and what fixes it.

Cables hang between head and controller: each takes half of the run along arm and post.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from mountgen.catalogue.reader import Catalogue
from mountgen.demand import Floats
from mountgen.detail.blanks import head_origin
from mountgen.detail.eye_units import GROUPS
from mountgen.detail.records import HEADS, BoughtPart, Detail, Instance, Part
from mountgen.geometry import Box, Contour, Placement, Vec3, cos_deg, sin_deg
from mountgen.layout.rail_mast import MastLayout
from mountgen.mechanics.frame import Mass, Six
from mountgen.sheet.tree import SheetPart
from mountgen.survey.records import Survey

BodyName = Literal[
    "rail",
    "base",
    "post",
    "top",
    "cross",
    "arm",
    "ear",
    "head",
    "encoder",
    "post side",
    "controller",
    "far post",
    "far top",
    "far cross",
    "arm tip",
]

CABLE_KG_PER_MM = 0.15e-3
"""Head's and photo-eye's cables together: 0.15 kg a metre (rule of this project)."""

DEVICES = (*HEADS, "photo-eye", "controller", "encoder")
"""Bought parts large enough for their own turning inertia to count."""

POINT: Floats = np.zeros((3, 3))
"""Inertia of what is small against its distance from the axes."""

Piece = tuple[float, Vec3, Floats]
"""kg, centre of mass, inertia tensor about it (kg mm2)."""


@dataclass(frozen=True)
class Body:
    """Mass (kg), centre of mass (mm) and inertia about it (kg mm2), at the first product's setting."""

    kg: float
    centre: Vec3
    tensor: Floats

    def mass(self, node: str, at: Vec3, moved: Vec3 = (0.0, 0.0, 0.0)) -> Mass:
        """As a mass on a node that stands at `at`, after the body was carried by `moved`."""
        offset = tuple(float(c + m - a) for c, m, a in zip(self.centre, moved, at, strict=True))
        t = self.tensor
        inertia: Six = (t[0, 0], t[1, 1], t[2, 2], t[0, 1], t[0, 2], t[1, 2])
        return Mass(node, self.kg, (offset[0], offset[1], offset[2]), inertia)

    def turned(self, about: Vec3, turn_deg: float, to: Vec3) -> Body:
        """Turned about x through a point, by an angle from y towards -z, and that point carried to `to`."""
        cos, sin = cos_deg(turn_deg), sin_deg(turn_deg)
        turn = np.array([[1.0, 0.0, 0.0], [0.0, cos, sin], [0.0, -sin, cos]])
        x, y, z = (float(v) for v in turn @ np.subtract(self.centre, about) + np.array(to))
        return Body(self.kg, (x, y, z), turn @ self.tensor @ turn.T)


Bodies = dict[BodyName, Body]


def bodies(survey: Survey, layout: MastLayout, detail: Detail, catalogue: Catalogue) -> Bodies:
    """All bodies of a mount; `detail` is that of the first product's setting."""
    parts = detail.parts
    first = {instance.part: instance for instance in reversed(detail.instances)}
    local = {number: _pieces(parts[number], instance, catalogue) for number, instance in first.items()}
    pieces: dict[BodyName, list[Piece]] = defaultdict(list)
    for instance in detail.instances:
        if not instance.name.endswith("rail angle") and instance.group not in GROUPS:
            pieces[_body_of(instance)].extend(_placed(local[instance.part], instance.placement))
    for name, piece in _cable(survey, layout, pieces):
        pieces[name].append(piece)
    return {name: joined(found) for name, found in pieces.items()}


def joined(pieces: list[Piece]) -> Body:
    """Several pieces as one rigid body (parallel axes)."""
    kg = math.fsum(piece[0] for piece in pieces)
    centres = np.array([piece[1] for piece in pieces])
    weights = np.array([piece[0] for piece in pieces])
    centre = weights @ centres / kg
    lever = centres - centre
    squares = np.einsum("i,ij,ij->", weights, lever, lever)
    spread = squares * np.eye(3) - np.einsum("i,ij,ik->jk", weights, lever, lever)
    tensor = np.asarray(sum((piece[2] for piece in pieces), start=spread), dtype=np.float64)
    return Body(kg, (float(centre[0]), float(centre[1]), float(centre[2])), tensor)


_GROUPS: dict[str, BodyName] = {
    "rail mount": "rail",
    "floor stand": "base",
    "mast": "post",
    "cross joint": "cross",
    "sliding arm": "arm",
    "head bracket": "head",
    "encoder unit": "encoder",
    "controller unit": "controller",
    "far rail mount": "rail",
    "far mast": "far post",
    "far cross joint": "far cross",
    "beam unit": "arm",
}
_BY_NAME: dict[str, BodyName] = {
    "post cap": "top",
    "ear": "ear",
    "far post cap": "far top",
    "beam cap, far end": "arm tip",
}
_BY_JOINT: dict[str, BodyName] = {"E1": "ear", "E2": "ear", "C1": "post side", "C2": "post side"}


def _body_of(instance: Instance) -> BodyName:
    by_name = _BY_NAME.get(instance.name) or _BY_JOINT.get(instance.joint)
    return by_name or _GROUPS[instance.group]


def _placed(pieces: tuple[Piece, ...], place: Placement) -> Iterator[Piece]:
    """A part's pieces where the part stands."""
    axes = np.array([place.x_axis, place.y_axis, place.z_axis])
    for kg, centre, tensor in pieces:
        yield kg, place.point(centre), axes.T @ tensor @ axes if tensor.any() else tensor


def _pieces(part: Part, instance: Instance, catalogue: Catalogue) -> tuple[Piece, ...]:
    """A part's masses in its own frame; none for a bar, whose weight is the frame's own."""
    if isinstance(part, SheetPart):
        per_mm3 = catalogue.material(part.material).density_kg_per_m3 * 1e-9
        return tuple((volume * per_mm3, centre, POINT) for volume, centre in _sheet_volumes(part))
    if isinstance(part, BoughtPart):
        box = Box.around(corner for one in part.boxes for corner in one.corners)
        tensor = box_inertia(part.mass_kg, box) if instance.name in DEVICES else POINT
        return ((part.mass_kg, _middle(box), tensor),)
    return ()


def _middle(box: Box) -> Vec3:
    (x0, y0, z0), (x1, y1, z1) = box.low, box.high
    return (x0 + x1) / 2, (y0 + y1) / 2, (z0 + z1) / 2


def box_inertia(kg: float, box: Box) -> Floats:
    """Inertia of an even box about its middle, m (b^2 + c^2) / 12 about each of its axes, kg mm2."""
    squares = np.square(np.subtract(box.high, box.low))
    result: Floats = np.diag(kg * (squares.sum() - squares) / 12)
    return result


def _sheet_volumes(part: SheetPart) -> Iterator[tuple[float, Vec3]]:
    """Volume and middle of every flange, holes cut out, and of every bend at its parent's edge."""
    t = part.thickness
    for flange, frame in part.placed_flanges():
        area = abs(flange.outline.area) - sum(abs(hole.contour.area) for hole in flange.holes)
        yield area * t, frame.point((*_contour_middle(flange.outline), t / 2))
        for bend in flange.bends:
            arc = math.radians(abs(bend.angle_deg)) * (bend.inside_radius + t / 2)
            (x0, y0), (x1, y1) = bend.start, bend.end
            yield arc * bend.width * t, frame.point(((x0 + x1) / 2, (y0 + y1) / 2, t / 2))


def _contour_middle(outline: Contour) -> tuple[float, float]:
    """Of its bounds: the flanges are rectangles with rounded corners, or nearly so."""
    x0, y0, x1, y1 = outline.bounds
    return (x0 + x1) / 2, (y0 + y1) / 2


def _cable(
    survey: Survey, layout: MastLayout, pieces: dict[BodyName, list[Piece]]
) -> tuple[tuple[BodyName, Piece], ...]:
    """Half of the hanging run at the head's middle, half at the controller's."""
    head, controller = (joined(pieces[name]).centre for name in _CABLED)
    run = float(np.abs(np.subtract(head_origin(layout, 0), controller)).sum())
    kg = CABLE_KG_PER_MM * min(survey.head.cable_length, run) / 2
    return (("head", (kg, head, POINT)), ("controller", (kg, controller, POINT)))


_CABLED: tuple[BodyName, BodyName] = ("head", "controller")
