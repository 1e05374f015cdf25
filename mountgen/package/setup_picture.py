"""What the controller's numbers measure: the line from above, to scale along the flow."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from mountgen.layout.records import Setup
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
from mountgen.survey.records import Code, Survey
from mountgen.units import format_length

SIZE = (170.0, 70.0)
EDGE = 4.0
FACE, DEEP = 46.0, 30.0
"""y of the product's printed side, nearer to the viewer, and of where it is cut off."""
BEHIND, BEYOND = 12.0, 30.0
"""mm of paper kept behind the code, and past the nozzles for the arrow of the flow."""

Along = Callable[[float], float]


def distance_picture(survey: Survey, setup: Setup) -> str:
    """Seen from above, as SVG, at the moment at which the first product's leading edge meets the beam.

    Flow from the right is drawn from the right; words stay readable.
    """
    product = next(iter(survey.products))
    reach = product.code.from_leading + product.code.size[0]
    scale = (SIZE[0] - 2 * EDGE - BEHIND - BEYOND) / (setup.sensor_to_nozzle_mm + reach)
    rightwards = survey.line.flow == "left_to_right"

    def x(travel: float) -> float:
        """Paper x of a place on the line, mm along the flow from the beam."""
        flat = EDGE + BEHIND + (reach + travel) * scale
        return flat if rightwards else SIZE[0] - flat

    return sheet(SIZE, _marks(survey, setup, product.code, x))


def _marks(survey: Survey, setup: Setup, code: Code, x: Along) -> Iterator[str]:
    start, nozzles = -code.from_leading, setup.sensor_to_nozzle_mm
    yield from _product(code, x)
    for at, name in ((0.0, "photo-eye"), (nozzles, "nozzles")):
        yield line((x(at), 14.0), (x(at), FACE + 10.0), CENTRE)
        yield ring((x(at), FACE + 7.0), 1.5, VISIBLE)
        yield _middle(name, x(at), FACE + 13.5)
    units = survey.units
    shown = {
        "A": format_length(nozzles, units),
        "B": format_length(code.from_leading, units),
        "C": format_length(nozzles + code.from_leading, units),
        "D": format_length(code.size[0], units),
    }
    yield from _span(x(0.0), x(nozzles), 24.0, f"A {shown['A']}")
    yield from _span(x(start), x(0.0), 24.0, f"B {shown['B']}")
    yield from _span(x(start), x(nozzles), 16.0, f"C = A + B: delay {shown['C']}")
    yield from _span(x(start - code.size[0]), x(start), 24.0, f"D {shown['D']}")
    for at in (start, start - code.size[0]):
        yield line((x(at), 14.0), (x(at), FACE), HIDDEN)
    yield _middle("A photo-eye to nozzles   B leading edge to code   D length of the code", SIZE[0] / 2, 7.0)
    yield from _flow(x, nozzles)


def _product(code: Code, x: Along) -> Iterator[str]:
    """The product up to just behind its code, cut off there and at the back."""
    end = -(code.from_leading + code.size[0])
    tail = EDGE if x(0.0) > x(end) else SIZE[0] - EDGE
    yield line((tail, FACE), (x(0.0), FACE), VISIBLE)
    yield line((x(0.0), FACE), (x(0.0), DEEP), VISIBLE)
    low = min(x(end), x(-code.from_leading))
    yield box((low, FACE - 4.0), (abs(x(end) - x(-code.from_leading)), 4.0), NARROW)
    yield _middle("code", (x(end) + x(-code.from_leading)) / 2, FACE - 5.0)


def _flow(x: Along, nozzles: float) -> Iterator[str]:
    way = 1.0 if x(nozzles) > x(0.0) else -1.0
    tip = x(nozzles) + way * (BEYOND - 4.0)
    yield line((tip - way * 18.0, FACE - 6.0), (tip, FACE - 6.0))
    yield arrow((tip, FACE - 6.0), (way, 0.0))
    yield _middle("flow", tip - way * 9.0, FACE - 8.0)


def _span(a: float, b: float, y: float, text: str) -> Iterator[str]:
    yield line((a, y), (b, y))
    yield arrow((a, y), (a - b, 0.0))
    yield arrow((b, y), (b - a, 0.0))
    yield _middle(text, (a + b) / 2, y - 1.0)


def _middle(text: str, x: float, y: float) -> str:
    return words(Words(text, (x, y), SMALL, "middle"))
