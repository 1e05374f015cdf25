"""The floor stand: what it is made of, when it stands free or anchored, tipping and anchors by plain statics,
its frame against a cantilever.

Statics is worked out here once more, edge by edge and anchor by anchor, and shares no code with the package.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from drawing_samples import dossier_of
from random_surveys import CATALOGUE
from shops import SHOP

from mountgen.build.exact import exact_checks
from mountgen.build.solids import model
from mountgen.catalogue.reader import profiles_folder
from mountgen.errors import SurveyError
from mountgen.fabrication.lists import drill_list
from mountgen.layout.families import choices
from mountgen.layout.stand import (
    ANCHOR,
    FOOT_STIFFNESS,
    FREE_UNDER,
    SAFETY,
    FloorGive,
    base_stiffness,
    leg_stiffness,
)
from mountgen.mechanics.frame import Frame, LoadCase, NodalLoad
from mountgen.mechanics.frame_solve import solve_static
from mountgen.mechanics.tipping import PointMass, tilt_of_tipping
from mountgen.mechanics.tipping import Stand as Standing
from mountgen.mechanics.vibration import MM_PER_G, Spectrum
from mountgen.package.drill_template import drill_template
from mountgen.package.records import Dossier
from mountgen.package.setup_sheet import set_up_data
from mountgen.structure.frame_model import frame_model, mount_of
from mountgen.structure.shaking import FLOOR_SHARE, TRAVEL, travel_rms
from mountgen.structure.stand_strength import FloorLoad
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey
from mountgen.survey.records import Keepout, Measured, Survey

DENSITIES = {name: CATALOGUE.material(name).density_kg_per_m3 for name in CATALOGUE.names("materials")}
RAIL_CHECKS = {"web_stress", "web_rotation", "rail_torsion", "rail_face", "rail_nuts", "rail_holes"}


@cache
def beside() -> Survey:
    """A line whose rail may not be touched."""
    survey = read_survey(profiles_folder() / "surveys" / "seed-cartons.toml", CATALOGUE)
    return replace(survey, rail=replace(survey.rail, attach=("floor",)))


LEG = Keepout("leg", (290.0, 340.0), (-20.0, 60.0), (-850.0, -126.0))


def by_a_leg() -> Survey:
    """The same with a leg of the line where a free base would be."""
    return replace(beside(), rail=replace(beside().rail, keepouts=(LEG,)))


@cache
def free() -> Study:
    return study(beside(), CATALOGUE, SHOP)


@cache
def anchored() -> Study:
    return study(by_a_leg(), CATALOGUE, SHOP)


@cache
def papers(*, is_free: bool) -> Dossier:
    return dossier_of(free() if is_free else anchored(), CATALOGUE)


def ids(made: Study) -> set[str]:
    return {check.id for check in made.checks}


# What it is made of.


def test_a_line_that_allows_nothing_else_gets_a_stand_that_leaves_the_rail_alone():
    made = free()
    assert made.scene.layout.family == "floor_stand"
    assert made.verdict != "not feasible"
    assert not made.detail.rail_holes and not made.detail.floor_holes
    assert not ids(made) & RAIL_CHECKS
    assert {"tip_over", "stand_slides"} <= ids(made)
    assert not any(m.instance == "rail" for joint in made.detail.joints for m in joint.members)


def test_where_the_rail_may_be_drilled_the_stand_comes_last():
    assert (
        choices(replace(beside(), rail=replace(beside().rail, attach=("floor", "bolted"))))[-1]
        == "floor_stand"
    )


def test_a_free_stand_has_four_levelling_feet_and_an_anchored_one_four_anchors():
    for made, name in ((free(), "levelling foot"), (anchored(), "anchor")):
        assert sum(i.name.endswith(name) for i in made.detail.instances) == 4
    assert "anchor" in ids(anchored()) and "tip_over" not in ids(anchored())


def test_floor_holes_lie_under_the_holes_of_the_base():
    made = anchored()
    anchor = CATALOGUE.anchor(ANCHOR)
    place = next(i.placement for i in made.detail.instances if i.name == "base plate")
    base = next(part for part in made.detail.sheets if part.name == "base plate")
    through = [h for h in base.root.holes if h.kind == "clearance"]
    assert len(through) == 4 and all(h.diameter == 12.0 for h in through)
    above = np.array(sorted(place.point((*hole.centre, 0.0))[:2] for hole in through))
    assert above == pytest.approx(np.array(sorted((hole.x, hole.y) for hole in made.detail.floor_holes)))
    assert {(h.diameter, h.depth) for h in made.detail.floor_holes} == {(anchor.hole, anchor.depth)}
    rows = drill_list(made.survey, made.detail, papers(is_free=made is free()).flats)
    assert sum(row.part == "floor" and row.depth == anchor.depth for row in rows) == 4


def test_a_line_that_runs_the_other_way_gets_its_anchors_on_the_other_side():
    """As far as the head is wide to both sides, but for where its own screws are."""
    line, leg = by_a_leg().line, replace(LEG, x=(-LEG.x[1], -LEG.x[0]))
    other = replace(by_a_leg(), line=replace(line, flow="right_to_left", first_roller_at=-37.5))
    guides = replace(other.guides, open=(-60.0, 76.0))
    other = replace(other, rail=replace(other.rail, keepouts=(leg,)), guides=guides)
    there, here = study(other, CATALOGUE, SHOP).detail.floor_holes, anchored().detail.floor_holes
    assert [h.y for h in there] == pytest.approx([h.y for h in here])
    assert sum(h.x for h in there) == pytest.approx(-sum(h.x for h in here), abs=20.0)


def test_no_stand_fits_under_a_low_rail():
    rail = beside().rail
    least = FREE_UNDER - rail.top_above_surface + rail.section.depth
    for height, fits in ((least - 1.0, False), (least + 1.0, True)):
        low = replace(beside(), line=replace(beside().line, surface_height=Measured(height, 0.0)))
        assert (choices(replace(low, rail=replace(rail, attach=("floor",)))) == ("floor_stand",)) == fits
    low = replace(
        beside(), line=replace(beside().line, surface_height=Measured(300.0, 0.0)), family="floor_stand"
    )
    with pytest.raises(SurveyError) as caught:
        study(low, CATALOGUE, SHOP)
    assert f"needs {FREE_UNDER:g} mm" in caught.value.faults[0].found


def test_a_base_that_finds_no_room_beside_a_leg_is_made_small_and_anchored():
    low, high = zip(LEG.x, LEG.y, LEG.z, strict=True)
    gaps = {}
    for made in (free(), anchored()):
        boxes = [piece.box for piece in made.scene.boxes if piece.group == "floor stand"]
        apart = [max(max(low[k] - box.high[k], box.low[k] - high[k]) for k in range(3)) for box in boxes]
        gaps[made.scene.layout.on_floor.base.anchored] = min(apart)
    assert gaps[False] < 5.0 <= gaps[True]
    assert anchored().scene.layout.foot.clear >= 0.0


@pytest.mark.parametrize("made", [free, anchored])
def test_no_two_parts_share_material(made):
    found = made()
    interference, agreement = exact_checks(found.scene, model(found.detail, DENSITIES))
    assert interference.value <= 0.01
    assert agreement.verdict == "pass"


# Statics, worked out again.


def turned_over(load: FloorLoad) -> float:
    """Least ratio of moments about the four lines through the feet of a base square to the line."""
    ratios = []
    for axis in (0, 1):
        for side, edge in (
            (1, min(f[axis] for f in load.base.feet)),
            (-1, max(f[axis] for f in load.base.feet)),
        ):
            holds = sum(9.80665 * m.kg * max(side * (m.at[axis] - edge), 0.0) for m in load.masses)
            turns = sum(9.80665 * m.kg * max(-side * (m.at[axis] - edge), 0.0) for m in load.masses)
            leans = load.hand * max(-side * (load.hand_at[axis] - edge), 0.0)
            ratios.append(holds / (turns + load.hand * load.hand_at[2]))
            ratios.append(
                (holds + load.hand * max(side * (load.hand_at[axis] - edge), 0.0)) / max(turns + leans, 1e-9)
            )
    return min(ratios)


def test_the_moments_about_each_edge_give_the_safety():
    """Beer and Johnston, Statics, ch. 8: holding over turning moment. 1e-3: g is rounded on one side."""
    for load in free().scene.floor_loads:
        assert load.safety == pytest.approx(turned_over(load), rel=1e-3)
        assert load.safety >= SAFETY


def test_a_hand_of_twice_the_force_halves_the_safety_and_the_grip():
    for load in free().scene.floor_loads:
        twice = replace(load, hand=2 * load.hand)
        assert twice.safety == pytest.approx(load.safety / 2, rel=0.02)
        assert twice.sliding == pytest.approx(load.sliding / 2)


def test_ballast_brings_the_safety_to_its_limit():
    load = replace(free().scene.floor_loads[1], hand=100.0)
    kg = load.ballast(SAFETY)
    assert kg > 0.0
    laid = replace(load, masses=(*load.masses, PointMass(kg, (*load.base.middle, 50.0))))
    assert turned_over(laid) == pytest.approx(SAFETY, rel=1e-3)


def test_a_box_falls_when_its_middle_stands_over_its_edge():
    """400 wide, its middle 600 up: tan = 200 / 600, 18.43 deg (Beer and Johnston, ch. 8, from memory)."""
    feet = ((0.0, 0.0), (400.0, 0.0), (400.0, 500.0), (0.0, 500.0))
    assert tilt_of_tipping(Standing((PointMass(20.0, (200.0, 250.0, 600.0)),), feet)) == pytest.approx(
        18.4349, abs=1e-4
    )
    assert tilt_of_tipping(Standing((PointMass(20.0, (450.0, 250.0, 600.0)),), feet)) == 0.0


def test_anchors_pull_by_the_couple_less_the_weight():
    """Two anchors on either side s apart under M and N: T = M / 2 s - N / 4 (statics of a rigid base, as the
    bolts of a column's base are reckoned)."""
    load = anchored().scene.floor_loads[0]
    span = max(f[1] for f in load.base.feet) - min(f[1] for f in load.base.feet)
    middle = load.base.middle
    plain = replace(load, masses=(PointMass(20.0, (*middle, 500.0)),), hand_at=(*middle, 1200.0), hand=100.0)
    by_hand = 100.0 * 1200.0 / (2 * span) - 20.0 * 9.80665 / 4
    assert plain.anchor_pull == pytest.approx(by_hand, rel=1e-3)
    assert plain.anchor_shear == pytest.approx(25.0)


def test_shear_of_an_off_centre_push_turns_the_base():
    """P / n + P e r / sum r^2, bolts at the corners of a square: e / (4 r) more (elastic vector method)."""
    load = anchored().scene.floor_loads[0]
    x, y = load.base.middle
    radius = math.dist(load.base.feet[0], (x, y))
    off = replace(load, hand_at=(x, y + 150.0, 1000.0), hand=80.0)
    assert off.anchor_shear == pytest.approx(80.0 / 4 + 80.0 * 150.0 / (4 * radius))


def test_the_masses_on_the_floor_are_those_of_the_parts():
    """1 %: bars are weighed by their section, sheet by its middle fibre."""
    made = free()
    parts = {part.number: part for part in made.detail.bought}
    bars = {
        bar.number: bar.section.area_mm2 * bar.length * DENSITIES[bar.material] * 1e-9
        for bar in made.detail.extrusions
    }
    flats = papers(is_free=made is free()).flats
    sheets = {
        p.number: (
            abs(flats[p.number].outline.area) - sum(abs(h.hole.contour.area) for h in flats[p.number].holes)
        )
        * p.thickness
        * DENSITIES[p.material]
        * 1e-9
        for p in made.detail.sheets
    }
    weighed = sum(
        parts[i.part].mass_kg if i.part in parts else bars.get(i.part, sheets.get(i.part, 0.0))
        for i in made.detail.instances
    )
    cables = 0.3
    total = made.scene.floor_loads[0].standing.weight / 9.80665
    assert total == pytest.approx(weighed, rel=0.01, abs=cables)


# The frame.


def stiff_frame() -> tuple[Frame, FloorGive, float]:
    """The free stand with rigid joints and a rigid base on springy feet; N/mm of a foot angle pulled up."""
    made = free()
    stand = made.scene.layout.on_floor
    assert stand is not None
    mount = mount_of(made.scene.survey, made.scene.layout, made.scene.detail, CATALOGUE)
    joining = replace(mount.joining, plate_stiffness=math.inf, tslot_stiffness=math.inf)
    ground = FloorGive(stand.base.spans, 1e4, mount.sheet.e_mpa)
    frame = frame_model(replace(mount, joining=joining, ground=ground), 0).frame
    return frame, ground, float(leg_stiffness(stand.angle_thickness, stand.angle_width, mount.sheet.e_mpa))


@pytest.mark.parametrize(("axis", "off"), [(0, 0.05), (1, 0.02)])
def test_a_stiff_foot_leaves_a_cantilever(axis, off):
    """F L^3 / 3 E I from the T-bolts up; below, feet and foot angles turn. Across the line the two screws of
    each pull up its leg. Along it one is pulled and one pressed, and both bend as strips with clamped ends:
    E I / h each against a turn about half their height. What bends the strong way is left out: 2, 5 %."""
    layout, (frame, ground, leg) = free().scene.layout, stiff_frame()
    stand, force = layout.on_floor, [0.0, 0.0, 0.0]
    force[axis] = 10.0
    moved = solve_static(frame, LoadCase((NodalLoad("cross", tuple(force)),))).at("cross", (0.0, 0.0, 0.0))
    top = next(node.at[2] for node in frame.nodes if node.name == "cross")
    ei = CATALOGUE.material(layout.post.material).e_mpa * layout.post.i_mm4
    apart = stand.angle_width - 44.0 if axis else layout.post.size + stand.angle_thickness
    high, strip = stand.hold_z - stand.top, 210000 / 0.91 * stand.angle_width * stand.angle_thickness**3 / 12
    bent, pivot = (0.0, stand.top) if axis else (2 * strip / high, stand.top + high / 2)
    legs = (top - pivot) ** 2 / (leg * apart**2 / 2 + bent)
    feet = (top - stand.top) ** 2 / (FOOT_STIFFNESS * ground.spans[axis] ** 2)
    by_hand = 10.0 * ((top - stand.hold_z) ** 3 / (3 * ei) + legs + feet)
    assert moved[axis] == pytest.approx(by_hand, rel=off)


def test_a_base_under_one_wide_stiff_part_is_four_springs():
    """Four springs k at the corners of a x b against a couple: k a^2 (parallel axes)."""
    x, y = base_stiffness(FloorGive((400.0, 300.0), 12.0, 210000.0), (400.0, 300.0))
    assert float(x) == pytest.approx(FOOT_STIFFNESS * 300.0**2)
    assert float(y) == pytest.approx(FOOT_STIFFNESS * 400.0**2)


def test_a_thicker_base_is_stiffer_by_no_more_than_its_third_power():
    thin, thick = (
        base_stiffness(FloorGive((500.0, 500.0), t, 210000.0), (150.0, 150.0))[0] for t in (8.0, 16.0)
    )
    assert 1.0 < float(thick) / float(thin) < 8.0


def test_the_search_and_the_frame_agree():
    """Within the bands of `layout.stiffness`: a fifth in frequency, a twentieth in give."""
    scene = free().scene
    assert scene.layout.first_frequency_hz == pytest.approx(scene.structure.first_frequency_hz, rel=0.2)
    given = max(abs(pose.standoff(pose.hand)) for pose in scene.structure.poses)
    assert float(scene.layout.give.max()) == pytest.approx(given, rel=0.1)


# Shaking.


def test_the_product_passes_a_stand_with_the_whole_travel_of_the_rail():
    """Upright, across the line: at least the rail's travel and the floor's share of it."""
    for shake in free().scene.structure.shaking.shakes:
        if shake.kind == "steady" and "," not in shake.name:
            assert shake.standoff >= TRAVEL[shake.name] * (1.0 + FLOOR_SHARE)


def test_travel_of_an_even_spectrum():
    """Integral of G g^2 / (2 pi f)^4 over f: G g^2 (f1^-3 - f2^-3) / 3 (2 pi)^4 (calculus)."""
    density, low, high = 1e-5, 10.0, 1000.0
    by_hand = math.sqrt(density * MM_PER_G**2 * (low**-3 - high**-3) / (3 * (2 * math.pi) ** 4))
    found = travel_rms(Spectrum(np.array([low, 40.0, high]), np.full(3, density)))
    assert found == pytest.approx(by_hand, rel=1e-9)


# Papers.


def words(made: Study) -> str:
    data = set_up_data(papers(is_free=made is free()))
    return " ".join(str(data[key]) for key in ("cautions", "tools", "blocks", "wiring"))


def test_the_sheet_of_an_anchored_stand_tells_of_drilling_the_floor():
    told = words(anchored())
    for part in ("Drilling the floor", "Tipping", "Stumbling", "hammer drill 10", "F1, F2, F3, F4", "shims"):
        assert part in told
    assert "Level the base" in told and "plumb" in told
    assert drill_template(papers(is_free=False)) is None


def test_the_sheet_of_a_free_stand_tells_of_its_feet_and_of_no_drill():
    told = words(free())
    assert "lower nuts" in told and "spanner 16 mm" in told
    assert "Drilling the floor" not in told and "hammer drill" not in told
