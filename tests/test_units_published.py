"""Conversions against published definitions, and against an independent library's own registry."""

from fractions import Fraction

import pint
import pytest

from mountgen.units import (
    FREQUENCY,
    LENGTH,
    MASS,
    RESOLUTION,
    SPEED,
    TIME,
    read_length,
    read_quantity,
    read_speed,
    read_thread,
)
from mountgen.units.kinds import factor

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


@pytest.mark.parametrize("unit", [unit for unit in (*LENGTH.symbols, *LENGTH.words) if unit.isalpha()])
def test_lengths_agree_with_an_independent_registry(unit):
    expected = INDEPENDENT.Quantity(7.25, unit).to("mm").magnitude
    assert read_length(f"7.25 {unit}", None) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize("unit", [unit for unit in (*SPEED.symbols, *SPEED.words) if unit != "fpm"])
def test_speeds_agree_with_an_independent_registry(unit):
    way, time = unit.split("/")
    expected = INDEPENDENT.Quantity(7.25, way) / INDEPENDENT.Quantity(1, time)
    assert read_speed(f"7.25 {unit}") == pytest.approx(expected.to("mm/second").magnitude, rel=1e-14)


@pytest.mark.parametrize("kind", [MASS, TIME, FREQUENCY], ids=lambda kind: kind.name)
def test_masses_times_and_frequencies_agree_with_an_independent_registry(kind):
    names = [name.rstrip(".") for name in (*kind.symbols, *kind.words) if name != "lbs."]
    for name in names:
        expected = INDEPENDENT.Quantity(7.25, name.replace("hz", "Hz")).to(kind.base).magnitude
        assert read_quantity(f"7.25 {name}", kind, kind.base) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize(("unit", "base"), [("kg", "mm"), ("m/min", "mm"), ("dot/inch", "mm/s"), ("Hz", "s")])
def test_units_of_two_kinds_have_no_factor(unit, base):
    with pytest.raises(ValueError, match=f"{unit} is no multiple of {base}"):
        factor(unit, base)


def test_a_value_is_the_float_nearest_to_the_exact_one():
    assert read_length("1/3 in", None) == float(Fraction(127, 15))
    assert read_length("0.1 in", None) == 2.54


# NIST SP 811 (2008) appendix B.8: pound (avoirdupois) 4.535 924 E-01 kg, ounce 2.834 952 E-02 kg (rounded
# there; the pound is 0.453 592 37 kg exactly by the agreement of 1959).
@pytest.mark.parametrize(
    ("text", "kg", "tolerance"),
    [("1 lb", 0.45359237, 0.0), ("1 oz", 2.834952e-2, 2e-7), ("2 lb 8 oz", 1.133980925, 0.0)],
)
def test_mass_definitions(text, kg, tolerance):
    assert read_quantity(text, MASS, "kg") == pytest.approx(kg, rel=tolerance, abs=0.0)


# Arithmetic on the exact inch: 8 dots/mm = 8 * 25.4 = 203.2 dpi.
def test_dots_a_millimetre():
    assert read_quantity("8 dots/mm", RESOLUTION, "dpi") == 203.2
    assert read_quantity("254 dpi", RESOLUTION, "dots/cm") == 100.0


# ISO 261, coarse pitches: M6 1 mm, M8 1.25 mm. ASME B1.1: 1/4-20 UNC, 5/16-18 UNC, #10-24 UNC, 1/2-13 UNC.
@pytest.mark.parametrize(
    ("text", "name"),
    [
        *(("M6x1", "M6"), ("M8 x 1.25", "M8"), ("M8x1", "M8x1"), ("M8×1,25", "M8")),
        *(("1/4-20 UNC", "1/4-20"), ('5/16"-18', "5/16-18"), ("No. 10-24", "#10-24"), ("1/2-13", "1/2-13")),
    ],
)
def test_thread_designations(text, name):
    assert read_thread(text) == name
