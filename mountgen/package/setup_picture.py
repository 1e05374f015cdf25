"""A plain picture, not to scale, of what the sensor-to-nozzle distance and the delay measure."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.package.svg import (
    CENTRE,
    HIDDEN,
    NARROW,
    SMALL,
    VISIBLE,
    Words,
    arrow,
    box,
    line,
    ring,
    sheet,
    words,
)
from mountgen.survey.records import Survey
from mountgen.units import format_length

SIZE = (170.0, 62.0)
BELT = 46.0
EYE, NOZZLES, LEADING, CODE = 50.0, 120.0, 50.0, 24.0
"""x of beam, nozzle column, leading edge and start of the code, for flow to the right."""


def distance_picture(survey: Survey, distance_mm: float) -> str:
    """Seen from above, as SVG; flow from the right is drawn from the right, words stay readable."""
    rightwards = survey.line.flow == "left_to_right"
    shown = format_length(distance_mm, survey.units)
    return sheet(SIZE, _marks(shown, rightwards=rightwards))


def _marks(distance: str, *, rightwards: bool) -> Iterator[str]:
    def x(value: float) -> float:
        return value if rightwards else SIZE[0] - value

    yield line((4.0, BELT), (SIZE[0] - 4.0, BELT), VISIBLE)
    yield _between(x(-20.0), x(LEADING), 32.0, BELT)
    yield line((x(CODE), 36.0), (x(CODE), 42.0), VISIBLE)
    yield box((min(x(CODE), x(CODE - 14.0)), 37.0), (14.0, 4.0), NARROW)
    yield _middle("code", x(CODE - 7.0), 36.0)
    for at, name in ((EYE, "photo-eye"), (NOZZLES, "nozzles")):
        yield line((x(at), 12.0), (x(at), BELT), CENTRE)
        yield ring((x(at), 24.0), 1.5, VISIBLE)
        yield words(Words(name, (x(at + 3.0), 28.0), anchor="start" if rightwards else "end"))
    yield from _span(x(EYE), x(NOZZLES), 16.0, f"photo-eye to nozzles {distance}")
    yield line((x(CODE), 42.0), (x(CODE), 58.0), HIDDEN)
    yield line((x(NOZZLES), BELT), (x(NOZZLES), 58.0), HIDDEN)
    yield from _span(x(CODE), x(NOZZLES), 55.0, "delay: leading edge at the beam to first printed column")
    yield line((x(132.0), 40.0), (x(150.0), 40.0))
    yield arrow((x(150.0), 40.0), (x(150.0) - x(132.0), 0.0))
    yield _middle("flow", x(141.0), 38.5)


def _between(a: float, b: float, top: float, bottom: float) -> str:
    """The product, its far end cut off by the picture's edge."""
    left, right = max(min(a, b), 4.0), min(max(a, b), SIZE[0] - 4.0)
    return box((left, top), (right - left, bottom - top), VISIBLE)


def _span(a: float, b: float, y: float, text: str) -> Iterator[str]:
    yield line((a, y), (b, y))
    yield arrow((a, y), (a - b, 0.0))
    yield arrow((b, y), (b - a, 0.0))
    yield _middle(text, (a + b) / 2, y - 1.0)


def _middle(text: str, x: float, y: float) -> str:
    return words(Words(text, (x, y), SMALL, "middle"))
