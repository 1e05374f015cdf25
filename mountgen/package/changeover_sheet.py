"""What `changeover.pdf` says: cautions, how to change over, and one line in large type for each setting."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mountgen.package.changeover import TABLE, Changeover
from mountgen.package.changeover_groups import Group, in_day_order, moves, total_travel
from mountgen.package.drawing_words import plain
from mountgen.package.mount_words import words_of
from mountgen.package.scale_strip import zero_words
from mountgen.package.svg_text import displayable
from mountgen.package.typeset import typeset
from mountgen.survey.records import Survey
from mountgen.units import System, format_length

MOST_LINES = 120
"""Lines on the sheet; the table holds them all."""
MOST_NAMES = 6
"""Products named in one line."""
PAPERS: dict[System, str] = {"mm": "a4", "in": "us-letter"}

CAUTIONS = (
    "Stop the line and lock it out before you reach in. Try to start it before you trust the lock.",
    "The line owner's procedure goes before this sheet.",
)
STEPS = (
    "Disable the trigger. Lock the line out.",
    "Enter sensor distance and code delay. Check the stand-off with a gauge.",
    "Remove the lock by the owner's procedure, enable the trigger, read a test print.",
)


def changeover_pdf(plan: Changeover) -> bytes:
    return typeset("changeover.typ", changeover_data(plan))


def changeover_data(plan: Changeover) -> dict[str, object]:
    """Everything on the sheet as text the fonts can show, ready to be set."""
    survey, groups, told = plan.survey, plan.groups, words_of(plan.survey)
    scale = f"{told.arm.capitalize()} scale"
    return {
        "title": displayable(f"Changeover: {survey.name}"),
        "issued": displayable(plan.issued),
        "paper": PAPERS[survey.units],
        "note": displayable(plan.note),
        "cautions": (*CAUTIONS[:1], told.drops, told.pinch, *CAUTIONS[1:]),
        "steps": (*STEPS[:1], told.up_and_down, told.across, *STEPS[1:]),
        "scales": zero_words(plan),
        "standoff": f"Stand-off, nozzle plate to product: {_target(survey)}.",
        "heads": ("", "Product", "Post scale", scale, "Tilt stop", "Sensor", "Code delay", "Move"),
        "tables": [*_day_table(plan), _table(plan, "Every product", _listed(plan), groups)],
        "more": _more(plan),
    }


def _target(survey: Survey) -> str:
    return format_length(survey.standoff.target, survey.units)


def _day_table(plan: Changeover) -> Iterator[dict[str, object]]:
    if plan.survey.day_order:
        stops = in_day_order(plan.groups, plan.readings.names, plan.survey.day_order)
        groups = [group for group, _ in stops]
        yield _table(plan, "Order of the day", [displayable(names) for _, names in stops], groups)


def _table(
    plan: Changeover, heading: str, names: Sequence[str], groups: Sequence[Group]
) -> dict[str, object]:
    """Total movement counts all lines, printed or not."""
    total = format_length(total_travel(groups), plan.survey.units, 0)
    told = f"{heading}: total movement {total}, from the first line to the last"
    shown = zip(groups[:MOST_LINES], names, moves(groups[:MOST_LINES]), strict=False)
    rows = [_row(plan, group, name, move) for group, name, move in shown]
    return {"heading": told, "rows": rows}


def _listed(plan: Changeover) -> list[str]:
    """The products of each line; of many the first."""
    return [displayable(_names(plan, group)) for group in plan.groups[:MOST_LINES]]


def _names(plan: Changeover, group: Group) -> str:
    named = [plan.readings.names[row] for row in group.rows[:MOST_NAMES].tolist()]
    left = len(group.rows) - len(named)
    return ", ".join(named) + (f" and {left} more" if left else "")


def _row(plan: Changeover, group: Group, names: str, move: tuple[float, float, float] | None) -> list[str]:
    units = plan.survey.units
    return [
        group.mark,
        names,
        format_length(group.post, units),
        format_length(group.arm, units),
        f"{plain(group.tilt_deg, 1)}°",
        format_length(plan.sensor, units),
        format_length(group.delay, units),
        _move_words(move, plan.survey),
    ]


def _move_words(move: tuple[float, float, float] | None, survey: Survey) -> str:
    """What is moved, and which way; '–' where only the controller's number changes or nothing that a person
    could set."""
    if move is None:
        return ""
    post, arm, tilt = move
    least, told = survey.standoff.setting / 2, []
    if abs(post) > least:
        told.append(f"{'up' if post > 0 else 'down'} {format_length(abs(post), survey.units)}")
    if abs(arm) > least:
        told.append(f"{'out' if arm > 0 else 'in'} {format_length(abs(arm), survey.units)}")
    if tilt:
        told.append("tilt")
    return ", ".join(told) or "–"


def _more(plan: Changeover) -> str:
    """What is not on the sheet."""
    lines, count = len(plan.groups) - MOST_LINES, len(plan.readings.names)
    hidden = f"{lines} more lines stand in {TABLE} alone. " if lines > 0 else ""
    return f"{hidden}All {count} products, one a row: {TABLE}." if count > 1 else ""
