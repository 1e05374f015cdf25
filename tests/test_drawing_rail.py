"""The rail's page: marks that can be found, holes measured from them, and nothing on anything else."""

from __future__ import annotations

from dataclasses import replace

import pytest
from drawing_reader import number, table_rows
from drawing_samples import mount, overlapping, texts, with_role
from random_surveys import feasible_studies

from mountgen.package.cut_sheet import cut_and_drill_sheets
from mountgen.package.drawing_rail import SCALES, arrange_rail, rail_tables, rail_view
from mountgen.package.drawing_words import length_unit
from mountgen.package.drill_template import drill_template
from mountgen.package.drill_template_page import template_pages
from mountgen.package.rail_marks import NEAR, RailMark, axles_between, find_mark, mark_notes
from mountgen.survey.records import Assumption, Keepout, Survey
from mountgen.units import Measured


def survey() -> Survey:
    return mount().survey


def on_belt(**changes) -> Survey:
    """The line with a belt, and with other things on its rail."""
    line = replace(survey().line, surface="belt", roller_pitch=0.0)
    return replace(survey(), line=line, rail=replace(survey().rail, **changes))


BOLT = Keepout("leg bolt", (-310.0, -270.0), (-20.0, 30.0), (-80.0, -40.0))


def test_the_nearest_axle_is_the_mark():
    """Axles stand at 37.5 + 75 k: 112.5 is 30.5 off the middle of holes at 128 and 158, 187.5 is 44.5 off."""
    assert survey().line.first_roller_at == 37.5
    assert find_mark(survey(), [128.0, 158.0]) == RailMark("middle of a roller's axle", 112.5)


@pytest.mark.parametrize(("low", "high"), [(-100.0, 100.0), (37.5, 112.5), (38.0, 100.0)])
def test_axles_on_a_stretch(low, high):
    wanted = [37.5 + 75.0 * k for k in range(-9, 9) if low <= 37.5 + 75.0 * k <= high]
    assert [axle.x for axle in axles_between(survey(), low, high)] == wanted


def test_an_axle_whose_place_was_assumed_is_no_mark():
    guess = Assumption("line.first_roller_at", "37.5 mm", "not given")
    guessed = replace(survey(), assumptions=(guess,), rail=replace(survey().rail, keepouts=(BOLT,)))
    assert find_mark(guessed, [0.0]) == RailMark("right edge of: leg bolt", -270.0)


@pytest.mark.parametrize(("keepouts", "x"), [((), None), ((BOLT,), -270.0)])
def test_without_rollers_the_nearest_edge_is_the_mark(keepouts, x):
    mark = find_mark(on_belt(keepouts=keepouts), [100.0, 130.0])
    assert (mark and mark.x) == x


def test_what_is_far_away_is_no_mark():
    assert find_mark(on_belt(keepouts=(BOLT,)), [-270.0 + NEAR + 1.0]) is None


def test_without_a_mark_the_print_line_is_struck_first():
    first, doubt = mark_notes(on_belt(keepouts=()), None)
    assert first.startswith("No mark along the rail is surveyed near the holes. Strike the print line first")
    assert "1 mm higher or lower" in doubt


def test_an_exact_top_edge_is_said_to_have_no_limits():
    exact = on_belt(top_above_surface=Measured(-6.0, 0.0))
    assert "has none either" in list(mark_notes(exact, None))[-1]


@pytest.mark.parametrize(("x", "side"), [(112.5, "left"), (-37.5, "right")])
def test_the_print_line_is_told_from_the_mark(x, side):
    told = next(iter(mark_notes(survey(), RailMark("middle of a roller's axle", x))))
    assert f"The print line lies {abs(x):g} mm to the {side} of it" in told


def rail_sheet(dossier) -> str:
    return next(sheet.svg for sheet in cut_and_drill_sheets(dossier) if "Rail, drilling" in sheet.svg)


@pytest.mark.parametrize("name", ["seed-cartons", "seed-trays-inch"])
def test_every_hole_is_told_from_the_print_line_and_from_the_mark(name):
    dossier = mount(name)
    svg = rail_sheet(dossier)
    mark = find_mark(dossier.survey, [hole.x for hole in dossier.detail.rail_holes])
    rows = table_rows(svg, "Holes in the rail's web")
    for hole in dossier.detail.rail_holes:
        row = {head.split(",")[0]: cell for head, cell in rows[hole.tag].items()}
        assert number(row["x from print line"]) == pytest.approx(hole.x, abs=0.005)
        assert number(row["x from M1"]) == pytest.approx(hole.x - mark.x, abs=0.005)
    shown = [number(t.text) for t in texts(svg) if t.role == "ordinate-bottom"]
    assert any(abs(value - mark.x) <= 0.005 for value in shown)
    assert [t.text for t in texts(svg) if t.role == "tag"].count("M1") == 1
    assert len(with_role(svg, "mark")) == 1


@pytest.mark.parametrize("name", ["seed-cartons", "seed-trays-inch", "compost-sacks"])
def test_the_template_checks_a_hole_from_the_mark_too(name):
    dossier = mount(name)
    holes = dossier.detail.rail_holes
    mark = find_mark(dossier.survey, [hole.x for hole in holes])
    (page, *_) = template_pages(drill_template(dossier))
    told = " ".join(t.text for t in texts(page))
    off = holes[0].x - mark.x
    side = "right" if off > 0 else "left"
    assert f"{length_unit(abs(off), dossier.survey.units)} to the {side} of the {mark.what}" in told


def test_no_text_on_text_on_the_rail_of_random_mounts():
    """Holes and survey of another mount on the sample's sheets, whose other pages do not matter here."""
    for found in feasible_studies(3):
        if found.detail.rail_holes:
            detail = replace(mount().detail, rail_holes=found.detail.rail_holes)
            svg = rail_sheet(replace(mount(), survey=found.survey, detail=detail))
            assert overlapping(list(texts(svg))) == []


def test_the_rail_is_drawn_as_large_as_the_room_allows():
    view = rail_view(survey(), mount().detail.rail_holes)
    tables = rail_tables(view)
    scales = [
        arrange_rail(view, tables, room).scale for room in ((380.0, 220.0), (250.0, 160.0), (60.0, 60.0))
    ]
    assert scales == sorted(scales, reverse=True)
    assert set(scales) <= set(SCALES)
    assert scales[0] > scales[-1]
