"""Properties of the space frame: turned, mirrored, added, scaled, refused, and closed forms of its joints."""

import math

import numpy as np
import pytest
from frame_samples import BAR, HEAD, INERTIA, E, cantilever, l_frame
from hypothesis import given, settings
from hypothesis import strategies as st

from mountgen.geometry import Placement
from mountgen.mechanics.frame import (
    FREE,
    RIGID,
    WEIGHT_DOWN,
    Bar,
    End,
    Frame,
    FrameError,
    LoadCase,
    Mass,
    Member,
    NodalLoad,
    Node,
    Support,
)
from mountgen.mechanics.frame_solve import (
    MechanismError,
    solve_modes,
    solve_static,
    solve_static_cases,
)

INF = math.inf
SPRINGS = (2e4, 3e4, INF, 5e6, 6e6, 7e6)


STRAIGHT = np.eye(3)


def mount(turn=STRAIGHT):
    """A post, an arm on springs behind an offset, a head: everything turned by a rotation matrix."""

    def v(*xyz):
        return tuple(turn @ np.array(xyz))

    bar = Bar(900.0, 8e4, 2e5, 5e4, 70000.0, 27000.0, 2.7e-6)
    nodes = (Node("foot", v(0, 0, 0)), Node("top", v(0, 0, 300)), Node("tip", v(0, 250, 300)))
    joint, grip = End(v(30.0, 20.0, 5.0), SPRINGS), End(v(5.0, -15.0, 10.0), SPRINGS[::-1])
    members = (
        Member("post", "foot", "top", bar, up=v(1, 0, 0)),
        Member("arm", "top", "tip", bar, up=v(0, 0, 1), start_end=joint, end_end=grip),
    )
    tensor = turn @ HEAD.tensor @ turn.T
    inertia = (tensor[0, 0], tensor[1, 1], tensor[2, 2], tensor[0, 1], tensor[0, 2], tensor[1, 2])
    head = Mass("tip", HEAD.kg, v(*HEAD.offset), inertia)
    axes = Placement((0.0, 0.0, 0.0), v(1, 0, 0), v(0, 0, 1))
    support = Support("foot", (1e4, 2e4, INF, 3e7, 4e7, 5e7), axes)
    case = LoadCase(
        (NodalLoad("tip", v(3, -5, 7), v(200, 100, -300), v(1, 2, 3)),), v(100.0, 200.0, -9806.65)
    )
    return Frame(nodes, members, (support,), (head,)), case


def rotation(axis, angle):
    x, y, z = np.array(axis) / np.linalg.norm(axis)
    k = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + math.sin(angle) * k + (1 - math.cos(angle)) * k @ k


axes_of_turning = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda a: np.linalg.norm(a) > 0.1)


@settings(max_examples=25, deadline=None)
@given(axes_of_turning, st.floats(-3, 3))
def test_turning_the_world_turns_the_answer(axis, angle):
    turn = rotation(axis, angle)
    both = np.kron(np.eye(2), turn)
    (frame, case), (turned, turned_case) = mount(), mount(turn)
    straight, other = solve_static(frame, case), solve_static(turned, turned_case)
    assert other.displacements == pytest.approx(straight.displacements @ both.T, rel=1e-6, abs=1e-9)
    assert other.reactions == pytest.approx(straight.reactions @ both.T, rel=1e-6, abs=1e-5)
    assert other.end_forces == pytest.approx(straight.end_forces, rel=1e-6, abs=1e-5)
    modes, turned_modes = solve_modes(frame, 4), solve_modes(turned, 4)
    assert turned_modes.frequencies_hz == pytest.approx(modes.frequencies_hz, rel=1e-6)
    size, turned_size = (np.linalg.norm(m.participation, axis=1) for m in (modes, turned_modes))
    assert turned_size == pytest.approx(size, rel=1e-5, abs=1e-7)


def test_reactions_balance_loads_and_weights():
    frame, case = mount()
    pushed = solve_static(frame, LoadCase(case.loads))
    assert pushed.reactions[0, :3] == pytest.approx([-3.0, 5.0, -7.0])
    weight = solve_static(frame, LoadCase(gravity=WEIGHT_DOWN))
    offset = math.hypot(5.0 - 30.0, 250.0 - 15.0 - 20.0, 10.0 - 5.0)
    kg = HEAD.kg + 2.7e-6 * 900.0 * (300.0 + offset)
    assert weight.reactions[0, :3] == pytest.approx([0.0, 0.0, kg * 9.80665], abs=1e-6)


def test_superposition():
    frame, case = mount()
    parts = (LoadCase(case.loads), LoadCase(gravity=case.gravity), case)
    first, second, together = solve_static_cases(frame, parts)
    for name in ("displacements", "reactions", "end_forces"):
        added = getattr(first, name) + getattr(second, name)
        assert getattr(together, name) == pytest.approx(added, rel=1e-9, abs=1e-7)


def test_many_cases_give_what_single_ones_give():
    frame, case = mount()
    cases = [LoadCase((NodalLoad("tip", force=(i, 2.0, -i)),)) for i in range(5)] + [case]
    for one, result in zip(cases, solve_static_cases(frame, cases), strict=True):
        alone = solve_static(frame, one)
        assert result.displacements == pytest.approx(alone.displacements, rel=1e-9, abs=1e-12)
        assert result.end_forces == pytest.approx(alone.end_forces, rel=1e-7, abs=1e-7)


def test_maxwell_reciprocity():
    """Betti and Maxwell: the work of one load over the travel of another is the same both ways round."""
    frame, _ = mount()
    a = LoadCase((NodalLoad("top", force=(1.0, 0.0, 0.0)),))
    b = LoadCase((NodalLoad("tip", couple=(0.0, 0.0, 1.0)),))
    first, second = solve_static_cases(frame, (a, b))
    assert first.at("tip")[5] == pytest.approx(second.at("top")[0])


def test_mirrored_frame_gives_the_mirrored_answer():
    """Mirrored in x: travels along x and turns about y and z change sign."""
    signs = np.array([-1, 1, 1, 1, -1, -1.0])
    frame = l_frame(masses=(HEAD,))
    xx, yy, zz, xy, xz, yz = HEAD.inertia
    x, y, z = HEAD.offset
    mirror = l_frame(masses=(Mass("tip", HEAD.kg, (-x, y, z), (xx, yy, zz, -xy, -xz, yz)),))
    case = LoadCase((NodalLoad("tip", (1.0, 2.0, 3.0), (4.0, 5.0, 6.0)),), WEIGHT_DOWN)
    other = LoadCase((NodalLoad("tip", (-1.0, 2.0, 3.0), (4.0, -5.0, -6.0)),), WEIGHT_DOWN)
    assert solve_static(mirror, other).displacements == pytest.approx(
        solve_static(frame, case).displacements * signs, abs=1e-12
    )
    assert solve_modes(mirror, 5).frequencies_hz == pytest.approx(solve_modes(frame, 5).frequencies_hz)


@given(st.floats(50.0, 800.0))
def test_twice_the_arm_is_eight_times_the_deflection(length):
    case = LoadCase((NodalLoad("tip", force=(0.0, 0.0, -10.0)),))
    near, far = (solve_static(cantilever(size), case).at("tip")[2] for size in (length, 2 * length))
    assert far == pytest.approx(8 * near)


def test_parts_of_a_bar_give_what_the_whole_bar_gives():
    case = LoadCase((NodalLoad("tip", force=(1.0, -2.0, 3.0), couple=(50.0, 60.0, 70.0)),), WEIGHT_DOWN)
    whole, parts = (solve_static(cantilever(parts=n), case).at("tip") for n in (1, 5))
    assert parts == pytest.approx(whole, rel=1e-9)


def test_rigid_offset_is_a_very_stiff_bar():
    """An arm of 150 mm behind a rigid offset of 50 mm."""
    arm = Member("arm", "a", "b", BAR, start_end=End((50.0, 0.0, 0.0)))
    nodes = (Node("a", (0.0, 0.0, 0.0)), Node("b", (200.0, 0.0, 0.0)))
    held = Support("a", (INF, INF, INF, INF, 4e7, INF))
    moved = solve_static(Frame(nodes, (arm,), (held,)), LoadCase((NodalLoad("b", force=(0.0, 0.0, -50.0)),)))
    expected = 50.0 * 150.0**3 / (3 * E * INERTIA) + 50.0 * 200.0**2 / 4e7
    assert moved.at("b")[2] == pytest.approx(-expected)


@pytest.mark.parametrize("way", [1, 2])
def test_rigid_offset_at_the_far_end(way):
    """A bar of 150 mm with 50 mm of rigid reach beyond it: Roark, Table 8.1, cases 1a and 3a, added."""
    arm = Member("arm", "a", "b", BAR, end_end=End((-50.0, 0.0, 0.0)))
    nodes = (Node("a", (0.0, 0.0, 0.0)), Node("b", (200.0, 0.0, 0.0)))
    push = tuple(50.0 if i == way else 0.0 for i in range(3))
    case = LoadCase((NodalLoad("b", force=push),))
    moved = solve_static(Frame(nodes, (arm,), (Support("a"),)), case).at("b")
    ei, couple = E * INERTIA, 50.0 * 50.0
    bend = 50.0 * 150.0**3 / (3 * ei) + couple * 150.0**2 / (2 * ei)
    slope = 50.0 * 150.0**2 / (2 * ei) + couple * 150.0 / ei
    assert moved[way] == pytest.approx(bend + 50.0 * slope)


@pytest.mark.parametrize("direction", range(6))
def test_spring_at_a_bars_end_adds_its_own_give(direction):
    """In series: the tip gains force / stiffness times its lever, in every direction."""
    lever = {4: (2, -200.0), 5: (1, 200.0)}
    springs = tuple(1e4 if i == direction else INF for i in range(6))
    straight = cantilever()
    bar = Member("m", "n0", "tip", BAR, start_end=End(springs=springs))
    axis, arm = lever.get(direction, (direction, 1.0))
    push = np.zeros(6)
    push[axis] = 10.0
    case = LoadCase((NodalLoad("tip", tuple(push[:3]), tuple(push[3:])),))
    soft = solve_static(Frame(straight.nodes, (bar,), straight.supports), case)
    stiff = solve_static(straight, case)
    assert soft.at("tip")[axis] - stiff.at("tip")[axis] == pytest.approx(10.0 * arm**2 / 1e4)


def test_point_off_a_node_moves_with_its_turn():
    result = solve_static(cantilever(), LoadCase((NodalLoad("tip", force=(0.0, 0.0, -50.0)),)))
    travel, slope = result.at("tip")[2], result.at("tip")[4]
    assert result.at("tip", (10.0, 0.0, 0.0))[2] == pytest.approx(travel - 10.0 * slope)
    assert result.at("tip", (0.0, 0.0, 7.0))[0] == pytest.approx(7.0 * slope)


def test_load_off_a_node_is_a_force_and_a_couple():
    offset = LoadCase((NodalLoad("tip", force=(0.0, 0.0, -50.0), offset=(0.0, 30.0, 0.0)),))
    couple = LoadCase((NodalLoad("tip", force=(0.0, 0.0, -50.0), couple=(-1500.0, 0.0, 0.0)),))
    one, other = solve_static_cases(cantilever(), (offset, couple))
    assert one.displacements == pytest.approx(other.displacements)


def test_mass_off_its_node_slows_the_twist():
    """A body beside a bar that only twists: 1/2pi sqrt(GJ/L / (I + m r^2)), bar without mass."""
    bar = Bar(1e6, 1e9, 1e9, 1e4, E, 27000.0)
    body = Mass("tip", 3.0, (0.0, 40.0, 0.0), (2000.0, 1.0, 1.0, 0.0, 0.0, 0.0))
    stiffness = 27000.0 * 1e4 / 200.0 * 1000.0
    expected = math.sqrt(stiffness / (2000.0 + 3.0 * 40.0**2)) / (2 * math.pi)
    assert solve_modes(cantilever(bar=bar, masses=(body,)), 1).frequencies_hz[0] == pytest.approx(
        expected, rel=1e-4
    )


def test_effective_masses_add_up_to_the_mass():
    frame = l_frame(masses=(HEAD,))
    frame = Frame(
        frame.nodes, frame.members, (Support("foot", (1e5, 1e5, 1e5, 1e8, 1e8, 1e8)),), frame.masses
    )
    modes = solve_modes(frame, 18)
    total = HEAD.kg + 2.7e-6 * 1000.0 * 500.0
    assert (modes.participation**2).sum(axis=0) == pytest.approx([total] * 3, rel=1e-6)


def test_shapes_have_a_mass_of_one_kg_and_explain_the_deflection():
    """u = sum of shape (shape . F) / omega^2 over all modes; 1 N moves 1 kg by 1000 mm/s2."""
    frame = l_frame(masses=(HEAD,))
    modes = solve_modes(frame, 12)
    push = modes.at("tip")[:, 2]
    omega = 2 * math.pi * modes.frequencies_hz
    summed = (modes.at("tip") * (push * 1000.0 / omega**2)[:, np.newaxis]).sum(axis=0)
    direct = solve_static(frame, LoadCase((NodalLoad("tip", force=(0.0, 0.0, 1.0)),))).at("tip")
    assert summed == pytest.approx(direct, rel=1e-6, abs=1e-9)


def test_frequencies_rise_and_are_as_many_as_asked():
    modes = solve_modes(l_frame(masses=(HEAD,)), 4)
    assert len(modes.frequencies_hz) == 4
    assert modes.shapes.shape == (4, 3, 6)
    assert np.all(np.diff(modes.frequencies_hz) >= 0)


def test_largest_number_of_a_shape_is_positive():
    for shape in solve_modes(l_frame(masses=(HEAD,)), 6).shapes:
        assert shape.flat[np.abs(shape).argmax()] > 0


def test_more_mass_swings_slower_and_more_stiffness_faster():
    base = solve_modes(l_frame(masses=(HEAD,)), 3).frequencies_hz
    heavy = solve_modes(l_frame(masses=(HEAD, Mass("tip", 1.0))), 3).frequencies_hz
    stiff = Bar(1000.0, 1.3 * INERTIA, INERTIA, 120000.0, E, 27000.0, 2.7e-6)
    assert np.all(heavy <= base)
    assert np.all(solve_modes(l_frame(bar=stiff, masses=(HEAD,)), 3).frequencies_hz >= base * (1 - 1e-9))


def test_massless_ways_of_moving_do_no_harm():
    bare = Bar(1000.0, INERTIA, INERTIA, 120000.0, E, 27000.0)
    modes = solve_modes(cantilever(bar=bare, parts=4, masses=(Mass("tip", 1.0),)), 20)
    assert len(modes.frequencies_hz) == 3


def test_frame_that_is_held_everywhere_carries_its_weight():
    frame = Frame(cantilever().nodes, cantilever().members, (Support("n0"), Support("tip")))
    result = solve_static(frame, LoadCase(gravity=WEIGHT_DOWN))
    assert result.reactions[:, 2].sum() == pytest.approx(2.7e-6 * 1000.0 * 200.0 * 9.80665)
    with pytest.raises(FrameError, match="no natural frequency"):
        solve_modes(frame, 1)


@pytest.mark.parametrize(
    ("stiffness", "named"),
    [
        ((INF, INF, INF, 0.0, INF, INF), "node .* about x"),
        ((INF, 0.0, INF, INF, INF, INF), "node .* along y"),
        ((INF, INF, INF, INF, INF, 0.0), "node tip is free to move along y"),
    ],
)
def test_loose_frames_are_named(stiffness, named):
    with pytest.raises(MechanismError, match=named):
        solve_static(cantilever(support=stiffness), LoadCase())
    with pytest.raises(MechanismError, match=named):
        solve_modes(cantilever(support=stiffness), 1)


def test_node_without_a_member_is_named():
    frame = cantilever()
    frame = Frame((*frame.nodes, Node("lost", (0.0, 0.0, 9.0))), frame.members, frame.supports)
    with pytest.raises(MechanismError, match="node lost is free to move along x"):
        solve_static(frame, LoadCase())


def test_bar_that_spins_in_its_own_springs_is_named():
    loose = End(springs=(INF, INF, INF, 0.0, INF, INF))
    member = Member("axle", "a", "b", BAR, start_end=loose, end_end=loose)
    nodes = (Node("a", (0.0, 0.0, 0.0)), Node("b", (200.0, 0.0, 0.0)))
    with pytest.raises(FrameError, match="member axle"):
        solve_static(Frame(nodes, (member,), (Support("a"), Support("b"))), LoadCase())


A, B = Node("a", (0.0, 0.0, 0.0)), Node("b", (0.0, 0.0, 100.0))
GOOD = Member("m", "a", "b", BAR, up=(1.0, 0.0, 0.0))


@pytest.mark.parametrize(
    ("parts", "message"),
    [
        (((A, A), (), ()), "node a is there twice"),
        (((A, B), (GOOD, GOOD), ()), "member m is there twice"),
        (((A, B), (GOOD,), (Support("a"), Support("a"))), "support on node a is there twice"),
        (((A,), (GOOD,), ()), "member m: there is no node b"),
        (((A, B), (GOOD,), (Support("c"),)), "support: there is no node c"),
        (((A, B), (GOOD,), (), (Mass("c", 1.0),)), "mass: there is no node c"),
        (((A, B), (Member("m", "a", "a", BAR),), ()), "has no length"),
        (((A, B), (Member("m", "a", "b", BAR),), ()), "parallel"),
        (((A, B), (Member("m", "a", "b", BAR, up=(0.0, 0.0, 0.0)),), ()), "parallel"),
    ],
)
def test_wrong_descriptions_are_refused(parts, message):
    with pytest.raises(FrameError, match=message):
        Frame(*parts)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Support("a", (1.0, 1.0, 1.0, 1.0, 1.0, -1.0)),
        lambda: Support("a", (1.0, 1.0, 1.0, 1.0, 1.0, math.nan)),
        lambda: End(springs=(1.0, 2.0)),
        lambda: Bar(0.0, 1.0, 1.0, 1.0, 1.0, 1.0),
        lambda: Bar(1.0, 1.0, 1.0, 1.0, math.inf, 1.0),
        lambda: Bar(1.0, 1.0, 1.0, 1.0, 1.0, 1.0, -1e-6),
        lambda: Mass("a", -1.0),
        lambda: Mass("a", 1.0, inertia=(1.0, 1.0, 1.0, 5.0, 0.0, 0.0)),
        lambda: solve_static(cantilever(), LoadCase((NodalLoad("nowhere"),))),
        lambda: solve_static(cantilever(), LoadCase()).at("nowhere"),
        lambda: solve_static_cases(cantilever(), ()),
        lambda: solve_modes(cantilever(), 0),
        lambda: solve_modes(cantilever(bar=Bar(1.0, 1.0, 1.0, 1.0, 1.0, 1.0)), 1),
    ],
)
def test_impossible_numbers_are_refused(make):
    with pytest.raises(ValueError, match=r"."):
        make()


def test_a_support_may_be_free():
    assert FREE == (0.0,) * 6
    assert RIGID == (INF,) * 6
