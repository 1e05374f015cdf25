"""Two pictures to scale of line and mount as inline SVG: along the line, and from above.

Everything is an upright rectangle in a picture: boxes of the world frame, projected. Colours of lines
and words come from the page's style sheet, so that they suit light and dark.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from mountgen.demand import near_sides
from mountgen.detail.records import Rgb
from mountgen.geometry import Box, Vec2
from mountgen.package.records import Findings, SceneBox
from mountgen.package.svg import number
from mountgen.survey.records import Survey
from mountgen.units import format_length

WIDE = 720.0
"""Units of a picture's width; words are 15 units high."""
WORDS = 15.0
MARGIN = 24.0
TALLEST = 620.0
RAIL: Rgb = (0.55, 0.58, 0.60)
GUIDE: Rgb = (0.45, 0.60, 0.50)
PRODUCT: Rgb = (0.85, 0.70, 0.45)
SURFACE: Rgb = (0.76, 0.78, 0.80)
SURFACE_THICKNESS = 2.0
"""mm that the conveying surface is drawn thick."""
VIEWED_X = 400.0
"""mm of line shown either way of the print line."""


@dataclass(frozen=True)
class _Picture:
    """Which axes run right and up, and what the picture shows."""

    across: int
    up: int
    title: str
    description: str


ALONG = _Picture(1, 2, "Along the line", "Seen along the line from its right end; the mount stands left.")
ABOVE = _Picture(0, 1, "From above", "Seen from above; the mount stands at the lower side.")


@dataclass(frozen=True)
class _Frame:
    """Millimetres of the world to units of the picture."""

    low: Vec2
    high: Vec2

    @property
    def scale(self) -> float:
        wide, tall = self.high[0] - self.low[0], self.high[1] - self.low[1]
        return min((WIDE - 2 * MARGIN) / wide, TALLEST / tall)

    @property
    def height(self) -> float:
        return self.scale * (self.high[1] - self.low[1]) + 2 * MARGIN + 2 * WORDS

    def rectangle(self, box: Box, picture: _Picture) -> tuple[float, float, float, float]:
        """x, y, width, height of a box in the picture, cut off at the frame."""
        x0, x1 = (self._x(limit[picture.across]) for limit in (box.low, box.high))
        y0, y1 = (self._y(limit[picture.up]) for limit in (box.high, box.low))
        return x0, y0, x1 - x0, y1 - y0

    def _x(self, value: float) -> float:
        return MARGIN + self.scale * (min(max(value, self.low[0]), self.high[0]) - self.low[0])

    def _y(self, value: float) -> float:
        return MARGIN + self.scale * (self.high[1] - min(max(value, self.low[1]), self.high[1]))


def scene_pictures(findings: Findings) -> list[str]:
    """Both pictures as figures with captions."""
    name = escape(str(findings.survey.products.names[0]))
    return [
        f"<figure>{svg}<figcaption><strong>{title}.</strong> {description} The mount is set for {name}."
        "</figcaption></figure>"
        for title, description, svg in scene_drawings(findings)
    ]


def scene_drawings(findings: Findings) -> list[tuple[str, str, str]]:
    """Both pictures: title, what is seen, and the SVG, whose lines and words have their colours from a style
    sheet."""
    boxes = [*line_boxes(findings.survey), *findings.scene]
    return [
        (picture.title, picture.description, _drawing(picture, boxes, findings.survey))
        for picture in (ALONG, ABOVE)
    ]


def line_boxes(survey: Survey) -> Iterator[SceneBox]:
    """Rails, surface, products and guides as boxes of the world frame."""
    x = (max(survey.rail.free_from, -VIEWED_X), min(survey.rail.free_to, VIEWED_X))
    yield from _rail_boxes(survey, x)
    bed, far = survey.line.bed_from_y, survey.rail.far_rail_at
    surface = Box((x[0], bed, -SURFACE_THICKNESS), (x[1], far - bed, 0.0))
    yield SceneBox("conveying surface", surface, SURFACE)
    yield _first_product_box(survey)
    yield from _guide_boxes(survey, x)


def _rail_boxes(survey: Survey, x: Vec2) -> Iterator[SceneBox]:
    """Both rails, a box for each cover of the section; the far one is the near one's mirror image."""
    rail, top = survey.rail, float(survey.rail.top_above_surface)
    for cover in rail.section.covers:
        (y0, z0), (y1, z1) = cover.low, cover.high
        for y in ((y0, y1), (rail.far_rail_at - y1, rail.far_rail_at - y0)):
            box = Box((x[0], y[0], top + z0), (x[1], y[1], top + z1))
            yield SceneBox("side rail", box, RAIL)


def _first_product_box(survey: Survey) -> SceneBox:
    """The product that the mount is drawn set for, where its code begins at the print line."""
    products, at = survey.products, 0
    lead, near = float(products.from_leading[at]), float(near_sides(survey)[at])
    length, width = float(products.length[at]), float(products.width[at])
    x = (lead - length, lead)
    if survey.line.flow == "right_to_left":
        x = (-lead, length - lead)
    box = Box((x[0], near, 0.0), (x[1], near + width, float(products.height[at])))
    return SceneBox(str(products.names[at]), box, PRODUCT)


def _guide_boxes(survey: Survey, x: Vec2) -> Iterator[SceneBox]:
    guides = survey.guides
    if guides is None:
        return
    gaps = [(x[0], guides.open[0]), (guides.open[1], x[1])] if guides.open else [x]
    near, far, depth = float(guides.near_y), float(guides.far_y), guides.depth
    for start, end in gaps:
        if end > start:
            box = Box((start, near - depth, guides.z[0]), (end, near, guides.z[1]))
            yield SceneBox("product guide", box, GUIDE)
    box = Box((x[0], far, guides.z[0]), (x[1], far + depth, guides.z[1]))
    yield SceneBox("product guide", box, GUIDE)


def _drawing(picture: _Picture, boxes: Sequence[SceneBox], survey: Survey) -> str:
    frame = _frame(picture, boxes)
    size = f"0 0 {number(WIDE)} {number(frame.height)}"
    parts = [f'<svg viewBox="{size}" role="img" aria-label="{escape(picture.description)}">']
    parts += [_rectangle(box, frame, picture) for box in _far_first(boxes, picture)]
    return "".join([*parts, *_marks(picture, frame), *_scale_bar(frame, survey), "</svg>"])


def _frame(picture: _Picture, boxes: Sequence[SceneBox]) -> _Frame:
    """Around everything, but along x no more than the stretch that is shown."""
    whole = Box.around(corner for box in boxes for corner in (box.box.low, box.box.high))
    low = [whole.low[picture.across], whole.low[picture.up]]
    high = [whole.high[picture.across], whole.high[picture.up]]
    if picture.across == 0:
        low[0], high[0] = max(low[0], -VIEWED_X), min(high[0], VIEWED_X)
    return _Frame((low[0], low[1]), (high[0], high[1]))


def _far_first(boxes: Sequence[SceneBox], picture: _Picture) -> list[SceneBox]:
    """What is farther from the eye first; the eye looks down the axis that is not drawn."""
    depth = 3 - picture.across - picture.up
    return sorted(boxes, key=lambda box: box.box.high[depth])


def _rectangle(box: SceneBox, frame: _Frame, picture: _Picture) -> str:
    x, y, width, height = (number(value) for value in frame.rectangle(box.box, picture))
    fill = "#" + "".join(f"{round(255 * share):02x}" for share in box.colour)
    shape = f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="{fill}">'
    return f"{shape}<title>{escape(box.name)}</title></rect>"


def _marks(picture: _Picture, frame: _Frame) -> Iterator[str]:
    """The print line in the view from above."""
    if picture.across == 0:
        x = MARGIN - frame.scale * frame.low[0]
        bottom = frame.height - MARGIN - 2 * WORDS
        yield f'<path class="mark" d="M{number(x)} {number(MARGIN)}V{number(bottom)}"/>'
        yield f'<text x="{number(x)}" y="{number(MARGIN - 6)}" text-anchor="middle">print line</text>'


def _scale_bar(frame: _Frame, survey: Survey) -> Iterator[str]:
    real = 100.0 if survey.units == "mm" else 101.6
    y = frame.height - WORDS
    x = MARGIN + frame.scale * real
    yield f'<path class="bar" d="M{number(MARGIN)} {number(y - 5)}v10m0 -5H{number(x)}m0 -5v10"/>'
    yield f'<text x="{number(x + 8)}" y="{number(y + 5)}">{format_length(real, survey.units, 0)}</text>'
