"""The steps of assembly in words and pictures: what comes in from where, what is tightened and how far."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.assembly.records import Move, Step
from mountgen.detail.bridge import FAR
from mountgen.detail.records import Detail, ExtrusionPart, Instance, Joint
from mountgen.geometry import Vec3, dot
from mountgen.layout.bridge import spans
from mountgen.package.records import Dossier
from mountgen.package.setup_picture_steps import step_picture
from mountgen.package.setup_sheet_eye import eye_steps, far_drilling
from mountgen.package.setup_sheet_stand import base_of, stand_place, stand_set
from mountgen.package.setup_sheet_words import source_letters, standing, torque_text
from mountgen.units import format_length

BACK: Vec3 = (0.0, -1.0, 0.0)
FROM: dict[Vec3, str] = {
    (0.0, 1.0, 0.0): "from the operator's side",
    BACK: "from the line's side",
    (0.0, 0.0, -1.0): "from above",
    (0.0, 0.0, 1.0): "from below",
    (1.0, 0.0, 0.0): "from the left",
    (-1.0, 0.0, 0.0): "from the right",
}
"""Where a part comes from, by the direction in which it moves; left and right as the operator sees them."""
FACES: dict[Vec3, str] = {
    (0.0, 1.0, 0.0): "operator's",
    (0.0, -1.0, 0.0): "line's",
    (1.0, 0.0, 0.0): "left",
    (-1.0, 0.0, 0.0): "right",
    (0.0, 0.0, 1.0): "lower",
    (0.0, 0.0, -1.0): "upper",
}
"""The face of a bar that a screw goes into, by the screw's direction."""
TEMPLATES = {"rail": "drill-template.pdf", "far rail": "drill-template-far.pdf"}
ACROSS = (
    "Strike the print line across the bed to the far rail: a long square against the near rail, or equal "
    "diagonals from mark to mark. Measure from rail to rail, outer face to outer face, against the survey. "
    "The far rail must be the near one's profile, mirrored, at the same height: if not, stop here."
)
PROVEN = (
    "Found by taking the finished mount apart in thought: at every step the part comes in on a straight "
    "way, and "
    "a straight key reaches every screw, free of rail, bed, guides and parts already mounted. Torque: "
    "joint, key, "
    "torque, letter of its source."
)


def step_blocks(dossier: Dossier) -> list[dict[str, object]]:
    """Every step: its title, its sentences, and its picture with a text for those who do not see it."""
    return [
        {
            "title": step.title[0].upper() + step.title[1:],
            "where": "bench" if step.on_bench else "line",
            "lines": list(_lines(dossier, step)),
            "picture": step_picture(dossier.detail, step, dossier.pictures.alone),
            "alt": f"{step.title}: " + ", ".join(step.instances),
        }
        for step in dossier.steps
    ]


def _lines(dossier: Dossier, step: Step) -> Iterator[str]:
    yield from _before(dossier, step)
    if step.title == "make up the beam with cross plates":
        yield "The far cross plate's two screws stay finger tight: its post decides where it goes."
    for move in step.moves:
        yield _move(dossier, move, on_bench=step.on_bench)
    yield from _after(dossier, step)


def _move(dossier: Dossier, move: Move, *, on_bench: bool) -> str:
    name = move.piece[0].upper() + move.piece[1:]
    if on_bench:
        came = f"{name}." if move.direction is not None else f"{name}: lay it down first."
    else:
        came = f"{name}: comes in {_from(move)}." if move.direction else f"{name}."
    return " ".join([came, *_tightened(dossier, move)])


def _from(move: Move) -> str:
    """Where a piece comes from; for the far side the line's back is the near side's front."""
    assert move.direction is not None
    way = _rounded(move.direction)
    return "from behind the line" if way == BACK and move.piece.startswith(FAR) else FROM[way]


def _rounded(way: Vec3) -> Vec3:
    return (round(way[0]) + 0.0, round(way[1]) + 0.0, round(way[2]) + 0.0)


def _tightened(dossier: Dossier, move: Move) -> Iterator[str]:
    """Joints of a move that take the same key and torque in one sentence."""
    letters = source_letters(dossier.detail.joints)
    alike: dict[tuple[str, str], list[str]] = {}
    for joint in dossier.detail.joints:
        if joint.id in move.fastenings:
            alike.setdefault((_how(dossier, joint, letters), joint.title), []).append(joint.id)
    for (how, title), found in alike.items():
        yield f"{', '.join(found)} ({title}): {how}."


def _how(dossier: Dossier, joint: Joint, letters: dict[str, str]) -> str:
    if not joint.key and joint.torque_nm:
        return f"spanner, {torque_text(joint.torque_nm, dossier.survey)}, {letters[joint.torque_source]}"
    if not joint.key:
        return "by hand"
    return f"key {joint.key}, {torque_text(joint.torque_nm, dossier.survey)}, {letters[joint.torque_source]}"


def _before(dossier: Dossier, step: Step) -> Iterator[str]:
    """What is done before the first part of a step comes in."""
    detail = dossier.detail
    for instance in detail.instances:
        if (
            instance.name in step.instances
            and isinstance(detail.parts[instance.part], ExtrusionPart)
            and step.on_bench
        ):
            yield from _slot_nuts(detail, instance)
    if step.title == "mount the rail angle":
        yield from _rail_work(dossier, "rail")
    elif step.title == "mount the far rail angle":
        yield ACROSS
        yield from _rail_work(dossier, "far rail")
    yield from stand_place(dossier, step)
    yield from far_drilling(dossier, step.title)


def _slot_nuts(detail: Detail, bar: Instance) -> Iterator[str]:
    """The T-nuts of a bar by face, in the order in which they lie from its datum end."""
    faces: dict[str, list[Joint]] = {}
    names = {instance.name for instance in detail.instances}
    for joint in detail.joints:
        if joint.members[-1].instance == bar.name and f"{joint.id} T-nut" in names:
            faces.setdefault(FACES[_rounded(joint.direction)], []).append(joint)
    along = bar.placement.z_axis
    listed = [
        f"{face} face " + ", ".join(j.id for j in sorted(found, key=lambda j: dot(j.point, along)))
        for face, found in faces.items()
    ]
    if listed:
        end = "lower end" if along[2] > 0.5 else "operator's end"
        yield f"T-nuts into the slots before the caps, from the {end} on: {'; '.join(listed)}."


def _rail_work(dossier: Dossier, rail: str) -> Iterator[str]:
    if dossier.detail.rail_holes:
        template = TEMPLATES[rail]
        yield (
            f"Drill the {rail} by rail/{template} (measure its check bar first): centre punch, pilot, drill, "
            "deburr both sides, touch up bare edges, take every chip out of the line."
        )
    else:
        yield f"Put the T-nuts into the {rail}'s slots."


def _beam_reading(dossier: Dossier) -> str:
    """Where the ear goes along a bridge's beam."""
    if not spans(dossier.survey):
        return ""
    first = dossier.setup.products[0]
    return f"Beam scale {format_length(first.arm_scale_mm, dossier.survey.units)} at the ear's far edge. "


def _after(dossier: Dossier, step: Step) -> Iterator[str]:
    """How the part is set before it gets its torque, and what to look at."""
    survey, units = dossier.survey, dossier.survey.units
    first = dossier.setup.products[0]
    if step.title in ("mount the rail angle", "mount the far rail angle"):
        yield (
            "Screws finger tight; the slots allow for levelling. Square: tape from the rail's upper edge to "
            "the "
            "angle's upper edge at both ends, equal within 0.5 mm; then the torque."
        )
    elif step.title in ("mount the post", "mount the far post") and base_of(dossier.detail) is None:
        yield standing(survey)
    elif step.title == "mount the beam with cross plates":
        yield (
            f"Both arm stops under the cross plates. First setting ({first.product}): both post scales "
            f"{format_length(first.post_scale_mm, units)}. Square: both diagonals from post to post "
            "alike within 2 mm, a square against posts and beam; then every torque, the far cross plate's on "
            "the beam, too."
        )
    elif step.title == "mount the arm with cross plate":
        yield (
            f"Arm stop under the cross plate. First setting ({first.product}): post scale "
            f"{format_length(first.post_scale_mm, units)}, arm scale "
            f"{format_length(first.arm_scale_mm, units)}. "
            "Square: hold a square against post and arm; tape from the rail to the arm at both ends."
        )
    elif step.title == "mount the head bracket":
        yield (
            f"{_beam_reading(dossier)}Tilt {first.tilt_deg:g}°: pin in its stop, then the lock. Nozzle plate "
            "parallel to the product: rule or "
            "square against the shoe, equal gap at both ends of the column."
        )
    elif step.title == "mount the encoder unit":
        yield "Hook the spring; the wheel rests on the surface by the spring alone and turns freely."
    yield from stand_set(dossier, step)
    yield from eye_steps(dossier, step.title)
