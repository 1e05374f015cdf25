"""A photo-eye that looks across the line, in detail: two brackets, their joints, what they carry.

Both brackets are made in the bracket's frame (see `layout.eye_across`) and placed on their rails: the near
one as it is, the far one turned round. Letter in part numbers: F. Joints: G on the near rail, K on the far
one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from mountgen.catalogue.bought import Bought, barrel_nut, reflector_shape, sensor_shape
from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import Reflector
from mountgen.detail.blanks import TOWARDS_OPERATOR, X, Y, Z, plate, sheet_part
from mountgen.detail.joints import (
    JointPlan,
    NoHole,
    Placed,
    SlotAlong,
    Through,
)
from mountgen.detail.web_joints import into_web
from mountgen.geometry import Placement, Vec2, Vec3
from mountgen.layout import rules
from mountgen.layout.eye_across import far_frame
from mountgen.layout.eye_records import SHEET, EyeAcross, EyeBracket
from mountgen.layout.rail_mast import MastLayout
from mountgen.sheet.tree import Bend, Flange
from mountgen.survey.records import Survey

Side = Literal["near", "far"]
SIDES: tuple[Side, Side] = ("near", "far")
BEND = SHEET * rules.BEND_RADIUS_RATIO
ARM_WIDTH = 34.0
"""mm; how wide the leg is beside the rail."""
BARREL_SLOT = 0.5
"""mm that a barrel's slot is wider than the barrel."""
NUT_LEAD = 4.0
"""mm that a barrel's face stands in front of its nut."""


REFLECTOR = "reflector"
REFLECTOR_PLAY = 1.0
"""mm that a reflector's slots are wider than a clearance hole: its own holes are moulded, and may be off."""
GROUPS = frozenset({"near eye unit", "far eye unit"})
"""The sub-assemblies of both units."""


@dataclass(frozen=True)
class EyeItem:
    """A bought thing of a unit."""

    name: str
    bought: Bought
    placement: Placement
    joint: str = ""


@dataclass(frozen=True)
class EyeUnit:
    """One of the two units: where its bracket stands and what it carries."""

    side: Side
    eye: EyeAcross
    survey: Survey

    @property
    def bracket(self) -> EyeBracket:
        return self.eye.near if self.side == "near" else self.eye.far

    @property
    def frame(self) -> Placement:
        return Placement() if self.side == "near" else far_frame(self.survey)

    @property
    def name(self) -> str:
        """The bracket's."""
        return f"{self.side} eye bracket"

    @property
    def eye_name(self) -> str:
        """That of the eye on it."""
        return "photo-eye" if self.side == "near" else "receiver"

    @property
    def group(self) -> str:
        return f"{self.side} eye unit"

    @property
    def rail(self) -> str:
        return "rail" if self.side == "near" else "far rail"

    @property
    def letter(self) -> str:
        return "G" if self.side == "near" else "K"

    @property
    def reflector(self) -> Reflector | None:
        """What it carries instead of an eye."""
        return self.survey.sensor.reflector if self.side == "far" else None

    @property
    def face(self) -> float:
        """y of the flange's face towards the line, in the bracket's frame."""
        return 2 * SHEET - self.eye.stand_out


def units(layout: MastLayout, survey: Survey) -> tuple[EyeUnit, ...]:
    """Both units; none where the photo-eye turns with the head."""
    if layout.eye is None:
        return ()
    return tuple(EyeUnit(side, layout.eye, survey) for side in SIDES)


def eye_bracket(unit: EyeUnit) -> Placed:
    """Foot on the web (root, z away from the line), leg beside the rail, flange that faces the line."""
    bracket, half = unit.bracket, unit.eye.foot_half
    begins = bracket.side_x + SHEET if bracket.foot > 0 else bracket.side_x
    width = abs(bracket.screws[1] - begins) + unit.eye.edge - BEND
    leg = _leg(unit)
    right, height = bracket.foot > 0, 2 * half
    ends = ((0.0, height), (0.0, 0.0)) if right else ((width, 0.0), (width, height))
    root = Flange(
        "foot",
        plate(((0.0, 0.0), (width, 0.0), (width, height), (0.0, height)), (0, 3) if right else (1, 2)),
        bends=(Bend(*ends, 90.0, BEND, leg),),
    )
    start = bracket.side_x + SHEET + BEND if right else bracket.side_x - BEND - width
    inner = Placement((start, 0.0, bracket.row - half), X, TOWARDS_OPERATOR)
    number = "F10" if unit.side == "near" else "F20"
    return sheet_part(number, unit.name, SHEET, root, unit.frame.then(inner))


def _leg(unit: EyeUnit) -> Flange:
    """Beside the rail: x up from the foot's lower edge (down from its upper one where the foot lies to the
    left), y away from the line. It stands out past the rail and rises to the flange, a relief below that."""
    eye, bracket = unit.eye, unit.bracket
    foot, start = 2 * eye.foot_half, bracket.row - eye.foot_half
    low, high = (eye.beam_z + way * bracket.half - start for way in (-1.0, 1.0))
    out = eye.stand_out - SHEET - BEND
    reach, deep = out + ARM_WIDTH, out + SHEET + BEND + 1.0
    wide = bracket.beam_x + bracket.half + rules.EYE_TRAVEL / 2 - (bracket.side_x + SHEET + BEND)
    flange = Flange(
        "eye flange",
        plate(((0.0, 0.0), (high - low, 0.0), (high - low, wide), (0.0, wide)), sharp=(0, 1)),
    )
    points: list[Vec2] = [(0.0, 0.0), (foot, 0.0), (foot, out), (low - SHEET, out)]
    points += [(low - SHEET, deep), (low, deep), (low, out), (high, out), (high, reach), (0.0, reach)]
    sharp = {0, 1, 2, 3, 4, 5, 6, 7}
    if bracket.foot > 0:
        bend = Bend((low, out), (high, out), 90.0, BEND, flange)
        return Flange("leg", plate(tuple(points), tuple(sharp)), bends=(bend,))
    mirrored = [(foot - x, y) for x, y in reversed(points)]
    bend = Bend((foot - high, out), (foot - low, out), -90.0, BEND, flange)
    return Flange("leg", plate(tuple(mirrored), tuple(9 - k for k in sharp)), bends=(bend,))


def eye_joints(unit: EyeUnit, catalogue: Catalogue) -> Iterator[JointPlan]:
    """Two screws through the foot's upright slots into the rail; then what the flange carries."""
    bracket, eye = unit.bracket, unit.eye
    travel = eye.slots.travel / 2
    foot = Through(unit.name, SlotAlong(Z, travel, travel, eye.slots.width))
    for number, x in enumerate(bracket.screws, 1):
        label = (f"{unit.letter}{number}", f"{unit.name} to {unit.rail}", unit.group)
        axis = (unit.frame.point((x, -SHEET, bracket.row)), unit.frame.turn(Y))
        yield into_web(label, axis, (foot,), unit.rail, unit.survey, catalogue)
    if unit.reflector is not None:
        yield from _reflector(unit, unit.reflector, catalogue)
        return
    half = rules.EYE_TRAVEL / 2
    slot = SlotAlong(X, half, half, unit.survey.sensor.diameter + BARREL_SLOT, is_for_screw=False)
    seat = unit.frame.point((bracket.beam_x, unit.face - SHEET, eye.beam_z))
    label = (f"{unit.letter}3", f"{unit.name}: photo-eye", unit.group)
    screw, through = catalogue.thread(rules.SCREW), (Through(unit.name, slot),)
    yield JointPlan(*label, screw, seat, unit.frame.turn(Y), through, "barrel", washer=False)


def _reflector(unit: EyeUnit, reflector: Reflector, catalogue: Catalogue) -> Iterator[JointPlan]:
    """Screws from the line's side through the reflector and the flange's slots."""
    half = rules.EYE_TRAVEL / 2
    for number, hole in enumerate(reflector.pattern, 3):
        (x, up), thread = hole.at, catalogue.thread(hole.thread)
        seat = unit.frame.point((unit.bracket.beam_x + x, unit.face + reflector.depth, unit.eye.beam_z + up))
        members = (
            Through(REFLECTOR, NoHole(), reflector.depth),
            Through(unit.name, SlotAlong(X, half, half, thread.clearance_medium + REFLECTOR_PLAY)),
        )
        label = (f"{unit.letter}{number}", f"reflector to {unit.name}", unit.group)
        yield JointPlan(*label, thread, seat, unit.frame.turn(TOWARDS_OPERATOR), members, "nut", washer=False)


def eye_items(unit: EyeUnit, catalogue: Catalogue) -> Iterator[EyeItem]:
    """The eye with its nuts, or the reflector."""
    x, z = unit.bracket.beam_x, unit.eye.beam_z

    def placed(y: float, way: Vec3) -> Placement:
        return Placement(unit.frame.point((x, y, z)), unit.frame.turn(X), unit.frame.turn(way))

    if unit.reflector is not None:
        yield EyeItem(REFLECTOR, reflector_shape(unit.reflector, catalogue), placed(unit.face, Y))
        return
    sensor, joint = unit.survey.sensor, f"{unit.letter}3"
    front = unit.face + sensor.nut_thickness + NUT_LEAD
    yield EyeItem(unit.eye_name, sensor_shape(sensor, catalogue), placed(front, Y))
    nut, prefix = barrel_nut(sensor), "" if unit.side == "near" else "receiver's "
    yield EyeItem(f"{prefix}front eye nut", nut, placed(unit.face, Y), joint)
    yield EyeItem(f"{prefix}rear eye nut", nut, placed(unit.face - SHEET, TOWARDS_OPERATOR), joint)
