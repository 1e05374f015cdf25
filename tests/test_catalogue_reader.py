"""What the reader says of names that are not there and of files that are wrong."""

import shutil

import pytest

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.errors import CatalogueError


@pytest.fixture
def profiles(tmp_path):
    """A copy of profiles/ to spoil."""
    copy = tmp_path / "profiles"
    shutil.copytree(profiles_folder(), copy)
    return copy


def fault_of(look_up):
    with pytest.raises(CatalogueError) as caught:
        look_up()
    return caught.value.faults


def spoil(path, old, new):
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_a_record_is_read_once(profiles):
    catalogue = Catalogue(profiles)
    first = catalogue.rail("upn-80")
    (profiles / "rails" / "upn-80.toml").unlink()
    assert catalogue.rail("upn-80") is first


def test_names_are_sorted_and_follow_the_folder(profiles):
    shutil.copy(profiles / "rails" / "upn-80.toml", profiles / "rails" / "a-rail.toml")
    names = Catalogue(profiles).names("rails")
    assert names[0] == "a-rail"
    assert list(names) == sorted(names)
    assert Catalogue(profiles).rail("a-rail").name == "a-rail"


@pytest.mark.parametrize(
    ("method", "name", "nearest"),
    [
        ("rail", "upn80", "upn-80"),
        ("rail", "channel-formed-120x40x25", "channel-formed-120x40x2.5"),
        ("head", "head-51", "head-50"),
        ("sensor", "eye-m18", "eye-m18-diffuse"),
        ("encoder", "encoder-wheel-20", "encoder-wheel-200"),
        ("controller", "controler-panel", "controller-panel"),
        ("thread", "M6x1", "M6"),
        ("material", "steel-s234", "steel-s235"),
        ("extrusion", "tslot40", "tslot-40"),
    ],
)
def test_unknown_name_gives_the_nearest(method, name, nearest):
    (fault,) = fault_of(lambda: getattr(Catalogue(), method)(name))
    assert f"'{name}'" in fault.found
    assert nearest in fault.action
    assert nearest in fault.expected


def test_a_name_is_never_a_path():
    fault_of(lambda: Catalogue().rail("../materials/steel-s235"))


def test_empty_folder_says_what_to_add(tmp_path):
    (fault,) = fault_of(lambda: Catalogue(tmp_path).rail("upn-80"))
    assert "upn-80.toml" in fault.action


def test_broken_toml_names_file_and_line(profiles):
    path = profiles / "devices" / "heads" / "head-50.toml"
    spoil(path, "print_height = 50.8", "print_height = ")
    (fault,) = fault_of(lambda: Catalogue(profiles).head("head-50"))
    assert fault.where == str(path)
    assert "line 4" in fault.found


def test_broken_encoding(profiles):
    path = profiles / "rails" / "upn-80.toml"
    path.write_bytes(b'title = "\xff"')
    (fault,) = fault_of(lambda: Catalogue(profiles).rail("upn-80"))
    assert fault.where == str(path)
    assert "UTF-8" in fault.action


def test_missing_threads_file(tmp_path):
    (fault,) = fault_of(lambda: Catalogue(tmp_path).thread("M6"))
    assert fault.where.endswith("threads.toml")
    assert "cannot be read" in fault.found


def test_every_fault_of_a_file_is_told_at_once(profiles):
    path = profiles / "rails" / "upe-80.toml"
    spoil(path, "depth = 80", 'deep = 80\nflange_slope = "none"')
    faults = fault_of(lambda: Catalogue(profiles).rail("upe-80"))
    found = "\n".join(fault.found for fault in faults)
    assert "'depth' is missing" in found
    assert "deep = 80" in found
    assert "flange_slope = 'none'" in found
    assert {fault.where for fault in faults} == {str(path)}


@pytest.mark.parametrize("value", ["-80", "0", "nan", "inf", "true", '"80"'])
def test_no_such_depth(profiles, value):
    spoil(profiles / "rails" / "upe-80.toml", "depth = 80", f"depth = {value}")
    faults = fault_of(lambda: Catalogue(profiles).rail("upe-80"))
    assert any("depth" in fault.found for fault in faults)


def test_a_fault_of_one_thread_names_it(profiles):
    spoil(profiles / "fasteners" / "threads.toml", "pitch = 1.25", 'pitch = "coarse"')
    (fault,) = fault_of(lambda: Catalogue(profiles).thread("M8"))
    assert "M8: pitch = 'coarse'" in fault.found
    assert Catalogue(profiles).thread("M6").pitch == 1.0


def test_a_thread_that_is_no_table(profiles):
    path = profiles / "fasteners" / "threads.toml"
    path.write_text('M6 = "six"\n', encoding="utf-8")
    (fault,) = fault_of(lambda: Catalogue(profiles).thread("M6"))
    assert "no table" in fault.found


def test_a_name_inside_that_disagrees_with_the_file(profiles):
    path = profiles / "rails" / "upe-80.toml"
    path.write_text('name = "upe-800"\n' + path.read_text(encoding="utf-8"), encoding="utf-8")
    (fault,) = fault_of(lambda: Catalogue(profiles).rail("upe-80"))
    assert "upe-800" in fault.found


@pytest.mark.parametrize(
    ("method", "name", "old", "new", "rule"),
    [
        ("rail", "rails/upe-80", "depth = 80", "depth = 30", "flat part"),
        ("rail", "rails/upn-80", "toe_radius = 4", "toe_radius = 7", "toe"),
        ("rail", "rails/upn-80", "toe_radius = 4", "toe_radius = 4\nlip = 12", "lip"),
        ("rail", "rails/channel-formed-80x40x2", "web_thickness = 2", "web_thickness = 3", "one thickness"),
        ("rail", "rails/lipped-formed-100x40x10x2", "lip = 10", "lip = 3", "lip"),
        ("extrusion", "extrusions/tslot-20", "nut_width = 10", "nut_width = 11", "nut"),
        ("extrusion", "extrusions/tslot-40", "slot_depth = 12", "slot_depth = 19", "core"),
        ("extrusion", "extrusions/tslot-40", "corner_void = 6", "corner_void = 10", "corner"),
        ("head", "devices/heads/head-25", "u_below = 20", "u_below = 9", "column"),
        ("head", "devices/heads/head-70", "tilt_max_deg = 0", "tilt_max_deg = -5", "tilt"),
        ("sensor", "devices/sensors/eye-m18-diffuse", "nut_thickness = 4", "", "barrel"),
        ("sensor", "devices/sensors/eye-flat-diffuse", "width = 12", "", "flat"),
        ("sensor", "devices/sensors/eye-m12-diffuse", "range_min = 10", "range_min = 200", "range"),
    ],
)
def test_sizes_that_cannot_be(profiles, method, name, old, new, rule):
    spoil(profiles / f"{name}.toml", old, new)
    (fault,) = fault_of(lambda: getattr(Catalogue(profiles), method)(name.split("/")[-1]))
    assert rule in fault.expected


def test_an_unknown_key_named_like_a_kind_of_rail_is_told(profiles):
    spoil(profiles / "extrusions" / "tslot-40.toml", "size = 40", "size = 40\nflat = 3")
    (fault,) = fault_of(lambda: Catalogue(profiles).extrusion("tslot-40"))
    assert "flat = 3" in fault.found
