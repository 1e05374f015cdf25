"""What the installer's sheet says of a mount on the floor: cautions, place, anchors, levelling."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.assembly.records import Step
from mountgen.detail.records import Detail, Instance
from mountgen.geometry import Box
from mountgen.layout.stand import ANCHOR, FREE_UNDER
from mountgen.package.records import Dossier
from mountgen.package.slope import slope_in_words
from mountgen.units import System, format_length

BASE = "base plate"
ONE_PERSON = 25.0
"""kg that one person lifts (common practice)."""
MORTARED = "give the anchors their torque and fill under the base with non-shrink mortar"
LOCKED = "lock both nuts of every foot"


def base_of(detail: Detail) -> Instance | None:
    """The base plate of a stand; None for a mount on the rail."""
    return next((one for one in detail.instances if one.name == BASE), None)


def _bounds(detail: Detail, base: Instance) -> Box:
    boxes = (box.placed(base.placement) for box in detail.parts[base.part].boxes)
    return Box.around(corner for box in boxes for corner in box.corners)


def stand_cautions(dossier: Dossier) -> Iterator[str]:
    """Drilling, lifting, tipping and stumbling; nothing for a mount on the rail."""
    base = base_of(dossier.detail)
    if base is None:
        return
    units, kg = dossier.survey.units, dossier.masses[base.part]
    room = format_length(FREE_UNDER, units)
    yield (
        f"Under the line: this sheet takes the floor to be free up to {room} where the base stands. Look for "
        "legs, drains, cables and moving parts before you slide it in."
    )
    if dossier.detail.floor_holes:
        yield (
            "Drilling the floor: it hides cables, pipes, heating and sealing. Have its owner clear every "
            "hole, draw the dust off, and keep anchors from edges and joints of the slab."
        )
    yield (
        "Tipping: until the base is anchored or stands on all four feet, the post with arm and head falls "
        "over. One person holds it; the head goes on last."
    )
    lifted = "two persons lift it" if kg > ONE_PERSON else "lift it with straight back"
    yield f"Lifting: the base alone weighs {kg:.0f} kg; {lifted} and nobody's fingers are under it."
    yield "Stumbling: mark the base's edges on the operator's side with warning tape; keep the way free."


def stand_place(dossier: Dossier, step: Step) -> Iterator[str]:
    """Where the base goes, and its anchors' holes, before it comes in."""
    base = base_of(dossier.detail)
    if base is None or BASE not in step.instances:
        return
    units, bounds = dossier.survey.units, _bounds(dossier.detail, base)
    left, right = (_side(x, units) for x in (bounds.low[0], bounds.high[0]))
    inside, outside = (format_length(abs(y), units) for y in (bounds.high[1], bounds.low[1]))
    yield (
        "Chalk on the floor: the print line, by a plumb line, and the outer face of the rail's web. "
        f"The base goes from {left} to {right} of the print line, {inside} under the line and {outside} out "
        "from the web."
    )
    holes = dossier.detail.floor_holes
    if holes:
        size, deep = (format_length(value, units) for value in (holes[0].diameter, holes[0].depth))
        yield (
            "Lay the base down, plumb over its marks, and drill through its holes "
            f"{', '.join(hole.tag for hole in holes)}: {size}, {deep} deep into the floor. Blow them out, "
            f"drive in anchors {ANCHOR} (generic record: follow the sheet of those that you buy)."
        )


def _side(x: float, units: System) -> str:
    return f"{format_length(abs(x), units)} {'right' if x > 0 else 'left'}"


def stand_set(dossier: Dossier, step: Step) -> Iterator[str]:
    """How it is levelled, and when feet or anchors are locked."""
    base = base_of(dossier.detail)
    if base is None:
        return
    anchored = bool(dossier.detail.floor_holes)
    if BASE in step.instances:
        with_ = "steel shims beside the anchors" if anchored else "the feet's lower nuts"
        yield (
            f"Level the base both ways with {with_}; it must not rock. Nuts finger tight until the post "
            "is plumb."
        )
    elif step.title == "mount the post":
        slope = slope_in_words(dossier.survey)
        way = f"square to the bed, not plumb: {slope}" if slope else "plumb both ways"
        last = MORTARED if anchored else LOCKED
        yield (
            f"Bring the post {way} by {'shims' if anchored else 'the feet'}, not by its bolts; then {last}. "
            "The gap to the rail stays open all along: the stand touches nothing of the line."
        )
