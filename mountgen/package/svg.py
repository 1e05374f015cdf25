"""Marks on paper as SVG text: lines, arcs, closed curves and words, in millimetres, y downwards.

Pens follow ISO 128-2: wide lines 0.5 mm, narrow lines 0.25 mm, dashes and gaps in multiples of the
width. Lettering heights are those of capitals (ISO 3098-1: 2.5, 3.5, 5 mm).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from typing import Literal

from mountgen.geometry import Contour, Vec2, Vertex
from mountgen.package.svg_text import CAPITAL_SHARE, displayable

Anchor = Literal["start", "middle", "end"]

SMALL, MEDIUM, LARGE = 2.5, 3.5, 5.0
"""mm; heights of capitals."""


@dataclass(frozen=True)
class Pen:
    """A line: width in mm and its dashes, in mm, '' for a continuous one."""

    width: float
    dashes: str = ""


VISIBLE = Pen(0.5)
NARROW = Pen(0.25)
HIDDEN = Pen(0.25, "3 0.75")
CENTRE = Pen(0.25, "6 0.75 0.25 0.75")
BEND = Pen(0.25, "6 0.75 0.25 0.75 0.25 0.75")
FRAME = Pen(0.7)


@dataclass(frozen=True)
class Words:
    """One line of text: where its baseline starts, ends or has its middle, and how it is turned.

    `turned` text runs upwards, so that it is read from the right of the sheet.
    """

    text: str
    at: Vec2
    height: float = SMALL
    anchor: Anchor = "start"
    turned: bool = False
    bold: bool = False


def number(value: float) -> str:
    """A coordinate, to 0.1 micrometre."""
    return f"{round(value, 4) + 0.0:.4f}".rstrip("0").rstrip(".")


def line(a: Vec2, b: Vec2, pen: Pen = NARROW, role: str = "") -> str:
    coordinates = f'x1="{number(a[0])}" y1="{number(a[1])}" x2="{number(b[0])}" y2="{number(b[1])}"'
    return f"<line{_role(role)} {coordinates} {_stroke(pen)}/>"


def polyline(points: Sequence[Vec2], pen: Pen = NARROW, role: str = "") -> str:
    shown = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return f'<polyline{_role(role)} points="{shown}" fill="none" {_stroke(pen)}/>'


def box(low: Vec2, size: Vec2, pen: Pen = NARROW, role: str = "") -> str:
    corner = f'x="{number(low[0])}" y="{number(low[1])}"'
    extent = f'width="{number(size[0])}" height="{number(size[1])}"'
    return f'<rect{_role(role)} {corner} {extent} fill="none" {_stroke(pen)}/>'


def ring(centre: Vec2, radius: float, pen: Pen = NARROW, role: str = "") -> str:
    at = f'cx="{number(centre[0])}" cy="{number(centre[1])}" r="{number(radius)}"'
    return f'<circle{_role(role)} {at} fill="none" {_stroke(pen)}/>'


def arc(centre: Vec2, radius: float, angles_deg: Vec2, pen: Pen = NARROW, role: str = "") -> str:
    """An arc drawn counter-clockwise on the paper, from the first angle to the second."""
    ends = [
        (centre[0] + radius * math.cos(math.radians(a)), centre[1] - radius * math.sin(math.radians(a)))
        for a in angles_deg
    ]
    large = int(angles_deg[1] - angles_deg[0] > 180.0)
    (x0, y0), (x1, y1) = ends
    r = number(radius)
    shape = f"M{number(x0)} {number(y0)}A{r} {r} 0 {large} 0 {number(x1)} {number(y1)}"
    return f'<path{_role(role)} d="{shape}" fill="none" {_stroke(pen)}/>'


def curve(contour: Contour, pen: Pen = VISIBLE, role: str = "") -> str:
    """A closed contour that is given in paper coordinates (y downwards)."""
    start = contour.vertices[0]
    steps = [f"M{number(start.x)} {number(start.y)}", *(_step(a, b) for a, b in contour.segments()), "Z"]
    return f'<path{_role(role)} d="{"".join(steps)}" fill="none" {_stroke(pen)}/>'


def _step(a: Vertex, b: Vertex) -> str:
    end = f"{number(b.x)} {number(b.y)}"
    if a.bulge == 0.0:
        return f"L{end}"
    radius = math.hypot(b.x - a.x, b.y - a.y) * (1 + a.bulge**2) / (4 * abs(a.bulge))
    large, sweep = int(abs(a.bulge) > 1), int(a.bulge > 0)
    return f"A{number(radius)} {number(radius)} 0 {large} {sweep} {end}"


def arrow(tip: Vec2, direction: Vec2) -> str:
    """A filled arrow head whose tip is reached when moving along `direction`; 3 mm long."""
    size = math.hypot(*direction)
    dx, dy = direction[0] / size, direction[1] / size
    corners = [tip, *((tip[0] - 3 * dx - s * 0.5 * dy, tip[1] - 3 * dy + s * 0.5 * dx) for s in (1, -1))]
    shown = " ".join(f"{number(x)},{number(y)}" for x, y in corners)
    return f'<polygon points="{shown}" fill="#000"/>'


def words(label: Words, role: str = "") -> str:
    x, y = number(label.at[0]), number(label.at[1])
    turn = f' transform="rotate(-90 {x} {y})"' if label.turned else ""
    weight = ' font-weight="bold"' if label.bold else ""
    anchor = "" if label.anchor == "start" else f' text-anchor="{label.anchor}"'
    size = number(label.height / CAPITAL_SHARE)
    place = f'x="{x}" y="{y}" font-size="{size}"'
    return f"<text{_role(role)} {place}{anchor}{weight}{turn}>{escape(displayable(label.text))}</text>"


def sheet(size: Vec2, marks: Iterable[str]) -> str:
    """A whole drawing: one SVG unit is one millimetre."""
    width, height = number(size[0]), number(size[1])
    font = 'font-family="DejaVu Sans" font-stretch="condensed"'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm"'
    opened = f'{head} viewBox="0 0 {width} {height}" {font} stroke-linecap="round">'
    return "\n".join((opened, *marks, "</svg>\n"))


def _stroke(pen: Pen) -> str:
    dashes = f' stroke-dasharray="{pen.dashes}"' if pen.dashes else ""
    return f'stroke="#000" stroke-width="{number(pen.width)}"{dashes}'


def _role(role: str) -> str:
    return f' class="{escape(role)}"' if role else ""
