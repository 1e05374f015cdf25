"""The shop's own press-brake table as a bend rule."""

import math

import pytest

from mountgen.errors import SheetError
from mountgen.geometry import rectangle
from mountgen.mechanics.bending import Din6935, KFactor, bend_deduction
from mountgen.mechanics.brake_table import BrakeRow, BrakeTable, tables_by_material
from mountgen.sheet.flat import unfold
from mountgen.sheet.tree import Bend, Flange, SheetPart

ROWS = (
    BrakeRow("steel-s235", 3.0, 3.0, 45.0, 1.80, 24.0),
    BrakeRow("steel-s235", 3.0, 3.0, 90.0, 5.50, 24.0),
    BrakeRow("steel-s235", 2.0, 2.0, 90.0, 3.70),
    BrakeRow("stainless-1.4301", 3.0, 3.0, 90.0, 5.80),
)
TABLES = tables_by_material(ROWS, "brake 1")
STEEL = TABLES["steel-s235"]


def test_each_material_has_its_own_rows():
    assert set(TABLES) == {"steel-s235", "stainless-1.4301"}
    assert bend_deduction(STEEL, 3, 3, 90) == pytest.approx(5.5)
    assert bend_deduction(TABLES["stainless-1.4301"], 3, 3, 90) == pytest.approx(5.8)


def test_a_table_made_of_a_rule_gives_the_rule_back_between_its_rows():
    """The allowance of a K-factor is proportional to the angle, so proportion between rows is exact."""
    rule = KFactor(0.41)
    rows = tuple(
        BrakeRow("steel-s235", 3.0, 3.0, angle, bend_deduction(rule, 3, 3, angle)) for angle in (30, 60, 120)
    )
    table = BrakeTable("steel-s235", rows, "made")
    for angle in (30, 45, 59.5, 60, 90, 120):
        assert table.allowance(3, 3, angle) == pytest.approx(rule.allowance(3, 3, angle)), angle


def test_din_6935_published_compensation_as_a_row():
    """DIN 6935 at 90 deg, r 2, s 2: the flat is 3.837 mm shorter than the outside lengths."""
    table = BrakeTable("steel-s235", (BrakeRow("steel-s235", 2.0, 2.0, 90.0, 3.837),), "published")
    assert table.allowance(2, 2, 90) == pytest.approx(Din6935().allowance(2, 2, 90), abs=0.001)


def test_a_flat_made_by_the_table_is_as_long_as_the_table_says():
    child = Flange("leg", rectangle(0, 0, 40, 30))
    bend = Bend((40.0, 50.0), (0.0, 50.0), 90.0, 3.0, child)
    part = SheetPart("A1", "angle", 3.0, "steel-s235", Flange("plate", rectangle(0, 0, 40, 50), (), (bend,)))
    outside = (50 + 6) + (30 + 6)
    assert max(unfold(part, STEEL).size) == pytest.approx(outside - 5.5)


@pytest.mark.parametrize(
    ("bend", "words"),
    [
        ((3.0, 3.0, 120.0), ("3 mm thick, inside radius 3 mm, 120 deg", "nearest is 3 mm thick", "90 deg")),
        ((3.0, 3.0, 20.0), ("20 deg", "45 deg")),
        ((2.0, 3.0, 90.0), ("2 mm thick, inside radius 3 mm", "inside radius 2 mm")),
        ((5.0, 5.0, 90.0), ("5 mm thick", "3 mm thick")),
    ],
)
def test_a_hole_in_the_table_names_the_row_that_is_missing(bend, words):
    with pytest.raises(ValueError, match="add that row") as refused:
        STEEL.allowance(*bend)
    for word in words:
        assert word in str(refused.value)


def test_the_part_that_needs_the_missing_row_is_named():
    child = Flange("leg", rectangle(0, 0, 40, 30))
    bend = Bend((40.0, 50.0), (0.0, 50.0), 60.0, 2.0, child)
    root = Flange("plate", rectangle(0, 0, 40, 50), (), (bend,))
    with pytest.raises(SheetError, match="flange leg: brake 1 has no row for steel-s235, 2 mm thick"):
        unfold(SheetPart("A1", "angle", 2.0, "steel-s235", root), STEEL)


def test_the_die_of_a_bend():
    assert STEEL.die(3.0, 3.0) == 24.0
    assert STEEL.die(2.0, 2.0) is None
    assert STEEL.die(4.0, 3.0) is None


def test_allowance_and_deduction_are_two_ways_to_say_one_thing():
    row = ROWS[1]
    assert row.allowance == pytest.approx(2 * 6 * math.tan(math.pi / 4) - 5.5)
