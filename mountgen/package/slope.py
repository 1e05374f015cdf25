"""What documents say of a line whose bed is not level: everything is measured along and square to the bed."""

from __future__ import annotations

from mountgen.package.drawing_words import plain
from mountgen.survey.records import Survey


def slope_in_words(survey: Survey) -> str:
    """'the bed rises 3° in the direction of flow'; '' for a level one."""
    slope = survey.line.slope_deg
    if not slope:
        return ""
    way = "rises" if slope > 0 else "falls"
    return f"the bed {way} {plain(abs(slope), 1)}° in the direction of flow"
