"""A bridge's stiffness: handbook portals, another solver, the balance of forces, and estimate against frame.

Published: portal frame with clamped feet, load in the middle (Kleinlogel, Rahmenformeln, from memory) and
its sway (Chopra, Dynamics of Structures, section 1.3: 96/7 E I / h^3 for a beam of twice the height and the
same section, from memory); beams (Roark, Table 8.1, cases 1a and 1d).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from bridge_samples import random_bridge, sacks
from random_surveys import CATALOGUE
from test_structure_band import require_agreement
from test_structure_independent import theirs

from mountgen.layout.flexibility import Body, bar
from mountgen.layout.portal import Portal, mirrored, portal_frequency, portal_quick
from mountgen.layout.stiffness import Mast
from mountgen.mechanics.frame import LoadCase, NodalLoad
from mountgen.mechanics.frame_solve import solve_static
from mountgen.structure.frame_model import frame_model, mount_of, on_rigid_rail, rigid_joints
from mountgen.structure.rail_strength import foot_loads

EI, H = 2.1e9, 300.0
NONE = Body((0.0, 0.0, 0.0), 0.0)


def portal(span: float, ratio: float, tilt: float, kg: float = 0.0) -> Portal:
    """Posts that bend but do not twist, a beam `ratio` times as stiff, all of it in the plane of the posts;
    the head in the middle of the beam."""
    beam = ratio * EI
    ear = (0.0, span / 2, H)
    near = Mast(
        foot=(),
        shared=bar((0.0, 0.0, 0.0), (0.0, 0.0, H), H, (1 / EI, 1 / EI, 0.0)),
        to_root=(),
        reach=bar((0.0, 0.0, H), ear, span / 2, (1 / beam, 0.0, 1 / beam)),
        to_head=(),
        to_box=(),
        head=Body(ear, kg),
        hand_at=ear,
        root=Body((0.0, 0.0, H), 0.0),
        arm=Body(ear, 0.0),
        box=NONE,
        wheel=NONE,
        nozzle=ear,
        tilt_deg=np.array([tilt]),
    )
    return Portal(near, mirrored(near, span))


@pytest.mark.parametrize(("span", "ratio"), [(600.0, 1.0), (900.0, 0.4), (500.0, 3.0)])
def test_a_load_in_the_middle_bends_the_beam_as_in_a_portal(span: float, ratio: float) -> None:
    """Corner couples P L / 4 (k + 2), k = I_beam h / I_post L; the beam sags by P L^3 / 48 E I less what they
    hold back, M L^2 / 8 E I."""
    k = ratio * H / span
    corner = span / (4 * (k + 2))
    expected = (span**3 / 48 - corner * span**2 / 8) / (ratio * EI)
    sag = portal_quick(portal(span, ratio, 90.0, kg=2.0), 1.0).sag / (2.0 * 9.81)
    assert float(sag[0]) == pytest.approx(expected, rel=1e-6)


def test_a_portal_sways_as_stiff_as_published() -> None:
    """96/7 E I / h^3 for L = 2 h and equal sections."""
    found = portal_quick(portal(2 * H, 1.0, 0.0, kg=1.0), 1.0).give
    assert float(found[0]) == pytest.approx(7 * H**3 / (96 * EI), rel=1e-6)


def test_a_head_on_the_beam_swings_along_the_line_at_its_own_frequency() -> None:
    """Both posts as cantilevers with half the force each, the beam clamped at both: h^3 / 6 E I +
    L^3 / 192 E I."""
    span, kg = 700.0, 3.0
    give = H**3 / (6 * EI) + span**3 / (192 * EI)
    expected = math.sqrt(1000.0 / (kg * give)) / (2 * math.pi)
    assert float(portal_frequency(portal(span, 1.0, 0.0, kg))) == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("axis", range(3))
def test_a_whole_bridge_bends_as_in_another_solver(axis: int) -> None:
    """PyNiteFEA, rigid offsets as stiff bars."""
    scene = sacks().scene
    mount = mount_of(scene.survey, scene.layout, scene.detail, CATALOGUE)
    made = frame_model(on_rigid_rail(rigid_joints(mount)), 0)
    assert len(made.frame.supports) == 2
    model, push = theirs(made.frame), np.eye(3)[axis] * 50.0
    couple = np.cross(made.push, push)
    for names, values in ((("FX", "FY", "FZ"), push), (("MX", "MY", "MZ"), couple)):
        for name, value in zip(names, values, strict=True):
            model.add_node_load("head", name, value)
    model.analyze_linear(check_stability=False)
    load = NodalLoad("head", tuple(push.tolist()), offset=made.push)
    result = solve_static(made.frame, LoadCase((load,)))
    scale = np.abs(result.displacements[:, :3]).max()
    for node in made.frame.nodes:
        there = model.nodes[node.name]
        moved = [getattr(there, way)["Combo 1"] for way in ("DX", "DY", "DZ")]
        assert result.at(node.name)[:3] == pytest.approx(moved, abs=2e-3 * scale), node.name


@pytest.mark.parametrize("seed", [None, 0, 4, 8])
def test_estimate_and_frame_agree(seed: int | None) -> None:
    require_agreement(sacks() if seed is None else random_bridge(seed))


def test_both_feet_together_carry_the_weight_and_the_hand() -> None:
    """Over all load cases: what weighs does not change, and a hand adds its 50 N."""
    made = sacks()
    pose = made.scene.structure.poses[0]
    far = made.scene.layout.far_rail
    feet: dict[str, list[np.ndarray]] = {}
    for load in pose.joint_loads:
        if load.title.endswith("rail"):
            feet.setdefault(load.load, []).append(np.array(load.force))
    assert all(len(found) == 2 for found in feet.values())
    sums = {why: sum(found) for why, found in feet.items()}
    weight = sums["weight"]
    assert weight[:2] == pytest.approx([0.0, 0.0], abs=1e-6)
    assert weight[2] < -9.81 * made.survey.head.mass_kg
    down = next(value for why, value in sums.items() if why.endswith("down"))
    assert down - weight == pytest.approx([0.0, 0.0, -50.0], abs=1e-6)
    assert len(foot_loads(pose, far)) == 2 * len(feet)


def test_weight_pushes_both_rails_apart_alike() -> None:
    """What pushes the near rail one way across the line pushes the far one the other way: in the words of a
    foot both are pulled out, or pressed in."""
    made = sacks()
    pose, far = made.scene.structure.poses[0], made.scene.layout.far_rail
    weight = [
        foot
        for foot, load in zip(
            foot_loads(pose, far),
            (one for one in pose.joint_loads if one.title.endswith("rail")),
            strict=True,
        )
        if load.load == "weight"
    ]
    near, other = weight
    assert near.at == pytest.approx(other.at)
    assert near.force[1] == pytest.approx(other.force[1])
    assert near.couple[0] * other.couple[0] > 0.0, "the beam turns both rails towards each other"


def test_the_far_foots_bars_are_the_near_ones_mirrored() -> None:
    scene = sacks().scene
    mount = mount_of(scene.survey, scene.layout, scene.detail, CATALOGUE)
    frame = frame_model(mount, 0).frame
    ends = dict(zip((member.name for member in frame.members), frame.bar_ends, strict=True))
    far = scene.survey.rail.far_rail_at
    for name in ("web", "rail leg", "post leg", "cross plate"):
        for near, other in zip(ends[name], ends[f"far {name}"], strict=True):
            assert other == pytest.approx((near[0], far - near[1], near[2])), name
