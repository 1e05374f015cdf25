"""Where on a flat pattern the part number can be marked: clear of edges, holes and bends.

The flat is laid on a raster of square cells. Cells that an outline, hole or bend zone runs through are
taken; a lying or standing line of text fits where the box around it, with some clearance, holds no taken
cell and its middle lies in sheet.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mountgen.fabrication.stroke_font import Stroke, text_strokes, text_width
from mountgen.geometry import Contour, Vec2
from mountgen.sheet.edges import Edge, edges_of, is_inside
from mountgen.sheet.flat import FlatPattern
from mountgen.sheet.rules import bend_zone

HEIGHTS = (8.0, 6.0, 5.0, 4.0, 3.0)
"""mm; tried in this order."""
CLEARANCE = 1.5
"""mm between the text and any edge, hole or bend zone."""
MOST_CELLS = 400
"""along the longer side of the flat"""

Counts = NDArray[np.int64]


@dataclass(frozen=True)
class PartMark:
    """A line of text in the flat: its middle, its height, and whether it reads upwards."""

    text: str
    middle: Vec2
    height: float
    upwards: bool

    @property
    def strokes(self) -> tuple[Stroke, ...]:
        """The strokes to mark, in flat coordinates."""
        half = (text_width(self.text, self.height) / 2, self.height / 2)
        lying = text_strokes(self.text, self.height)
        return tuple(tuple(self._placed(p[0] - half[0], p[1] - half[1]) for p in stroke) for stroke in lying)

    def _placed(self, x: float, y: float) -> Vec2:
        x, y = (-y, x) if self.upwards else (x, y)
        return (self.middle[0] + x, self.middle[1] + y)


def find_mark(text: str, flat: FlatPattern) -> PartMark | None:
    """The largest mark that fits, as near to the middle of the flat as it goes; nothing if none does.

    ValueError: a character that the marking font does not have.
    """
    cell = max(1.0, max(flat.size) / MOST_CELLS)
    closed = [placed.hole.contour for placed in flat.holes] + [bend_zone(line) for line in flat.bend_lines]
    taken = _summed(_taken_cells([flat.outline, *closed], flat.size, cell))
    for height in HEIGHTS:
        lying = (text_width(text, height), height)
        for upwards, box in ((False, lying), (True, lying[::-1])):
            middle = _free_middle(taken, box, cell, (flat, closed))
            if middle is not None:
                return PartMark(text, middle, height, upwards)
    return None


def _taken_cells(contours: Iterable[Contour], size: Vec2, cell: float) -> Counts:
    """1 for each cell that a contour runs through; sampled twice a cell."""
    taken = np.zeros((math.ceil(size[0] / cell) + 1, math.ceil(size[1] / cell) + 1), dtype=np.int64)
    for contour in contours:
        for edge in edges_of(contour):
            points = _sampled(edge, cell / 2)
            columns, rows = (np.clip((points // cell).astype(np.int64), 0, np.array(taken.shape) - 1)).T
            taken[columns, rows] = 1
    return taken


def _sampled(edge: Edge, step: float) -> NDArray[np.float64]:
    if edge.arc is None:
        count = 2 + int(math.dist(edge.start, edge.end) / step)
        return np.linspace(edge.start, edge.end, count)
    arc = edge.arc
    sweep = math.radians(arc.end_deg - arc.start_deg)
    angles = np.radians(arc.start_deg) + np.linspace(0.0, sweep, 2 + int(sweep * arc.radius / step))
    return np.array(arc.centre) + arc.radius * np.stack((np.cos(angles), np.sin(angles)), axis=1)


def _summed(cells: Counts) -> Counts:
    """Sums over the cells left of and below each corner of the raster."""
    sums = np.zeros((cells.shape[0] + 1, cells.shape[1] + 1), dtype=np.int64)
    sums[1:, 1:] = cells.cumsum(axis=0).cumsum(axis=1)
    return sums


def _free_middle(
    sums: Counts, box: Vec2, cell: float, flat_and_closed: tuple[FlatPattern, list[Contour]]
) -> Vec2 | None:
    """Middle of the free box nearest to the middle of the flat, or nothing."""
    flat, closed = flat_and_closed
    wide, high = (math.ceil((side + 2 * CLEARANCE) / cell) + 1 for side in box)
    if wide >= sums.shape[0] or high >= sums.shape[1]:
        return None
    counts = sums[wide:, high:] - sums[:-wide, high:] - sums[wide:, :-high] + sums[:-wide, :-high]
    columns, rows = np.nonzero(counts == 0)
    x, y = (columns + wide / 2) * cell, (rows + high / 2) * cell
    order = np.lexsort((y, x, np.round(np.hypot(x - flat.size[0] / 2, y - flat.size[1] / 2), 3)))
    for i in order:
        middle = (float(x[i]), float(y[i]))
        if is_inside(middle, flat.outline) and not any(is_inside(middle, c) for c in closed):
            return middle
    return None
