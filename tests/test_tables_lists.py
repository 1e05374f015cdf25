"""The shop's lists: nothing left out or told twice, places where the flat has them, dies of the shop."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from dataclasses import replace

import pytest
from drawing_samples import angle_part, mount, plate_part
from making_samples import SHOP
from random_surveys import study_of

from mountgen.detail.records import BoughtPart, EndFeature
from mountgen.fabrication.lists import (
    RAIL,
    bend_list,
    bill_of_material,
    cut_list,
    drill_list,
    whole_mass,
)
from mountgen.mechanics.bending import Din6935, bend_deduction
from mountgen.sheet.flat import unfold
from mountgen.sheet.tree import ArcSlot, Slot

SEEDS = range(10)
RULE = Din6935()


def flats_of(detail):
    return {part.number: unfold(part, RULE) for part in detail.sheets}


def masses_of(detail):
    return {number: 0.1 * k for k, number in enumerate(detail.parts, 1)}


@pytest.mark.parametrize("seed", SEEDS)
def test_the_bill_counts_every_placed_piece(seed):
    """Quantities against the instances; the fasteners among them against the joints' own hardware."""
    detail = study_of(seed).detail
    rows = bill_of_material(detail, flats_of(detail), masses_of(detail))
    placed = Counter(instance.part for instance in detail.instances)
    cables = {cable.number: 1 for cable in detail.cables}
    assert {row.number: row.quantity for row in rows} == {**placed, **cables}
    assert [row.item for row in rows] == list(range(1, len(rows) + 1))
    bought = [row.designation for row in rows if not row.size]
    assert len(bought) == len(set(bought)) == len(detail.bought)
    screws = Counter(joint.fastener for joint in detail.joints)
    told = Counter({row.designation: row.quantity for row in rows})
    assert all(told[s] == n for s, n in screws.items() if s.startswith("ISO"))


def test_masses_are_the_parts_own_and_sum_up():
    detail = mount().detail
    masses = masses_of(detail)
    rows = bill_of_material(detail, mount().flats, masses)
    for row in (row for row in rows if row.number in detail.parts):
        part = detail.parts[row.number]
        mass = part.mass_kg if isinstance(part, BoughtPart) else masses[row.number]
        assert (row.mass_kg, row.whole_kg) == (mass, pytest.approx(mass * row.quantity))
    whole = math.fsum(rows[k].mass_kg for k in range(len(rows)) for _ in range(rows[k].quantity))
    assert whole_mass(rows) == pytest.approx(whole)


def test_the_bill_asks_for_cables_as_long_as_their_routes():
    """The straight stretches of each route, its loop and its plugs, rounded up to 100 mm; the head's own."""
    study = study_of(SEEDS[0])
    detail = study.detail
    rows = {row.number: row for row in bill_of_material(detail, flats_of(detail), masses_of(detail))}
    for cable in detail.cables:
        straight = sum(math.dist(a, b) for a, b in itertools.pairwise(cable.points))
        assert straight + 150.0 <= cable.needed <= rows[cable.number].size[0] < cable.needed + 100.0
    assert detail.cables[0].own == study.survey.head.cable_length
    assert {cable.device for cable in detail.cables} >= {"print head", "photo-eye"}


@pytest.mark.parametrize("seed", SEEDS)
def test_every_blank_is_cut_once(seed):
    detail = study_of(seed).detail
    flats = flats_of(detail)
    rows = {row.number: row for row in cut_list(detail, flats)}
    assert len(rows) == len(detail.sheets) + len(detail.extrusions) == len(cut_list(detail, flats))
    for bar in detail.extrusions:
        row = rows[bar.number]
        assert (row.length, row.width, row.thickness) == (bar.length, None, None)
        assert "square" in row.ends
    for part in detail.sheets:
        row, bounds = rows[part.number], flats[part.number].outline.bounds
        assert (row.length, row.width, row.thickness) == (*bounds[2:], part.thickness)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_hole_is_in_the_drill_list_exactly_once(seed):
    """The flanges' own holes, which no unfolding has touched, are counted against the list."""
    made = study_of(seed)
    detail, flats = made.detail, flats_of(made.detail)
    rows = drill_list(made.survey, detail, flats)
    told = Counter((row.part, row.tag) for row in rows)
    assert set(told.values()) == {1}
    for part in detail.sheets:
        own = Counter(
            (hole.kind.replace("_", " "), round(getattr(hole, "diameter", 0.0) or hole.width, 6), hole.size)
            for flange, _ in part.placed_flanges()
            for hole in flange.holes
        )
        listed = [row for row in rows if row.part == part.number]
        assert Counter((row.kind, round(row.width, 6), row.fits) for row in listed) == own
        places = {placed.tag: placed.hole.centre for placed in flats[part.number].holes}
        assert {row.tag: (row.x, row.y) for row in listed} == places
    rail = [row for row in rows if row.part == RAIL]
    assert [(row.tag, row.x) for row in rail] == [(hole.tag, hole.x) for hole in detail.rail_holes]
    top = float(made.survey.rail.top_above_surface)
    assert [row.y for row in rail] == pytest.approx([top - hole.z for hole in detail.rail_holes])


def test_shapes_of_holes():
    part = angle_part()
    detail = replace(mount().detail, sheets=(part,), extrusions=(), rail_holes=())
    flat = unfold(part, RULE)
    rows = {row.tag: row for row in drill_list(mount().survey, detail, {part.number: flat})}
    for placed in flat.holes:
        row, hole = rows[placed.tag], placed.hole
        assert (row.depth, row.through, row.thread) == (3.0, True, "M6" if hole.kind == "tapped" else "")
        if isinstance(hole, Slot):
            turned = (row.angle_deg - hole.angle_deg) / 180.0
            assert (row.length, row.width) == (hole.length, hole.width)
            assert 0.0 <= row.angle_deg < 180.0 and turned == pytest.approx(round(turned))
        if isinstance(hole, ArcSlot):
            turned = (row.angle_deg - hole.start_deg) / 360.0
            assert -180.0 <= row.angle_deg < 180.0 and turned == pytest.approx(round(turned))
            assert row.end_deg - row.angle_deg == pytest.approx(hole.end_deg - hole.start_deg)
            assert row.radius == hole.radius


def test_a_slots_long_axis_is_told_from_0_to_180():
    slots = tuple(Slot((40.0, 50.0), 6.0, 20.0, angle) for angle in (-30.0, 150.0, 180.0, 200.0))
    part = plate_part(slots)
    detail = replace(mount().detail, sheets=(part,), extrusions=(), rail_holes=())
    rows = drill_list(mount().survey, detail, flats_of(detail))
    assert [row.angle_deg for row in rows] == [150.0, 150.0, 0.0, 20.0]


def test_work_on_a_bar_counts_from_its_datum_end():
    bar = mount().detail.extrusions[0]
    size = bar.section.size
    features = (
        EndFeature("end_tap", bar.length, "M6", 5.0, 16.0, "core"),
        EndFeature("cross_hole", 120.0, "M5", 5.5, size, "+x"),
        EndFeature("cross_hole", 160.0, "M5", 5.5, 10.0, "+x"),
    )
    detail = replace(mount().detail, sheets=(), extrusions=(replace(bar, features=features),))
    tap, across, blind, *rail = drill_list(mount().survey, detail, {})
    assert (tap.tag, tap.x, tap.thread, tap.depth, tap.through) == ("T1", bar.length, "M6", 16.0, False)
    assert (across.tag, across.x, across.thread, across.through) == ("H1", 120.0, "", True)
    assert (blind.tag, blind.depth, blind.through) == ("H2", 10.0, False)
    assert all(row.part == RAIL for row in rail)
    assert cut_list(detail, {})[0].work == "1 end tap, 2 cross holes"


def test_a_hole_for_a_rivet_nut_is_countersunk_lightly():
    survey, detail = mount().survey, mount().detail
    plain = [row.countersink for row in drill_list(survey, detail, mount().flats)]
    assert set(plain) == {""}
    holes = tuple(replace(hole, holds="blind rivet nut M6") for hole in detail.rail_holes)
    rows = drill_list(survey, replace(detail, rail_holes=holes), mount().flats)
    assert [row.part for row in rows if row.countersink] == [RAIL] * len(holes)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_bend_with_its_allowance(seed):
    """The tree's own bends; allowance and deduction by the rule, not by the flat."""
    detail = study_of(seed).detail
    rows = bend_list(detail, flats_of(detail), SHOP)
    assert set(Counter((row.part, row.tag) for row in rows).values()) <= {1}
    for part in detail.sheets:
        own = [bend for flange, _ in part.placed_flanges() for bend in flange.bends]
        listed = [row for row in rows if row.part == part.number]
        assert len(listed) == len(own)
        expected = Counter(
            (round(abs(b.angle_deg), 6), "up" if b.angle_deg > 0 else "down", round(b.width, 6)) for b in own
        )
        assert Counter((round(r.angle_deg, 6), r.direction, round(r.width, 6)) for r in listed) == expected
        for row in listed:
            sizes = (part.thickness, row.inside_radius, row.angle_deg)
            assert row.allowance == pytest.approx(RULE.allowance(*sizes))
            assert row.deduction == pytest.approx(bend_deduction(RULE, *sizes))
            assert (row.rule, row.thickness) == ("DIN 6935", part.thickness)
            assert row.die == SHOP.die(part.material, part.thickness, row.inside_radius).opening
