"""The product's own frame of a mount, reduced to what the solids hold: rail, angle, post, cross plate, arm.

Joints are rigid. Head, bracket and controller are left out with their masses; the cross plate keeps its own.
Solids hold one rail alone, so the help that a rail has from its line's other rail is taken away again.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import Material
from mountgen.checks.scene import Scene
from mountgen.mechanics.frame import Frame, LoadCase, Mass, Member, NodalLoad, Node
from mountgen.mechanics.frame_solve import solve_modes, solve_static_cases
from mountgen.structure.frame_model import frame_model, mount_of, on_rigid_rail, rigid_joints
from mountgen.structure.frame_records import Model, Mount
from mountgen.survey.records import Survey
from solid_model.solver import FORCE, Answer

WHOLE = ("web", "rail leg", "post leg", "cross plate")
BARS = ("post,", "arm,")
MODES = 3


def frame_answer(survey: Survey, scene: Scene, catalogue: Catalogue, kg: float, *, rail: bool) -> Answer:
    """What the frame does under 1 N along each axis at the arm's end and with a mass there."""
    mount = rigid_joints(mount_of(survey, scene.layout, scene.detail, catalogue))
    steel = catalogue.material(survey.rail.profile.material)
    mount = _on_one_rail(mount, steel) if rail else on_rigid_rail(mount)
    frame = _bare(mount, frame_model(mount, 0), kg)
    ways = ((FORCE, 0.0, 0.0), (0.0, FORCE, 0.0), (0.0, 0.0, FORCE))
    results = solve_static_cases(frame, [LoadCase((NodalLoad("tip", way),)) for way in ways])
    travel = np.array([result.at("tip")[:3] for result in results]) / FORCE
    return Answer(travel, solve_modes(frame, MODES).frequencies_hz)


def _on_one_rail(mount: Mount, material: Material) -> Mount:
    """Hinged at its supports, as the solid is (Roark, Table 8.1, cases 1e and 3e)."""
    site, rail = mount.survey.rail, mount.rail
    ei, length = material.e_mpa * site.section.properties.i_yy, site.supports_apart
    return replace(mount, rail=replace(rail, sideways=48 * ei / length**3, swing=12 * ei / length))


def _bare(mount: Mount, model: Model, kg: float) -> Frame:
    kept = [m for m in model.frame.members if m.name in WHOLE or m.name.startswith(BARS)]
    end = next(node for node in model.frame.nodes if node.name == "arm end")
    tip = Node("tip", (end.at[0], float(mount.layout.settings.tip_y[0]), end.at[2]))
    arm = next(member for member in kept if member.end == "arm end")
    kept.append(Member("arm, arm end to tip", "arm end", "tip", arm.bar, arm.up))
    used = {name for member in kept for name in (member.start, member.end)}
    nodes = (*(node for node in model.frame.nodes if node.name in used), tip)
    cross = next(member for member in kept if member.name == "cross plate")
    masses = (Mass("tip", kg), Mass(cross.start, _plate_kg(mount), cross.start_end.offset))
    return Frame(nodes, tuple(kept), model.frame.supports, masses)


def _plate_kg(mount: Mount) -> float:
    half_y, half_z = mount.layout.cross_half
    return 4 * half_y * half_z * mount.layout.plate * mount.sheet.density_kg_per_m3 * 1e-9
