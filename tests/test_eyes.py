"""Photo-eyes that look across the line: the beam, the brackets, what is checked. Places are worked out here
from the placed parts, not from the layout's own numbers."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from random_surveys import CATALOGUE
from shapely import LineString
from shops import SHOP

from mountgen.catalogue.reader import profiles_folder
from mountgen.catalogue.records import Sensor
from mountgen.checks.eyes import look_checks
from mountgen.checks.records import Check
from mountgen.detail.records import Instance
from mountgen.geometry import Box, Vec3
from mountgen.sheet.tree import Slot
from mountgen.shop.flats import flat_of
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey
from mountgen.survey.records import Keepout, Survey

EYES = ("eye-m18-retro", "eye-m18-through")
FLOWS = ("left_to_right", "right_to_left")


def seeds() -> Survey:
    return read_survey(profiles_folder() / "surveys" / "seed-cartons.toml", CATALOGUE)


def seen_by(name: str, flow: str = "left_to_right") -> Survey:
    survey = replace(seeds(), sensor=CATALOGUE.sensor(name))
    return replace(survey, line=replace(survey.line, flow=flow), family="rail_mast")


@cache
def made(name: str, flow: str) -> Study:
    return study(seen_by(name, flow), CATALOGUE, SHOP)


@pytest.fixture(params=[(eye, flow) for eye in EYES for flow in FLOWS], ids="-".join)
def mounted(request) -> Study:
    return made(*request.param)


def placed(study: Study, name: str) -> Instance:
    return next(i for i in study.detail.instances if i.name == name)


def boxes(study: Study, name: str) -> list[Box]:
    instance = placed(study, name)
    return [box.placed(instance.placement) for box in study.detail.parts[instance.part].boxes]


def beam(study: Study) -> tuple[Vec3, Vec3]:
    """From the eye's face to the far unit's, where the made parts have them."""
    near = placed(study, "photo-eye").placement
    far = "reflector" if study.survey.sensor.reflector else "receiver"
    end = placed(study, far).placement
    depth = study.survey.sensor.reflector.depth if study.survey.sensor.reflector else 0.0
    return near.origin, end.point((0.0, 0.0, depth))


def check(study: Study, id_: str) -> Check:
    return next(check for check in study.checks if check.id == id_)


def test_both_units_face_each_other_on_one_line_across_the_conveyor(mounted: Study) -> None:
    (x0, y0, z0), (x1, y1, z1) = beam(mounted)
    assert (x1, z1) == pytest.approx((x0, z0), abs=1e-6)
    assert y0 < 0.0 and y1 > mounted.survey.rail.far_rail_at
    assert placed(mounted, "photo-eye").placement.z_axis == pytest.approx((0.0, 1.0, 0.0))
    far = "reflector" if mounted.survey.sensor.reflector else "receiver"
    assert placed(mounted, far).placement.z_axis == pytest.approx((0.0, -1.0, 0.0))


def test_the_beam_is_upstream_at_the_distance_that_is_entered(mounted: Study) -> None:
    (x, _, _), _ = beam(mounted)
    upstream = -x if mounted.survey.line.flow == "left_to_right" else x
    assert upstream == pytest.approx(mounted.setup.sensor_to_nozzle_mm)


def test_every_product_covers_the_beam_and_no_guide_does(mounted: Study) -> None:
    (_, _, z), _ = beam(mounted)
    radius, guides = mounted.survey.sensor.beam_diameter / 2, mounted.survey.guides
    assert guides is not None
    assert radius < z < float(mounted.survey.products.height.min()) - radius
    assert not guides.z[0] - radius < z < guides.z[1] + radius


def test_the_beam_passes_through_the_slot_of_its_flange_or_ends_on_the_reflectors_middle(
    mounted: Study,
) -> None:
    for name in ("near eye bracket", "far eye bracket"):
        instance = placed(mounted, name)
        part = mounted.detail.parts[instance.part]
        (flange, inner) = next(f for f in part.placed_flanges() if f[0].name == "eye flange")
        x, y, _ = instance.placement.then(inner).local_point(beam(mounted)[0])
        slots = [hole for hole in flange.holes if isinstance(hole, Slot)]
        middle = [sum(slot.centre[k] for slot in slots) / len(slots) for k in (0, 1)]
        assert (x, y) == pytest.approx(middle, abs=1e-6)


def test_brackets_clear_the_rails_flanges_and_their_feet_lie_on_the_webs(mounted: Study) -> None:
    rail, top = mounted.survey.rail, float(mounted.survey.rail.top_above_surface)
    for name, web in (("near eye bracket", 0.0), ("far eye bracket", rail.far_rail_at)):
        out = -1.0 if web == 0.0 else 1.0
        feet = [box for box in boxes(mounted, name) if web in (box.low[1], box.high[1])]
        assert feet and all(box.high[2] < top - 2.5 for box in feet)
        flange = Box(
            (-999.0, min(web, web + out * 40.0), top - 2.5), (999.0, max(web, web + out * 40.0), top)
        )
        assert all(box.gap(flange) > 0.0 for box in boxes(mounted, name))


def test_holes_of_the_far_rail_lie_where_its_screws_are(mounted: Study) -> None:
    holes = {hole.joint: hole for hole in mounted.detail.rail_holes}
    joints = {joint.id: joint for joint in mounted.detail.joints}
    assert {hole.rail for hole in holes.values()} == {"rail", "far rail"}
    for id_, hole in holes.items():
        assert (hole.x, hole.z) == pytest.approx((joints[id_].point[0], joints[id_].point[2]))
        assert (hole.rail == "far rail") == (joints[id_].point[1] > 500.0) == (joints[id_].direction[1] < 0.0)


def test_screws_keep_clear_of_the_rollers_axles(mounted: Study) -> None:
    line = mounted.survey.line
    for hole in mounted.detail.rail_holes:
        off = (hole.x - line.first_roller_at) % line.roller_pitch
        across = min(off, line.roller_pitch - off)
        reach = (across**2 + (hole.z + line.roller_diameter / 2) ** 2) ** 0.5
        assert reach > line.roller_axle_diameter / 2 + 6.0 + 2.0 - 1e-6


def test_the_mount_is_feasible_and_goes_together(mounted: Study) -> None:
    assert [c.id for c in mounted.checks if c.verdict == "fail"] == []
    for id_ in ("eye_range", "beam_clear", "eye_bracket", "sensor_sees_all"):
        assert check(mounted, id_).verdict == "pass"


def test_an_l_of_sheet_is_boxed_by_its_legs() -> None:
    """The bracket's leg leaves out the corner where the rail's flange is."""
    leg = [
        box for box in boxes(made(EYES[0], FLOWS[0]), "near eye bracket") if box.high[0] - box.low[0] < 4.0
    ]
    spans = sum((box.high[1] - box.low[1]) * (box.high[2] - box.low[2]) for box in leg)
    whole = Box.around(corner for box in leg for corner in box.corners)
    assert spans < 0.7 * (whole.high[1] - whole.low[1]) * (whole.high[2] - whole.low[2])


def only(survey: Survey, id_: str) -> Check:
    return check(study(survey, CATALOGUE, SHOP), id_)


def test_a_reflector_out_of_range_fails_by_what_lacks() -> None:
    (_, y0, _), (_, y1, _) = beam(made(EYES[0], FLOWS[0]))
    survey = seen_by(EYES[0])
    short = survey.sensor.model_copy(update={"range_max": 500.0})
    found = only(replace(survey, sensor=short), "eye_range")
    assert (found.verdict, found.value) == ("fail", pytest.approx(y1 - y0))
    assert f"{y1 - y0 - 500.0:.0f} mm" in found.remedy


def test_a_box_in_the_beam_is_told() -> None:
    (x, _, z), _ = beam(made(EYES[1], FLOWS[0]))
    survey = seen_by(EYES[1])
    post = Keepout("lamp post", (x - 5.0, x + 5.0), (520.0, 540.0), (z - 200.0, z + 200.0))
    found = only(replace(survey, rail=replace(survey.rail, keepouts=(post,))), "beam_clear")
    assert found.verdict == "fail" and "lamp post" in found.title


def test_rails_that_may_not_be_drilled_take_no_brackets() -> None:
    survey = seen_by(EYES[0])
    found = only(replace(survey, rail=replace(survey.rail, attach=("clamped",))), "eye_bracket")
    assert found.verdict == "fail" and "2 holes" in found.remedy


LOOKS: dict[tuple[str, str], str] = {
    ("eye-m18-diffuse", "shiny"): "caution",
    ("eye-m18-diffuse", "clear"): "fail",
    ("eye-m18-suppressed", "shiny"): "pass",
    ("eye-m18-suppressed", "clear"): "caution",
    ("eye-m18-retro", "shiny"): "pass",
    ("eye-m18-retro", "clear"): "fail",
    ("eye-m18-retro-clear", "clear"): "pass",
    ("eye-m18-through", "shiny"): "pass",
    ("eye-m18-through", "clear"): "fail",
}
"""What an eye makes of shiny and clear products (common practice of the trade)."""


@pytest.mark.parametrize("case", LOOKS, ids="-".join)
def test_eyes_suit_some_products_and_not_others(case: tuple[str, str]) -> None:
    survey = replace(seeds(), sensor=CATALOGUE.sensor(case[0]), sees=case[1])
    (found,) = look_checks(survey)
    assert found.verdict == LOOKS[case] and bool(found.remedy) == (found.verdict != "pass")


def test_an_unpolarised_eye_takes_a_shiny_product_for_its_reflector() -> None:
    sensor = CATALOGUE.sensor("eye-m18-retro").model_copy(update={"polarised": False})
    (found,) = look_checks(replace(seeds(), sensor=sensor, sees="shiny"))
    assert found.verdict == "fail"


def test_a_diffuse_eye_over_a_flat_product_sees_the_belt() -> None:
    """Background over product distance, worked out from the eye's placed face: a sack that is made low."""
    sacks = read_survey(profiles_folder() / "surveys" / "compost-sacks.toml", CATALOGUE)
    low = replace(sacks.products, height=sacks.products.height * 0.1)
    plain = study(replace(sacks, products=low), CATALOGUE, SHOP)
    found = check(plain, "eye_background")
    lowest = float(low.height.min())
    face = sacks.standoff.target - plain.scene.layout.head.eye_face_n
    assert found.value == pytest.approx((face + lowest) / face)
    assert found.verdict == "fail"


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"kind": "retro"}, "has a reflector"),
        ({"kind": "through_beam", "body": "flat"}, "is a barrel"),
        ({"polarised": True}, "only a retro eye"),
        ({"kind": "through_beam", "suppresses_background": True}, "only a diffuse eye"),
    ],
)
def test_records_that_cannot_be_are_refused(changes: dict[str, object], told: str) -> None:
    plain = CATALOGUE.sensor("eye-m18-diffuse").model_dump()
    with pytest.raises(ValueError, match=told):
        Sensor.model_validate({**plain, **changes})


def test_the_leg_reaches_around_the_rails_flange_without_cutting_its_own_flat() -> None:
    """The flat's outline is simple: foot and eye flange do not run into each other when they are unfolded."""
    mount = made(EYES[0], FLOWS[0])
    for part in mount.detail.sheets:
        if "eye bracket" in part.name:
            corners = [(v.x, v.y) for v in flat_of(part, SHOP).outline.vertices]
            assert LineString([*corners, corners[0]]).is_simple


def test_a_receivers_cable_goes_under_both_rails() -> None:
    mount = made(EYES[1], FLOWS[0])
    (cable,) = [one for one in mount.scene.detail.cables if one.device == "receiver"]
    bottom = float(mount.survey.rail.top_above_surface) - mount.survey.rail.section.depth
    assert min(point[2] for point in cable.points) < bottom
    assert cable.needed > mount.survey.rail.far_rail_at
