"""Ordinate dimensions along one edge of a view (ISO 129-1, running dimensions from one datum).

Each ordinate has a place on the edge where it wants to stand. Texts are spread so that no two come
closer than a pitch, with the least sum of squared shifts, and keep their order, so that no two leaders
cross. A leader runs from its feature over the edge, jogs to the text's place and ends at the text.

Words: *along* is the paper coordinate that runs with the edge, *across* the one that leaves it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from mountgen.geometry import Vec2
from mountgen.package.drawing_words import plain
from mountgen.package.svg import NARROW, SMALL, Words, polyline, words
from mountgen.package.svg_text import text_width

Side = Literal["bottom", "left", "top", "right"]

PITCH = SMALL + 1.2
"""mm between the middles of two neighbouring texts."""
STRAIGHT, JOG, TEXT_GAP = 3.0, 5.0, 0.8
"""mm: leader straight out of the view, then slanting to its text's place, then a gap to the text."""
SAME = 0.005
"""mm; half of the last place that is written."""
NOISE = 1e-4
"""mm; values closer than this are one, though rounding may write them apart."""


@dataclass(frozen=True)
class Ordinate:
    """A value to show: its text, where it stands along the edge, and where its leader starts."""

    value: float
    text: str
    along: float
    start: float


@dataclass(frozen=True)
class Edge:
    """An edge of a view: which side, and its across coordinate on the paper."""

    side: Side
    across: float

    @property
    def axis(self) -> int:
        """0 when the edge runs along x, 1 when it runs along y."""
        return 0 if self.side in ("bottom", "top") else 1

    @property
    def outwards(self) -> float:
        """Sign of the across direction that leaves the view (the paper's y runs down)."""
        return 1.0 if self.side in ("bottom", "right") else -1.0

    def point(self, along: float, across: float) -> Vec2:
        return (along, across) if self.side in ("bottom", "top") else (across, along)


def spread(wanted: Sequence[float], pitch: float) -> list[float]:
    """Places at least `pitch` apart, in the order of `wanted` (ascending), nearest in least squares.

    Pool adjacent violators on wanted[i] - i * pitch: neighbours that clash form a block that stands
    about its mean.
    """
    blocks: list[tuple[float, int]] = []
    for i, value in enumerate(wanted):
        mean, count = value - i * pitch, 1
        while blocks and blocks[-1][0] > mean:
            before, size = blocks.pop()
            mean = (before * size + mean * count) / (size + count)
            count += size
        blocks.append((mean, count))
    flat = [mean for mean, count in blocks for _ in range(count)]
    return [mean + i * pitch for i, mean in enumerate(flat)]


def is_one(a: float, b: float) -> bool:
    """Whether two values share an ordinate: they are written alike, or differ by nothing but rounding."""
    return abs(a - b) <= NOISE or plain(a) == plain(b)


def merged(ordinates: Iterable[Ordinate], edge: Edge) -> list[Ordinate]:
    """One ordinate per value, ascending along the edge, with the leader of the farthest feature."""
    kept: list[Ordinate] = []
    for ordinate in sorted(ordinates, key=lambda o: o.value):
        if kept and is_one(ordinate.value, kept[-1].value):
            farther = (ordinate.start - kept[-1].start) * edge.outwards < 0
            kept[-1] = ordinate if farther else kept[-1]
        else:
            kept.append(ordinate)
    return sorted(kept, key=lambda o: o.along)


def depth(texts: Iterable[str]) -> float:
    """How far a row of ordinates reaches out of its view, mm; 0 for none."""
    widths = [text_width(text, SMALL) for text in texts]
    return STRAIGHT + JOG + TEXT_GAP + max(widths) if widths else 0.0


def ordinate_words(ordinates: Sequence[Ordinate], edge: Edge) -> list[Words]:
    """The texts of ordinates that are already merged, spread along the edge."""
    places = spread([o.along for o in ordinates], PITCH)
    reach = edge.across + edge.outwards * (STRAIGHT + JOG + TEXT_GAP)
    return [_text(o, place, reach, edge) for o, place in zip(ordinates, places, strict=True)]


def draw_ordinates(kept: Sequence[Ordinate], edge: Edge) -> list[str]:
    """Leaders and texts along one edge, of ordinates that are already merged."""
    drawn = [polyline(leader, NARROW, "leader") for leader in leaders(kept, edge)]
    return drawn + [words(text, f"ordinate-{edge.side}") for text in ordinate_words(kept, edge)]


def leaders(kept: Sequence[Ordinate], edge: Edge) -> list[tuple[Vec2, Vec2, Vec2]]:
    """The leader of every ordinate: from its feature straight out of the view, then to its text's place."""
    out = edge.across + edge.outwards * STRAIGHT
    end = out + edge.outwards * JOG
    places = spread([o.along for o in kept], PITCH)
    return [
        (edge.point(o.along, o.start), edge.point(o.along, out), edge.point(place, end))
        for o, place in zip(kept, places, strict=True)
    ]


def _text(ordinate: Ordinate, place: float, reach: float, edge: Edge) -> Words:
    """The baseline lies half a capital beside the place, so that the text's middle is on it."""
    upright = edge.side in ("left", "right")
    at = edge.point(place + SMALL / 2, reach)
    begins = edge.side in ("top", "right")
    return Words(ordinate.text, at, SMALL, "start" if begins else "end", turned=not upright)
