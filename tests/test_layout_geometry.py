"""Do the chosen numbers put the nozzles where they must be: forward kinematics of our own, in numpy.

Derived and property tests on random mounts. The working view is looked at: products run to +x.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from joint_geometry import Face, Mount
from random_surveys import CATALOGUE, feasible_studies, study_of
from shapely.geometry import Point
from shops import SHOP

from mountgen.demand import near_sides
from mountgen.detail.mast import detail
from mountgen.layout import rules
from mountgen.layout.rail_mast import settings_of
from mountgen.study import Study, study
from mountgen.survey.records import Keepout

pytestmark = pytest.mark.xdist_group("random mounts")

MOUNTS = 50
EVERY = 120
"""How many surveys are looked at, whether they can be built or not."""

KEEPOUT = Keepout("leg bolt", (0.0, 0.0), (-20.0, 30.0), (0.0, 0.0))


def about_x(tilt_deg: float) -> np.ndarray:
    """Rotation that turns a head from upright (nozzles to +y) by the tilt, down to -z at 90 deg."""
    a = math.radians(tilt_deg)
    return np.array([[1, 0, 0], [0, math.cos(a), math.sin(a)], [0, -math.sin(a), math.cos(a)]])


def upright_offset(made: Study) -> np.ndarray:
    """From the pivot to the middle of the nozzle column when the head stands upright."""
    head = made.scene.layout.head
    return np.array([0.0, -head.pivot_n, -head.pivot_u])


@cache
def everything() -> tuple[Study, ...]:
    return tuple(study_of(seed) for seed in range(EVERY))


def test_the_column_stands_at_the_demand_for_every_product() -> None:
    turned = 0
    for made in feasible_studies(MOUNTS):
        settings, demand = made.scene.layout.settings, made.scene.demand
        for k in range(len(demand.names)):
            pivot = np.array([0.0, settings.pivot_y[k], settings.pivot_z[k]])
            x, y, z = pivot + about_x(settings.tilt_deg[k]) @ upright_offset(made)
            assert x == 0.0
            assert y == pytest.approx(demand.column_y[k], abs=1e-9)
            assert z == pytest.approx(settings.column_z[k], abs=1e-9)
            lift = settings.column_z[k] - demand.column_z[k]
            assert -1e-9 <= lift <= demand.slide[k] + 1e-9
            turned += settings.tilt_deg[k] == 90.0
    assert turned > MOUNTS / 4


def test_the_column_covers_the_code_and_keeps_the_stand_off() -> None:
    """From the survey alone: the code inside the nozzles' reach, the face one stand-off away."""
    for made in feasible_studies(MOUNTS):
        survey, settings, offset = made.scene.survey, made.scene.layout.settings, upright_offset(made)
        half = survey.head.print_height / 2
        for k, product in enumerate(survey.products):
            pivot = np.array([0.0, settings.pivot_y[k], settings.pivot_z[k]])
            turn = about_x(settings.tilt_deg[k])
            middle, up, out = pivot + turn @ offset, turn @ [0, 0, 1], turn @ [0, 1, 0]
            near, code = float(near_sides(survey)[k]), product.code
            if code.face == "top":
                low = np.array([0.0, near + code.from_near, product.height])
            else:
                from_top = 0.0 if code.below_top is None else product.height - code.below_top - code.size[1]
                low = np.array([0.0, near, from_top if code.above_base is None else code.above_base])
            high = low + code.size[1] * up
            assert out @ (low - middle) == pytest.approx(survey.standoff.target)
            assert up @ (low - middle) >= -half - 1e-9
            assert up @ (high - middle) <= half + 1e-9


@pytest.mark.parametrize("tilt", [0.0, 15.0, 30.0, 45.0, 60.0, 75.0, 90.0])
def test_any_tilt_is_solved_for(tilt: float) -> None:
    for made in feasible_studies(20):
        layout, demand = made.scene.layout, made.scene.demand
        sloped = replace(demand, tilt_deg=np.full(len(demand.names), tilt))
        head = layout.head
        settings = settings_of(made.scene.survey, sloped, head, layout.drop)
        for k in range(len(demand.names)):
            pivot = np.array([0.0, settings.pivot_y[k], settings.pivot_z[k]])
            _, y, z = pivot + about_x(tilt) @ upright_offset(made)
            assert (y, z) == pytest.approx((demand.column_y[k], settings.column_z[k]))
            assert settings.arm_z[k] - settings.pivot_z[k] == pytest.approx(layout.drop)


def test_arm_and_post_reach_every_setting() -> None:
    """The cross joint stays on the post and its bolts in the arm, whatever product is set."""
    for made in feasible_studies(MOUNTS):
        layout, settings = made.scene.layout, made.scene.layout.settings
        top = layout.post_bottom + layout.post_length
        assert settings.arm_z.max() + layout.cross_half[1] < top
        tails = settings.tip_y - layout.arm_length
        outer = layout.post_y - layout.cross_bolts[0]
        nut = layout.arm.nut_length / 2
        assert (tails < outer - nut).all()
        assert (settings.tip_y > layout.post_y + layout.cross_bolts[0] + nut).all()


def working_mount(made: Study) -> Mount:
    return Mount(made.scene.detail, made.survey.rail.section.web_thickness)


def one_face(mount: Mount, name: str, flange: str) -> Face:
    (face,) = [face for face in mount.faces[name] if face.flange == flange]
    return face


def swung(made: Study, point: np.ndarray, by_deg: float) -> tuple[float, float, float]:
    """A point of the swing plate after the head has been turned about the pivot from its setting."""
    settings = made.scene.layout.settings
    pivot = np.array([0.0, settings.pivot_y[0], settings.pivot_z[0]])
    x, y, z = pivot + about_x(by_deg) @ (point - pivot)
    return float(x), float(y), float(z)


def test_the_lock_screw_stays_in_the_ears_arc_slot_from_0_to_90_degrees() -> None:
    for made in feasible_studies(MOUNTS):
        mount = working_mount(made)
        ear = one_face(mount, "ear", "plate")
        shank = mount.shank(next(j for j in mount.detail.joints if j.id == "V2"))
        tilt = float(made.scene.layout.settings.tilt_deg[0])
        slots = set()
        for degree in range(0, 91, 5):
            spot = ear.spot(swung(made, np.array(shank.start), degree - tilt))
            inside = [k for k, hole in enumerate(ear.holes) if hole.contains(spot)]
            assert len(inside) == 1, f"lock screw outside its slot at {degree} deg"
            room = ear.holes[inside[0]].exterior.distance(spot) - shank.diameter / 2
            assert room > 0.0
            slots.add(inside[0])
        assert len(slots) == 1


def test_the_pin_meets_a_hole_of_the_ear_at_both_stops_and_nowhere_between() -> None:
    for made in feasible_studies(MOUNTS):
        mount = working_mount(made)
        ear = one_face(mount, "ear", "plate")
        shank = mount.shank(next(j for j in mount.detail.joints if j.id == "V3"))
        tilt = float(made.scene.layout.settings.tilt_deg[0])
        for degree in range(0, 91, 10):
            spot = ear.spot(swung(made, np.array(shank.start), degree - tilt))
            holes = [hole for hole in ear.holes if hole.centroid.distance(spot) < 1e-3]
            assert len(holes) == (1 if degree in (0, 90) else 0)
            for hole in holes:
                assert hole.area == pytest.approx(math.pi / 4 * shank.diameter**2, rel=1e-3)


def test_the_swing_plate_turns_clear_of_the_ears_screws() -> None:
    """Seen along x the screws of ear and arm stay outside the circle that the swing plate sweeps."""
    for made in feasible_studies(MOUNTS):
        mount = working_mount(made)
        settings = made.scene.layout.settings
        pivot = Point(float(settings.pivot_y[0]), float(settings.pivot_z[0]))
        points = [
            face.frame.point((x, y, z))
            for face in mount.faces["swing plate"]
            for x, y in face.outline.exterior.coords
            for z in (0.0, face.thickness)
        ]
        sweep = max(pivot.distance(Point(y, z)) for _, y, z in points)
        for name in ("E1", "E2"):
            shank = mount.shank(next(j for j in mount.detail.joints if j.id == name))
            tip = pivot.distance(Point(*shank.start[1:]))
            head = CATALOGUE.thread(made.scene.layout.arm.nut_thread).head_diameter_max / 2
            assert tip - head > sweep


def washers_on_the_web(made: Study) -> list[Point]:
    joints = made.scene.detail.joints
    return [Point(j.point[0], j.point[2]) for j in joints if any(m.instance == "rail" for m in j.members)]


def test_rail_holes_keep_clear_of_axles() -> None:
    """Axles from the survey's own numbers, 20 to either side of the print line, seen along y."""
    seen = 0
    for made in everything():
        line, pattern = made.scene.survey.line, made.scene.layout.on_rail.pattern
        if line.surface != "rollers" or pattern.clear < 0:
            continue
        centres = [
            Point(line.first_roller_at + k * line.roller_pitch, -line.roller_diameter / 2)
            for k in range(-20, 21)
        ]
        need = CATALOGUE.thread("M6").washer_outer / 2 + line.roller_axle_diameter / 2 + rules.HOLE_AIR
        nearest = min(spot.distance(axle) for spot in washers_on_the_web(made) for axle in centres)
        assert nearest >= need - 1e-9
        seen += 1
    assert seen > EVERY / 4


def test_rail_holes_keep_clear_of_keepouts() -> None:
    seen = 0
    for made in everything():
        keepouts = made.scene.survey.rail.keepouts
        if not keepouts or made.scene.layout.on_rail.pattern.clear < 0:
            continue
        need = CATALOGUE.thread("M6").washer_outer / 2 + rules.HOLE_AIR
        for keepout in keepouts:
            for spot in washers_on_the_web(made):
                dx = max(keepout.x[0] - spot.x, spot.x - keepout.x[1], 0.0)
                dz = max(keepout.z[0] - spot.y, spot.y - keepout.z[1], 0.0)
                assert math.hypot(dx, dz) >= need - 1e-9
        seen += 1
    assert seen > EVERY / 4


def test_rail_holes_lie_on_the_flat_of_the_web() -> None:
    """Nuts or heads lie between the flanges: no washer on a root radius (flat: depth less flange and radius;
    a sloped flange is thicker at its root)."""
    for made in everything():
        profile, top = made.survey.rail.profile, made.survey.rail.top_above_surface
        if profile.kind != "channel":
            continue
        lost = profile.flange_thickness + profile.inside_radius * (0.9 if profile.flange_slope else 1.0)
        radius = CATALOGUE.thread("M6").washer_outer / 2
        for spot in washers_on_the_web(made):
            assert top - profile.depth + lost + radius < spot.y < top - lost - radius


def test_the_mast_moves_on_when_a_keepout_takes_its_place() -> None:
    """A leg bolt put in the middle of the rail leg: the next layout's leg lies elsewhere."""
    moved = 0
    for made in feasible_studies(14):
        if made.survey.line.flow != "left_to_right":
            continue
        pattern = made.scene.layout.on_rail.pattern
        x, z = sum(pattern.columns) / 2, sum(pattern.rows) / 2
        bolt = replace(KEEPOUT, x=(x - 6, x + 6), z=(z - 6, z + 6))
        site = replace(made.survey, rail=replace(made.survey.rail, keepouts=(bolt,)))
        again = study(site, CATALOGUE, SHOP)
        found = again.scene.layout.on_rail.pattern
        if found.clear < 0:
            continue
        leg_from = again.scene.layout.angle_x
        assert found.leg_end_x <= x - 6 - 2 + 1e-9 or leg_from >= x + 6 + 2 - 1e-9
        moved += 1
    assert moved >= 3


def test_a_setting_for_each_product_is_the_same_mount() -> None:
    """Detailed at another product's setting only places change, no part."""
    for made in feasible_studies(30):
        count = len(made.scene.demand.names)
        first = made.scene.detail
        last = detail(made.scene.survey, made.scene.layout, CATALOGUE, count - 1)
        for one, other in zip(first.sheets, last.sheets, strict=True):
            assert one.number == other.number
            assert one.root.outline == other.root.outline
            assert {type(hole) for hole in one.root.holes} == {type(hole) for hole in other.root.holes}
        assert [part.designation for part in first.bought] == [part.designation for part in last.bought]
