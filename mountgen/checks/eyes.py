"""What every kind of photo-eye asks for: its range, a clear beam, a background that it does not take for a
product, products that it can see, and a place for the brackets of one that looks across the line."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from mountgen.checks.clearances import guide_boxes, keepout_boxes, nearest
from mountgen.checks.records import Check, Subject, Verdict, at_least, at_most
from mountgen.checks.scene import FAR, Scene
from mountgen.demand import Floats
from mountgen.detail.boxes import PieceBox
from mountgen.detail.eye_units import GROUPS
from mountgen.geometry import Box
from mountgen.layout import rules
from mountgen.layout.eye_across import lowest_top
from mountgen.layout.eye_records import EyeAcross
from mountgen.survey.records import Look, Survey

PRACTICE = "common practice"
RULE = "rule of this project"
PLAIN_BACKGROUND = (1.2, 1.5)
"""Background over product distance for an eye that judges brightness: below the first its hysteresis of up to
20 % spans both, below the second light from the background, which falls with the square of the distance, is
more than 1 / 2.25 of the product's (common practice: twice the signal)."""
SUPPRESSED_BACKGROUND = (1.1, 1.2)
"""The same for one that judges distance: black on white shifts its switching point by about 10 % (common
practice)."""


def checks(scene: Scene) -> Iterator[Check]:
    """All but what the photo-eye's timing asks for."""
    eye = scene.layout.eye
    if eye is None:
        yield _background(scene)
    else:
        yield _reach(scene, eye)
        yield _clear_beam(scene, eye)
        yield _feet(scene.survey, eye)
    yield from look_checks(scene.survey)


def beam_inside(scene: Scene, eye: EyeAcross) -> Check:
    """The beam stands still; the lowest product must cover all of it."""
    radius = scene.survey.sensor.beam_diameter / 2
    top = lowest_top(scene.survey) - (eye.beam_z + radius)
    subject = Subject("sensor_sees_all", "edge of the beam inside the lowest product", "mm", PRACTICE)
    remedy = "keep products that are {} mm too low off this line, or take a finer beam"
    return at_least(subject, min(top, eye.beam_z - radius), 0.0, remedy)


def _reach(scene: Scene, eye: EyeAcross) -> Check:
    """From the eye to its reflector or receiver."""
    sensor = scene.survey.sensor
    unit = "reflector" if sensor.reflector else "receiver"
    subject = Subject("eye_range", f"photo-eye to its {unit}", "mm", sensor.source)
    remedy = "take a photo-eye whose range begins or ends {} mm further"
    if eye.distance - sensor.range_min < sensor.range_max - eye.distance:
        return at_least(subject, eye.distance, sensor.range_min, remedy)
    return at_most(subject, eye.distance, sensor.range_max, remedy)


def _clear_beam(scene: Scene, eye: EyeAcross) -> Check:
    """Nothing but products comes into the beam: no guide, keepout, bed or rail, no part at any setting."""
    r = scene.survey.sensor.beam_diameter / 2
    x, z = eye.beam_x, eye.beam_z
    ray = Box((x - r, eye.near_face, z - r), (x + r, eye.far_face, z + r))
    beam = [(PieceBox("beam", "", "", ray), ray)]
    low, high = (-FAR, -FAR, -FAR), (FAR, FAR, max(0.0, float(scene.survey.rail.top_above_surface)))
    things = [*guide_boxes(scene), *keepout_boxes(scene), ("bed or rail", Box(low, high))]
    things += [(piece.instance, box) for piece, box in scene.swept() if piece.group not in GROUPS]
    found = nearest(beam, things)
    subject = Subject("beam_clear", f"photo-eye's beam to the {found.thing}", "mm", PRACTICE)
    return at_least(subject, found.gap, rules.CLEAR, f"move the {found.thing} {{}} mm out of the beam")


def _feet(survey: Survey, eye: EyeAcross) -> Check:
    """Both brackets find room for two screws on their rails, which must be drilled unless they have slots."""
    title = "feet of the photo-eye's brackets on the rails, beyond the room that they need"
    subject = Subject("eye_bracket", title, "mm", RULE)
    if not survey.rail.section.slots and "bolted" not in survey.rail.attach:
        text = "holes that the photo-eye's brackets need in either rail, which may not be drilled"
        subject = Subject("eye_bracket", text, "holes", "survey")
        remedy = "allow {} holes in each rail, or take a diffuse photo-eye, which needs none"
        return at_most(subject, 2.0, 0.0, remedy)
    clear = min(eye.near.clear, eye.far.clear, 999.0)
    return at_least(subject, clear, 0.0, "free the rails by {} mm around the brackets' feet")


def _background(scene: Scene) -> Check:
    """What a diffuse eye looks at between two products, at every setting, against the product before it."""
    survey, sensor = scene.survey, scene.survey.sensor
    product = survey.standoff.target - scene.layout.head.eye_face_n
    behind = float(_background_at(scene).min())
    least, enough = SUPPRESSED_BACKGROUND if sensor.suppresses_background else PLAIN_BACKGROUND
    title = "background over product distance of the photo-eye"
    if behind > sensor.range_max:
        subject = Subject("eye_background", "background out of the photo-eye's range", "mm", sensor.source)
        return at_least(subject, min(behind, 10 * sensor.range_max), sensor.range_max, "")
    subject = Subject("eye_background", title, "times", PRACTICE)
    remedy = f"take an eye that suppresses its background, {behind:.0f} mm away: {{}} times more is asked"
    return at_least(subject, behind / product, least, remedy, enough - least)


def _background_at(scene: Scene) -> Floats:
    """mm from the eye to the first thing behind where each product runs; infinite where there is nothing."""
    head, survey = scene.layout.head, scene.survey
    reach = survey.standoff.target - head.eye_face_n
    upright = scene.demand.tilt_deg < 45.0
    z = scene.layout.settings.column_z + head.eye_u
    across = np.full(len(z), math.inf)
    for y, low, high in _far_faces(survey):
        hit = (z > low) & (z < high)
        across = np.where(hit, np.minimum(across, y), across)
    beyond = across - scene.demand.near_y
    result: Floats = np.where(upright, beyond, scene.demand.height) + reach
    return result


def _far_faces(survey: Survey) -> Iterator[tuple[float, float, float]]:
    """y of what stands at the far side, and from where to where it stands."""
    if survey.guides is not None:
        yield float(survey.guides.far_y), *survey.guides.z
    top = float(survey.rail.top_above_surface)
    yield survey.rail.far_rail_at - survey.rail.section.reach_in, top - survey.rail.section.depth, top


OBJECTIONS: dict[tuple[str, Look], tuple[Verdict, str, str]] = {
    ("plain", "shiny"): (
        "caution",
        "a shiny face throws a diffuse eye's light away when it turns by some degrees",
        "take a through-beam eye: 1 receiver on the far rail",
    ),
    ("plain", "clear"): (
        "fail",
        "a clear product gives a diffuse eye too little light back",
        "take an eye for clear products, which sees 10 % less light",
    ),
    ("suppressed", "clear"): (
        "caution",
        "a clear product may show a suppressing eye the background",
        "take an eye for clear products, which sees 10 % less light",
    ),
    ("retro", "shiny"): (
        "fail",
        "a shiny product gives light back as the reflector does",
        "take a polarised eye: it sees light turned by 90 deg alone",
    ),
    ("retro", "clear"): (
        "fail",
        "a clear product lets the light through to the reflector",
        "take an eye for clear products, which sees 10 % less light",
    ),
    ("polarised", "clear"): (
        "fail",
        "a clear product lets the light through to the reflector",
        "take an eye for clear products, which sees 10 % less light",
    ),
    ("through_beam", "clear"): (
        "fail",
        "a clear product lets the beam through to the receiver",
        "take an eye for clear products, which sees 10 % less light",
    ),
}
"""What speaks against an eye for products of a look, and what helps (common practice)."""


def look_checks(survey: Survey) -> Iterator[Check]:
    """Products that are not matt, and the eye's way of seeing."""
    if survey.sees == "matt":
        return
    sensor = survey.sensor
    way: str = sensor.kind
    if sensor.kind == "diffuse":
        way = "suppressed" if sensor.suppresses_background else "plain"
    elif sensor.polarised:
        way = "polarised"
    if sensor.sees_clear and survey.sees == "clear":
        way = "for clear products"
    title = f"photo-eye for {survey.sees} products"
    found = OBJECTIONS.get((way, survey.sees))
    if found is None:
        yield Check("eye_look", title, "pass", 0.0, 0.0, "objections", 0.0, PRACTICE)
        return
    verdict, why, remedy = found
    most = 0.0 if verdict == "fail" else 1.0
    yield Check("eye_look", f"{title}: {why}", verdict, 1.0, most, "objections", most - 1.0, PRACTICE, remedy)
