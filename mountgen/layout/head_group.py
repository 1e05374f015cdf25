"""The head and everything that tilts with it, in the head's own frame.

Frame: origin in the middle of the nozzle column on the nozzle face; x along the flow, u up the column,
n out of the nozzle face. At a tilt of a the world sees n as (0, cos a, -sin a), u as (0, sin a, cos a).

From upstream to downstream there are: the lead-in shoe, the head, a gap, the swing plate, the ear, the
arm. The swing plate is an angle: its main flange lies in the n-u plane and turns about the *pivot*, its
device flange lies behind the head. The device flange's upstream end is the *tab*: shoe in front of it,
photo-eye arm behind it, two screws through all three.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from mountgen.catalogue.records import Head, Sensor
from mountgen.layout import rules
from mountgen.layout.eye_records import nearest_distance


@dataclass(frozen=True)
class HeadGroup:
    """Positions in the head's frame, mm. `shift` is extra length that moves the mast downstream."""

    plate: float
    bend_radius: float
    pivot_n: float
    pivot_u: float
    lock_radius: float
    pin_radius: float
    flange_low: float
    flange_high: float
    back_n: float
    swing_x: float
    tab_x: float
    foot: float
    tab_screw_x: float
    shoe_x: float
    eye_x: float
    eye_face_n: float
    eye_radius: float
    eye_u: float
    low: float
    high: float
    swing_radius: float
    carries_eye: bool = True
    """Whether the photo-eye turns with the head; `eye_x` is its beam's place wherever it stands."""

    @property
    def ear_x(self) -> float:
        """Where the ear begins."""
        return self.swing_x + self.plate

    @property
    def arm_x(self) -> float:
        """Where the arm begins."""
        return self.ear_x + self.plate

    @property
    def ear_back(self) -> float:
        """How far the ear reaches behind the pivot."""
        return self.lock_radius + rules.PIVOT_EDGE

    @property
    def upstream_x(self) -> float:
        """The most upstream point of the group."""
        return self.eye_x - rules.EYE_TRAVEL - self.eye_radius if self.carries_eye else self.tab_x


def head_group(head: Head, sensor: Sensor, plate: float, shift: float, wished_eye: float | None) -> HeadGroup:
    """The group for a head and a photo-eye with plates of one thickness."""
    radius, clear = plate * rules.BEND_RADIUS_RATIO, plate * rules.HOLE_TO_BEND
    pivot_n = -rules.PIVOT_BEHIND_FACE
    lock = min(rules.LOCK_RADIUS, head.depth + pivot_n - radius - clear - rules.LOCK_HOLE_ROOM)
    pivot_u = max(0.0, rules.PIVOT_EDGE + 1.0 - head.u_below)
    spots = [hole.at[1] for hole in head.pattern] + [pivot_u]
    low = max(min(spots) - rules.PIVOT_EDGE, -head.u_below)
    high = max(max(spots) + rules.PIVOT_EDGE, low + 40.0)
    swing_x = head.x_after + rules.HEAD_GAP + shift
    shoe_x = -head.x_before - rules.SHOE_GAP - plate
    foot = rules.TAB_EDGE + rules.TAB_HOLE_ROOM + clear
    tab_x = shoe_x - radius - foot
    eye_radius = _eye_radius(sensor)
    nearest = nearest_distance(sensor, tab_x) if sensor.looks_across else -tab_x + eye_radius
    eye_x = -_eye_distance(nearest, wished_eye)
    back_n = -head.depth
    corner = max(high - pivot_u, pivot_u - low)
    return HeadGroup(
        plate=plate,
        bend_radius=radius,
        pivot_n=pivot_n,
        pivot_u=pivot_u,
        lock_radius=lock,
        pin_radius=round(lock / 2, 1),
        flange_low=low,
        flange_high=high,
        back_n=back_n,
        swing_x=swing_x,
        tab_x=tab_x,
        foot=foot,
        tab_screw_x=tab_x + rules.TAB_EDGE,
        shoe_x=shoe_x,
        eye_x=eye_x,
        eye_face_n=back_n + _eye_lead(sensor),
        eye_radius=eye_radius,
        eye_u=max(0.0, eye_radius + low),
        low=min(-head.u_below, -head.print_height / 2 - 2.0),
        high=max(head.u_above, high),
        swing_radius=math.hypot(back_n - plate - pivot_n, corner),
        carries_eye=not sensor.looks_across,
    )


def _eye_distance(nearest: float, wished: float | None) -> float:
    """The wished distance, or the typical one, but never so near that the eye meets the tab."""
    return max(nearest, rules.TYPICAL_EYE_DISTANCE if wished is None else wished)


def _eye_radius(sensor: Sensor) -> float:
    """Half the space that the eye takes on its arm: its nut, or the holes of a flat eye with their edge."""
    spread = max((abs(hole.at[1]) for hole in sensor.pattern), default=0.0) + rules.FLAT_EYE_EDGE
    return max(sensor.nut_outer / 2, sensor.diameter / 2 + 5.0, sensor.height / 2, spread) + 1.0


def _eye_lead(sensor: Sensor) -> float:
    """How far the eye's face stands in front of the device flange's plane: past its nut, or, for a flat
    eye, so far that its fixing holes are clear of the tab's bend."""
    return sensor.nut_thickness + 4.0 if sensor.body == "barrel" else sensor.length + 8.0
