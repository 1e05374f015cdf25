"""Shop rules on parts whose distances are worked out by hand beside them."""

from dataclasses import replace

import pytest

from mountgen.geometry import polygon, rectangle
from mountgen.mechanics.bending import KFactor
from mountgen.sheet.flat import Die, unfold
from mountgen.sheet.rules import measured_rules, rule_findings, tightest
from mountgen.sheet.tree import ArcSlot, Bend, Flange, RoundHole, SheetPart, Slot

RULE = KFactor(0.42)


SHORT_LEG = rectangle(0, 0, 80, 34)


def angle(holes, child=SHORT_LEG, radius=3.0, bend=((80, 54), (0, 54)), outline=None):
    """60 x 40 outside, t 3: the long leg's bend zone starts at y = 54, 6 from the outside corner."""
    flange = Flange("short", child)
    root = Flange(
        "long", outline or rectangle(0, 0, 80, 54), tuple(holes), (Bend(*bend, 90.0, radius, flange),)
    )
    return SheetPart("P-1", "angle", 3.0, "steel", root)


def flat_of(part, die_opening=None, measured=False):
    flat = unfold(part, RULE)
    die = None if die_opening is None else Die(die_opening, measured)
    return replace(flat, bend_lines=tuple(replace(line, die=die) for line in flat.bend_lines))


def measured(part, die_opening=None):
    return measured_rules(part, flat_of(part, die_opening), 1.0)


def one(findings, kind, subject):
    (found,) = [f for f in findings if (f.kind, f.subject) == (kind, subject)]
    return found


FOUR_HOLES = [RoundHole((x, 60 - d), 9) for x, d in ((20, 8), (40, 12), (60, 16.5), (20, 57))]


def test_four_holes_by_a_bend():
    """d9 holes 8, 12, 16.5 and 57 from the outside corner of a 60 leg; 2 t = 6, half of V 24 = 12."""
    findings = measured(angle(FOUR_HOLES), die_opening=24)
    bend = [one(findings, "hole_bend", f"long A{n}") for n in (1, 2, 3, 4)]
    assert [f.value for f in bend] == pytest.approx([-2.5, 1.5, 6.0, 46.5])
    assert [f.severity for f in bend] == ["fail", "caution", "pass", "pass"]
    assert bend[1].remedy == "move A2 4.5 mm away from bend B1"
    die = [one(findings, "hole_die", f"long A{n}") for n in (1, 2, 3)]
    assert [f.value for f in die] == pytest.approx([0.846, 4.846, 9.346], abs=5e-4)
    assert {f.severity for f in die} == {"caution"}
    assert {f.limit for f in die} == {12}
    edge = one(findings, "hole_edge", "long A4")
    assert (edge.value, edge.severity) == (pytest.approx(-1.5), "fail")
    assert edge.remedy == "move A4 6.0 mm away from the part's edge"


def test_no_hole_is_dropped():
    part = angle(FOUR_HOLES)
    flat = unfold(part, RULE)
    assert len(flat.holes) == len(part.root.holes)
    measured_edges = [f.subject for f in measured(part) if f.kind == "hole_edge"]
    assert measured_edges == [f"{h.flange} {h.tag}" for h in flat.holes]


def test_findings_are_those_that_do_not_pass():
    part = angle(FOUR_HOLES)
    flat = flat_of(part, 24)
    findings = rule_findings(part, flat, 1.0)
    assert [f.severity for f in findings[:2]] == ["fail", "fail"]
    assert {f.subject for f in findings} == {"long A1", "long A2", "long A3", "long A4"}
    assert all(any(c.isdigit() for c in f.remedy) and f.source for f in findings)
    assert tightest(measured_rules(part, flat, 1.0)) == findings[0]
    assert tightest(()) is None


def test_a_sound_part_has_no_findings_and_still_a_tightest():
    part = angle([RoundHole((40, 30), 9), RoundHole((40, 13), 9)])
    flat = flat_of(part, 24)
    assert rule_findings(part, flat, 1.0) == ()
    near = tightest(f for f in measured_rules(part, flat, 1.0) if f.kind.startswith("hole_"))
    assert (near.kind, near.remedy) == ("hole_web", "")
    assert near.margin == pytest.approx(17 - 9 - 6)


def test_slots_and_webs():
    """Slot 6 x 20 at 60 deg is 30 deg off upright: its end round's centre is 7 cos 30 above its own."""
    findings = measured(
        angle([Slot((40, 40), 6, 20, 60), RoundHole((40, 20), 4), ArcSlot((20, 20), 10, 5, 0, 90)])
    )
    assert one(findings, "hole_bend", "long A1").value == pytest.approx(54 - 40 - 7 * 3**0.5 / 2 - 3)
    web = one(findings, "hole_web", "long C1, long D1")
    assert web.value == pytest.approx(10 - 2 - 2.5)
    assert (web.severity, web.remedy) == ("caution", "move C1 and D1 0.5 mm further apart")
    assert one(findings, "hole_edge", "long D1").value == pytest.approx(20 - 2.5)


def test_overlapping_holes_fail():
    findings = measured(angle([RoundHole((40, 30), 9), RoundHole((46, 30), 8)]))
    web = one(findings, "hole_web", "long A1, long C1")
    assert (web.value, web.severity) == (pytest.approx(6 - 4.5 - 4), "fail")


def test_small_holes():
    findings = measured(angle([RoundHole((40, 30), 2.5), RoundHole((60, 30), 3.0)]))
    assert one(findings, "hole_size", "long A1").severity == "caution"
    assert one(findings, "hole_size", "long A1").remedy == "make A1 0.5 mm wider, or drill it"
    assert one(findings, "hole_size", "long C1").severity == "pass"


def test_hole_outside_everything():
    findings = measured(angle([RoundHole((40, -20), 9)]))
    assert one(findings, "hole_outside", "long A1").severity == "fail"
    assert one(findings, "hole_edge", "long A1").value == pytest.approx(-24.5)


def test_hole_on_the_wrong_flange():
    """Owned by the long leg but lying 20 beyond its tangent line, in the short one."""
    outside = one(measured(angle([RoundHole((40, 74), 9)])), "hole_outside", "long A1")
    assert (outside.value, outside.severity) == (pytest.approx(-20), "fail")


def test_hole_inside_the_bend_zone():
    inside = one(measured(angle([RoundHole((40, 56), 2)])), "hole_bend", "long A1")
    assert (inside.value, inside.severity) == (pytest.approx(-3), "fail")


@pytest.mark.parametrize(
    ("flat_length", "severity"), [(5.9, "fail"), (6, "caution"), (10.7, "caution"), (10.8, "pass")]
)
def test_short_flange(flat_length, severity):
    """Outside length = flat + 6; 4 t = 12, 0.7 * 8 t = 16.8."""
    found = one(measured(angle([], rectangle(0, 0, 80, flat_length))), "flange_length", "short B1")
    assert (found.value, found.limit, found.severity) == (
        pytest.approx(flat_length + 6),
        pytest.approx(16.8),
        severity,
    )


def test_die_opening_sets_the_flange_length():
    assert one(measured(angle([]), die_opening=40), "flange_length", "short B1").limit == pytest.approx(28)


def test_a_die_narrower_than_8_t_is_a_caution_unless_the_shop_measured_on_it():
    narrow = one(measured(angle([]), die_opening=20), "die_opening", "short B1")
    assert (narrow.value, narrow.limit, narrow.severity) == (20, 24, "caution")
    assert narrow.remedy.startswith("use a die that is 4.0 mm wider")
    assert one(measured(angle([]), die_opening=24), "die_opening", "short B1").severity == "pass"
    own = measured_rules(angle([]), flat_of(angle([]), 20, measured=True), 1.0)
    assert not [finding for finding in own if finding.kind == "die_opening"]


def test_tight_radius():
    found = one(measured(angle([], radius=2.4)), "bend_radius", "short B1")
    assert (found.severity, found.limit) == ("fail", 3.0)
    assert found.remedy == "bend B1 with an inside radius of 3 mm or more (0.6 mm more)"


NARROW = ((60, 54), (20, 54))
NOTCHED = polygon(((0, 0), (80, 0), (80, 54), (64, 54), (64, 48), (60, 48), (60, 54), (20, 54), (20, 48),
                   (18, 48), (18, 54), (0, 54)))  # fmt: skip


def test_bend_inside_an_edge_needs_relief():
    part = angle([], rectangle(0, 0, 40, 34), bend=NARROW)
    found = [f for f in measured(part) if f.kind == "bend_relief"]
    assert [(f.value, f.severity) for f in found] == [(0.0, "caution")] * 2
    assert (
        found[0].remedy == "cut a relief 3 mm wide (3.0 mm more) and 6 mm deep at (60.0, 54.0) of flange long"
    )


def test_relief_is_measured():
    """4 wide on one side, 2 on the other; t is 3."""
    part = angle([], rectangle(0, 0, 40, 34), bend=NARROW, outline=NOTCHED)
    found = [f for f in measured(part) if f.kind == "bend_relief"]
    assert [(f.value, f.severity) for f in found] == [
        (pytest.approx(4), "pass"),
        (pytest.approx(2), "caution"),
    ]


def test_full_width_bend_needs_no_relief():
    assert not [f for f in measured(angle([])) if f.kind == "bend_relief"]


def test_setback_of_a_sharp_turn_counts_to_the_tangent():
    """Past 90 deg the corner of the outer faces runs far out; what lies on the die ends at r + t."""
    flange = Flange("short", rectangle(0, 0, 80, 8))
    root = Flange("long", rectangle(0, 0, 80, 54), (), (Bend((80, 54), (0, 54), 135.0, 3.0, flange),))
    found = measured(SheetPart("P-2", "hook", 3.0, "steel", root))
    assert one(found, "flange_length", "short B1").value == pytest.approx(8 + 6)


def test_thin_sheet_keeps_a_millimetre():
    """t 0.4: 1.5 t, 2 t and t are all less than the 1 mm that can be cut."""
    root = Flange("base", rectangle(0, 0, 40, 20), (RoundHole((10, 10), 0.9), RoundHole((11.85, 10), 0.9)))
    found = measured(SheetPart("P-3", "shim", 0.4, "steel", root))
    assert one(found, "hole_size", "base A1").limit == 1.0
    assert one(found, "hole_edge", "base A1").limit == 1.0
    web = one(found, "hole_web", "base A1, base A2")
    assert (web.limit, web.value, web.severity) == (1.0, pytest.approx(0.95), "fail")
