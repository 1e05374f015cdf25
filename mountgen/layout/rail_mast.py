"""The rail mast: angle on the rail's web, post, cross joint, arm, ear and tilting head bracket.

Everything is in the working view (products run to +x). The mast stands downstream of the head, so that
the photo-eye upstream of it stands alone. Along x, from the head outwards: swing plate, ear, arm, cross
plate, post, and the rail angle, whose rail leg points away from the head.

A *setting* is where one product puts the arm: its height at the cross joint and how far it is pushed
in. Layouts are plain numbers; the search compares many and keeps the lightest that is stiff enough.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from mountgen.catalogue.records import Extrusion
from mountgen.demand import Demand, Floats
from mountgen.layout import rules
from mountgen.layout.bridge import spans
from mountgen.layout.clamp import Clamp
from mountgen.layout.eye_records import EyeAcross
from mountgen.layout.head_group import HeadGroup
from mountgen.layout.stand import Stand
from mountgen.survey.records import Family, Survey


@dataclass(frozen=True)
class RailPattern:
    """The rail angle on the web: bolt columns (x) and rows (z), the leg's extent, its slots."""

    columns: tuple[float, float]
    rows: tuple[float, float]
    leg_z: tuple[float, float]
    leg_end_x: float
    slot_travel: float
    slot_width: float
    backing_hole: float
    clear: float
    """Least distance that its holes keep from axles and keepouts beyond what they need; negative
    when no free place was found."""
    flat: float
    """mm of flat that the leg finds on the web, up and down."""
    flat_needed: float
    """mm that leg and bolts need of it."""


@dataclass(frozen=True)
class RailFoot:
    """What holds the post of a mount on the rail: the rail angle, and a backing plate behind the web."""

    pattern: RailPattern
    angle_thickness: float
    backing: bool
    backing_margin: float = rules.EDGE
    """mm that the backing plate reaches past the outermost screws."""
    clamp: Clamp | None = None
    far_rail: float | None = None
    """y of the far rail's outer face where the arm is a bridge's beam to a second post there."""

    @property
    def leg_y(self) -> float:
        """y of the face that the rail angle's leg lies on."""
        return self.clamp.face_y if self.clamp else 0.0

    @property
    def clear(self) -> float:
        """Air around its holes beyond what they need, mm; negative when no free place was found."""
        return self.pattern.clear


Foot = RailFoot | Stand
"""What holds the post: one record for every way of it."""


@dataclass(frozen=True)
class EncoderPlace:
    """Where the measuring wheel runs: pivot and wheel along x, wheel's middle across, pivot's height."""

    pivot_x: float
    pivot_z: float
    wheel_x: float
    wheel_z: float
    wheel_y: float
    plate_y: float
    """The arm plate's face on the wheel's side."""

    @property
    def run(self) -> float:
        """Pivot to axle, mm."""
        return math.hypot(self.wheel_x - self.pivot_x, self.wheel_z - self.pivot_z)


@dataclass(frozen=True)
class Settings:
    """Where each product puts the arm and the head (one row a product)."""

    column_z: Floats
    pivot_y: Floats
    pivot_z: Floats
    arm_z: Floats
    tip_y: Floats
    tilt_deg: Floats

    @cached_property
    def highest(self) -> float:
        """z of the arm at its highest."""
        return float(self.arm_z.max())

    @cached_property
    def farthest(self) -> float:
        """y of the arm's tip at its farthest from the mount side."""
        return float(self.tip_y.max())


@dataclass(frozen=True)
class MastLayout:
    """The chosen mount as numbers (working view, mm)."""

    family: Family
    post: Extrusion
    arm: Extrusion
    plate: float
    foot: Foot
    head: HeadGroup
    drop: float
    post_x: float
    post_y: float
    post_bottom: float
    post_length: float
    arm_length: float
    cross_half: tuple[float, float]
    cross_bolts: tuple[float, float]
    encoder: EncoderPlace | None
    controller_z: float
    settings: Settings
    mass_kg: float
    sag: Floats
    give: Floats
    first_frequency_hz: float
    eye: EyeAcross | None = None
    """The photo-eye's own brackets, where it looks across the line."""

    @property
    def on_rail(self) -> RailFoot:
        """The foot of a mount that is fixed to the rail; TypeError for any other."""
        if not isinstance(self.foot, RailFoot):
            raise TypeError(f"a {self.family} has no rail angle")
        return self.foot

    @property
    def clamp(self) -> Clamp | None:
        """What holds the rail angle by jaws; None where it is screwed on, and without one."""
        return self.foot.clamp if isinstance(self.foot, RailFoot) else None

    @property
    def far_rail(self) -> float | None:
        """y of the far rail's outer face where a bridge's second post stands there; else None."""
        return self.foot.far_rail if isinstance(self.foot, RailFoot) else None

    @property
    def on_floor(self) -> Stand | None:
        """The foot of a mount that stands on the floor and touches nothing of the line; else None."""
        return self.foot if isinstance(self.foot, Stand) else None

    @property
    def far_post_y(self) -> float | None:
        """Middle of the far post across the line; None where there is none."""
        return None if self.far_rail is None else self.far_rail - self.post_y

    @property
    def cross_x(self) -> float:
        """Where the cross plate begins."""
        return self.head.arm_x + self.arm.size

    @property
    def angle_x(self) -> float:
        """The post's downstream face, where a rail angle's post leg begins."""
        return self.post_x + self.post.size

    def spare_up_down(self, rail_top: float) -> float:
        """Travel left on the post beyond the extreme settings, mm; `rail_top` is the rail's z."""
        arm_z = self.settings.arm_z
        above = self.post_bottom + self.post_length - self.settings.highest - self.cross_half[1]
        below = float(arm_z.min()) - self.cross_half[1] - rail_top - rules.CLEAR
        return min(above, below)

    @property
    def spare_in_out(self) -> float:
        """Arm left behind the cross joint at the innermost setting, mm; of a beam the least that is left
        beside the ear."""
        if self.far_rail is not None:
            tail, tip = self.arm_tail(0), self.settings.tip_y
            near = float(tip.min()) - self.head.ear_back - rules.PIVOT_EDGE - tail
            return min(near, tail + self.arm_length - float(tip.max()))
        joint = self.post_y - self.cross_bolts[0] - rules.TNUT_END
        return joint - (self.settings.farthest - self.arm_length)

    def arm_tail(self, product: int) -> float:
        """y of the arm's operator end at a product's setting; a beam stays where it is."""
        if self.far_rail is not None:
            return self.post_y - self.cross_bolts[0] - rules.TNUT_END - rules.SETTING_MARGIN
        return float(self.settings.tip_y[product]) - self.arm_length


def corner_products(settings: Settings) -> tuple[int, ...]:
    """The products whose settings are extreme: innermost, outermost, lowest, highest."""
    spans = (settings.pivot_y, settings.pivot_z)
    return tuple(sorted({int(pick) for span in spans for pick in (np.argmin(span), np.argmax(span))}))


def rail_out(survey: Survey) -> float:
    """How far the rail stands out towards the operator from its web's outer face."""
    return survey.rail.section.reach_out


def obstacle_under_head(survey: Survey) -> tuple[str, float]:
    """What the upright head hangs over when it is low, and z of its top: the bed, the rail, or a near
    guide that is not interrupted."""
    tops = {"bed": 0.0, "rail": float(survey.rail.top_above_surface)}
    if survey.guides is not None and survey.guides.open is None:
        tops["near guide"] = survey.guides.z[1]
    return max(tops.items(), key=lambda item: item[1])


def settings_of(survey: Survey, demand: Demand, head: HeadGroup, drop: float) -> Settings:
    """The settings of every product, each code in the middle of the column where that is possible.

    An upright head that would come too low is raised as far as the column can slide over the code.
    """
    lift = _needed_lift(survey, demand, head)
    column_z = demand.column_z + lift
    cos, sin = np.cos(np.radians(demand.tilt_deg)), np.sin(np.radians(demand.tilt_deg))
    pivot_y = demand.column_y + head.pivot_n * cos + head.pivot_u * sin
    pivot_z = column_z - head.pivot_n * sin + head.pivot_u * cos
    tip_y = pivot_y + rules.PIVOT_EDGE
    return Settings(column_z, pivot_y, pivot_z, pivot_z + drop, tip_y, demand.tilt_deg)


def lowest_column(survey: Survey, head: HeadGroup) -> float:
    """The lowest the column's middle may go when upright, with clearance to what is under the head."""
    return obstacle_under_head(survey)[1] + rules.CLEAR - head.low


def _needed_lift(survey: Survey, demand: Demand, head: HeadGroup) -> Floats:
    short = np.maximum(0.0, lowest_column(survey, head) - demand.column_z)
    upright = demand.tilt_deg < 45.0
    lift: Floats = np.where(upright, np.minimum(short, np.maximum(demand.slide, 0.0)), 0.0)
    return lift


def least_drop(survey: Survey, demand: Demand, head: HeadGroup, arm: Extrusion, half_z: float) -> float:
    """How far the arm's centre line lies above the pivot, at least.

    The swing plate must turn under the ear's screws; the arm stays clear above guides and products, and
    the cross plate above the rail.
    """
    screws = head.swing_radius + 6.0 + 3.0
    settings = settings_of(survey, demand, head, 0.0)
    lowest = float(settings.pivot_z.min())
    rail_top = survey.rail.top_above_surface
    above_rail = rail_top + rules.CLEAR + half_z + rules.SETTING_MARGIN - lowest
    over = settings.tip_y > demand.near_y - rules.PRODUCT_CLEAR
    drops = [screws, above_rail, _drop_over_products(demand, settings, arm, over | spans(survey))]
    guides = survey.guides
    reach = math.inf if spans(survey) else settings.farthest
    if guides is not None and reach > guides.near_y - guides.depth - rules.CLEAR:
        drops.append(guides.z[1] + rules.CLEAR + arm.size / 2 - lowest)
    return float(np.ceil(max(drops)))


def _drop_over_products(demand: Demand, settings: Settings, arm: Extrusion, over: NDArray[np.bool_]) -> float:
    """`over` tells at which settings the arm stands over its product."""
    need = demand.height + rules.PRODUCT_CLEAR + arm.size / 2 - settings.pivot_z
    return float(np.where(over, need, 0.0).max())
