"""Marks of the survey form's sketches: lettered dimensions and pointers."""

from __future__ import annotations

import math
from collections.abc import Iterator

from mountgen.geometry import Vec2
from mountgen.package.svg import NARROW, SMALL, Pen, Words, arrow, line, number, words

BADGE = 2.3
"""mm; radius of the ring around a letter."""
ARROWS_FIT = 7.0
"""mm; a shorter dimension has its arrows outside."""
TAIL = 4.5
THIN = Pen(0.15)
SHADE = "#d9d9d9"


def badge(letter: str, at: Vec2) -> str:
    """A letter in a ring, over whatever line it stands on."""
    x, y = at
    at_ring = f'cx="{number(x)}" cy="{number(y)}" r="{BADGE}"'
    ring = f'<circle {at_ring} fill="#fff" stroke="#000" stroke-width="0.25"/>'
    return ring + words(Words(letter, (x, y + SMALL / 2), SMALL, "middle", bold=True), "letter")


def filled(low: Vec2, size: Vec2) -> str:
    """A grey box with an outline: a roller, a guide, a bed."""
    return _area(low, size, SHADE)


def blank(low: Vec2, size: Vec2) -> str:
    """A white box with an outline, over what lies under it: a rail, a product."""
    return _area(low, size, "#fff")


def _area(low: Vec2, size: Vec2, colour: str) -> str:
    corner = f'x="{number(low[0])}" y="{number(low[1])}"'
    extent = f'width="{number(size[0])}" height="{number(size[1])}"'
    return f'<rect {corner} {extent} fill="{colour}" stroke="#000" stroke-width="0.35"/>'


def dimension(letter: str, a: Vec2, b: Vec2, at: Vec2 | None = None) -> Iterator[str]:
    """A dimension line from `a` to `b` with its letter in the middle, or at `at`."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    size = math.hypot(dx, dy)
    ux, uy = dx / size, dy / size
    if size >= ARROWS_FIT:
        yield line(a, b)
        yield arrow(a, (-dx, -dy))
        yield arrow(b, (dx, dy))
    else:
        yield line((a[0] - TAIL * ux, a[1] - TAIL * uy), (b[0] + TAIL * ux, b[1] + TAIL * uy))
        yield arrow(a, (dx, dy))
        yield arrow(b, (-dx, -dy))
    yield badge(letter, at or ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2))


def pointer(letter: str, at: Vec2, tip: Vec2) -> Iterator[str]:
    """A letter with a line to the thing that it means."""
    yield line(at, tip, NARROW)
    yield badge(letter, at)


def extension_lines(*ends: tuple[Vec2, Vec2]) -> Iterator[str]:
    """Thin lines that carry an edge out to its dimension."""
    return (line(a, b, THIN) for a, b in ends)


def note(text: str, at: Vec2, *, turned: bool = False) -> str:
    """A few words in the middle of `at`."""
    return words(Words(text, at, 1.9, "middle", turned=turned), "note")
