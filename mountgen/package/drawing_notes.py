"""The tables and notes of a sheet part's drawing: holes, bends, flanges, corners and what applies to all."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from mountgen.package.drawing_corners import is_rectangle
from mountgen.package.drawing_outline import bend_axes, outline_sizes, told_by_radius
from mountgen.package.drawing_paper import Style
from mountgen.package.drawing_tables import Table
from mountgen.package.drawing_words import angle, hole_size, hole_use, length, length_unit, plain
from mountgen.sheet.flat import FlatPattern
from mountgen.sheet.tree import ArcSlot, SheetPart
from mountgen.units import System
from mountgen.views import View


@dataclass(frozen=True)
class PartOrder:
    """One sheet part as it is ordered: what the shop must know to make it.

    `issued` identifies the survey that it was derived from; `mass_kg` is that of one piece; `tabled` are the
    axes whose ordinates stand in the tables, not on the flat.
    """

    part: SheetPart
    flat: FlatPattern
    views: tuple[View, ...]
    quantity: int
    mass_kg: float
    owner: str
    issued: str
    units: System
    style: Style
    revision: str = ""
    tabled: frozenset[int] = frozenset()


def cut_tables(order: PartOrder) -> list[Table]:
    """What is cut and drilled, in the order in which the tables stand on the sheet."""
    holes = [_hole_table(order)] if order.flat.holes else []
    return [*holes, *_bend_line_table(order), *_corner_table(order)]


def fold_tables(order: PartOrder) -> list[Table]:
    """What is bent; nothing for a flat part."""
    return [_bend_table(order)] if order.flat.bend_lines else []


def _places(order: PartOrder, at: tuple[float, float]) -> tuple[str, ...]:
    """The coordinates that the flat does not show."""
    return tuple(length(at[axis], order.units) for axis in sorted(order.tabled))


def _place_heads(order: PartOrder) -> tuple[str, ...]:
    return _unit_heads(order.units, *("xy"[axis] for axis in sorted(order.tabled)))


def _unit_heads(units: System, *names: str) -> tuple[str, ...]:
    unit = "mm" if units == "mm" else "mm [in]"
    return tuple(f"{name}, {unit}" for name in names)


def _hole_table(order: PartOrder) -> Table:
    rows = tuple(
        (placed.tag, *_places(order, placed.hole.centre), hole_size(placed, order.units), hole_use(placed))
        for placed in order.flat.holes
    )
    title = "Holes (centres in the flat)" if order.tabled else "Holes"
    return Table(title, ("Hole", *_place_heads(order), "Size", "For"), rows)


def _bend_table(order: PartOrder) -> Table:
    units = order.units
    rows = tuple(
        (
            bend.tag,
            bend.direction,
            angle(bend.angle_deg),
            length(bend.inside_radius, units),
            length(bend.allowance, units),
            length(bend.deduction, units),
            order.flat.rule,
            f"V {length(bend.die.opening, units)}" if bend.die else "–",
        )
        for bend in order.flat.bend_lines
    )
    heads = ("Bend", "Way", "Turned by", "Inside R", "Allowance", "Deduction", "Rule", "Die")
    return Table("Bends", heads, rows)


def _bend_line_table(order: PartOrder) -> Iterator[Table]:
    """Bend lines that slant or whose ordinate the flat does not show; the others run between edges."""
    rows = tuple(
        (bend.tag, *(length(value, order.units) for value in (*bend.start, *bend.end)))
        for bend in order.flat.bend_lines
        if not set(bend_axes(bend)) - order.tabled
    )
    if rows:
        yield Table("Bend lines (in the flat)", ("Bend", "from x", "from y", "to x", "to y"), rows)


def _corner_table(order: PartOrder) -> Iterator[Table]:
    """Coordinates of corners that neither the flat nor its overall size shows."""
    sizes = outline_sizes(order.flat)
    needed = {one for one in sizes.ordinates if one[1] in order.tabled}
    rows = tuple(
        (
            corner.tag,
            *(
                length(corner.at[axis], order.units) if (i, axis) in needed else "–"
                for axis in sorted(order.tabled)
            ),
        )
        for i, corner in enumerate(sizes.corners)
        if {(i, 0), (i, 1)} & needed
    )
    if rows:
        yield Table("Corners (in the flat)", ("Corner", *_place_heads(order)), rows)


def cut_notes(order: PartOrder) -> list[str]:
    """What applies to the whole part and to its cutting, one sentence a line."""
    part, units = order.part, order.units
    notes = [
        f"Material {part.material}, thickness {length_unit(part.thickness, units)}.",
        f"Finish: {part.finish or 'none'}.",
        f"Quantity {order.quantity}. Mass {order.mass_kg:.3f} kg each.",
        "General tolerances ISO 2768-m. Deburr all edges. Grain direction free.",
        "Coordinates run from the datum corner (small circle, lower left of the flat), x right, y up.",
        *_outline_notes(order),
        *([] if order.flat.bend_lines else ["Flat part: no bends."]),
        f"The outline at full size: flat/{part.number}.dxf.",
    ]
    if any(isinstance(placed.hole, ArcSlot) for placed in order.flat.holes):
        notes.append("x and y of an arc slot are its arc's centre; angles run counter-clockwise from x.")
    if part.hand:
        other = "right" if part.hand == "left" else "left"
        notes.append(f"{part.hand.capitalize()}-hand part; do not exchange with the {other}-hand one.")
    if units == "in":
        notes.append("Dimensions are in mm; inches in brackets.")
    return notes


def _outline_notes(order: PartOrder) -> list[str]:
    sizes = outline_sizes(order.flat)
    radius = f"R{length(sizes.general_radius, order.units)}" if sizes.general_radius else "sharp"
    if is_rectangle(order.flat.outline):
        return [f"All four corners {radius}."]
    notes = [f"Corners {radius} unless shown otherwise; ordinates are those of the sharp corner."]
    if sizes.slants:
        notes.append("Angles of slanting edges are to the horizontal.")
    if not all(told_by_radius(edge) for i in sizes.arcs if (edge := sizes.corners[i].leaves_by)):
        notes.append("The rise of an arc is its height over the straight line between its ends.")
    return notes


def apart_notes(order: PartOrder) -> list[str]:
    """What a sheet for bending alone says of the part."""
    part, thickness = order.part, length_unit(order.part.thickness, order.units)
    return [
        f"Material {part.material}, thickness {thickness}. Quantity {order.quantity}.",
        "Flat, holes and finish: the sheet before.",
    ]


def fold_notes(order: PartOrder) -> list[str]:
    """How the part is bent; nothing for a flat part."""
    if not order.flat.bend_lines:
        return []
    return [
        f"The flat holds the bend rule ({order.flat.rule}): cut it as drawn. A bend line is the middle of "
        "its bend zone.",
        "Up bends towards you as the flat is drawn.",
        "The table tells what the sheet is turned through; the section, the angle between the legs.",
        "Lengths in a section are outside lengths, to the sharp corner that the outer faces would make.",
    ]


def scale_text(scale: float) -> str:
    """A scale as ISO 5455 writes it: '2:1', '1:1', '1:5'."""
    return f"{plain(scale)}:1" if scale >= 1 else f"1:{plain(1 / scale)}"
