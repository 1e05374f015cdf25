"""Which closed contours make one section: its outline and the hollows inside it.

Words: contours are numbered from 1, largest first; the *parent* of a contour is the smallest one around
it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from mountgen.geometry import Contour, Vec2
from mountgen.section.faults import LISTED, SectionError, at, number, refusal
from mountgen.sheet.edges import SAME_CORNER, Edge, edges_of, is_inside, meeting_points

MOST_CONTOURS = 300


@dataclass(frozen=True)
class Nest:
    """An outline and its hollows, all counter-clockwise."""

    outline: Contour
    holes: tuple[Contour, ...]


@dataclass(frozen=True)
class _Placed:
    """An edge with the contour it belongs to, its place in it, and that contour's number of edges."""

    edge: Edge
    contour: int
    place: int
    count: int


def refuse_crossings(path: Path, contours: Sequence[Contour], joining: float) -> None:
    """SectionError when a contour crosses or touches itself or another one."""
    if len(contours) > MOST_CONTOURS:
        raise refusal(
            path,
            f"{len(contours)} closed outlines",
            f"a section with at most {MOST_CONTOURS}",
            "name the section's layer with `--layer`",
        )
    placed = [
        _Placed(edge, c, i, len(contour.vertices))
        for c, contour in enumerate(contours)
        for i, edge in enumerate(edges_of(contour))
    ]
    for a, b in _close_pairs(placed):
        for point in _conflicts(a, b, joining):
            raise _crossing(path, point, own=a.contour == b.contour)


def _crossing(path: Path, point: Vec2, *, own: bool) -> SectionError:
    found = "self-intersecting outline" if own else "two outlines cross or touch"
    return refusal(
        path, f"{found} at {at(point)}", "outlines that keep clear of each other", "mend the drawing there"
    )


def _close_pairs(placed: Sequence[_Placed]) -> Iterator[tuple[_Placed, _Placed]]:
    """Pairs of edges whose boxes touch, and every edge that may cross itself is left out: none can."""
    boxes = np.array([_box(p.edge) for p in placed])
    grown = boxes + np.array([-1.0, -1.0, 1.0, 1.0]) * SAME_CORNER
    for i, low in enumerate(grown[:-1]):
        rest = boxes[i + 1 :]
        near = (
            (rest[:, 0] <= low[2]) & (rest[:, 2] >= low[0]) & (rest[:, 1] <= low[3]) & (rest[:, 3] >= low[1])
        )
        yield from ((placed[i], placed[i + 1 + int(j)]) for j in np.flatnonzero(near))


def _box(edge: Edge) -> tuple[float, float, float, float]:
    """A box around an edge; around its chord moved by its rise for an arc of at most half a turn."""
    if edge.arc is None or edge.arc.end_deg - edge.arc.start_deg > 180.0:
        return edge.box
    middle = math.radians((edge.arc.start_deg + edge.arc.end_deg) / 2)
    (x, y), r = edge.arc.centre, edge.arc.radius
    top = (x + r * math.cos(middle), y + r * math.sin(middle))
    rise = (top[0] - (edge.start[0] + edge.end[0]) / 2, top[1] - (edge.start[1] + edge.end[1]) / 2)
    points = [(p[0] + s * rise[0], p[1] + s * rise[1]) for p in (edge.start, edge.end) for s in (0.0, 1.0)]
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _conflicts(a: _Placed, b: _Placed, joining: float) -> Iterator[Vec2]:
    """Points that two edges share elsewhere than in a common corner. Where arcs run tangent into their
    neighbours, ends that were moved by the joining shift the meeting point along them."""
    corners = []
    if a.contour == b.contour:
        if (a.place + 1) % a.count == b.place:
            corners.append(a.edge.end)
        if (b.place + 1) % b.count == a.place:
            corners.append(b.edge.end)
    radius = max((e.arc.radius for e in (a.edge, b.edge) if e.arc is not None), default=0.0)
    reach = max(SAME_CORNER, 3 * math.sqrt(radius * joining)) if corners else 0.0
    if corners:
        reach = min(reach, 0.5 * min(math.dist(e.start, e.end) for e in (a.edge, b.edge)))
        reach = max(reach, SAME_CORNER)
    for point in meeting_points(a.edge, b.edge):
        if all(math.dist(point, corner) > reach for corner in corners):
            yield point


def nested(path: Path, contours: Sequence[Contour], loop: int | None) -> Nest:
    """The section among contours that keep clear of each other: the only outer one, or number `loop`.

    SectionError when there are several outer ones to choose from, or something lies inside a hollow.
    """
    parents = _parents(contours)
    outer = _chosen(path, contours, parents, loop)
    holes = [i for i, parent in enumerate(parents) if parent == outer]
    inside = [i for i, parent in enumerate(parents) if parent in holes]
    if inside:
        raise refusal(
            path,
            f"inside a hollow of outline {outer + 1} lies another: " + _listed(contours, inside),
            "one section",
            "choose the outline with `--loop N` or its layer with `--layer`; all: "
            + _listed(contours, range(len(contours))),
        )
    return Nest(contours[outer], tuple(contours[i] for i in holes))


def _chosen(path: Path, contours: Sequence[Contour], parents: Sequence[int | None], loop: int | None) -> int:
    if loop is not None:
        if 1 <= loop <= len(contours):
            return loop - 1
        raise refusal(
            path, f"there is no outline {loop}", _listed(contours, range(len(contours))), "choose one of them"
        )
    outer = [i for i, parent in enumerate(parents) if parent is None]
    if len(outer) == 1:
        return outer[0]
    raise refusal(
        path,
        f"{len(outer)} separate outlines: " + _listed(contours, outer),
        "one section",
        "choose one with `--loop N` or its layer with `--layer`",
    )


def _listed(contours: Sequence[Contour], chosen: Sequence[int]) -> str:
    texts = []
    for i in list(chosen)[:LISTED]:
        x0, y0, x1, y1 = contours[i].bounds
        texts.append(f"{i + 1} ({number(x1 - x0)} x {number(y1 - y0)} mm at {at((x0, y0))})")
    more = len(chosen) - LISTED
    return ", ".join(texts) + (f" and {more} more" if more > 0 else "")


def _parents(contours: Sequence[Contour]) -> list[int | None]:
    """For each contour (largest first) the smallest one around it."""
    boxes = [contour.bounds for contour in contours]
    parents: list[int | None] = []
    for i, contour in enumerate(contours):
        first = contour.vertices[0]
        around = (j for j in range(i - 1, -1, -1) if _holds(boxes[j], boxes[i]))
        parents.append(next((j for j in around if is_inside((first.x, first.y), contours[j])), None))
    return parents


def _holds(outer: tuple[float, ...], inner: tuple[float, ...]) -> bool:
    return all(o <= i for o, i in zip(outer[:2], inner[:2], strict=True)) and all(
        o >= i for o, i in zip(outer[2:], inner[2:], strict=True)
    )
