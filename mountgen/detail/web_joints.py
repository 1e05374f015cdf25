"""Screws into the rails: by what the rail is, so goes the screw."""

from __future__ import annotations

from mountgen.catalogue.rail_view import Slot
from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import Extrusion
from mountgen.detail.blanks import X
from mountgen.detail.joints import JointPlan, RailDrilled, Through, into_bar
from mountgen.geometry import Vec3
from mountgen.layout import rules
from mountgen.survey.records import Survey


def into_web(
    label: tuple[str, str, str],
    axis: tuple[Vec3, Vec3],
    plates: tuple[Through, ...],
    rail: str,
    survey: Survey,
    catalogue: Catalogue,
) -> JointPlan:
    """A screw from a rail's outer side: into a T-nut of the rail's own slot, into a rivet nut of a closed
    wall, short of the wall behind it, else through the web to a nut. `plates` are the one in front of the web
    and what lies behind it; `label` and `axis` as for `into_bar`, `rail` what the rail is called."""
    section, screw = survey.rail.section, catalogue.thread(rules.SCREW)
    front, *behind = plates
    if section.slots:
        return into_bar(label, axis, front, (rail, slot_bar(section.slots[0], catalogue), X), catalogue)
    if section.is_closed:
        hole = RailDrilled(screw.rivet_nut(section.web_thickness).hole)
        wall, room = Through(rail, hole, section.web_thickness), section.reach_in - section.web_thickness
        return JointPlan(*label, screw, *axis, (front, wall), "rivet_nut", depth=room)
    web = Through(rail, RailDrilled(), section.web_thickness)
    return JointPlan(*label, screw, *axis, (front, web, *behind), "nut")


def slot_bar(slot: Slot, catalogue: Catalogue) -> Extrusion:
    """The extrusion whose T-nuts go into a slot of the rail: the one whose slot differs least."""
    bars = [catalogue.extrusion(name) for name in catalogue.names("extrusions")]
    return min(bars, key=lambda bar: slot_difference(slot, bar))


def slot_difference(slot: Slot, bar: Extrusion) -> float:
    """mm, the most that a slot's sizes differ from those of an extrusion."""
    sizes = (
        (slot.width, bar.slot_width),
        (slot.inner_width, bar.slot_inner_width),
        (slot.depth, bar.slot_depth),
        (slot.lip_thickness, bar.lip_thickness),
    )
    return max(abs(ours - theirs) for ours, theirs in sizes)
