"""The order of assembly of whole mounts, and the check that tells when there is none."""

from __future__ import annotations

import pytest
from conftest import EXAMPLES
from random_surveys import feasible_studies, mirrored_line
from test_checks_each import check_of, example, numbers, sound, studied

from mountgen.assembly.records import Assembly, Move, Step
from mountgen.assembly.units import in_world, put_together, units_of
from mountgen.checks.assembly import assembly_of, order_check
from mountgen.checks.clearances import site_boxes
from mountgen.detail.exploded import CARRIED
from mountgen.geometry import Box, add, scale
from mountgen.layout.rules import KEY_ROOM

RANDOM = 24
pytestmark = pytest.mark.xdist_group("random mounts")


def mount(name):
    """An example's mount, or a random one by its place."""
    return studied(example(name)) if name in EXAMPLES else feasible_studies(RANDOM)[int(name)]


@pytest.mark.parametrize("which", [*EXAMPLES, *map(str, range(RANDOM))])
def test_every_part_and_every_joint_comes_once_and_in_a_possible_order(which):
    made = mount(which)
    assembly = assembly_of(made.scene)
    detail = made.scene.detail
    assert assembly.blocked is None
    parts = [instance.name for instance in detail.instances if not instance.joint]
    bench = [move.piece for step in assembly.steps if step.on_bench for move in step.moves]
    line = [name for step in assembly.steps if not step.on_bench for name in step.instances]
    assert sorted(line) == sorted(parts)
    assert set(bench) <= set(parts)
    tightened = [id_ for step in assembly.steps for id_ in step.fastenings]
    barrels = {joint.id for joint in detail.joints if joint.members[-1].instance == "photo-eye arm"}
    assert sorted([*tightened, *barrels]) == sorted(joint.id for joint in detail.joints)
    assert all(move.room >= KEY_ROOM for step in assembly.steps for move in step.moves)
    for name, carrier in CARRIED.items():
        if name in bench:
            assert bench.index(carrier) < bench.index(name)


def test_the_bench_comes_first_and_the_rail_angle_before_all_that_hangs_on_it():
    for made in map(mount, EXAMPLES):
        steps = assembly_of(made.scene).steps
        assert [step.on_bench for step in steps] == sorted((step.on_bench for step in steps), reverse=True)
        line = [step.title for step in steps if not step.on_bench]
        assert line[:3] == ["mount the rail angle", "mount the post", "mount the arm stop"]
        assert line.index("mount the arm with cross plate") < line.index("mount the head bracket")


def test_the_order_does_not_depend_on_the_direction_of_flow():
    right, left = sound(), mirrored_line(sound())
    assert right.line.flow != left.line.flow
    steps = [[step.title for step in assembly_of(studied(s).scene).steps] for s in (right, left)]
    assert steps[0] == steps[1]


def test_a_duct_in_front_of_a_screw_blocks_its_key_and_is_named():
    scene = studied(sound()).scene
    joint = next(joint for joint in scene.detail.joints if joint.id == "P1")
    head = add(joint.point, scale(joint.direction, -25.0))
    duct = ("duct", Box(add(head, (-1.0, -2.0, -2.0)), add(head, (1.0, 2.0, 2.0))))
    blocked = put_together(scene.detail, (*site_boxes(scene), duct)).blocked
    assert (blocked.piece, blocked.fastening, blocked.blocker) == ("post", "P1", "duct")
    assert blocked.room == pytest.approx(24.0)
    check = order_check(put_together(scene.detail, (*site_boxes(scene), duct)))
    assert (check.verdict, check.margin) == ("fail", pytest.approx(-12.0))
    assert "duct" in check.title and "P1" in check.title
    assert numbers(check.remedy)[0] == 12.0


def test_a_cage_around_the_mount_lets_no_part_in_and_is_named():
    scene = studied(sound()).scene
    low, high = (-400.0, -400.0, -400.0), (600.0, 400.0, 800.0)
    cage = []
    for axis in range(3):
        for face, out in ((low[axis], -30.0), (high[axis], 30.0)):
            a, b = list(low), list(high)
            a[axis], b[axis] = sorted((face, face + out))
            cage.append(("cage", Box(tuple(a), tuple(b))))
    found = put_together(scene.detail, (*site_boxes(scene), *cage))
    assert found.blocked is not None
    assert (found.blocked.fastening, found.blocked.blocker) == ("", "cage")
    check = order_check(found)
    assert check.verdict == "fail"
    assert found.blocked.piece in check.title
    assert check.margin == pytest.approx(found.blocked.room - found.blocked.needed)


def test_the_measuring_wheel_hides_screws_and_so_comes_after_them():
    scene = studied(sound()).scene
    unit = next(unit for unit in units_of(scene.detail) if unit.name == "encoder unit")
    step = next(step for step in assembly_of(scene).steps if step.title == "make up the encoder unit")
    assert {instance.name for instance in unit.instances} == set(step.instances)
    order = [move.piece for move in step.moves]
    assert order.index("encoder") < order.index("measuring wheel")


def test_the_check_tells_the_least_room_of_any_key():
    made = studied(sound())
    check = check_of(made, "assembly_order")
    rooms = [move.room for step in assembly_of(made.scene).steps for move in step.moves]
    assert check.value == min(rooms)
    assert check.verdict == "pass"


def test_ways_in_on_the_line_are_mirrored_with_the_line_and_those_on_the_bench_are_not():
    move = Move("post", (1.0, 0.0, 0.0), ("P1",), 200.0)
    steps = tuple(Step("mount", (move,), (("post",),), on_bench=bench) for bench in (True, False))
    left = in_world(Assembly(steps), "right_to_left").steps
    assert [step.moves[0].direction[0] for step in left] == [1.0, -1.0]
    assert in_world(Assembly(steps), "left_to_right").steps == steps
