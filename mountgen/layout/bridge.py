"""The bridge: a rail mast on each side rail, and a beam from post to post in place of the arm.

The far rail is taken to be the near one mirrored in the middle of the line. Both cross joints go up and down
together; the beam stays where it is across the line, and the ear slides along it.
"""

from __future__ import annotations

from mountgen.catalogue.records import Extrusion
from mountgen.geometry import Box
from mountgen.layout import rules
from mountgen.survey.records import Survey

FIXED_END_LEVER = 4 / 27
"""Largest couple at a clamped end of a beam over force and length, the force at a third of it (Roark,
Table 8.1, case 1d)."""


def spans(survey: Survey) -> bool:
    """Whether the mount of this survey stands on both rails."""
    return survey.family == "bridge"


def feet(survey: Survey) -> int:
    """Posts with all that holds them."""
    return 2 if spans(survey) else 1


def both_sides(survey: Survey, box: Box) -> tuple[Box, ...]:
    """The box, and on a bridge its mirror image on the far side."""
    if not spans(survey):
        return (box,)
    far = survey.rail.far_rail_at
    low, high = box.low, box.high
    return box, Box((low[0], far - high[1], low[2]), (high[0], far - low[1], high[2]))


def overhang(post: Extrusion, beside: float) -> float:
    """mm from a post's middle to the beam's end: past the outer T-nut, and so much more that rails which are
    farther apart than surveyed still find the beam under their cross plates.

    Args:
        post: its section.
        beside: mm from a bar's side to the bolt beside it.
    """
    return post.size / 2 + beside + rules.TNUT_END + rules.SETTING_MARGIN


def longest_arm(survey: Survey) -> float:
    """mm that arm or beam may be long."""
    return rules.LONGEST_BEAM if spans(survey) else rules.LONGEST_ARM
