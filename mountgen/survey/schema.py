"""The survey's keys as a JSON Schema, for editors that complete and check TOML while one types.

It is made from the tables that the reader itself uses. It knows keys and kinds of values; what a length
may be, and what must fit together, only the reader knows.

    python -m mountgen.survey.schema > profiles/survey.schema.json
"""

from __future__ import annotations

import json
import sys
from typing import Any

from mountgen.catalogue.records import Controller, Encoder, Head, Record, Sensor
from mountgen.survey.devices import LENGTH_KEYS, QUANTITY_KEYS
from mountgen.survey.raw import RawSurvey

Schema = dict[str, Any]

DEVICES: dict[str, type[Record]] = {
    "head": Head,
    "sensor": Sensor,
    "encoder": Encoder,
    "controller": Controller,
}
_QUANTITY: Schema = {"anyOf": [{"type": "number"}, {"type": "string"}]}
_ENDINGS = (*QUANTITY_KEYS, "_deg")


def survey_schema() -> Schema:
    """The JSON Schema (draft 2020-12) of a survey file."""
    schema = RawSurvey.model_json_schema(mode="validation")
    definitions: Schema = schema["$defs"]
    for part, record in DEVICES.items():
        definitions |= _device_definitions(record)
        _name_device(schema, part, record.__name__)
    definitions.pop("RawDevice")
    definitions["RawRail"]["oneOf"] = [{"required": ["profile"]}, {"required": ["file"]}]
    schema["anyOf"] = [{"required": ["product"]}, {"required": ["products"]}]
    for name, table in definitions.items():
        table["title"] = name.removeprefix("Raw")
    head = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Survey of a conveyor, for mountgen",
        "description": "Lengths are numbers in the survey's units, or texts with a unit.",
    }
    return {**head, **{key: _without_null(value) for key, value in schema.items() if key not in head}}


def schema_text() -> str:
    """The schema as the text of its file."""
    return json.dumps(survey_schema(), indent=2, ensure_ascii=False) + "\n"


def _without_null(value: object) -> object:
    """The schema without null, which TOML does not have: a key is given or left out."""
    if isinstance(value, list):
        return [_without_null(item) for item in value if item != {"type": "null"}]
    if not isinstance(value, dict):
        return value
    kept = {key: _without_null(item) for key, item in value.items() if (key, item) != ("default", None)}
    options = kept.get("anyOf")
    if not isinstance(options, list) or len(options) != 1:
        return kept
    return {**options[0], **{key: item for key, item in kept.items() if key != "anyOf"}}


def _device_definitions(record: type[Record]) -> Schema:
    """A device's own table and the tables in it; `name` and `source` may be left out."""
    schema = record.model_json_schema(mode="validation")
    inner: Schema = schema.pop("$defs", {})
    schema["required"] = [key for key in schema["required"] if key not in ("name", "source")]
    schema["description"] = (
        f"A {record.__name__.lower()} of one's own, instead of a name of profiles/devices."
    )
    return {name: _with_units(table) for name, table in {record.__name__: schema, **inner}.items()}


def _with_units(table: Schema) -> Schema:
    """The table with texts allowed for every quantity."""
    properties = {key: _with_unit(key, value) for key, value in table["properties"].items()}
    return {**table, "properties": properties}


def _with_unit(key: str, value: Schema) -> Schema:
    if not (key in LENGTH_KEYS or key.endswith(_ENDINGS)):
        return value
    title = {"title": value["title"]}
    if value.get("type") == "array":
        return {**title, "type": "array", "items": _QUANTITY, "minItems": 2, "maxItems": 2}
    return {**title, **_QUANTITY}


def _name_device(schema: Schema, part: str, record: str) -> None:
    """Lets the table `part` hold a name or the device's own table."""
    definitions: Schema = schema["$defs"]
    source = definitions[f"Raw{record}" if part in ("sensor", "head") else "RawDevice"]
    device = {key: value for key, value in source["properties"]["device"].items() if key != "anyOf"}
    device["anyOf"] = [{"type": "string"}, {"$ref": f"#/$defs/{record}"}]
    name = f"Raw{record}"
    definitions[name] = {**source, "title": name, "properties": {**source["properties"], "device": device}}
    described = schema["properties"][part]["description"]
    schema["properties"][part] = {"$ref": f"#/$defs/{name}", "description": described}


if __name__ == "__main__":
    sys.stdout.write(schema_text())
