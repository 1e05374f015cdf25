"""The far side of a bridge, from the near side's parts and joints; and the names that a beam gives them.

What holds the far post to its rail is the near side's mirror image in the middle of the line: a rail angle of
the other hand, screws from the other side. What lies square across the line, cross plate and arm stop, is the
same part again, moved along the beam.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from mountgen.detail.joints import Cut, JointPlan, Placed, SlotAlong, Through
from mountgen.geometry import Placement, Vec3, add
from mountgen.layout import rules
from mountgen.layout.rail_mast import MastLayout
from mountgen.sheet.tree import mirrored_part
from mountgen.survey.records import Survey

FAR = "far "
BEAM = "beam"
MIRRORED, MOVED = ("R", "P"), ("X",)
"""First letters of the joints that the far side has again, as a mirror image or moved along the beam."""
TITLES = {
    "rail angle to rail": "far rail angle to far rail",
    "post to rail angle": "far post to far rail angle",
    "cross plate to post": "far cross plate to far post",
    "cross plate to beam": "far cross plate to beam",
    "arm stop to post": "far arm stop to far post",
}
"""What the near side's joints are called on the far side."""


def beam_name(layout: MastLayout) -> str:
    """What the bar that carries the ear is called."""
    return "arm" if layout.far_rail is None else BEAM


def far_blanks(layout: MastLayout, survey: Survey, near: Mapping[str, Placed]) -> dict[str, Placed]:
    """The far side's sheet parts before any hole is in them, by instance; nothing without a far post."""
    if layout.far_rail is None:
        return {}
    angle, across = near["rail angle"], layout.far_rail - 2 * layout.post_y
    other = replace(mirrored_part(angle.part), number="A12", name=f"{FAR}rail angle")
    behind = 2 * survey.rail.section.web_thickness + rules.BACKING_THICKNESS
    moves = {"backing plate": layout.far_rail - behind, "cross plate": across, "arm stop": across}
    return {
        other.name: Placed(other, _mirrored_place(angle.placement, layout.far_rail)),
        **{
            f"{FAR}{name}": Placed(near[name].part, _moved_place(near[name].placement, by))
            for name, by in moves.items()
            if name in near
        },
    }


def _mirrored_place(place: Placement, far: float) -> Placement:
    """Where a mirrored part goes when the world is mirrored in the middle of the line: mirrored in x, then
    half a turn about the upright axis through that middle."""
    turn = Placement((0.0, far, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    return turn.then(place.mirrored())


def _moved_place(place: Placement, by: float) -> Placement:
    return replace(place, origin=add(place.origin, (0.0, by, 0.0)))


def with_far_side(layout: MastLayout, plans: Iterable[JointPlan]) -> tuple[JointPlan, ...]:
    """A mast's joints, and on a bridge those of its far side; what holds to the arm holds to the beam."""
    made = tuple(plans)
    if layout.far_rail is None:
        return made
    near = tuple(_on_beam(plan) for plan in made)
    return (*near, *_far_side(layout, near))


def _far_side(layout: MastLayout, near: tuple[JointPlan, ...]) -> Iterator[JointPlan]:
    assert layout.far_rail is not None
    counts = {letter: sum(plan.id[0] == letter for plan in near) for letter in (*MIRRORED, *MOVED)}
    for plan in near:
        letter = plan.id[0]
        if letter not in counts:
            continue
        x, y, z = plan.seat
        mirrored = letter in MIRRORED
        seat = (x, layout.far_rail - y if mirrored else y + layout.far_rail - 2 * layout.post_y, z)
        yield replace(
            plan,
            id=f"{letter}{int(plan.id[1:]) + counts[letter]}",
            title=TITLES[plan.title],
            group=f"{FAR}{plan.group}",
            seat=seat,
            direction=_mirrored(plan.direction) if mirrored else plan.direction,
            members=tuple(_far_member(member, mirrored=mirrored) for member in plan.members),
        )


def _far_member(member: Through, *, mirrored: bool) -> Through:
    name = member.instance if member.instance == BEAM else f"{FAR}{member.instance}"
    return replace(member, instance=name, cut=_mirrored_cut(member.cut) if mirrored else member.cut)


def _mirrored_cut(cut: Cut) -> Cut:
    return replace(cut, direction=_mirrored(cut.direction)) if isinstance(cut, SlotAlong) else cut


def _mirrored(way: Vec3) -> Vec3:
    return way[0], -way[1] + 0.0, way[2]


def _on_beam(plan: JointPlan) -> JointPlan:
    members = tuple(
        replace(member, instance=BEAM) if member.instance == "arm" else member for member in plan.members
    )
    if members == plan.members:
        return plan
    return replace(plan, title=plan.title.replace("to arm", f"to {BEAM}"), members=members)
