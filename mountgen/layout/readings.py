"""What is set for each product, as arrays: the scale readings, the tilt, the code's delay.

Where the scales are read, here and nowhere else: the *post scale* begins at the post's sawn lower end and is
read at the underside of the cross plate. The *arm scale* tells how far the arm's sawn operator end stands
behind the middle of the post; the middle is covered, so it is read at the cross plate's edge on the
operator's side, and the number at the arm's end is half the plate's length across the line. On a bridge the
arm scale is that of the beam: it begins at the beam's sawn far end and is read at the ear's far edge. Both
post scales begin and are read alike.
"""

from __future__ import annotations

from dataclasses import dataclass

from mountgen.demand import Demand, Floats
from mountgen.layout.rail_mast import MastLayout


@dataclass(frozen=True)
class Readings:
    """One row a product, mm and degrees. A larger post reading puts the head higher, a larger arm reading
    farther out, towards the operator."""

    names: tuple[str, ...]
    post: Floats
    arm: Floats
    tilt_deg: Floats
    delay: Floats


@dataclass(frozen=True)
class ScaleZero:
    """The number that stands at the end of a bar, and how long the bar is, mm."""

    begins_at: float
    length: float


def readings(demand: Demand, layout: MastLayout) -> Readings:
    """The readings of every product; the delay is travel from the leading edge at the beam to the code."""
    settings = layout.settings
    return Readings(
        names=demand.names,
        post=settings.arm_z - layout.cross_half[1] - layout.post_bottom,
        arm=_arm(layout),
        tilt_deg=settings.tilt_deg,
        delay=-layout.head.eye_x + demand.from_leading,
    )


def _arm(layout: MastLayout) -> Floats:
    tip = layout.settings.tip_y
    if layout.far_rail is not None:
        return layout.arm_tail(0) + layout.arm_length - tip
    return layout.post_y - (tip - layout.arm_length)


def post_zero(layout: MastLayout) -> ScaleZero:
    return ScaleZero(0.0, layout.post_length)


def arm_zero(layout: MastLayout) -> ScaleZero:
    return ScaleZero(0.0 if layout.far_rail is not None else layout.cross_half[0], layout.arm_length)
