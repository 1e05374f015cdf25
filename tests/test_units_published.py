"""Conversions against published definitions, and against an independent library's own registry."""

from fractions import Fraction

import pint
import pytest

from mountgen.units import LENGTH_UNITS, SPEED_UNITS, read_length, read_speed

INDEPENDENT = pint.UnitRegistry()


# International yard and pound agreement, 1959; NIST SP 811 (2008) appendix B.8: exact.
@pytest.mark.parametrize(
    ("text", "mm"),
    [("1 in", 25.4), ("1 ft", 304.8), ("3 ft", 914.4), ("1 m", 1000.0), ("1 cm", 10.0)],
)
def test_length_definitions(text, mm):
    assert read_length(text, None) == mm


# NIST SP 811 (2008) appendix B.8: foot per minute 5.08 E-03 m/s, exact; inch per second 2.54 E-02 m/s, exact.
@pytest.mark.parametrize(
    ("text", "mm_per_s"),
    [("1 ft/min", 5.08), ("1 fpm", 5.08), ("1 in/s", 25.4), ("1 ft/s", 304.8), ("60 m/min", 1000.0)],
)
def test_speed_definitions(text, mm_per_s):
    assert read_speed(text) == mm_per_s


# Arithmetic on the exact definition: 100 ft/min = 0.508 m/s = 30.48 m/min.
def test_hundred_feet_a_minute():
    assert read_speed("100 ft/min") == read_speed("0.508 m/s") == read_speed("30.48 m/min") == 508.0


# Machinery's Handbook, table of fractions of an inch (from memory): 1/64 in = 0.396875 mm,
# 7/16 in = 11.1125 mm, 63/64 in = 25.003125 mm.
@pytest.mark.parametrize(
    ("text", "mm"), [("1/64 in", 0.396875), ("7/16 in", 11.1125), ("63/64 in", 25.003125)]
)
def test_fractions_of_an_inch(text, mm):
    assert read_length(text, None) == mm


@pytest.mark.parametrize("unit", [unit for unit in LENGTH_UNITS if unit.isalpha()])
def test_lengths_agree_with_an_independent_registry(unit):
    expected = INDEPENDENT.Quantity(7.25, unit).to("mm").magnitude
    assert read_length(f"7.25 {unit}", None) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize("unit", [unit for unit in SPEED_UNITS if unit != "fpm"])
def test_speeds_agree_with_an_independent_registry(unit):
    way, time = unit.split("/")
    expected = INDEPENDENT.Quantity(7.25, way) / INDEPENDENT.Quantity(1, time)
    assert read_speed(f"7.25 {unit}") == pytest.approx(expected.to("mm/second").magnitude, rel=1e-14)


def test_a_value_is_the_float_nearest_to_the_exact_one():
    assert read_length("1/3 in", None) == float(Fraction(127, 15))
    assert read_length("0.1 in", None) == 2.54
