"""Rails that cannot be drawn and files that are wrong: the message names the file and the rule."""

import shutil

import pytest

from mountgen.catalogue.rails import RAIL_KINDS
from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.errors import CatalogueError


@pytest.fixture
def profiles(tmp_path):
    """A copy of profiles/ to spoil."""
    copy = tmp_path / "profiles"
    shutil.copytree(profiles_folder(), copy)
    return copy


def spoiled(profiles, name, old, new):
    """The faults of a rail's file after one change in it."""
    path = profiles / "rails" / f"{name}.toml"
    text = path.read_text(encoding="utf-8")
    assert f"\n{old}\n" in text
    path.write_text(text.replace(f"\n{old}\n", f"\n{new}\n"), encoding="utf-8")
    with pytest.raises(CatalogueError) as caught:
        Catalogue(profiles).rail(name)
    assert {fault.where for fault in caught.value.faults} == {str(path)}
    return caught.value.faults


@pytest.mark.parametrize(
    ("name", "old", "new", "rule"),
    [
        ("lipped-formed-100x40x10x2", "lip = 10", "lip = 50", "mouth"),
        ("z-formed-80x40x2", "depth = 80", "depth = 8", "web needs a flat part"),
        ("z-formed-80x40x2", "top_flange = 40", "top_flange = 4", "top flange must reach"),
        ("z-formed-80x40x2", "bottom_flange = 40", "bottom_flange = 3", "bottom flange must reach"),
        ("z-formed-80x40x2", "inside_radius = 2", "inside_radius = 38", "flat part"),
        ("l-50x50x5", "depth = 50", "depth = 15", "upright leg needs a flat part"),
        ("l-50x50x5", "flange_width = 50", "flange_width = 15.5", "flange must reach"),
        ("l-50x50x5", "toe_radius = 3.5", "toe_radius = 5", "toe"),
        ("angle-formed-80x40x3", "thickness = 3", "thickness = 3\ntoe_radius = 1", "no toe radius"),
        ("flat-50x6", "thickness = 6", "thickness = 50", "deeper than it is thick"),
        ("tube-60x40x3", "thickness = 3", "thickness = 20", "leave a hollow"),
        ("tube-60x40x3", "outside_radius = 6", "outside_radius = 20", "flat part"),
        ("tube-round-48.3x3", "thickness = 3", "thickness = 24.15", "leave a hollow"),
    ],
)
def test_sizes_that_cannot_be(profiles, name, old, new, rule):
    (fault,) = spoiled(profiles, name, old, new)
    assert rule in fault.expected
    assert fault.action == "mend the sizes that disagree"


@pytest.mark.parametrize(
    ("name", "old", "new", "found", "action"),
    [
        ("tube-60x40x3", "width = 40", "widht = 40", "'width' is missing", "mend 'width'"),
        ("tube-60x40x3", "width = 40", 'width = "40"', "width = '40'", "mend 'width'"),
        ("tube-60x40x3", "width = 40", "width = -40", "width = -40", "mend 'width'"),
        ("tube-round-48.3x3", "diameter = 48.3", "diameter = nan", "diameter = nan", "mend 'diameter'"),
        ("flat-50x6", "depth = 50", "depth = true", "depth = True", "mend 'depth'"),
        ("l-50x50x5", 'flange_at = "bottom"', 'flange_at = "left"', "flange_at = 'left'", "mend 'flange_at'"),
        ("tslot-rail-40x80", "cells = 2", "cells = 0", "cells = 0", "mend 'cells'"),
        ("tslot-rail-40x80", "cells = 2", "cells = 1.5", "cells = 1.5", "mend 'cells'"),
        (
            "tslot-rail-40x80",
            'extrusion = "tslot-40"',
            "extrusion = 40",
            "extrusion = 40",
            "mend 'extrusion'",
        ),
    ],
)
def test_values_that_cannot_be(profiles, name, old, new, found, action):
    faults = spoiled(profiles, name, old, new)
    assert f"{name}: {found}" in [fault.found for fault in faults]
    assert action in [fault.action for fault in faults]


def test_a_key_of_another_kind_is_told(profiles):
    (fault,) = spoiled(profiles, "flat-50x6", "thickness = 6", "thickness = 6\nflange_width = 30")
    assert "flange_width = 30" in fault.found


def test_every_fault_at_once(profiles):
    faults = spoiled(profiles, "tube-60x40x3", "depth = 60", 'deep = 60\ncolour = "grey"')
    assert len(faults) == 3


@pytest.mark.parametrize(
    ("new", "found", "action"),
    [
        ('kind = "rect_tub"', "kind = 'rect_tub'", "did you mean 'rect_tube'?"),
        ('kind = "Round_Tube"', "kind = 'Round_Tube'", "did you mean 'round_tube'?"),
        ("kind = 7", "kind = 7", "say what kind of rail it is"),
        ("", "'kind' is missing", "say what kind of rail it is"),
        ("kind = []", "kind = []", "say what kind of rail it is"),
    ],
)
def test_no_such_kind(profiles, new, found, action):
    (fault,) = spoiled(profiles, "tube-60x40x3", 'kind = "rect_tube"', new)
    assert found in fault.found
    assert fault.action == action
    assert all(kind in fault.expected for kind in RAIL_KINDS)


def test_a_kind_that_does_not_fit_its_sizes(profiles):
    """Not one complaint about the kind's name, but every size that a round tube lacks or does not know."""
    faults = spoiled(profiles, "tube-60x40x3", 'kind = "rect_tube"', 'kind = "round_tube"')
    told = "\n".join(fault.found for fault in faults)
    assert "'diameter' is missing" in told
    assert "depth = 60" in told
    assert "outside_radius = 6" in told


def test_a_slot_rail_of_no_such_extrusion(profiles):
    (fault,) = spoiled(profiles, "tslot-rail-40x80", 'extrusion = "tslot-40"', 'extrusion = "tslot-44"')
    assert "no extrusion is named 'tslot-44'" in fault.found
    assert "tslot-40" in fault.action


def test_a_broken_extrusion_is_told_of_its_own_file(profiles):
    path = profiles / "extrusions" / "tslot-40.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("slot_depth = 12", "slot_depth = 19"), "utf-8")
    with pytest.raises(CatalogueError) as caught:
        Catalogue(profiles).rail("tslot-rail-40x80")
    assert caught.value.faults[0].where == str(path)


def test_a_channel_is_asked_for_and_a_tube_found():
    catalogue = Catalogue()
    with pytest.raises(CatalogueError) as caught:
        catalogue.channel("tube-60x40x3")
    (fault,) = caught.value.faults
    assert fault.where.endswith("tube-60x40x3.toml")
    assert "'rect_tube'" in fault.found
    assert fault.expected == "a channel"
    assert catalogue.channel("upn-80") is catalogue.rail("upn-80")
