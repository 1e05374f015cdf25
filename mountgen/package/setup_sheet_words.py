"""Words that the sections of the installer's sheet share."""

from __future__ import annotations

from collections.abc import Iterable

from mountgen.detail.records import Joint
from mountgen.package.drawing_words import plain
from mountgen.package.slope import slope_in_words
from mountgen.survey.records import Survey
from mountgen.units import TORQUE


def ids(joints: Iterable[Joint]) -> str:
    return ", ".join(joint.id for joint in joints)


def torque_text(torque_nm: float, survey: Survey) -> str:
    """A torque in N·m, for inch surveys with pound-force inches in brackets."""
    shown = f"{plain(torque_nm, 1)} N·m"
    if survey.units == "mm":
        return shown
    return f"{shown} [{torque_nm / float(TORQUE.in_base('lbf·in')):.0f} lbf·in]"


def source_letters(joints: Iterable[Joint]) -> dict[str, str]:
    """Every source of a torque with the letter that stands for it: a, b ..."""
    sources = dict.fromkeys(joint.torque_source for joint in joints if joint.torque_source)
    return {source: chr(ord("a") + i) for i, source in enumerate(sources)}


def flow_text(survey: Survey) -> str:
    """The direction of flow in words, as seen from the mount's side."""
    way = survey.line.flow.replace("_", " ")
    return f"{way}, seen from the mount's side"


def standing(survey: Survey) -> str:
    """What the post is set square to, and how."""
    slope = slope_in_words(survey)
    if not slope:
        return "Set the post plumb in both directions before the rail angle's screws get their torque."
    return (
        f"Set the post square to the bed, not plumb: {slope}. Hold a square against bed and post; a spirit "
        "level misleads here."
    )
