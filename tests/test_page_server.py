"""The page's server tells what the command line tells, and where something is wrong."""

from __future__ import annotations

import base64
import json
import os
import signal
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from page_server import SURVEYS, served, survey_text, written
from starlette.testclient import TestClient
from typer.testing import CliRunner

from mountgen.cli import app
from mountgen.page.sent import Sent
from mountgen.page.values import text_with_settings, typed, values_of
from mountgen.survey.setting import read_settings, value_written, with_settings

CARTONS = survey_text("seed-cartons")
LIST = "name;length;width;height\nbox A;400 mm;300 mm;200 mm\nbox B;380 mm;280 mm;180 mm\n"
"""Flat boxes that run straight."""


@pytest.fixture(scope="module")
def client() -> Iterator[TestClient]:
    with served() as asked:
        yield asked


def printed(path: Path, *arguments: str) -> str:
    """What `check --json` prints."""
    return CliRunner().invoke(app, ["check", str(path), "--json", *arguments]).stdout


def as_printed(report: object) -> str:
    return json.dumps(report, indent=2, ensure_ascii=False) + "\n"


@pytest.mark.parametrize(
    ("name", "settings"),
    [
        ("seed-cartons", {}),
        ("compost-sacks", {"line.speed": "25 m/min", "product[2].skew_deg": "0.4"}),
        ("seed-trays-inch", {"guides.depth": "3/4 in"}),
    ],
)
def test_a_check_has_the_digits_of_the_command_line(client, name, settings):
    text = survey_text(name)
    answer = client.post("/api/check", json={"text": text, "settings": settings})
    asked = [part for key, value in settings.items() for part in ("--set", f"{key}={value}")]
    assert answer.status_code == 200
    assert as_printed(answer.json()["report"]) == printed(SURVEYS / f"{name}.toml", *asked)


def test_advice_has_the_digits_of_the_command_line(client):
    settings = {"line.speed": "60 m/min"}
    quick = client.post("/api/check", json={"text": CARTONS, "settings": settings}).json()
    whole = client.post("/api/advice", json={"text": CARTONS, "settings": settings}).json()
    assert (quick["advised"], whole["advised"]) == (False, True)
    assert quick["report"]["remedies"] == []
    assert as_printed(whole["report"]) == printed(
        SURVEYS / "seed-cartons.toml", "--set", "line.speed=60 m/min"
    )
    assert whole["told"]["headline"] == "Not feasible as surveyed"
    assert whole["told"]["changes"]


def test_the_answer_is_told_and_drawn(client):
    answer = client.post("/api/check", json={"text": CARTONS}).json()
    assert answer["told"]["headline"] == "Feasible"
    assert len(answer["told"]["tightest"]) == 3
    assert len(answer["histogram"]["edges"]) == len(answer["histogram"]["shares"]) + 1
    assert sum(answer["histogram"]["shares"]) == pytest.approx(1.0, abs=1e-4)  # shares are rounded
    low, high = answer["reach"]["z"]
    assert all(low <= one["z"] <= high for one in answer["reach"]["products"])


def test_a_fault_has_its_key_and_line(client):
    text = CARTONS.replace('speed = "30 m/min"', 'speed = "30 m/mim"')
    answer = client.post("/api/check", json={"text": text})
    line = text[: text.index("m/mim")].count("\n") + 1
    assert answer.status_code == 422
    assert [(one["key"], one["line"]) for one in answer.json()["faults"]] == [("line.speed", line)]


def test_a_fault_of_a_setting_has_its_key(client):
    settings = {"product[2].bulge": "much", "line.speed": "fast"}
    faults = client.post("/api/check", json={"text": CARTONS, "settings": settings}).json()["faults"]
    assert {(one["key"], one["line"]) for one in faults} == {("product[2].bulge", None), ("line.speed", None)}


def test_settings_that_lead_nowhere_have_their_key(client):
    settings = {"product[99].bulge": "2", "name.short": "x"}
    faults = client.post("/api/check", json={"text": CARTONS, "settings": settings}).json()["faults"]
    assert [one["key"] for one in faults] == list(settings)


def test_files_that_come_with_a_survey_are_read(client, tmp_path):
    text = listed_survey('file = "list.csv"')
    files = {"list.csv": base64.b64encode(LIST.encode()).decode()}
    answer = client.post("/api/check", json={"text": text, "files": files})
    written(tmp_path, "list.csv", LIST)
    assert answer.status_code == 200, answer.text
    assert as_printed(answer.json()["report"]) == printed(written(tmp_path, "survey.toml", text))


def listed_survey(file: str) -> str:
    """The cartons with their products in a list."""
    data = tomllib.loads(CARTONS)
    code = data["product"][0]["code"]
    head = CARTONS[: CARTONS.index("[[product]]")]
    tail = CARTONS[CARTONS.index("[standoff]") :]
    values = "\n".join(f"{key} = {json.dumps(value)}" for key, value in code.items())
    gap = json.dumps(data["product"][0]["gap"])
    return f"{head}[products]\n{file}\ngap = {gap}\nbulge = 0.2\n[products.code]\n{values}\n\n{tail}"


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("rail.file", "/etc/passwd"),
        ("rail.file", "../../etc/passwd"),
        ("shaking.spectrum", "/proc/self/environ"),
    ],
)
def test_a_survey_names_no_file_of_this_machine(client, key, value):
    faults = client.post("/api/check", json={"text": CARTONS, "settings": {key: value}}).json()["faults"]
    told = [one for one in faults if one["key"] == key]
    assert any("did not come with the survey" in one["found"] for one in told)
    assert all("root:" not in str(one) and "dxf" not in one["found"].lower() for one in told)


def test_a_list_is_read_from_no_other_folder(client):
    answer = client.post("/api/check", json={"text": listed_survey('file = "/etc/hosts"')})
    assert [one["key"] for one in answer.json()["faults"]] == ["products.file"]
    assert "did not come with the survey" in answer.json()["faults"][0]["found"]


@pytest.mark.parametrize("name", ["../list.csv", "/list.csv", "a/b", "a\\b", "..", "", "x\0y", "C:x"])
def test_a_file_has_a_plain_name(client, name):
    answer = client.post("/api/check", json={"text": CARTONS, "files": {name: "YQ=="}})
    assert answer.status_code == 422
    assert "cannot be called" in answer.json()["faults"][0]["found"]


def test_faults_of_files_tell_no_folder(client):
    text, files = listed_survey('file = "list.csv"'), {"list.csv": base64.b64encode(b"\x00\x01").decode()}
    answer = client.post("/api/check", json={"text": text, "files": files})
    assert answer.status_code == 422
    assert "mountgen-" not in answer.text
    assert answer.json()["faults"][0]["where"].startswith("list.csv")


def test_settings_go_into_the_text_with_its_comments(client):
    settings = {"line.speed": "25 m/min", "product[2].bulge": "2", "shaking.damping": "0.02"}
    text = client.post("/api/survey", json={"text": CARTONS, "settings": settings}).json()["text"]
    wanted = with_settings(
        tomllib.loads(CARTONS), read_settings(f"{key}={value}" for key, value in settings.items())
    )
    assert tomllib.loads(text) == wanted
    comments = [line[line.index("#") :] for line in CARTONS.splitlines() if "#" in line]
    assert comments
    assert [line for line in comments if line not in text] == []


def test_no_setting_leaves_the_text_as_it_is():
    assert text_with_settings(Sent(text=CARTONS)) == CARTONS


@pytest.mark.parametrize("name", ["seed-cartons", "compost-sacks", "seed-trays-inch"])
def test_values_put_back_mean_the_same(name):
    text = survey_text(name)
    values = values_of(Sent(text=text))
    again = with_settings(tomllib.loads(text), read_settings(f"{k}={v}" for k, v in values.items()))
    assert again == tomllib.loads(text)


@pytest.mark.parametrize(
    "value", ["30 m/min", "3", "true", " a", "", '"', "it's", "[1, 2]", 3, 0.5, True, [1, "2 in"]]
)
def test_a_typed_value_is_read_as_itself(value):
    assert value_written(typed(value)) == value


def test_a_worker_that_is_killed_is_replaced(client):
    for process in list(client.app.state.workers.processes):
        os.kill(process, signal.SIGKILL)
    answer = client.post("/api/check", json={"text": CARTONS})
    assert answer.status_code == 200


def test_more_than_the_queue_holds_is_refused_at_once(client):
    workers = client.app.state.workers
    room, workers.room = workers.room, 0
    try:
        answer = client.post("/api/check", json={"text": CARTONS})
    finally:
        workers.room = room
    assert answer.status_code == 503
    assert answer.headers["retry-after"] == "1"
    assert "ask again" in answer.json()["faults"][0]["action"]


def test_starters_are_surveys(client):
    offered = client.get("/api/starters").json()
    assert len({one["id"] for one in offered}) == len(offered) >= 5
    for one in offered:
        assert tomllib.loads(one["text"])["schema"] == 1
        assert one["title"]
        assert one["about"].endswith(".")


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"[]",
        b'{"text": 1}',
        b'{"text": "", "more": 1}',
        b'{"text": "x = 1", "settings": {"a": 1}}',
        b'{"text": "\\ud800"}',
        b'{"text": "a = ' + b"[" * 5000 + b'"}',
    ],
)
def test_a_request_that_is_none_is_a_fault(client, body):
    answer = client.post("/api/check", content=body, headers={"content-type": "application/json"})
    assert answer.status_code == 422
    assert answer.json()["faults"]


@pytest.mark.campaign
def test_options_have_the_digits_of_the_command_line(client):
    """A campaign for its time: every family is worked out twice."""
    answer = client.post("/api/options", json={"text": CARTONS, "settings": {}})
    path = str(SURVEYS / "seed-cartons.toml")
    assert as_printed(answer.json()["report"]) == CliRunner().invoke(app, ["options", path, "--json"]).stdout
    by_title = {one["title"]: one for one in answer.json()["options"]}
    assert by_title["rail mast"]["settings"] == {"mount.family": "rail_mast"}
    assert by_title["slot-rail mast"]["settings"] == {}
    assert by_title["slot-rail mast"]["missing"]
