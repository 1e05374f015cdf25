"""Reach and pose: does the nozzle get to every code, with travel in hand, in a pose that the head allows."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from mountgen.catalogue.head_stack import HeadStack
from mountgen.checks.records import Check, Subject, at_least, at_most
from mountgen.checks.scene import Scene
from mountgen.layout import rules
from mountgen.layout.families import rule_of
from mountgen.layout.rail_mast import lowest_column, obstacle_under_head

RULE = "rule of this project"
TRAVEL = 10.0
"""mm of travel that must be left beyond the extreme settings (rule of this project)."""


def checks(scene: Scene) -> Iterator[Check]:
    yield _up_down(scene)
    yield _in_out(scene)
    yield _pose(scene)
    yield _print_height(scene)
    if _is_upright(scene):
        yield _lowest_code(scene)
    if isinstance(scene.survey.head, HeadStack):
        yield _upper_code(scene, scene.survey.head)


def _is_upright(scene: Scene) -> bool:
    return bool((scene.demand.tilt_deg < 45.0).any())


def _up_down(scene: Scene) -> Check:
    layout, arm_z = scene.layout, scene.layout.settings.arm_z
    longest = rule_of(layout.family).longest_post
    if layout.post_length > longest:
        subject = Subject("reach_up_down", "length of post for the highest setting", "mm", RULE)
        tallest = scene.demand.names[int(np.argmax(arm_z))]
        other = "" if layout.on_floor else ", or take a mount that stands on the floor"
        remedy = f"lower the setting of {tallest!r} by {{}} mm{other}"
        return at_most(subject, layout.post_length, longest, remedy)
    spare = layout.spare_up_down(float(scene.survey.rail.top_above_surface))
    subject = Subject("reach_up_down", "travel left beyond the highest and lowest setting", "mm", RULE)
    remedy = "lengthen the post or raise the lowest code by {} mm"
    return at_least(subject, spare, TRAVEL, remedy)


def _in_out(scene: Scene) -> Check:
    layout = scene.layout
    if layout.far_rail is not None:
        return _along_beam(scene)
    if layout.arm_length > rules.LONGEST_ARM:
        subject = Subject("reach_in_out", "length of arm for the farthest code", "mm", RULE)
        remedy = "move the farthest code {} mm nearer to the mount side, or take a bridge"
        return at_most(subject, layout.arm_length, rules.LONGEST_ARM, remedy)
    subject = Subject("reach_in_out", "arm left behind the cross joint at the innermost setting", "mm", RULE)
    return at_least(subject, layout.spare_in_out, TRAVEL, "lengthen the arm by {} mm")


def _along_beam(scene: Scene) -> Check:
    layout = scene.layout
    if layout.arm_length > rules.LONGEST_BEAM:
        subject = Subject("reach_in_out", "length of beam from rail to rail", "mm", RULE)
        remedy = "take a mount on the near rail alone, or a frame of its own: the line is {} mm too wide"
        return at_most(subject, layout.arm_length, rules.LONGEST_BEAM, remedy)
    subject = Subject("reach_in_out", "beam left beside the ear at the extreme settings", "mm", RULE)
    return at_least(subject, layout.spare_in_out, TRAVEL, "move the outermost code {} mm towards the middle")


def _pose(scene: Scene) -> Check:
    head, tilt = scene.survey.head, scene.demand.tilt_deg
    low, high = float(tilt.min()), float(tilt.max())
    if low < head.tilt_min_deg:
        subject = Subject("pose_allowed", "least tilt that the head allows", "deg", head.source)
        remedy = "take a head that may be turned {} deg further up, or print on the top"
        return at_least(subject, low, head.tilt_min_deg, remedy)
    subject = Subject("pose_allowed", "greatest tilt that the head allows", "deg", head.source)
    remedy = "take a head that may be turned {} deg further down, or print on the near side"
    return at_most(subject, high, head.tilt_max_deg, remedy)


def _print_height(scene: Scene) -> Check:
    head = scene.survey.head
    tallest = head.print_height - 2 * float(scene.demand.slide.min())
    subject = Subject("print_height", "tallest code against the nozzle column", "mm", head.source)
    remedy = "make the code {} mm less tall, or take a taller head"
    return at_most(subject, tallest, head.print_height, remedy)


def _lowest_code(scene: Scene) -> Check:
    """Lower edge of the lowest code against the lowest that the head can print over what is under it."""
    survey, demand = scene.survey, scene.demand
    lowest = lowest_column(survey, scene.layout.head) - survey.head.print_height / 2
    worst = int(np.argmin(demand.code_low))
    over, _ = obstacle_under_head(survey)
    title = f"lowest code against the lowest that the head reaches over the {over}"
    subject = Subject("lowest_code", title, "mm", RULE)
    remedy = f"raise the code of {demand.names[worst]!r} by {{}} mm"
    return at_least(subject, float(demand.code_low[worst]), lowest, remedy)


def _upper_code(scene: Scene, head: HeadStack) -> Check:
    """The highest head prints as far over the lowest code as it stands over the lowest head."""
    demand, rise = scene.demand, head.pitch * (head.count - 1)
    upright = demand.tilt_deg < 45.0
    ends = np.where(upright, demand.height, demand.far_y)
    left = ends - (demand.code_low + rise + head.print_height - 2 * demand.slide)
    worst = int(np.argmin(left))
    title = f"edge of {demand.names[worst]!r} beyond the code of the highest of {head.count} heads"
    subject = Subject("upper_code", title, "mm", RULE)
    return at_least(
        subject, float(left[worst]), 0.0, "set the heads {} mm nearer together, or lower the codes"
    )
