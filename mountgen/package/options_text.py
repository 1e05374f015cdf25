"""The options on a terminal: a row for every best mount, then what the other families lack."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.options.records import FamilyOptions, Figures, Goal, Mount, Options
from mountgen.package.feasibility import in_words, sentence
from mountgen.package.report import SCHEMA, Json, plain
from mountgen.units import System, format_length

GOAL_WORDS: dict[Goal, str] = {
    "cost": "cheapest",
    "mass": "lightest",
    "stiffness": "stiffest",
    "install": "quickest to install",
    "drilling": "least drilling",
}
HEADS = ("family", "best by", "cost", "mass", "first frequency", "give", "install", "holes", "verdict")
STATUS_WORDS = {
    "works": "works",
    "not allowed": "works, but is not allowed",
    "fails": "does not work",
    "unfit": "does not fit this line",
}


def options_text(options: Options) -> str:
    """The whole answer."""
    return "\n".join(_lines(options)) + "\n"


def options_report(options: Options) -> dict[str, Json]:
    """What `options --json` prints."""
    told = plain(options)
    assert isinstance(told, dict)
    return {"schema": SCHEMA, "feasible": options.feasible, **told}


def _lines(options: Options) -> Iterator[str]:
    works = sum(one.status == "works" for one in options.families)
    yield f"{options.name}: {works} of {len(options.families)} families work as surveyed"
    yield ""
    rows = [row for family in options.families for row in _rows(family, options)]
    if rows:
        yield from _table([HEADS, *rows])
        yield ""
        yield from notes(options)
    for family in options.families:
        if family.status != "works":
            yield ""
            yield f"{family.title}: {STATUS_WORDS[family.status]}"
            yield from (f"      {line}" for line in missing(family, options.units))


def _rows(family: FamilyOptions, options: Options) -> Iterator[tuple[str, ...]]:
    for mount in family.mounts:
        verdict = mount.verdict if family.status == "works" else "not allowed"
        goals = ", ".join(GOAL_WORDS[goal] for goal in mount.goals)
        yield (family.title, goals, *figures_told(mount.figures, options), verdict)


def _table(rows: list[tuple[str, ...]]) -> Iterator[str]:
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    for row in rows:
        yield "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()


def figures_told(figures: Figures, options: Options) -> tuple[str, ...]:
    """Cost, mass, first frequency, give, time to install and holes as people read them."""
    return (
        f"{figures.cost:.0f} {options.currency}",
        f"{figures.mass_kg:.1f} kg",
        f"{figures.frequency_hz:.1f} Hz",
        format_length(figures.give_mm, options.units, 2),
        f"{figures.install_s / 60:.0f} min",
        str(figures.holes),
    )


def made_of(mount: Mount, units: System) -> str:
    """Sections, lengths and thicknesses in one line."""
    post, arm, plate, angle = (
        format_length(value, units, 0)
        for value in (mount.post_length, mount.arm_length, mount.plate, mount.angle_thickness)
    )
    return f"post {mount.post}, {post}; arm {mount.arm}, {arm}; plates {plate}, rail angle {angle}"


def notes(options: Options) -> Iterator[str]:
    """What the figures stand for."""
    yield f"cost: made by the shop, without devices and work on the line ({options.source})"
    if options.unpriced:
        yield f"not in the cost, for the shop has no price: {', '.join(options.unpriced)}"
    yield "install: drilling, mounting and tightening on the line, by times that are rules of this project"


def missing(family: FamilyOptions, units: System) -> Iterator[str]:
    """Why a family cannot be taken and what would change that, a sentence each."""
    if family.why:
        yield sentence(family.why)
    if family.leave:
        yield (
            f'It works once the line\'s owner allows "{family.leave}" (rail.attach).'
            if family.mounts
            else (f'The line\'s owner does not allow "{family.leave}" (rail.attach) either.')
        )
    if family.binding is not None:
        yield sentence(f"{family.binding.title}: {in_words(family.binding, units)}")
    if family.said:
        yield f"{sentence(family.said, end='')}{':' if family.changes else '.'}"
    yield from (f"- {sentence(change)}" for change in family.changes)
