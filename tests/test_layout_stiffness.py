"""The mast's stiffness: closed forms where parts of it are rigid, and a space frame of our own.

Derived: cantilever P L^3 / 3 E I and L frame by hand (Roark, Table 8.1; Castigliano). Independent: beam
elements. Dunkerley's formula is a lower bound of the first frequency.
"""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from frame_elements import Beam, Frame

from mountgen.layout import rules
from mountgen.layout.flexibility import Flexibility, softest
from mountgen.layout.stiffness import Mast, first_frequency, give, leg_stiffness, sag

E, G = 70_000.0, 27_000.0
RIGID = 1e12
UPRIGHT, DOWN = np.array([0.0]), np.array([90.0])

BASE = Mast(
    overhang=200.0,
    height=250.0,
    drop=60.0,
    offset=50.0,
    e_mpa=E,
    g_mpa=G,
    post_i=30_000.0,
    post_j=4_000.0,
    arm_i=14_000.0,
    arm_j=2_000.0,
    leg_stiffness=math.inf,
    ear_i=60.0 * 3.0**3 / 12,
    sheet_e_mpa=210_000.0,
    head_kg=1.4,
    arm_kg=0.2,
    post_kg=0.4,
    controller_kg=1.4,
    controller_height=120.0,
)
WEIGHT = 1.4 * 9.81


def only(**changes: float) -> Mast:
    """The mast with everything else as good as rigid."""
    stiff = {"post_i": RIGID, "post_j": RIGID, "arm_i": RIGID, "arm_j": RIGID, "ear_i": RIGID}
    return replace(BASE, **{**stiff, **changes})


def test_downward_with_a_rigid_post_it_is_a_cantilever_of_the_arm() -> None:
    expected = WEIGHT * 200.0**3 / (3 * E * 14_000.0)
    assert sag(only(arm_i=14_000.0), DOWN)[0] == pytest.approx(expected, rel=1e-6)


def test_twice_the_overhang_is_eight_times_the_arms_sag() -> None:
    short, long = (sag(only(arm_i=14_000.0, overhang=a), DOWN)[0] for a in (150.0, 300.0))
    assert long / short == pytest.approx(8.0, rel=1e-6)


def test_twice_the_second_moment_is_half_the_arms_sag() -> None:
    weak, strong = (sag(only(arm_i=i), DOWN)[0] for i in (10_000.0, 20_000.0))
    assert weak / strong == pytest.approx(2.0, rel=1e-6)


def test_downward_with_a_rigid_arm_the_posts_head_turns() -> None:
    """P a^2 h / (E I) of the L frame, and P b^2 h / (E I) for the offset b the other way."""
    expected = WEIGHT * (200.0**2 + 50.0**2) * 250.0 / (E * 30_000.0)
    assert sag(only(post_i=30_000.0), DOWN)[0] == pytest.approx(expected, rel=1e-6)


def test_downward_the_offset_twists_the_arm() -> None:
    """P b^2 a / (G J)."""
    expected = WEIGHT * 50.0**2 * 200.0 / (G * 2_000.0)
    assert sag(only(arm_j=2_000.0), DOWN)[0] == pytest.approx(expected, rel=1e-6)


def test_upright_the_post_sways_and_the_head_swings_back_under_it() -> None:
    """The couple P a bends the post: its top sways P a h^2 / (2 E I) towards the product and turns by
    P a h / (E I), which carries nozzles a drop below the arm back again."""
    couple = WEIGHT * 200.0
    sway = couple * 250.0**2 / (2 * E * 30_000.0)
    turn = couple * 250.0 / (E * 30_000.0)
    assert sag(only(post_i=30_000.0), UPRIGHT)[0] == pytest.approx(abs(sway - 60.0 * turn), rel=1e-6)


def test_a_soft_leg_turns_the_whole_mast() -> None:
    k = 5e6
    couple = WEIGHT * 200.0
    assert sag(only(leg_stiffness=k), DOWN)[0] == pytest.approx(couple / k * 200.0, rel=1e-6)
    assert sag(only(leg_stiffness=k), UPRIGHT)[0] == pytest.approx(couple / k * (250.0 - 60.0), rel=1e-6)


def test_a_hand_pushes_an_upright_head_as_it_bends_a_cantilever() -> None:
    """P h^3 / (3 E I) at the post's top; the drop's couple P d turns it by P d h / (E I)."""
    force = rules.HAND_FORCE
    expected = force * (250.0**3 / 3 + 60.0**2 * 250.0) / (E * 30_000.0)
    assert give(only(post_i=30_000.0), UPRIGHT)[0] == pytest.approx(expected, rel=1e-6)


def test_leg_stiffness_of_a_hand_worked_plate() -> None:
    """3 mm steel, rows 60 apart, bolts 25 from the bend: each row is a strip 50 wide, guided,
    12 E I / l^3 = 12 * 210000 * 50 * 27 / 12 / 25^3 = 18144 N/mm; times 60^2 / 2."""
    assert leg_stiffness(3.0, 60.0, 25.0, 210_000.0) == pytest.approx(18_144.0 * 60**2 / 2)


def test_leg_stiffness_scales_with_the_cube_of_thickness_and_the_square_of_rows() -> None:
    one = leg_stiffness(3.0, 60.0, 25.0, 210_000.0)
    assert leg_stiffness(6.0, 60.0, 25.0, 210_000.0) == pytest.approx(8 * one)
    assert leg_stiffness(3.0, 120.0, 25.0, 210_000.0) == pytest.approx(4 * one)


def test_a_bare_post_swings_at_the_cantilevers_frequency() -> None:
    """sqrt(3 E I / m h^3) / 2 pi with all mass at the top (Blevins, from memory)."""
    mast = only(post_i=30_000.0, arm_kg=0.0, post_kg=0.0, controller_kg=0.0, offset=0.0)
    mast = replace(mast, overhang=1e-3, drop=1e-3)
    stiffness = 3 * E * 30_000.0 / 250.0**3 * 1000
    assert float(first_frequency(mast)) == pytest.approx(math.sqrt(stiffness / 1.4) / 2 / math.pi, rel=1e-4)


def frame_of(mast: Mast) -> tuple[Frame, tuple[float, float, float]]:
    """The same mast in beam elements: post, arm, a stiff bracket to the side and the ear down to the head."""
    h, a, b, d = mast.height, mast.overhang, mast.offset, mast.drop
    frame = Frame()
    bar = {"ea": 1e9}
    post_ei, arm_ei, ear_ei = mast.e_mpa * mast.post_i, mast.e_mpa * mast.arm_i, mast.sheet_e_mpa * mast.ear_i
    x, y = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)
    low, high = (0.0, 0.0, mast.controller_height), (0.0, 0.0, h)
    share = mast.post_kg / h
    for start, end in (((0.0, 0.0, 0.0), low), (low, high)):
        kg = share * (end[2] - start[2])
        gj = mast.g_mpa * mast.post_j
        frame.add(Beam(start, end, ei_1=post_ei, ei_2=post_ei, gj=gj, reference=x, kg=kg, **bar))
    tip, side, head = (0.0, a, h), (-b, a, h), (-b, a, h - d)
    gj = mast.g_mpa * mast.arm_j
    frame.add(Beam(high, tip, ei_1=arm_ei, ei_2=arm_ei, gj=gj, reference=x, kg=mast.arm_kg, **bar))
    stiff = {"ei_2": 1e12, "gj": 1e12, "ea": 1e9}
    frame.add(Beam(tip, side, ei_1=1e12, reference=y, **stiff))
    frame.add(Beam(side, head, ei_1=ear_ei, reference=x, **stiff))
    frame.put(head, mast.head_kg)
    frame.put(low, mast.controller_kg)
    frame.fix((0.0, 0.0, 0.0), turn_x=mast.leg_stiffness, turn_y=mast.leg_stiffness)
    return frame, head


def random_mast(seed: int) -> Mast:
    dice = Random(seed)
    size, slim = (
        dice.choice(((8_000, 1_200), (14_000, 2_000), (31_000, 4_000), (88_000, 12_000))),
        dice.choice(((8_000, 1_200), (14_000, 2_000), (31_000, 4_000))),
    )
    height = dice.uniform(150, 500)
    return replace(
        BASE,
        overhang=dice.uniform(80, 350),
        height=height,
        drop=dice.uniform(50, 120),
        offset=dice.uniform(45, 110),
        post_i=float(size[0]),
        post_j=float(size[1]),
        arm_i=float(slim[0]),
        arm_j=float(slim[1]),
        leg_stiffness=dice.uniform(5e6, 1e8),
        ear_i=dice.uniform(50, 65) * dice.choice((3.0, 4.0, 5.0)) ** 3 / 12,
        head_kg=dice.uniform(0.6, 2.5),
        arm_kg=dice.uniform(0.05, 0.4),
        post_kg=dice.uniform(0.2, 0.9),
        controller_kg=dice.choice((0.6, 1.4)),
        controller_height=dice.uniform(60, height - 20),
    )


def test_the_frame_of_elements_bends_as_roark_says() -> None:
    """Cantilever 300 long, E I 1e9: 10 N push its end by P L^3 / 3 E I = 0.09 mm (Roark, Table 8.1, 1a)."""
    frame = Frame()
    frame.add(Beam((0, 0, 0), (0, 0, 300), 1e9, 1e9, 2e9, 1e9, (1, 0, 0)))
    frame.fix((0, 0, 0))
    assert frame.moved((0, 0, 300), (10, 0, 0))[0] == pytest.approx(0.09, rel=1e-4)
    assert frame.moved((0, 0, 300), (0, 10, 0))[1] == pytest.approx(0.045, rel=1e-4)


@pytest.mark.parametrize("seed", range(12))
def test_sag_of_a_downward_head_is_that_of_the_frame(seed: int) -> None:
    """The offset's couple about y also turns the soft leg in the frame; the closed form leaves that out, so
    the frame's leg is taken stiff about y."""
    mast = random_mast(seed)
    frame, head = frame_of(mast)
    frame.fix((0.0, 0.0, 0.0), turn_x=mast.leg_stiffness)
    weight = mast.head_kg * 9.81
    assert -frame.moved(head, (0.0, 0.0, -weight))[2] == pytest.approx(float(sag(mast, DOWN)[0]), rel=0.01)


@pytest.mark.parametrize("seed", range(12))
def test_sag_of_an_upright_head_is_that_of_the_frame(seed: int) -> None:
    """The nozzles' move along y is a difference of sway and swing, so 2 % of the larger is allowed."""
    mast = random_mast(seed)
    frame, head = frame_of(mast)
    frame.fix((0.0, 0.0, 0.0), turn_x=mast.leg_stiffness)
    weight = mast.head_kg * 9.81
    moved = frame.moved(head, (0.0, 0.0, -weight))
    tolerance = 0.02 * abs(moved[3]) * mast.drop + 1e-6
    assert abs(moved[1]) == pytest.approx(float(sag(mast, UPRIGHT)[0]), abs=tolerance)


@pytest.mark.parametrize("seed", range(12))
def test_the_first_frequency_is_a_lower_bound_and_not_far_below(seed: int) -> None:
    mast = random_mast(seed)
    frame, _ = frame_of(mast)
    exact, estimate = frame.first_frequency(), float(first_frequency(mast))
    assert 0.85 * exact < estimate < exact


@pytest.mark.parametrize("size", [1e-9, 1.0, 1e9])
def test_the_softest_direction_is_that_of_the_largest_eigenvalue(size: float) -> None:
    """Independent: an iterative solver. Random squares, so that no eigenvalue is below zero."""
    rows = np.random.default_rng(4).normal(size=(500, 3, 3))
    matrices = size * rows @ rows.transpose(0, 2, 1)
    xx, yy, zz = (matrices[:, i, i] for i in range(3))
    xy, xz, yz = matrices[:, 0, 1], matrices[:, 0, 2], matrices[:, 1, 2]
    expected = np.linalg.eigvalsh(matrices)[:, -1]
    assert softest(Flexibility(xx, yy, zz, xy, xz, yz)) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("diagonal", "largest"), [((2, 2, 2), 2), ((1, 3, 3), 3), ((1, 1, 3), 3), ((0, 0, 5), 5), ((0, 0, 0), 0)]
)
def test_directions_that_are_alike(diagonal: tuple[float, ...], largest: float) -> None:
    none = np.zeros(1)
    xx, yy, zz = (np.array([float(value)]) for value in diagonal)
    assert softest(Flexibility(xx, yy, zz, none, none, none)) == pytest.approx([largest], rel=1e-7)
