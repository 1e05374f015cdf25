"""The mount as a frame where parts of it are rigid: closed forms, equilibrium, superposition, weighing.

Derived: Castigliano's second theorem over post and arm; equilibrium of free bodies.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from random_surveys import CATALOGUE, feasible_studies

from mountgen.detail.blanks import head_origin
from mountgen.detail.records import BoughtPart, ExtrusionPart
from mountgen.mechanics.bending import Din6935
from mountgen.mechanics.frame import WEIGHT_DOWN, LoadCase, NodalLoad
from mountgen.mechanics.frame_solve import solve_modes, solve_static
from mountgen.sheet.flat import unfold
from mountgen.sheet.tree import SheetPart
from mountgen.structure.bodies import CABLE_KG_PER_MM
from mountgen.structure.frame_model import frame_model, mount_of, on_rigid_rail, rigid_joints
from mountgen.structure.frame_records import Mount
from mountgen.structure.loads import GROUPS
from mountgen.structure.solve import analyse
from mountgen.study import Study

G = 9.80665


def mounts() -> list[tuple[Study, Mount]]:
    found = []
    for made in feasible_studies(6):
        scene = made.scene
        found.append((made, mount_of(scene.survey, scene.layout, scene.detail, CATALOGUE)))
    return found


def bars_alone(mount: Mount) -> Mount:
    """Only post and arm give way: joints, rail and sheet are as good as rigid."""
    stiff = {"e_mpa": mount.sheet.e_mpa * 1e5, "g_mpa": mount.sheet.g_mpa * 1e5}
    return replace(on_rigid_rail(rigid_joints(mount)), sheet=mount.sheet.model_copy(update=stiff))


def castigliano(mount: Mount, load_at: np.ndarray, seen_at: np.ndarray) -> np.ndarray:
    """Motion at one point for unit forces at another, (3, 3), by integrals of couples along post and arm."""
    layout, model = mount.layout, frame_model(mount, 0)
    places = {node.name: np.array(node.at) for node in model.frame.nodes}
    foot, arm_z = places["post foot"], float(layout.settings.arm_z[0])
    top, root, end = np.array([foot[0], foot[1], arm_z]), places["arm root"], places["arm end"]
    whole = np.zeros((3, 3))
    for start, stop, bar, axis in ((foot, top, layout.post, 2), (root, end, layout.arm, 1)):
        stiff = np.full(3, mount.bar.e_mpa * bar.i_mm4)
        stiff[axis] = mount.bar.g_mpa * bar.j_mm4
        length = abs(float(stop[axis] - start[axis]))
        steps = 4000
        for s in (np.arange(steps) + 0.5) / steps:
            at = start + s * (stop - start)
            one, other = (np.cross(p - at, np.eye(3)) for p in (load_at, seen_at))
            whole += other @ np.diag(1 / stiff) @ one.T * length / steps
    return whole


@pytest.mark.parametrize("place", range(4))
def test_a_hand_moves_the_nozzle_as_castigliano_says(place: int) -> None:
    """Bars do not stretch in the closed form: 0.5 % of the largest motion is allowed."""
    _, mount = mounts()[place]
    mount = bars_alone(mount)
    model = frame_model(mount, 0)
    head = np.array(next(node.at for node in model.frame.nodes if node.name == "head"))
    expected = castigliano(mount, head + model.push, head + model.nozzle)
    for axis in range(3):
        load = NodalLoad("head", tuple(np.eye(3)[axis].tolist()), offset=model.push)
        found = solve_static(model.frame, LoadCase((load,))).at("head", model.nozzle)[:3]
        assert found == pytest.approx(expected[:, axis], abs=0.005 * np.abs(expected).max())


@pytest.mark.parametrize("place", range(6))
def test_joints_and_rail_only_make_it_softer(place: int) -> None:
    """Every spring that is taken away raises every natural frequency (Rayleigh)."""
    _, mount = mounts()[place]
    variants = (mount, rigid_joints(mount), on_rigid_rail(rigid_joints(mount)), bars_alone(mount))
    rows = [solve_modes(frame_model(one, 0).frame, 3).frequencies_hz for one in variants]
    for softer, stiffer in itertools.pairwise(rows):
        assert np.all(stiffer >= softer * (1 - 1e-6))


@pytest.mark.parametrize("place", range(6))
def test_the_frame_weighs_what_its_parts_weigh(place: int) -> None:
    """Flats weigh what the folded part does but for the bend rule: 2 %. The support gets all but what sits
    on the rail itself and the rail leg past its first screws."""
    made, mount = mounts()[place]
    detail, parts = made.scene.detail, made.scene.detail.parts
    total = 0.0
    for instance in detail.instances:
        if instance.group == "rail mount" and instance.name != "rail angle":
            continue
        part = parts[instance.part]
        if isinstance(part, BoughtPart):
            total += part.mass_kg
        elif isinstance(part, ExtrusionPart):
            density = CATALOGUE.material(part.material).density_kg_per_m3 * 1e-9
            total += part.section.area_mm2 * (part.length) * density
        elif isinstance(part, SheetPart):
            density = CATALOGUE.material(part.material).density_kg_per_m3 * 1e-9
            total += unfold(part, Din6935()).area * part.thickness * density
    model = frame_model(mount, 0)
    support = solve_static(model.frame, LoadCase(gravity=WEIGHT_DOWN)).reactions[0]
    run = np.abs(np.subtract(head_origin(mount.layout, 0), mount.bodies["controller"].centre)).sum()
    pattern = mount.layout.on_rail.pattern
    clamped = (pattern.leg_end_x - pattern.columns[0]) * (pattern.leg_z[1] - pattern.leg_z[0])
    total -= clamped * mount.layout.on_rail.angle_thickness * mount.sheet.density_kg_per_m3 * 1e-9
    total += CABLE_KG_PER_MM * min(run, mount.survey.head.cable_length)
    assert support[2] / G == pytest.approx(total, rel=0.02)
    assert support[:2] == pytest.approx([0.0, 0.0], abs=1e-5)


@pytest.mark.parametrize("place", range(6))
def test_every_group_carries_what_hangs_behind_it(place: int) -> None:
    """Free bodies: under weight the head's screws carry the head and half of the cable, ear to arm the ear as
    well, and the rail's screws carry everything; couples are those of the weights about the screws."""
    made, mount = mounts()[place]
    scene = made.scene
    pose = scene.structure.poses[0]
    under_weight = {load.title: load for load in pose.joint_loads if load.load == "weight"}
    assert list(under_weight) == [group.title for group in GROUPS if "foot angle" not in group.title]
    case = frame_model(mount, pose.product)
    head = next(mass for mass in case.frame.masses if mass.node == "head")
    at = next(np.array(node.at) for node in case.frame.nodes if node.name == "head") + head.offset
    load = under_weight["print head to swing plate"]
    force = np.array([0.0, 0.0, -head.kg * G])
    assert load.force == pytest.approx(force, abs=1e-6)
    assert load.couple == pytest.approx(np.cross(at - np.array(load.at), force), abs=1e-3)
    rail = under_weight["rail angle to rail"]
    assert -rail.force[2] / G > sum(body.kg for name, body in mount.bodies.items() if name != "rail")


def test_a_hand_is_added_to_the_weight() -> None:
    """The loads of a group with a hand on the head less those without are the hand's own, carried to it."""
    made, mount = mounts()[0]
    pose = made.scene.structure.poses[0]
    found = {(load.title, load.load): load for load in pose.joint_loads}
    title, hand = "ear to arm", mount.joining.hand_force
    bare = found[title, "weight"]
    pushed = found[title, f"weight and a hand pushing {hand:g} N away"]
    added = np.subtract(pushed.force, bare.force)
    assert added == pytest.approx([0.0, hand, 0.0], abs=1e-6)
    model = frame_model(mount, pose.product)
    head = next(np.array(node.at) for node in model.frame.nodes if node.name == "head")
    lever = head + model.push - np.array(bare.at)
    assert np.subtract(pushed.couple, bare.couple) == pytest.approx(np.cross(lever, added), abs=1e-3)


def test_motion_under_weight_is_linear_in_the_heads_mass() -> None:
    """Superposition: one head more adds the same motion every time; the cable's end moves a little with the
    common centre: 0.2 %."""
    made = feasible_studies(1)[0]
    scene = made.scene

    def moved(times: float) -> np.ndarray:
        parts = tuple(
            replace(part, mass_kg=part.mass_kg * times) if part.name == "print head" else part
            for part in scene.detail.bought
        )
        detail = replace(scene.detail, bought=parts)
        return analyse(scene.survey, scene.demand, scene.layout, detail, CATALOGUE).poses[0].weight

    one, two, three = (moved(times) for times in (1.0, 2.0, 3.0))
    assert three - two == pytest.approx(two - one, rel=2e-3, abs=1e-6)
    assert np.abs(two - one).max() > 1e-4


def test_what_is_pushed_twice_as_hard_gives_twice_as_far() -> None:
    made = feasible_studies(1)[0]
    scene = made.scene
    survey = replace(scene.survey, joining=replace(scene.survey.joining, hand_force=100.0))
    twice = analyse(survey, scene.demand, scene.layout, scene.detail, CATALOGUE)
    for pose, harder in zip(scene.structure.poses, twice.poses, strict=True):
        assert harder.hand == pytest.approx(2 * pose.hand, rel=1e-6)


def test_the_foot_gets_the_weight_and_the_hand() -> None:
    for made in feasible_studies(6):
        hand = made.survey.joining.hand_force
        for pose in made.scene.structure.poses:
            level = math.hypot(*pose.foot_force[:2])
            assert level == pytest.approx(hand, abs=1e-4) or level == pytest.approx(0.0, abs=1e-4)
            assert pose.foot_force[2] < 0
