"""The floor stand: a base on the floor beside the line, two foot angles on it, and the post between them.

The base runs under the line, for the head hangs out over it. It stands on levelling feet where its own weight
keeps it upright, else it is anchored to the floor. Everything is in the working view; the floor is z =
-`surface_height`, level and rigid. The stand touches nothing of the line.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mountgen.geometry import Box, Vec2, Vec3
from mountgen.layout import rules
from mountgen.layout.flexibility import Numbers, Three
from mountgen.mechanics.folded_strip import PLATE
from mountgen.mechanics.tipping import PointMass, Push, tilt_of_tipping, tipping
from mountgen.mechanics.tipping import Stand as Standing
from mountgen.survey.records import Joining, Keepout, Survey

ANGLES = (6.0, 8.0)
"""Thicknesses of the foot angles, mm."""
BASE_PLATE = 12.0
"""mm; the thickest plate that shops keep, for its weight holds the stand down."""
FOOT_GAP = 30.0
"""mm under the base on levelling feet, in the middle of their travel."""
SHIM_GAP = 3.0
"""mm under an anchored base: steel shims that level it, then mortar (common practice)."""
FOOT_TRAVEL = 8.0
"""mm up or down that levelling feet give; shims and mortar give as much upwards."""
FOOT_EDGE = 35.0
"""mm from the middle of a foot or anchor to the base's edges: half a pad, and a bolt's edge distance."""
ANGLE_REACH = 50.0
"""mm that a foot angle reaches to either side of the post along y."""
ANGLE_LEG, SCREW_OUT = 75.0, 53.0
"""mm from the post's face to a foot angle's edge on the base, and to its screws, clear of the bend's die."""
ANGLE_HIGH = 220.0
"""mm of a foot angle up the post: the higher, the farther its T-bolts stand apart."""
LOWER_BOLT, UPPER_BOLT = 52.0, 204.0
"""mm over the base of the T-bolts into the post."""
SCREW_IN = 22.0
"""mm from a foot angle's ends to its screws into the base."""
BASE_SCREW = "M8"
ANCHOR = "M10"
PAIR_APART = 60.0
"""mm between the two screws of a joint whose stiffness the survey gives: a cross joint's (rule of this
project). Two screws are two springs, so a pair's stiffness goes with the square of how far they are apart."""
FOOT_STIFFNESS = 1.0e4
"""N/mm of a levelling foot, or of an anchor with its shim, on concrete: a millimetre under a tonne (rule of
this project)."""
FREE_UNDER = 280.0
"""mm over the floor that are taken to be free under rail and bed, for a base with its foot angles and air; no
survey tells, so the fitter looks."""

SAFETY = 1.5
"""Moment that holds over moment that tips, and friction over push (common practice)."""
LEAST_TILT = 10.0
"""deg that a free stand may be knocked out of plumb without falling (IEC 60950-1, 4.1, from memory)."""
IN_HAND = 1.1
"""Times the safety that a base is sized for, as masses are estimates then (rule of this project)."""
WIDTHS = tuple(range(360, 721, 40))
"""mm; sides of a free base. Larger ones are stumbled over, and too heavy for two persons."""
AHEADS = (0, 40, 80, 120)
"""mm that the middle of a free base lies nearer to the line than the post."""
ANCHORED = (320.0, 320.0)
"""mm; sides of an anchored base: foot angles, and room beside them to drill."""


@dataclass(frozen=True)
class Base:
    """The base plate: its sides along x and y, its middle, and how far it lies over the floor."""

    width: float
    depth: float
    middle: Vec2
    gap: float
    anchored: bool
    """Anchored to the floor, or free on levelling feet."""
    thickness: float = BASE_PLATE

    @property
    def feet(self) -> tuple[Vec2, ...]:
        """x and y of feet or anchors, one a corner."""
        (x, y), along, across = self.middle, self.width / 2 - FOOT_EDGE, self.depth / 2 - FOOT_EDGE
        return tuple((x + a * along, y + b * across) for b in (-1, 1) for a in (-1, 1))

    @property
    def spans(self) -> Vec2:
        """From foot to foot along x and y."""
        return self.width - 2 * FOOT_EDGE, self.depth - 2 * FOOT_EDGE


@dataclass(frozen=True)
class Stand:
    """What holds the post of a floor stand. `clear` is the air around base and post to the nearest keepout,
    beyond what it needs; negative where something is in the way."""

    floor: float
    """z of the floor."""
    angle_thickness: float
    angle_width: float
    """Along y, with the post in its middle."""
    base: Base
    clear: float

    @property
    def top(self) -> float:
        """z of the base's upper face, on which the post stands."""
        return self.floor + self.base.gap + self.base.thickness

    @property
    def hold_z(self) -> float:
        """z of the middle of the T-bolts: above it the post bends freely."""
        return self.top + (LOWER_BOLT + UPPER_BOLT) / 2


@dataclass(frozen=True)
class FloorGive:
    """What the stiffness of a stand's foot hangs on: spans of the base along x and y, its thickness and the
    modulus of its plate."""

    spans: Vec2
    thickness: float
    e_mpa: float


def floor_of(survey: Survey) -> float:
    """z of the floor."""
    return -float(survey.line.surface_height)


def too_low(survey: Survey) -> str | None:
    """Why no stand fits beside a line; None where one does."""
    rail, height = survey.rail, float(survey.line.surface_height)
    under = height + rail.top_above_surface - rail.section.depth
    if under < FREE_UNDER:
        return f"the rail's underside lies {under:g} mm over the floor, and a stand needs {FREE_UNDER:g} mm"
    return None


def angle_width(post: float) -> float:
    """Of a foot angle, for a post of a size, mm."""
    return post + 2 * ANGLE_REACH


def anchored_base(post: Vec2) -> Base:
    """The base under a post, anchored."""
    return Base(*ANCHORED, post, SHIM_GAP, anchored=True)


def softest_base(e_mpa: float) -> Base:
    """As low as an anchored base, as soft as the softest of the free ones that are square; nowhere yet."""
    squares = [Base(side, side, (0.0, 0.0), SHIM_GAP, anchored=False) for side in WIDTHS]
    stiff = (angle_width(0.0), angle_width(0.0))
    return min(squares, key=lambda base: float(base_stiffness(give_of(base, e_mpa), stiff)[0]))


def give_of(base: Base, e_mpa: float) -> FloorGive:
    """What the stiffness of a foot on a base hangs on."""
    return FloorGive(base.spans, base.thickness, e_mpa)


def angles_mm3(post: float, angle: float) -> float:
    """Volume of both foot angles of a thickness, for a post of a size."""
    return 2 * angle_width(post) * (ANGLE_HIGH + ANGLE_LEG) * angle


@dataclass(frozen=True)
class Load:
    """A mount at one pose as a stand's foot sees it: its masses without the base, and where a hand leans; z
    from the floor."""

    masses: tuple[PointMass, ...]
    hand_at: Vec3


def free_base(post: Vec2, poses: Sequence[Load], hand: float, kg_per_mm3: float) -> Base | None:
    """The smallest base that stands by its own weight at every pose; None where it would be too large.

    Args:
        post: x and y of the post's axis.
        poses: the mount without its base.
        hand: N.
        kg_per_mm3: of the base's plate.
    """
    sizes = sorted(itertools.product(WIDTHS, WIDTHS, AHEADS), key=lambda size: (size[0] * size[1], size))
    for width, depth, ahead in sizes:
        base = Base(width, depth, (post[0], post[1] + ahead), FOOT_GAP, anchored=False)
        plate = plate_mass(base, kg_per_mm3)
        if all(_stands(base, plate, load, hand) for load in poses):
            return base
    return None


def plate_mass(base: Base, kg_per_mm3: float) -> PointMass:
    """The base plate; z from the floor."""
    kg = base.width * base.depth * base.thickness * kg_per_mm3
    return PointMass(kg, (*base.middle, base.gap + base.thickness / 2))


def _stands(base: Base, plate: PointMass, load: Load, hand: float) -> bool:
    masses = (plate, *load.masses)
    worst = least_safety(base, masses, load.hand_at, hand)
    tilt = tilt_of_tipping(Standing(masses, base.feet))
    return worst >= IN_HAND * SAFETY and tilt >= IN_HAND * LEAST_TILT


def least_safety(base: Base, masses: tuple[PointMass, ...], hand_at: Vec3, hand: float) -> float:
    """Holding over turning moment with a hand that pushes level from any side, or leans on the head.

    Source: see `tipping.tipping`.
    """
    pushed = tipping(Standing(masses, base.feet), Push(hand, hand_at[2]))
    leaning = (*masses, PointMass(hand / rules.GRAVITY, hand_at))
    return min(pushed.safety, tipping(Standing(leaning, base.feet), Push(0.0, 0.0)).safety)


def room_around(survey: Survey, base: Base, post: Box) -> float:
    """Air from base and post to the nearest keepout beyond what they need, mm."""
    (x, y), floor = base.middle, floor_of(survey)
    low = (x - base.width / 2, y - base.depth / 2, floor)
    high = (x + base.width / 2, y + base.depth / 2, floor + base.gap + base.thickness)
    gaps = [_box(keepout).gap(box) for keepout in survey.rail.keepouts for box in (Box(low, high), post)]
    return min(gaps, default=math.inf) - rules.CLEAR


def _box(keepout: Keepout) -> Box:
    low, high = zip(keepout.x, keepout.y, keepout.z, strict=True)
    return Box(low, high)


def leg_stiffness(angle: Numbers, width: Numbers, e_mpa: float) -> Numbers:
    """N/mm of a foot angle that is pulled up at its fold: a cantilever from its screws.

    Source: Roark, Table 8.1, case 1a; bent to a cylinder.
    """
    return 3 * PLATE * e_mpa * width * angle**3 / 12 / (SCREW_OUT - angle) ** 3


def base_stiffness(give: FloorGive, stiff: tuple[Numbers, Numbers]) -> tuple[Numbers, Numbers]:
    """N mm/rad of the base against a couple about x and one about y, with four feet at its corners.

    Between the lines of feet the plate is two cantilevers out of the part that the foot angles stiffen; each
    line of feet is a beam that this part loads over its own width; the feet are springs. Source: Roark,
    Table 8.1, case 1a; AISC Manual, Table 3-23, case 9.

    Args:
        give: spans and plate.
        stiff: sides of the stiffened part along x and y, mm.
    """
    ei = PLATE * give.e_mpa * give.thickness**3 / 12
    found: list[Numbers] = []
    for span, beside, inner, wide in (
        (give.spans[1], give.spans[0], stiff[1], stiff[0]),
        (give.spans[0], give.spans[1], stiff[0], stiff[1]),
    ):
        free, off = np.maximum((span - inner) / 2, 0.0), np.maximum((beside - wide) / 2, 0.0)
        cantilevers = 2 * free**3 / (3 * ei * wide)
        edges = off**2 * (3 * beside - 4 * off) / (6 * ei * (FOOT_EDGE + free))
        found.append(span**2 / (cantilevers + edges + 1 / FOOT_STIFFNESS))
    return found[0], found[1]


def bolted_stiffness(joining: Joining) -> float:
    """N mm/rad of one foot angle's two T-bolts, one above the other, against couples about x and y."""
    return joining.tslot_stiffness * ((UPPER_BOLT - LOWER_BOLT) / PAIR_APART) ** 2


def screwed_stiffness(joining: Joining, width: Numbers, leg: Numbers) -> Numbers:
    """N mm/rad of one foot angle's two screws into the base, against couples about x: their joint, then the
    two halves of the leg that they pull up, `leg` N/mm together."""
    apart = width - 2 * SCREW_IN
    joint = joining.plate_stiffness * (apart / PAIR_APART) ** 2
    return 1 / (1 / joint + 4 / (leg * apart**2))


def foot_flexibility(give: FloorGive, joining: Joining, post: Numbers, angle: Numbers) -> Three:
    """rad for each N mm about x, y and z of all that holds a post: foot angles, their joints, base and feet.

    About x both angles turn with the post, each on its bolts, its screws and its leg; about y one is pulled
    and one pressed. Against a turn about z the bolts' friction holds.
    """
    width = post + 2 * ANGLE_REACH
    leg = leg_stiffness(angle, width, give.e_mpa)
    bolted, screwed = bolted_stiffness(joining), screwed_stiffness(joining, width, leg)
    base_x, base_y = base_stiffness(give, (post + 2 * SCREW_OUT, width))
    apart = post + angle
    about_x = (1 / bolted + 1 / screwed) / 2 + 1 / base_x
    return about_x, 2 / (leg * apart**2) + 1 / base_y, 1 / (2 * bolted)
