"""Surveys that are right: the examples, what is filled in, devices of one's own, and the time it takes."""

import hashlib
import subprocess
import sys
from pathlib import Path

import pint  # noqa: F401  its import is not what is timed
import pytest

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.catalogue.records import Controller, Encoder, Head, PatternHole, Reflector, Sensor
from mountgen.errors import SurveyError
from mountgen.survey.devices import LENGTH_KEYS
from mountgen.survey.reader import read_survey
from mountgen.units import Measured

EXAMPLES = profiles_folder() / "surveys"
NAMES = ("seed-cartons", "compost-sacks", "seed-trays-inch")

SPARSE = """
schema = 1
name = "sparse"
line = {{ flow = "right_to_left", speed = "0.5 m/s", surface = "rollers", roller_pitch = "80 mm", \
surface_height = "850 mm" }}
rail = {{ profile = "channel-formed-120x40x2.5", top_above_surface = "-6 mm", opens = "{opens}", \
far_rail_at = "520 mm", free_from = "-600 mm", free_to = "600 mm", attach = ["bolted", "bolted"], \
keepout = [{{ what = "bolt", x = ["1 mm", "2 mm"], z = ["3 mm", "4 mm"] }}] }}
product = [{{ name = "a", length = "1 ft", width = "200 mm", height = "150 mm", near_side_at = "70 ± 5 mm", \
gap = "0 mm", \
code = {{ face = "top", size = ["80 mm", "10 mm"], from_near = "0 mm", from_leading = "0 mm" }} }}]
standoff = {{ target = "3 mm", best = ["2 mm", "4 mm"], acceptable = ["1 mm", "6 mm"] }}
head.device = "head-25"
sensor.device = "eye-flat-diffuse"
controller.device = "controller-compact"
"""


def read(path, text):
    path.write_text(text, encoding="utf-8")
    return read_survey(path, Catalogue())


@pytest.mark.parametrize("name", NAMES)
def test_examples_are_surveys(name):
    path = EXAMPLES / f"{name}.toml"
    survey = read_survey(path, Catalogue())
    assert survey.name == name
    assert survey.source_sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert "invented line in the packing hall" in path.read_text(encoding="utf-8")
    assert {assumption.key for assumption in survey.assumptions} <= {
        *("line.bed_from_y", "guides.play", "product.clearance_height", "product.height"),
        *("rail.supports_apart", "shaking", "joining", "work"),
    }


def test_every_example_is_tested():
    assert sorted(path.stem for path in EXAMPLES.glob("*.toml")) == sorted(NAMES)


def test_cartons_make_the_post_travel():
    survey = read_survey(EXAMPLES / "seed-cartons.toml", Catalogue())
    assert (survey.units, survey.line.flow) == ("mm", "left_to_right")
    assert {product.code.face for product in survey.products} == {"near_side"}
    assert len({product.code.above_base for product in survey.products}) > 1
    assert survey.line.surface_height.plus_minus > 0


def test_sacks_run_the_other_way_and_are_printed_on_top():
    survey = read_survey(EXAMPLES / "compost-sacks.toml", Catalogue())
    assert (survey.line.flow, survey.line.surface) == ("right_to_left", "belt")
    assert {product.code.face for product in survey.products} == {"top"}
    assert {product.height.plus_minus for product in survey.products} == {1.0}


def test_trays_come_in_inches_and_are_kept_in_millimetres():
    path = EXAMPLES / "seed-trays-inch.toml"
    survey = read_survey(path, Catalogue())
    assert survey.units == "in"
    assert survey.rail.profile.name == "c4x5.4"
    assert any(product.height == 57.15 for product in survey.products)
    assert 'height = "2 1/4 in"' in path.read_text(encoding="utf-8")


def test_bare_numbers_of_an_inch_survey_are_inches(tmp_path):
    text = SPARSE.format(opens="in").replace("schema = 1", 'schema = 1\nunits = "in"')
    text = text.replace('"80 mm", surface', '"3 1/4", surface').replace('"850 mm"', "33.5")
    survey = read(tmp_path / "s.toml", text)
    assert (survey.line.roller_pitch, survey.line.surface_height) == (82.55, 850.9)
    assert survey.line.speed_mm_per_s == 500.0
    assert {note.key: note.value for note in survey.assumptions}["line.first_roller_at"] == "1 5/8 in"


def test_what_is_left_out_is_filled_in_and_listed(tmp_path):
    survey = read(tmp_path / "s.toml", SPARSE.format(opens="in"))
    line, product = survey.line, survey.products[0]
    assert (line.roller_diameter, line.roller_axle_diameter, line.first_roller_at) == (50.0, 12.0, 40.0)
    assert (line.slope_deg, line.environment) == (0.0, "dry")
    assert line.bed_from_y == 40.0 + 5.0  # flange width and the gap
    assert (product.bulge, product.skew_deg, product.against) == (1.0, 0.5, "near")
    assert survey.standoff.setting == 0.5
    assert survey.encoder is None
    assert survey.rail.keepouts[0].y == (-30.0, 40.0)
    assert survey.rail.attach == ("bolted",)
    assert all(len(note.reason) > 15 for note in survey.assumptions)
    assert {note.key: note.value for note in survey.assumptions} == {
        "units": "mm",
        "rail.top_above_surface": "+/- 0.0 mm",
        "product.clearance_height": "height",
        "product.height": "+/- 0.0 mm",
        "line.roller_diameter": "50.0 mm",
        "line.roller_axle_diameter": "12.0 mm",
        "line.first_roller_at": "40.0 mm",
        "line.slope_deg": "0 deg",
        "line.environment": "dry",
        "line.bed_from_y": "45.0 mm",
        "rail.keepout[1].y": "-30.0 mm to 40.0 mm",
        "product.bulge": "1.0 mm",
        "product.skew_deg": "0.5 deg",
        "standoff.setting": "0.5 mm",
        "encoder": "none",
        "rail.supports_apart": "1500.0 mm",
        "shaking": "acceleration not measured, damping 0.02, a bump at 0.05 m/s, 20 ms long",
        "joining": "a plate joint 50000 N m/rad, a T-slot joint 15000 N m/rad, friction 0.15, a hand's 50 N",
        "work": "ISO 2768-1 m, bend lines +/- 0.3 mm, sawn ends +/- 0.5 deg, drilled holes +/- 1.0 mm",
    }


def test_the_bed_begins_behind_the_web_when_the_flanges_point_out(tmp_path):
    assert read(tmp_path / "s.toml", SPARSE.format(opens="out")).line.bed_from_y == 2.5 + 5.0


def test_guides_get_a_depth(tmp_path):
    text = (
        SPARSE.format(opens="in") + 'guides = { near_y = "60 mm", far_y = "400 mm", z = ["1 mm", "2 mm"] }\n'
    )
    survey = read(tmp_path / "s.toml", text)
    assert (survey.guides.depth, survey.guides.open, survey.guides.play) == (25.0, None, 0.0)
    notes = {note.key: note.value for note in survey.assumptions}
    assert notes["guides.depth"] == "25.0 mm"
    assert notes["guides.open"] == "none"
    assert notes["guides.play"] == "0.0 mm"
    assert notes["guides.near_y"] == "+/- 0.0 mm"


def test_a_belt_has_no_rollers_to_assume(tmp_path):
    text = SPARSE.format(opens="in").replace('"rollers", roller_pitch = "80 mm"', '"belt"')
    survey = read(tmp_path / "s.toml", text)
    assert (survey.line.roller_pitch, survey.line.roller_diameter) == (0.0, 0.0)
    assert not any("roller" in note.key for note in survey.assumptions)


def test_a_line_without_keepouts_is_taken_as_clear(tmp_path):
    text = SPARSE.format(opens="in")
    start = text.index(", keepout = ")
    text = text[:start] + text[text.index("}] }", start) + 2 :]
    survey = read(tmp_path / "s.toml", text)
    assert survey.rail.keepouts == ()
    assert {note.key: note.value for note in survey.assumptions}["rail.keepout"] == "none"


def test_a_note_names_the_products_that_it_is_about(tmp_path):
    text = SPARSE.format(opens="in")
    start, end = text.index("product = ["), text.index("standoff = ")
    one = text[start:end].removeprefix("product = [").rstrip().removesuffix("]")
    other = one.replace('name = "a"', 'name = "b", bulge = "1 mm", clearance_height = "8 in"')
    text = text[:start] + f"product = [{one}, {other}]\n" + text[end:]
    survey = read(tmp_path / "s.toml", text)
    reasons = {note.key: note.reason for note in survey.assumptions}
    assert reasons["product.bulge"].endswith(": a")
    assert reasons["product.skew_deg"].endswith(": a, b")
    assert [product.clearance_height for product in survey.products] == [None, 203.2]


def test_a_note_about_many_products_names_a_few(tmp_path):
    text = SPARSE.format(opens="in")
    start, end = text.index("product = ["), text.index("standoff = ")
    one = text[start:end].removeprefix("product = [").rstrip().removesuffix("]")
    many = ", ".join(one.replace('name = "a"', f'name = "p{number}"') for number in range(100))
    survey = read(tmp_path / "s.toml", text[:start] + f"product = [{many}]\n" + text[end:])
    reasons = {note.key: note.reason for note in survey.assumptions}
    assert reasons["product.bulge"].endswith(": p0, p1, p2, p3, p4, p5 and 94 more")


def test_uncertainty_reaches_the_record(tmp_path):
    place = read(tmp_path / "s.toml", SPARSE.format(opens="in")).products[0].near_side_at
    assert isinstance(place, Measured)
    assert (place, place.plus_minus) == (70.0, 5.0)


def test_the_wish_for_the_sensor(tmp_path):
    text = SPARSE.format(opens="in") + 'sensor.distance = "6 in"\n'
    assert read(tmp_path / "s.toml", text).sensor_distance == 152.4


def test_a_mark_of_the_editor_before_the_text_is_no_fault(tmp_path):
    path = tmp_path / "s.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SPARSE.format(opens="in").replace("\n", "\r\n").encode())
    assert read_survey(path, Catalogue()).name == "sparse"


OWN_EYE = """device = { title = "Own eye", body = "flat", width = "1/2 in", height = 32, length = "2 cm", \
range_min = 5, range_max = "1 ft", response_ms = 0.5, beam_diameter = 8, mass_kg = 0.02, \
pattern = [{ at = [10, "-1/2 in"], thread = "M4", depth = 12 }] }"""


def own_eye(table):
    text = SPARSE.format(opens="in").replace('sensor.device = "eye-flat-diffuse"', "")
    return text.replace("schema = 1", 'schema = 1\nunits = "mm"') + f"\n[sensor]\n{table}\n"


def test_a_device_of_ones_own_takes_units(tmp_path):
    sensor = read(tmp_path / "s.toml", own_eye(OWN_EYE)).sensor
    assert (sensor.width, sensor.length, sensor.range_max) == (12.7, 20.0, 304.8)
    assert sensor.pattern[0].at == (10.0, -12.7)
    assert sensor.source == "given in the survey file"


def test_every_number_of_a_device_takes_a_unit(tmp_path):
    table = OWN_EYE.replace("mass_kg = 0.02", 'mass_kg = "1 lb 8 oz"').replace('"M4"', '"m4 x 0.7"')
    sensor = read(tmp_path / "s.toml", own_eye(table.replace("ms = 0.5", 'ms = "250 µs"'))).sensor
    assert (sensor.mass_kg, sensor.response_ms) == (0.680388555, 0.25)
    assert sensor.pattern[0].thread == "M4"
    head = (EXAMPLES.parent / "devices" / "heads" / "head-50.toml").read_text(encoding="utf-8")
    head = head.replace("= 205", '= "8 dots/mm"').replace("= 7000", '= "7 kHz"').replace("= 90", '= "90 deg"')
    text = SPARSE.format(opens="in").replace('head.device = "head-25"', "")
    text = text.replace("schema = 1", 'schema = 1\nunits = "mm"')
    made = read(tmp_path / "t.toml", f"{text}\n[head.device]\n{head}").head
    assert (made.column_dpi, made.max_column_rate_hz, made.tilt_max_deg) == (203.2, 7000.0, 90.0)


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        ('"M4"', '"M7"', "pattern[1].thread is 'M7', which is no size of ISO 261"),
        ('"M4"', '"M12"', "pattern[1].thread is 'M12', which profiles does not hold"),
        ("mass_kg = 0.02", 'mass_kg = "20 lb 20 oz"', "16 oz. or more"),
        ("mass_kg = 0.02", 'mass_kg = "20 +/- 1 g"', "with +/-"),
        ("height = 32", 'height = "32 +/- 1 mm"', "height is '32 +/- 1 mm', with +/-"),
        ("response_ms = 0.5", 'response_ms = "5 Hz"', "unit 'Hz'"),
        ("beam_diameter", "beam_diam", "unknown key 'beam_diam' in [sensor.device]"),
        ("mass_kg = 0.02, ", "", "no key 'mass_kg' in [sensor.device]"),
        ("mass_kg = 0.02", 'mass_kg = "heavy"', "sensor.device.mass_kg is 'heavy'"),
        ("mass_kg = 0.02", "mass_kg = [0.02]", "sensor.device.mass_kg is [0.02]"),
        ("mass_kg = 0.02", "mass_kg = -1", "sensor.device.mass_kg is -1"),
        ("range_min = 5", 'range_min = "5 Mm"', "sensor.device.range_min is '5 Mm'"),
        ('"-1/2 in"', '"-1/0 in"', "sensor.device.pattern[1].at[2] is '-1/0 in'"),
    ],
)
def test_faults_of_a_device_of_ones_own(tmp_path, old, new, found):
    text = own_eye(OWN_EYE.replace(old, new))
    with pytest.raises(SurveyError) as caught:
        read(tmp_path / "s.toml", text)
    assert len(caught.value.faults) == 1
    assert found in caught.value.faults[0].found
    line = text.splitlines().index("[sensor]") + 2
    assert f"s.toml:{line}:" in caught.value.faults[0].where


NO_LENGTHS = frozenset(
    {
        *("nozzles", "column_dpi", "max_column_rate_hz", "tilt_min_deg", "tilt_max_deg", "mass_kg"),
        *("response_ms", "pulses_per_turn", "edges_per_pulse", "max_frequency_hz", "max_divider"),
        *("max_encoder_hz", "queue_depth", "head_ports"),
    }
)


def test_every_number_of_a_device_is_known_to_be_a_length_or_not():
    """A new key of a device's record must be sorted, or its unit would be lost."""
    texts = {"name", "source", "title", "body", "thread", "pattern", "kind", "reflector"}
    texts |= {"suppresses_background", "polarised", "sees_clear"}
    models = (Head, Sensor, Reflector, Encoder, Controller, PatternHole)
    keys = {key for model in models for key in model.model_fields}
    assert keys - texts == LENGTH_KEYS | NO_LENGTHS


def test_reading_loads_no_heavy_library():
    heavy = ("OCP", "cadquery", "ezdxf", "scipy.linalg", "typst", "matplotlib")
    code = (
        "import sys; from pathlib import Path; from mountgen.survey.reader import read_survey; "
        "from mountgen.catalogue.reader import Catalogue; assert 'pint' not in sys.modules; "
        f"read_survey(Path({str(EXAMPLES / 'seed-cartons.toml')!r}), Catalogue()); "
        f"print([name for name in {heavy!r} if name in sys.modules])"
    )
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "[]"


def test_paths_may_be_relative(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("s.toml").write_text("schema = 1", encoding="utf-8")
    with pytest.raises(SurveyError) as caught:
        read_survey(Path("s.toml"), Catalogue())
    assert {fault.where for fault in caught.value.faults} == {"s.toml:1:1"}
