"""A small picture for every step of assembly: its parts drawn apart, those they are fastened to thinner.

Every part is drawn alone, with its boxes filled white below its lines, from the farthest to the nearest: so
it hides what lies behind it, and no view of several solids has to be computed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

from mountgen.assembly.apart import stands
from mountgen.assembly.records import Step
from mountgen.detail.records import Detail
from mountgen.geometry import Box, Vec2, Vec3, add
from mountgen.package.drawing_flat import Window
from mountgen.package.drawing_folded import draw_curve
from mountgen.package.svg import Pen, number, sheet
from mountgen.views import ISOMETRIC, Curve, Polyline, project

SIZE = (58.0, 46.0)
MARGIN = 1.0
OWN, HELD_BY = Pen(0.25), Pen(0.1)
EVERY = 3
"""Of a curve's points, every which is drawn."""
TOUCHING = 0.1
"""mm that two boxes may run into each other and still lie one before the other."""
TOWARDS_EYE = (1.0, -1.0, 1.0)
"""The way along each axis that leads to the eye of ISOMETRIC."""

Lines = Mapping[str, tuple[Curve, ...]]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Drawn:
    """One instance in a picture: where its origin falls on paper, its boxes, its lines, its pen."""

    at: Vec2
    boxes: tuple[Box, ...]
    lines: tuple[Curve, ...]
    pen: Pen


def step_picture(detail: Detail, step: Step, alone: Lines) -> str:
    """The picture of one step as SVG; `alone` are the lines of every instance by itself."""
    items = list(_drawn(detail, step, alone))
    points = np.array([p for item in items for box in item.boxes for p in _corners(box)])
    window = _fitted(points)
    marks = [mark for index in back_to_front(items) for mark in _marks(items[index], window)]
    return sheet(SIZE, marks)


def _drawn(detail: Detail, step: Step, alone: Lines) -> Iterator[Drawn]:
    shifts, parts = stands(detail, step), detail.parts
    for instance in detail.instances:
        if instance.name not in shifts:
            continue
        shift = shifts[instance.name]
        place = instance.placement
        boxes = tuple(_moved(box.placed(place), shift) for box in parts[instance.part].boxes)
        own = instance.name in step.instances or bool(instance.joint)
        at = project(add(place.origin, shift), *ISOMETRIC)
        yield Drawn(at, boxes, alone[instance.name], OWN if own else HELD_BY)


def _moved(box: Box, by: Vec3) -> Box:
    return Box(add(box.low, by), add(box.high, by))


def _corners(box: Box) -> list[Vec2]:
    return [project(corner, *ISOMETRIC) for corner in box.corners]


def _fitted(points: Floats) -> Window:
    """All points as large as the picture allows, in its middle."""
    low, high = points.min(0), points.max(0)
    room = np.array(SIZE) - 2 * MARGIN
    scale = float((room / np.maximum(high - low, 1e-6)).min())
    middle = (low + high) / 2 * scale
    return Window((SIZE[0] / 2 - float(middle[0]), SIZE[1] / 2 + float(middle[1])), scale)


def _marks(item: Drawn, window: Window) -> Iterator[str]:
    """White where the part is, then its lines."""
    for box in item.boxes:
        flat = np.array(_corners(box))
        outline = " ".join(
            _pair(window.point((float(u), float(v)))) for u, v in flat[ConvexHull(flat).vertices]
        )
        yield f'<polygon points="{outline}" fill="#fff"/>'
    own = Window(window.point(item.at), window.scale)
    yield from (draw_curve(_thinned(curve), own, item.pen, "") for curve in item.lines)


def _thinned(curve: Curve) -> Curve:
    """A small picture needs fewer points of a curve than a drawing."""
    if not isinstance(curve, Polyline) or len(curve.points) < 2 * EVERY:
        return curve
    return Polyline((*curve.points[:-1:EVERY], curve.points[-1]))


def _pair(point: Vec2) -> str:
    return f"{number(point[0])},{number(point[1])}"


def back_to_front(items: Sequence[Drawn]) -> list[int]:
    """The items from the farthest to the nearest: one that any of its boxes shows to be in front comes later.

    Where items surround each other, the one whose middle is farther comes first.
    """
    before = _in_front(items)
    depth = np.array([np.mean([_depth(box) for box in item.boxes]) for item in items])
    left, order = list(range(len(items))), list[int]()
    while left:
        free = [i for i in left if not any(before[i, j] > 0 for j in left)] or left
        nearest = min(free, key=lambda i: depth[i])
        order.append(nearest)
        left.remove(nearest)
    return order


def _depth(box: Box) -> float:
    return sum(t * (a + b) / 2 for t, a, b in zip(TOWARDS_EYE, box.low, box.high, strict=True))


def _in_front(items: Sequence[Drawn]) -> NDArray[np.int_]:
    """For each pair of items how many more of the first one's boxes lie in front of the other's than behind,
    counting those that meet on paper."""
    owner = np.array([index for index, item in enumerate(items) for _ in item.boxes])
    boxes = [box for item in items for box in item.boxes]
    flat = np.array([_corners(box) for box in boxes])
    low, high = flat.min(1), flat.max(1)
    meet = (np.minimum(high[:, None], high) - np.maximum(low[:, None], low) > 0).all(2)
    sign = np.array(TOWARDS_EYE)
    near = np.array([box.low for box in boxes]) * sign, np.array([box.high for box in boxes]) * sign
    back, front = np.minimum(*near), np.maximum(*near)
    ahead = (back[:, None] > front[None] - TOUCHING).any(2)
    votes = np.where(meet, ahead.astype(int) - ahead.T.astype(int), 0)
    sums = np.zeros((len(items), len(items)), dtype=int)
    np.add.at(sums, (owner[:, None], owner[None]), votes)
    return sums
