"""How the mount gives way and swings: sag between settings, a hand on the head, resonance, stray dots.

All of it comes from the mount solved as a frame at its corner poses.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from mountgen.checks.records import Check, Subject, at_least, at_most
from mountgen.checks.scene import Scene
from mountgen.layout import rules
from mountgen.layout.search import least_frequency, most_give, most_sag
from mountgen.structure.records import Shake, Structure
from mountgen.structure.solve import analyse

FRAME = "space frame by the displacement method (Przemieniecki) with joints, web and rail that give way"
MODES = "natural modes of the frame (Przemieniecki); out of resonance by 1.4 (common practice)"
APART = "natural modes of the frame; 1.4 from a steady excitation (common practice)"
DOTS = "modal superposition (Clough and Penzien); kinematics of a drop; shares are rules of this project"

GOOD_SHARE = 0.25
"""Of the column pitch: dots that stray less are not seen (rule of this project)."""
WORST_SHARE = 0.5
"""Of the column pitch: dots that stray more fall into the next column (rule of this project)."""
SLOWER = tuple(1 - step / 20 for step in range(1, 15))
"""Speeds that are tried, as shares of the fastest."""


def checks(scene: Scene) -> Iterator[Check]:
    structure = scene.structure
    yield _sag(scene, structure)
    yield _handling(scene, structure)
    yield _first_frequency(scene, structure)
    if math.isfinite(structure.shaking.separation):
        yield _resonance(structure)
    if structure.shaking.lasting:
        yield _dots(scene, structure)


def _sag(scene: Scene, structure: Structure) -> Check:
    change = float(np.ptp(structure.sags))
    subject = Subject("sag", "change of sag between settings, in the stand-off direction", "mm", FRAME)
    return at_most(subject, change, most_sag(scene.survey), "take a stiffer post and arm: {} mm too soft")


def _handling(scene: Scene, structure: Structure) -> Check:
    given = max(abs(pose.standoff(pose.hand)) for pose in structure.poses)
    hand = scene.survey.joining.hand_force
    title = f"nozzles pushed by a hand of {hand:g} N, inside the acceptable band"
    remedy = "take a stiffer post and arm, or a shorter overhang: {} mm too soft"
    return at_most(Subject("handling", title, "mm", FRAME), given, most_give(scene.survey), remedy)


def _first_frequency(scene: Scene, structure: Structure) -> Check:
    subject = Subject("first_frequency", "first natural frequency against the line", "Hz", MODES)
    remedy = "take a stiffer post and arm, or a lighter head: {} Hz too low"
    return at_least(subject, structure.first_frequency_hz, least_frequency(scene.survey), remedy)


def _resonance(structure: Structure) -> Check:
    """The larger over the smaller of the first frequency and the nearest steady one."""
    shaking = structure.shaking
    title = f"distance of the first natural frequency from that of the {shaking.nearest}"
    subject = Subject("resonance", title, "times", APART)
    bounds = (
        f"{shaking.nearest_hz / rules.FREQUENCY_RATIO:.1f}",
        f"{shaking.nearest_hz * rules.FREQUENCY_RATIO:.1f}",
    )
    remedy = f"bring the first frequency under {bounds[0]} Hz or over {bounds[1]} Hz, or change the line's"
    return at_least(subject, shaking.separation, rules.FREQUENCY_RATIO, remedy)


def _dots(scene: Scene, structure: Structure) -> Check:
    share = structure.shaking.column_share
    strongest = max(structure.shaking.lasting, key=lambda shake: shake.along)
    title = f"dots off their place by shaking, as a share of the column pitch ({strongest.name} most)"
    subject = Subject("vibration_print", title, "columns", DOTS)
    remedy = "" if share <= GOOD_SHARE else _quieter(scene, strongest)
    return at_most(subject, share, WORST_SHARE, remedy, WORST_SHARE - GOOD_SHARE)


def _quieter(scene: Scene, strongest: Shake) -> str:
    """The fastest speed below the line's at which dots keep their place; what to do where there is none."""
    survey = scene.survey
    if strongest.kind == "steady":
        for share in SLOWER:
            speed = survey.line.speed_mm_per_s * share
            slower = replace(survey, line=replace(survey.line, speed_mm_per_s=speed))
            found = analyse(slower, scene.demand, scene.layout, scene.detail, scene.catalogue)
            if found.shaking.column_share <= GOOD_SHARE:
                return f"run the line at {speed * 60 / 1000:.4g} m/min: the {strongest.name} meet a resonance"
    return f"shake the rail less: {strongest.along:.2g} mm along the flow come from {strongest.name}"
