"""A bridge's parts, joints and settings, measured on the placed mount; what it does at a changeover."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from bridge_samples import as_bridge, random_bridge, sacks
from conftest import SURVEYS
from joint_geometry import Mount
from random_surveys import CATALOGUE
from shops import SHOP

from mountgen.checks.scene import Scene
from mountgen.detail.mast import detail
from mountgen.detail.records import Detail
from mountgen.geometry import Box
from mountgen.layout import rules
from mountgen.layout.families import FAMILIES, choices
from mountgen.layout.readings import readings
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey

SEEDS = (0, 4)
EDGE = 1e-6


def mounts() -> list[Study]:
    return [sacks(), *(random_bridge(seed) for seed in SEEDS)]


def boxes_of(scene: Scene, name: str) -> list[Box]:
    return sorted((p.box for p in scene.boxes if p.instance == name), key=lambda box: box.low)


def test_the_samples_print_both_ways() -> None:
    assert {float(made.scene.layout.settings.tilt_deg[0]) for made in mounts()} == {0.0, 90.0}


def test_a_bridge_is_tried_after_the_masts() -> None:
    names = [rule.name for rule in FAMILIES]
    assert names.index("bridge") > names.index("rail_mast")
    survey = read_survey(SURVEYS / "compost-sacks.toml", CATALOGUE)
    bolted = replace(survey, rail=replace(survey.rail, attach=("bolted",)))
    assert "bridge" in choices(bolted)
    assert "bridge" not in choices(replace(survey, rail=replace(survey.rail, attach=("clamped",))))


def test_every_screw_passes_a_hole_in_every_sheet_that_it_holds() -> None:
    for made in mounts():
        mount = Mount(made.detail, made.survey.rail.section.web_thickness)
        for joint in made.detail.joints:
            if joint.fastener == joint.title:
                continue
            shank = mount.shank(joint)
            for member in joint.members:
                if member.instance in mount.faces:
                    crossed = mount.crossed(joint, member.instance)
                    assert crossed is not None, f"{joint.id} misses {member.instance}"
                    face, hole = crossed
                    assert hole.exterior.distance(face.spot(shank.start)) > shank.diameter / 2 - 0.01


def test_the_far_foot_is_the_near_one_mirrored_in_the_middle_of_the_line() -> None:
    for made in mounts():
        far = made.survey.rail.far_rail_at
        for name in ("rail angle", "post", "backing plate"):
            near = boxes_of(made.scene, name)
            mirrors = sorted(
                (
                    Box((b.low[0], far - b.high[1], b.low[2]), (b.high[0], far - b.low[1], b.high[2]))
                    for b in near
                ),
                key=lambda box: box.low,
            )
            for box, mirror in zip(boxes_of(made.scene, f"far {name}"), mirrors, strict=True):
                assert box.low == pytest.approx(mirror.low, abs=EDGE)
                assert box.high == pytest.approx(mirror.high, abs=EDGE)


def test_equal_parts_have_one_number_and_the_far_angle_one_of_its_own() -> None:
    for made in mounts():
        counts = {part.number[:3]: made.detail.quantity(part.number) for part in made.detail.parts.values()}
        assert (counts["B10"], counts["B20"], counts["B21"]) == (2, 2, 2)
        assert (counts["A10"], counts["A12"]) == (1, 1)


def test_both_rails_get_the_same_holes() -> None:
    for made in mounts():
        holes = made.detail.rail_holes
        near, far = (
            sorted((hole.x, hole.z, hole.diameter) for hole in holes if hole.rail == rail)
            for rail in ("rail", "far rail")
        )
        assert near == far
        assert len({hole.tag for hole in holes}) == len(holes)


def placed(made: Study, product: int) -> Detail:
    scene = made.scene
    return detail(scene.survey, scene.layout, CATALOGUE, product)


def test_the_beam_only_goes_up_and_down_and_the_head_also_along_it() -> None:
    """The quick shifts against the mount put together anew at another product's setting."""
    scene = sacks().scene
    for product in range(len(scene.demand.names)):
        there = Scene(
            scene.survey, scene.demand, scene.layout, placed(sacks(), product), CATALOGUE, scene.shop
        )
        moved = zip(scene.boxes, there.boxes, strict=True)
        for piece, anew in moved:
            assert piece.instance == anew.instance
            shifted = scene.at(piece, product)
            assert shifted.low == pytest.approx(anew.box.low, abs=EDGE), piece.instance
            assert shifted.high == pytest.approx(anew.box.high, abs=EDGE), piece.instance
    beams = [placed(sacks(), p) for p in (0, 3)]
    first, last = (next(i for i in one.instances if i.name == "beam").placement.origin for one in beams)
    assert first[:2] == last[:2]
    assert first[2] != last[2]


def test_scales_read_what_a_rule_would_measure() -> None:
    """Beam scale: the ear's far edge to the beam's far end; both post scales: the cross plate's underside
    over the post's lower end."""
    scene = sacks().scene
    found = readings(scene.demand, scene.layout)
    for product in range(len(scene.demand.names)):
        there = Scene(
            scene.survey, scene.demand, scene.layout, placed(sacks(), product), CATALOGUE, scene.shop
        )
        (ear,), (beam,) = boxes_of(there, "ear"), boxes_of(there, "beam")
        assert found.arm[product] == pytest.approx(beam.high[1] - ear.high[1])
        for side in ("", "far "):
            (plate,), (post,) = boxes_of(there, f"{side}cross plate"), boxes_of(there, f"{side}post")
            assert found.post[product] == pytest.approx(plate.low[2] - post.low[2])


def test_ear_and_screws_stay_on_the_beam() -> None:
    for made in mounts():
        layout = made.scene.layout
        begin, tip = layout.arm_tail(0), layout.settings.tip_y
        width = layout.head.ear_back + rules.PIVOT_EDGE
        room = min(float(tip.min()) - width - begin, begin + layout.arm_length - float(tip.max()))
        assert layout.spare_in_out == pytest.approx(room)


def test_a_line_wider_than_any_beam_is_refused_by_its_length() -> None:
    survey = read_survey(SURVEYS / "compost-sacks.toml", CATALOGUE)
    far = rules.LONGEST_BEAM + 10.0
    wide = replace(survey, rail=replace(survey.rail, far_rail_at=far))
    made = study(as_bridge(wide), CATALOGUE, SHOP)
    (check,) = (one for one in made.checks if one.id == "reach_in_out")
    assert check.verdict == "fail"
    assert check.value > far
    assert check.limit == rules.LONGEST_BEAM


def test_the_far_rail_is_listed_as_assumed() -> None:
    keys = [one.key for one in sacks().survey.assumptions]
    assert keys.count("rail.far_rail") == 1


def test_a_post_that_would_meet_something_on_the_far_side_is_seen() -> None:
    survey = sacks().scene.survey
    far_post = boxes_of(sacks().scene, "far post")[0]
    thing = replace(
        survey.rail.keepouts[0],
        what="cabinet",
        x=(far_post.low[0], far_post.high[0]),
        y=(far_post.low[1], far_post.high[1]),
        z=(-50.0, 50.0),
    )
    crowded = replace(survey, rail=replace(survey.rail, keepouts=(*survey.rail.keepouts, thing)))
    made = study(replace(crowded, line=replace(crowded.line)), CATALOGUE, SHOP)
    assert made.scene.layout.post_x != sacks().scene.layout.post_x or made.verdict == "not feasible"


def test_some_product_needs_another_place_along_the_beam() -> None:
    """Else the tests above would not see it move."""
    assert float(np.ptp(sacks().scene.layout.settings.tip_y)) > 1.0
