"""What the members and the groups of screws carry, read off a solved frame.

A *group* is the screws of one joint between two parts. Its load is given at the middle of its screws, as what
the side towards the head does to the side towards the rail.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from mountgen.demand import Floats
from mountgen.detail.records import Detail
from mountgen.geometry import Vec3, add, cross, scale, subtract
from mountgen.mechanics.frame import member_axes
from mountgen.mechanics.frame_solve import StaticResult
from mountgen.structure.frame_records import Model
from mountgen.structure.records import BarStress, JointLoad
from mountgen.structure.stand_frame import LEGS


@dataclass(frozen=True)
class Group:
    """A group of screws: its title, the titles that its joints have in the detail, the member that ends at it
    and with which end (a member that starts there is on the head's side of it)."""

    title: str
    joints: tuple[str, ...]
    member: str
    end: Literal["start", "end"]


ALIKE = 6
"""Decimals of MPa beyond which two cases strain a member alike: the first one is taken."""

GROUPS = (
    Group("rail angle to rail", ("rail angle to rail",), "rail leg", "start"),
    Group("post to rail angle", ("post to rail angle",), "post leg", "end"),
    *(Group(f"{leg}, to base plate", (f"{leg}, to base plate",), leg, "start") for leg, _ in LEGS),
    *(Group(f"post to {leg}", (f"post to {leg}",), leg, "end") for leg, _ in LEGS),
    Group("cross plate to post", ("cross plate to post",), "cross plate", "start"),
    Group("cross plate to arm", ("cross plate to arm",), "cross plate", "end"),
    Group("ear to arm", ("ear to arm",), "ear", "start"),
    Group("pivot and tilt lock", ("pivot", "tilt lock"), "ear", "end"),
    Group("print head to swing plate", ("print head to swing plate",), "swing plate, back", "end"),
    Group("controller bracket to post", ("controller bracket to post",), "controller bracket", "start"),
    Group("controller to its bracket", ("controller to its bracket",), "controller bracket", "end"),
)
"""From rail or floor to the head, then the controller's."""

BRIDGE_GROUPS = (
    Group("cross plate to beam", ("cross plate to beam",), "cross plate", "end"),
    Group("ear to beam", ("ear to beam",), "ear", "start"),
    Group("far rail angle to far rail", ("far rail angle to far rail",), "far rail leg", "start"),
    Group("far post to far rail angle", ("far post to far rail angle",), "far post leg", "end"),
    Group("far cross plate to far post", ("far cross plate to far post",), "far cross plate", "start"),
    Group("far cross plate to beam", ("far cross plate to beam",), "far cross plate", "end"),
)
"""What a bridge has instead of an arm's, and those of its far side."""


@dataclass(frozen=True)
class Screws:
    """A group's screws in one mount: their ids and the middle of where they seat, at one setting."""

    group: Group
    ids: tuple[str, ...]
    at: Vec3


def screws_of(detail: Detail) -> tuple[Screws, ...]:
    """Every group's screws at the setting of the detail; a group without screws is left out."""
    found = []
    for group in (*GROUPS, *BRIDGE_GROUPS):
        joints = [joint for joint in detail.joints if joint.title in group.joints]
        if joints:
            x, y, z = np.mean([joint.point for joint in joints], axis=0).tolist()
            found.append(Screws(group, tuple(joint.id for joint in joints), (x, y, z)))
    return tuple(found)


@dataclass(frozen=True)
class EndLoads:
    """What acts on both ends of every bar by member, world axes: places (mm), forces (N), couples (N mm)."""

    at: dict[str, tuple[Vec3, Vec3]]
    force: dict[str, tuple[Vec3, Vec3]]
    couple: dict[str, tuple[Vec3, Vec3]]


def end_loads(model: Model, results: Sequence[StaticResult]) -> tuple[EndLoads, ...]:
    """The bars' end forces turned into world axes, for each load case."""
    frame = model.frame
    names, ends = [member.name for member in frame.members], frame.bar_ends
    turn = np.array([member_axes(m, *end)[0] for m, end in zip(frame.members, ends, strict=True)])
    local = np.array([result.end_forces for result in results]).reshape(len(results), -1, 4, 3)
    world = np.einsum("mji,cmkj->cmki", turn, local)
    places = dict(zip(names, ends, strict=True))
    return tuple(
        EndLoads(places, dict(zip(names, force, strict=True)), dict(zip(names, couple, strict=True)))
        for force, couple in zip(world[:, :, 0::2].tolist(), world[:, :, 1::2].tolist(), strict=True)
    )


def joint_loads(screws: tuple[Screws, ...], loads: EndLoads, why: str) -> Iterator[JointLoad]:
    """The load of every group under one load case."""
    for one in screws:
        member, starts = one.group.member, one.group.end == "start"
        end, sign = (0, -1.0) if starts else (1, 1.0)
        force = scale(_vec(loads.force[member][end]), sign)
        lever = subtract(loads.at[member][end], one.at)
        couple = add(scale(_vec(loads.couple[member][end]), sign), cross(lever, force))
        yield JointLoad(one.group.title, one.ids, one.at, force, couple, why)


def _vec(values: Sequence[float]) -> Vec3:
    x, y, z = values
    return x, y, z


def bar_stresses(model: Model, results: dict[str, StaticResult]) -> tuple[BarStress, ...]:
    """Every member at its most strained end under the case that strains it most.

    Bending about both axes, stretch, torque and, in folded strips, fibres bent by twist, joined after von
    Mises. Forces along a bar that hangs or stands are largest at its ends.
    """
    sections = list(model.sections.values())
    names, whys = list(model.sections), list(results)
    stress = np.stack([_stresses(model, result) for result in results.values()])
    worst = np.round(stress, ALIKE).argmax(axis=0)
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
