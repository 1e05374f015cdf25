"""A line that runs the other way gets the mirror image of the mount, with no bought part mirrored.

Property tests. The mirrored site is made here; so are devices with an asymmetric pattern and body.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from joint_geometry import Face, Mount, sampled
from random_surveys import CATALOGUE, feasible_studies, mirrored_devices, mirrored_line
from scipy.spatial import cKDTree
from shapely.affinity import scale, translate
from shapely.geometry import Polygon
from shapely.ops import unary_union
from shops import SHOP

from mountgen.catalogue.records import PatternHole
from mountgen.detail.records import BoughtPart
from mountgen.geometry import Placement, Vec3, cross, dot
from mountgen.mechanics.bending import Din6935
from mountgen.sheet.flat import FlatPattern, unfold
from mountgen.study import Study, study
from mountgen.survey.records import Survey

PAIRS = 8
LOPSIDED = ((-6.0, -9.0), (9.5, -4.0), (-3.0, 27.0))
"""Fixing holes of a head that no mirror image can be turned into."""


@cache
def pairs() -> tuple[tuple[Study, Study], ...]:
    """Mounts as surveyed and on the mirrored site with mirror images of the devices."""
    surveys = [lopsided(made.survey) for made in feasible_studies(PAIRS)]
    return tuple(
        (study(survey, CATALOGUE, SHOP), study(mirrored_devices(mirrored_line(survey)), CATALOGUE, SHOP))
        for survey in surveys
    )


def lopsided(survey: Survey) -> Survey:
    """The survey with a head whose sides differ, whose holes are nowhere symmetric."""
    holes = tuple(PatternHole(at=at, thread="M4", depth=8.0) for at in LOPSIDED)
    head = survey.head.model_copy(
        update={"x_before": 16.0, "x_after": 24.0, "pattern": holes, "u_below": 20.0, "u_above": 45.0}
    )
    head = head.model_copy(update={"print_height": min(head.print_height, 38.0)})
    return replace(survey, head=head)


def flipped(vector: Vec3) -> Vec3:
    return (-vector[0], vector[1], vector[2])


def test_there_are_pairs_of_both_flows() -> None:
    assert {one.survey.line.flow for one, _ in pairs()} == {"left_to_right", "right_to_left"}
    assert all(one.survey.line.flow != other.survey.line.flow for one, other in pairs())


def test_the_layout_is_the_same_number_for_number() -> None:
    for one, other in pairs():
        a, b = one.scene.layout, other.scene.layout
        names = (
            "post_x post_y post_bottom post_length arm_length plate drop head foot encoder mass_kg "
            "controller_z cross_half cross_bolts first_frequency_hz"
        )
        for name in names.split():
            assert getattr(a, name) == getattr(b, name), name
        assert (a.post.name, a.arm.name) == (b.post.name, b.arm.name)
        for name in ("arm_z", "tip_y", "pivot_y", "pivot_z", "tilt_deg"):
            assert np.array_equal(getattr(a.settings, name), getattr(b.settings, name))
        assert [(c.id, c.verdict, c.value) for c in one.checks] == [
            (c.id, c.verdict, c.value) for c in other.checks
        ]
        assert replace(one.setup, flow="") == replace(other.setup, flow="")


def test_every_placement_is_right_handed() -> None:
    for study_ in (made for pair in pairs() for made in pair):
        for instance in study_.detail.instances:
            place = instance.placement
            axes = np.array([place.x_axis, place.y_axis, place.z_axis])
            assert np.linalg.det(axes) == pytest.approx(1.0)
            assert dot(place.x_axis, place.z_axis) == pytest.approx(0.0, abs=1e-12)
            assert cross(place.z_axis, place.x_axis) == place.y_axis


def test_joints_and_rail_holes_are_mirrored() -> None:
    for one, other in pairs():
        joints = {joint.id: joint for joint in other.detail.joints}
        assert set(joints) == {joint.id for joint in one.detail.joints}
        for joint in one.detail.joints:
            twin = joints[joint.id]
            assert twin.point == pytest.approx(flipped(joint.point))
            assert twin.direction == pytest.approx(flipped(joint.direction))
            assert (twin.screw_length, twin.grip, twin.fastener) == (
                joint.screw_length,
                joint.grip,
                joint.fastener,
            )
        holes = [(-hole.x, hole.z, hole.diameter) for hole in one.detail.rail_holes]
        assert holes == [(hole.x, hole.z, hole.diameter) for hole in other.detail.rail_holes]


def solid_spots(made: Study) -> dict[str, list[Vec3]]:
    """Corners of every flange's two faces in the world, by instance."""
    mount = Mount(made.detail, made.survey.rail.section.web_thickness)
    return {name: [p for face in faces for p in corners(face)] for name, faces in mount.faces.items()}


def corners(face: Face) -> list[Vec3]:
    rings = [face.outline.exterior, *(hole.exterior for hole in face.holes)]
    return [
        face.frame.point((x, y, z))
        for ring in rings
        for x, y in ring.coords[:-1]
        for z in (0.0, face.thickness)
    ]


def test_sheet_parts_fill_the_mirrored_space_holes_and_all() -> None:
    for one, other in pairs():
        there = solid_spots(other)
        for name, spots in solid_spots(one).items():
            here, twin = np.array([flipped(spot) for spot in spots]), np.array(there[name])
            assert here.shape == twin.shape, name
            assert cKDTree(here).query(twin)[0].max() < 1e-6, name
            assert cKDTree(twin).query(here)[0].max() < 1e-6, name


def test_flats_of_left_and_right_are_mirror_images_and_flat_plates_keep_their_number() -> None:
    for one, other in pairs():
        twins = {part.name: part for part in other.detail.sheets}
        for part in one.detail.sheets:
            twin = twins[part.name]
            if not part.root.bends:
                assert twin == part and part.hand == ""
                continue
            assert {part.number[-2:], twin.number[-2:]} == {"-L", "-R"}
            assert part.number[:-2] == twin.number[:-2]
            assert {part.hand, twin.hand} == {"left", "right"}
            flat, mirror = unfold(part, Din6935()), unfold(twin, Din6935())
            here, turned = drawn(flat), scale(drawn(mirror), -1.0, 1.0, origin=(0.0, 0.0))
            turned = translate(turned, here.bounds[0] - turned.bounds[0], here.bounds[1] - turned.bounds[1])
            assert here.symmetric_difference(turned).area < 1e-3, part.name


def drawn(flat: FlatPattern) -> Polygon:
    """The flat blank with its holes cut out."""
    holes = [sampled(placed.hole.contour) for placed in flat.holes]
    return sampled(flat.outline).difference(unary_union(holes))


def test_bought_parts_are_the_same_parts_never_mirrored() -> None:
    """The real lopsided head fits both hands of its mount: shape and order number are the same."""
    seen = 0
    for survey in (lopsided(made.survey) for made in feasible_studies(PAIRS)):
        one, other = study(survey, CATALOGUE, SHOP), study(mirrored_line(survey), CATALOGUE, SHOP)
        for made in (one, other):
            mount = Mount(made.detail, made.survey.rail.section.web_thickness)
            place, part = mount.instances["print head"].placement, mount.part_of("print head")
            assert isinstance(part, BoughtPart)
            assert part.shape.box.low[0] == -16.0 and part.shape.box.high[0] == 24.0
            assert_device_holes_match(mount, place, survey)
            seen += 1
        devices = {"print head", "photo-eye", "controller", "encoder"}
        shapes = [
            {p.designation: p.shape.box for p in made.detail.bought if p.name in devices}
            for made in (one, other)
        ]
        assert shapes[0] == shapes[1]
    assert seen == 2 * PAIRS


def assert_device_holes_match(mount: Mount, place: Placement, survey: Survey) -> None:
    """Every fixing hole of the head as it is bought lies on a hole of the swing plate."""
    faces = [face for face in mount.faces["swing plate"] if face.flange == "device flange"]
    assert len(faces) == 1
    for x, u in LOPSIDED:
        spot = faces[0].spot(place.point((x, -survey.head.depth, u)))
        matched = [hole for hole in faces[0].holes if hole.centroid.distance(spot) < 1e-3]
        assert len(matched) == 1


def test_mirroring_a_mount_twice_gives_it_back() -> None:
    for one, _ in pairs():
        if one.survey.line.flow == "left_to_right":
            again = study(mirrored_line(mirrored_line(one.survey)), CATALOGUE, SHOP)
            assert again.detail == one.detail
