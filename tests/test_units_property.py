"""Over the whole grammar: what is written is read back, and nothing else passes for a length."""

import re
from fractions import Fraction

from hypothesis import example, given, settings
from hypothesis import strategies as st

from mountgen.units import UnitError, format_length, read_length

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


# A strict description of everything that may pass, written apart from the reader's own grammar.
_N = r"(?:\d+(?:[.,]\d+)*|[.,]\d+)(?:e[+-]?\d{1,2})?"
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
    assert STRICT.fullmatch(text), text
    assert "M" not in text
    assert abs(read) <= 1e6


@given(st.text(max_size=12))
def test_a_text_without_digits_is_no_length(text):
    stripped = "".join(letter for letter in text if not letter.isnumeric())
    for default in (None, "mm", "in"):
        try:
            read_length(stripped, default)
        except UnitError:
            continue
        raise AssertionError(stripped)
