"""A survey's values as the page's fields show them, and what was set there put into the survey's text.

Fields are named as `--set` names keys. A value is shown as it would have to be typed to mean the same.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from mountgen.errors import Fault, SurveyError
from mountgen.files.complaints import dotted
from mountgen.files.places import KeyPath
from mountgen.files.text import decoded
from mountgen.files.toml import parse_toml
from mountgen.page.sent import NAME, Sent, settings_of
from mountgen.survey.reader import SURVEY
from mountgen.survey.setting import value_written, with_settings


def values_of(sent: Sent) -> dict[str, str]:
    """Every value of the survey with its settings, by key. SurveyError for what is no TOML."""
    text = decoded(NAME, sent.source, SURVEY)
    data = with_settings(parse_toml(NAME, text, SURVEY)[0], settings_of(sent))
    return {dotted(path): shown for path, shown in _values(data, ())}


def _values(value: object, path: KeyPath) -> Iterator[tuple[KeyPath, str]]:
    if isinstance(value, dict):
        for key, item in value.items():
            yield from _values(item, (*path, key))
    elif isinstance(value, list) and any(isinstance(item, dict) for item in value):
        for number, item in enumerate(value):
            yield from _values(item, (*path, number))
    else:
        yield path, typed(value)


def typed(value: object) -> str:
    """A value as it is typed: a text without its quotes, unless it would be taken for something else."""
    if isinstance(value, str) and value.strip() == value and value and value_written(value) == value:
        return value
    return str(tomlkit.item(value).as_string()) if isinstance(value, list | str) else _scalar(value)


def _scalar(value: object) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def text_with_settings(sent: Sent) -> str:
    """The survey's text with its settings in it, comments and order kept.

    SurveyError for what is no TOML, for settings that cannot be put into it, and for a text so written that
    they would not arrive.
    """
    text = decoded(NAME, sent.source, SURVEY)
    settings = settings_of(sent)
    wanted = with_settings(parse_toml(NAME, text, SURVEY)[0], settings)
    if not settings:
        return text
    try:
        changed = tomlkit.dumps(with_settings(tomlkit.parse(text), settings))
        arrived: dict[str, Any] | None = tomllib.loads(changed)
    except (TOMLKitError, tomllib.TOMLDecodeError, RecursionError, ValueError):
        changed, arrived = "", None
    if arrived == wanted:
        return changed
    found, expected = "its tables are written so that values cannot be put in", "each table in one piece"
    raise SurveyError([Fault(str(NAME), found, expected, "change the values in the text")])
