"""The space frame against handbooks. The source stands beside each value."""

import math

import numpy as np
import pytest
from frame_samples import BAR, INERTIA, E, G, cantilever, l_frame

from mountgen.mechanics.frame import (
    Bar,
    End,
    Frame,
    LoadCase,
    Mass,
    Member,
    NodalLoad,
    Node,
    Support,
)
from mountgen.mechanics.frame_solve import solve_modes, solve_static

INF = math.inf


def down(node, newtons):
    return LoadCase((NodalLoad(node, force=(0.0, 0.0, -newtons)),))


def test_cantilever():
    """Roark, Table 8.1, case 1a: 50 N, 200 mm, E 70000, I 90000."""
    tip = solve_static(cantilever(), down("tip", 50.0)).at("tip")
    assert tip[2] == pytest.approx(-0.02116, rel=1e-3)
    assert tip[4] == pytest.approx(0.000159, rel=2e-3)


def test_cantilever_by_couple():
    """Roark, Table 8.1, case 3a: M L^2 / 2EI and M L / EI."""
    tip = solve_static(cantilever(), LoadCase((NodalLoad("tip", couple=(0.0, 1000.0, 0.0)),))).at("tip")
    assert tip[2] == pytest.approx(-1000.0 * 200.0**2 / (2 * E * INERTIA))
    assert tip[4] == pytest.approx(1000.0 * 200.0 / (E * INERTIA))


def test_cantilever_under_its_own_weight():
    """Roark, Table 8.1, case 2a: w L^4 / 8EI, root moment w L^2 / 2."""
    result = solve_static(cantilever(), LoadCase(gravity=(0.0, 0.0, -9806.65)))
    weight = 2.7e-6 * 1000.0 * 9.80665
    assert result.at("tip")[2] == pytest.approx(-weight * 200.0**4 / (8 * E * INERTIA))
    assert result.reactions[0, 2] == pytest.approx(weight * 200.0)
    assert result.reactions[0, 4] == pytest.approx(-weight * 200.0**2 / 2)


def test_l_frame_in_its_plane():
    """Castigliano: 50 N at a 200 mm arm on a 300 mm post, E 70000, I 90000; stretch adds P h / EA."""
    result = solve_static(l_frame(), down("tip", 50.0))
    stretch = 50.0 * 300.0 / (E * 1000.0)
    assert -result.at("tip")[2] - stretch == pytest.approx(0.1164, rel=1e-3)
    assert result.at("top")[1] == pytest.approx(0.0714, rel=1e-3)
    assert result.at("tip")[3] == pytest.approx(-0.000635, rel=1e-3)


def test_l_frame_out_of_its_plane():
    """Castigliano: P a^3 / 3EI + P h^3 / 3EI + P a^2 h / GJ."""
    result = solve_static(l_frame(), LoadCase((NodalLoad("tip", force=(50.0, 0.0, 0.0)),)))
    expected = 50.0 * (
        200.0**3 / (3 * E * INERTIA) + 300.0**3 / (3 * E * INERTIA) + 200.0**2 * 300.0 / (G * 120000.0)
    )
    assert result.at("tip")[0] == pytest.approx(expected)


def portal(feet):
    """A portal of height 400 and width 600, all bars alike, nearly without stretch."""
    bar = Bar(1e7, INERTIA, INERTIA, INERTIA, E, G)
    places = {"a": (0.0, 0.0, 0.0), "b": (0.0, 0.0, 400.0), "c": (600.0, 0.0, 400.0), "d": (600.0, 0.0, 0.0)}
    pairs = (("a", "b"), ("b", "c"), ("d", "c"))
    members = tuple(Member(s + e, s, e, bar, up=(0.0, 1.0, 0.0)) for s, e in pairs)
    return Frame(
        tuple(Node(*item) for item in places.items()), members, (Support("a", feet), Support("d", feet))
    )


@pytest.mark.parametrize(
    ("feet", "numerator", "corner"),
    [
        ((INF,) * 6, lambda k: (3 * k + 2) / (6 * k + 1) / 12, lambda k: 3 * k / (6 * k + 1) / 2),
        ((INF, INF, INF, INF, 0.0, INF), lambda k: (2 * k + 1) / k / 12, lambda _: 0.5),
    ],
)
def test_portal_pushed_at_its_corner(feet, numerator, corner):
    """Kleinlogel, Rigid Frame Formulas, frames with fixed and hinged feet, k = I_beam h / (I_post L):
    corner moment P h / 2 * 3k / (6k + 1), or P h / 2; sway by virtual work from those moments."""
    k = 400.0 / 600.0
    result = solve_static(portal(feet), LoadCase((NodalLoad("b", force=(100.0, 0.0, 0.0)),)))
    sway = 100.0 * 400.0**3 / (E * INERTIA) * numerator(k)
    assert result.at("b")[0] == pytest.approx(sway, rel=1e-3)
    assert abs(result.end_forces[0, 11]) == pytest.approx(100.0 * 400.0 * corner(k), rel=1e-3)


def test_propped_cantilever():
    """Roark, Table 8.1, case 1c: load at midspan, prop reaction 5/16 P, root moment 3/16 P L."""
    frame = cantilever(parts=2)
    frame = Frame(
        frame.nodes, frame.members, (*frame.supports, Support("tip", (0.0, 0.0, INF, 0.0, 0.0, 0.0)))
    )
    result = solve_static(frame, down("n1", 80.0))
    assert result.reactions[1, 2] == pytest.approx(80.0 * 5 / 16)
    assert result.reactions[0, 4] == pytest.approx(-80.0 * 200.0 * 3 / 16)


@pytest.mark.parametrize(("held", "factor"), [((INF,) * 6, 192), ((INF, INF, INF, INF, 0.0, 0.0), 48)])
def test_span_with_a_load_at_its_middle(held, factor):
    """Roark, Table 8.1, cases 1d and 1e: P L^3 / 192EI between fixed ends, / 48EI between supported ones."""
    frame = cantilever(parts=2)
    frame = Frame(frame.nodes, frame.members, (Support("n0", held), Support("tip", held)))
    moved = solve_static(frame, down("n1", 80.0)).at("n1")[2]
    assert moved == pytest.approx(-80.0 * 200.0**3 / (factor * E * INERTIA))


@pytest.mark.parametrize(("held", "factor"), [((INF,) * 6, 16), ((INF, INF, INF, INF, 0.0, 0.0), 12)])
def test_span_with_a_couple_at_its_middle(held, factor):
    """Roark, Table 8.1, cases 3d and 3e: M L / 16EI between fixed ends, / 12EI between supported ones."""
    frame = cantilever(parts=2)
    frame = Frame(frame.nodes, frame.members, (Support("n0", held), Support("tip", held)))
    result = solve_static(frame, LoadCase((NodalLoad("n1", couple=(0.0, 500.0, 0.0)),)))
    assert result.at("n1")[4] == pytest.approx(500.0 * 200.0 / (factor * E * INERTIA))


def test_end_moments_of_a_span_under_its_weight():
    """Roark, Table 8.1, case 2d: w L^2 / 12 at each fixed end, middle w L^4 / 384EI."""
    frame = cantilever(parts=2)
    frame = Frame(frame.nodes, frame.members, (Support("n0"), Support("tip")))
    result = solve_static(frame, LoadCase(gravity=(0.0, 0.0, -9806.65)))
    weight = 2.7e-6 * 1000.0 * 9.80665
    assert result.at("n1")[2] == pytest.approx(-weight * 200.0**4 / (384 * E * INERTIA))
    assert result.reactions[1, 4] == pytest.approx(weight * 200.0**2 / 12)


def eigenvalues(frame, own_kg, length=1000.0, stiffness=E * INERTIA):
    """(beta L)^2 of every mode from its frequency."""
    speed = math.sqrt(stiffness * 1000.0 / (own_kg * length**3))
    return 2 * math.pi * solve_modes(frame, 20).frequencies_hz / speed


PLANE = Bar(1e4, INERTIA, 1e9, 1e9, E, G, kg_per_mm3=1e-7)
"""Soft in bending about local y alone; 1 kg a metre."""


@pytest.mark.parametrize(("mode", "beta"), [(0, 1.8751), (1, 4.6941), (2, 7.8548)])
def test_bare_cantilever(mode, beta):
    """Blevins, Formulas for Natural Frequency and Mode Shape: cos cosh = -1."""
    assert math.sqrt(eigenvalues(cantilever(1000.0, PLANE, 12), 1.0)[mode]) == pytest.approx(beta, rel=2e-4)


@pytest.mark.parametrize(("mode", "squared"), [(0, 1.557298), (1, 16.2501), (2, 50.8958), (3, 105.1983)])
def test_cantilever_with_its_own_mass_again_at_its_tip(mode, squared):
    """Mathematical Problems in Engineering 2017, article 1568019, Table 1 (no rotary inertia)."""
    frame = cantilever(1000.0, PLANE, 12, (Mass("tip", 1.0),))
    assert eigenvalues(frame, 1.0)[mode] == pytest.approx(squared, rel=4e-4)


@pytest.mark.parametrize(
    ("held", "expected"),
    [
        ((INF,) * 6, (4.73004, 7.8532, 10.9956)),
        ((INF, INF, INF, INF, 0.0, INF), (math.pi, 2 * math.pi, 3 * math.pi)),
    ],
)
def test_spans(held, expected):
    """Blevins, Table 8-1: clamped-clamped 4.73004, 7.85320, 10.9956; pinned-pinned n pi."""
    frame = cantilever(1000.0, PLANE, 12)
    frame = Frame(frame.nodes, frame.members, (Support("n0", held), Support("tip", held)))
    assert np.sqrt(eigenvalues(frame, 1.0)[:3]) == pytest.approx(expected, rel=6e-4)


def test_cantilever_with_tip_mass_in_numbers():
    """University exercise: E 2.0e11 Pa, 7800 kg/m3, A 2.6e-3 m2, I 4.7e-6 m4, 1 m, 10 kg: 69.41 Hz."""
    bar = Bar(2600.0, 4.7e6, 4.7e9, 4.7e9, 2.0e5, 8e4, 7.8e-6)
    frame = cantilever(1000.0, bar, 8, (Mass("tip", 10.0),))
    assert solve_modes(frame, 1).frequencies_hz[0] == pytest.approx(69.41, rel=2e-3)


def test_tower_with_a_tip_weight():
    """Structural dynamics example: 10 kip, I 200 in4, E 29000 ksi, L 20 ft, massless: 1.109 Hz."""
    bar = Bar(1e4, 200 * 25.4**4, 2e5 * 25.4**4, 2e5 * 25.4**4, 29000 * 6.894757, 8e4)
    frame = cantilever(240 * 25.4, bar, 1, (Mass("tip", 10000 * 0.45359237),))
    assert solve_modes(frame, 1).frequencies_hz[0] == pytest.approx(1.109, rel=2e-3)


@pytest.mark.parametrize(("mode", "root"), [(0, 1), (1, 3), (2, 5)])
def test_shaft_that_twists(mode, root):
    """Blevins, Table 8-19: fixed-free torsion (2n - 1) / 4L sqrt(G J / rho I_p), solid round bar J = I_p."""
    bar = Bar(1e4, 5e4, 5e4, 1e5, 1e9, 80000.0, 7.85e-6)
    twisting = (INF, INF, INF, 0.0, INF, INF)
    frame = cantilever(1000.0, bar, 12)
    held = tuple(Support(n.name, twisting) for n in frame.nodes[1:])
    found = solve_modes(Frame(frame.nodes, frame.members, (Support("n0"), *held)), 3).frequencies_hz[mode]
    assert found == pytest.approx(root / 4000.0 * math.sqrt(80000.0 * 1000 / 7.85e-6), rel=2e-2)


def test_mass_on_a_spring():
    """One degree of freedom: 1 mm of static deflection is 15.76 Hz (textbook)."""
    frame = cantilever(
        bar=Bar(1e6, 1e9, 1e9, 1e9, E, G),
        support=(INF, INF, 9.80665, INF, INF, INF),
        masses=(Mass("tip", 1.0),),
    )
    assert solve_modes(frame, 1).frequencies_hz[0] == pytest.approx(15.76, rel=1e-3)


def test_hinge_at_an_end():
    """Roark, Table 8.1, case 2c: fixed bar propped by a hinge, 3/8 w L there, w L^2 / 8 at the root."""
    member = Member("m", "a", "b", BAR, end_end=End(springs=(INF, INF, INF, INF, 0.0, INF)))
    frame = Frame(
        (Node("a", (0.0, 0.0, 0.0)), Node("b", (200.0, 0.0, 0.0))), (member,), (Support("a"), Support("b"))
    )
    result = solve_static(frame, LoadCase(gravity=(0.0, 0.0, -9806.65)))
    weight = 2.7e-6 * 1000.0 * 9.80665 * 200.0
    assert result.reactions[1, 2] == pytest.approx(weight * 3 / 8)
    assert result.reactions[0, 4] == pytest.approx(-weight * 200.0 / 8)
    assert result.end_forces[0, 10] == pytest.approx(0.0, abs=1e-9)
