"""From a folder of surveys to jobs, and those that cannot be one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from mountgen.errors import Fault, SurveyError
from mountgen.fleet.keys import common_key, survey_key, toml_of
from mountgen.fleet.records import Job, Outcome


def surveys_in(folder: Path) -> list[Path]:
    """Every survey of a folder and the folders in it, in the order of their paths; hidden ones left out.

    A TOML file counts as a survey when it has a table [line], or when it is no TOML at all: then its reader
    says so. SurveyError where there is no folder or no survey.
    """
    if not folder.is_dir():
        raise _nothing(folder, "there is no such folder")
    inside = (path for path in sorted(folder.rglob("*.toml")) if not _is_hidden(path.relative_to(folder)))
    found = [path for path in inside if path.is_file() and _is_survey(path)]
    if not found:
        raise _nothing(folder, "no survey is in it")
    return found


def _nothing(folder: Path, found: str) -> SurveyError:
    return SurveyError([Fault(str(folder), found, "a folder of surveys", "check the path")])


def _is_hidden(path: Path) -> bool:
    return any(part.startswith(".") for part in path.parts)


def _is_survey(path: Path) -> bool:
    data = toml_of(path)
    return data is None or "line" in data


def jobs_for(
    folder: Path, surveys: Sequence[Path], profiles: Path, shop: Path, out: Path | None
) -> tuple[list[Job], list[Outcome]]:
    """One job a survey; and outcomes for those whose package would take the place of another's."""
    common = common_key(profiles, shop, build=out is not None)
    jobs: list[Job] = []
    refused: list[Outcome] = []
    names: dict[str, str] = {}
    for path in surveys:
        label, key = path.relative_to(folder).as_posix(), survey_key(path, common)
        name = _name(path)
        if out is not None and name is not None and name in names:
            message = f"its name {name!r} is also that of {names[name]}: give each line a name of its own"
            refused.append(Outcome(label, key, name, "bad input", messages=(message,)))
            continue
        if name is not None:
            names[name] = label
        jobs.append(Job(str(path), label, key, str(shop), "" if out is None else str(out)))
    return jobs, refused


def _name(path: Path) -> str | None:
    """The survey's own name, which is its package's; None where it cannot be read."""
    name = (toml_of(path) or {}).get("name")
    return name if isinstance(name, str) else None


def as_faults(outcomes: Sequence[Outcome]) -> Iterator[str]:
    """What is told on the terminal of surveys that came to no verdict."""
    for one in outcomes:
        if one.state in ("bad input", "failed"):
            first, *more = one.messages
            yield f"{one.label}: {one.state}: {first}{f' (and {len(more)} more)' if more else ''}"
