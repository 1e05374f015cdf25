"""Joints seen from outside, on fifty random mounts: do the placed fasteners fit the placed holes.

Property tests; how far a screw must be engaged is common practice (0.6 d in a thin T-nut, 0.8 d else).
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from functools import cache

import pytest
from joint_geometry import Mount, Span, disc_span, member_span
from random_surveys import CATALOGUE, DIFFUSE, feasible_studies
from shapely.geometry import Point

from mountgen.detail.records import BoughtPart, ExtrusionPart, Instance, Joint
from mountgen.geometry import Box, dot, length, subtract
from mountgen.shapes import Cylinder

pytestmark = pytest.mark.xdist_group("random mounts")

MOUNTS = 50
NEAR = 1e-6
POLYGON = 0.01
"""mm; a circle of 192 corners lies less than this inside the true one."""


@cache
def mounts() -> tuple[Mount, ...]:
    return tuple(
        Mount(made.detail, made.survey.rail.section.web_thickness) for made in feasible_studies(MOUNTS)
    )


@cache
def screwed() -> tuple[tuple[Mount, Joint], ...]:
    return tuple((mount, joint) for mount in mounts() for joint in mount.detail.joints if joint.thread)


def where(mount: Mount, joint: Joint) -> str:
    return f"{joint.id} {joint.title}, survey {mounts().index(mount)}"


def test_the_mounts_are_of_every_kind() -> None:
    surveys = [made.survey for made in feasible_studies(MOUNTS)]
    assert {s.line.flow for s in surveys} == {"left_to_right", "right_to_left"}
    assert {s.products[0].code.face for s in surveys} == {"near_side", "top"}
    assert {s.rail.opens for s in surveys} == {"in", "out"}
    assert {s.sensor.name for s in surveys} == set(DIFFUSE)
    assert {s.head.name for s in surveys} == set(CATALOGUE.names("heads"))
    assert {s.encoder is None for s in surveys} == {True, False}
    assert len({s.rail.profile.name for s in surveys}) > 15


def test_every_shank_passes_every_sheet_member_through_a_hole() -> None:
    for mount in mounts():
        for joint in mount.detail.joints:
            if joint.fastener == joint.title:
                continue
            shank = mount.shank(joint)
            for member in joint.members:
                if member.instance not in mount.faces:
                    continue
                crossed = mount.crossed(joint, member.instance)
                assert crossed is not None, f"{where(mount, joint)}: no hole in {member.instance}"
                face, hole = crossed
                spot = face.spot(shank.start)
                room = hole.exterior.distance(spot) - shank.diameter / 2
                assert room > -POLYGON, f"{where(mount, joint)}: {room} in {member.instance}"
                assert face.outline.contains(hole)


def test_holes_of_screws_are_covered_by_their_washers() -> None:
    """0.7 of the washer is the widest a screw gets (common practice), but for press nuts, which fill the hole
    themselves."""
    for mount, joint in screwed():
        shank, widest = mount.shank(joint), 0.7 * CATALOGUE.thread(joint.thread).washer_outer
        pressed = bool(mount.hardware(joint, "press nut"))
        for number, member in enumerate(joint.members, 1):
            crossed = mount.crossed(joint, member.instance) if member.instance in mount.faces else None
            if crossed and not (pressed and number == len(joint.members)):
                room = crossed[1].exterior.distance(crossed[0].spot(shank.start))
                assert room <= widest / 2 + NEAR, where(mount, joint)


def test_heads_and_nuts_bear_on_material() -> None:
    """The bearing circle is wider than the hole and lies inside the flange."""
    for mount, joint in screwed():
        shank, thread = mount.shank(joint), CATALOGUE.thread(joint.thread)
        sheets = [m.instance for m in joint.members if m.instance in mount.faces]
        seats = [(sheets[0], thread.washer_outer)]
        if mount.hardware(joint, "press nut"):
            seats.append((sheets[-1], thread.press_nut_diameter))
        elif mount.hardware(joint, "end washer") and joint.members[-1].instance in mount.faces:
            seats.append((sheets[-1], thread.washer_outer))
        for sheet, bearing in seats:
            crossed = mount.crossed(joint, sheet)
            assert crossed is not None
            face, hole = crossed
            spot = face.spot(shank.start)
            assert hole.exterior.distance(spot) < bearing / 2, where(mount, joint)
            ring = spot.buffer(bearing / 2 - POLYGON)
            assert face.outline.contains(ring), f"{where(mount, joint)}: seat overhangs {sheet}"


def stack(mount: Mount, joint: Joint) -> list[Span]:
    """Washers and members in order along the axis."""
    shank = mount.shank(joint)
    spans = [
        member_span(mount, joint, m.instance, shank) for m in joint.members if "washer" not in m.instance
    ]
    spans += [disc_span(i, part, shank) for i, part in mount.hardware(joint, "washer")]
    return sorted(spans, key=lambda span: span.start)


def test_what_a_screw_clamps_lies_face_to_face_from_its_head_on() -> None:
    for mount, joint in screwed():
        spans = stack(mount, joint)
        assert spans[0].start == pytest.approx(0.0, abs=NEAR), where(mount, joint)
        for one, other in itertools.pairwise(spans):
            apart = other.start - one.end
            assert apart == pytest.approx(0.0, abs=NEAR), f"{where(mount, joint)}: {one} {other}"


def test_nuts_bear_on_the_last_face_and_screws_reach_through_them() -> None:
    for mount, joint in screwed():
        for role in (" nut", "press nut"):
            for instance, part in mount.hardware(joint, role):
                if "rivet nut" in instance.name:
                    continue
                shank = mount.shank(joint)
                nut = disc_span(instance, part, shank)
                assert shank.off_axis(instance.placement.origin) < NEAR
                bearing = shank.along(instance.placement.origin)
                assert bearing == pytest.approx(stack(mount, joint)[-1].end, abs=NEAR), where(mount, joint)
                assert shank.length >= nut.end - NEAR, f"{where(mount, joint)}: screw ends inside its nut"
                assert shank.length - nut.end <= 3.1 * shank.diameter, where(mount, joint)


def t_nuts_of_bars() -> Iterator[tuple[Mount, Joint, Instance, BoughtPart]]:
    """Every T-nut in a bar of the mount's own; a rail's are looked at where the rails are."""
    for mount, joint in screwed():
        if joint.members[-1].instance != "rail":
            yield from ((mount, joint, *found) for found in mount.hardware(joint, "T-nut"))


def test_t_nuts_hold_and_their_screws_do_not_meet_the_slots_floor() -> None:
    seen = 0
    for mount, joint, instance, part in t_nuts_of_bars():
        seen += 1
        shank = mount.shank(joint)
        bar = mount.part_of(joint.members[-1].instance)
        assert isinstance(bar, ExtrusionPart)
        nut = disc_span(instance, part, shank)
        engaged = min(shank.length, nut.end) - nut.start
        assert engaged >= 0.6 * shank.diameter - NEAR, where(mount, joint)
        floor = member_span(mount, joint, joint.members[-1].instance, shank).start + bar.section.slot_depth
        assert shank.length < floor, where(mount, joint)
    assert seen > 5 * MOUNTS


def test_t_nuts_lie_in_their_slot() -> None:
    """Seen from the bar: behind the lips, in the middle of the slot, no end out of the bar."""
    for mount, joint, instance, _ in t_nuts_of_bars():
        name = joint.members[-1].instance
        bar, place = mount.part_of(name), mount.instances[name].placement
        assert isinstance(bar, ExtrusionPart)
        section = bar.section
        at, into = (
            place.local_point(instance.placement.origin),
            place.local_vector(instance.placement.z_axis),
        )
        along = place.local_vector(instance.placement.x_axis)
        assert abs(along[2]) == pytest.approx(1.0)
        assert section.nut_length / 2 <= at[2] <= bar.length - section.nut_length / 2, where(mount, joint)
        depth = -(at[0] * into[0] + at[1] * into[1])
        assert depth == pytest.approx(section.size / 2 - section.lip_thickness), where(mount, joint)
        across = abs(at[0] * into[1] - at[1] * into[0])
        assert across + section.nut_width / 2 <= section.slot_inner_width / 2, where(mount, joint)


def test_t_nuts_of_one_slot_do_not_meet() -> None:
    for mount in mounts():
        nuts = [
            (i, mount.part_of(j.members[-1].instance))
            for j in mount.detail.joints
            if j.members[-1].instance != "rail"
            for i, _ in mount.hardware(j, "T-nut")
        ]
        for k, (one, bar) in enumerate(nuts):
            for other, _ in nuts[k + 1 :]:
                if abs(dot(one.placement.z_axis, other.placement.z_axis) - 1) > NEAR:
                    continue
                way = subtract(one.placement.origin, other.placement.origin)
                run = abs(dot(way, one.placement.x_axis))
                if abs(length(way) - run) < NEAR:
                    assert run > bar.section.nut_length, f"{one.name} {other.name}"


def test_screws_meet_the_threads_of_the_real_devices() -> None:
    """The tapped hole is that of the device as it is bought and placed, not of the mount's drawing."""
    seen = 0
    for mount, joint in screwed():
        name = joint.members[-1].instance
        if name not in mount.instances:
            continue
        part = mount.part_of(name)
        if not isinstance(part, BoughtPart):
            continue
        seen += 1
        shank, place = mount.shank(joint), mount.instances[name].placement
        taps = [
            (place.then(cut.frame), cut)
            for cut in part.shape.cut
            if isinstance(cut, Cylinder) and shank.off_axis(place.then(cut.frame).origin) < 1e-3
        ]
        assert len(taps) == 1, f"{where(mount, joint)}: {len(taps)} holes of the {name} on the axis"
        frame, tap = taps[0]
        if name == "photo-eye":
            assert tap.diameter > shank.diameter and abs(dot(frame.z_axis, shank.direction)) == 1.0
            assert part.shape.box.placed(place).gap(Box.around([frame.origin])) <= 0.0
            continue
        assert dot(frame.z_axis, shank.direction) == pytest.approx(1.0)
        assert tap.diameter == CATALOGUE.thread(joint.thread).tap_drill
        engaged = shank.length - shank.along(frame.origin)
        assert 0.8 * shank.diameter - NEAR <= engaged < tap.height, where(mount, joint)
    assert seen > 5 * MOUNTS


def test_rail_holes_lie_on_the_axes_of_the_rails_screws() -> None:
    """A bar with slots of its own has the four screws and no hole."""
    for mount in mounts():
        holes = {hole.joint: hole for hole in mount.detail.rail_holes}
        through_rail = [j for j in mount.detail.joints if any(m.instance == "rail" for m in j.members)]
        assert len(through_rail) == 4
        if mount.hardware(through_rail[0], "T-nut"):
            assert not holes
            continue
        assert set(holes) == {joint.id for joint in through_rail}
        for joint in through_rail:
            hole, shank = holes[joint.id], mount.shank(joint)
            assert (hole.x, hole.z) == pytest.approx((shank.start[0], shank.start[2]))
            assert hole.diameter > shank.diameter


OPENINGS = {"ear": 1, "encoder arm": 2, "encoder bracket": 1}
"""Holes that no fastener of the setting uses: the other tilt stop, boss and hooks of the encoder."""


def test_every_hole_belongs_to_one_joint_or_is_a_known_opening() -> None:
    for mount in mounts():
        axes = [(joint, mount.shank(joint)) for joint in mount.detail.joints if joint.fastener != joint.title]
        eyes = [joint for joint in mount.detail.joints if joint.fastener == joint.title]
        for name, faces in mount.faces.items():
            unused = 0
            for face in faces:
                for hole in face.holes:
                    users = [
                        joint.id
                        for joint, shank in axes
                        if name in {m.instance for m in joint.members}
                        and face.is_square_to(shank.direction)
                        and hole.contains(face.spot(shank.start))
                    ]
                    users += [
                        eye.id
                        for eye in eyes
                        if eye.members[0].instance == name and hole.contains(face.spot(eye.point))
                    ]
                    assert len(users) <= 1, f"{name}: one hole for {users}"
                    unused += not users
            assert unused == OPENINGS.get(name, 0), f"{name}: {unused} holes without a joint"


def test_holes_of_one_plate_do_not_run_into_each_other() -> None:
    for mount in mounts():
        for name, faces in mount.faces.items():
            for face in faces:
                for k, hole in enumerate(face.holes):
                    assert all(not hole.intersects(other) for other in face.holes[k + 1 :]), name


def test_a_barrel_eye_sits_between_its_nuts_in_its_slot() -> None:
    seen = 0
    for mount in mounts():
        for joint in mount.detail.joints:
            if joint.fastener != joint.title:
                continue
            seen += 1
            eye, part = mount.instances["photo-eye"], mount.part_of("photo-eye")
            assert isinstance(part, BoughtPart)
            (tube,) = part.shape.add
            assert isinstance(tube, Cylinder)
            (face,) = mount.faces["photo-eye arm"]
            spot = face.spot(eye.placement.origin)
            (hole,) = [h for h in face.holes if h.contains(spot)]
            assert hole.exterior.distance(spot) > tube.diameter / 2
            heights = sorted(
                face.frame.local_point(mount.instances[nut].placement.origin)[2]
                for nut in ("front eye nut", "rear eye nut")
            )
            assert heights == pytest.approx([0.0, face.thickness], abs=NEAR)
            nut = mount.part_of("front eye nut")
            assert isinstance(nut, BoughtPart)
            assert face.outline.contains(Point(spot).buffer(nut.shape.box.high[0] - 0.1))
    assert seen > MOUNTS / 3
