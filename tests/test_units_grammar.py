"""What people type, one case a line, with the length worked out by hand."""

import pickle

import pytest

from mountgen.units import (
    FREQUENCY,
    MASS,
    RESOLUTION,
    TIME,
    Measured,
    UnitError,
    format_length,
    format_speed,
    read_angle,
    read_length,
    read_quantity,
    read_speed,
    read_thread,
)

ACCEPTED = [
    ("3.2 mm", 3.2),
    ("3.2mm", 3.2),
    ("3,2 mm", 3.2),
    (".5 in", 12.7),
    ("1/8 in", 3.175),
    ("2 1/4 in", 57.15),
    ('2-1/4"', 57.15),
    ("2 1/4 inches", 57.15),
    ("⅛ in", 3.175),
    ("2½ in", 63.5),
    ("2 ½ in", 63.5),
    ("2-½ in", 63.5),
    ("3⁄8 in", 9.525),
    ("5'-3 1/2\"", 1612.9),
    ("5′ 3½″", 1612.9),
    ("6 ft 9 in", 2057.4),
    ("6' 9 1/2\"", 2070.1),
    ("6'", 1828.8),
    ("5 IN", 127.0),
    ("2 in.", 50.8),
    ("12 m", 12000.0),
    ("1.5 cm", 15.0),
    ("1e3 mm", 1000.0),
    ("1.299,99 mm", 1299.99),
    ("1,299.99 mm", 1299.99),
    ("12,5 mm", 12.5),
    ("1.250 in", 31.75),
    ("0,125 in", 3.175),
    ("1234,567 mm", 1234.567),
    ("2 1/2 mm", 2.5),
    ("  40 mm  ", 40.0),
    ("40\u00a0mm", 40.0),
    ("40\u2009mm", 40.0),
    ("40\u202fmm", 40.0),
    ("2\u20071/2 in", 63.5),
    ("5' 3\"", 1600.2),
    ("5ft3in", 1600.2),
    ("5’ 3”", 1600.2),
    ("5´ 3´´", 1600.2),
    ("5 ft. 3 in.", 1600.2),
    ('63 1/2"', 1612.9),
    ("63 1/2″", 1612.9),
    ("63 1/2''", 1612.9),
    ('0,5"', 12.7),
    ("2∕3 ft", 203.2),
    ("1.2e1 cm", 120.0),
]

BARE_INCHES = [
    ("2 1/2", 63.5),
    ("2-1/2", 63.5),
    ("1/2", 12.7),
    ('3 1/16"', 77.7875),
    ("6 ft 9 in", 2057.4),
    ("6' 9 1/2\"", 2070.1),
    ("2½", 63.5),
    ("½", 12.7),
    ("0.5", 12.7),
    (".5", 12.7),
    (2.25, 57.15),
    (3, 76.2),
]

REFUSED = [
    ("", "empty"),
    ("   ", "empty"),
    ("mm", "'mm'"),
    ("nan mm", "'nan mm'"),
    ("inf mm", "'inf mm'"),
    ("-inf", "'-inf'"),
    ("10", "without a unit"),
    ("2 1/4", "without a unit"),
    ("10 mm mm", "unit 'mm mm'"),
    ("10 mm in", "unit 'mm in'"),
    ("10 kg", "unit 'kg'"),
    ("10 Nm", "unit 'Nm'"),
    ("3/0 in", "divides by zero"),
    ("3/0", "divides by zero"),
    ("5 Mm", "write the unit as 'mm'"),
    ("5 MM", "write the unit as 'mm'"),
    ("5 M", "write the unit as 'm'"),
    ("5 Cm", "write the unit as 'cm'"),
    ("1,250 mm", "1.25 or as 1250"),
    ("12,345 in", "12.345 or as 12345"),
    ("1,2.3,4 mm", "commas and points"),
    ("1.2.3 mm", "commas and points"),
    ("12.34,5 mm", "commas and points"),
    ("1 250 mm", "'1 250 mm'"),
    ("2 - 1/4 in", "'2 - 1/4 in'"),
    ("2−1/4 in", "'2−1/4 in'"),
    ("2 5/4 in", "5/4 behind a whole number"),
    ("1/2/3 in", "'1/2/3 in'"),
    ("1½2 in", "'1½2 in'"),
    ("5' 14\"", "12 inches or more"),
    ("5' 12\"", "12 inches or more"),
    ("2 4/4 in", "4/4 behind a whole number"),
    ("5' 9", "5' 9"),
    ("1 m 20 cm", "'1 m 20 cm'"),
    ("1001 m", "absurdly large"),
    ("1e99 mm", "absurdly large"),
    ("9**9**9 mm", "9**9**9"),
    ("1e999999999 mm", "1e999999999"),
    ("9" * 300 + " mm", "303 characters"),
    ("٣ mm", "'٣ mm'"),
    ("５０ mm", "'５０ mm'"),
    ("50 ｍｍ", "'50 ｍｍ'"),
    ("4\u200b0 mm", "u200b"),
    ("12 mm 5", "'12 mm 5'"),
    ("12 5 mm", "'12 5 mm'"),
    ('1/2"-13', "a thread, not a length"),
    ("1/4-20", "a thread, not a length"),
    ("M6", "a thread, not a length"),
    ("M8x1", "a thread, not a length"),
    ("80 × 12 mm", "more than one length"),
    ("80 mm x 12 mm", "more than one length"),
    ("80*12", "more than one length"),
    ("100 +1/-2 mm", "write 99.5 +/- 1.5 mm"),
    ("100 mm +1 -2", "write 99.5 +/- 1.5 mm"),
    ("100 -2/+1 mm", "write 99.5 +/- 1.5 mm"),
    ("100 (+0/−0,5) mm", "write 99.75 +/- 0.25 mm"),
    ("-6 +0/-2", "write -7 +/- 1"),
    ("10 in +1 mm -2 mm", "the middle of the band"),
    ("5' 3\" 2", "'5' 3\" 2'"),
    ("0x10 mm", "'0x10 mm'"),
    ("5 ± 2 ± 1 mm", "more than one +/-"),
    ("5 +/- -1 mm", "uncertainty below zero"),
    ("5 + -3 mm", "'5 + -3 mm'"),
    ("5 +/- 2000 m", "absurdly large"),
    (True, "True"),
    (float("nan"), "nan"),
    (float("inf"), "inf"),
]


@pytest.mark.parametrize(("text", "mm"), ACCEPTED)
def test_text_with_a_unit(text, mm):
    assert read_length(text, None) == mm
    assert read_length(text, "in") == read_length(text, "mm") == mm


@pytest.mark.parametrize(("text", "mm"), BARE_INCHES)
def test_bare_text_takes_the_default(text, mm):
    assert read_length(text, "in") == mm


def test_a_bare_number_in_mm():
    assert read_length("10", "mm") == read_length(10, "mm") == read_length(10.0, "mm") == 10.0


@pytest.mark.parametrize(("text", "message"), REFUSED)
def test_refused_text(text, message):
    with pytest.raises(UnitError) as caught:
        read_length(text, None, negative=True)
    assert message in str(caught.value)
    assert caught.value.found
    assert (
        "mm" in caught.value.expected
        or "one way" in caught.value.expected
        or "2 1/4" in caught.value.expected
        or "even band" in caught.value.expected
    )


def test_two_and_a_quarter_is_never_a_half():
    """A plain unit library multiplies: 2 * 1/4 in = 12.7 mm."""
    assert read_length("2 1/4 in", None) == 57.15


@pytest.mark.parametrize(
    ("text", "value", "plus_minus"),
    [
        ("850 +/- 5 mm", 850.0, 5.0),
        ("850 ± 5 mm", 850.0, 5.0),
        ("850 +- 5 mm", 850.0, 5.0),
        ("850 +/− 5 mm", 850.0, 5.0),
        ("850 mm ± 5", 850.0, 5.0),
        ("850 mm +/- 1/4 in", 850.0, 6.35),
        ("33 1/2 ± 1/4 in", 850.9, 6.35),
        ('5\'-3 1/2" ± 1/8"', 1612.9, 3.175),
    ],
)
def test_uncertainty(text, value, plus_minus):
    read = read_length(text, None)
    assert (float(read), read.plus_minus) == (value, plus_minus)


def test_without_plus_minus_nothing_is_uncertain():
    assert read_length("5 mm", None).plus_minus == 0.0


@pytest.mark.parametrize("text", ["-5 mm", "−5 mm", "- 5 mm", "–5 mm"])
def test_negative_only_where_allowed(text):
    assert read_length(text, None, negative=True) == -5.0
    with pytest.raises(UnitError, match="below zero"):
        read_length(text, None)


def test_minus_belongs_to_the_whole_mixed_number():
    assert read_length('-2-1/4"', None, negative=True) == -57.15
    assert read_length("-1 ft 3 in", None, negative=True) == -381.0


def test_uncertainty_may_not_reach_below_zero():
    with pytest.raises(UnitError, match="may be below zero"):
        read_length("3 +/- 5 mm", None)
    assert read_length("3 +/- 5 mm", None, negative=True).plus_minus == 5.0


@pytest.mark.parametrize(
    ("text", "mm_per_s"),
    [("30 m/min", 500.0), ("30 m / min", 500.0), ("0.5 m/s", 500.0), ("100 FPM", 508.0), ("½ m/s", 500.0)],
)
def test_speeds(text, mm_per_s):
    assert read_speed(text) == mm_per_s


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("30", "without a unit"),
        (30, "without a unit"),
        ("30 mm", "unit 'mm'"),
        ("30 M/MIN", "write the unit as 'm/min'"),
        ("-3 m/s", "below zero"),
        ("3 +/- 1 m/s", "leave the +/- out"),
        ("1,200 mm/s", "1.2 or as 1200"),
        ("500 m/s", "absurdly large"),
        ("", "empty"),
    ],
)
def test_refused_speeds(text, message):
    with pytest.raises(UnitError) as caught:
        read_speed(text)
    assert message in str(caught.value)


@pytest.mark.parametrize(("text", "deg"), [(1.5, 1.5), ("1.5", 1.5), ("1.5 deg", 1.5), ("2°", 2.0), (0, 0.0)])
def test_angles(text, deg):
    assert read_angle(text) == deg


@pytest.mark.parametrize("text", ["3 rad", "-1", "400", "1.5 mm", True, ""])
def test_refused_angles(text):
    with pytest.raises(UnitError):
        read_angle(text)


def test_negative_angle_where_allowed():
    assert read_angle("-2 deg", negative=True) == -2.0


@pytest.mark.parametrize(
    ("mm", "units", "text"),
    [
        (57.15, "mm", "57.2 mm"),
        (-57.15, "mm", "-57.2 mm"),
        (1e6, "mm", "1000000.0 mm"),
        (57.2, "mm", "57.2 mm"),
        (-0.01, "mm", "0.0 mm"),
        (57.15, "in", "2 1/4 in"),
        (-57.15, "in", "-2 1/4 in"),
        (50.8, "in", "2 in"),
        (0.396875, "in", "1/64 in"),
        (0.0, "in", "0 in"),
        (57.2, "in", "2 1/4 in (2.252)"),
        (25.3, "in", "1 in (0.996)"),
        (0.5, "in", "0.020 in"),
        (-1.5, "in", "-0.059 in"),
        (1.7, "in", "1/16 in (0.067)"),
    ],
)
def test_written_lengths(mm, units, text):
    assert format_length(mm, units) == text


def test_decimals_of_a_written_length():
    assert format_length(3.175, "mm", decimals=3) == "3.175 mm"
    assert format_length(100.0, "mm", decimals=0) == "100 mm"


def test_written_speeds():
    assert format_speed(500.0, "mm") == "30.0 m/min"
    assert format_speed(508.0, "in") == "100.0 ft/min"


@pytest.mark.parametrize(
    ("text", "kind", "unit", "value"),
    [
        *(("1.2 kg", MASS, "kg", 1.2), ("450 g", MASS, "kg", 0.45), (0.68, MASS, "kg", 0.68)),
        *(("1 lb", MASS, "kg", 0.45359237), ("2 LB 3 OZ", MASS, "oz", 35.0), ("3 1/2 oz", MASS, "oz", 3.5)),
        *(
            ("7 kHz", FREQUENCY, "Hz", 7000.0),
            ("7000 HZ", FREQUENCY, "Hz", 7000.0),
            (50, FREQUENCY, "Hz", 50.0),
        ),
        *(("500 µs", TIME, "ms", 0.5), ("500 μs", TIME, "ms", 0.5), ("0,5 s", TIME, "ms", 500.0)),
        *(("205 DPI", RESOLUTION, "dpi", 205.0), ("205 dots / inch", RESOLUTION, "dpi", 205.0)),
    ],
)
def test_other_kinds(text, kind, unit, value):
    assert read_quantity(text, kind, unit) == value


@pytest.mark.parametrize(
    ("text", "kind", "unit", "message"),
    [
        *(
            ("1 KG", MASS, "kg", "as 'kg'"),
            ("2 lb 16 oz", MASS, "kg", "16 oz. or more"),
            ("5 mm", MASS, "kg", "'mm'"),
        ),
        *(("1 +/- 0.1 kg", MASS, "kg", "leave the +/- out"), ("-1 kg", MASS, "kg", "below zero")),
        *(("11 t", MASS, "kg", "unit 't'"), ("10001 kg", MASS, "kg", "at most 10000 kg")),
        *(
            ("5 mHz", FREQUENCY, "Hz", "'mHz'"),
            ("5 MHz", FREQUENCY, "Hz", "'MHz'"),
            ("1e9", FREQUENCY, "Hz", "large"),
        ),
        *(
            ("1 MS", TIME, "ms", "as 'ms'"),
            ("2 h", TIME, "ms", "unit 'h'"),
            ("1 min", TIME, "ms", "unit 'min'"),
        ),
        *(("8 Dots/mm", RESOLUTION, "dpi", "as 'dots/mm'"), ("8 mm", RESOLUTION, "dpi", "unit 'mm'")),
        *(
            ("8 x 8 dpi", RESOLUTION, "dpi", "more than one resolution"),
            ("M4", MASS, "kg", "thread, not a mass"),
        ),
    ],
)
def test_refused_in_other_kinds(text, kind, unit, message):
    with pytest.raises(UnitError) as caught:
        read_quantity(text, kind, unit)
    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        *(("M7", "no size of ISO 261"), ("M6x2", "a pitch that M6 does not have"), ("M6x0", "a pitch")),
        *(("1/4-19", "1/4-20 or 1/4-28"), ("1/4-28 UNC", "expected 1/4-20"), ("7/16-1", "no size of ASME")),
        *(("1/4", "'1/4'"), ("6", "'6'"), ("", "''"), ("M٦", "'M٦'"), ("M6 " * 40, "120 characters")),
    ],
)
def test_refused_threads(text, message):
    with pytest.raises(UnitError) as caught:
        read_thread(text)
    assert message in str(caught.value)


def test_a_measured_value_keeps_its_uncertainty_when_stored():
    kept = pickle.loads(pickle.dumps(Measured(850.0, 5.0)))
    assert (kept, kept.plus_minus) == (850.0, 5.0)
