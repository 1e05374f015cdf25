"""The rail mast in detail: blanks, joints, drilled parts, bought parts, all placed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from mountgen.catalogue.bought import (
    Bought,
    barrel_nut,
    controller_shape,
    encoder_shape,
    end_cap,
    head_shape,
    measuring_wheel,
    sensor_shape,
    torsion_spring,
    washer,
)
from mountgen.catalogue.reader import Catalogue
from mountgen.detail import blanks
from mountgen.detail.blanks import X, Y, head_axes, head_point
from mountgen.detail.bridge import beam_name, far_blanks
from mountgen.detail.cables import cables
from mountgen.detail.clamp import jaws
from mountgen.detail.eye_units import eye_bracket, eye_items, units
from mountgen.detail.fasteners import Fitted, Hardware, fit
from mountgen.detail.joints import (
    ArcAbout,
    Clearance,
    Cut,
    End,
    JointPlan,
    NoHole,
    Placed,
    PressFit,
    RailDrilled,
    SlotAlong,
    Tapped,
    Through,
    drill,
    member_thickness,
    rail_drill,
)
from mountgen.detail.mast_joints import plans
from mountgen.detail.records import (
    HEADS,
    BoughtPart,
    Detail,
    ExtrusionPart,
    HoleName,
    Instance,
    Joint,
    Member,
    RailHole,
    Rgb,
)
from mountgen.detail.stand import FOOT_ANGLES, floor_holes, stand_blanks
from mountgen.geometry import Placement
from mountgen.layout import rules
from mountgen.layout.clamp import toe_of
from mountgen.layout.rail_mast import MastLayout
from mountgen.survey.records import Survey

STEEL: Rgb = (0.62, 0.64, 0.67)
DEVICE: Rgb = (0.20, 0.32, 0.40)
CAP: Rgb = (0.10, 0.10, 0.10)
TORQUE_SOURCE = "VDI 2230, class 8.8, friction 0.12"
SHARE_IN_WEAK_THREAD = 0.5
"""Share of the full torque where the thread is in a device or a rivet nut (common practice)."""
SHARE_IN_T_NUT = 0.75
"""The same in a T-nut of steel (common practice): `thread_engagement` judges its thread, and half the torque
would let long arms slip."""


@dataclass(frozen=True)
class _Item:
    """A bought thing to place."""

    name: str
    group: str
    bought: Bought
    placement: Placement
    colour: Rgb
    joint: str = ""


def detail(working: Survey, layout: MastLayout, catalogue: Catalogue, product: int = 0) -> Detail:
    """The mount at one product's setting, in the working view; bent parts have no hand yet."""
    joint_plans = plans(layout, working, catalogue, product)
    placed = drill(_blanks(layout, working, product), joint_plans)
    fitted = {plan.id: fit(plan, placed, catalogue) for plan in joint_plans}
    bars = _bars(layout, product)
    items = [*_devices(layout, working, catalogue, product), *_hardware(joint_plans, fitted)]
    numbers, bought = _catalogued(items)
    sheets = {p.part.number: p.part for p in placed.values()}
    instances = [
        *(Instance(n, p.part.number, p.placement, GROUPS[n]) for n, p in placed.items()),
        *(Instance(name, part.number, place, GROUPS[name]) for name, part, place in bars),
        *(Instance(i.name, numbers[i.bought.designation], i.placement, i.group, i.joint) for i in items),
    ]
    return Detail(
        tuple(sheets.values()),
        tuple({part.number: part for _, part, _ in bars}.values()),
        bought,
        tuple(instances),
        tuple(_joint(plan, placed, fitted[plan.id]) for plan in joint_plans if plan.end != "none"),
        tuple(_rail_holes(joint_plans)),
        tuple(cables(layout, working, instances)),
        tuple(floor_holes(joint_plans, catalogue)),
    )


GROUPS = {
    "rail angle": "rail mount",
    "backing plate": "rail mount",
    "upper jaw": "rail mount",
    "lower jaw": "rail mount",
    "base plate": "floor stand",
    **dict.fromkeys(FOOT_ANGLES, "floor stand"),
    "post": "mast",
    "cross plate": "cross joint",
    "arm stop": "cross joint",
    "arm": "sliding arm",
    "far rail angle": "far rail mount",
    "far backing plate": "far rail mount",
    "far post": "far mast",
    "far cross plate": "far cross joint",
    "far arm stop": "far cross joint",
    "beam": "beam unit",
    "ear": "head bracket",
    "swing plate": "head bracket",
    "lead-in shoe": "head bracket",
    "photo-eye arm": "head bracket",
    "near eye bracket": "near eye unit",
    "far eye bracket": "far eye unit",
    "encoder bracket": "encoder unit",
    "encoder arm": "encoder unit",
    "controller bracket": "controller unit",
}


def _blanks(layout: MastLayout, survey: Survey, product: int) -> dict[str, Placed]:
    made = [
        *_foot_blanks(layout, survey),
        blanks.cross_plate(layout, product),
        blanks.arm_stop(layout, product),
        blanks.ear(layout, product),
        blanks.swing_plate(layout, product),
        blanks.shoe(layout, survey, product),
        *([blanks.eye_arm(layout, survey, product)] if layout.head.carries_eye else []),
        *map(eye_bracket, units(layout, survey)),
        blanks.controller_bracket(layout, survey),
    ]
    if layout.encoder is not None:
        made.append(blanks.encoder_bracket(layout, layout.encoder))
        made.append(blanks.encoder_arm(layout.encoder, survey))
    near = {placed.part.name: placed for placed in made}
    return near | far_blanks(layout, survey, near)


def _foot_blanks(layout: MastLayout, survey: Survey) -> Iterator[Placed]:
    """What holds the post."""
    if layout.on_floor is not None:
        yield from stand_blanks(layout, layout.on_floor)
        return
    yield blanks.rail_angle(layout)
    if layout.on_rail.backing:
        yield blanks.backing_plate(layout, survey)
    if layout.clamp is not None:
        yield from jaws(layout, layout.clamp, toe_of(survey.rail.section))


def _bars(layout: MastLayout, product: int) -> list[tuple[str, ExtrusionPart, Placement]]:
    """Every bar by instance, with its part and where it stands."""
    finish = "anodised, ends square and deburred"
    post = ExtrusionPart("B10", "post", layout.post, layout.post_length, layout.post.material, finish=finish)
    name, length = beam_name(layout), layout.arm_length
    arm = ExtrusionPart("B11", name, layout.arm, length, layout.arm.material, finish=finish)
    middle = layout.post_x + layout.post.size / 2
    tail, arm_z = layout.arm_tail(product), float(layout.settings.arm_z[product])
    arm_middle = layout.head.arm_x + layout.arm.size / 2
    return [
        *((name, post, Placement((middle, y, layout.post_bottom))) for name, y in _posts(layout)),
        (arm.name, arm, Placement((arm_middle, tail, arm_z), X, Y)),
    ]


def _posts(layout: MastLayout) -> Iterator[tuple[str, float]]:
    """Every post's name and its middle across the line."""
    yield "post", layout.post_y
    if layout.far_post_y is not None:
        yield "far post", layout.far_post_y


def _devices(layout: MastLayout, survey: Survey, catalogue: Catalogue, product: int) -> Iterator[_Item]:
    head = layout.head
    u, n = head_axes(float(layout.settings.tilt_deg[product]))
    for name, (single, over) in zip(HEADS, survey.head.singles, strict=False):
        origin = head_point(layout, product, 0.0, over, 0.0)
        yield _Item(name, "head bracket", head_shape(single, catalogue), Placement(origin, X, u), DEVICE)
    if head.carries_eye:
        face = head_point(layout, product, head.eye_x, head.eye_u, head.eye_face_n)
        eye = sensor_shape(survey.sensor, catalogue)
        yield _Item("photo-eye", "head bracket", eye, Placement(face, X, n), DEVICE)
        if survey.sensor.body == "barrel":
            yield from _barrel_nuts(layout, survey, product)
    for unit in units(layout, survey):
        for i in eye_items(unit, catalogue):
            colour = STEEL if i.joint else DEVICE
            yield _Item(i.name, unit.group, i.bought, i.placement, colour, i.joint)
    box_x, back = blanks.controller_middle(layout, survey)
    controller = controller_shape(survey.controller, catalogue)
    place = Placement((box_x, back, layout.controller_z), X, (0.0, -1.0, 0.0))
    yield _Item("controller", "controller unit", controller, place, DEVICE)
    yield from _caps(layout, product)
    yield from _encoder_items(layout, survey, catalogue)


def _barrel_nuts(layout: MastLayout, survey: Survey, product: int) -> Iterator[_Item]:
    head = layout.head
    _, n = head_axes(float(layout.settings.tilt_deg[product]))
    behind = (-n[0], -n[1], -n[2])
    plate_n = head.back_n - head.plate
    nut = barrel_nut(survey.sensor)
    for name, at, way in (
        ("front eye nut", plate_n, n),
        ("rear eye nut", plate_n - rules.AUXILIARY, behind),
    ):
        point = head_point(layout, product, head.eye_x, head.eye_u, at)
        yield _Item(name, "head bracket", nut, Placement(point, X, way), STEEL, "S1")


def _caps(layout: MastLayout, product: int) -> Iterator[_Item]:
    middle = layout.post_x + layout.post.size / 2
    high = layout.post_bottom + layout.post_length
    for name, y in _posts(layout):
        yield _Item(f"{name} cap", GROUPS[name], end_cap(layout.post), Placement((middle, y, high)), CAP)
    arm_x = layout.head.arm_x + layout.arm.size / 2
    arm_z = float(layout.settings.arm_z[product])
    tail = (arm_x, layout.arm_tail(product), arm_z)
    tip = (arm_x, layout.arm_tail(product) + layout.arm_length, arm_z)
    cap, name = end_cap(layout.arm), beam_name(layout)
    ends = ("operator end", "line end" if layout.far_rail is None else "far end")
    for end, at, way in zip(ends, (tail, tip), ((0.0, -1.0, 0.0), Y), strict=True):
        yield _Item(f"{name} cap, {end}", GROUPS[name], cap, Placement(at, X, way), CAP)


def _encoder_items(layout: MastLayout, survey: Survey, catalogue: Catalogue) -> Iterator[_Item]:
    place = layout.encoder
    if place is None or survey.encoder is None:
        return
    frame = blanks.encoder_frame(place)
    body = encoder_shape(survey.encoder, catalogue)
    shaft = Placement(frame.point((place.run, 0.0, 0.0)), frame.x_axis, Y)
    yield _Item("encoder", "encoder unit", body, shaft, DEVICE)
    yield _Item(
        "measuring wheel", "encoder unit", measuring_wheel(survey.encoder), Placement(shaft.origin, X, Y), CAP
    )
    screw = catalogue.thread(rules.SCREW)
    spring = torsion_spring(SPRING_WIRE, SPRING_DIAMETER, SPRING_COILS)
    bracket_back = place.plate_y - 2 * rules.AUXILIARY - rules.WASHER
    origin = Placement((place.pivot_x, bracket_back, place.pivot_z), X, (0.0, -1.0, 0.0))
    yield _Item("encoder spring", "encoder unit", spring, origin, STEEL)
    spacer = Placement((place.pivot_x, place.plate_y - rules.AUXILIARY, place.pivot_z), X, (0.0, -1.0, 0.0))
    yield _Item("pivot washer", "encoder unit", washer(screw), spacer, STEEL, "N3")


SPRING_WIRE = 1.5
SPRING_DIAMETER = 19.0
SPRING_COILS = 4.0


def _hardware(joint_plans: tuple[JointPlan, ...], fitted: dict[str, Fitted]) -> Iterator[_Item]:
    for plan in joint_plans:
        for piece in fitted[plan.id].hardware:
            yield _item_of(plan, piece)


def _item_of(plan: JointPlan, piece: Hardware) -> _Item:
    return _Item(f"{plan.id} {piece.role}", plan.group, piece.bought, piece.placement, STEEL, plan.id)


def _catalogued(items: list[_Item]) -> tuple[dict[str, str], tuple[BoughtPart, ...]]:
    """A number for every distinct designation, in order of first use: S01, S02 ..."""
    numbers: dict[str, str] = {}
    parts: list[BoughtPart] = []
    for item in items:
        bought = item.bought
        if bought.designation in numbers:
            continue
        number = f"S{len(numbers) + 1:02d}"
        numbers[bought.designation] = number
        name = item.name if not item.joint else item.name.split(" ", 1)[-1]
        parts.append(
            BoughtPart(
                number, name, bought.designation, bought.shape, bought.mass_kg, bought.material, item.colour
            )
        )
    return numbers, tuple(parts)


def _joint(plan: JointPlan, placed: dict[str, Placed], fitted: Fitted) -> Joint:
    torque = plan.torque_nm or plan.thread.torque_nm * _torque_share(plan)
    screwed = plan.end not in ("pin", "barrel", "foot")
    members = tuple(Member(m.instance, _cut_kind(m), member_thickness(placed, m)) for m in plan.members)
    return Joint(
        id=plan.id,
        title=plan.title,
        thread=plan.thread.name if screwed else "",
        point=plan.seat,
        direction=plan.direction,
        members=members,
        grip=fitted.grip,
        screw_length=fitted.length,
        torque_nm=torque if screwed else 0.0,
        torque_source=_torque_source(plan) if screwed else "",
        key=plan.thread.key_text if screwed and plan.end != "anchor" else "",
        fastener=next((h.bought.designation for h in fitted.hardware), plan.title),
    )


def _torque_share(plan: JointPlan) -> float:
    if plan.end in ("nut", "press_nut"):
        return 1.0
    return SHARE_IN_T_NUT if plan.end == "t_nut" else SHARE_IN_WEAK_THREAD


THREAD_IN: dict[End, str] = {
    "rivet_nut": "thread in a blind rivet nut",
    "tapped": "thread in a plate of mild steel",
    "anchor": "anchor in concrete",
    "device": "thread in a device",
}
"""What asks for half the torque."""


def _torque_source(plan: JointPlan) -> str:
    if plan.end in ("nut", "press_nut"):
        return TORQUE_SOURCE
    if plan.torque_nm is not None:
        return f"less than {TORQUE_SOURCE}: as much as rail and jaws bear"
    if plan.end == "t_nut":
        return f"three quarters of {TORQUE_SOURCE}: thread in a T-nut (common practice)"
    return f"half of {TORQUE_SOURCE}: {THREAD_IN[plan.end]} (common practice)"


def _cut_kind(member: Through) -> HoleName:
    return HOLES[type(member.cut)]


HOLES: dict[type[Cut], HoleName] = {
    Clearance: "clearance",
    RailDrilled: "rail",
    SlotAlong: "slot",
    ArcAbout: "arc_slot",
    PressFit: "fitted",
    Tapped: "tapped",
    NoHole: "none",
}


def _rail_holes(joint_plans: tuple[JointPlan, ...]) -> Iterator[RailHole]:
    for plan in joint_plans:
        diameter = rail_drill(plan)
        if diameter is not None:
            x, _, z = plan.seat
            holds = f"blind rivet nut {plan.thread.name}" if plan.end == "rivet_nut" else ""
            yield RailHole(plan.id, x, z, diameter, plan.id, holds, rail=_rail_of(plan))


def _rail_of(plan: JointPlan) -> str:
    """Which rail a joint is drilled into."""
    return next(member.instance for member in plan.members if isinstance(member.cut, RailDrilled))
