"""Torques and forces: published conversions, exact sizes, every spelling, and nothing else by accident."""

import re
from fractions import Fraction

import pint
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from mountgen.units import ACCELERATION, FORCE, MASS, STIFFNESS, TORQUE, UnitError, read_quantity, read_turns
from mountgen.units.kinds import factor

POUND_FORCE = Fraction(44_482_216_152_605, 10**13)
INDEPENDENT = pint.UnitRegistry()
JOINTS = st.sampled_from([" ", "·", "*", "-", " · ", "⋅"])


# NIST SP 811 (2008), appendix B.8: pound-force 4.448 221 615 260 5 N, exactly.
def test_the_pound_force_by_definition():
    assert factor("lbf", "N") == POUND_FORCE
    assert read_quantity("1 lbf", FORCE, "N") == 4.4482216152605


# NIST SP 811 (2008), appendix B.8: pound-force foot 1.355 818 N m, pound-force inch 1.129 848 E-01 N m.
@pytest.mark.parametrize(
    ("text", "newton_metres", "half_a_digit"),
    [("1 lbf ft", 1.355818, 5e-7), ("1 lbf in", 0.1129848, 5e-8), ("12 lbf in", 1.355818, 5e-7)],
)
def test_published_torques(text, newton_metres, half_a_digit):
    assert abs(read_quantity(text, TORQUE, "N·m") - newton_metres) <= half_a_digit


@pytest.mark.parametrize(
    ("kind", "unit", "theirs"),
    [
        (TORQUE, "N·m", "newton * meter"),
        (TORQUE, "N·cm", "newton * centimeter"),
        (TORQUE, "lbf·ft", "force_pound * foot"),
        (TORQUE, "lbf·in", "force_pound * inch"),
        (FORCE, "kN", "kilonewton"),
        (FORCE, "lbf", "force_pound"),
    ],
)
def test_sizes_agree_with_an_independent_registry(kind, unit, theirs):
    base = {"torque": "newton * meter", "force": "newton"}[kind.name]
    expected = INDEPENDENT.Quantity(7.25, theirs).to(base).magnitude
    assert read_quantity(f"7.25 {unit}", kind, kind.base) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize(
    "text", ["10 Nm", "10 N·m", "10N·m", "10 N m", "10 N*m", "10 N⋅m", "1000 Ncm", "1e1 Nm"]
)
def test_ten_newton_metres(text):
    assert read_quantity(text, TORQUE, "N·m") == 10.0


@pytest.mark.parametrize(
    "text", ["90 lbf in", "90 in-lbf", "90 in-lb", "90 LBF·IN", "7.5 ft lbf", "7 1/2 ft-lb"]
)
def test_ninety_pound_force_inches(text):
    assert read_quantity(text, TORQUE, "N·m") == float(90 * POUND_FORCE * Fraction(254, 10_000))


TORQUES = {
    ("N", "m"): Fraction(1),
    ("N", "cm"): Fraction(1, 100),
    ("lbf", "ft"): POUND_FORCE * Fraction(3048, 10_000),
    ("ft", "lbf"): POUND_FORCE * Fraction(3048, 10_000),
    ("lbf", "in"): POUND_FORCE * Fraction(254, 10_000),
    ("in", "lb"): POUND_FORCE * Fraction(254, 10_000),
}
FORCES = {"N": Fraction(1), "kN": Fraction(1000), "lbf": POUND_FORCE}


@given(st.integers(0, 99_999), JOINTS, st.sampled_from(sorted(TORQUES)), st.sampled_from(["", " "]))
def test_written_torques_read_back(hundredths, joint, factors, space):
    text = f"{hundredths / 100:.2f}{space}{joint.join(factors)}"
    value = Fraction(hundredths, 100)
    assert read_quantity(text, TORQUE, "N·m") == float(value * TORQUES[factors])


@given(st.integers(0, 99_999), st.sampled_from(sorted(FORCES)), st.sampled_from(["", " "]))
def test_written_forces_read_back(hundredths, unit, space):
    value = Fraction(hundredths, 100)
    assert read_quantity(f"{hundredths / 100:.2f}{space}{unit}", FORCE, "N") == float(value * FORCES[unit])


@pytest.mark.parametrize(
    ("text", "kind", "action"),
    [
        ("10 nm", TORQUE, "'Nm'"),
        ("10 n·m", TORQUE, "'N·m'"),
        ("10 mN", TORQUE, "write one number"),
        ("10 N/m", TORQUE, "write one number"),
        ("10 N", TORQUE, "write one number"),
        ("10 ft", TORQUE, "write one number"),
        ("50 n", FORCE, "'N'"),
        ("11 lb", FORCE, "write one number"),
        ("50 Nm", FORCE, "write one number"),
        ("5 kg", FORCE, "write one number"),
        ("10 +/- 1 Nm", TORQUE, "leave the +/- out"),
        ("20 000.1 Nm", TORQUE, "write it like that"),
        ("10001 Nm", TORQUE, "check the number"),
        ("1001 kN", FORCE, "check the number"),
    ],
)
def test_what_is_refused(text, kind, action):
    with pytest.raises(UnitError, match=re.escape(action)):
        read_quantity(text, kind, kind.base)


@pytest.mark.parametrize("kind", [TORQUE, FORCE], ids=lambda kind: kind.name)
def test_neither_is_negative_and_bare_numbers_are_in_the_unit_asked_for(kind):
    with pytest.raises(UnitError, match="below zero"):
        read_quantity(f"-1 {kind.base}", kind, kind.base)
    assert read_quantity(3, kind, kind.base) == read_quantity("3", kind, kind.base) == 3.0


def test_hyphens_join_the_factors_of_a_torque_alone():
    with pytest.raises(UnitError):
        read_quantity("2 lb-oz", MASS, "kg")


_NUMBER = r"(?:\d+(?: |- ?))?\d+ ?/ ?\d+|(?:\d+(?:[.,]\d+)*|[.,]\d+)(?:[eE][+-]?\d{1,2})?"
STRICT = {
    TORQUE: r"N(?: ?[·*-] ?| )?c?m|(?i:lbf?(?: ?[·*-] ?| )(?:in|ft)|(?:in|ft)(?: ?[·*-] ?| )lbf?)",
    FORCE: r"k?N|(?i:lbf)",
}


@settings(max_examples=1000)
@given(
    st.sampled_from([TORQUE, FORCE]),
    st.from_regex(r"\A[0-9][0-9.,/ -]{0,3} ?[NmckKlbfint·* -]{0,8}\Z"),
)
@example(TORQUE, "1 N-")
@example(TORQUE, "1 N -m")
@example(TORQUE, "1 -Nm")
@example(TORQUE, "1 lbf--in")
def test_nothing_passes_by_accident(kind, text):
    try:
        read_quantity(text, kind, kind.base)
    except UnitError as error:
        assert error.found and error.expected
        return
    assert re.fullmatch(rf" *(?:{_NUMBER}) ?(?:{STRICT[kind]})? *", re.sub(" +", " ", text)), text


# NIST SP 811 (2008), appendix B.8: standard gravity 9.80665 m/s2, exactly.
@pytest.mark.parametrize(
    ("text", "metres_per_s2"),
    [("1 g", 9.80665), ("1 m/s2", 1.0), ("1 m/s^2", 1.0), ("1 m / s²", 1.0), ("1000 mm/s2", 1.0)],
)
def test_accelerations(text, metres_per_s2):
    assert read_quantity(text, ACCELERATION, "m/s²") == metres_per_s2


@pytest.mark.parametrize("text", ["1 m/s", "1 m/s 2", "1 G", "1 s2", "1 m/s2 2", "1 m/s²/s", "1 m/s3"])
def test_what_is_no_acceleration(text):
    with pytest.raises(UnitError):
        read_quantity(text, ACCELERATION, "m/s²")


@pytest.mark.parametrize(
    ("unit", "theirs"),
    [
        ("N·m/rad", "newton * meter / radian"),
        ("kN m/rad", "kilonewton * meter / radian"),
        ("N mm/rad", "newton * millimeter / radian"),
        ("lbf ft/rad", "force_pound * foot / radian"),
        ("in-lbf / rad", "force_pound * inch / radian"),
    ],
)
def test_stiffness_against_turning_agrees_with_an_independent_registry(unit, theirs):
    expected = INDEPENDENT.Quantity(7.25, theirs).to("newton * millimeter / radian").magnitude
    assert read_quantity(f"7.25 {unit}", STIFFNESS, "N·mm/rad") == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize("text", ["1 N m", "1 N/rad", "1 N m/deg", "1 m/rad", "1 lb/rad", "1 Mm/rad"])
def test_what_is_no_stiffness(text):
    with pytest.raises(UnitError):
        read_quantity(text, STIFFNESS, "N·mm/rad")


@pytest.mark.parametrize(
    "text",
    [1400, 1400.0, "1400", "1400 rpm", "1400 1/min", "1400/min", "1400 min-1", "1400 RPM", "1400 min⁻¹"],
)
def test_turns_a_minute(text):
    assert read_turns(text) == 1400.0


@pytest.mark.parametrize("text", ["1400 Hz", "1400 1/s", "-1400 rpm", "1400 +/- 5 rpm", "1400 min", "", True])
def test_what_is_no_speed_of_rotation(text):
    with pytest.raises(UnitError) as caught:
        read_turns(text)
    assert "turns a minute" in caught.value.expected or "not negative" in caught.value.expected


@pytest.mark.parametrize("number", [5, 5.0, "5"])
def test_a_bare_number_where_the_unit_is_asked_for(number):
    with pytest.raises(UnitError, match="without a unit"):
        read_quantity(number, MASS, "kg", bare=False)
    assert read_quantity(number, MASS, "kg") == 5.0
