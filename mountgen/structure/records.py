"""What the mount does under its loads: how the nozzle moves, what the joints carry, how it swings.

Everything is in the working view. The *nozzle* is the middle of the column. A *motion* is (6,): travel along
x, y, z in mm and turn about x, y, z in rad. A *corner pose* is the setting of one of the products whose
settings are extreme. The *stand-off direction* points out of the nozzle face: (0, cos tilt, -sin tilt).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from mountgen.demand import Floats
from mountgen.geometry import Vec3

ShakeKind = Literal["steady", "measured", "bump"]


@dataclass(frozen=True)
class JointLoad:
    """What one group of screws carries at the middle of its screws, from the bracket's side to the rail's:
    N and N mm, world axes. `joints` are the ids of `detail.records.Joint`."""

    title: str
    joints: tuple[str, ...]
    at: Vec3
    force: Vec3
    couple: Vec3
    load: str
    """What causes it, such as 'weight' or 'weight and a hand pushing 50 N along the flow'."""


@dataclass(frozen=True)
class BarStress:
    """The most strained place of one member: MPa, and its share of the yield stress."""

    member: str
    stress_mpa: float
    use: float
    load: str


@dataclass(frozen=True)
class Pose:
    """One corner pose. `joint_loads` holds for every group of screws its loads under weight alone and under
    weight with a hand in each direction that it may lean; `shapes` are (modes, 6) at the nozzle, for unit
    modal mass in kg, `frequencies_hz` ascending."""

    product: int
    tilt_deg: float
    weight: Floats
    hand: Floats
    """Motion that the leaning hand adds, in the direction in which it moves the stand-off most."""
    joint_loads: tuple[JointLoad, ...]
    stresses: tuple[BarStress, ...]
    foot_force: Vec3
    """N on the rail at the middle of the rail bolts, from weight and the hand that strains the web most; on a
    stand's base in the middle of its foot angles, of the case with the largest couple."""
    foot_couple: Vec3
    frequencies_hz: Floats
    shapes: Floats

    def standoff(self, motion: Floats) -> float:
        """mm of a motion in the stand-off direction."""
        tilt = np.radians(self.tilt_deg)
        return float(motion[1] * np.cos(tilt) - motion[2] * np.sin(tilt))


@dataclass(frozen=True)
class Shake:
    """One thing that shakes the nozzle: its frequency (0 for a bump or a broad band), amplitude in the
    stand-off direction, along the flow and up the column, mm; `source` says where it comes from. A 'bump' is
    a product that meets the shoe: it comes and goes, and pushes head and product the same way."""

    name: str
    kind: ShakeKind
    frequency_hz: float
    standoff: float
    along: float
    across: float
    source: str


@dataclass(frozen=True)
class Shaking:
    """All of them, with the first frequency's distance from the nearest steady one, as a ratio above 1;
    `inf`, '' and 0 where nothing shakes steadily."""

    shakes: tuple[Shake, ...]
    separation: float
    nearest: str
    nearest_hz: float
    dot_shift: float
    """mm that a dot may land off along the flow, all lasting shakes together (root sum square)."""
    column_share: float
    """The same as a share of the column pitch."""

    @property
    def lasting(self) -> tuple[Shake, ...]:
        """What shakes all the time: everything but bumps. A product meets the shoe only where its gap is
        smaller than the shoe is proud, and is counted as out of its band for that already."""
        return tuple(shake for shake in self.shakes if shake.kind != "bump")


@dataclass(frozen=True)
class Structure:
    """The chosen mount as a frame, solved at every corner pose."""

    poses: tuple[Pose, ...]
    shaking: Shaking

    @property
    def first_frequency_hz(self) -> float:
        return min(float(pose.frequencies_hz[0]) for pose in self.poses)

    @property
    def sags(self) -> Floats:
        """mm in the stand-off direction under weight, one a corner pose."""
        return np.array([pose.standoff(pose.weight) for pose in self.poses])
