"""The folded part: front, from above, from the left, and a picture, with the lines along which it is cut.

Its sizes stand in the sections and on the flat.

In first-angle projection the view from above stands below the front, that from the left right of it; in
third-angle projection they stand above and left of it. Source: ISO 128-3 / ISO 5456-2 for the places of the
views and for the marks of a cut (a narrow chain line with wide ends, arrows the way it is seen, a letter);
ISO 128-2 for the lines.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from mountgen.geometry import Arc, Vec2, dot
from mountgen.package.drawing_flat import DIMENSION_GAP, Window
from mountgen.package.drawing_paper import Projection
from mountgen.package.drawing_section import Section
from mountgen.package.svg import (
    CENTRE,
    HIDDEN,
    MEDIUM,
    NARROW,
    SMALL,
    VISIBLE,
    Pen,
    Words,
    arc,
    arrow,
    line,
    polyline,
    ring,
    words,
)
from mountgen.views import FROM_FRONT, FROM_LEFT, FROM_TOP, Curve, Line, View, project

BETWEEN = 14.0
"""mm of paper between neighbouring views: the marks of a cut stand there."""
SMALLEST_PICTURE = 20.0
"""mm of paper that the picture gets at least, each way."""
MARGIN = 7.0
"""mm all round the group, for the marks of cuts."""
BEYOND = 4.0
"""mm of paper from a view to the ends of a cut's line."""
DIRECTIONS = (FROM_FRONT, FROM_TOP, FROM_LEFT)
WIDE_END, ARROW_TAIL = 3.5, 6.0
EDGE_ON = 1e-6
"""Cosine; a plane whose normal is this square to the view's direction is seen as a line."""


@dataclass(frozen=True)
class Folded:
    """Front, top and left view at one scale, and a picture that fits beside them.

    `sizes` are those of the views in real mm (width, height). The front's column and row come first in
    `columns` and `rows`, whichever side of the others they stand on.
    """

    views: tuple[View, ...]
    sizes: tuple[Vec2, ...]
    sections: tuple[Section, ...]
    scale: float
    projection: Projection

    @property
    def columns(self) -> Vec2:
        """Paper widths of the two columns of views."""
        front, top, left = (self.scale * size[0] for size in self.sizes[:3])
        return (max(front, top), max(left, SMALLEST_PICTURE))

    @property
    def rows(self) -> Vec2:
        """Paper heights of the two rows of views."""
        front, top, left = (self.scale * size[1] for size in self.sizes[:3])
        return (max(front, left), max(top, SMALLEST_PICTURE))

    @property
    def size(self) -> Vec2:
        """Paper of the whole group."""
        return (2 * MARGIN + sum(self.columns) + BETWEEN, 2 * MARGIN + sum(self.rows) + BETWEEN)

    def corners(self, at: Vec2) -> tuple[Vec2, Vec2]:
        """Upper left corners of the front and of the picture, for a group with its own at `at`."""
        x, y = at[0] + MARGIN, at[1] + MARGIN
        apart = (x + self.columns[0] + BETWEEN, y + self.rows[0] + BETWEEN)
        if self.projection == "first angle":
            return (x, y), apart
        return (x + self.columns[1] + BETWEEN, y + self.rows[1] + BETWEEN), (x, y)


def view_sizes(views: Iterable[View]) -> tuple[Vec2, ...]:
    """Width and height of each view in real mm."""
    boxes = (view.bounds for view in views)
    return tuple((u1 - u0, v1 - v0) for u0, v0, u1, v1 in boxes)


def draw_folded(group: Folded, at: Vec2) -> Iterator[str]:
    """All marks of the group, `at` its upper left corner."""
    (x, y), (beside, over) = group.corners(at)
    places = ((x, y), (x, over), (beside, y))
    windows = [window_at(v, corner, group.scale) for v, corner in zip(group.views, places, strict=False)]
    for view, window in zip(group.views, windows, strict=False):
        yield from draw_view(view, window)
    picture = group.views[3]
    shown = replace(picture, hidden=())
    yield from draw_view(shown, window_at(picture, (beside, over), _picture_scale(group)))
    for section in group.sections:
        yield from _cut_marks(section, group, windows)


def _cut_marks(section: Section, group: Folded, windows: Sequence[Window]) -> Iterator[str]:
    """The line of a section on the first view that sees its plane as a line, from above if that does; none
    when no view does."""
    normal = section.cut.z_axis
    k = next((k for k in (1, 0, 2) if abs(dot(normal, DIRECTIONS[k][0])) < EDGE_ON), None)
    if k is None:
        return
    seen = project(section.view_direction, *DIRECTIONS[k])
    along = (-seen[1], seen[0])
    middle = project(section.cut.origin, *DIRECTIONS[k])
    u0, v0, u1, v1 = group.views[k].bounds
    reach = [_dot((u, v), along) - _dot(middle, along) for u in (u0, u1) for v in (v0, v1)]
    beyond = BEYOND / group.scale
    ends = (min(reach) - beyond, max(reach) + beyond)
    low, high = (windows[k].point((middle[0] + e * along[0], middle[1] + e * along[1])) for e in ends)
    yield line(low, high, CENTRE, "cut")
    yield from _cut_end(section.letter, low, (along[0], -along[1]), (seen[0], -seen[1]))
    yield from _cut_end(section.letter, high, (-along[0], along[1]), (seen[0], -seen[1]))


def _cut_end(letter: str, tip: Vec2, inwards: Vec2, seen: Vec2) -> Iterator[str]:
    """One end of a cut's line: wide, with an arrow the way it is seen and the section's letter behind it."""
    inner = (tip[0] + WIDE_END * inwards[0], tip[1] + WIDE_END * inwards[1])
    tail = (tip[0] - ARROW_TAIL * seen[0], tip[1] - ARROW_TAIL * seen[1])
    yield line(tip, inner, Pen(0.7), "cut-end")
    yield line(tail, tip)
    yield arrow(tip, seen)
    at = (tail[0] - 2.2 * seen[0], tail[1] - 2.2 * seen[1] + MEDIUM / 2)
    yield words(Words(letter, at, MEDIUM, "middle", bold=True), "cut-letter")


def _dot(a: Vec2, b: Vec2) -> float:
    return a[0] * b[0] + a[1] * b[1]


def _picture_scale(group: Folded) -> float:
    """The picture has no scale: it fills its cell, but is never larger than the views."""
    wide, tall = group.sizes[3]
    return min(group.scale, group.columns[1] / wide, group.rows[1] / tall)


def window_at(view: View, corner: Vec2, scale: float) -> Window:
    """The window that puts the view's upper left corner at `corner`."""
    u0, _, _, v1 = view.bounds
    return Window((corner[0] - scale * u0, corner[1] + scale * v1), scale)


def draw_view(view: View, window: Window) -> Iterator[str]:
    """The lines of one view, the important ones last and so on top."""
    layers: tuple[tuple[str, Sequence[Curve], Pen], ...] = (
        ("tangent", view.tangent, NARROW),
        ("hidden", view.hidden, HIDDEN),
        ("visible", view.visible, VISIBLE),
    )
    for role, curves, pen in layers:
        for curve in curves:
            yield draw_curve(curve, window, pen, role)


def draw_curve(curve: Curve, window: Window, pen: Pen, role: str) -> str:
    """One curve of a view."""
    if isinstance(curve, Line):
        return line(window.point(curve.start), window.point(curve.end), pen, role)
    if not isinstance(curve, Arc):
        return polyline([window.point(p) for p in curve.points], pen, role)
    centre, radius = window.point(curve.centre), window.scale * curve.radius
    if curve.end_deg - curve.start_deg >= 360.0:
        return ring(centre, radius, pen, role)
    return arc(centre, radius, (curve.start_deg, curve.end_deg), pen, role)


def draw_width(text: str, span: Vec2, top: float) -> Iterator[str]:
    """An overall width above a view: its text, its reach along the paper, and the view's upper edge."""
    (x0, x1), y = span, top - DIMENSION_GAP
    for x in span:
        yield line((x, top - 1.0), (x, y - 1.5), NARROW, "leader")
    yield from _dimension((x0, y), (x1, y), Words(text, ((x0 + x1) / 2, y - 1.0), SMALL, "middle"))


def _dimension(a: Vec2, b: Vec2, text: Words) -> Iterator[str]:
    yield line(a, b)
    yield arrow(a, (a[0] - b[0], a[1] - b[1]))
    yield arrow(b, (b[0] - a[0], b[1] - a[1]))
    yield words(text, "overall")
