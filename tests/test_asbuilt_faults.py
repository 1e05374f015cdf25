"""What a file of measured values may not hold, each with its line; and the command line around it."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from as_built_samples import Truth, gaps, measured
from changeover_samples import studied
from conftest import CARTONS, SURVEYS
from pypdf import PdfReader

from mountgen.asbuilt.reader import read_measured
from mountgen.errors import MeasuredError

SENSOR = '[sensor]\ndistance = "58.3 mm"\n'
TOO_TALL = (("height = 320", "height = 2600"), ("above_base = 150", "above_base = 2400"))


def faults(text: str, tmp_path: Path, example: str = "seed-cartons"):
    """Line of each fault, what was found and what to do; the file's first line is `schema = 1`."""
    with pytest.raises(MeasuredError) as refused:
        measured(text, tmp_path, example)
    path = str(tmp_path / "measured.toml")
    assert all(fault.where.startswith(f"{path}:") for fault in refused.value.faults)
    return [(int(f.where.split(":")[1]), f.found, f.action) for f in refused.value.faults]


@pytest.mark.parametrize(
    ("text", "line", "found", "action"),
    [
        ("", 1, "nothing was measured", "add what was measured"),
        ("[scales]\n", 1, "nothing was measured", "add what was measured"),
        (
            '[scales]\npost_zer = "1 mm"\n',
            3,
            "unknown key 'post_zer' in [scales]",
            "did you mean 'post_zero'?",
        ),
        ("[sensr]\n", 2, "unknown key 'sensr' at the top of the file", "did you mean 'sensor'?"),
        ('[sensor]\ndistance = "58.3 kg"\n', 3, "sensor.distance is '58.3 kg'", None),
        ('[sensor]\ndistance = "58 m"\n', 3, "sensor.distance is '58 m', which is 58000 mm", None),
        ("[sensor]\n", 2, "no key 'distance' in [sensor]", "add it"),
        (
            '[[standoff]]\nproduct = "cartn L"\ngap = "3 mm"\n',
            3,
            "standoff[1].product is 'cartn L'",
            "did you mean 'carton L'?",
        ),
        ('[[hole]]\ntag = "R9"\nx = 1\nbelow_top = 2\n', 3, "hole[1].tag is 'R9'", "correct it"),
        (
            '[[hole]]\ntag = "R1"\nx = 1\nbelow_top = 2\n[[hole]]\ntag = "R1"\nx = 1\nbelow_top = 2\n',
            7,
            "hole R1 stands twice",
            "take one out",
        ),
        ('[[run]]\ntime = "10 s"\n', 2, "run[1] has time alone", "add another of them"),
        ("[[run]]\n", 2, "run[1] is empty", "add another of them"),
        ('[[run]]\nlength = "5 m"\ntime = 10\n', 4, "run[1].time is 10", None),
        ('[[run]]\nlength = "5 m"\ncounts = true\n', 4, "run[1].counts is true", None),
    ],
)
def test_one_fault_is_told_with_its_line(tmp_path, text, line, found, action):
    ((at, told, do),) = faults(text, tmp_path)
    assert at == line
    assert told.startswith(found)
    assert action is None or do == action


def test_all_faults_are_told_at_once_in_the_order_of_the_file(tmp_path):
    text = '[sensor]\ndistance = "x"\n[[run]]\nlengt = "5 m"\n[scales]\narm_zero = "900 mm"\n'
    assert [line for line, *_ in faults(text, tmp_path)] == [3, 5, 7]


def test_broken_toml_has_its_place(tmp_path):
    assert [line for line, *_ in faults("[sensor\n", tmp_path)] == [2]


def test_counts_without_an_encoder_are_refused(tmp_path):
    found = studied()
    without = replace(found, survey=replace(found.survey, encoder=None))
    path = tmp_path / "measured.toml"
    path.write_text('schema = 1\n[[run]]\nlength = "5 m"\ncounts = 500\n', encoding="utf-8")
    with pytest.raises(MeasuredError) as refused:
        read_measured(path, without)
    (fault,) = refused.value.faults
    assert fault.where == f"{path}:4:10"
    assert "the survey has no encoder" in fault.found


def test_bare_numbers_are_in_the_units_of_the_file_else_of_the_survey(tmp_path):
    for units, example, expected in (("", "seed-cartons", 2.0), ("", "seed-trays-inch", 50.8)):
        text = f"{units}[sensor]\ndistance = 2\n"
        assert float(measured(text, tmp_path, example).raw.sensor.distance) == pytest.approx(expected)
    text = 'units = "in"\n[sensor]\ndistance = 2\n'
    assert float(measured(text, tmp_path).raw.sensor.distance) == pytest.approx(50.8)


def test_a_file_that_is_not_there_is_a_fault(tmp_path):
    with pytest.raises(MeasuredError, match="there is no such file"):
        read_measured(tmp_path / "none.toml", studied())


def file_of(tmp_path, text: str) -> Path:
    path = tmp_path / "measured.toml"
    path.write_text(f"schema = 1\n{text}", encoding="utf-8")
    return path


def test_corrected_sheets_hold_the_corrected_numbers(run, tmp_path, contents):
    text = SENSOR + '[scales]\narm_zero = "-1.5 +/- 0.01 mm"\npost_zero = "0.8 +/- 0.01 mm"\n'
    path = file_of(tmp_path, text)
    outcome = run("asbuilt", CARTONS, path, "--out", tmp_path / "out")
    folder = tmp_path / "out" / "seed-cartons-as-built"
    assert outcome.err == ""
    assert f"corrected sheets: {folder}" in outcome.out
    assert set(contents(folder)) == {"as-built.json", "changeover.csv", "changeover.pdf", "set-up.pdf"}
    for sheet in ("set-up.pdf", "changeover.pdf"):
        told = " ".join(" ".join(page.extract_text().split()) for page in PdfReader(folder / sheet).pages)
        for number in ("214.2 mm", "56.2 mm", "98.3 mm", "58.3 mm", "as built"):
            assert number in told, (sheet, number)
    report = json.loads((folder / "as-built.json").read_text(encoding="utf-8"))
    assert report["setup"]["products"][0]["arm_scale_mm"] == pytest.approx(56.2, abs=0.02)
    assert {one["name"] for one in report["findings"]} >= {"post scale's zero", "arm scale's zero"}
    first = contents(folder)
    assert run("asbuilt", CARTONS, path, "--out", tmp_path / "out").code == outcome.code
    assert contents(folder) == first


def test_exit_codes_say_whether_it_is_good_enough(run, tmp_path, variant):
    out = ("--out", tmp_path / "out")
    good = file_of(tmp_path, gaps(Truth(arm_zero=0.7), "seed-cartons", (0, 3)))
    outcome = run("asbuilt", CARTONS, good, *out)
    assert (outcome.code, outcome.err) == (0, "")
    assert outcome.out.startswith("seed-cartons as built: within the acceptable band once corrected")
    bad = file_of(tmp_path, '[sensor]\ndistance = "20 mm"\n')
    outcome = run("asbuilt", CARTONS, bad, *out)
    assert outcome.code == 1
    assert outcome.out.startswith("seed-cartons as built: NOT within the acceptable band")
    outcome = run("asbuilt", variant(*TOO_TALL), good, *out)
    assert outcome.code == 1
    assert "this mount was never feasible" in outcome.out


def test_bad_input_is_told_with_its_line_and_writes_nothing(run, tmp_path):
    path = file_of(tmp_path, '[sensor]\ndistanc = "58 mm"\n')
    outcome = run("asbuilt", CARTONS, path, "--out", tmp_path / "out")
    assert (outcome.code, outcome.out) == (2, "")
    assert f"{path}:3:1: unknown key 'distanc' in [sensor]" in outcome.err
    assert not (tmp_path / "out").exists()


def test_a_survey_in_inches_is_told_in_inches(run, tmp_path):
    example = "seed-trays-inch"
    path = file_of(tmp_path, gaps(Truth(post_zero=0.9, arm_zero=0.9), example, (0, 1)))
    outcome = run("asbuilt", SURVEYS / f"{example}.toml", path, "--out", tmp_path / "out")
    assert (outcome.code, outcome.err) == (0, "")
    assert " in " in outcome.out.partition("Arm scale")[2].partition("most likely")[0]
