"""The chosen mount as a frame, solved at its corner poses: weight, a leaning hand, natural modes.

`analyse` goes from layout and detail to `Structure`. Source: displacement method of space frames
(Przemieniecki; Weaver and Gere), as in `mechanics.frame_solve`.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mountgen.catalogue.reader import Catalogue
from mountgen.demand import Demand, Floats
from mountgen.detail.blanks import head_origin
from mountgen.detail.records import Detail
from mountgen.geometry import Vec3, add, cross, scale, subtract
from mountgen.layout.rail_mast import MastLayout, corner_products
from mountgen.mechanics.frame import WEIGHT_DOWN, LoadCase, NodalLoad
from mountgen.mechanics.frame_solve import Modes, StaticResult, solve_modes, solve_static_cases
from mountgen.mechanics.plates import PatchLoad
from mountgen.structure.far_side import mirrored, mirrored_couple
from mountgen.structure.frame_model import frame_model, mount_of
from mountgen.structure.frame_records import Model, Mount
from mountgen.structure.loads import Screws, bar_stresses, end_loads, joint_loads, screws_of
from mountgen.structure.records import JointLoad, Pose, Structure
from mountgen.structure.shaking import Answer, shaking
from mountgen.survey.records import Survey

MODES = 8
"""Natural modes solved for: up to several times the highest frequency of the line."""

HANDS: dict[str, Vec3] = {
    "with the flow": (1.0, 0.0, 0.0),
    "against the flow": (-1.0, 0.0, 0.0),
    "away": (0.0, 1.0, 0.0),
    "towards the operator": (0.0, -1.0, 0.0),
    "down": (0.0, 0.0, -1.0),
}
"""Where a hand may lean; nobody lifts a head by leaning on it."""

WEIGHT = "weight"

LIFTED = (
    "cross plate to post",
    "cross plate to arm",
    "cross plate to beam",
    "far cross plate to far post",
    "far cross plate to beam",
)
"""Groups that go up and down with the setting."""
SLID = ("ear to arm", "ear to beam")
"""Groups that also go in and out."""

ALIKE = 6
"""Decimals beyond which two results count as alike: the first one is taken, on every computer."""


@dataclass(frozen=True)
class Case:
    """A mount with what every setting shares, ready to be solved."""

    mount: Mount
    screws: tuple[Screws, ...]


def analyse(
    survey: Survey, demand: Demand, layout: MastLayout, detail: Detail, catalogue: Catalogue
) -> Structure:
    """The whole mount under weight, a hand and the line's shaking.

    `survey` is the working view, `detail` the mount at the first product's setting.
    """
    case = Case(mount_of(survey, layout, detail, catalogue), screws_of(detail))
    answers = [solve_pose(case, product) for product in corner_products(layout.settings)]
    shakes = shaking(case.mount, demand, [answer for _, answer in answers])
    return Structure(tuple(pose for pose, _ in answers), shakes)


def solve_pose(case: Case, product: int) -> tuple[Pose, Answer]:
    """One pose solved, and its modes for whatever shakes it."""
    mount = case.mount
    model = frame_model(mount, product)
    loads = _load_cases(model, mount.joining.hand_force)
    results = dict(zip(loads, solve_static_cases(model.frame, list(loads.values())), strict=True))
    modes = solve_modes(model.frame, MODES)
    return _pose(case, product, model, results, modes), Answer(product, model, modes)


def _load_cases(model: Model, hand: float) -> dict[str, LoadCase]:
    """Weight alone, then weight with the hand in each direction, by what causes them."""
    cases = {WEIGHT: LoadCase(gravity=WEIGHT_DOWN)}
    for way, direction in HANDS.items():
        push = NodalLoad("head", scale(direction, hand), offset=model.push)
        cases[f"weight and a hand pushing {hand:g} N {way}"] = LoadCase((push,), WEIGHT_DOWN)
    return cases


def _pose(case: Case, product: int, model: Model, results: dict[str, StaticResult], modes: Modes) -> Pose:
    motions = np.array([result.at("head", model.nozzle) for result in results.values()])
    tilt = float(case.mount.layout.settings.tilt_deg[product])
    worst = _strains_foot_most(case.mount, list(results.values()))
    screws = _carried(case, product)
    return Pose(
        product=product,
        tilt_deg=tilt,
        weight=motions[0],
        hand=_worst_hand(motions, tilt),
        joint_loads=_joint_loads(screws, model, results),
        stresses=bar_stresses(model, results),
        foot_force=worst[0],
        foot_couple=worst[1],
        frequencies_hz=modes.frequencies_hz,
        shapes=modes.at("head", model.nozzle),
    )


def _worst_hand(motions: Floats, tilt_deg: float) -> Floats:
    """What the hand adds in the direction in which it moves the stand-off most."""
    added = motions[1:] - motions[0]
    tilt = np.radians(tilt_deg)
    standoff = np.abs(added[:, 1] * np.cos(tilt) - added[:, 2] * np.sin(tilt))
    result: Floats = added[int(np.round(standoff, ALIKE).argmax())]
    return result


def _carried(case: Case, product: int) -> tuple[Screws, ...]:
    """The screws where they are at a product's setting; those of the head bracket turn with the tilt."""
    settings, layout = case.mount.layout.settings, case.mount.layout
    dy, dz = (float(v[product] - v[0]) for v in (settings.pivot_y, settings.pivot_z))
    shift: dict[str, Vec3] = dict.fromkeys(LIFTED, (0.0, 0.0, dz))
    shift |= dict.fromkeys(SLID, (0.0, dy, dz))
    tilted = {"pivot and tilt lock", "print head to swing plate"}
    turn = np.radians(float(settings.tilt_deg[product] - settings.tilt_deg[0]))
    found = []
    for one in case.screws:
        at = add(one.at, shift.get(one.group.title, (0.0, 0.0, 0.0)))
        if one.group.title in tilted:
            at = _turned(subtract(one.at, head_origin(layout, 0)), turn, head_origin(layout, product))
        found.append(Screws(one.group, one.ids, at))
    return tuple(found)


def _turned(lever: Vec3, turn: float, to: Vec3) -> Vec3:
    x, y, z = lever
    cos, sin = float(np.cos(turn)), float(np.sin(turn))
    return add((x, y * cos + z * sin, z * cos - y * sin), to)


def _joint_loads(
    screws: tuple[Screws, ...], model: Model, results: dict[str, StaticResult]
) -> tuple[JointLoad, ...]:
    return tuple(
        load
        for why, ends in zip(results, end_loads(model, list(results.values())), strict=True)
        for load in joint_loads(screws, ends, why)
    )


def _strains_foot_most(mount: Mount, results: Sequence[StaticResult]) -> tuple[Vec3, Vec3]:
    """Force and couple on what carries the mount, in the middle of its screws, of the case that strains the
    rail's web most; where no wall bends by itself, of the case with the largest couple. Those of a far rail
    are mirrored to the near one's axes."""
    lever, web = (0.0, 0.0, 0.0), None
    if mount.layout.on_floor is None:
        lever = (0.0, 0.0, mount.rail.middle_z - sum(mount.layout.on_rail.pattern.rows) / 2)
        web = mount.rail.web
    found = []
    for result, side in itertools.product(results, range(len(results[0].reactions))):
        force, couple = _vec(-result.reactions[side, :3]), _vec(-result.reactions[side, 3:])
        if side > 0:
            force, couple = mirrored(force), mirrored_couple(couple)
        at_foot = add(couple, cross(lever, force))
        load = PatchLoad(force[1], -at_foot[0], at_foot[2])
        strain = float(np.linalg.norm(at_foot)) if web is None else web.stress(load)
        found.append((round(strain, ALIKE), force, at_foot))
    _, force, couple = max(found, key=lambda item: item[0])
    return force, couple


def _vec(values: Floats) -> Vec3:
    x, y, z = values.tolist()
    return x, y, z
