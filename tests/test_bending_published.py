"""Bend formulas against published tables and worked examples. Lengths in the unit of the source."""

import math

import pytest

from mountgen.geometry import rectangle
from mountgen.mechanics.bending import Din6935, KFactor, bend_deduction, setback
from mountgen.sheet.flat import unfold
from mountgen.sheet.tree import Bend, Flange, SheetPart

# Machinery's Handbook 31, eq. 32-34: 90 deg allowance L = c T + 1.57 R, so K = c / (pi / 2).
HANDBOOK_SOFT_BRASS = KFactor(0.55 / (math.pi / 2))
HANDBOOK_SOFT_STEEL = KFactor(0.64 / (math.pi / 2))
HANDBOOK_BRONZE = KFactor(0.71 / (math.pi / 2))

# US aircraft sheet-metal practice: allowance (0.01743 R + 0.0078 T) per degree.
EMPIRICAL = KFactor(0.0078 * 180 / math.pi)


@pytest.mark.parametrize(("ratio", "k"), [(1.0, 0.650), (1.2, 0.690), (2.0, 0.801), (5.0, 0.999), (5.1, 1.0)])
def test_din_6935_correction_factor(ratio, k):
    """DIN 6935: k = 0.65 + 0.5 log10(r/s) for r/s <= 5, else 1. To the three digits given."""
    assert Din6935().correction(3.0, 3.0 * ratio) == pytest.approx(k, abs=0.001)


def test_din_6935_counts_half_thicknesses():
    """DIN 6935: the neutral line lies k s / 2 from the inside, so K = k / 2 = 0.325 at r = s."""
    assert Din6935().allowance(2.0, 2.0, 90) == pytest.approx(KFactor(0.325).allowance(2.0, 2.0, 90))


def test_din_6935_compensation_of_an_acute_opening():
    """DIN 6935, opening angle 60 deg, r 6, s 5: v = 5.77 with k rounded to 0.7, 5.823 with k exact.

    Up to an opening of 90 deg the standard measures to the tangents: v = 2 (r + s) - arc.
    """
    rounded_k = KFactor(0.7 / 2)
    assert 2 * (6 + 5) - rounded_k.allowance(5, 6, 120) == pytest.approx(5.77, abs=0.01)
    assert 2 * (6 + 5) - Din6935().allowance(5, 6, 120) == pytest.approx(5.823, abs=0.001)


def test_din_6935_flat_length():
    """DIN 6935 worked example: a 16, b 21, v 5.77: 31.23 before rounding."""
    assert 16 + 21 - (2 * (6 + 5) - KFactor(0.35).allowance(5, 6, 120)) == pytest.approx(31.23, abs=0.01)


def test_din_6935_compensation_of_an_obtuse_opening():
    """DIN 6935, opening angle 135 deg (turned through 45), r 2, s 2: v = 1.232."""
    assert bend_deduction(Din6935(), 2, 2, 45) == pytest.approx(1.232, abs=0.002)


@pytest.mark.parametrize(
    ("s", "r", "v"), [(1.5, 1.5, 2.878), (2, 2, 3.837), (2, 3, 4.128), (3, 3, 5.756), (3, 4, 6.038)]
)
def test_din_6935_compensation_at_90_deg(s, r, v):
    """DIN 6935 formula at 90 deg, evaluated by hand to three digits."""
    assert bend_deduction(Din6935(), s, r, 90) == pytest.approx(v, abs=0.005)


@pytest.mark.parametrize(
    ("rule", "k"), [(HANDBOOK_SOFT_BRASS, 0.350), (HANDBOOK_SOFT_STEEL, 0.407), (HANDBOOK_BRONZE, 0.452)]
)
def test_handbook_coefficients_as_k_factors(rule, k):
    """Machinery's Handbook 31, eq. 32-34."""
    assert rule.k == pytest.approx(k, abs=0.002)


def test_handbook_flat_length():
    """Machinery's Handbook 31 p. 1421: 3.5 + 180 deg (R 3/8) + 60 deg (R 5/8), T 1/8: 5.545 in.

    The half turn is two quarter turns; the handbook's own parts are 1.338 and 0.707 (0.7075 cut off).
    """
    half_turn = 2 * HANDBOOK_SOFT_STEEL.allowance(0.125, 0.375, 90)
    third = HANDBOOK_SOFT_STEEL.allowance(0.125, 0.625, 60)
    assert half_turn == pytest.approx(1.338, abs=0.001)
    assert third == pytest.approx(0.707, abs=0.001)
    assert 3.5 + half_turn + third == pytest.approx(5.545, abs=0.001)


def test_handbook_angle_is_the_one_bent_through():
    """Machinery's Handbook 31 p. 1421: 60 deg between the legs means A = 120 deg in A / 90."""
    quarter = HANDBOOK_SOFT_STEEL.allowance(0.125, 0.375, 90)
    assert HANDBOOK_SOFT_STEEL.allowance(0.125, 0.375, 120) == pytest.approx(quarter * 120 / 90)


def test_aircraft_allowance_and_deduction():
    """US aircraft sheet-metal practice: T .050 R .032 at 90 deg: allowance .085, deduction .079 in."""
    assert EMPIRICAL.allowance(0.050, 0.032, 90) == pytest.approx(0.085, abs=0.0005)
    assert bend_deduction(EMPIRICAL, 0.050, 0.032, 90) == pytest.approx(0.079, abs=0.0005)


def test_aircraft_three_bend_flat():
    """US aircraft sheet-metal practice: outside legs .740 .420 1.050 1.000, three bends: 2.973 in.

    To 0.0015: the source rounds each of three deductions to .079, half a thousandth off at most.
    """
    part = strip([0.740, 0.420, 1.050, 1.000], thickness=0.050, radius=0.032)
    assert unfold(part, EMPIRICAL).size[1] == pytest.approx(2.973, abs=0.0015)


def test_faa_setback_and_flats():
    """FAA-H-8083-31 ch. 4: channel 1.00 / 2.00 / 1.00 to the mould lines, T .040 R .16:
    setback 0.200, flats 0.8 / 1.6 / 0.8 in."""
    back = setback(0.040, 0.16, 90)
    assert back == pytest.approx(0.200, abs=0.0005)
    assert (1 - back, 2 - 2 * back, 1 - back) == pytest.approx((0.8, 1.6, 0.8), abs=0.0005)


def test_faa_developed_width():
    """FAA-H-8083-31 ch. 4, the same channel: 3.2 flat and two allowances of 0.279 in (from memory)."""
    part = strip([1.0, 2.0, 1.0], thickness=0.040, radius=0.16)
    assert unfold(part, EMPIRICAL).size[1] == pytest.approx(3.758, abs=0.005)


def strip(outside, thickness, radius):
    """A strip 1 wide bent up by 90 deg between each two of its outside lengths."""
    back = radius + thickness
    flats = [leg - back * (1 if i in (0, len(outside) - 1) else 2) for i, leg in enumerate(outside)]
    flange = None
    for number, flat in reversed(list(enumerate(flats))):
        bends = (Bend((1.0, flat), (0.0, flat), 90.0, radius, flange),) if flange else ()
        flange = Flange(f"leg {number}", rectangle(0, 0, 1, flat), (), bends)
    return SheetPart("S-1", "strip", thickness, "steel", flange)
