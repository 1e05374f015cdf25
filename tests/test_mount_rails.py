"""Mounts on every kind of rail: what the rail angle lies on, what its screws go into, and why some rails
are refused.

The rail is taken as a polygon of its outline (shapely), apart from the section's own spans and covers.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from drawing_samples import mount
from joint_geometry import Mount
from outline_polygons import section_polygon
from random_surveys import CATALOGUE, EVERY_RAIL, feasible_studies
from shapely import LineString, Polygon, box
from shapely.affinity import translate
from shops import SHOP

from mountgen.catalogue.rails import Rail
from mountgen.catalogue.reader import profiles_folder
from mountgen.checks.records import Check
from mountgen.detail.records import Joint, RailHole
from mountgen.layout.pattern import rail_face
from mountgen.layout.play import LegSlots
from mountgen.package.cut_sheet import cut_and_drill_sheets
from mountgen.package.drawing_rail import flange_edges, rail_tables, rail_view
from mountgen.package.setup_sheet_tools import tools
from mountgen.package.svg import HIDDEN, NARROW
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey
from mountgen.survey.records import Measured, Survey

KINDS = ("channel", "z", "angle", "flat", "rect_tube", "slot")
EACH = 5
NEAR = 1e-6
WASHER = 12.0
"""mm; outer diameter of an M6 washer (ISO 7089)."""
RIVET_HOLE, RIVET_SET = 9.0, (11.0, 13.5)
"""mm; hole of an M6 rivet nut and where its thread ends behind the wall, by its grip (from memory)."""


def polygon(made: Study) -> Polygon:
    """The rail's metal in y and z of the line."""
    section = made.survey.rail.section
    metal = section_polygon(section.outline, section.holes)
    return translate(metal, 0.0, float(made.survey.rail.top_above_surface))


def rail_joints(made: Study) -> list[Joint]:
    return [j for j in made.scene.detail.joints if any(m.instance == "rail" for m in j.members)]


@pytest.fixture(params=KINDS)
def mounted(request) -> list[Study]:
    """A few mounts that can be built, on rails of one kind."""
    return list(feasible_studies(EACH, kind=request.param))


def metal_beside(made: Study, y: float, z: float, reach: float) -> float:
    """How much of a line up and down through (y, z) lies in metal, as a share."""
    line = LineString([(y, z - reach), (y, z + reach)])
    return polygon(made).intersection(line).length / line.length


def test_the_leg_lies_on_a_flat_face_of_the_rail(mounted) -> None:
    """Metal all along a hair behind the face, none before it; a bar's slots are the only gaps."""
    for made in mounted:
        low, high = made.scene.layout.on_rail.pattern.leg_z
        middle, half = (low + high) / 2, (high - low) / 2
        assert metal_beside(made, -0.05, middle, half) == 0.0
        slots = made.survey.rail.section.slots
        if slots:
            assert metal_beside(made, 0.05, middle, half) > 0.5
        else:
            assert metal_beside(made, 0.05, middle, half) == pytest.approx(1.0)


def test_heads_and_nuts_lie_flat_on_both_sides_of_the_web(mounted) -> None:
    for made in mounted:
        section = made.survey.rail.section
        for joint in rail_joints(made):
            z = joint.point[2]
            if section.slots:
                continue
            back = section.web_thickness
            assert metal_beside(made, back - 0.05, z, WASHER / 2) == pytest.approx(1.0)
            assert metal_beside(made, back + 0.05, z, WASHER / 2) == 0.0


def test_nothing_but_screws_and_rivet_nuts_lies_in_the_metal_of_the_rail(mounted) -> None:
    for made in mounted:
        for piece in made.scene.boxes:
            if piece.joint.startswith("R") and piece.instance.endswith(("screw", "rivet nut")):
                continue
            (_, y0, z0), (_, y1, z1) = piece.box.low, piece.box.high
            shared = polygon(made).intersection(box(y0, z0, y1, z1)).area
            assert shared < 1e-6 or piece.instance.endswith("T-nut"), piece.instance


def test_the_quick_covers_hold_the_whole_rail(mounted) -> None:
    for made in mounted:
        top = float(made.survey.rail.top_above_surface)
        bare = polygon(made)
        for cover in made.survey.rail.section.covers:
            (y0, z0), (y1, z1) = cover.low, cover.high
            bare = bare.difference(box(y0, top + z0, y1, top + z1))
        assert bare.area < 1e-6


def test_four_screws_with_what_the_rail_asks_for(mounted) -> None:
    ends = {"slot": "T-nut", "rect_tube": "rivet nut"}
    for made in mounted:
        wanted = ends.get(made.survey.rail.profile.kind, " nut")
        mount = Mount(made.scene.detail, made.survey.rail.section.web_thickness)
        joints = rail_joints(made)
        assert len(joints) == 4
        for joint in joints:
            assert len(mount.hardware(joint, wanted)) == 1
            assert mount.shank(joint).direction == (0.0, 1.0, 0.0)
        assert len(made.detail.rail_holes) == (0 if wanted == "T-nut" else 4)


def test_rivet_nuts_fill_their_holes_and_the_screws_pass_their_threads() -> None:
    for made in feasible_studies(EACH, kind="rect_tube"):
        section = made.survey.rail.section
        mount = Mount(made.scene.detail, section.web_thickness)
        assert {hole.diameter for hole in made.detail.rail_holes} == {RIVET_HOLE}
        for joint in rail_joints(made):
            ((nut, part),) = mount.hardware(joint, "rivet nut")
            assert nut.placement.origin[1] == pytest.approx(0.0, abs=NEAR)
            shank, bulge = part.shape.add
            assert shank.diameter == RIVET_HOLE and shank.height == RIVET_SET[section.web_thickness > 3.0]
            assert bulge.frame.origin[2] == section.web_thickness
            screw = mount.shank(joint)
            tip = screw.start[1] + screw.length
            assert shank.height <= tip + NEAR
            assert tip < section.reach_in - section.web_thickness
            assert joint.torque_nm == pytest.approx(CATALOGUE.thread("M6").torque_nm / 2)
            assert "rivet nut" in joint.torque_source


def test_t_nuts_hang_behind_the_lips_of_the_rails_own_slots() -> None:
    for made in feasible_studies(EACH, kind="slot"):
        bar, top = made.survey.rail.profile.extrusion, float(made.survey.rail.top_above_surface)
        heights = [top - bar.size * (cell + 0.5) for cell in range(made.survey.rail.profile.cells)]
        mount = Mount(made.scene.detail, bar.lip_thickness)
        for joint in rail_joints(made):
            ((nut, _),) = mount.hardware(joint, "T-nut")
            _, y, z = nut.placement.origin
            assert y == pytest.approx(bar.lip_thickness)
            assert min(abs(z - height) for height in heights) < NEAR
            assert nut.placement.x_axis == (1.0, 0.0, 0.0)
            screw = mount.shank(joint)
            engaged = screw.start[1] + screw.length - bar.lip_thickness
            assert engaged >= 0.6 * 6.0 - NEAR
            assert screw.start[1] + screw.length < bar.slot_depth


def test_backing_plates_only_behind_open_webs_that_need_them(mounted) -> None:
    for made in mounted:
        has = any(part.name == "backing plate" for part in made.detail.sheets)
        assert has == made.scene.layout.on_rail.backing
        assert not (has and made.survey.rail.section.is_closed)
        stress = [check for check in made.checks if check.id == "web_stress"]
        assert all(check.verdict == "pass" for check in stress)


@cache
def cartons() -> Survey:
    return read_survey(profiles_folder() / "surveys" / "seed-cartons.toml", CATALOGUE)


def on(profile: Rail, uncertainty: float = 1.0) -> Study:
    rail = replace(cartons().rail, profile=profile, top_above_surface=Measured(-6.0, uncertainty))
    return study(replace(cartons(), rail=rail), CATALOGUE, SHOP)


def found(made: Study, id_: str) -> Check:
    return next(check for check in made.checks if check.id == id_)


@pytest.mark.parametrize("rail", [r for r in EVERY_RAIL if r.kind == "round_tube"], ids=lambda r: r.name)
def test_round_tubes_need_a_clamp(rail) -> None:
    made = on(rail)
    check = found(made, "rail_face")
    assert (check.verdict, check.value) == ("fail", 0.0)
    assert made.verdict == "not feasible"
    assert check.remedy.startswith(f"needs a clamp: bolting needs a flat of {check.limit:.1f} mm")


@pytest.mark.parametrize("uncertainty", [0.5, 3.0])
@pytest.mark.parametrize(("name", "key"), [("flat-40x5", "depth"), ("tube-40x20x3", "depth")])
def test_a_flat_as_tall_as_the_remedy_says_is_enough(name, key, uncertainty) -> None:
    """And one a millimetre shorter is not."""
    rail = CATALOGUE.rail(name)
    short = found(on(rail, uncertainty), "rail_face")
    assert short.verdict == "fail"
    for lacking, verdict in ((-short.margin, "pass"), (-short.margin - 1.0, "fail")):
        taller = rail.model_copy(update={key: rail.depth + lacking})
        assert found(on(taller, uncertainty), "rail_face").verdict == verdict


@pytest.mark.parametrize("opens", ["in", "out"])
@pytest.mark.parametrize("name", ["upn-80", "upe-100", "l-60x60x6", "lipped-formed-100x40x10x2"])
def test_washers_and_nuts_keep_off_the_radii_of_short_webs(name, opens) -> None:
    """Where the flats of the two sides differ, both count."""
    survey = replace(cartons(), rail=replace(cartons().rail, profile=CATALOGUE.rail(name), opens=opens))
    made = study(survey, CATALOGUE, SHOP)
    if found(made, "rail_face").verdict == "fail":
        assert name == "l-60x60x6" and opens == "out"
        return
    for joint in rail_joints(made):
        for y in (0.05, survey.rail.section.web_thickness - 0.05):
            assert metal_beside(made, y, joint.point[2], WASHER / 2) == pytest.approx(1.0)
        for y in (-0.05, survey.rail.section.web_thickness + 0.05):
            assert metal_beside(made, y, joint.point[2], WASHER / 2) == 0.0


def test_a_rail_known_less_closely_needs_more_flat() -> None:
    """Longer levelling slots: four times the uncertainty of the rail's height, in each of two rows."""
    one, other = (found(on(CATALOGUE.rail("flat-100x10"), u), "rail_face") for u in (2.0, 3.0))
    assert other.limit - one.limit == pytest.approx(8.0)


def test_a_single_slot_does_not_hold_a_mast() -> None:
    check = found(on(CATALOGUE.rail("tslot-rail-40x40")), "rail_face")
    assert check.verdict == "fail" and "slots farther apart" in check.remedy


def tube(**changes: float) -> Rail:
    return CATALOGUE.rail("tube-80x40x3").model_copy(update=changes)


@pytest.mark.parametrize(
    ("rail", "verdict", "word"),
    [
        (tube(thickness=0.4), "fail", "too thin"),
        (tube(thickness=0.5), "pass", ""),
        (tube(thickness=3.2), "pass", ""),
        (tube(thickness=5.6), "fail", "too thick"),
        (tube(width=18.0), "fail", "too narrow"),
        (tube(width=18.6), "pass", ""),
    ],
)
def test_rivet_nuts_need_their_wall_and_their_room(rail, verdict, word) -> None:
    """Grip 0.5 to 5.5 mm, 15.5 mm long before they are set in a wall up to 3 mm (from memory)."""
    nuts = [check for check in on(rail).checks if check.id == "rail_nuts"]
    worst = next((check for check in nuts if check.verdict == "fail"), nuts[0])
    assert worst.verdict == verdict and word in worst.remedy


def test_a_screw_in_a_rivet_nut_stops_short_of_the_tubes_far_wall() -> None:
    made = on(tube(width=18.6))
    for joint in rail_joints(made):
        screw = Mount(made.scene.detail, 3.0).shank(joint)
        assert 11.0 - NEAR <= screw.start[1] + screw.length <= 15.6 - 0.5 + NEAR


def test_a_slot_that_no_t_nut_fits_is_told_apart() -> None:
    rail = CATALOGUE.rail("tslot-rail-40x80")
    odd = rail.model_copy(
        update={"extrusion": rail.extrusion.model_copy(update={"slot_width": 9.0, "slot_inner_width": 20.4})}
    )
    assert found(on(rail), "rail_nuts").verdict == "pass"
    check = found(on(odd), "rail_nuts")
    assert check.verdict == "fail" and check.value == pytest.approx(0.8)


@pytest.mark.parametrize("rail", [r for r in EVERY_RAIL if r.kind != "channel"], ids=lambda r: r.name)
def test_no_rail_stops_the_study(rail) -> None:
    """Whatever the rail, there is an answer with numbers, and every failure has its remedy."""
    for check in on(rail).checks:
        assert check.verdict == "pass" or any(c.isdigit() for c in check.remedy), check.id


def test_the_drilling_table_names_what_is_set_into_the_holes() -> None:
    for kind, expected in (("rect_tube", "blind rivet nut M6"), ("flat", "")):
        made = feasible_studies(EACH, kind=kind)[0]
        holes, *_ = rail_tables(rail_view(made.survey, made.detail.rail_holes))
        assert ("Then set in" in holes.heads) == bool(expected)
        assert all((expected in row) == bool(expected) for row in holes.rows)
        assert {hole.holds for hole in made.detail.rail_holes} == {expected}


HOLE = RailHole("R1", 120.0, -40.0, 7.0, "R1")


@pytest.mark.parametrize(("opens", "pens"), [("in", (HIDDEN, NARROW)), ("out", (NARROW, HIDDEN))])
def test_the_drilling_drawing_hides_the_flange_that_stands_behind(opens, pens) -> None:
    """A Z: one flange behind the web, the other before it."""
    survey = replace(cartons(), rail=replace(cartons().rail, profile=CATALOGUE.rail("z-formed-100x40x2.5")))
    survey = replace(survey, rail=replace(survey.rail, opens=opens))
    assert tuple(pen for _, pen in flange_edges(rail_view(survey, (HOLE,)))) == pens
    plain = replace(survey, rail=replace(survey.rail, profile=CATALOGUE.rail("flat-80x8")))
    assert list(flange_edges(rail_view(plain, (HOLE,)))) == []


@pytest.mark.parametrize(
    ("angle", "nut", "needed"),
    [
        (3.0, 18.0, 2 * 12.5 + 15.4 + 2.0),  # 2.2 holes of 7 (EN 1993-1-8 Table 3.3)
        (6.0, 18.0, 2 * (2.0 + 1.5 * 6.0 + 4.2) + 17.0 + 2.0),  # 1.5 thicknesses beside the slot
        (3.0, 40.0, 40.0 + 2 * 10.0 + 2.0 + 2.0),  # two T-nuts of the post, a bolt's edge at either end
    ],
)
def test_the_flat_that_a_leg_needs_by_hand(angle, nut, needed) -> None:
    """A flat bar: slots 7 mm wide with 4 mm of levelling and a web of one thickness between them, 1.5 widths
    from the leg's ends or 1.5 thicknesses beside a slot of at most 8.4 mm, the leg 1 mm inside the face."""
    flat = CATALOGUE.rail("flat-100x10")
    survey = replace(cartons(), rail=replace(cartons().rail, profile=flat))
    assert rail_face(survey, (angle, nut), LegSlots(7.0, 4.0)).needed == pytest.approx(needed)


def test_a_tubes_papers_tell_how_rivet_nuts_are_set() -> None:
    """The cartons' papers with every rail hole holding a rivet nut."""
    dossier = mount()
    holes = tuple(replace(hole, holds="blind rivet nut M6") for hole in dossier.detail.rail_holes)
    riveted = replace(dossier, detail=replace(dossier.detail, rail_holes=holes))
    for papers, told in ((dossier, False), (riveted, True)):
        drilling = next(sheet.svg for sheet in cut_and_drill_sheets(papers) if "Rail, drilling" in sheet.svg)
        assert ("Blind rivet nuts" in drilling) == told
        assert any("setting tool for blind rivet nut M6" in row[0] for row in tools(papers)) == told
