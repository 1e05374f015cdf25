"""Surveys to start from: the packing hall's lines and the commented starters."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from mountgen.survey.starter import starter_survey


@dataclass(frozen=True)
class Starter:
    """One survey to start from: what it is called in the page, what it is about, its text."""

    id: str
    title: str
    about: str
    text: str


def starters(profiles: Path) -> tuple[Starter, ...]:
    """The empty-handed ones first, then the surveys that come with the profiles."""
    return (*_blank(), *_surveys(profiles / "surveys"))


def _blank() -> Iterator[Starter]:
    yield Starter(
        "carton-side",
        "Carton, printed on the side",
        "A new survey in millimetres: cartons over rollers, the code on the near side. Invented numbers.",
        starter_survey("near_side", "mm"),
    )
    yield Starter(
        "sack-top",
        "Sack, printed on top",
        "A new survey in millimetres: sacks on a belt, printed from above. Invented numbers.",
        starter_survey("top", "mm"),
    )
    yield Starter(
        "carton-side-inch",
        "Carton, printed on the side, in inches",
        "A new survey in inches: cartons over rollers, the code on the near side. Invented numbers.",
        starter_survey("near_side", "in"),
    )


def _surveys(folder: Path) -> Iterator[Starter]:
    """The surveys of the invented packing hall, told by their own first comment."""
    for path in sorted(folder.glob("*.toml")):
        text = path.read_text(encoding="utf-8")
        name = str(tomllib.loads(text)["name"])
        comment = [line.lstrip("# ") for line in text.splitlines() if line.startswith("# ")][:1]
        yield Starter(path.stem, name.replace("-", " ").capitalize(), " ".join(comment), text)
