"""The far rail as the person who drills it sees it: standing behind the line, looking back at it."""

from __future__ import annotations

from dataclasses import replace

from mountgen.detail.records import FAR_RAIL, Detail, RailHole
from mountgen.survey.records import Flow, Keepout, Survey

TURNED: dict[Flow, Flow] = {"left_to_right": "right_to_left", "right_to_left": "left_to_right"}


def seen_from_behind(survey: Survey) -> Survey:
    """The site after half a turn about the upright axis: what was far is near, right is left. What lies on
    the near half of the line is no mark on the far rail and stays out."""
    line, rail, far = survey.line, survey.rail, survey.rail.far_rail_at
    return replace(
        survey,
        line=replace(line, flow=TURNED[line.flow], first_roller_at=-line.first_roller_at),
        rail=replace(
            rail,
            free_from=-rail.free_to,
            free_to=-rail.free_from,
            keepouts=tuple(_turned(one, far) for one in rail.keepouts if one.y[1] > far / 2),
        ),
    )


def _turned(keepout: Keepout, far: float) -> Keepout:
    (x0, x1), (y0, y1) = keepout.x, keepout.y
    return replace(keepout, x=(-x1, -x0), y=(far - y1, far - y0))


def near_holes(detail: Detail) -> tuple[RailHole, ...]:
    """The holes of the rail at the mount side."""
    return tuple(hole for hole in detail.rail_holes if hole.rail != FAR_RAIL)


def far_holes(detail: Detail) -> tuple[RailHole, ...]:
    """The holes of the far rail, x as it is seen from behind the line."""
    return tuple(replace(hole, x=-hole.x) for hole in detail.rail_holes if hole.rail == FAR_RAIL)
