"""The numbers of a photo-eye that looks across the line, and of its two brackets."""

from __future__ import annotations

from dataclasses import dataclass

from mountgen.catalogue.records import Sensor
from mountgen.layout import rules
from mountgen.layout.fold import first_column, leg_edge
from mountgen.layout.play import LegSlots

SHEET = rules.AUXILIARY
NUT_ROOM = 1.0
"""mm from the eye's nut to its flange's edge or bend."""
PITCH = 30.0
"""mm between the two screws of a bracket's foot."""
REFLECTOR_EDGE = 9.0
"""mm; a reflector's screw to its flange's edge: 1.5 widths of a slot for M4, and air."""
WASHER = 12.0
"""mm; an M6 washer (ISO 7089)."""


@dataclass(frozen=True)
class Window:
    """Where the beam's middle may run, z of the working view; empty when high is under low."""

    low: float
    high: float

    @property
    def room(self) -> float:
        return self.high - self.low


@dataclass(frozen=True)
class EyeBracket:
    """One bracket in its own frame (mm). `foot` is +1 where the foot lies to the right of the leg, else -1.

    `clear` is what its foot keeps from axles, keepouts and the web's radii beyond what it needs; negative
    when no free place was found."""

    beam_x: float
    half: float
    """Half the height of the flange that carries its unit, and half of what the unit takes along the line."""
    side_x: float
    foot: int
    row: float
    clear: float

    @property
    def screws(self) -> tuple[float, float]:
        """x of the two screws, the one beside the leg first."""
        first = first_column(SHEET, WASHER)
        if self.foot > 0:
            return self.side_x + SHEET + first, self.side_x + SHEET + first + PITCH
        return self.side_x - first, self.side_x - first - PITCH


@dataclass(frozen=True)
class EyeAcross:
    """The beam (y is the working view's, z its height) and the two brackets."""

    beam_x: float
    beam_z: float
    window: Window
    near: EyeBracket
    far: EyeBracket
    slots: LegSlots
    stand_out: float
    """mm from the web's outer face to where the leg rises."""
    near_face: float
    far_face: float
    """y of the two faces that the beam runs between."""

    @property
    def distance(self) -> float:
        return self.far_face - self.near_face

    @property
    def foot_half(self) -> float:
        """Half the height of a foot."""
        return self.slots.travel / 2 + self.edge

    @property
    def edge(self) -> float:
        """A screw's middle to the foot's edge."""
        return leg_edge(SHEET, self.slots.edge)


def near_half(sensor: Sensor) -> float:
    """Half of what the eye takes of its flange, up and down and along the line."""
    return max(sensor.nut_outer / 2, sensor.diameter / 2 + 5.0) + NUT_ROOM


def far_half(sensor: Sensor) -> float:
    """The same of the reflector, or of the receiver."""
    reflector = sensor.reflector
    if reflector is None:
        return near_half(sensor)
    reach = max(abs(hole.at[1]) for hole in reflector.pattern) + REFLECTOR_EDGE
    return max(reach, reflector.height / 2, reflector.width / 2)


def nearest_distance(sensor: Sensor, tab_x: float) -> float:
    """The least distance from the beam to the nozzles, at which the bracket is clear of the head's tab."""
    return -tab_x + rules.CLEAR + near_half(sensor) + rules.EYE_TRAVEL / 2
