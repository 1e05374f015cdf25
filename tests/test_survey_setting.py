"""Values set on the command line: what they reach, what is refused, and where the message says it is."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.cli import app
from mountgen.errors import SurveyError
from mountgen.survey.reader import read_survey
from mountgen.survey.records import Survey
from mountgen.survey.setting import read_settings, with_settings

CATALOGUE = Catalogue()
CARTONS = profiles_folder() / "surveys" / "seed-cartons.toml"


def read(*settings: str, path: Path = CARTONS) -> Survey:
    return read_survey(path, CATALOGUE, read_settings(settings))


def faults(*settings: str) -> list[str]:
    with pytest.raises(SurveyError) as raised:
        read(*settings)
    return [f"{fault.where}: {fault.found}" for fault in raised.value.faults]


def test_a_set_value_is_read_as_the_files_own(tmp_path):
    """The same survey with the value written into the file, but for its hash and its assumptions."""
    text = CARTONS.read_text(encoding="utf-8")
    assert 'speed = "30 m/min"' in text
    written = tmp_path / "s.toml"
    written.write_text(text.replace('speed = "30 m/min"', 'speed = "40 m/min"'), encoding="utf-8")
    there, here = read(path=written), read("line.speed=40 m/min")
    assert here.line == there.line
    assert here.products.length.tolist() == there.products.length.tolist()
    assert here.assumptions[1:] == there.assumptions
    assert (here.assumptions[0].key, here.assumptions[0].value) == ("line.speed", "40 m/min")


@pytest.mark.parametrize(
    ("setting", "value"),
    [
        ("standoff.best=[2.5, 4]", (2.5, 4.0)),
        ("standoff.best = [ 2.5 , 4.0 ]", (2.5, 4.0)),
        ('standoff.best=["2.5 mm", "4 mm"]', (2.5, 4.0)),
    ],
)
def test_lists_are_toml(setting, value):
    assert read(setting).standoff.best == value


def test_one_item_every_item_and_the_later_setting_stands():
    assert read("product[2].bulge=0.9").products.bulge.tolist() == [0.5, 0.9, 0.5, 0.5]
    assert read("product.bulge=0.9").products.bulge.tolist() == [0.9] * 4
    assert read("product.bulge=0.9", "product[1].bulge=0.2").products.bulge.tolist() == [0.2, 0.9, 0.9, 0.9]


def test_a_table_that_the_file_has_not_is_begun():
    assert read("shaking.rms=0.5 m/s2").shaking.rms_mm_per_s2 == pytest.approx(500.0)


def test_other_settings_give_another_hash():
    hashes = {read(*s).source_sha256 for s in ((), ("line.speed=30 m/min",), ("line.speed=31 m/min",))}
    assert len(hashes) == 3


def test_messages_name_the_setting():
    assert faults("line.speed=60 kg") == ["--set line.speed: line.speed is '60 kg', with the unit 'kg'"]
    assert faults("product.bulg=2") == ["--set product.bulg: unknown key 'bulg' in [product[1]]"]
    assert faults("product[9].gap=3") == ["--set product[9].gap: there is no number 9: there are 4"]
    assert faults("line.speed.x=1") == ["--set line.speed.x: it leads into a value"]
    assert faults("guides.near_y=500") == ["--set guides.near_y: guides.near_y is 500 mm"]
    assert faults("speed", "=3", "a..b=1", "line.speed=") == [
        f"--set {text}: it cannot be read" for text in ("speed", "=3", "a..b=1", "line.speed=")
    ]


def test_faults_of_the_file_keep_their_lines(tmp_path):
    broken = tmp_path / "s.toml"
    text = CARTONS.read_text(encoding="utf-8").replace('flow = "left_to_right"', 'flow = "uphill"')
    broken.write_text(text, encoding="utf-8")
    with pytest.raises(SurveyError) as raised:
        read("line.speed=60 kg", path=broken)
    line = next(k for k, row in enumerate(text.split("\n"), 1) if "uphill" in row)
    wheres = [fault.where for fault in raised.value.faults]
    assert wheres[0] == "--set line.speed"
    assert wheres[1].startswith(f"{broken}:{line}:")


def test_the_command_line_exits_2_and_prints_one_message():
    found = CliRunner().invoke(app, ["check", str(CARTONS), "--set", "line.speed=60 kg"])
    assert isinstance(found.exception, SurveyError)


@given(st.text(max_size=80))
def test_any_text_is_a_setting_or_a_fault(text):
    try:
        made = read_settings([text])
    except SurveyError as error:
        assert error.faults[0].where.startswith("--set ")
    else:
        assert made[0].steps


KEYS = st.sampled_from(
    ["line.speed", "product[1].code.size", "product.code", "rail.keepout[1].x", "name", "a.b[2].c"]
)
VALUES = st.sampled_from(["1", '"x"', "[1, 2]", "{ a = 1 }", "30 m/min", "true", "1\nname = 2"])


@given(st.lists(st.tuples(KEYS, VALUES), max_size=3))
def test_any_setting_makes_a_survey_or_faults_and_never_changes_the_document(pairs):
    text = CARTONS.read_text(encoding="utf-8")
    data = tomllib.loads(text)
    settings = [f"{key}={value}" for key, value in pairs]
    try:
        made = with_settings(data, read_settings(settings))
        assert isinstance(made, dict)
        read(*settings)
    except SurveyError as error:
        assert all(fault.where and fault.expected and fault.action for fault in error.faults)
    assert data == tomllib.loads(text)
