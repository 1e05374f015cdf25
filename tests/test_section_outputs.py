"""What comes out of a read section: words, picture, profile file; and that reading stays a light import."""

import subprocess
import sys
import tomllib
from xml.etree import ElementTree

import pytest
from section_drawings import channel_points, contours, drawing, polyline

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.sections import extrusion_contours
from mountgen.geometry import Contour, Vertex
from mountgen.mechanics.sections import section_properties
from mountgen.section.drawing import draw_section
from mountgen.section.picture import section_png
from mountgen.section.profile import section_toml
from mountgen.section.reader import read_section
from mountgen.section.words import describe


@pytest.fixture
def channel(tmp_path):
    points = [(-y, x) for x, y in channel_points(100, 40, 2.5)]
    return read_section(drawing(tmp_path / 'rail "A" & co.dxf', lambda m: polyline(m, points)))


@pytest.fixture
def bar(tmp_path):
    outline, holes = extrusion_contours(Catalogue().extrusion("tslot-40"))
    return read_section(drawing(tmp_path / "bar.dxf", lambda m: contours(m, (outline, *holes))))


def test_the_words_name_kind_sizes_web_flanges_and_what_was_done(channel):
    text = describe(channel)
    assert "channel, 100 x 40 mm (depth x width), walls 2.5 mm" in text
    assert "web 2.5 mm thick, flat on both sides from y = -97.5 to -2.5" in text
    assert "flange at the top, pointing right: 40 mm wide, 2.5 mm thick" in text
    assert "F1: 100 mm from (0, 0) to (0, -100), facing left" in text
    assert "the drawing is in millimetres, as its header says" in text
    assert "turned by -90 deg" in text


def test_the_words_name_every_slot(bar):
    text = describe(bar)
    assert text.count("T-slot facing ") == 4
    assert "8.2 mm open, lips 3.5 mm, 20 mm wide behind them, 12 mm deep" in text
    assert "round hollow of diameter 5 mm at (20, -20)" in text


def test_the_picture_is_sound_svg_with_every_face_and_size(channel):
    root = ElementTree.fromstring(draw_section(channel))
    texts = [e.text for e in root.iter() if e.tag.endswith("text")]
    for wanted in ("100", "40", "web", "t = 2.5", *(face.name for face in channel.faces)):
        assert wanted in texts
    assert any('rail "A" & co.dxf' in (text or "") for text in texts)
    assert len([e for e in root.iter() if e.get("class") == "metal"]) == 1


def test_the_picture_draws_hollows_and_arcs_to_scale(bar):
    root = ElementTree.fromstring(draw_section(bar))
    (metal,) = [e for e in root.iter() if e.get("class") == "metal"]
    shape = metal.get("d")
    assert shape.count("Z") == 1 + len(bar.holes)
    assert "A5 5 0 0 0 " in shape, "a bore of diameter 5 drawn 2 : 1, counter-clockwise on the paper"
    assert " 0 0 1 " not in shape, "no corner is rounded inwards"


def test_the_same_section_gives_the_same_picture(channel):
    assert draw_section(channel) == draw_section(channel)
    first = section_png(channel)
    assert first.startswith(b"\x89PNG")
    assert first == section_png(channel)


def test_the_profile_file_holds_the_whole_section(bar):
    data = tomllib.loads(section_toml(bar, "my-bar"))
    assert data["name"] == "my-bar"
    assert data["kind"] == "drawn"
    assert data["shape"] == "T-slot"
    outline, *holes = (
        Contour(tuple(Vertex(*corner) for corner in corners)) for corners in (data["outline"], *data["holes"])
    )
    assert section_properties(outline, holes).area == pytest.approx(bar.properties.area, rel=1e-6)
    assert len(data["slot"]) == 4
    assert data["slot"][0]["opening"] == pytest.approx(8.2)


def test_the_profile_file_of_a_channel_names_web_and_flanges(channel):
    data = tomllib.loads(section_toml(channel, "my-rail"))
    assert data["web"] == {"thickness": 2.5, "plain": [-100.0, 0.0], "inner": [-97.5, -2.5]}
    assert {(f["at"], f["side"], f["reach"]) for f in data["flange"]} == {
        ("top", "right", 40.0),
        ("bottom", "right", 40.0),
    }
    assert data["source"] == 'drawing rail "A" & co.dxf'


@pytest.mark.parametrize("name", ['quo"te', "back\\slash", "del\x7f", "line\nbreak", "größe ⌀"])
def test_any_name_stays_one_toml_string(channel, name):
    assert tomllib.loads(section_toml(channel, name))["name"] == name


def test_reading_is_imported_without_ezdxf_and_typst():
    modules = ["reader", "words", "drawing", "picture", "profile"]
    imports = ";".join(f"import mountgen.section.{module}" for module in modules)
    check = f"{imports}; import sys; print(sorted({{'ezdxf', 'typst', 'OCP'}} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", check], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
