"""What a person can find on the rail to measure from: a roller's axle, or the edge of something surveyed.

The print line itself is no mark until somebody strikes it. A *mark* is what stands on the rail and has its
place in the survey; what was only assumed is none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from mountgen.package.drawing_words import length_unit
from mountgen.survey.records import Survey
from mountgen.units import Measured

NEAR = 600.0
"""mm; a mark farther than this from the holes is no help."""
AXLE_KEY = "line.first_roller_at"


@dataclass(frozen=True)
class RailMark:
    """A mark on the rail: what it is, and its x from the print line."""

    what: str
    x: float


def find_mark(survey: Survey, xs: Sequence[float]) -> RailMark | None:
    """The mark that is nearest to holes at `xs` (mm from the print line): a roller's axle where its place was
    measured, else an edge of a keepout; None where nothing is near."""
    middle = (min(xs) + max(xs)) / 2
    axles = list(axles_between(survey, middle - NEAR, middle + NEAR))
    found = axles or [mark for mark in _edges(survey) if abs(mark.x - middle) <= NEAR]
    return min(found, key=lambda mark: abs(mark.x - middle), default=None)


def axles_between(survey: Survey, low: float, high: float) -> Iterator[RailMark]:
    """Axles of rollers on a stretch of the rail; none where their place was assumed."""
    line = survey.line
    assumed = any(one.key == AXLE_KEY for one in survey.assumptions)
    if line.surface != "rollers" or not line.roller_pitch or assumed:
        return
    k = -int((line.first_roller_at - low) // line.roller_pitch)
    while (x := line.first_roller_at + k * line.roller_pitch) <= high:
        yield RailMark("middle of a roller's axle", x)
        k += 1


def _edges(survey: Survey) -> Iterator[RailMark]:
    for keepout in survey.rail.keepouts:
        for name, x in zip(("left", "right"), keepout.x, strict=True):
            yield RailMark(f"{name} edge of: {keepout.what}", x)


def mark_notes(survey: Survey, mark: RailMark | None) -> Iterator[str]:
    """How to find the print line, and how far what was surveyed may be off."""
    units = survey.units
    if mark is None:
        yield (
            "No mark along the rail is surveyed near the holes. Strike the print line first: hold a square "
            "across the bed where the nozzles are to print and scribe down the web from the top edge."
        )
    else:
        side = "left" if mark.x > 0 else "right"
        yield (
            f"M1 is the {mark.what}. The print line lies {length_unit(abs(mark.x), units)} to the {side} of "
            "it: strike it there first, with a square, down the web from the top edge."
        )
        yield (
            f"Measure each hole from both. Where the two places are more than "
            f"{length_unit(survey.work.drill, units)} apart, the line is not as surveyed: do not drill."
        )
    yield _doubt(survey)


def _doubt(survey: Survey) -> str:
    """What the survey's +/- means here: depths hang on the rail's own edge, so they do not move."""
    top = survey.rail.top_above_surface
    off = top.plus_minus if isinstance(top, Measured) else 0.0
    along = "Places along the rail were surveyed without a +/-: take a fresh measure."
    if not off:
        return f"{along} The top edge's height over the bed has none either; depths are from the edge itself."
    return (
        f"{along} The top edge may be {length_unit(off, survey.units)} higher or lower over the bed than "
        "surveyed: depths from it stay, the arm is set by it."
    )
