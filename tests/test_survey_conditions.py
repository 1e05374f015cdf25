"""Drive, supports, shaking, joints, work and mass in a survey: good values, wrong units, out of range."""

from pathlib import Path

import numpy as np
import pytest
from test_survey_faults import GOOD, faults_of, line_with

from mountgen.assumed import trials_of
from mountgen.catalogue.reader import Catalogue
from mountgen.mechanics.vibration import spectrum_rms
from mountgen.survey.reader import read_survey
from mountgen.survey.records import Joining, Shaking, Survey, Work

CATALOGUE = Catalogue()
TABLES = {"line": "slope_deg = 0\n", "rail": "opens = ", "product": 'against = "near"\n'}
"""Before what a key of these tables is put in; other tables are added at the end."""


def with_key(table: str, key: str, value: str, text: str = GOOD) -> str:
    line = f"{key} = {value}\n"
    if table in TABLES:
        return text.replace(TABLES[table], line + TABLES[table], 1)
    return f"{text}\n[{table}]\n{line}"


def read(folder: Path, text: str) -> Survey:
    path = folder / "s.toml"
    path.write_text(text, encoding="utf-8")
    return read_survey(path, CATALOGUE)


def value_of(survey: Survey, name: str) -> object:
    for step in name.split("."):
        survey = getattr(survey, step)
    return survey


# 1 lbf = 4.4482216152605 N, 1 ft = 304.8 mm, 1 lb = 0.45359237 kg (NIST SP 811, appendix B);
# g = 9.80665 m/s2 (3rd CGPM, 1901).
GOOD_VALUES = [
    ("line", "chain_pitch", '"1/2 in"', "line.chain_pitch", 12.7),
    ("line", "drive_speed", '"1400 rpm"', "line.drive_rpm", 1400.0),
    ("line", "drive_speed", '"1400 1/min"', "line.drive_rpm", 1400.0),
    ("line", "drive_speed", "1400", "line.drive_rpm", 1400.0),
    ("rail", "supports_apart", '"2 m"', "rail.supports_apart", 2000.0),
    ("shaking", "rms", '"0.8 m/s2"', "shaking.rms_mm_per_s2", 800.0),
    ("shaking", "rms", '"800 mm/s²"', "shaking.rms_mm_per_s2", 800.0),
    ("shaking", "rms", '"0.1 g"', "shaking.rms_mm_per_s2", 980.665),
    ("shaking", "damping", "0.03", "shaking.damping", 0.03),
    ("shaking", "impact_speed", '"0.1 m/s"', "shaking.impact_speed_mm_per_s", 100.0),
    ("shaking", "contact_time", '"20 ms"', "shaking.contact_time_s", 0.02),
    ("joining", "plate_stiffness", '"50000 N m/rad"', "joining.plate_stiffness", 5e7),
    ("joining", "plate_stiffness", '"50 kN m/rad"', "joining.plate_stiffness", 5e7),
    ("joining", "tslot_stiffness", '"2e7 N mm/rad"', "joining.tslot_stiffness", 2e7),
    (
        "joining",
        "tslot_stiffness",
        '"1000 lbf ft/rad"',
        "joining.tslot_stiffness",
        1e3 * 4.4482216152605 * 304.8,
    ),
    ("joining", "friction", "0.2", "joining.friction", 0.2),
    ("joining", "hand_force", '"10 lbf"', "joining.hand_force", 44.482216152605),
    ("work", "cut", "0.2", "work.cut", 0.2),
    ("work", "bend_line", '"1/64 in"', "work.bend_line", 25.4 / 64),
    ("work", "bend_deg", "0.5", "work.bend_deg", 0.5),
    ("work", "saw", '"0.5 mm"', "work.saw", 0.5),
    ("work", "saw_square_deg", '"0.3 deg"', "work.saw_square_deg", 0.3),
    ("work", "drill", "2", "work.drill", 2.0),
]


@pytest.mark.parametrize(("table", "key", "value", "name", "expected"), GOOD_VALUES)
def test_a_good_value(tmp_path, table, key, value, name, expected):
    assert value_of(read(tmp_path, with_key(table, key, value)), name) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize(
    ("value", "kg"), [('"2.5 kg"', 2.5), ('"450 g"', 0.45), ('"2 lb 8 oz"', 2.5 * 0.45359237)]
)
def test_a_mass_belongs_to_its_product_alone(tmp_path, value, kg):
    survey = read(tmp_path, with_key("product", "mass", value))
    assert survey.products[0].mass_kg == pytest.approx(kg)
    assert survey.products[1].mass_kg is None
    assert np.isnan(survey.products.mass_kg[1])


WRONG = [
    ("line", "chain_pitch", '"12 kg"', "unit 'kg'", "a length"),
    ("line", "chain_pitch", "1", "1 mm", "3 mm to 500 mm"),
    ("line", "chain_pitch", '"12 +/- 1 mm"', "with +/-", "without +/-"),
    ("line", "drive_speed", '"24 Hz"', "unit 'Hz'", "1400 rpm"),
    ("line", "drive_speed", '"0.5 rpm"', "0.5 turns a minute", "1 to 20000"),
    ("line", "drive_speed", "30000", "30000 turns", "1 to 20000"),
    ("line", "drive_speed", "true", "True", "turns a minute"),
    ("line", "drive_speed", "[1400]", "[1400]", "turns a minute"),
    ("rail", "supports_apart", '"2 kN"', "unit 'kN'", "a length"),
    ("rail", "supports_apart", "50", "50 mm", "100 mm to 10000 mm"),
    ("shaking", "rms", '"0.8 m/s"', "unit 'm/s'", "m/s2"),
    ("shaking", "rms", "0.8", "without a unit", "an acceleration"),
    ("shaking", "rms", '"200 m/s2"', "200000 mm/s²", "100000 mm/s²"),
    ("shaking", "rms", '"-1 m/s2"', "below zero", "not negative"),
    ("shaking", "damping", '"2 %"', "'2 %'", "0.001 to 0.3"),
    ("shaking", "damping", "0.5", "0.5", "0.001 to 0.3"),
    ("shaking", "damping", "nan", "nan", "0.001 to 0.3"),
    ("shaking", "damping", "true", "True", "0.001 to 0.3"),
    ("shaking", "impact_speed", '"20 ms"', "unit 'ms'", "a speed"),
    ("shaking", "impact_speed", '"3 m/s"', "180 m/min", "at most 120 m/min"),
    ("shaking", "contact_time", '"20 mm"', "unit 'mm'", "a time"),
    ("shaking", "contact_time", '"2 s"', "2 s", "0.0005 to 1 s"),
    ("joining", "plate_stiffness", '"50000 N m"', "unit 'N m'", "N m/rad"),
    ("joining", "plate_stiffness", "50000", "without a unit", "N m/rad"),
    ("joining", "plate_stiffness", '"50 N m/rad"', "50000 N·mm/rad", "100000 to"),
    ("joining", "tslot_stiffness", '"5 m/rad"', "unit 'm/rad'", "N m/rad"),
    ("joining", "tslot_stiffness", '"1e9 N m/rad"', "1e+12", "1e+10 N·mm/rad"),
    ("joining", "friction", '"0.15"', "'0.15'", "a number from 0.05"),
    ("joining", "friction", "0.7", "0.7", "0.05 to 0.6"),
    ("joining", "hand_force", '"50 kg"', "unit 'kg'", "a force"),
    ("joining", "hand_force", '"5 kN"', "5000 N", "1 to 2000 N"),
    ("work", "cut", '"0.2 deg"', "unit 'deg'", "a length"),
    ("work", "cut", "0", "0 mm", "0.01 mm to 10 mm"),
    ("work", "bend_line", "11", "11 mm", "0.01 mm to 10 mm"),
    ("work", "bend_line", '"1 s"', "unit 's'", "a length"),
    ("work", "bend_deg", '"1 mm"', "'1 mm'", "an angle"),
    ("work", "bend_deg", "6", "6 deg", "0.01 deg to 5 deg"),
    ("work", "saw", '"1 N"', "unit 'N'", "a length"),
    ("work", "saw", "20", "20 mm", "0.01 mm to 10 mm"),
    ("work", "saw_square_deg", '"1 mm"', "'1 mm'", "an angle"),
    ("work", "saw_square_deg", "0", "0 deg", "0.01 deg to 5 deg"),
    ("work", "drill", '"1 g"', "unit 'g'", "a length"),
    ("work", "drill", "100", "100 mm", "0.01 mm to 10 mm"),
    ("product", "mass", '"2 mm"', "unit 'mm'", "a mass"),
    ("product", "mass", "2.5", "without a unit", "a mass"),
    ("product", "mass", '"600 kg"', "600 kg", "0.001 to 500 kg"),
    ("joining", "fricton", "0.2", "unknown key 'fricton'", "friction"),
]


@pytest.mark.parametrize(("table", "key", "value", "found", "expected"), WRONG)
def test_a_wrong_value(tmp_path, table, key, value, found, expected):
    text = with_key(table, key, value)
    (fault,) = faults_of(tmp_path / "s.toml", text)
    assert f":{line_with(text, f'{key} = ')}:" in fault.where
    assert found in fault.found
    assert expected in fault.expected


def write(folder: Path, spectrum: str) -> str:
    (folder / "shaking.csv").write_text(spectrum, encoding="utf-8")
    return with_key("shaking", "spectrum", '"shaking.csv"')


@pytest.mark.parametrize(
    "text",
    [
        "frequency [Hz],density [g2/Hz]\n10,0.01\n# kept\n\n210,0.01\n",
        "f (Hz); PSD (g^2/Hz)\n10; 0,01\n210; 1e-2\n",
        "Hz\tg²/Hz\n10\t.01\n210\t0.01\n",
        f"Hz, (m/s2)2/Hz\n10,{0.01 * 9.80665**2!r}\n210,{0.01 * 9.80665**2!r}\n",
        f"Hz; m²/s³\n10;{0.01 * 9.80665**2!r}\n210;{0.01 * 9.80665**2!r}\n",
    ],
)
def test_an_even_spectrum(tmp_path, text):
    """The rms of an even density is the root of density times width: sqrt(0.01 g2/Hz x 200 Hz)."""
    survey = read(tmp_path, write(tmp_path, text))
    assert survey.shaking.spectrum is not None
    assert spectrum_rms(survey.shaking.spectrum) == pytest.approx(2**0.5)
    assert survey.shaking.rms_mm_per_s2 is None


SPOILT = [
    ("", "", "empty", "header"),
    ("10,0.01\n20,0.01\n", ":1", "'10,0.01'", "g2/Hz"),
    ("Hz,density\n10,1\n20,1\n", ":1", "'Hz,density'", "g2/Hz"),
    ("g2/Hz,Hz\n10,1\n20,1\n", ":1", "'g2/Hz,Hz'", "frequency"),
    ("Hz g2/Hz\n10 1\n20 1\n", ":1", "'Hz g2/Hz'", "header"),
    ("Hz,g2/Hz\n10,1\n", "", "1 rows", "at least two"),
    ("Hz,g2/Hz\n10,1\n\n10,2\n", ":4", "10 Hz behind 10 Hz", "rise"),
    ("Hz,g2/Hz\n10,1\n20,-2\n30,1\n", ":3", "'20,-2'", "above zero"),
    ("Hz,g2/Hz\n10,1\n20,0\n30,1\n", ":3", "'20,0'", "above zero"),
    ("Hz,g2/Hz\n10,1\n20,1,5\n30,1\n", ":3", "'20,1,5'", "plain numbers"),
    ("Hz,g2/Hz\n10,1\n20,nan\n30,1\n", ":3", "nan", "plain numbers"),
    ("Hz,g2/Hz\n10,1\n20,1e99\n30,1\n", ":3", "1e99", "below 1e9"),
]


@pytest.mark.parametrize(("text", "line", "found", "expected"), SPOILT)
def test_a_spoilt_spectrum(tmp_path, text, line, found, expected):
    (fault,) = faults_of(tmp_path / "s.toml", write(tmp_path, text))
    assert fault.where == f"{tmp_path / 'shaking.csv'}{line}"
    assert found in fault.found
    assert expected in fault.expected


def test_a_spectrum_that_is_not_there_or_not_text(tmp_path):
    text = with_key("shaking", "spectrum", '"shaking.csv"')
    (fault,) = faults_of(tmp_path / "s.toml", text)
    assert "no such file" in fault.found
    (tmp_path / "shaking.csv").write_bytes(b"Hz,g\xb2/Hz\n10,1\n20,1\n")
    (fault,) = faults_of(tmp_path / "s.toml", text)
    assert "0xb2 is not UTF-8" in fault.found


def test_one_measurement_of_shaking_not_two(tmp_path):
    text = write(tmp_path, "Hz,g2/Hz\n10,1\n20,1\n") + 'rms = "1 m/s2"\n'
    (fault,) = faults_of(tmp_path / "s.toml", text)
    assert "both rms and spectrum" in fault.found
    assert f":{line_with(text, 'spectrum = ')}:" in fault.where


def test_the_hash_changes_with_the_spectrum(tmp_path):
    before = read(tmp_path, write(tmp_path, "Hz,g2/Hz\n10,1\n20,1\n")).source_sha256
    assert read(tmp_path, write(tmp_path, "Hz,g2/Hz\n10,1\n20,2\n")).source_sha256 != before


WHOLE = {
    "shaking": 'rms = "1 m/s2"\ndamping = 0.03\nimpact_speed = "0.1 m/s"\ncontact_time = "10 ms"\n',
    "joining": 'plate_stiffness = "1e5 N m/rad"\ntslot_stiffness = "1e4 N m/rad"\nfriction = 0.2\n'
    'hand_force = "40 N"\n',
    "work": "cut = 0.1\nbend_line = 0.2\nbend_deg = 0.5\nsaw = 0.3\nsaw_square_deg = 0.2\ndrill = 0.5\n",
}


def keys(survey: Survey) -> set[str]:
    return {note.key for note in survey.assumptions}


@pytest.mark.parametrize("table", WHOLE)
def test_what_a_table_leaves_out_is_one_assumption(tmp_path, table):
    bare = read(tmp_path, GOOD)
    assert [note.key for note in bare.assumptions].count(table) == 1
    assert (bare.shaking, bare.joining, bare.work) == (Shaking(), Joining(), Work())
    lines = WHOLE[table].splitlines(keepends=True)
    whole = GOOD + f"\n[{table}]\n"
    assert table not in keys(read(tmp_path, whole + "".join(lines)))
    for left_out in range(len(lines)):
        survey = read(tmp_path, whole + "".join(lines[:left_out] + lines[left_out + 1 :]))
        assert table in keys(survey)
        trials = list(trials_of(table, survey))
        assert trials
        assert all(trial.survey != survey for trial in trials)


def test_supports_are_assumed_when_not_given(tmp_path):
    survey = read(tmp_path, GOOD)
    assert survey.rail.supports_apart == 1500.0
    assert "rail.supports_apart" in keys(survey)
    (trial,) = trials_of("rail.supports_apart", survey)
    assert (trial.text, trial.survey.rail.supports_apart) == ("2250.0 mm", 2250.0)
    assert "rail.supports_apart" not in keys(read(tmp_path, with_key("rail", "supports_apart", "900")))
    assert "product.mass" not in keys(survey)
