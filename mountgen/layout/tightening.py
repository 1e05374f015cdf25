"""What a torque does to a screw of this mount: preload between a least and a greatest."""

from __future__ import annotations

from mountgen.catalogue.records import Thread
from mountgen.mechanics.bolts import bearing_mean_diameter
from mountgen.mechanics.preload import PreloadRange, preload_range
from mountgen.mechanics.preload import Thread as Tightened

FRICTIONS = (0.12, 0.18)
"""Threads and heads of zinc plated screws, dry as bought (common practice; VDI 2230-1, class B to C)."""
WRENCH_SCATTER = 0.1
"""Of a click torque wrench (common practice; VDI 2230-1, Table A8, from memory)."""


def tightened(thread: Thread) -> Tightened:
    """A screw as tightening sees it: its head, or washer, bears on the ring around the hole."""
    bearing = bearing_mean_diameter(thread.head_diameter, thread.clearance_medium)
    return Tightened(thread.diameter, thread.pitch, bearing)


def preload_of(thread: Thread, torque_nm: float) -> PreloadRange:
    """Preload that a torque gives, N. Source: see `preload.preload_range`."""
    return preload_range(torque_nm * 1000.0, tightened(thread), FRICTIONS, WRENCH_SCATTER)
