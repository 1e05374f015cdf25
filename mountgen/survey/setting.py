"""Values of a survey that are set for one run, over what its file says: `line.speed=40 m/min`.

A *setting* names a key as messages name it, items counted from 1 (`product[2].bulge`); a list without a
number means every item of it (`product.bulge`). What is no TOML value is taken as a text.
"""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from mountgen.errors import Fault, SurveyError
from mountgen.files.complaints import Complaint, dotted
from mountgen.files.places import KeyPath
from mountgen.survey.records import Assumption

LONGEST = 2_000
"""Characters of a setting."""
_STEP = re.compile(r"([A-Za-z_][A-Za-z0-9_]*)((?:\[[1-9]\d{0,5}\])*)")
_EXPECTED = "KEY=VALUE, such as line.speed=40 m/min or product[2].bulge=2"


@dataclass(frozen=True)
class Setting:
    """One key with its value, as it was written on the command line."""

    key: str
    steps: KeyPath
    written: str
    value: object

    @property
    def where(self) -> str:
        return f"--set {self.key}"

    def covers(self, path: KeyPath) -> bool:
        """Whether a path of the document lies at or under this key; a list's items count as the list."""
        left = list(path)
        for step in self.steps:
            while left and isinstance(left[0], int) and not isinstance(step, int):
                left.pop(0)
            if not left or left.pop(0) != step:
                return False
        return True


def read_settings(texts: Iterable[str]) -> tuple[Setting, ...]:
    """The settings of a command line. Raises SurveyError with every one that cannot be read."""
    made: list[Setting] = []
    faults: list[Fault] = []
    for text in texts:
        key, equals, written = (part.strip() for part in text.partition("="))
        steps = _steps(key)
        if not equals or not written or steps is None or len(text) > LONGEST:
            shown = text if len(text) <= 60 else f"{text[:60]}..."
            faults.append(Fault(f"--set {shown}", "it cannot be read", _EXPECTED, "write key, =, value", key))
        else:
            made.append(Setting(key, steps, written, value_written(written)))
    if faults:
        raise SurveyError(faults)
    return tuple(made)


def _steps(key: str) -> KeyPath | None:
    """The key's way from the top of the document; None for what is no key."""
    path: list[str | int] = []
    for part in key.split("."):
        match = _STEP.fullmatch(part)
        if match is None:
            return None
        path.append(match[1])
        path += [int(number) - 1 for number in re.findall(r"\d+", match[2])]
    return tuple(path)


def value_written(written: str) -> object:
    """A TOML value where it is one, else the text itself."""
    try:
        found = tomllib.loads(f"value = {written}")
    except (tomllib.TOMLDecodeError, ValueError, RecursionError):
        return written
    return found["value"] if set(found) == {"value"} else written


def with_settings(data: dict[str, Any], settings: Sequence[Setting]) -> dict[str, Any]:
    """A copy of the document with the settings in it, later ones over earlier ones.

    Raises SurveyError where a key leads into a value, or an item is not there.
    """
    changed = copy.deepcopy(data)
    faults = [fault for setting in settings for fault in _put(changed, setting, setting.steps)]
    if faults:
        raise SurveyError(faults)
    return changed


def _put(place: object, setting: Setting, steps: KeyPath) -> list[Fault]:
    first, rest = steps[0], steps[1:]
    if isinstance(place, list):
        return _put_in_items(place, setting, steps)
    if not (isinstance(place, dict) and isinstance(first, str)):
        expected, action = "a key of a table", "name the table's key"
        return [Fault(setting.where, "it leads into a value", expected, action, setting.key)]
    if not rest:
        place[first] = setting.value
        return []
    return _put(place.setdefault(first, [] if isinstance(rest[0], int) else {}), setting, rest)


def _put_in_items(items: list[object], setting: Setting, steps: KeyPath) -> list[Fault]:
    """Into the item that is numbered, or into each of them."""
    first, rest = steps[0], steps[1:]
    if isinstance(first, str):
        return [fault for item in items for fault in _put(item, setting, steps)]
    if first >= len(items):
        found = f"there is no number {first + 1}: there are {len(items)}"
        return [Fault(setting.where, found, "the number of one that is there", "count from 1", setting.key)]
    if not rest:
        items[first] = setting.value
        return []
    return _put(items[first], setting, rest)


def setting_faults(
    complaints: Sequence[Complaint], settings: Sequence[Setting]
) -> tuple[list[Fault], list[Complaint]]:
    """Complaints about what was set, as faults of the setting, each told once; and the others."""
    faults: dict[tuple[str, str], Fault] = {}
    others: list[Complaint] = []
    for one in complaints:
        setting = next((s for s in reversed(settings) if s.covers(one.path)), None)
        if setting is None:
            others.append(one)
        else:
            fault = Fault(setting.where, one.found, one.expected, one.action, dotted(one.path))
            faults.setdefault((fault.where, fault.expected), fault)
    return list(faults.values()), others


def as_assumptions(settings: Sequence[Setting]) -> tuple[Assumption, ...]:
    """What documents say of values that are not the file's."""
    reason = "set for this run on the command line, over what the file says"
    return tuple(Assumption(setting.key, setting.written, reason) for setting in settings)
