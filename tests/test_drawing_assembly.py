"""Balloons: each item once, none on another, no two leaders across each other."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import pytest
from drawing_samples import mount, overlapping, texts
from hypothesis import given, settings
from hypothesis import strategies as st
from random_surveys import feasible_studies

from mountgen.catalogue.reader import Catalogue
from mountgen.detail.exploded import ROOTS, STEP, exploded, explosion
from mountgen.detail.records import BoughtPart
from mountgen.geometry import dot, length, subtract
from mountgen.package.cut_sheet import cut_and_drill_sheets
from mountgen.package.drawing_assembly import (
    RADIUS,
    cross_each_other,
    items_of,
    place_balloons,
    unseen,
)
from mountgen.package.drawing_labels import Patch
from mountgen.package.models import exact_study, pictures
from mountgen.views import curve_extremes

AREA = Patch((20.0, 20.0), (400.0, 230.0))
POINTS = st.lists(st.tuples(st.floats(60, 360), st.floats(20, 230)), min_size=1, max_size=40)


@settings(max_examples=60, deadline=None)
@given(POINTS)
def test_balloons_neither_touch_nor_leave_their_area_nor_cross_their_leaders(points):
    placed = place_balloons({str(i): at for i, at in enumerate(points)}, AREA)
    assert sorted(int(balloon.item) for balloon in placed) == list(range(len(points)))
    for balloon in placed:
        assert AREA.low[1] + RADIUS - 1e-9 <= balloon.middle[1] <= AREA.high[1] - RADIUS + 1e-9
        assert balloon.anchor == points[int(balloon.item)]
    left = [b for b in placed if b.middle[0] < 200.0]
    for side in (left, [b for b in placed if b not in left]):
        for one, other in combinations(side, 2):
            assert math.dist(one.middle, other.middle) >= 2 * RADIUS
            assert not cross_each_other(one.leader, other.leader)


def test_more_balloons_than_there_is_room_for_are_refused():
    with pytest.raises(ValueError, match="no room for 60 balloons"):
        place_balloons({str(i): (100.0 + i, 100.0) for i in range(60)}, AREA)


def test_every_item_of_the_list_is_marked_once_on_the_exploded_view():
    dossier = mount()
    sheet = cut_and_drill_sheets(dossier)[2].svg
    marked = [t.text for t in texts(sheet) if t.role == "item"]
    assert sorted(marked, key=int) == [str(i) for i in range(1, len(dossier.detail.parts) + 1)]
    assert overlapping(list(texts(sheet))) == []


def test_items_that_cannot_be_seen_are_named():
    detail = mount().detail
    items, seen = items_of(detail), dict(mount().pictures.exploded)
    for name in items["3"]:
        del seen[name]
    assert unseen(seen, items) == ["3"]
    hidden = replace(mount(), pictures=replace(mount().pictures, exploded=seen))
    sheet = cut_and_drill_sheets(hidden)[2].svg
    assert "Not seen from here: items 3." in [t.text for t in texts(sheet) if t.role == "note"]


def test_parts_stand_off_along_their_joint():
    """One step for one joint between two parts, on the side that the part is put on from."""
    detail = mount().detail
    shifts = explosion(detail)
    assert shifts[ROOTS[0]] == (0.0, 0.0, 0.0)
    joint = next(j for j in detail.joints if j.id == "P1")
    assert subtract(shifts["post"], shifts[ROOTS[0]]) == pytest.approx(
        [STEP * way for way in joint.direction]
    )
    joint = next(j for j in detail.joints if j.id == "H1")
    apart = subtract(shifts["print head"], shifts["swing plate"])
    assert dot(apart, joint.direction) == pytest.approx(STEP)


def test_nothing_stays_together_when_it_is_pulled_apart():
    """All instances move, no two made parts or devices by the same way unless they were far apart already."""
    detail = mount().detail
    shifts = explosion(detail)
    still = [name for name, shift in shifts.items() if length(shift) == 0.0]
    assert still == [ROOTS[0]]
    for joint in detail.joints:
        screw = next((i for i in detail.instances if i.name == f"{joint.id} screw"), None)
        members = [m.instance for m in joint.members if m.instance in shifts]
        if screw and members:
            behind = dot(subtract(shifts[screw.name], shifts[members[0]]), joint.direction)
            assert behind < 0.0, joint.id


def test_pulling_apart_changes_places_only():
    detail = mount().detail
    moved = exploded(detail)
    assert [i.name for i in moved.instances] == [i.name for i in detail.instances]
    assert moved.parts == detail.parts
    for before, after in zip(detail.instances, moved.instances, strict=True):
        assert after.placement.x_axis == before.placement.x_axis
        assert after.placement.z_axis == before.placement.z_axis


def test_pictures_of_the_exact_solids_show_most_items_and_stay_in_their_outline():
    catalogue = Catalogue()
    found = next(iter(feasible_studies(1, 3)))
    _, built = exact_study(found, catalogue)
    shown = pictures(built)
    items = items_of(built.detail)
    assert len(unseen(shown.exploded, items)) <= len(items) / 5
    made = {i.name for i in built.detail.instances if not isinstance(built.detail.parts[i.part], BoughtPart)}
    assert sum(bool(shown.assembled[name]) for name in made) >= len(made) - 3
    spans = []
    for lines in (shown.assembled, shown.exploded):
        points = [p for found in lines.values() for curve in found for p in curve_extremes(curve)]
        spans.append(max(p[0] for p in points) - min(p[0] for p in points))
    assert spans[1] > spans[0]
