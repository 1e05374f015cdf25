"""The folded part: front, from above, from the left, and a picture, with overall sizes.

In first-angle projection the view from above stands below the front, that from the left right of it; in
third-angle projection they stand above and left of it. Source: ISO 128-3 / ISO 5456-2 for the places of the
views; ISO 128-2 for the lines.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from mountgen.geometry import Arc, Vec2
from mountgen.package.drawing_flat import DIMENSION_GAP, Window
from mountgen.package.drawing_paper import Projection
from mountgen.package.drawing_words import length
from mountgen.package.svg import (
    HIDDEN,
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
from mountgen.units import System
from mountgen.views import Curve, Line, View

BETWEEN = 8.0
"""mm of paper between neighbouring views."""
SMALLEST_PICTURE = 20.0
"""mm of paper that the picture gets at least, each way."""
MARGIN = 10.0
"""mm left of and above the group, for the overall dimensions."""


@dataclass(frozen=True)
class Folded:
    """Front, top and left view at one scale, and a picture that fits beside them.

    `sizes` are those of the views in real mm (width, height). The front's column and row come first in
    `columns` and `rows`, whichever side of the others they stand on.
    """

    views: tuple[View, ...]
    sizes: tuple[Vec2, ...]
    scale: float
    units: System
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
        """Paper of the whole group; views that stand apart from the front have a margin of their own."""
        between = BETWEEN if self.projection == "first angle" else BETWEEN + MARGIN
        return (MARGIN + sum(self.columns) + between, MARGIN + sum(self.rows) + between)

    def corners(self, at: Vec2) -> tuple[Vec2, Vec2]:
        """Upper left corners of the front and of the picture, for a group with its own at `at`."""
        x, y = at[0] + MARGIN, at[1] + MARGIN
        if self.projection == "first angle":
            return (x, y), (x + self.columns[0] + BETWEEN, y + self.rows[0] + BETWEEN)
        step = BETWEEN + MARGIN
        return (x + self.columns[1] + step, y + self.rows[1] + step), (x, y)


def view_sizes(views: Iterable[View]) -> tuple[Vec2, ...]:
    """Width and height of each view in real mm."""
    boxes = (view.bounds for view in views)
    return tuple((u1 - u0, v1 - v0) for u0, v0, u1, v1 in boxes)


def draw_folded(group: Folded, at: Vec2) -> Iterator[str]:
    """All marks of the group, `at` its upper left corner."""
    (x, y), (beside, over) = group.corners(at)
    front, top, left, picture = group.views
    for view, corner in ((front, (x, y)), (top, (x, over)), (left, (beside, y))):
        yield from draw_view(view, window_at(view, corner, group.scale))
    shown = replace(picture, hidden=())
    yield from draw_view(shown, window_at(picture, (beside, over), _picture_scale(group)))
    yield from _width(group.sizes[0][0], (x, y), group)
    yield from _height(group.sizes[0][1], (x, y), group)
    yield from _height(group.sizes[1][1], (x, over), group)


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


def _width(wide: float, corner: Vec2, group: Folded) -> Iterator[str]:
    """The overall width above a view; real mm."""
    span = (corner[0], corner[0] + group.scale * wide)
    yield from draw_width(length(wide, group.units), span, corner[1])


def draw_width(text: str, span: Vec2, top: float) -> Iterator[str]:
    """An overall width above a view: its text, its reach along the paper, and the view's upper edge."""
    (x0, x1), y = span, top - DIMENSION_GAP
    for x in span:
        yield line((x, top - 1.0), (x, y - 1.5), NARROW, "leader")
    yield from _dimension((x0, y), (x1, y), Words(text, ((x0 + x1) / 2, y - 1.0), SMALL, "middle"))


def _height(tall: float, corner: Vec2, group: Folded) -> Iterator[str]:
    """The overall height left of a view; real mm."""
    (y0, y1), x = (corner[1], corner[1] + group.scale * tall), corner[0] - 6.0
    for y in (y0, y1):
        yield line((corner[0] - 1.0, y), (x - 1.5, y), NARROW, "leader")
    text = length(tall, group.units)
    middle = (x - 1.0, (y0 + y1) / 2)
    yield from _dimension((x, y0), (x, y1), Words(text, middle, SMALL, "middle", turned=True))


def _dimension(a: Vec2, b: Vec2, text: Words) -> Iterator[str]:
    yield line(a, b)
    yield arrow(a, (a[0] - b[0], a[1] - b[1]))
    yield arrow(b, (b[0] - a[0], b[1] - a[1]))
    yield words(text, "overall")
