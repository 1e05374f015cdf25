"""Twist of spans against series and the differential equation, and properties of open sections."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountgen.mechanics.torsion import (
    Span,
    Walls,
    decay_length,
    eccentric_deflection,
    formed_channel_walls,
    rolled_channel_torsion_constant,
    rolled_channel_walls,
    span_bimoment,
    span_deflection,
    span_twist,
    span_twist_under,
    wall_properties,
    warping_stress,
)

SPAN = Span(length=1500.0, ei=2e11, gj=1.5e8, ecw=4e13, ends="fork")
stiffnesses = st.floats(1e7, 1e10), st.floats(1e11, 1e15)


@given(*stiffnesses)
def test_twist_and_bimoment_between_forks(gj, ecw):
    """Fourier series of the couple: 2T/L sum over odd n of 1 / (GJ k^2 + E C_w k^4), k = n pi / L."""
    span = replace(SPAN, gj=gj, ecw=ecw)
    k = np.arange(1, 20001, 2) * math.pi / span.length
    resistance = gj * k**2 + ecw * k**4
    assert span_twist(7.0, span) == pytest.approx(2 * 7.0 / span.length * np.sum(1 / resistance), rel=1e-3)
    moment = 2 * 7.0 / span.length * np.sum(ecw * k**2 / resistance)
    assert span_bimoment(7.0, span) == pytest.approx(moment, rel=0.02)


@given(*stiffnesses)
def test_twist_between_fixed_ends(gj, ecw):
    """GJ w' - E C_w w''' = T/2 on half the span; w = w' = 0 at its end, w' = 0 in the middle."""
    a, half = math.sqrt(ecw / gj), SPAN.length / 2
    z = half / a
    rise = np.array(
        [[1.0, 1.0, math.exp(-z)], [0.0, -1 / a, math.exp(-z) / a], [0.0, -math.exp(-z) / a, 1 / a]]
    )
    slope = 7.0 / (2 * gj)
    constant, falling, rising = np.linalg.solve(rise, [0.0, -slope, -slope])
    twist = constant + falling * math.exp(-z) + rising + slope * half
    span = replace(SPAN, gj=gj, ecw=ecw, ends="fixed")
    assert span_twist(7.0, span) == pytest.approx(twist, rel=1e-5)


@pytest.mark.parametrize(("ends", "factor"), [("fork", 48), ("fixed", 192)])
def test_warping_alone_is_bending(ends, factor):
    """Without St Venant's part twist follows a couple as deflection a force: T L^3 / 48 or 192 E C_w."""
    span = replace(SPAN, gj=1.0, ends=ends)
    assert span_twist(7.0, span) == pytest.approx(7.0 * 1500.0**3 / (factor * 4e13), rel=1e-6)
    assert span_deflection(7.0, span) == pytest.approx(7.0 * 1500.0**3 / (factor * 2e11))
    part = 4 if ends == "fork" else 8
    assert span_bimoment(7.0, span) == pytest.approx(7.0 * 1500.0 / part, rel=1e-6)


@pytest.mark.parametrize("ends", ["fork", "fixed"])
def test_no_warping_is_st_venant(ends):
    span = replace(SPAN, ecw=0.0, ends=ends)
    assert span_twist(7.0, span) == pytest.approx(7.0 * 1500.0 / (4 * 1.5e8))
    assert span_twist_under(7.0, span, 750.0) == pytest.approx(span_twist(7.0, span))
    assert span_bimoment(7.0, span) == 0.0
    assert span_twist_under(7.0, span, 0.0) == 0.0


def test_twist_has_no_jump_where_the_series_takes_over():
    u = 1e-3
    spans = [replace(SPAN, gj=4e13 * (2 * x / 1500.0) ** 2) for x in (u * 0.999, u * 1.001)]
    low, high = (span_twist(1.0, s) for s in spans)
    assert low == pytest.approx(high, rel=1e-5)


@given(st.floats(0.1, 1e16))
def test_restrained_warping_only_helps(ecw):
    fork, fixed = (span_twist(1.0, replace(SPAN, ecw=ecw, ends=ends)) for ends in ("fork", "fixed"))
    plain = span_twist(1.0, replace(SPAN, ecw=0.0))
    assert fixed <= fork <= plain * (1 + 1e-12)


def test_eccentric_load_bends_and_twists():
    assert eccentric_deflection(10.0, 0.0, 50.0, SPAN) == pytest.approx(span_deflection(10.0, SPAN))
    gained = eccentric_deflection(10.0, 40.0, 60.0, SPAN) - span_deflection(10.0, SPAN)
    assert gained == pytest.approx(span_twist(400.0, SPAN) * 60.0)
    twice = eccentric_deflection(10.0, 80.0, 60.0, SPAN) - span_deflection(10.0, SPAN)
    assert twice == pytest.approx(2 * gained)


CHANNEL = formed_channel_walls(120.0, 40.0, 2.5, 3.0)


@given(st.floats(-math.pi, math.pi), st.floats(-100.0, 100.0), st.floats(-100.0, 100.0))
def test_moving_and_turning_a_section_changes_nothing_of_it(angle, dx, dy):
    c, s = math.cos(angle), math.sin(angle)

    def moved(p):
        return (c * p[0] - s * p[1] + dx, s * p[0] + c * p[1] + dy)

    walls = Walls(tuple(moved(p) for p in CHANNEL.points), CHANNEL.thicknesses)
    straight, turned = wall_properties(CHANNEL), wall_properties(walls)
    assert turned.shear_centre == pytest.approx(moved(straight.shear_centre), abs=1e-6)
    assert turned.centroid == pytest.approx(moved(straight.centroid), abs=1e-6)
    assert turned.warping == pytest.approx(straight.warping, rel=1e-6)
    assert turned.i_xx + turned.i_yy == pytest.approx(straight.i_xx + straight.i_yy)


def test_walls_may_run_either_way_and_be_divided():
    straight = wall_properties(CHANNEL)
    back = wall_properties(Walls(CHANNEL.points[::-1], CHANNEL.thicknesses[::-1]))
    assert back.shear_centre == pytest.approx(straight.shear_centre, abs=1e-9)
    assert back.warping == pytest.approx(straight.warping)
    points, thick = list(CHANNEL.points), list(CHANNEL.thicknesses)
    points.insert(1, tuple((a + b) / 2 for a, b in zip(points[0], points[1], strict=True)))
    thick.insert(0, thick[0])
    divided = wall_properties(Walls(tuple(points), tuple(thick)))
    assert divided.warping == pytest.approx(straight.warping)
    assert divided.torsion == pytest.approx(straight.torsion)


def test_warping_function_has_no_mean_and_no_moments():
    found = wall_properties(CHANNEL)
    points, areas = np.array(CHANNEL.points), []
    steps = np.diff(points, axis=0)
    areas = np.hypot(*steps.T) * np.array(CHANNEL.thicknesses)
    for weight in (np.ones(len(points)), points[:, 0], points[:, 1]):
        w = found.sectorial
        ends = 2 * (w[:-1] * weight[:-1] + w[1:] * weight[1:]) + w[:-1] * weight[1:] + w[1:] * weight[:-1]
        assert areas @ ends / 6 == pytest.approx(0.0, abs=1e-5 * np.abs(w).max() * areas.sum() * 100)


def test_formed_channel_without_radius_is_the_sharp_one():
    """A radius of zero still has the sheet's own middle radius: within 1 %."""
    round_, sharp = (
        wall_properties(formed_channel_walls(120.0, 40.0, 1.0, 0.0)),
        wall_properties(rolled_channel_walls(120.0, 40.0, 1.0, 1.0)),
    )
    assert round_.warping == pytest.approx(sharp.warping, rel=0.01)
    assert round_.shear_centre[0] == pytest.approx(sharp.shear_centre[0], rel=0.01)


def test_narrow_flange_bends_once_without_lips():
    assert wall_properties(formed_channel_walls(100.0, 8.0, 2.5, 3.0)).area > 0


def test_lips_move_the_shear_centre_out_and_stiffen():
    plain = wall_properties(formed_channel_walls(120.0, 40.0, 2.5, 3.0))
    lipped = wall_properties(formed_channel_walls(120.0, 40.0, 2.5, 3.0, 12.0))
    assert lipped.shear_centre[0] < plain.shear_centre[0]
    assert lipped.warping > plain.warping


def test_stress_from_warping():
    found = wall_properties(CHANNEL)
    worst = np.abs(found.sectorial).max()
    assert warping_stress(-1e6, found) == pytest.approx(1e6 * worst / found.warping)


def test_decay_length():
    assert decay_length(4.0, 36.0) == 3.0


def test_fillets_add_torsional_stiffness():
    sizes = (80.0, 50.0, 4.0, 7.0)
    assert rolled_channel_torsion_constant(*sizes, 10.0) > rolled_channel_torsion_constant(*sizes, 2.0)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Walls(((0.0, 0.0), (1.0, 0.0)), ()),
        lambda: Walls(((0.0, 0.0), (1.0, 0.0), (2.0, 0.0)), (1.0,)),
        lambda: Walls(((0.0, 0.0), (0.0, 0.0)), (1.0,)),
        lambda: Walls(((0.0, 0.0), (1.0, 0.0)), (0.0,)),
        lambda: wall_properties(Walls(((0.0, 0.0), (1.0, 0.0), (3.0, 0.0)), (1.0, 1.0))),
        lambda: Span(0.0, 1.0, 1.0, 0.0, "fork"),
        lambda: Span(1.0, 1.0, 1.0, 0.0, "loose"),
        lambda: rolled_channel_walls(10.0, 40.0, 3.0, 5.0),
        lambda: rolled_channel_walls(100.0, 40.0, 3.0, 2.0, slope=0.2),
        lambda: rolled_channel_walls(100.0, 3.0, 3.0, 5.0),
        lambda: formed_channel_walls(10.0, 40.0, 2.5, 3.0),
        lambda: formed_channel_walls(100.0, 8.0, 2.5, 3.0, lip=12.0),
        lambda: formed_channel_walls(100.0, 40.0, 2.5, 3.0, lip=4.0),
        lambda: rolled_channel_torsion_constant(80.0, 45.0, 6.0, 8.0, -1.0),
        lambda: decay_length(0.0, 1.0),
        lambda: span_twist(math.nan, SPAN),
        lambda: span_twist_under(1.0, SPAN, 1600.0),
    ],
)
def test_impossible_numbers_are_refused(make):
    with pytest.raises(ValueError, match=r"."):
        make()
