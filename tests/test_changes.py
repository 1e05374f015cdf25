"""What changed between two revisions: by geometry, in whatever order and under whatever name it comes."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from mountgen.catalogue.reader import Catalogue
from mountgen.detail.digest import part_digest
from mountgen.detail.records import EndFeature, ExtrusionPart
from mountgen.errors import InputError
from mountgen.geometry import rectangle
from mountgen.mechanics.bending import Din6935, KFactor
from mountgen.package.changes import Changes, MadeBefore, changes, in_words, made_before
from mountgen.sheet.flat import unfold
from mountgen.sheet.tree import Bend, Flange, RoundHole, SheetPart, Slot

HOLES = (RoundHole((20.0, 15.0), 6.6, "clearance", "M6"), Slot((30.0, 40.0), 6.6, 12.0, 90.0, "slot", "M6"))


def angle(holes=HOLES, radius=3.0, height=30.0) -> SheetPart:
    leg = Flange("leg", rectangle(0, 0, 40, height))
    bend = Bend((40.0, 50.0), (0.0, 50.0), 90.0, radius, leg)
    return SheetPart(
        "A1", "angle", 3.0, "steel-s235", Flange("plate", rectangle(0, 0, 40, 50), holes, (bend,))
    )


def digest(part: SheetPart, rule=None) -> str:
    return part_digest(part, unfold(part, rule or Din6935()))


def test_names_order_and_rounding_do_not_count():
    first = digest(angle())
    assert digest(replace(angle(), number="Z9", name="other")) == first
    assert digest(angle(HOLES[::-1])) == first
    nudged = (replace(HOLES[0], centre=(20.0 + 1e-9, 15.0)), HOLES[1])
    assert digest(angle(nudged)) == first


@pytest.mark.parametrize(
    "other",
    [
        angle((replace(HOLES[0], centre=(20.1, 15.0)), HOLES[1])),
        angle((replace(HOLES[0], diameter=7.0), HOLES[1])),
        angle((replace(HOLES[0], kind="tapped"), HOLES[1])),
        angle(HOLES[:1]),
        angle(radius=4.0),
        angle(height=30.01),
        replace(angle(), thickness=4.0),
        replace(angle(), material="stainless-1.4301"),
        replace(angle(), finish="brushed"),
    ],
)
def test_whatever_a_shop_would_make_differently_counts(other):
    assert digest(other) != digest(angle())


def test_another_bend_rule_cuts_another_flat():
    assert digest(angle(), KFactor(0.5)) != digest(angle(), KFactor(0.33))


def test_bars():
    section = Catalogue().extrusion("tslot-30")
    bar = ExtrusionPart("B10", "post", section, 400.0, "aluminium-6060-t66")
    first = part_digest(bar, None)
    assert part_digest(replace(bar, number="B12"), None) == first
    assert part_digest(replace(bar, length=400.5), None) != first
    drilled = replace(bar, features=(EndFeature("cross_hole", 120.0, "M5", 5.5, 25.0, "+x"),))
    assert part_digest(drilled, None) != first


def test_changes_by_number_and_digest():
    before = {
        "A": MadeBefore("1", 1),
        "B": MadeBefore("2", 1),
        "C": MadeBefore("3", 1),
        "D": MadeBefore("4", 2),
    }
    now = {"A": MadeBefore("1", 1), "B": MadeBefore("9", 1), "E": MadeBefore("5", 1), "D": MadeBefore("4", 3)}
    found = changes(before, now)
    assert found == Changes(("B",), ("E",), ("C",), ("A", "D"), (("D", 2, 3),))
    assert list(in_words(found)) == [
        "make anew, the old ones do not fit: B",
        "make, they are new: E",
        "D is the same, but 3 are needed instead of 2",
        "no longer needed: C",
        "the same as before: A, D",
    ]


def test_made_parts_of_a_package_are_read(tmp_path):
    parts = [
        {"number": "A10-R", "kind": "sheet", "quantity": 2, "geometry_sha256": "ab"},
        {"number": "S01", "kind": "bought", "quantity": 9},
    ]
    (tmp_path / "manifest.json").write_text(json.dumps({"parts": parts}), encoding="utf-8")
    assert made_before(tmp_path) == {"A10-R": MadeBefore("ab", 2)}


@pytest.mark.parametrize(
    "text", [None, "{", "[]", '{"parts": [{"number": "A", "kind": "sheet", "quantity": 1}]}']
)
def test_what_is_no_earlier_package_is_refused(tmp_path, text):
    if text is not None:
        (tmp_path / "manifest.json").write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match="the folder of a package") as refused:
        made_before(tmp_path)
    assert str(tmp_path / "manifest.json") in str(refused.value)
