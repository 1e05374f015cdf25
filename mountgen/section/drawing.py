"""The section as a picture: what was read, with its sizes, so that a person sees at once what is wrong.

One SVG unit is a millimetre of paper; the section is drawn to a round scale. y points down on the paper.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from html import escape
from textwrap import wrap

from mountgen.geometry import Contour, Vec2, Vertex
from mountgen.section.faults import number
from mountgen.section.records import Face, Section
from mountgen.section.words import face_line, title

SCALES = (10.0, 5.0, 2.0, 1.0, 0.5, 0.2)
"""Paper mm per mm (ISO 5455)."""
ROOM: Vec2 = (110.0, 120.0)
"""mm of paper for the section itself."""
MARGIN = 25.0
COLUMN = 100.0
"""mm; the text beside the section."""
LINE = 4.6
LETTERS = 62
NAMED = 12
"""Faces that are named in the picture."""


@dataclass(frozen=True)
class _Paper:
    """From the rail's frame to the paper."""

    scale: float
    shift: Vec2

    def point(self, point: Vec2) -> Vec2:
        return (self.shift[0] + self.scale * point[0], self.shift[1] - self.scale * point[1])


def draw_section(section: Section) -> str:
    """The section as SVG: metal, hollows, depth, width and wall, named faces, the web, and the notes."""
    x0, y0, x1, y1 = section.outline.bounds
    scale = next((s for s in SCALES if s * (x1 - x0) <= ROOM[0] and s * (y1 - y0) <= ROOM[1]), SCALES[-1])
    paper = _Paper(scale, (MARGIN - scale * x0, MARGIN + scale * y1))
    lines = list(_text(section, scale))
    left = 2 * MARGIN + scale * (x1 - x0)
    size = (left + COLUMN, max(2 * MARGIN + scale * (y1 - y0), MARGIN + LINE * (len(lines) + 1)))
    marks = [
        _metal(section, paper),
        *_web(section, paper),
        *_sizes(section, paper),
        *(mark for face in section.faces[:NAMED] for mark in _face(face, paper)),
        *(_words((left, MARGIN + LINE * i), line) for i, line in enumerate(lines)),
    ]
    return _sheet(size, marks, title(section))


def _sheet(size: Vec2, marks: Iterable[str], name: str) -> str:
    width, height = number(size[0]), number(size[1])
    head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm"'
    head += f' viewBox="0 0 {width} {height}" font-family="DejaVu Sans" font-stretch="condensed"'
    paper = f'<rect width="{width}" height="{height}" fill="#fff"/>'
    return "\n".join([f'{head} role="img">', f"<title>{escape(name)}</title>", paper, *marks, "</svg>\n"])


def _metal(section: Section, paper: _Paper) -> str:
    shape = "".join(_path(contour, paper) for contour in (section.outline, *section.holes))
    pen = 'fill="#d7dde3" fill-rule="evenodd" stroke="#000" stroke-width="0.5" stroke-linejoin="round"'
    return f'<path class="metal" d="{shape}" {pen}/>'


def _path(contour: Contour, paper: _Paper) -> str:
    first = contour.vertices[0]
    steps = "".join(_step(a, b, paper) for a, b in contour.segments())
    return f"M{_pair(paper.point((first.x, first.y)))}{steps}Z"


def _step(a: Vertex, b: Vertex, paper: _Paper) -> str:
    end = _pair(paper.point((b.x, b.y)))
    if a.bulge == 0.0:
        return f"L{end}"
    radius = number(paper.scale * math.hypot(b.x - a.x, b.y - a.y) * (1 + a.bulge**2) / (4 * abs(a.bulge)), 4)
    return f"A{radius} {radius} 0 {int(abs(a.bulge) > 1)} {int(a.bulge < 0)} {end}"


def _pair(point: Vec2) -> str:
    return f"{number(point[0], 4)} {number(point[1], 4)}"


def _web(section: Section, paper: _Paper) -> Iterator[str]:
    """A heavy line on the web's plain side where both its sides are flat, and how thick it is there."""
    if section.web is None:
        return
    low, high = section.web.flat
    yield _line(paper.point((0.0, low)), paper.point((0.0, high)), 'stroke="#0a58ca" stroke-width="1.2"')
    x, y = paper.point((0.0, low + 0.75 * (high - low)))
    yield _words((x - 2.0, y), "web", turned=True)
    x, y = paper.point((section.web.thickness, low + 0.3 * (high - low)))
    yield from (_arrow((x, y), (-1.0, 0.0)), _line((x, y), (x + 6.0, y)))
    yield _words((x + 7.0, y + 1.1), f"t = {number(section.web.thickness, 2)}")


def _sizes(section: Section, paper: _Paper) -> Iterator[str]:
    x0, y0, x1, y1 = section.outline.bounds
    (left, top), (right, bottom) = paper.point((x0, y1)), paper.point((x1, y0))
    level, upright = bottom + 14.0, left - 14.0
    yield from _measure((left, level), (right, level), number(section.width, 2))
    yield from _measure((upright, bottom), (upright, top), number(section.depth, 2))
    for x in (left, right):
        yield _line((x, bottom + 2.0), (x, level + 1.5))
    for y in (top, bottom):
        yield _line((left - 2.0, y), (upright - 1.5, y))


def _measure(a: Vec2, b: Vec2, text: str) -> Iterator[str]:
    """A dimension line; its number is read from below or from the right."""
    yield _line(a, b)
    turned = abs(b[1] - a[1]) > abs(b[0] - a[0])
    way = (0.0, math.copysign(1.0, b[1] - a[1])) if turned else (math.copysign(1.0, b[0] - a[0]), 0.0)
    yield from (_arrow(a, (-way[0], -way[1])), _arrow(b, way))
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    at = (middle[0] - 1.2, middle[1]) if turned else (middle[0], middle[1] - 1.2)
    yield _words(at, text, turned=turned, anchor="middle")


def _arrow(tip: Vec2, way: Vec2) -> str:
    (x, y), (dx, dy) = tip, way
    corners = [(x, y), *((x - 2.5 * dx - s * 0.45 * dy, y - 2.5 * dy + s * 0.45 * dx) for s in (1, -1))]
    return f'<polygon points="{" ".join(_pair(corner) for corner in corners)}"/>'


def _face(face: Face, paper: _Paper) -> Iterator[str]:
    """A face's name beside its middle, outside the metal."""
    middle = ((face.start[0] + face.end[0]) / 2, (face.start[1] + face.end[1]) / 2)
    x, y = paper.point(middle)
    angle = math.radians(face.outward_deg)
    at = (x + 5.5 * math.cos(angle), y - 4.5 * math.sin(angle) + 1.0)
    yield _line((x, y), (x + 2.0 * math.cos(angle), y - 2.0 * math.sin(angle)))
    yield _words(at, face.name, anchor="middle")


def _line(a: Vec2, b: Vec2, pen: str = 'stroke="#000" stroke-width="0.18"') -> str:
    (ax, ay), (bx, by) = a, b
    ends = f'x1="{number(ax, 4)}" y1="{number(ay, 4)}" x2="{number(bx, 4)}" y2="{number(by, 4)}"'
    return f"<line {ends} {pen}/>"


def _words(at: Vec2, text: str, *, turned: bool = False, anchor: str = "start") -> str:
    x, y = number(at[0], 4), number(at[1], 4)
    turn = f' transform="rotate(-90 {x} {y})"' if turned else ""
    shown = "".join(c if c.isprintable() else " " for c in text)
    return f'<text x="{x}" y="{y}" font-size="3.2" text-anchor="{anchor}"{turn}>{escape(shown)}</text>'


def _text(section: Section, scale: float) -> Iterator[str]:
    """The lines beside the picture."""
    ratio = f"{number(scale)} : 1" if scale >= 1.0 else f"1 : {number(1 / scale)}"
    texts = [f"{section.path.name}: {title(section)}", f"scale {ratio}; sizes in mm", ""]
    texts += [face_line(face) for face in section.faces[:NAMED]]
    texts += ["", *(f"- {note}" for note in section.notes)]
    for text in texts:
        yield from wrap(text, LETTERS) or [""]
