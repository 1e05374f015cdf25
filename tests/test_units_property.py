"""Over the whole grammar: what is written is read back, and nothing else passes for a length."""

import re
from fractions import Fraction

from hypothesis import example, given, settings
from hypothesis import strategies as st

from mountgen.units import (
    ANGLE,
    FREQUENCY,
    LENGTH,
    MASS,
    RESOLUTION,
    SPEED,
    TIME,
    UnitError,
    format_length,
    format_speed,
    read_length,
    read_quantity,
    read_speed,
    read_thread,
)

MM = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(127, 5),
    '"': Fraction(127, 5),
}
MM |= {"inch": MM["in"], "inches": MM["in"], "ft": 12 * MM["in"], "'": 12 * MM["in"]}
VULGAR = {
    "½": Fraction(1, 2),
    "¼": Fraction(1, 4),
    "¾": Fraction(3, 4),
    "⅛": Fraction(1, 8),
    "⅞": Fraction(7, 8),
}
ANY_UNIT = r"(?:mm|cm|m|in\.?|inch|inches|\"|''|″|”|ft\.?|foot|feet|'|′|’)"
OTHER_UNITS = {
    MASS: r"(?:kg|g|(?i:lbs?\.?|oz\.?))",
    FREQUENCY: r"(?:kHz|(?i:hz))",
    TIME: r"(?:s|ms|us|µs|μs)",
    RESOLUTION: r"(?:(?i:dpi|dots[ ]*/[ ]*in|dots[ ]*/[ ]*inch)|dots[ ]*/[ ]*[mc]m)",
    SPEED: r"(?:[mc]?m[ ]*/[ ]*s|m?m[ ]*/[ ]*min|(?i:(?:in|ft)[ ]*/[ ]*(?:s|min)|fpm))",
}


@st.composite
def decimals(draw):
    """A decimal number with point or comma that has one reading only."""
    whole, rest = draw(st.integers(0, 900)), draw(st.text("0123456789", min_size=0, max_size=5))
    mark = draw(st.sampled_from(".,"))
    if mark == "," and len(rest) == 3 and whole:
        rest += "0"
    value = Fraction(whole) + (Fraction(int(rest), 10 ** len(rest)) if rest else 0)
    return (f"{whole}{mark}{rest}" if rest else f"{whole}"), value


@st.composite
def mixed(draw):
    """A mixed fraction with space, hyphen or vulgar sign."""
    whole, below = draw(st.integers(0, 900)), draw(st.integers(2, 128))
    above = draw(st.integers(1, below - 1))
    if draw(st.booleans()):
        sign, value = draw(st.sampled_from(sorted(VULGAR.items())))
        return f"{whole}{draw(st.sampled_from(['', ' ', '-']))}{sign}", whole + value
    text = f"{whole}{draw(st.sampled_from([' ', '-', '  ']))}{above}/{below}"
    return (text, whole + Fraction(above, below)) if whole else (f"{above}/{below}", Fraction(above, below))


NUMBERS = st.one_of(decimals(), mixed())
MINUS = st.sampled_from(["", "-", "−", "- "])


@given(MINUS, NUMBERS, st.sampled_from(["", " "]), st.sampled_from(sorted(MM)))
def test_one_number_and_its_unit(minus, number, space, unit):
    text, value = number
    expected = float(value * MM[unit])
    read = read_length(f"{minus}{text}{space}{unit}", None, negative=True)
    assert read == (-expected if minus else expected)


@given(st.integers(0, 90), st.integers(0, 11), st.sampled_from(["-", " ", "", "- "]), mixed())
def test_feet_and_inches(feet, whole, joint, fraction):
    part = fraction[1] - int(fraction[1])
    inches = f"{whole} {part.numerator}/{part.denominator}" if part else f"{whole}"
    expected = float((12 * feet + whole + part) * MM["in"])
    assert read_length(f"{feet}'{joint}{inches}\"", None) == expected
    assert read_length(f"{feet} ft {inches} in", None) == expected


@given(NUMBERS, NUMBERS, st.sampled_from(sorted(MM)), st.sampled_from(["±", " +/- ", "+-"]))
def test_uncertain_lengths(number, uncertainty, unit, sign):
    read = read_length(f"{number[0]}{sign}{uncertainty[0]} {unit}", None, negative=True)
    assert float(read) == float(number[1] * MM[unit])
    assert read.plus_minus == float(uncertainty[1] * MM[unit])


@given(NUMBERS)
def test_a_default_unit_does_what_the_written_one_does(number):
    assert read_length(number[0], "in") == read_length(f"{number[0]} in", None)


@given(st.integers(-64_000, 64_000))
def test_written_inches_read_back(sixty_fourths):
    mm = sixty_fourths * 25.4 / 64
    assert abs(read_length(format_length(mm, "in"), None, negative=True) - mm) < 1e-9


@given(st.integers(-1_000_000, 1_000_000))
def test_written_millimetres_read_back(tenths):
    assert read_length(format_length(tenths / 10, "mm"), None, negative=True) == tenths / 10


@given(st.integers(0, 60_000), st.sampled_from(["mm", "in"]))
def test_written_speeds_read_back(tenths, units):
    mm_per_s = tenths / 10 * (1000 / 60 if units == "mm" else 5.08)
    assert abs(read_speed(format_speed(mm_per_s, units)) - mm_per_s) < 1e-9


# How many kg, Hz, s or dots an inch one unit is, written apart from the reader's tables.
POUND = Fraction(45359237, 100_000_000)
OTHERS = {
    MASS: {"kg": 1, "g": Fraction(1, 1000), "lb": POUND, "lbs": POUND, "LB": POUND, "oz": POUND / 16},
    FREQUENCY: {"Hz": 1, "hz": 1, "kHz": 1000},
    TIME: {"s": 1, "ms": Fraction(1, 1000), "µs": Fraction(1, 1_000_000), "us": Fraction(1, 1_000_000)},
    RESOLUTION: {"dpi": 1, "dots/in": 1, "dots/mm": MM["in"], "DPI": 1, "dots/cm": MM["in"] / 10},
}
BASES = {MASS: "kg", FREQUENCY: "Hz", TIME: "s", RESOLUTION: "dpi"}


@given(st.data(), st.sampled_from(list(OTHERS)), NUMBERS, st.sampled_from(["", " ", "\u2009"]))
def test_one_number_and_a_unit_of_any_kind(data, kind, number, space):
    unit = data.draw(st.sampled_from(sorted(OTHERS[kind])))
    expected = float(number[1] * OTHERS[kind][unit])
    assert read_quantity(f"{number[0]}{space}{unit}", kind, BASES[kind]) == expected
    assert read_quantity(number[0], kind, BASES[kind]) == float(number[1])


@given(st.integers(0, 90), st.integers(0, 15), st.sampled_from([" ", "", "-"]), mixed())
def test_pounds_and_ounces(pounds, whole, joint, fraction):
    part = fraction[1] - int(fraction[1])
    ounces = f"{whole} {part.numerator}/{part.denominator}" if part else f"{whole}"
    expected = float((16 * pounds + whole + part) * POUND / 16)
    assert read_quantity(f"{pounds} lb{joint}{ounces} oz", MASS, "kg") == expected


@given(
    st.sampled_from([LENGTH, SPEED, ANGLE, *OTHERS]),
    st.sampled_from([LENGTH, SPEED, ANGLE, *OTHERS]),
    NUMBERS,
)
def test_a_unit_of_one_kind_is_none_of_another(kind, other, number):
    if kind is other:
        return
    for name in (*other.symbols, *other.words):
        try:
            read_quantity(f"{number[0]} {name}", kind, next(iter((*kind.symbols, *kind.words))))
        except UnitError:
            continue
        raise AssertionError(f"{name} was read as a {kind.name}")


# A strict description of everything that may pass, written apart from the reader's own grammar.
_N = r"(?:\d+(?:[.,]\d+)*|[.,]\d+)(?:[eE][+-]?\d{1,2})?"
_F = r"(?:(?:\d+(?:[ ]+|-[ ]*))?\d+[ ]*[/⁄][ ]*\d+|\d*[ ]*-?[ ]*[½¼¾⅛⅞])"
_ONE = rf"(?:[+−–-]?[ ]*(?:{_F}|{_N})[ ]*{ANY_UNIT})"
_BARE = rf"(?:[+−–-]?[ ]*(?:{_F}|{_N}))"
_FEET = (
    rf"(?:[+−–-]?[ ]*\d+[ ]*(?:'|′|’|ft\.?|foot|feet)[ ]*-?[ ]*(?:{_F}|{_N})[ ]*"
    r"(?:\"|''|″|”|in\.?|inch|inches))"
)
_PM = r"[ ]*(?:±|\+[ ]*/[ ]*[−–-]|\+[−–-])[ ]*"
STRICT = re.compile(
    rf"[ ]*(?:{_FEET}|{_ONE})(?:{_PM}(?:{_FEET}|{_ONE}|{_BARE}))?[ ]*|[ ]*{_BARE}{_PM}(?:{_FEET}|{_ONE})[ ]*",
    re.ASCII | re.IGNORECASE,
)


def spaced(text):
    """Every kind of space as a plain one."""
    return re.sub("[\\t\u00a0\u1680\u2000-\u200a\u202f\u205f\u3000]", " ", text)


@settings(max_examples=1500)
@given(st.text("0123459 ./,-+±'\"mincfteM½⅛−", max_size=14) | st.text(max_size=8))
@example("5 Mm")
@example("1,250 mm")
@example("5 + -3 mm")
@example("0−½'")
def test_nothing_passes_by_accident(text):
    """Whatever is read as a length names its unit and fits the strict description."""
    try:
        read = read_length(text, None, negative=True)
    except UnitError as error:
        assert error.found
        assert error.expected
        return
    assert STRICT.fullmatch(spaced(text)), text
    assert "M" not in text
    assert abs(read) <= 1e6


_POUNDS = rf"(?:\d+[ ]*(?i:lbs?\.?)[ ]*-?[ ]*(?:{_F}|{_N})[ ]*(?i:oz\.?))"


@settings(max_examples=1000)
@given(
    st.sampled_from(list(OTHER_UNITS)),
    st.text("012459 ./,-+±kgloszmHuiµdtn½−", max_size=12) | st.text(max_size=8),
)
@example(TIME, "1 m s")
@example(MASS, "1 kg 5")
@example(RESOLUTION, "8/mm")
@example(MASS, "0\r")
@example(TIME, "\u30001\u2000ms\t")
def test_nothing_passes_by_accident_for_another_kind(kind, text):
    try:
        read_quantity(text, kind, next(iter((*kind.symbols, *kind.words))))
    except UnitError as error:
        assert error.found and error.expected
        return
    one = rf"[+−–-]?[ ]*(?:{_F}|{_N})[ ]*{OTHER_UNITS[kind]}?"
    whole = rf"[ ]*(?:{one}|[+]?{_POUNDS})[ ]*" if kind is MASS else rf"[ ]*{one}[ ]*"
    assert re.fullmatch(whole, spaced(text), re.ASCII), text


@settings(max_examples=500)
@given(st.text('Mm#0123468/-.x× UNCFo"', max_size=9) | st.text(max_size=6))
def test_no_text_is_a_thread_by_accident(text):
    try:
        name = read_thread(text)
    except UnitError as error:
        assert error.found and error.expected
        return
    assert re.fullmatch(r"M\d+(\.5)?(x\d(\.\d\d?)?)?|(#\d+|\d/\d+)-\d\d", name, re.ASCII)
    assert read_thread(name) == name


@given(st.text(max_size=12))
def test_a_text_without_digits_is_no_length(text):
    stripped = "".join(letter for letter in text if not letter.isnumeric())
    for default in (None, "mm", "in"):
        try:
            read_length(stripped, default)
        except UnitError:
            continue
        raise AssertionError(stripped)
