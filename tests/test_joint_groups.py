"""Groups of screws as they are read off a made mount."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from joint_samples import CATALOGUE
from shops import SHOP

from mountgen.catalogue.reader import profiles_folder
from mountgen.geometry import cos_deg, sin_deg
from mountgen.mechanics.plates import PatchLoad
from mountgen.structure.joint_groups import Made, all_margins, group_of
from mountgen.structure.joint_strength import Group, screw_forces
from mountgen.structure.rail_strength import FootLoad
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey


@cache
def made(name: str = "seed-cartons") -> Study:
    return study(read_survey(profiles_folder() / "surveys" / f"{name}.toml", CATALOGUE), CATALOGUE, SHOP)


def mount(of: Study) -> Made:
    scene = of.scene
    return Made(scene.survey, scene.layout, scene.detail, CATALOGUE)


@cache
def group(title: str) -> Group:
    joints = [joint for joint in made().scene.detail.joints if joint.title == title]
    return group_of(mount(made()), title, tuple(joints))


def test_every_group_with_loads_has_margins_in_their_order():
    scene = made().scene
    titles = list(dict.fromkeys(load.title for load in scene.structure.poses[0].joint_loads))
    assert [joint.title for joint in scene.joint_margins] == titles
    assert "rail angle to rail" in titles and "print head to swing plate" in titles


@pytest.mark.parametrize(
    ("title", "apart"),
    [
        ("rail angle to rail", (0.0, -1.0, 0.0)),
        ("post to rail angle", (-1.0, 0.0, 0.0)),
        ("cross plate to post", (-1.0, 0.0, 0.0)),
        ("cross plate to arm", (-1.0, 0.0, 0.0)),
        ("ear to arm", (-1.0, 0.0, 0.0)),
    ],
)
def test_what_hangs_is_pulled_off_towards_its_own_side(title, apart):
    """The leg off the rail to the operator; from the post on each part stands nearer to the head, which is
    upstream."""
    assert group(title).apart == pytest.approx(apart)


def test_ends_and_rims():
    """On a bar contact goes to its edges across it, to the washers' along it."""
    half = made().scene.layout.post.size / 2
    washer = CATALOGUE.thread(group("cross plate to post").thread.name).washer_outer / 2
    ends = {title: group(title).end for title in ("rail angle to rail", "cross plate to post")}
    assert ends == {"rail angle to rail": "nut", "cross plate to post": "T-nut"}
    assert group("print head to swing plate").end == "device"
    assert group("cross plate to post").rim == pytest.approx((half, washer))
    assert group("rail angle to rail").rim == pytest.approx((6.0, 6.0))


def test_threads_engaged():
    """What stands out of washers, plate and lips, as far as the nut reaches; in a device all of it."""
    scene = made().scene
    joint = next(j for j in scene.detail.joints if j.title == "cross plate to post")
    post = scene.layout.post
    standing = joint.screw_length - joint.grip - post.lip_thickness
    assert group("cross plate to post").engaged == pytest.approx(min(standing, post.nut_height))
    head = next(j for j in scene.detail.joints if j.title == "print head to swing plate")
    assert group("print head to swing plate").engaged == pytest.approx(head.screw_length - head.grip)
    assert group("rail angle to rail").engaged == CATALOGUE.thread("M6").nut_height


def test_plates_of_the_rail_joint():
    """Leg with slots, web, each with its hole and nearest edge."""
    plates = {plate.name: plate for plate in group("rail angle to rail").plates}
    assert plates["rail angle"].slotted and not plates["rail"].slotted
    assert plates["rail"].thickness == 2.5
    rows = made().scene.layout.on_rail.pattern.rows
    assert plates["rail"].edge == pytest.approx(min(-6.0 - rows[1], rows[0] + 126.0))
    assert all(plate.edge >= 1.2 * 6.6 for plate in plates.values())


def test_a_tilted_heads_loads_are_turned_back():
    """The same load, turned with the head from upright to downward, strains its screws the same."""
    scene, base = made().scene, mount(made())
    pose = scene.structure.poses[0]
    first = float(scene.layout.settings.tilt_deg[0])
    down = replace(pose, tilt_deg=first + 90.0)
    cos, sin = cos_deg(90.0), sin_deg(90.0)
    turn = np.array([[1.0, 0.0, 0.0], [0.0, cos, sin], [0.0, -sin, cos]])
    turned = tuple(
        replace(load, force=tuple(turn @ load.force), couple=tuple(turn @ load.couple))
        for load in pose.joint_loads
    )
    alone = replace(scene.structure, poses=(replace(pose, tilt_deg=first),))
    both = [all_margins(base, s) for s in (alone, replace(alone, poses=(replace(down, joint_loads=turned),)))]
    for upright, downward in zip(*both, strict=True):
        if upright.title in ("pivot and tilt lock", "print head to swing plate"):
            assert downward.slip.value == pytest.approx(upright.slip.value)


def test_the_rows_are_pulled_as_the_weight_turns_the_leg():
    """A couple of weight above 0 about x takes the leg's upper row off the web, one below 0 its lower row."""
    found = group("rail angle to rail")
    for load in made().scene.structure.poses[0].joint_loads:
        if load.title != "rail angle to rail" or load.load != "weight":
            continue
        tension = screw_forces(found, (load,)).tension[0]
        upper = np.array([seat[2] == max(s[2] for s in found.seats) for seat in found.seats])
        assert (tension[upper].sum() > tension[~upper].sum()) == (load.couple[0] > 0.0)


def test_weight_over_the_line_tilts_the_web_outwards_above():
    """dw/dz is against a turn about x: a couple of -1 about x tips the web's top away from the operator."""
    load = FootLoad((0.0, 0.0, 0.0), (0.0, 5.0, 0.0), (-1.0, 0.0, 2.0)).on_web
    assert load == PatchLoad(5.0, 1.0, 2.0)
