"""A drawing's section as closed contours, where it was drawn, in millimetres."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from mountgen.errors import Fault
from mountgen.geometry import Contour
from mountgen.section.contours import Open, closed_contours, open_places
from mountgen.section.faults import LISTED, SectionError, at, counted, fine, refusal
from mountgen.section.joining import Net, joined
from mountgen.section.nesting import nested, refuse_crossings
from mountgen.section.plane import Piece, finite, flattened
from mountgen.section.unit import SHALLOWEST, Unit, Units, implausible, resolved

if TYPE_CHECKING:
    from mountgen.section.file import Contents

JOINING = 0.01
"""mm; ends this close together are joined."""
FITTED = 0.008
"""mm; how far lines and arcs may stray from a curve that they stand for."""
SIMPLE = 1.0
"""mm; a drawing smaller than this is in another unit."""


@dataclass(frozen=True)
class Choices:
    """How a drawing is to be read. `loop` counts outlines from 1, the largest first."""

    units: Units | None = None
    joining: float = JOINING
    layer: str | None = None
    loop: int | None = None


@dataclass(frozen=True)
class Trace:
    """The outline and hollows (counter-clockwise, mm, as drawn), the unit, and all that was done."""

    path: Path
    outline: Contour
    holes: tuple[Contour, ...]
    unit: Unit
    notes: tuple[str, ...]

    @property
    def cut_length(self) -> float:
        """Length of all contours, each once (mm)."""
        return self.outline.length + sum(hole.length for hole in self.holes)

    @property
    def area(self) -> float:
        """Outline less hollows (mm2)."""
        return self.outline.area - sum(hole.area for hole in self.holes)


def trace(path: Path, choices: Choices) -> Trace:
    """Reads the one section that a DXF file shows.

    SectionError for a file that is no DXF, names no unit, holds no section or several, or one that is
    open, crosses itself or does not lie flat; with coordinates as drawn, in mm.
    """
    from mountgen.section.file import contents, header_unit, open_drawing

    drawing, repairs = open_drawing(path)
    unit = _unit(path, choices, header_unit(drawing))
    mm = unit.mm if unit is not None else 1.0
    found = contents(path, drawing, choices.layer, FITTED / mm)
    _refuse_empty(path, found, choices.layer)
    finite(path, found.drawn, mm)
    pieces, view = flattened(path, found.drawn, mm)
    extent = _extent(pieces)
    if unit is None:
        unit = resolved(path, header_unit(drawing), choices.units, extent)
    if extent < SIMPLE < SHALLOWEST:
        raise implausible(path, extent, unit)
    net = joined(pieces, choices.joining)
    contours = _contours(path, net, found, choices)
    nest = nested(path, contours, choices.loop)
    notes = (unit.reason, *repairs, *([view] if view else []), *_notes(found, net, choices))
    return Trace(path, nest.outline, nest.holes, unit, notes)


def _unit(path: Path, choices: Choices, header: int) -> Unit | None:
    """The unit, or None while there is none: then what is drawn is measured for the message."""
    try:
        return resolved(path, header, choices.units, 0.0)
    except SectionError:
        return None


def _extent(pieces: Sequence[Piece]) -> float:
    points = [point for piece in pieces for point in (piece.start, piece.middle, piece.end)]
    spans = (max(p[i] for p in points) - min(p[i] for p in points) for i in (0, 1))
    return max(spans)


def _refuse_empty(path: Path, found: Contents, layer: str | None) -> None:
    if any(drawn.strokes for drawn in found.drawn):
        return
    holds = ", ".join(f"{count} {kind}" for kind, count in sorted(found.ignored.items()))
    what = f"no line, arc or curve{f' on layer {layer}' if layer is not None else ''}"
    what += f", only {holds}" if holds else ""
    what += f"; {counted(found.hidden, 'entity', 'entities')} hidden" if found.hidden else ""
    what += "".join(f"; {note}" for note in found.notes)
    layers = ", ".join(sorted(found.layers))
    action = (
        f"choose one of the layers {layers}" if layers and layer else "draw the section with lines and arcs"
    )
    raise refusal(path, what, "a section's outline in the model space", action)


def _contours(path: Path, net: Net, found: Contents, choices: Choices) -> list[Contour]:
    places = open_places(net)
    if places:
        raise SectionError(_open_faults(path, places, found, choices))
    contours = [contour for contour in closed_contours(net) if contour.area > choices.joining**2]
    if not contours:
        raise refusal(path, "nothing drawn encloses an area", "a section's outline", "draw it closed")
    refuse_crossings(path, contours, choices.joining)
    return contours


def _open_faults(path: Path, places: Sequence[Open], found: Contents, choices: Choices) -> Iterator[Fault]:
    expected = f"closed outlines (ends up to {fine(choices.joining)} mm apart are joined)"
    layers = ", ".join(f"{name} ({count})" for name, count in sorted(found.layers.items()))
    action = "mend the drawing there, or name the section's layer with `--layer`"
    if choices.layer is None and len(found.layers) > 1:
        action += f" (with their entities: {layers})"
    for place in places[:LISTED]:
        yield Fault(str(path), place.found, expected, action)
    if len(places) > LISTED:
        yield Fault(str(path), f"{len(places) - LISTED} more places like these", expected, action)


def _notes(found: Contents, net: Net, choices: Choices) -> Iterator[str]:
    """All that was done to the drawing, one sentence each."""
    if net.gaps:
        yield _gap_note(net)
    titles = [drawn.title for drawn in found.drawn]
    empty = [drawn.title for drawn in found.drawn if not drawn.strokes]
    doubled = [titles[i] for i in net.doubled]
    if doubled:
        yield f"{counted(len(doubled), 'duplicate')} removed: {_named(doubled)}"
    if net.trimmed:
        yield f"{counted(net.trimmed, 'entity', 'entities')} overlapping others trimmed"
    degenerate = [*(titles[i] for i in net.vanished), *empty, *found.points]
    if degenerate:
        text = counted(len(degenerate), "degenerate entity", "degenerate entities")
        yield f"{text} ignored: {_named(degenerate)}"
    if net.shrunk:
        yield f"{counted(net.shrunk, 'line')} or arcs shorter than {fine(choices.joining)} mm left out"
    fitted = sum(drawn.approximated for drawn in found.drawn)
    if fitted:
        text = counted(fitted, "spline or ellipse", "splines or ellipses")
        yield f"{text} followed by lines and arcs within 0.01 mm"
    yield from _passed_over(found)


def _gap_note(net: Net) -> str:
    largest = net.gaps[0]
    text = f"{fine(largest.size)} mm closed at {at(largest.where)}"
    if len(net.gaps) == 1:
        return f"1 gap of {text}"
    return f"{len(net.gaps)} gaps, the largest of {text}"


def _named(titles: Sequence[str]) -> str:
    more = len(titles) - LISTED
    return ", ".join(titles[:LISTED]) + (f" and {more} more" if more > 0 else "")


def _passed_over(found: Contents) -> Iterator[str]:
    if found.ignored:
        kinds: Counter[str] = found.ignored
        yield "not read: " + ", ".join(f"{count} {kind}" for kind, count in sorted(kinds.items()))
    if found.hidden:
        yield f"{counted(found.hidden, 'entity', 'entities')} on hidden layers not read"
    yield from found.notes
