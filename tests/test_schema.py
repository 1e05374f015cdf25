"""The schema that ships with the surveys, judged by a library that knows nothing of ours."""

import json
import tomllib

import jsonschema
import pytest

from mountgen.catalogue.reader import profiles_folder
from mountgen.survey.schema import schema_text

SHIPPED = profiles_folder() / "survey.schema.json"
EXAMPLES = sorted((profiles_folder() / "surveys").glob("*.toml"))
CARTONS = (profiles_folder() / "surveys" / "seed-cartons.toml").read_text(encoding="utf-8")
EYE = 'device = "eye-m18-diffuse"'


@pytest.fixture(scope="module")
def validator():
    schema = json.loads(SHIPPED.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def test_the_shipped_schema_is_current():
    hint = "python -m mountgen.survey.schema > profiles/survey.schema.json"
    assert SHIPPED.read_text(encoding="utf-8") == schema_text(), hint


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_examples_are_valid_and_name_the_schema(path, validator):
    text = path.read_text(encoding="utf-8")
    validator.validate(tomllib.loads(text))
    first = text.splitlines()[0]
    assert first == "#:schema ../survey.schema.json"
    assert (path.parent / first.split()[1]).resolve() == SHIPPED.resolve()


@pytest.mark.parametrize("kind", ["heads", "sensors", "encoders", "controllers"])
def test_every_device_may_stand_in_a_survey(kind, validator):
    for path in (profiles_folder() / "devices" / kind).glob("*.toml"):
        survey = tomllib.loads(CARTONS)
        survey[kind.removesuffix("s")] = {"device": tomllib.loads(path.read_text(encoding="utf-8"))}
        validator.validate(survey)


@pytest.mark.parametrize(
    ("old", "new", "at"),
    [
        ("flow = ", "flwo = ", ["line"]),
        ('"left_to_right"', '"left"', ["line", "flow"]),
        ("size = [80, 12]", "size = [80]", ["product", 0, "code", "size"]),
        ("roller_pitch = 75", "roller_pitch = true", ["line", "roller_pitch"]),
        ('profile = "channel-formed-120x40x2.5"', "", ["rail"]),
        ("schema = 1", "schema = 2", ["schema"]),
        (EYE, "device = { body = 1 }", ["sensor", "device"]),
        (EYE, f"{EYE}\nrange = 5", ["sensor"]),
        ("[encoder]", "[products]\n[encoder]", ["products"]),
    ],
)
def test_what_the_schema_refuses(old, new, at, validator):
    assert old in CARTONS
    errors = list(validator.iter_errors(tomllib.loads(CARTONS.replace(old, new, 1))))
    assert at in [list(error.absolute_path) for error in errors]


def test_units_are_texts_and_every_key_is_described(validator):
    schema = validator.schema
    for name, table in {"": schema, **schema["$defs"]}.items():
        for key, value in table["properties"].items():
            assert "title" in value or "$ref" in value, (name, key)
            assert "description" in value or not name.startswith("Raw"), (name, key)
