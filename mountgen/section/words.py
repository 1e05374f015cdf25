"""What was understood of a drawn section, in plain words."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.section.faults import at, counted, number
from mountgen.section.records import Face, Section

MOST_FACES = 8


def describe(section: Section) -> str:
    """Kind, sizes, web, flanges, slots, flat faces, properties, and all that was done to the drawing."""
    return "\n".join(_lines(section)) + "\n"


def title(section: Section) -> str:
    """One line: kind and sizes."""
    sizes = f"{number(section.depth, 2)} x {number(section.width, 2)} mm"
    return f"{section.kind}, {sizes} (depth x width), walls {number(section.thickness, 2)} mm"


def _lines(section: Section) -> Iterator[str]:
    yield f"{section.path.name}: {title(section)}"
    yield "sizes below in mm: x from the web's outer face, y up from the top edge (so y is negative)"
    yield from (f"  {line}" for line in (*_parts(section), *_slots(section), *_hollows(section)))
    yield "  flat faces (long enough to fix something on):"
    yield from (f"    {face_line(face)}" for face in section.faces[:MOST_FACES])
    if len(section.faces) > MOST_FACES:
        yield f"    and {counted(len(section.faces) - MOST_FACES, 'shorter one')}"
    p = section.properties
    yield f"  area {p.area:.1f} mm2, centroid {at((p.centroid_x, p.centroid_y))}"
    yield f"  second moments {p.i_xx:.0f} mm4 (bending up and down), {p.i_yy:.0f} mm4 (sideways)"
    yield "how it was read:"
    yield from (f"  - {note}" for note in section.notes)


def face_line(face: Face) -> str:
    """A face with its length, where it runs and where it looks."""
    run = f"from {at(face.start)} to {at(face.end)}"
    return f"{face.name}: {number(face.length, 2)} mm {run}, facing {face.side}"


def _parts(section: Section) -> Iterator[str]:
    if section.web is None:
        yield "no web" if section.kind != "other" else "no web that could be told from the rest"
        return
    low, high = section.web.flat
    flat = f"flat on both sides from y = {number(low, 2)} to {number(high, 2)}"
    yield f"web {number(section.web.thickness, 2)} mm thick, {flat}"
    for flange in section.flanges:
        size = f"{number(flange.reach, 2)} mm wide, {number(flange.thickness, 2)} mm thick"
        yield f"flange at the {flange.at}, pointing {flange.side}: {size}"
    if section.lip:
        yield f"lips {number(section.lip, 2)} mm long"


def _slots(section: Section) -> Iterator[str]:
    for slot in section.slots:
        axis = "y" if slot.side in ("left", "right") else "x"
        sizes = f"{number(slot.opening, 2)} mm open, lips {number(slot.lip, 2)} mm, "
        sizes += f"{number(slot.inner_width, 2)} mm wide behind them, {number(slot.depth, 2)} mm deep"
        yield f"T-slot facing {slot.side} at {axis} = {number(slot.middle, 2)}: {sizes}"


def _hollows(section: Section) -> Iterator[str]:
    others = len(section.holes) - len(section.round_holes)
    for centre, diameter in section.round_holes:
        yield f"round hollow of diameter {number(diameter)} mm at {at(centre)}"
    if others:
        yield f"{counted(others, 'hollow')} of another shape"
