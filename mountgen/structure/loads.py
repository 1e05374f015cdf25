"""What the members and the groups of screws carry, read off a solved frame.

A *group* is the screws of one joint between two parts. Its load is given at the middle of its screws, as what
the side towards the head does to the side towards the rail.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from mountgen.demand import Floats
from mountgen.detail.records import Detail
from mountgen.geometry import Vec3
from mountgen.mechanics.frame import member_axes
from mountgen.mechanics.frame_solve import StaticResult
from mountgen.structure.frame_model import Model
from mountgen.structure.records import BarStress, JointLoad


@dataclass(frozen=True)
class Group:
    """A group of screws: its title, the titles that its joints have in the detail, the member that ends at it
    and with which end (a member that starts there is on the head's side of it)."""

    title: str
    joints: tuple[str, ...]
    member: str
    end: Literal["start", "end"]


GROUPS = (
    Group("rail angle to rail", ("rail angle to rail",), "rail leg", "start"),
    Group("post to rail angle", ("post to rail angle",), "post leg", "end"),
    Group("cross plate to post", ("cross plate to post",), "cross plate", "start"),
    Group("cross plate to arm", ("cross plate to arm",), "cross plate", "end"),
    Group("ear to arm", ("ear to arm",), "ear", "start"),
    Group("pivot and tilt lock", ("pivot", "tilt lock"), "ear", "end"),
    Group("print head to swing plate", ("print head to swing plate",), "swing plate, back", "end"),
    Group("controller bracket to post", ("controller bracket to post",), "controller bracket", "start"),
    Group("controller to its bracket", ("controller to its bracket",), "controller bracket", "end"),
)
"""From the rail to the head, then the controller's."""


@dataclass(frozen=True)
class Screws:
    """A group's screws in one mount: their ids and the middle of where they seat, at one setting."""

    group: Group
    ids: tuple[str, ...]
    at: Vec3


def screws_of(detail: Detail) -> tuple[Screws, ...]:
    """Every group's screws at the setting of the detail; a group without screws is left out."""
    found = []
    for group in GROUPS:
        joints = [joint for joint in detail.joints if joint.title in group.joints]
        if joints:
            x, y, z = np.mean([joint.point for joint in joints], axis=0).tolist()
            found.append(Screws(group, tuple(joint.id for joint in joints), (x, y, z)))
    return tuple(found)


@dataclass(frozen=True)
class EndLoads:
    """What acts on both ends of every bar, world axes: (members, 2, 3) places, forces and couples."""

    rows: dict[str, int]
    at: Floats
    force: Floats
    couple: Floats


def end_loads(model: Model, result: StaticResult) -> EndLoads:
    """The bars' end forces turned into world axes."""
    frame = model.frame
    turn = np.array([member_axes(m, *ends)[0] for m, ends in zip(frame.members, frame.bar_ends, strict=True)])
    local = result.end_forces.reshape(-1, 4, 3)
    world = np.einsum("mji,mkj->mki", turn, local)
    rows = {member.name: row for row, member in enumerate(frame.members)}
    return EndLoads(rows, np.array(frame.bar_ends), world[:, 0::2], world[:, 1::2])


def joint_loads(screws: tuple[Screws, ...], loads: EndLoads, why: str) -> Iterator[JointLoad]:
    """The load of every group under one load case."""
    for one in screws:
        row, end = loads.rows[one.group.member], 0 if one.group.end == "start" else 1
        sign = -1.0 if one.group.end == "start" else 1.0
        force = sign * loads.force[row, end]
        couple = sign * loads.couple[row, end] + np.cross(loads.at[row, end] - one.at, force)
        yield JointLoad(one.group.title, one.ids, one.at, _vec(force), _vec(couple), why)


def _vec(values: Floats) -> Vec3:
    x, y, z = values.tolist()
    return x, y, z


def bar_stresses(model: Model, results: dict[str, StaticResult]) -> tuple[BarStress, ...]:
    """Every member at its most strained end under the case that strains it most.

    Bending about both axes, stretch, torque and, in folded strips, fibres bent by twist, joined after von
    Mises. Forces along a bar that hangs or stands are largest at its ends.
    """
    sections = list(model.sections.values())
    names, whys = list(model.sections), list(results)
    stress = np.stack([_stresses(model, result) for result in results.values()])
    worst = stress.argmax(axis=0)
    return tuple(
        BarStress(name, value, value / section.yield_mpa, whys[worst[row]])
        for row, (name, section, value) in enumerate(
            zip(names, sections, stress.max(axis=0).tolist(), strict=True)
        )
    )


def _stresses(model: Model, result: StaticResult) -> Floats:
    """MPa of every member at its worse end."""
    sections = model.sections.values()
    area = np.array([s.bar.area for s in sections])[:, np.newaxis]
    moduli = np.array([(s.modulus_twist, s.modulus_y, s.modulus_z) for s in sections])[:, np.newaxis]
    warp = np.array([s.warp for s in sections])[:, np.newaxis]
    ends = np.abs(result.end_forces.reshape(-1, 2, 6))
    couples = ends[..., 3:] / moduli
    direct = ends[..., 0] / area + couples[..., 1] + couples[..., 2] + warp * ends[..., 3]
    equivalent: Floats = np.sqrt(direct**2 + 3 * couples[..., 0] ** 2).max(axis=1)
    return equivalent
