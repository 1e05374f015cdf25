"""A floor stand's foot in the frame: its base on the floor, and the two foot angles as legs to the post.

Each angle is a strip up the post's side. Below, its leg on the base is pulled up at the fold as a cantilever
and its two screws hold couples; above, its two T-bolts do. That the post's end rests on the base is left out,
which is on the safe side. Base and floor: `layout.stand.base_stiffness`; the floor itself is rigid.
"""

from __future__ import annotations

import math

from mountgen.catalogue.records import Material
from mountgen.layout.rail_mast import MastLayout
from mountgen.layout.stand import (
    ANGLE_REACH,
    SCREW_OUT,
    FloorGive,
    Stand,
    base_stiffness,
    bolted_stiffness,
    leg_stiffness,
    screwed_stiffness,
)
from mountgen.mechanics.frame import End, Member, Support
from mountgen.structure.sections import Section, Strip, strip_section
from mountgen.survey.records import Joining

BASE = "base"
"""The node in the middle of the foot angles, on the base's upper face."""
LEGS = (("foot angle, upstream", -1.0), ("foot angle, downstream", 1.0))


def base_support(layout: MastLayout, give: FloorGive) -> Support:
    """The base on its feet: it neither slides nor sinks, and gives way to couples."""
    size = layout.post.size
    x, y = base_stiffness(give, (size + 2 * SCREW_OUT, size + 2 * ANGLE_REACH))
    return Support(BASE, (math.inf, math.inf, math.inf, float(x), float(y), math.inf))


def foot_legs(
    layout: MastLayout, stand: Stand, made_of: tuple[Joining, Material], post_foot: str
) -> tuple[tuple[Member, Section], ...]:
    """Both foot angles, from the base to the post's node; `made_of` is joints and sheet."""
    joining, sheet = made_of
    strip = Strip(stand.angle_width, stand.angle_thickness, stand.hold_z - stand.top)
    section = strip_section(strip, sheet)
    leg = float(leg_stiffness(stand.angle_thickness, stand.angle_width, sheet.e_mpa))
    screwed = float(screwed_stiffness(joining, stand.angle_width, leg))
    bolted = bolted_stiffness(joining)
    off = (layout.post.size + stand.angle_thickness) / 2
    # Local x of a leg runs up, y downstream, z away from the operator.
    below = (leg, math.inf, math.inf, math.inf, screwed, math.inf)
    above = (math.inf, math.inf, math.inf, joining.tslot_stiffness, bolted, bolted)
    across = (0.0, 1.0, 0.0)
    return tuple(
        (
            Member(
                name,
                BASE,
                post_foot,
                section.bar,
                across,
                End((side * off, 0.0, 0.0), below),
                End((side * off, 0.0, 0.0), above),
            ),
            section,
        )
        for name, side in LEGS
    )
