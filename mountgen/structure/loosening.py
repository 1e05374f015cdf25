"""What keeps a group of screws from coming loose: words for the installer (common practice).

Screws come loose when their joint slips to and fro (Junker), and lose preload as faces and paint settle in
the first day. So a group that is near to slipping gets something that holds by itself; one that people loosen
at every changeover gets nothing that would have to be renewed.
"""

from __future__ import annotations

from mountgen.structure.joint_strength import JointMargins

NEAR_SLIP = 1.0
"""Slip margin below which a screw is locked: less than twice the preload that it needs."""
BY_HAND = frozenset(
    {
        "cross plate to post",
        "cross plate to arm",
        "far cross plate to far post",
        "ear to beam",
        "pivot and tilt lock",
    }
)
"""Groups that are loosened to set the mount for another product."""

SETTLES = "Tighten again after 24 h of running; mark with paint."
EACH_TIME = "No locking compound: it is loosened to adjust. Torque wrench each time; mark with paint."
RIBBED = "Ribbed (wedge-lock) washers under the heads, which stand being loosened; torque wrench each time."
LOCKED = (
    "Wedge-lock washers, or medium-strength thread locker. Tighten again after 24 h where there is no locker."
)
PREVAILING = "Prevailing-torque nuts (ISO 7040), or wedge-lock washers. Tighten again after 24 h of running."


def loosening_advice(joint: JointMargins) -> str:
    """One line for the set-up sheet."""
    is_near = joint.slip.margin < NEAR_SLIP
    if joint.title in BY_HAND:
        return RIBBED if is_near else EACH_TIME
    if not is_near:
        return SETTLES
    return PREVAILING if joint.end == "nut" else LOCKED
