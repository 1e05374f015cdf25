"""The search's chain of springs: closed forms where one part gives way alone, and beam elements of our own.

Derived: cantilever P L^3 / 3 E I and L frame by hand (Roark, Table 8.1; Castigliano), a mass on a spring.
Independent: beam elements.
"""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from frame_elements import Beam, Frame
from random_surveys import CATALOGUE, random_survey, study_of

from mountgen.layout import rules
from mountgen.layout.flexibility import RIGID, Body, Spring, bar, chain, joint, moved, slowest
from mountgen.layout.rail_give import axle_stiffness, rigid_rail, twist_stiffness, warping_constant
from mountgen.layout.stiffness import Mast, first_frequency, give, head_frequency, sag
from mountgen.mechanics.folded_strip import PLATE, folded_twist
from mountgen.mechanics.torsion import Span, span_twist

EI, GJ = 2.1e9, 1.1e8
H, A, SIDE, DROP = 250.0, 200.0, 50.0, 60.0
POST = bar((0.0, 0.0, 0.0), (0.0, 0.0, H), H, (1 / EI, 1 / EI, 1 / GJ))
ARM = bar((0.0, 0.0, H), (0.0, A, H), A, (1 / EI, 1 / GJ, 1 / EI))
TIP = (0.0, A, H)
HEAD = (-SIDE, A, H - DROP)


def test_a_bar_is_a_cantilever() -> None:
    """P L^3 / 3 E I (Roark, Table 8.1, case 1a)."""
    assert moved(chain(POST), (0, 0, H), (0, 0, H), 0)[0] == pytest.approx(H**3 / (3 * EI))
    assert moved(chain(ARM), TIP, TIP, 2)[2] == pytest.approx(A**3 / (3 * EI))


def test_post_and_arm_are_an_l_frame() -> None:
    """Along the post P a^2 h / E I + P a^3 / 3 E I, its sway P a h^2 / 2 E I towards the tip; square to the
    frame P a^3 / 3 E I + P h^3 / 3 E I + P a^2 h / G J (Castigliano)."""
    whole = chain((*POST, *ARM))
    down = moved(whole, TIP, TIP, 2)
    assert down[2] == pytest.approx(A**2 * H / EI + A**3 / (3 * EI))
    assert down[1] == pytest.approx(-A * H**2 / (2 * EI))
    aside = moved(whole, TIP, TIP, 0)[0]
    assert aside == pytest.approx((A**3 + H**3) / (3 * EI) + A**2 * H / GJ)


def test_a_joint_turns_what_hangs_on_it() -> None:
    """Lever squared over stiffness, for the lever square to the force."""
    foot = joint((0.0, 0.0, 0.0), 5e6)
    assert moved(chain([foot]), HEAD, HEAD, 2)[2] == pytest.approx((SIDE**2 + A**2) / 5e6)
    assert moved(chain([foot]), HEAD, HEAD, 0)[0] == pytest.approx((A**2 + (H - DROP) ** 2) / 5e6)


def test_what_a_force_here_moves_there_is_what_it_would_move_here_from_there() -> None:
    """Maxwell's reciprocal theorem."""
    last = Spring((0.0, 0.0, 0.0), (1e-7, 0.0, 2e-7), (0, 3e-4, 0))
    whole = chain((*POST, joint((0.0, 0.0, H), 1e6), *ARM, last))
    for i, k in ((0, 1), (0, 2), (1, 2), (2, 2)):
        there, here = moved(whole, HEAD, TIP, i)[k], moved(whole, TIP, HEAD, k)[i]
        assert there == pytest.approx(here, rel=1e-12)


def test_a_body_on_one_spring_swings_at_its_own_frequency() -> None:
    """Pure travel: omega^2 = k / m; pure turn about its own middle: omega^2 = k / I. With k in N/mm and N mm
    and masses in kg both are 1000 times the plain quotient."""
    push = Spring((0.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, 1 / 40.0, 0.0))
    assert slowest(RIGID, ((chain([push]), Body((0.0, 0.0, 0.0), 2.0)),)) == pytest.approx(2.0 / 40.0 / 1000)
    turn = Spring((0.0, 0.0, 0.0), (0.0, 0.0, 1 / 3e5))
    body = Body((0.0, 0.0, 0.0), 2.0, (0.0, 0.0, 900.0))
    assert slowest(RIGID, ((chain([turn]), body),)) == pytest.approx(900.0 / 3e5 / 1000)


def test_two_bodies_that_swing_alike_are_taken_a_little_too_slow() -> None:
    """(2 x^8)^(1/8): 9 % more than x."""
    body = Body((0.0, 0.0, 0.0), 2.0)
    each = chain([Spring((0.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, 1 / 40.0, 0.0))])
    found = float(slowest(RIGID, ((each, body), (each, body))))
    assert found == pytest.approx(2 ** (1 / 8) * 2.0 / 40.0 / 1000)


def mast(seed: int, **changes: object) -> Mast:
    """Post and arm with a head on a stiff lever, the controller at the post's lower part."""
    dice = Random(seed)
    height, arm = dice.uniform(150, 400), dice.uniform(80, 300)
    low = dice.uniform(60, height - 20)
    ei, gj = dice.choice((5e8, 2e9)), dice.choice((5e7, 2e8))
    foot = joint((0.0, 0.0, 0.0), dice.uniform(5e6, 1e8))
    head = (-dice.uniform(40, 90), arm, height - dice.uniform(40, 90))
    upright = (1 / ei, 1 / ei, 1 / gj)
    made = Mast(
        foot=(foot,),
        shared=bar((0.0, 0.0, 0.0), (0.0, 0.0, low), low, upright),
        to_root=(
            *bar((0.0, 0.0, low), (0.0, 0.0, height), height - low, upright),
            *bar((0.0, 0.0, height), (0.0, arm, height), arm, (1 / ei, 1 / gj, 1 / ei)),
        ),
        to_head=(),
        to_box=(),
        head=Body(head, dice.uniform(0.6, 2.5)),
        hand_at=head,
        root=Body((0.0, 0.0, height), 0.0),
        arm=Body((0.0, arm / 2, height), 0.0),
        box=Body((dice.uniform(60, 120), 0.0, low), dice.choice((0.6, 1.4))),
        wheel=Body((0.0, 0.0, 0.0), 0.0),
        nozzle=head,
        tilt_deg=np.array([0.0]),
    )
    return replace(made, **changes)


def elements(one: Mast) -> Frame:
    """The same in beam elements; the foot turns about x and y alone."""
    low, top, tip = one.box.at[2], one.root.at, (0.0, one.head.at[1], one.root.at[2])
    ei, gj = (0.5 * (top[2] - low) / one.to_root[0].turn[axis] for axis in (0, 2))
    frame = Frame()
    plain = {"ea": 1e10, "ei_1": ei, "ei_2": ei, "gj": gj, "reference": (1.0, 0.0, 0.0)}
    stiff = {"ea": 1e10, "ei_1": 1e13, "ei_2": 1e13, "gj": 1e13}
    bars = (((0.0, 0.0, 0.0), (0.0, 0.0, low)), ((0.0, 0.0, low), top))
    for start, end in (*bars, (top, tip)):
        frame.add(Beam(start, end, **plain))
    frame.add(Beam(tip, one.head.at, **stiff, reference=(0.0, 1.0, 0.0)))
    frame.add(Beam((0.0, 0.0, low), one.box.at, **stiff, reference=(0.0, 1.0, 0.0)))
    frame.put(one.head.at, one.head.kg)
    frame.put(one.box.at, one.box.kg)
    foot = 1 / one.foot[0].turn[0]
    frame.fix((0.0, 0.0, 0.0), turn_x=foot, turn_y=foot)
    return frame


def on_a_foot_that_does_not_swing(one: Mast) -> Mast:
    turn = one.foot[0].turn[0]
    return replace(one, foot=(Spring((0.0, 0.0, 0.0), (turn, turn, 0.0)),))


@pytest.mark.parametrize("seed", range(8))
def test_what_a_hand_moves_is_what_the_elements_say(seed: int) -> None:
    one = on_a_foot_that_does_not_swing(mast(seed))
    frame = elements(one)
    pushes = [abs(frame.moved(one.head.at, 50.0 * np.eye(3)[axis])[1]) for axis in range(3)]
    assert float(give(one, 50.0)[0]) == pytest.approx(max(pushes), rel=1e-3)


@pytest.mark.parametrize("seed", range(8))
def test_sag_is_what_the_elements_say(seed: int) -> None:
    """Of the head alone; downward, so that nothing is the difference of two moves."""
    one = on_a_foot_that_does_not_swing(mast(seed, tilt_deg=np.array([90.0])))
    one = replace(one, box=replace(one.box, kg=0.0))
    fallen = elements(one).moved(one.head.at, (0.0, 0.0, -one.head.kg * rules.GRAVITY))
    assert float(sag(one)[0]) == pytest.approx(-fallen[2], rel=1e-3)


@pytest.mark.parametrize("seed", range(8))
def test_the_first_frequency_is_rather_low_and_not_far_off(seed: int) -> None:
    one = on_a_foot_that_does_not_swing(mast(seed))
    exact, estimate = elements(one).first_frequency(), float(first_frequency(one.swinging))
    assert 0.95 * exact < estimate < 1.001 * exact


@pytest.mark.parametrize("seed", range(8))
def test_the_head_alone_swings_no_slower_than_the_mount(seed: int) -> None:
    """What is left out can only make it slower (Rayleigh); along the flow alone, by a force there."""
    one = on_a_foot_that_does_not_swing(mast(seed))
    assert float(head_frequency(one.swinging)) >= float(first_frequency(one.swinging))
    moves = elements(one).moved(one.head.at, (1.0, 0.0, 0.0))[0]
    alone = math.sqrt(1000 / (one.head.kg * moves)) / (2 * math.pi)
    assert float(head_frequency(one.swinging)) == pytest.approx(alone, rel=1e-3)


def test_twice_the_hand_moves_twice_as_far_and_twice_the_head_sags_twice() -> None:
    one = replace(mast(3), box=Body((0.0, 0.0, 50.0), 0.0))
    assert give(one, 100.0) == pytest.approx(2 * give(one, 50.0))
    heavy = replace(one, head=replace(one.head, kg=2 * one.head.kg))
    assert sag(heavy) == pytest.approx(2 * sag(one))
    assert first_frequency(heavy.swinging) == pytest.approx(first_frequency(one.swinging) / math.sqrt(2))


def test_a_folded_strip_between_its_two_limits() -> None:
    """A fibre of 1 mm: with an endless other leg the fold turns freely, 3 D / a^3; with none it is clamped,
    12 D / a^3. D of 3 mm steel is 210000 * 27 / 12 / 0.91 = 519231 N mm; h^3 / 12 for h = 60 is 18000."""
    d = 210_000 * 27 / 12 * PLATE
    assert d == pytest.approx(519_231, rel=1e-5)
    free, clamped = (folded_twist(20.0, other, 60.0, 3.0, 210_000.0) for other in (1e9, 1e-9))
    assert free == pytest.approx(3 * d / 20**3 * 18_000)
    assert clamped == pytest.approx(12 * d / 20**3 * 18_000)
    halves = folded_twist(20.0, 20.0, 60.0, 3.0, 210_000.0)
    assert halves == pytest.approx(7.5 * d / 20**3 * 18_000)


def on_a_belt() -> tuple:
    survey = next(s for s in map(random_survey, range(60)) if s.rail.profile.kind == "channel")
    line = replace(survey.line, surface="belt")
    return replace(survey, line=line), CATALOGUE.material(survey.rail.profile.material)


def test_without_axles_the_rail_twists_as_a_span_between_cross_members() -> None:
    """The series of sines sums to `span_twist` between fork ends (AISC Design Guide 9, case 3)."""
    survey, steel = on_a_belt()
    ecw = steel.e_mpa * warping_constant(survey.rail.profile)
    span = Span(rules.CROSS_TIES_APART, 1.0, steel.g_mpa * survey.rail.section.torsion_mm4, ecw, "fork")
    assert twist_stiffness(survey, steel) == pytest.approx(1 / span_twist(1.0, span), rel=1e-3)


def test_screwed_axles_hold_a_rail_upright() -> None:
    survey, steel = on_a_belt()
    line = replace(survey.line, surface="rollers", roller_pitch=75.0, roller_axle_diameter=12.0)
    rolled = replace(survey, line=line)
    inertia = math.pi * 12**4 / 64
    expected = 2 * steel.e_mpa * inertia / survey.rail.far_rail_at / 75
    assert axle_stiffness(rolled, steel) == pytest.approx(expected)
    assert twist_stiffness(rolled, steel) > twist_stiffness(survey, steel)
    assert axle_stiffness(survey, steel) == 0.0


def test_a_rigid_rail_gives_nothing() -> None:
    rail = rigid_rail(study_of(2).scene.survey)
    assert math.isinf(rail.twist) and rail.web_springs == (math.inf,) * 3
