"""Reads a rail's cross-section from a drawing and recognises what a mount needs to know of it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from pathlib import Path

from mountgen.geometry import COINCIDENT, Contour, Vec2
from mountgen.mechanics.sections import section_properties
from mountgen.section.faults import at, number
from mountgen.section.frame import framed, plain_face, square_turn
from mountgen.section.kinds import Shape, shapes_of
from mountgen.section.records import Face, Flange, Frame, Line, Section, Web
from mountgen.section.slots import t_slots
from mountgen.section.trace import JOINING, Choices, Trace, trace
from mountgen.section.unit import DEEPEST, SHALLOWEST, Units, implausible
from mountgen.section.walls import Metal, Wall, usual_thickness, walls

SHORTEST_FACE = 5.0
"""mm; on a shorter face nothing can be fixed."""
MOST_FACES = 20


def read_section(
    path: Path,
    *,
    units: Units | None = None,
    joining: float = JOINING,
    layer: str | None = None,
    loop: int | None = None,
) -> Section:
    """The cross-section that a DXF file shows.

    `units` goes before the drawing's header, and is needed when that says nothing; ends up to `joining`
    mm apart are joined; `layer` reads that layer alone; `loop` picks an outline (1: the largest) where
    the drawing holds several. Raises SectionError, which says where, how large, and what to do, for all
    that keeps the drawing from being one closed section of a rail 20 to 600 mm deep.
    """
    traced = trace(path, Choices(units, joining, layer, loop))
    section = recognised(traced)
    depth = max(section.depth, section.width)
    if not SHALLOWEST <= depth <= DEEPEST:
        raise implausible(path, depth, traced.unit)
    return section


def recognised(traced: Trace) -> Section:
    """The traced section in the rail's frame, with its kind, thickness, web, faces and slots."""
    metal = Metal(traced.outline, traced.holes)
    found = walls(metal)
    frame, shape = framed(traced.outline, _shapes(traced, metal, found), metal)
    outline = frame.contour(traced.outline)
    holes = tuple(frame.contour(hole) for hole in traced.holes)
    web = _web(shape, frame)
    return Section(
        path=traced.path,
        kind=shape.kind,
        outline=outline,
        holes=holes,
        thickness=usual_thickness(metal),
        web=web,
        flanges=tuple(_flanges(shape, frame, outline, web)),
        lip=max((_lip(lip.framed(frame), outline) for lip in shape.lips), default=0.0),
        faces=_faces(outline),
        slots=t_slots(outline) if shape.kind == "T-slot" else (),
        properties=section_properties(outline, holes),
        unit=traced.unit,
        frame=frame,
        notes=(*traced.notes, *_placing(frame)),
    )


def _shapes(traced: Trace, metal: Metal, found: Sequence[Wall]) -> tuple[Shape, ...]:
    """A T-slot bar by its slots, everything else by its walls. A lipped channel is open like a slot."""
    shapes = shapes_of(traced.outline, traced.holes, found)
    if shapes[0].kind in ("other", "tube") and t_slots(traced.outline.turned(square_turn(metal))):
        return (Shape("T-slot"),)
    return shapes


def _web(shape: Shape, frame: Frame) -> Web | None:
    if shape.web is None:
        return None
    plain = plain_face(shape.web, frame)
    faces = shape.web.framed(frame).faces
    inner = next(face for face in faces if face != plain)
    return Web(shape.web.thickness, _heights(plain), _heights(inner))


def _heights(face: Line) -> Vec2:
    low, high = sorted(point[1] for point in face)
    return (low, high)


def _flanges(shape: Shape, frame: Frame, outline: Contour, web: Web | None) -> Iterator[Flange]:
    if shape.web is None or web is None:
        return
    x0, _, x1, _ = outline.bounds
    middle = shape.web.framed(frame).middle
    for wall in (flange.framed(frame) for flange in shape.flanges):
        right = wall.middle[0] > middle[0]
        yield Flange(
            at="top" if wall.middle[1] > middle[1] else "bottom",
            side="right" if right else "left",
            thickness=wall.thickness,
            reach=x1 if right else web.thickness - x0,
        )


def _lip(lip: Wall, outline: Contour) -> float:
    """The outer length of a lip: from its free edge to the top or bottom of the section."""
    _, low, _, high = outline.bounds
    tops = [end[1] for end in lip.ends]
    upper = lip.middle[1] > (low + high) / 2
    return high - min(tops) if upper else max(tops) - low


def _faces(outline: Contour) -> tuple[Face, ...]:
    """The outline's straight stretches, longest first."""
    lines = [((a.x, a.y), (b.x, b.y)) for a, b in outline.segments() if a.bulge == 0.0]
    long = [line for line in lines if math.dist(*line) >= SHORTEST_FACE]
    long.sort(key=lambda line: (-round(math.dist(*line), 3), line))
    return tuple(Face(f"F{i + 1}", *line) for i, line in enumerate(long[:MOST_FACES]))


def _placing(frame: Frame) -> Iterator[str]:
    if frame.turned_deg != 0.0:
        yield f"turned by {number(frame.turned_deg)} deg to stand upright"
    if math.hypot(*frame.moved) > COINCIDENT:
        place = "the web's outer face, or the left edge, at x = 0 and the top at y = 0"
        yield f"moved by {at(frame.moved)} mm: {place}"
