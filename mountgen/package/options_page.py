"""`options.html`: every family of mount beside the others on one page that needs nothing but itself.

Looks like the feasibility page. Every text of a user is escaped.
"""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from pathlib import Path

from mountgen.options.records import FamilyOptions, Mount, Options
from mountgen.package.drawing_words import plain
from mountgen.package.feasibility import STYLE, sentence
from mountgen.package.options_chart import AGAINST, chart, shape_path
from mountgen.package.options_text import (
    GOAL_WORDS,
    HEADS,
    STATUS_WORDS,
    figures_told,
    made_of,
    missing,
    notes,
)

OWN_STYLE = Path(__file__).parent / "templates" / "options.css"
CLASSES = {"works": "pass", "not allowed": "caution", "fails": "fail", "unfit": "fail"}


def options_page(options: Options) -> str:
    """The whole page as text."""
    name = escape(options.name)
    style = STYLE.read_text(encoding="utf-8") + OWN_STYLE.read_text(encoding="utf-8")
    body = (_head(options), _table(options), _charts(options), _missing(options), _footer(options))
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>Options: {name}</title>\n<style>\n{style}</style>\n</head>\n"
        f"<body>\n<main>\n{''.join(body)}</main>\n</body>\n</html>\n"
    )


def _head(options: Options) -> str:
    works = [one.title for one in options.families if one.status == "works"]
    headline = f"{len(works)} of {len(options.families)} ways to mount it work"
    told = sentence(f"as surveyed: {', '.join(works)}") if works else "None works as surveyed."
    return (
        f'<header class="{"pass" if works else "fail"}">\n'
        f"<p>Print-head mount for {escape(options.name)}</p>\n"
        f"<h1>{escape(headline)}</h1>\n<p>{escape(told)}</p>\n</header>\n"
    )


def _table(options: Options) -> str:
    """The best mounts of each family; left out where nothing works."""
    rows = "".join(_row(family, mount, options) for family in options.families for mount in family.mounts)
    if not rows:
        return ""
    heads = "".join(f'<th scope="col">{sentence(head, end="")}</th>' for head in HEADS)
    table = f'<table class="options">\n<thead><tr>{heads}</tr></thead>\n<tbody>\n{rows}</tbody>\n</table>'
    told = "".join(f"<li>{escape(sentence(note))}</li>\n" for note in notes(options))
    return _section("The best of each family", f'<div class="wide">{table}</div>\n<ul>\n{told}</ul>\n')


def _row(family: FamilyOptions, mount: Mount, options: Options) -> str:
    goals = sentence(", ".join(GOAL_WORDS[goal] for goal in mount.goals), end="")
    verdict = mount.verdict if family.status == "works" else "not allowed"
    told = (*figures_told(mount.figures, options), verdict)
    cells = "".join(
        f'<td data-name="{sentence(head, end="")}">{escape(cell)}</td>'
        for head, cell in zip(HEADS[2:], told, strict=True)
    )
    made = f'{escape(goals)}<span class="made">{escape(made_of(mount, options.units))}</span>'
    best = f'<td class="best" data-name="Best by"><span>{made}</span></td>'
    return f'<tr><th scope="row">{escape(family.title)}</th>{best}{cells}</tr>\n'


def _charts(options: Options) -> str:
    drawn = "".join(chart(options.families, against, options.currency) for against in AGAINST)
    if not drawn:
        return ""
    off = max(100 * max(one.estimate_off for one in options.families), 0.1)
    told = (
        "<p>Large marks are mounts worked out in full, with every check. Faint ones are other candidates "
        "that pass the search's quick checks, by quick estimates; a full check may still refuse them. Quick "
        f"costs were within {plain(off, 1)} % of the full ones. The dashed line joins those that no other "
        "beats in both figures.</p>\n"
    )
    return _section("Cost against stiffness, mass and time", told + _legend(options) + drawn)


def _legend(options: Options) -> str:
    items = "".join(
        f'<li><svg viewBox="0 0 16 16" aria-hidden="true"><path class="family-{at}" '
        f'd="{shape_path(at, (8.0, 8.0), 6.0)}"/></svg>{escape(family.title)}</li>'
        for at, family in enumerate(options.families)
        if family.mounts
    )
    return f'<ul class="legend">{items}</ul>\n'


def _missing(options: Options) -> str:
    parts = "".join(_lacking(family, options) for family in options.families if family.status != "works")
    return _section("What the others lack", parts) if parts else ""


def _lacking(family: FamilyOptions, options: Options) -> str:
    head = f"{sentence(family.title, end='')}, held {family.held}"
    word = f'<span class="word">{STATUS_WORDS[family.status]}</span>'
    title = f'<h3 class="{CLASSES[family.status]}">{escape(head)}: {word}</h3>\n'
    return title + "".join(_paragraphs(list(missing(family, options.units))))


def _paragraphs(lines: list[str]) -> Iterator[str]:
    """Sentences as paragraphs, changes ('- ...') as a list."""
    yield from (f"<p>{escape(line)}</p>\n" for line in lines if not line.startswith("- "))
    changes = [line.removeprefix("- ") for line in lines if line.startswith("- ")]
    if changes:
        yield f"<ul>\n{''.join(f'<li>{escape(change)}</li>' for change in changes)}</ul>\n"


def _footer(options: Options) -> str:
    return (
        f"<footer><p>Made by mountgen from survey {options.survey_sha256[:8]}. Estimates for planning: local "
        "codes, the line owner's rules and licensed practice come first.</p></footer>\n"
    )


def _section(title: str, content: str) -> str:
    return f"<section>\n<h2>{title}</h2>\n{content}</section>\n"
