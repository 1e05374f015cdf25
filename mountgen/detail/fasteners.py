"""What a joint needs to hold: the screw whose length follows from the grip, washers, nut, and their places.

Directions: every fastener's own z runs along the joint's axis, from the screw's head to its tip.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from mountgen.catalogue.bought import (
    Bought,
    anchor_bolt,
    blind_rivet_nut,
    dowel_pin,
    hex_nut,
    levelling_foot,
    press_nut,
    screw_length,
    socket_screw,
    t_nut,
    washer,
)
from mountgen.catalogue.reader import Catalogue
from mountgen.detail.joints import JointPlan, Placed, along, member_thickness
from mountgen.geometry import Placement, Vec3, scale
from mountgen.layout import rules

TIP_FREE = 0.5
"""mm left between a screw's tip and the floor of a blind hole or slot."""

ENGAGEMENT = 0.8
"""Thread engaged / diameter, at least, in a nut or a tapped hole of steel (common practice)."""

MOST_WASHERS = 3
"""Washers under one head, at most."""

BAR_ENGAGEMENT = 0.6
"""The same in a T-nut, which is thin: its screws get half the torque (common practice)."""

MOST_PROUD = 9.0
"""mm that a screw's tip may stand out of a tapped plate, about."""

FOOT_PROUD = 10.0
"""mm that a levelling foot's spindle stands out of its upper nut, at least: its travel down."""

PIN_PROUD = 6.0
"""mm that the tilt pin stands out of the ear, to be pulled by hand."""


@dataclass(frozen=True)
class Hardware:
    """One fastener part of a joint and where it stands."""

    role: str
    bought: Bought
    placement: Placement


@dataclass(frozen=True)
class Fitted:
    """A joint's hardware with the grip and screw length that were found (0 for what is no screw)."""

    hardware: tuple[Hardware, ...]
    grip: float
    length: float


def fit(plan: JointPlan, placed: Mapping[str, Placed], catalogue: Catalogue) -> Fitted:
    """The hardware of one joint; CatalogueError when no stock screw fits its grip."""
    if plan.end in ("none", "barrel"):
        return Fitted((), 0.0, 0.0)
    if plan.end == "pin":
        return _pin(plan, placed)
    if plan.end in ("foot", "anchor"):
        return _under_base(plan, placed, catalogue)
    plates = clamped(plan, placed)
    washers, length = _washers_and_length(plan, plates)
    step = plan.thread.washer_thickness
    head = washers * step
    screw = Hardware("screw", socket_screw(plan.thread, length), _at(plan, -head))
    under = [
        Hardware(_washer_name(k), washer(plan.thread), _at(plan, k * step - head)) for k in range(washers)
    ]
    return Fitted((screw, *under, *_end(plan, plates, catalogue)), plates + head, length)


def _washer_name(index: int) -> str:
    return "washer" if index == 0 else f"washer {index + 1}"


def _washers_and_length(plan: JointPlan, plates: float) -> tuple[int, float]:
    """The fewest washers under the head with which a stock screw fits: where the length between two stock
    sizes is asked for, another washer takes up the difference."""
    counts = range(1, MOST_WASHERS + 1) if plan.washer else range(1)
    for count in counts:
        least, most = _length_range(plan, plates, count * plan.thread.washer_thickness)
        if any(least <= length <= most for length in plan.thread.screw_lengths):
            return count, screw_length(plan.thread, least, most)
    least, most = _length_range(plan, plates, plan.thread.washer_thickness)
    return 1, screw_length(plan.thread, least, most)


def clamped(plan: JointPlan, placed: Mapping[str, Placed]) -> float:
    """mm between the seat and the end's own face: every member but the one the screw goes into."""
    inside = plan.end in ("t_nut", "device", "rivet_nut", "tapped")
    members = plan.members[:-1] if inside else plan.members
    return sum(member_thickness(placed, member) for member in members)


def _length_range(plan: JointPlan, plates: float, head: float) -> tuple[float, float]:
    """Shortest and longest screw, under the head."""
    thread = plan.thread
    engaged = ENGAGEMENT * thread.diameter
    if plan.end == "t_nut":
        assert plan.bar is not None
        bar = plan.bar
        least = head + plates + bar.lip_thickness + BAR_ENGAGEMENT * thread.diameter
        return least, head + plates + bar.slot_depth - TIP_FREE
    if plan.end == "rivet_nut":
        nut = thread.rivet_nut(plan.members[-1].thickness)
        return head + plates + nut.set_length, head + plates + plan.depth - TIP_FREE
    if plan.end == "tapped":
        least = head + plates + engaged
        return least, least + MOST_PROUD
    if plan.end == "device":
        return head + plates + engaged, head + plates + plan.depth - TIP_FREE
    if plan.end == "press_nut":
        height = thread.press_nut_height
        least = head + plates + height
        return least, least + rules.HEAD_GAP - height - TIP_FREE
    least = head + plates + thread.washer_thickness + thread.nut_height + thread.pitch
    return least, least + 3 * thread.diameter


def _end(plan: JointPlan, plates: float, catalogue: Catalogue) -> tuple[Hardware, ...]:
    thread = plan.thread
    if plan.end == "nut":
        far = Hardware("end washer", washer(thread), _at(plan, plates))
        return far, Hardware("nut", hex_nut(thread), _at(plan, plates + thread.washer_thickness))
    if plan.end == "press_nut":
        return (Hardware("press nut", press_nut(thread), _at(plan, plates)),)
    if plan.end == "rivet_nut":
        return (
            Hardware("rivet nut", blind_rivet_nut(thread, plan.members[-1].thickness), _at(plan, plates)),
        )
    if plan.end == "t_nut":
        assert plan.bar is not None
        origin = along(plan, plates + plan.bar.lip_thickness)
        place = Placement(origin, plan.bar_axis, plan.direction)
        return (Hardware("T-nut", t_nut(plan.bar, catalogue), place),)
    return ()


def _under_base(plan: JointPlan, placed: Mapping[str, Placed], catalogue: Catalogue) -> Fitted:
    """A levelling foot between two nuts, or an anchor's bolt with its nut; the axis runs downwards."""
    thread, plates, washers = plan.thread, clamped(plan, placed), plan.thread.washer_thickness
    up = scale(plan.direction, -1.0)
    upright = across(plan.direction)
    over = (
        Hardware("washer", washer(thread), _at(plan, -washers)),
        Hardware("nut", hex_nut(thread), Placement(along(plan, -washers), upright, up)),
    )
    floor = plates + plan.depth
    if plan.end == "anchor":
        anchor = catalogue.anchor(thread.name)
        bolt = Placement(along(plan, floor + anchor.embedded), upright, up)
        return Fitted((Hardware("anchor", anchor_bolt(anchor, thread), bolt), *over), plates + washers, 0.0)
    length = math.ceil((floor + washers + thread.nut_height + FOOT_PROUD) / 5.0) * 5.0
    foot = Hardware(
        "levelling foot", levelling_foot(thread, length), Placement(along(plan, floor), upright, up)
    )
    below = Hardware("lower nut", hex_nut(thread), _at(plan, plates))
    return Fitted((foot, below, *over), plates + washers, 0.0)


def _pin(plan: JointPlan, placed: Mapping[str, Placed]) -> Fitted:
    plates = clamped(plan, placed)
    length = plates + PIN_PROUD
    pin = dowel_pin(rules.PIN, length)
    return Fitted((Hardware("pin", pin, _at(plan, -PIN_PROUD)),), plates, 0.0)


def _at(plan: JointPlan, distance: float) -> Placement:
    return Placement(along(plan, distance), across(plan.direction), plan.direction)


def across(direction: Vec3) -> Vec3:
    """An axis square to the direction: x of the world, or y when the direction is x."""
    return (0.0, 1.0, 0.0) if abs(direction[0]) > 0.5 else (1.0, 0.0, 0.0)
