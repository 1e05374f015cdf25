"""A clamped rail: what the jaws do to its edges, and whether they and their screws have room."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.checks.records import Check, Subject, at_least, at_most, rounded_up
from mountgen.checks.scene import Scene
from mountgen.layout.clamp import GAP, Clamp, toe_of
from mountgen.layout.pattern import axle_gap
from mountgen.layout.rules import HOLE_AIR

CORNER = "statics of a strap clamp, elastic bending; 1.5 against yield (rule of this project)"
ROOM = "rule of this project"


def checks(scene: Scene) -> Iterator[Check]:
    clamp = scene.layout.clamp
    if clamp is not None:
        yield _pinch(scene, clamp)
        yield _room(scene)


def _pinch(scene: Scene, clamp: Clamp) -> Check:
    """The screws are tightened so far only that the rail's corner bears it: it fails where the least torque
    that a wrench can set is too much."""
    title = f"bending stress of the rail's corner under the jaws, screws at {clamp.torque_nm:g} N m"
    subject = Subject("clamp_pinch", title, "MPa", CORNER)
    wall = scene.survey.rail.section.web_thickness
    needed = wall * (max(clamp.corner_stress, 1e-9) / clamp.corner_limit) ** 0.5
    remedy = f"a rail of {rounded_up(needed)} mm of wall, or a stand on the floor"
    return at_most(subject, clamp.corner_stress, clamp.corner_limit, remedy)


def _room(scene: Scene) -> Check:
    """Jaws against the axles that come through the rail behind them."""
    subject = Subject("clamp_room", "jaws to the nearest roller axle", "mm", ROOM)
    remedy = "move the print line along the rail, or clamp a rail that is {} mm higher"
    return at_least(subject, min(_axle_room(scene), scene.survey.rail.section.depth), HOLE_AIR, remedy)


def _axle_room(scene: Scene) -> float:
    """From the jaws' toes to the nearest axle, seen along the axle."""
    survey, pattern = scene.survey, scene.layout.on_rail.pattern
    toe = toe_of(survey.rail.section) + GAP
    tips = (pattern.rows[1] - toe, pattern.rows[0] + toe)
    steps = range(int(pattern.columns[0]) - 10, int(pattern.columns[1]) + 11)
    return min(axle_gap(survey, float(x), z) for x in steps for z in tips)
