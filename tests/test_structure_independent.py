"""One whole chosen mount as a frame against another solver (PyNiteFEA), its rigid offsets as stiff bars."""

from __future__ import annotations

import numpy as np
import pytest
from Pynite import FEModel3D
from random_surveys import CATALOGUE, feasible_studies

from mountgen.mechanics.frame import Frame, LoadCase, NodalLoad, member_axes
from mountgen.mechanics.frame_solve import solve_static
from mountgen.structure.frame_model import frame_model, mount_of, on_rigid_rail, rigid_joints
from mountgen.structure.frame_records import Model


def upright_mount() -> Model:
    scene = next(made.scene for made in feasible_studies(10) if made.scene.demand.tilt_deg[0] == 0.0)
    mount = mount_of(scene.survey, scene.layout, scene.detail, CATALOGUE)
    return frame_model(on_rigid_rail(rigid_joints(mount)), 0)


def theirs(frame: Frame) -> FEModel3D:
    """All bars run along the axes, so the other solver's section axes lie along ours or are swapped."""
    model = FEModel3D()
    for node in frame.nodes:
        model.add_node(node.name, *node.at)
    model.add_material("stiff", 1e7, 1e7, 0.3, 0.0)
    model.add_section("stiff", 1e4, 1e6, 1e6, 1e6)
    at = {node.name: node.at for node in frame.nodes}
    for member, (begin, end) in zip(frame.members, frame.bar_ends, strict=True):
        ends = []
        for which, node, place in (("start", member.start, begin), ("end", member.end, end)):
            if np.allclose(place, at[node]):
                ends.append(node)
                continue
            ends.append(f"{member.name} {which}")
            model.add_node(ends[-1], *place)
            model.add_member(f"{ends[-1]} link", node, ends[-1], "stiff", "stiff")
        bar = member.bar
        model.add_material(member.name, bar.e_mpa, bar.g_mpa, 0.3, 0.0)
        model.add_section(f"{member.name} a", bar.area, bar.iy, bar.iz, bar.j)
        model.add_section(f"{member.name} b", bar.area, bar.iz, bar.iy, bar.j)
        model.add_member(member.name, *ends, member.name, f"{member.name} a")
        ours, _ = member_axes(member, begin, end)
        z = np.array(model.members[member.name].T()[2, :3])
        if abs(z @ np.array(ours[2])) < 0.5:
            model.members[member.name].section = model.sections[f"{member.name} b"]
    for support in frame.supports:
        model.def_support(support.node, *[True] * 6)
    return model


@pytest.mark.parametrize("axis", range(3))
def test_a_push_on_the_head_moves_every_node_alike(axis: int) -> None:
    made = upright_mount()
    model, push = theirs(made.frame), np.eye(3)[axis] * 50.0
    couple = np.cross(made.push, push)
    for name, value in zip(("FX", "FY", "FZ"), push, strict=True):
        model.add_node_load("head", name, value)
    for name, value in zip(("MX", "MY", "MZ"), couple, strict=True):
        model.add_node_load("head", name, value)
    model.analyze_linear(check_stability=False)
    load = NodalLoad("head", tuple(push.tolist()), offset=made.push)
    result = solve_static(made.frame, LoadCase((load,)))
    scale = np.abs(result.displacements[:, :3]).max()
    for node in made.frame.nodes:
        there = model.nodes[node.name]
        moved = [getattr(there, way)["Combo 1"] for way in ("DX", "DY", "DZ")]
        assert result.at(node.name)[:3] == pytest.approx(moved, abs=2e-3 * scale), node.name
