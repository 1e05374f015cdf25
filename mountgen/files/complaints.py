"""What is wrong with a file, by key: pydantic's findings in the words of the file.

A *complaint* is a fault that does not know its place yet; the reader adds file, line and column.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pydantic import BaseModel, ValidationError

from mountgen.files.places import KeyPath, Part
from mountgen.files.values import RefusedError
from mountgen.units import LONGEST_TEXT, UnitError, quoted

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

_TYPES = {
    "string_type": "a text in quotes",
    "int_type": "a whole number",
    "float_type": "a number",
    "list_type": "a list in brackets",
    "dict_type": "a table",
    "model_type": "a table",
    "too_short": "at least one",
}


@dataclass(frozen=True)
class Complaint:
    """One thing wrong with the value at `path`, or with the key itself."""

    path: KeyPath
    found: str
    expected: str
    action: str
    part: Part = "value"


def dotted(path: KeyPath) -> str:
    """A key path as people say it, items counted from 1: 'product[1].code.size'."""
    text = ""
    for step in path:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{step[:LONGEST_TEXT]}"
    return text.removeprefix(".")


def nearest(name: object, names: Sequence[str]) -> str | None:
    """The valid name most like what was written, if one is like it at all."""
    close = difflib.get_close_matches(str(name), names, n=1, cutoff=0.6)
    return close[0] if close else None


def validation_complaints(
    error: ValidationError, model: type[BaseModel], at: KeyPath = ()
) -> list[Complaint]:
    """Every finding of pydantic; a missing key that was only misspelt is one complaint, not two."""
    details = error.errors(include_url=False)
    misspelt = {_meant(item, model) for item in details if item["type"] == "extra_forbidden"}
    return [
        _complaint(item, model, at)
        for item in details
        if not (item["type"] == "missing" and item["loc"] in misspelt)
    ]


def _meant(item: ErrorDetails, model: type[BaseModel]) -> KeyPath | None:
    *table, key = item["loc"]
    name = nearest(key, _keys(_model_at(model, table)))
    return (*table, name) if name else None


def _complaint(item: ErrorDetails, model: type[BaseModel], at: KeyPath) -> Complaint:
    path, kind = (*at, *item["loc"]), item["type"]
    if kind == "extra_forbidden":
        return _unknown_key(path, _keys(_model_at(model, item["loc"][:-1])))
    expected = _description(model, item["loc"])
    if kind == "missing":
        return Complaint(path, f"no {_key_in_table(path)}", expected, "add it")
    cause = item.get("ctx", {}).get("error")
    if isinstance(cause, UnitError | RefusedError):
        return Complaint(path, f"{dotted(path)} is {cause.found}", cause.expected, cause.action)
    found = f"{dotted(path)} is {quoted(item['input'])}"
    if kind == "literal_error":
        return _wrong_choice(path, found, item)
    wanted = _TYPES.get(kind, item["msg"].removeprefix("Input should be "))
    return Complaint(path, found, wanted, f"write {expected}")


def _unknown_key(path: KeyPath, keys: list[str]) -> Complaint:
    meant = nearest(path[-1], keys)
    action = f"did you mean '{meant}'?" if meant else "take it out"
    return Complaint(path, f"unknown {_key_in_table(path)}", "one of " + ", ".join(keys), action, "key")


def _wrong_choice(path: KeyPath, found: str, item: ErrorDetails) -> Complaint:
    expected = item["ctx"]["expected"]
    meant = nearest(item["input"], re.findall(r"'([^']*)'", expected))
    return Complaint(path, found, expected, f"did you mean '{meant}'?" if meant else "write one of them")


def _key_in_table(path: KeyPath) -> str:
    table = dotted(path[:-1])
    return (
        f"key {quoted(path[-1])} in [{table}]" if table else f"key {quoted(path[-1])} at the top of the file"
    )


def _keys(model: type[BaseModel] | None) -> list[str]:
    return keys_of(model) if model else []


def keys_of(model: type[BaseModel]) -> list[str]:
    """The keys that a table may have, as they stand in the file."""
    return [field.alias or name for name, field in model.model_fields.items()]


def _description(model: type[BaseModel], loc: KeyPath) -> str:
    """The sentence of the key that `loc` leads to, or of the nearest one around it."""
    for end in range(len(loc), 0, -1):
        parent = _model_at(model, loc[: end - 1])
        for name, field in (parent.model_fields if parent else {}).items():
            if loc[end - 1] == (field.alias or name) and field.description:
                return field.description
    return f"a value for '{loc[-1]}'"


def _model_at(model: type[BaseModel], loc: Sequence[str | int]) -> type[BaseModel] | None:
    """The model of the table at `loc`, seen from `model`."""
    current: type[BaseModel] | None = model
    for step in loc:
        if isinstance(step, str):
            field = current.model_fields.get(step) if current else None
            current = _model_in(field.annotation) if field else None
    return current


def _model_in(annotation: object) -> type[BaseModel] | None:
    """The model inside Model, list[Model] or Model | None."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    inner = (_model_in(part) for part in getattr(annotation, "__args__", ()))
    return next((found for found in inner if found), None)
