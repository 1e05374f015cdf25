"""One bad input a case: the fault names its place, what was found, what is expected, what to do."""

import shutil

import pytest

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.errors import InputError, SurveyError
from mountgen.survey.reader import read_survey

GOOD = """\
schema = 1
name = "trial-line"
units = "mm"

[line]
flow = "left_to_right"
speed = "30 m/min"
surface = "rollers"
roller_pitch = 75
roller_diameter = 50
roller_axle_diameter = 12
surface_height = "850 +/- 5 mm"
slope_deg = 0

[rail]
profile = "channel-formed-120x40x2.5"
top_above_surface = -6
opens = "in"
far_rail_at = 520
free_from = -600
free_to = 610
attach = ["bolted", "clamped"]

[[rail.keepout]]
what = "leg bolt"
x = [-310, -270]
z = [-80, -40]

[guides]
near_y = 60
far_y = 470
z = [40, 70]
open = [-110, 110]

[[product]]
name = "carton S"
length = 300
width = 200
height = 150
against = "near"
gap = 250
[product.code]
face = "near_side"
size = [80, 12]
above_base = 32
from_leading = 45

[[product]]
name = "carton M"
length = 310
width = 210
height = 160
against = "near"
gap = 255
[product.code]
face = "near_side"
size = [81, 12]
below_top = 33
from_leading = 46

[standoff]
target = "3.2 mm"
best = [2, 4]
acceptable = [1, 6]

[head]
device = "head-50"

[sensor]
device = "eye-m18-diffuse"

[encoder]
device = "encoder-wheel-200"

[controller]
device = "controller-panel"
"""

# (what stands there, what is put instead, the marker of the fault's line, found, expected, action)
CASES = [
    # the top of the file
    ("schema = 1", "schema = 2", "schema = 2", "schema is 2", "1", ""),
    ("schema = 1", "schema = true", "schema = true", "schema is true", "a number", ""),
    ("schema = 1", "", "", "no key 'schema'", "schema = 1", "add it"),
    ('"trial-line"', '"../up"', "name =", "'../up'", "letters, digits", ""),
    ('"trial-line"', '".hidden"', "name =", "'.hidden'", "beginning with", ""),
    ('"trial-line"', '"dot."', "name =", "'dot.'", "letters, digits", ""),
    ('"trial-line"', f'"{"n" * 81}"', "name =", "nnn", "1 to 80", ""),
    ('"trial-line"', "7", "name =", "name is 7", "letters, digits", ""),
    ('units = "mm"', 'units = "mm"\nrevision = 2', "revision =", "revision is 2", "in quotes", '"A"'),
    ('units = "mm"', 'units = "mm"\nrevision = "far too long"', "revision =", "'far too long'", "1 to 8", ""),
    ('units = "mm"', 'units = "mm"\nrevision = ""', "revision =", "''", "1 to 8", ""),
    ('units = "mm"', 'units = "inch"', "units =", "'inch'", "'mm' or 'in'", "did you mean 'in'?"),
    (
        "[standoff]",
        "[[products]]\nfile = 'p.csv'\n[standoff]",
        "[[products]]",
        "products is [{",
        "a table",
        "",
    ),
    ("[line]", "[lines]", "[lines]", "unknown key 'lines'", "line", "did you mean 'line'?"),
    # keys and kinds of values
    ('flow = "left', 'flwo = "left', "flwo", "unknown key 'flwo' in [line]", "flow", "mean 'flow'?"),
    ('speed = "30 m/min"', "", "[line]", "no key 'speed' in [line]", "30 m/min", "add it"),
    ('"left_to_right"', '"left_right"', "flow =", "'left_right'", "left_to_right", "mean 'left_to_right'?"),
    ('"left_to_right"', "1", "flow =", "line.flow is 1", "left_to_right", ""),
    ('surface = "rollers"', 'surface = "roller"', "surface =", "'roller'", "rollers", "mean 'rollers'?"),
    ("roller_pitch = 75\n", "", "[line]", "no key 'roller_pitch'", "roller to roller", "add it"),
    (
        'profile = "',
        'file = "a.dxf"\nprofile = "',
        "file =",
        "both profile and file",
        "a drawn one",
        "leave one",
    ),
    ('profile = "channel-formed-120x40x2.5"\n', "", "[rail]", "no key 'profile'", "file = ...", "add it"),
    ('profile = "', 'profle = "', "profle", "unknown key 'profle'", "profile", "mean 'profile'?"),
    (
        'profile = "',
        'layer = "cut"\nprofile = "',
        "layer =",
        "'layer' in [rail] without file",
        "beside file",
        "",
    ),
    (
        'profile = "',
        'units = "in"\nprofile = "',
        'units = "in',
        "'units' in [rail] without",
        "beside file",
        "",
    ),
    ("[line]", "[[line]]", "[[line]]", "line is [{", "a table", ""),
    ('attach = ["bolted", "clamped"]', "attach = []", "attach", "rail.attach is []", "at least one", ""),
    ('["bolted", "clamped"]', '["bolted",\n "clampd"]', ' "clampd"', "'clampd'", "clamped", "'clamped'?"),
    ('["bolted", "clamped"]', '"bolted"', "attach", "'bolted'", "a list in brackets", "how a mount"),
    ('what = "leg bolt"\n', "", "[[rail.keepout]]", "no key 'what'", "what stands there", "add it"),
    ("[guides]", "[guides]\ndeep = 5", "deep = 5", "unknown key 'deep' in [guides]", "depth", "'depth'?"),
    ('"carton S"', '""', 'name = ""', "product[1].name is ''", "printable", ""),
    ('"carton S"', '"a\\nb"', 'name = "a', "product[1].name", "printable", ""),
    # lengths, speeds, angles
    ("far_rail_at = 520", 'far_rail_at = "5 Mm"', "far_rail_at", "'5 Mm'", "a length", "as 'mm'"),
    ("far_rail_at = 520", 'far_rail_at = "1,250 mm"', "far_rail_at", "1.25 or as 1250", "one way", "1.25 or"),
    ("far_rail_at = 520", 'far_rail_at = "3/0"', "far_rail_at", "divides by zero", "a length", ""),
    ("far_rail_at = 520", 'far_rail_at = ""', "far_rail_at", "empty text", "a length", ""),
    ("far_rail_at = 520", "far_rail_at = nan", "far_rail_at", "nan", "a length", ""),
    ("far_rail_at = 520", "far_rail_at = inf", "far_rail_at", "inf", "a length", ""),
    ("far_rail_at = 520", "far_rail_at = true", "far_rail_at", "True", "a length", ""),
    ("far_rail_at = 520", "far_rail_at = [520]", "far_rail_at", "[520]", "a length", ""),
    ("far_rail_at = 520", "far_rail_at = -520", "far_rail_at", "below zero", "not negative", ""),
    ("far_rail_at = 520", 'far_rail_at = "52 m"', "far_rail_at", "52000 mm", "3000 mm", "check"),
    ("height = 150", "height = 0", "height = 0", "0 mm", "0.1 mm to 3000 mm", "check"),
    ("height = 150", 'height = "10 ft"', 'height = "10', "3048 mm", "3000 mm", "check"),
    ('"30 m/min"', "30", "speed", "30 without a unit", "a speed with its unit", "add the unit"),
    ('"30 m/min"', '"0 m/min"', "speed", "0 m/min", "more than 0", "check"),
    ('"30 m/min"', '"11 m/s"', "speed", "660 m/min", "600 m/min", "check"),
    ('"30 m/min"', "[30]", "speed", "[30]", "a speed", ""),
    ("slope_deg = 0", "slope_deg = 31", "slope_deg", "31 deg", "-30 deg to 30 deg", ""),
    ("slope_deg = 0", 'slope_deg = "1 mm"', "slope_deg", "'1 mm'", "an angle", ""),
    ("slope_deg = 0", "slope_deg = [1]", "slope_deg", "[1]", "an angle", ""),
    ('target = "3.2 mm"', 'target = "3 +/- 1 mm"', "target", "with +/-", "without +/-", "leave"),
    ("z = [40, 70]", "z = [70, 40]", "z = [70", "[70, 40] mm", "smaller length first", "swap"),
    ("open = [-110, 110]", "open = [110, -110]", "open =", "does not rise", "smaller", "swap"),
    ("x = [-310, -270]", "x = -310", "x = -310", "-310", "two lengths", "write both"),
    ("size = [80, 12]", "size = [80]", "size = [80]", "[80]", "two lengths", "write both"),
    ("size = [80, 12]", 'size = [80, "12 Mm"]', "size = [80", "'12 Mm'", "a length", "'mm'"),
    # what must fit together
    ("roller_diameter = 50", "roller_diameter = 80", "roller_diameter", "80 mm", "roller_pitch, 75", ""),
    ("axle_diameter = 12", "axle_diameter = 50", "axle_diameter", "50 mm", "roller_diameter, 50", ""),
    ("free_from = -600", "free_from = 610", "free_from", "610 mm", "free_to, 610 mm", ""),
    ("far_rail_at = 520", "far_rail_at = 80", "far_rail_at", "overlap", "more than 80 mm", "measure"),
    ("near_y = 60", "near_y = 470", "near_y", "470 mm", "guides.far_y, 470 mm", "correct"),
    ("best = [2, 4]", "best = [2, 7]", "best =", "2 to 7 mm", "1 to 6 mm", "narrow"),
    ('target = "3.2 mm"', "target = 5", "target", "5 mm", "2 to 4 mm", "move the target"),
    (
        "far_y = 470",
        "far_y = 470\nplay = 201",
        "play =",
        "play is 201 mm",
        "room between the guides beside product 'carton M'",
        "pushed",
    ),
    ("far_y = 470", "far_y = 470\nplay = -1", "play =", "below zero", "not negative", ""),
    ("far_y = 470", 'far_y = 470\nplay = "1 +/- 1 mm"', "play =", "with +/-", "without +/-", "leave"),
    (
        "height = 150",
        "height = 150\nclearance_height = 149",
        "clearance_",
        "is 149 mm",
        "its height, 150 mm",
        "",
    ),
    ("width = 200", "width = 411", "width = 411", "411 mm wide", "410 mm, the space between the guides", ""),
    (
        'against = "near"\ngap = 250',
        "gap = 250",
        "[[product]]",
        "no key 'against'",
        "near, far or centre",
        "",
    ),
    ("above_base = 32", "above_base = 139", "above_base", "139 + 12 = 151", "height, 150 mm", "to 138 mm"),
    ("below_top = 33", "below_top = 149", "below_top", "149 + 12 = 161", "height, 160 mm", "to 148 mm"),
    ("size = [80, 12]", "size = [80, 151]", "above_base", "32 + 151", "height, 150 mm", "smaller"),
    ("from_leading = 45", "from_leading = 221", "from_leading = 221", "301 mm", "length, 300 mm", "220 mm"),
    (
        "above_base = 32",
        "above_base = 32\nbelow_top = 5",
        "below_top = 5",
        "above_base and below_top",
        "",
        "",
    ),
    ("above_base = 32\n", "", "[product.code]", "neither", "exactly one", "add one"),
    ("above_base = 32", "above_base = 32\nfrom_near = 5", "from_near", "on the near_side", "above_base", ""),
    ('"carton M"', '"Carton s"', '"Carton s"', "as product[1] is", "of its own", "rename"),
    # devices
    ('"head-50"', '"haed-50"', "haed-50", "'haed-50'", "head-50", "mean 'head-50'?"),
    ('"eye-m18-diffuse"', '"eye-18"', "eye-18", "sensor.device", "eye-m18-diffuse", ""),
    ('"encoder-wheel-200"', '"encoder-wheel"', "encoder-wheel", "encoder.device", "encoder-wheel-200", ""),
    ('"controller-panel"', '"nothing"', "nothing", "controller.device", "controller-panel", ""),
    ('"channel-formed-120x40x2.5"', '"channel-120"', "channel-120", "rail.profile", "channel-formed", ""),
    ('device = "head-50"', "device = 50", "device = 50", "head.device is 50", "a device's name", ""),
    ('device = "head-50"', 'devcie = "head-50"', "devcie", "unknown key 'devcie'", "device", "'device'?"),
]


def faults_of(path, text):
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SurveyError) as caught:
        read_survey(path, Catalogue())
    return caught.value.faults


def line_with(text, marker):
    return text[: text.index(marker)].count("\n") + 1


KEY_FAULTS = (
    "unknown key",
    "for a code on",
    "above_base and below_top",
    "in [rail] without",
    "both profile",
    "yet",
)


def column_in(line, found):
    """Where the fault stands in its line: at the header's name, at a key that is wrong, else at the value."""
    if line.startswith("["):
        return max(line.rfind("."), line.rfind("[")) + 2
    if line[:1] in (" ", "") or any(words in found for words in KEY_FAULTS):
        return len(line) - len(line.lstrip()) + 1
    return line.index("=") + 3


def test_the_text_that_the_cases_spoil_is_good(tmp_path):
    path = tmp_path / "line.toml"
    path.write_text(GOOD, encoding="utf-8")
    assert read_survey(path, Catalogue()).name == "trial-line"


@pytest.mark.parametrize("case", CASES, ids=lambda case: case[1][:40] or "no " + case[0][:40])
def test_one_fault(tmp_path, case):
    old, new, marker, found, expected, action = case
    assert old in GOOD
    text = GOOD.replace(old, new, 1)
    faults = faults_of(tmp_path / "line.toml", text)
    assert len(faults) == 1, [str(fault) for fault in faults]
    line = line_with(text, marker)
    column = column_in(text.split("\n")[line - 1], faults[0].found)
    assert faults[0].where == f"{tmp_path / 'line.toml'}:{line}:{column}"
    assert found in faults[0].found
    assert expected in faults[0].expected
    assert action in faults[0].action


def line_of(fault):
    return int(fault.where.split(":")[-2])


def spoilt(tmp_path, *changes):
    text = GOOD
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return text, faults_of(tmp_path / "line.toml", text)


TOP_CODE = "above_base = 32", "from_near = 30"
BOTH_ON_TOP = ('face = "near_side"', 'face = "top"'), TOP_CODE, ("below_top = 33", "from_near = 30")


def test_code_on_the_top_beyond_the_far_side(tmp_path):
    text, faults = spoilt(tmp_path, *BOTH_ON_TOP, ("width = 200", "width = 41"))
    assert [line_of(fault) for fault in faults] == [line_with(text, "from_near")]
    assert "30 + 12 = 42 mm" in faults[0].found
    assert "width, 41 mm" in faults[0].expected


def test_code_on_the_top_needs_from_near(tmp_path):
    text, faults = spoilt(tmp_path, *BOTH_ON_TOP, ("from_near = 30\nfrom_leading = 45", "from_leading = 45"))
    assert len(faults) == 1
    assert faults[0].where.endswith(f":{line_with(text, '[product.code]')}:10")
    assert "no key 'from_near'" in faults[0].found


def test_heights_mean_nothing_on_the_top(tmp_path):
    text, faults = spoilt(tmp_path, *BOTH_ON_TOP, ("from_leading = 45", "above_base = 9\nfrom_leading = 45"))
    assert len(faults) == 1
    assert faults[0].where.endswith(f":{line_with(text, 'above_base')}:1")
    assert "'above_base' for a code on the top" in faults[0].found


def test_two_faces_in_one_survey(tmp_path):
    _, faults = spoilt(tmp_path, ("size = [81, 12]\nbelow_top = 33", "size = [81, 12]\nfrom_near = 33"))
    assert "'from_near' for a code on the near_side" in str(faults[0].found) + str(faults[-1].found)
    text = GOOD.replace("[81, 12]\nbelow_top", "[81, 12]\nfrom_near")
    second = text.rindex('face = "near_side"')
    text = text[:second] + text[second:].replace("near_side", "top", 1)
    faults = faults_of(tmp_path / "line.toml", text)
    assert len(faults) == 1
    assert faults[0].where.endswith(f":{line_with(text, 'face = ' + chr(34) + 'top')}:8")
    assert "same face for every product" in faults[0].expected


GUIDES = GOOD[GOOD.index("[guides]") : GOOD.index("[[product]]")]


def test_without_guides_each_product_says_where_it_runs(tmp_path):
    text, faults = spoilt(tmp_path, (GUIDES, ""))
    lines = [number for number, line in enumerate(text.splitlines(), 1) if line == "[[product]]"]
    assert [line_of(fault) for fault in faults] == lines
    assert all("near_side_at" in fault.found for fault in faults)


def test_product_beside_rails_that_stand_above_the_surface(tmp_path):
    changes = [(GUIDES, ""), ("top_above_surface = -6", "top_above_surface = 20")]
    text, faults = spoilt(tmp_path, *changes, ('against = "near"', "near_side_at = 290"))
    assert [line_of(fault) for fault in faults] == [
        number for number, line in enumerate(text.splitlines(), 1) if "near_side_at" in line
    ]
    # the flanges of both rails point in: from 40 mm to 520 - 40 = 480 mm is free
    assert all("40 mm to 480 mm" in fault.expected for fault in faults)
    assert "from y = 290 mm to 490 mm" in faults[0].found


def test_all_faults_come_together_in_the_order_of_the_file(tmp_path):
    text, faults = spoilt(
        tmp_path,
        ('"left_to_right"', '"up"'),
        ("near_y = 60", "near_y = 480"),
        ("best = [2, 4]", "best = [2, 9]"),
        ('"head-50"', '"head-51"'),
        ("width = 210", 'width = "210 kg"'),
    )
    lines = [line_of(fault) for fault in faults]
    markers = ['"up"', "near_y", '"210 kg"', "best =", "head-51"]
    assert lines == sorted(line_with(text, marker) for marker in markers)


def test_a_wrong_unit_of_the_file_is_one_fault(tmp_path):
    _, faults = spoilt(tmp_path, ('units = "mm"', 'units = "furlong"'))
    assert len(faults) == 1


def test_without_units_every_bare_length_asks_for_one(tmp_path):
    _, faults = spoilt(tmp_path, ('units = "mm"\n', ""))
    assert len(faults) > 20
    assert all("without a unit" in fault.found for fault in faults)


@pytest.mark.parametrize(
    ("old", "new", "marker", "column"),
    [
        ("far_rail_at = 520", "far_rail_at = 20 1/2 in", "far_rail_at", 18),
        ("[standoff]", "[standoff", "[standoff", 10),
        ("slope_deg = 0", "slope_deg = 0\nslope_deg = 1", "slope_deg = 1", 14),
        ('device = "controller-panel"\n', 'device = """controller-panel', 'device = """', 29),
    ],
)
def test_broken_toml(tmp_path, old, new, marker, column):
    text = GOOD.replace(old, new, 1)
    faults = faults_of(tmp_path / "line.toml", text)
    assert [fault.where for fault in faults] == [
        f"{tmp_path / 'line.toml'}:{line_with(text, marker)}:{column}"
    ]
    assert "not TOML" in faults[0].found
    assert '"2 1/4 in"' in faults[0].action


@pytest.mark.parametrize(("value", "found"), [("[" * 5000, "nested"), ("9" * 5000, "cannot be read")])
def test_toml_that_overwhelms_the_reader(tmp_path, value, found):
    faults = faults_of(tmp_path / "line.toml", GOOD.replace("slope_deg = 0", f"slope_deg = {value}"))
    assert [fault.where for fault in faults] == [str(tmp_path / "line.toml")]
    assert found in faults[0].found


@pytest.mark.parametrize("value", ["0x" + "f" * 9000, "-1" + "0" * 19, "[[{ a = 0b" + "1" * 9000 + " }]]"])
def test_numbers_without_end(tmp_path, value):
    text = GOOD.replace("slope_deg = 0", f"slope_deg = {value}")
    faults = faults_of(tmp_path / "line.toml", text)
    column = 21 if value[0] == "[" else 13
    assert [fault.where for fault in faults] == [
        f"{tmp_path / 'line.toml'}:{line_with(text, 'slope')}:{column}"
    ]
    assert "bits" in faults[0].found


def test_faults_beside_a_drawing_that_cannot_be_asked_for(tmp_path):
    changes = [('profile = "channel-formed-120x40x2.5"', 'file = "a.dxf"\nloop = 0'), ("[line]", "[lines]")]
    text, faults = spoilt(tmp_path, *changes)
    assert [line_of(fault) for fault in faults] == [
        line_with(text, marker) for marker in ("[lines]", "loop =")
    ]


# Places counted by hand in lines that hold more than one thing.
@pytest.mark.parametrize(
    ("old", "new", "line", "column"),
    [
        ("[head]\ndevice", 'head = { devise = "head-50" }\n#', "head = {", 10),
        ("[head]\ndevice", "head = { device = 50 }\n#", "head = {", 19),
        ("[head]\ndevice", "head = {   }\n#", "head = {", 1),
        ("[head]\ndevice", 'head . device = "haed-50"\n#', "head . device", 17),
        ('["bolted", "clamped"]', '["bolted", "clampd"]', "attach =", 21),
        ('"30 m/min"', '"30 m"', "speed =", 9),
        ("speed =", "\t  speeed =", "speeed", 4),
    ],
)
def test_columns_by_hand(tmp_path, old, new, line, column):
    assert old in GOOD
    text = GOOD.replace(old, new, 1)
    if new.startswith("head"):
        text = text.replace(new, "#") + "\n"
        text = new + "\n" + text
    faults = faults_of(tmp_path / "line.toml", text)
    assert [fault.where for fault in faults] == [f"{tmp_path / 'line.toml'}:{line_with(text, line)}:{column}"]


def test_a_file_that_is_not_there(tmp_path):
    with pytest.raises(SurveyError) as caught:
        read_survey(tmp_path / "none.toml", Catalogue())
    assert caught.value.faults[0].where == str(tmp_path / "none.toml")
    assert "no such file" in caught.value.faults[0].found


def test_a_file_that_is_too_long_to_be_a_survey(tmp_path):
    path = tmp_path / "line.toml"
    padding = "#" * (500_000 - len(GOOD) - 1)
    path.write_text(f"{GOOD}{padding}\n", encoding="utf-8")
    assert read_survey(path, Catalogue()).name == "trial-line"
    faults = faults_of(path, f"{GOOD}{padding}#\n")
    assert [fault.where for fault in faults] == [str(path)]
    assert "longer than any survey" in faults[0].found


def test_a_long_key_does_not_flood_the_screen(tmp_path):
    faults = faults_of(tmp_path / "line.toml", "k" * 100_000 + " = 1\n" + GOOD)
    assert len(faults) == 1
    assert len(str(faults[0])) < 500


def test_a_folder(tmp_path):
    with pytest.raises(SurveyError, match="this is a folder"):
        read_survey(tmp_path, Catalogue())


def test_bytes_that_are_not_utf8(tmp_path):
    path = tmp_path / "old.toml"
    path.write_bytes(GOOD.replace("carton S", "Sämchen").encode("cp1252"))
    with pytest.raises(SurveyError) as caught:
        read_survey(path, Catalogue())
    assert caught.value.faults[0].where == f"{path}:{line_with(GOOD, 'carton S')}:10"
    assert "0xe4" in caught.value.faults[0].found


def test_empty_file_names_every_missing_part(tmp_path):
    faults = faults_of(tmp_path / "empty.toml", "")
    assert {fault.where for fault in faults} == {f"{tmp_path / 'empty.toml'}:1:1"}
    missing = ("schema", "name", "line", "rail", "standoff", "head", "sensor", "controller", "product")
    assert [fault.found.split("'")[1] for fault in faults] == list(missing)


@pytest.mark.parametrize("value", ["product = 1", "product = []", "product = [1]", "[product]\nname = 'a'"])
def test_products_that_are_no_tables(tmp_path, value):
    start, end = GOOD.index("[[product]]"), GOOD.index("[standoff]")
    head, tail = GOOD[:start], GOOD[end:]
    text = value + "\n" + head + tail if value.startswith("product") else head + value + "\n" + tail
    faults = faults_of(tmp_path / "line.toml", text)
    assert len(faults) == 1
    assert "product" in faults[0].found


def test_a_broken_file_of_the_catalogue_is_reported_as_its_own(tmp_path):
    folder = tmp_path / "profiles"
    shutil.copytree(profiles_folder(), folder)
    (folder / "devices" / "heads" / "head-50.toml").write_text("print_height = [", encoding="utf-8")
    path = tmp_path / "line.toml"
    path.write_text(GOOD, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_survey(path, Catalogue(folder))
    assert [fault.where for fault in caught.value.faults] == [str(folder / "devices/heads/head-50.toml")]
