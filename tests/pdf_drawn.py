"""What a PDF draws, in mm of paper: every stroked path, forms within forms followed.

Published: PDF's unit of 1/72 in (ISO 32000-1, 8.3.2.3).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO

from pypdf import PdfReader
from pypdf.generic import ContentStream

from mountgen.geometry import Vec2

MM_PER_POINT = 25.4 / 72
Matrix = tuple[float, float, float, float, float, float]


@dataclass(frozen=True)
class Drawn:
    """A stroked path of a PDF page: its corner points in mm, y upwards, and whether it is curved."""

    points: tuple[Vec2, ...]
    curved: bool

    @property
    def middle(self) -> Vec2:
        xs, ys = zip(*self.points, strict=True)
        return ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)

    @property
    def width(self) -> float:
        xs = [x for x, _ in self.points]
        return max(xs) - min(xs)

    @property
    def height(self) -> float:
        ys = [y for _, y in self.points]
        return max(ys) - min(ys)


def product(inner: Matrix, outer: Matrix) -> Matrix:
    a, b, c, d, e, f = inner
    g, h, i, j, k, m = outer
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m)


def drawn(data: bytes) -> list[list[Drawn]]:
    """Every stroked path of every page, forms within forms followed."""
    reader = PdfReader(BytesIO(data))
    unit: Matrix = (MM_PER_POINT, 0.0, 0.0, MM_PER_POINT, 0.0, 0.0)
    return [list(stroked(page.get_contents(), page["/Resources"], unit, reader)) for page in reader.pages]


def stroked(stream, resources, at: Matrix, reader) -> Iterator[Drawn]:
    kept: list[Matrix] = []
    points: list[Vec2] = []
    curved = False
    for operands, operator in ContentStream(stream, reader).operations:
        numbers = [float(n) for n in operands if isinstance(n, int | float)]
        match operator:
            case b"q":
                kept.append(at)
            case b"Q":
                at = kept.pop()
            case b"cm":
                at = product(tuple(numbers), at)
            case b"m" | b"l" | b"c":
                points.append(moved(numbers[-2:], at))
                curved |= operator == b"c"
            case b"S" | b"s" | b"B":
                yield Drawn(tuple(points), curved)
                points, curved = [], False
            case b"n" | b"f" | b"f*":
                points, curved = [], False
            case b"Do":
                form = resources["/XObject"][operands[0]].get_object()
                inner = product(tuple(float(n) for n in form.get("/Matrix", (1, 0, 0, 1, 0, 0))), at)
                yield from stroked(form, form.get("/Resources", resources), inner, reader)


def moved(point, at: Matrix) -> Vec2:
    x, y = point
    return (at[0] * x + at[2] * y + at[4], at[1] * x + at[3] * y + at[5])
