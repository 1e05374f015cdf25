"""The command line: answers, exit codes, and what a person sees when the survey is wrong."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from conftest import CARTONS, EXAMPLES, SURVEYS

FEASIBLE, NOT_FEASIBLE, BAD_INPUT = 0, 1, 2
TOO_TALL = (("height = 320", "height = 2600"), ("above_base = 150", "above_base = 2400"))
DOWNWARD_ONLY = "tilt_min_deg = 90"

HEAVY = ("OCP", "cadquery", "ezdxf", "typst")
"""What `check` has no use for and would wait for."""


def subprocess_run(*arguments, environment=None, **options):
    command = [sys.executable, "-c", "from mountgen.start import main; main()", *map(str, arguments)]
    everything = os.environ | (environment or {})
    return subprocess.run(command, capture_output=True, env=everything, check=False, timeout=60, **options)


TOLD = {}


@pytest.fixture
def tall(run, variant):
    """What is told of products higher than any post; looked at once, for its advice takes many studies."""

    def told(*flags):
        if flags not in TOLD:
            TOLD[flags] = run("check", variant(*TOO_TALL), *flags)
        return TOLD[flags]

    return told


@pytest.mark.parametrize("example", EXAMPLES)
def test_examples_are_feasible(run, example):
    outcome = run("check", SURVEYS / f"{example}.toml")
    assert outcome.code == FEASIBLE
    assert outcome.err == ""
    assert outcome.out.startswith(f"{example}: feasible")
    assert "reach_up_down" in outcome.out


def test_assumed_values_are_listed(run):
    assert "line.bed_from_y = 7.5 mm" in run("check", CARTONS).out.partition("assumed, not measured:")[2]


MORE_KEYS = ("products", "product_list")


def test_json_has_the_promised_keys(run):
    outcome = run("check", CARTONS, "--json")
    report = json.loads(outcome.out)
    assert outcome.code == FEASIBLE
    assert list(report) == [
        "schema",
        "name",
        "verdict",
        "checks",
        "remedies",
        "remedies_together",
        "holding",
        "layout",
        "setup",
        *MORE_KEYS,
        "assumptions",
    ]
    assert (report["schema"], report["name"], report["verdict"]) == (1, "seed-cartons", "feasible")


def test_json_checks_and_settings_have_the_promised_keys(run):
    report = json.loads(run("check", CARTONS, "--json").out)
    wanted = {"id", "title", "verdict", "value", "limit", "unit", "margin", "source", "remedy"}
    assert all(set(check) == wanted for check in report["checks"])
    setup = report["setup"]
    assert {"sensor_to_nozzle_mm", "encoder_divider", "resolution_dpi", "flow", "speed_m_per_min"} <= set(
        setup
    )
    product_keys = {"delay_mm", "post_scale_mm", "arm_scale_mm", "tilt_deg", "standoff_mm"}
    assert [p["product"] for p in setup["products"]] == ["carton S", "carton M", "carton L", "carton XL"]
    assert all(product_keys <= set(product) for product in setup["products"])


@pytest.mark.xdist_group("too tall")
def test_text_and_json_tell_the_same_verdict_and_checks(tall):
    text, report = tall(), json.loads(tall("--json").out)
    assert report["verdict"] == "not feasible"
    assert "NOT FEASIBLE" in text.out
    for check in report["checks"]:
        mark = {"pass": "ok", "caution": "TIGHT", "fail": "FAIL"}[check["verdict"]]
        assert any(line.split()[:2] == [mark, check["id"]] for line in text.out.splitlines())


@pytest.mark.xdist_group("too tall")
def test_products_higher_than_any_post_get_a_full_report(tall):
    outcome = tall("--json")
    checks = {check["id"]: check for check in json.loads(outcome.out)["checks"]}
    reach = checks["reach_up_down"]
    assert outcome.code == NOT_FEASIBLE
    assert reach["verdict"] == "fail"
    assert reach["value"] > reach["limit"]
    assert any(character.isdigit() for character in reach["remedy"].replace(repr("carton XL"), ""))
    assert {"standoff_worst", "first_frequency", "sensor_range", "column_rate"} <= set(checks)


@pytest.mark.xdist_group("too tall")
def test_every_check_that_is_no_pass_has_a_remedy_with_a_number(tall):
    report = json.loads(tall("--json").out)
    for check in report["checks"]:
        assert (check["remedy"] == "") == (check["verdict"] == "pass")
        assert check["verdict"] == "pass" or any(character.isdigit() for character in check["remedy"])


def test_a_head_that_does_not_allow_the_pose_is_a_result_not_an_error(run, monkeypatch, tmp_path):
    profiles = _profiles_with(tmp_path, "tilt_min_deg = 0", DOWNWARD_ONLY)
    monkeypatch.setattr("mountgen.catalogue.reader.profiles_folder", lambda: profiles)
    wider = tmp_path / "wider.toml"  # the deepest head needs 4 mm more between the guides
    wider.write_text(
        CARTONS.read_text(encoding="utf-8").replace("open = [-76,", "open = [-80,"), encoding="utf-8"
    )
    outcome = run("check", wider, "--json")
    checks = {check["id"]: check for check in json.loads(outcome.out)["checks"]}
    assert outcome.code == NOT_FEASIBLE
    assert (checks["pose_allowed"]["verdict"], checks["pose_allowed"]["value"]) == ("fail", 0.0)
    assert checks["pose_allowed"]["limit"] == 90.0
    assert checks["pose_allowed"]["remedy"].startswith("take another print head: ")
    assert len(checks) > 15


def _profiles_with(tmp_path: Path, old: str, new: str) -> Path:
    profiles = tmp_path / "profiles"
    shutil.copytree(SURVEYS.parent, profiles)
    head = profiles / "devices/heads/head-50.toml"
    text = head.read_text(encoding="utf-8")
    assert old in text
    head.write_text(text.replace(old, new), encoding="utf-8")
    return profiles


FAULTS = {
    "broken TOML": ('flow = "left_to_right"', 'flow = "left_to_right', ["survey.toml:8", "not TOML"]),
    "unknown key": ("slope_deg = 0", "slop_deg = 0", ["survey.toml:16", "slop_deg", "slope_deg"]),
    "wrong unit": ('"30 m/min"', '"30 kg"', ["survey.toml:9", "kg", "m/min"]),
    "negative size": ("length = 280", "length = -280", ["survey.toml:51", "-280"]),
    "absurd size": ("length = 280", "length = 1e12", ["survey.toml:51", "absurd"]),
    "not a number": ("length = 280", "length = nan", ["survey.toml:51"]),
    "product wider than the line": ("width = 190", "width = 900", ["survey.toml", "carton S", "900"]),
    "unknown device": ('"head-50"', '"head-51"', ["survey.toml:120", "head-51", "head-50"]),
    "unknown rail": (
        '"channel-formed-120x40x2.5"',
        '"channel-120"',
        ["channel-120", "channel-formed-120x40"],
    ),
    "name that is a path": ('name = "seed-cartons"', 'name = "../seed"', ["survey.toml:4", "../seed"]),
    "no products": ("[[product]]", "[[ware]]", ["survey.toml", "product"]),
}


@pytest.mark.parametrize("command", ["check", "build"])
@pytest.mark.parametrize("fault", FAULTS)
def test_a_wrong_survey_ends_with_its_faults(run, variant, monkeypatch, tmp_path, command, fault):
    old, new, told = FAULTS[fault]
    survey = variant((old, new))
    monkeypatch.chdir(tmp_path)
    outcome = run(command, survey)
    assert outcome.code == BAD_INPUT
    assert outcome.out == ""
    assert all(word in outcome.err for word in told)
    assert "expected" in outcome.err
    assert "Traceback" not in outcome.err
    assert list(tmp_path.iterdir()) == [survey]


def test_every_fault_of_a_survey_is_told_at_once(run, variant):
    changes = [("length = 280", "length = -280"), ('"head-50"', '"head-51"'), ('"30 m/min"', '"30 kg"')]
    told = run("check", variant(*changes)).err
    assert all(line in told for line in ("survey.toml:9:", "survey.toml:51:", "survey.toml:120:"))


@pytest.mark.parametrize("arguments", [["check"], ["chek", CARTONS], ["check", CARTONS, "--jsn"], []])
def test_wrong_usage_is_bad_input(run, arguments):
    assert run(*arguments).code == BAD_INPUT


def test_no_such_file(run, tmp_path):
    outcome = run("check", tmp_path / "none.toml")
    assert outcome.code == BAD_INPUT
    assert "no such file" in outcome.err


def test_a_folder_for_a_survey(run, tmp_path):
    outcome = run("check", tmp_path)
    assert outcome.code == BAD_INPUT
    assert "folder" in outcome.err


def test_bytes_that_are_no_text(run, tmp_path):
    survey = tmp_path / "survey.toml"
    survey.write_bytes(CARTONS.read_bytes().replace(b"carton S", b"cart\xf6n S"))
    outcome = run("check", survey)
    assert outcome.code == BAD_INPUT
    assert "UTF-8" in outcome.err


def test_help_needs_no_survey(run):
    outcome = run("--help")
    assert outcome.code == FEASIBLE
    assert "check" in outcome.out
    assert "build" in outcome.out


def test_exit_codes_of_the_process(variant, tmp_path):
    good, tall = subprocess_run("check", CARTONS), subprocess_run("check", variant(*TOO_TALL))
    bad = subprocess_run("check", tmp_path / "none.toml")
    assert [done.returncode for done in (good, tall, bad)] == [FEASIBLE, NOT_FEASIBLE, BAD_INPUT]
    assert [done.stderr for done in (good, tall)] == [b"", b""]
    assert bad.stdout == b""


def test_check_loads_no_kernel_and_no_writers():
    script = (
        "import sys\nfrom mountgen.cli import run\n"
        f"sys.argv = ['mountgen', 'check', {str(CARTONS)!r}]\n"
        "try:\n    run()\nexcept SystemExit:\n    pass\n"
        f"print([name for name in sys.modules if name.partition('.')[0] in {HEAVY!r}])\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_names_outside_ascii_reach_a_plain_terminal(variant):
    survey = variant(('"carton S"', '"Käfer → 種"'))
    plain = {"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    text = subprocess_run("check", survey, environment=plain)
    report = subprocess_run("check", survey, "--json", environment=plain)
    assert [text.returncode, report.returncode] == [FEASIBLE, FEASIBLE]
    assert text.stderr + report.stderr == b""
    assert json.loads(report.stdout)["setup"]["products"][0]["product"] == "Käfer → 種"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs the device that is always full")
def test_an_answer_that_cannot_be_printed_is_no_verdict():
    with Path("/dev/full").open("wb") as full:
        command = [sys.executable, "-c", "from mountgen.cli import main; main()", "check", str(CARTONS)]
        done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, check=False)
    assert done.returncode == BAD_INPUT
    assert b"Traceback" not in done.stderr
    assert b"standard output" in done.stderr


def test_the_same_survey_gives_the_same_answer(run):
    assert run("check", CARTONS, "--json").out == run("check", CARTONS, "--json").out
