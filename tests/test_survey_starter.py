"""The starter survey: right, feasible, and every key explained by the letter of the printed form."""

import re
import tomllib

import pytest
from shops import SHOP

from mountgen.catalogue.reader import Catalogue
from mountgen.study import study
from mountgen.survey.asked import BY_KEY, LINE, PRODUCT
from mountgen.survey.raw import RawSurvey
from mountgen.survey.reader import read_survey
from mountgen.survey.starter import starter_survey

KINDS = [(pose, units) for pose in ("near_side", "top") for units in ("mm", "in")]


@pytest.mark.parametrize(("pose", "units"), KINDS)
def test_a_starter_is_feasible(tmp_path, pose, units):
    path = tmp_path / "new.toml"
    path.write_text(starter_survey(pose, units), encoding="utf-8")
    catalogue = Catalogue()
    survey = read_survey(path, catalogue)
    assert {product.code.face for product in survey.products} == {pose}
    assert survey.units == units
    assert study(survey, catalogue, SHOP).verdict == "feasible"
    assert {note.key for note in survey.assumptions} <= {
        *("product.clearance_height", "rail.supports_apart", "shaking", "joining", "work"),
    }


@pytest.mark.parametrize(("pose", "units"), KINDS)
def test_every_letter_of_the_form_stands_beside_its_key(pose, units):
    text = starter_survey(pose, units)
    table, seen = "", set()
    for line in text.splitlines():
        if header := re.match(r"(?:# )?\[+([a-z.]+)\]", line):
            table = header[1]
        if key := re.match(r"(?:# )?([a-z_]+) = .*# ([A-Za-z])  ", line):
            assert BY_KEY[f"{table}.{key[1]}"].letter == key[2]
            seen.add(key[2])
    assert seen == {asked.letter for asked in BY_KEY.values()} - {"T"}
    assert "\n# T  things in the way" in text
    assert all(len(line) <= 110 for line in text.splitlines())


def test_letters_are_told_apart():
    letters = [asked.letter for asked in (*LINE, *PRODUCT)]
    assert len(set(letters)) == len(letters)
    assert not set("IOilo") & set(letters)
    assert all(asked.letter.isupper() for asked in LINE)
    assert all(asked.letter.islower() for asked in PRODUCT)


@pytest.mark.parametrize(("pose", "units"), KINDS)
def test_what_is_commented_out_can_be_put_in(pose, units):
    """Every key that is commented out is a key of the reader's, with a value that it takes."""
    text = re.sub(r"^# (?=\[|[a-z_]+ = )", "", starter_survey(pose, units), flags=re.MULTILINE)
    raw = RawSurvey.model_validate(tomllib.loads(text), context={"units": units})
    assert raw.guides is not None
    assert raw.line.roller_diameter is not None
    assert raw.product[0].clearance_height is not None
    assert raw.product[0].code.below_top is not None
    assert raw.product[0].mass is not None
    assert raw.line.drive_speed is not None
    assert raw.rail.supports_apart is not None
    for table in (raw.joining, raw.work):
        assert all(value is not None for _, value in table)
    assert all(value is not None for key, value in raw.shaking if key != "spectrum")


def keys_of_lengths(model, path=""):
    for name, field in model.model_fields.items():
        inner = [part for part in getattr(field.annotation, "__args__", (field.annotation,)) if part]
        tables = [part for part in inner if hasattr(part, "model_fields")]
        for table in tables:
            yield from keys_of_lengths(table, f"{path}{name}.")
        if not tables:
            yield f"{path}{name}"


def test_the_form_asks_for_every_measured_key():
    """What is chosen at a desk, or is no size, needs no letter."""
    chosen = (
        "schema_",
        "name",
        "revision",
        "day_order",
        "units",
        "line.flow",
        "line.surface",
        "line.environment",
        "rail.opens",
    )
    chosen += ("rail.attach", "product.name", "product.against", "product.code.face")
    chosen += ("line.chain_pitch", "line.drive_speed", "mount.family")
    unmeasured = ("shaking.", "joining.", "work.")
    elsewhere = ("standoff.", "head.", "sensor.", "encoder.", "controller.", "products.", "rail.keepout.")
    drawing = ("rail.file", "rail.units", "rail.loop", "rail.layer")
    keys = {key for key in keys_of_lengths(RawSurvey) if not key.startswith((*elsewhere, *unmeasured))}
    assert keys - {*chosen, *drawing} == set(BY_KEY) - {"rail.keepout"}
