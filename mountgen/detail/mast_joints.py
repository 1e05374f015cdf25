"""Every joint of a rail mast, described once: axis, members in order, and what each member gets.

Points are in the working view. Screw heads point to where a key comes from: the operator, downstream or
upstream; never to where the product runs, but for the encoder bracket over the stopped line.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import Encoder, PatternHole, Thread
from mountgen.detail.blanks import X, Y, Z, controller_middle, encoder_frame, head_axes, head_point
from mountgen.detail.bridge import with_far_side
from mountgen.detail.clamp import clamp_joints
from mountgen.detail.eye_units import eye_joints, units
from mountgen.detail.joints import (
    ArcAbout,
    Clearance,
    JointPlan,
    NoHole,
    PressFit,
    SlotAlong,
    Through,
    into_bar,
)
from mountgen.detail.records import HEADS
from mountgen.detail.stand import stand_joints
from mountgen.detail.web_joints import into_web
from mountgen.geometry import Vec3
from mountgen.layout import rules
from mountgen.layout.play import device_hole, lock_slot_width
from mountgen.layout.rail_mast import EncoderPlace, MastLayout
from mountgen.survey.records import Survey, Work

BACK: Vec3 = (-1.0, 0.0, 0.0)
NEARER: Vec3 = (0.0, -1.0, 0.0)
SPRING_HOOK = 3.2
"""mm; hole for a leg of the encoder's spring."""

POST_BOLT_EDGE = 14.0
"""mm; bolts of the post to the rail leg's edges, less where their T-nuts would meet."""

SWING_PAST = 3.0
"""deg that the arc slot lets the head turn past either stop."""


def plans(layout: MastLayout, survey: Survey, catalogue: Catalogue, product: int) -> tuple[JointPlan, ...]:
    """All joints at one product's setting."""
    screw = catalogue.thread(rules.SCREW)
    made = [
        *_foot(layout, survey, catalogue),
        *_cross(layout, catalogue, product),
        *_ear(layout, catalogue, product),
        *_tilt(layout, survey.work, screw, product),
        *_stops(layout, screw, product),
        *_head(layout, survey, catalogue, product),
        *_tab(layout, survey, screw, product),
        *(_eye(layout, survey, catalogue, product) if layout.head.carries_eye else ()),
        *_controller(layout, survey, catalogue),
    ]
    if layout.encoder is not None and survey.encoder is not None:
        made += _encoder(layout, layout.encoder, survey, catalogue)
    far = with_far_side(layout, made)
    return (*far, *(joint for unit in units(layout, survey) for joint in eye_joints(unit, catalogue)))


def _foot(layout: MastLayout, survey: Survey, catalogue: Catalogue) -> Iterator[JointPlan]:
    """What holds the post."""
    if layout.on_floor is not None:
        yield from stand_joints(layout, layout.on_floor, catalogue)
    else:
        yield from _rail(layout, survey, catalogue)
        yield from _post(layout, catalogue)


def _rail(layout: MastLayout, survey: Survey, catalogue: Catalogue) -> Iterator[JointPlan]:
    """Four screws through the leg's slots: into T-nuts of the rail's own slots, into rivet nuts of a
    closed wall, else through web and backing to nuts."""
    if layout.clamp is not None:
        yield from clamp_joints(layout, layout.clamp, catalogue.thread(rules.SCREW))
        return
    foot, pattern = layout.on_rail, layout.on_rail.pattern
    half = pattern.slot_travel / 2
    leg = Through("rail angle", SlotAlong(Z, half, half, pattern.slot_width))
    spots = [(x, z) for z in reversed(pattern.rows) for x in pattern.columns]
    for number, (x, z) in enumerate(spots, 1):
        label = (f"R{number}", "rail angle to rail", "rail mount")
        axis = ((x, -foot.angle_thickness, z), Y)
        behind = [Through("backing plate", Clearance(pattern.backing_hole))] if foot.backing else []
        yield into_web(label, axis, (leg, *behind), "rail", survey, catalogue)


def _post(layout: MastLayout, catalogue: Catalogue) -> Iterator[JointPlan]:
    """Two T-bolts through the post leg: the upper in a round hole, the lower in a slot, to set plumb."""
    low, high = layout.on_rail.pattern.leg_z
    inside = max(rules.EDGE, min(POST_BOLT_EDGE, (high - low - layout.post.nut_length) / 2 - 1.0))
    slot = SlotAlong(Y, rules.PLUMB_TRAVEL, rules.PLUMB_TRAVEL)
    seat_x = layout.angle_x + layout.on_rail.angle_thickness
    for name, z, cut in (("P1", high - inside, Clearance()), ("P2", low + inside, slot)):
        label, axis = (name, "post to rail angle", "mast"), ((seat_x, layout.post_y, z), BACK)
        yield into_bar(label, axis, Through("rail angle", cut), ("post", layout.post, Z), catalogue)


def _cross(layout: MastLayout, catalogue: Catalogue, product: int) -> Iterator[JointPlan]:
    """Post pair above and below the arm, heads upstream; arm pair beside the post, heads downstream."""
    dy, dz = layout.cross_bolts
    arm_z, y = float(layout.settings.arm_z[product]), layout.post_y
    plate, post, arm = Through("cross plate", Clearance()), ("post", layout.post, Z), ("arm", layout.arm, Y)
    for name, z in (("X1", arm_z + dz), ("X2", arm_z - dz)):
        label, axis = (name, "cross plate to post", "cross joint"), ((layout.cross_x, y, z), X)
        yield into_bar(label, axis, plate, post, catalogue)
    for name, across in (("X3", y - dy), ("X4", y + dy)):
        label, axis = (name, "cross plate to arm", "cross joint"), ((layout.post_x, across, arm_z), BACK)
        yield into_bar(label, axis, plate, arm, catalogue)
    seat = (layout.post_x - rules.AUXILIARY, y, arm_z - layout.cross_half[1] - rules.STOP_HALF)
    label = ("X5", "arm stop to post", "cross joint")
    yield into_bar(label, (seat, X), Through("arm stop", Clearance()), post, catalogue)


def _ear(layout: MastLayout, catalogue: Catalogue, product: int) -> Iterator[JointPlan]:
    tip = float(layout.settings.tip_y[product])
    arm_z = float(layout.settings.arm_z[product])
    width = layout.head.ear_back + rules.PIVOT_EDGE
    for name, y in (("E1", tip - rules.TNUT_END), ("E2", tip - width + rules.TNUT_END)):
        label, axis = (name, "ear to arm", "head bracket"), ((layout.head.ear_x, y, arm_z), X)
        yield into_bar(label, axis, Through("ear", Clearance()), ("arm", layout.arm, Y), catalogue)


def _tilt(layout: MastLayout, work: Work, screw: Thread, product: int) -> Iterator[JointPlan]:
    """Pivot and lock: screws from downstream through the ear into press nuts of the swing plate."""
    head = layout.head
    seat_x = head.ear_x + head.plate
    tilt = float(layout.settings.tilt_deg[product])
    pivot = head_point(layout, product, seat_x, head.pivot_u, head.pivot_n)
    lock = head_point(layout, product, seat_x, head.pivot_u, head.pivot_n - head.lock_radius)
    nut = Through("swing plate", PressFit(screw.press_nut_hole, "opening", f"press nut {screw.name}"))
    yield JointPlan(
        "V1", "pivot", "head bracket", screw, pivot, BACK, (Through("ear", Clearance()), nut), "press_nut"
    )
    # Seen with x towards you a growing tilt turns the head clockwise, so the lock still has to go
    # 90 deg - tilt that way and has come tilt from the upright stop.
    width = lock_slot_width(work, screw, (head.lock_radius, head.pin_radius))
    arc = ArcAbout(pivot, X, tilt - 90.0 - SWING_PAST, tilt + SWING_PAST, width)
    yield JointPlan(
        "V2", "tilt lock", "head bracket", screw, lock, BACK, (Through("ear", arc), nut), "press_nut"
    )


def _stops(layout: MastLayout, screw: Thread, product: int) -> Iterator[JointPlan]:
    """The tilt pin through ear and swing plate, and the ear's hole for the other stop."""
    head, settings = layout.head, layout.settings
    seat_x = head.ear_x + head.plate
    y, z = float(settings.pivot_y[product]), float(settings.pivot_z[product])
    here = head_point(layout, product, seat_x, head.pivot_u, head.pivot_n - head.pin_radius)
    hole = PressFit(rules.PIN, "dowel", f"{rules.PIN:g} H7")
    both = (Through("ear", hole), Through("swing plate", hole))
    yield JointPlan("V3", "tilt stop pin", "head bracket", screw, here, BACK, both, "pin", washer=False)
    upright, downward = (seat_x, y - head.pin_radius, z), (seat_x, y, z + head.pin_radius)
    for name, stop in (("V4", upright), ("V5", downward)):
        if math.dist(stop, here) > 1.0:
            label = (name, "other tilt stop", "head bracket")
            yield _opening(label, screw, (stop, BACK), Through("ear", hole))


def _opening(
    label: tuple[str, str, str], thread: Thread, axis: tuple[Vec3, Vec3], member: Through
) -> JointPlan:
    """A hole that no fastener of this setting goes through."""
    return JointPlan(*label, thread, *axis, (member,), "none", washer=False)


def _eye(layout: MastLayout, survey: Survey, catalogue: Catalogue, product: int) -> Iterator[JointPlan]:
    """The photo-eye in its slot along the flow: a barrel between two nuts, or screws into its back."""
    head, sensor = layout.head, survey.sensor
    _, n = head_axes(float(layout.settings.tilt_deg[product]))
    back = head.back_n - head.plate - rules.AUXILIARY
    if sensor.body == "barrel":
        seat = head_point(layout, product, head.eye_x, head.eye_u, back)
        away, width = rules.EYE_TRAVEL - rules.EYE_NEARER, sensor.diameter + 0.5
        slot = SlotAlong(X, rules.EYE_NEARER, away, width, is_for_screw=False)
        screw = catalogue.thread(rules.SCREW)
        arm = (Through("photo-eye arm", slot),)
        yield JointPlan("S1", "photo-eye", "head bracket", screw, seat, n, arm, "barrel", washer=False)
        return
    side_x = head.eye_x - sensor.width / 2 - rules.AUXILIARY
    eye = Through("photo-eye", NoHole(), sensor.width)
    for number, hole in enumerate(sensor.pattern, 1):
        behind, across = hole.at
        seat = head_point(layout, product, side_x, head.eye_u - across, head.eye_face_n - behind)
        thread = catalogue.thread(hole.thread)
        members = (Through("photo-eye arm", Clearance()), eye)
        yield JointPlan(f"S{number}", "photo-eye to its arm", "head bracket", thread, seat, X, members, "nut")


def _head(layout: MastLayout, survey: Survey, catalogue: Catalogue, product: int) -> Iterator[JointPlan]:
    head = layout.head
    _, n = head_axes(float(layout.settings.tilt_deg[product]))
    cut = _device_clearance(survey.work, survey.head.pattern, catalogue)
    each = len(survey.head.pattern) // len(survey.head.singles)
    for number, hole in enumerate(survey.head.pattern, 1):
        x, u = hole.at
        yield JointPlan(
            f"H{number}",
            "print head to swing plate",
            "head bracket",
            catalogue.thread(hole.thread),
            head_point(layout, product, x, u, head.back_n - head.plate),
            n,
            (Through("swing plate", cut), Through(HEADS[(number - 1) // each], NoHole())),
            "device",
            depth=hole.depth,
        )


def _tab(layout: MastLayout, survey: Survey, screw: Thread, product: int) -> Iterator[JointPlan]:
    """Two screws from the operator's side through eye arm, swing plate and shoe; without the arm where the
    photo-eye stands by itself.

    A flat eye has no slot of its own, so its arm has the slots along the flow here.
    """
    head = layout.head
    _, n = head_axes(float(layout.settings.tilt_deg[product]))
    flat = survey.sensor.body == "flat"
    away = rules.FLAT_EYE_TRAVEL - rules.EYE_NEARER
    cut = SlotAlong(X, away, rules.EYE_NEARER) if flat else Clearance()
    members = tuple(Through(part, Clearance()) for part in ("swing plate", "lead-in shoe"))
    back, title = head.back_n - head.plate, "shoe to swing plate"
    if head.carries_eye:
        members = (Through("photo-eye arm", cut), *members)
        back, title = back - rules.AUXILIARY, "photo-eye arm and shoe to swing plate"
    for name, u in zip(("T1", "T2"), tab_screws(layout), strict=True):
        yield JointPlan(
            name,
            title,
            "head bracket",
            screw,
            head_point(layout, product, head.tab_screw_x, u, back),
            n,
            members,
            "nut",
        )


def tab_screws(layout: MastLayout) -> tuple[float, float]:
    """u of the two screws of the tab."""
    return layout.head.flange_low + rules.EDGE, layout.head.flange_high - rules.EDGE


def _device_clearance(work: Work, pattern: Sequence[PatternHole], catalogue: Catalogue) -> Clearance:
    """The plate's holes for a device: as large as both patterns' deviations ask."""
    thread = catalogue.thread(pattern[0].thread)
    return Clearance(device_hole(work, thread, [hole.at for hole in pattern]))


def _controller(layout: MastLayout, survey: Survey, catalogue: Catalogue) -> Iterator[JointPlan]:
    """Bracket to the post's downstream face, above and below the controller so that a key passes it; the
    controller's screws come from behind its flange."""
    controller = survey.controller
    half = controller.height / 2 + rules.CONTROLLER_EARS - rules.TNUT_END
    plate, post = Through("controller bracket", Clearance()), ("post", layout.post, Z)
    for name, dz in (("C1", half), ("C2", -half)):
        seat = (layout.angle_x + rules.CONTROLLER_SHEET, layout.post_y, layout.controller_z + dz)
        label = (name, "controller bracket to post", "controller unit")
        yield into_bar(label, (seat, BACK), plate, post, catalogue)
    x, y = controller_middle(layout, survey)
    cut = _device_clearance(survey.work, controller.pattern, catalogue)
    for number, hole in enumerate(controller.pattern, 3):
        yield JointPlan(
            f"C{number}",
            "controller to its bracket",
            "controller unit",
            catalogue.thread(hole.thread),
            (x + hole.at[0], y + rules.CONTROLLER_SHEET, layout.controller_z + hole.at[1]),
            NEARER,
            (Through("controller bracket", cut), Through("controller", NoHole())),
            "device",
            depth=hole.depth,
        )


def _encoder(
    layout: MastLayout, place: EncoderPlace, survey: Survey, catalogue: Catalogue
) -> Iterator[JointPlan]:
    assert survey.encoder is not None
    encoder = survey.encoder
    screw = catalogue.thread(rules.SCREW)
    face = layout.post_y + layout.post.size / 2 + rules.AUXILIARY
    middle = layout.post_x + layout.post.size / 2
    plate, post = Through("encoder bracket", Clearance()), ("post", layout.post, Z)
    for name, dz in (("N1", 12.0), ("N2", -12.0)):
        label, seat = (name, "encoder bracket to post", "encoder unit"), (middle, face, place.pivot_z + dz)
        yield into_bar(label, (seat, NEARER), plate, post, catalogue)
    yield JointPlan(
        "N3",
        "encoder pivot",
        "encoder unit",
        screw,
        (place.pivot_x, place.plate_y, place.pivot_z),
        NEARER,
        (
            Through("encoder arm", Clearance()),
            Through("pivot washer", NoHole(), rules.WASHER),
            Through("encoder bracket", Clearance()),
        ),
        "nut",
    )
    yield from _encoder_openings(place, encoder, screw)
    cut = _device_clearance(survey.work, encoder.pattern, catalogue)
    for number, hole in enumerate(encoder.pattern, 7):
        yield JointPlan(
            f"N{number}",
            "encoder to its arm",
            "encoder unit",
            catalogue.thread(hole.thread),
            encoder_frame(place).point((place.run + hole.at[0], hole.at[1], rules.AUXILIARY)),
            NEARER,
            (Through("encoder arm", cut), Through("encoder", NoHole())),
            "device",
            depth=hole.depth,
        )


def _encoder_openings(place: EncoderPlace, encoder: Encoder, screw: Thread) -> Iterator[JointPlan]:
    """The hole for the encoder's boss, and those for the spring's legs."""
    frame = encoder_frame(place)
    boss = PressFit(encoder.boss_diameter + 1.0)
    centre = frame.point((place.run, 0.0, rules.AUXILIARY))
    label = ("N4", "encoder boss", "encoder unit")
    yield _opening(label, screw, (centre, NEARER), Through("encoder arm", boss))
    hook = PressFit(SPRING_HOOK)
    hooks = {
        "encoder arm": frame.point((rules.PIVOT_EDGE + 10.0, 0.0, rules.AUXILIARY)),
        "encoder bracket": (place.pivot_x, place.plate_y, place.pivot_z + 17.0),
    }
    for name, (part, seat) in zip(("N5", "N6"), hooks.items(), strict=True):
        label = (name, "spring hook", "encoder unit")
        yield _opening(label, screw, (seat, NEARER), Through(part, hook))
