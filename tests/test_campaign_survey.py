"""A long run of spoilt surveys (`pytest -m campaign`): bytes, tokens and values changed at random.

Whatever comes in, the reader gives a survey or complete faults with places inside the file, and gives them
soon. A changed length is either read as what an independent reading of the text says, or refused.
"""

import math
import random
import re
import time
import tomllib
from fractions import Fraction

import pytest

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.errors import SurveyError
from mountgen.survey.reader import read_survey
from mountgen.survey.starter import starter_survey

pytestmark = pytest.mark.campaign

CHUNKS = 50
"""Each with its own seed, so that workers share them and a failure can be run again."""
BYTES, TOKENS, VALUES = 1_600, 1_600, 1_000
"""Changed files a chunk."""
SLOWEST = 5.0
"""s; longer is a hang."""
CATALOGUE = Catalogue()
TEXTS = [path.read_text(encoding="utf-8") for path in sorted((profiles_folder() / "surveys").glob("*.toml"))]
TEXTS += [starter_survey(pose, units) for pose in ("near_side", "top") for units in ("mm", "in")]
TOKEN = re.compile(r'"[^"\n]*"|[A-Za-z_][\w.-]*|[-+]?[\d.]+|[\[\]{}=,#]|\n')
STRAY = [
    *('"', "'", '"""', "'''", "[", "[[", "]", "{", "}", "=", ",", ".", "\\", "#", "\n", "\r", "\t", "\0"),
    *("nan", "-inf", "1e999", "9" * 4400, "0x" + "f" * 5000, "true", "1979-05-27T07:32:00Z", "[" * 400),
    *('"5 Mm"', '"1,250 mm"', '"3/0"', '"½"', '"\\ud800"', '"\\u0000"', '"٣ mm"', '"１２ mm"', "\ufeff"),
    *('"100 +1/-2 mm"', '"1e99 mm"', '"' + "1" * 61 + '"', "{}", "[{}]", "[[]]", "{ a.b.c = 1 }", "\u2028"),
    *("a.b", '"flow"', '"fl\\u006fw"', "[rail]", "[[product]]", "[products]\nfile = 'x'", "product", "rail"),
    *(
        "device = { at = [1] }",
        "pattern = [{ thread = 1 }]",
        "0b" + "1" * 70,
        "-0.0",
        "1_000",
        "+5",
        "[1, [2]]",
    ),
]


def read_spoilt(path, content):
    """The survey, or None when it was refused as it should be."""
    path.write_bytes(content)
    start = time.process_time()
    try:
        survey = read_survey(path, CATALOGUE)
    except SurveyError as error:
        survey = None
        assert error.faults
        for fault in error.faults:
            assert fault.found and fault.expected and fault.action
            check_place(fault.where, path, content)
            assert "Traceback" not in str(fault)
    assert time.process_time() - start < SLOWEST
    return survey


def check_place(where, path, content):
    """The place is the file, or a line and a column that the file has."""
    if where == str(path):
        return
    line, column = (int(number) for number in where.removeprefix(f"{path}:").split(":"))
    lines = content.split(b"\n")
    assert 1 <= line <= len(lines)
    assert 1 <= column <= len(lines[line - 1].decode("utf-8", "replace")) + 2


def spoilt_bytes(random_source, content):
    changed = bytearray(content)
    for _ in range(random_source.choice([1, 1, 1, 2, 4, 16])):
        at = random_source.randrange(len(changed))
        kind = random_source.randrange(5)
        if kind == 0:
            changed[at] = random_source.randrange(256)
        elif kind == 1:
            changed[at] ^= 1 << random_source.randrange(8)
        elif kind == 2:
            del changed[at : at + random_source.choice([1, 1, 3, 40])]
        elif kind == 3:
            changed[at:at] = random_source.randbytes(random_source.choice([1, 2, 4]))
        else:
            other = random_source.randrange(len(changed))
            changed[at:at] = changed[other : other + random_source.randrange(1, 60)]
    return bytes(changed)


def spoilt_tokens(random_source, text):
    for _ in range(random_source.choice([1, 1, 2, 3, 6])):
        spans = [match.span() for match in TOKEN.finditer(text)]
        if not spans:
            return text
        (low, high), (other, other_end) = random_source.choice(spans), random_source.choice(spans)
        stray = random_source.choice(STRAY)
        new = random_source.choice(["", text[low:high] * 2, text[other:other_end], stray])
        text = text[:low] + new + text[high:]
    return text


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_spoilt_bytes(tmp_path, chunk):
    source, path = random.Random(chunk), tmp_path / "s.toml"
    for _ in range(BYTES):
        read_spoilt(path, spoilt_bytes(source, source.choice(TEXTS).encode()))


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_spoilt_tokens(tmp_path, chunk):
    source, path = random.Random(1_000 + chunk), tmp_path / "s.toml"
    for _ in range(TOKENS):
        changed = spoilt_tokens(source, source.choice(TEXTS))
        read_spoilt(path, changed.encode("utf-8", "surrogatepass"))


# Values: a length is written anew and read here by other means than the reader's grammar.

PER_UNIT = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "in": Fraction(254, 10)}
PER_UNIT |= {'"': PER_UNIT["in"], "inch": PER_UNIT["in"], "ft": 12 * PER_UNIT["in"], "'": 12 * PER_UNIT["in"]}
PLACES = {
    "far_rail_at": lambda survey: survey.rail.far_rail_at,
    "top_above_surface": lambda survey: survey.rail.top_above_surface,
    "free_to": lambda survey: survey.rail.free_to,
    "surface_height": lambda survey: survey.line.surface_height,
    "roller_diameter": lambda survey: survey.line.roller_diameter,
    "length": lambda survey: survey.products[0].length,
    "height": lambda survey: survey.products[0].height,
    "gap": lambda survey: survey.products[0].gap,
    "bulge": lambda survey: survey.products[0].bulge,
    "from_leading": lambda survey: survey.products[0].code.from_leading,
    "target": lambda survey: survey.standoff.target,
}
LETTERS = "0123456789  ..,,//--+±'\"½¼′″ minctfe\u00a0\u2009−×"


def written(random_source, mm):
    """A text near `mm` in some unit and spelling, often changed by a stroke."""
    unit = random_source.choice(sorted(PER_UNIT))
    value = float(Fraction(mm) / PER_UNIT[unit]) * random_source.choice([1, 1, 1, 0.97, 1.1])
    sign = "-" if value < 0 else ""
    whole, rest = divmod(abs(value), 1)
    below = random_source.choice([2, 4, 8, 16, 32, 64])
    number = random_source.choice(
        [
            f"{abs(value):.{random_source.randrange(5)}f}",
            f"{abs(value):.2f}".replace(".", ","),
            f"{int(whole)} {int(rest * below)}/{below}",
            f"{int(whole)}-{int(rest * below)}/{below}",
            f"{int(whole)}½",
            f"{abs(value):.3e}",
            f"{abs(value):,.2f}",
        ]
    )
    band = random_source.choice(["", "", "", " +/- 1", " ± 0.5", " +1/-2"])
    text = f"{sign}{number}{random_source.choice(['', ' ', chr(0xA0)])}{band}{unit}"
    for _ in range(random_source.choice([0, 0, 1, 1, 2])):
        at = random_source.randrange(len(text) + 1)
        text = text[:at] + random_source.choice(["", *LETTERS]) + text[at + random_source.randrange(2) :]
    return text


SPACES = re.compile("[\u00a0\u2009]")
PLAIN = {"½": " 1/2 ", "¼": " 1/4 ", "′": "'", "″": '"', "−": "-", "''": '"'}


def independent_mm(text, default):
    """(value, uncertainty) in mm of a text that has a plain reading, else None; knows no grammar."""
    for strange, plain in PLAIN.items():
        text = text.replace(strange, plain)
    text = re.sub("[+] */ *-|[+]-", "±", SPACES.sub(" ", text)).strip(" ")
    parts = [part.strip(" ") for part in text.split("±")]
    units = [trailing_unit(part) for part in parts]
    fallback = next((unit for unit in units if unit), default)
    if len(parts) > 2:
        return None
    sizes = [one_size(part, unit, fallback) for part, unit in zip(parts, units, strict=True)]
    if None in sizes or (len(sizes) == 2 and sizes[1] < 0):
        return None
    return (float(sizes[0]), float(sizes[1]) if len(sizes) == 2 else 0.0)


def trailing_unit(part):
    by_length = sorted(ALL_UNITS, key=len, reverse=True)
    return next((unit for unit in by_length if part.lower().endswith(unit)), "")


ALL_UNITS = {**PER_UNIT, "feet": PER_UNIT["ft"], "foot": PER_UNIT["ft"], "inches": PER_UNIT["in"]}
ALL_UNITS |= {"in.": PER_UNIT["in"], "ft.": PER_UNIT["ft"]}


def one_size(part, unit, fallback):
    number = part[: len(part) - len(unit)].strip(" ")
    if unit in ("in", "in.", "inch", "inches", '"'):
        for foot in ("'", "ft.", "ft"):
            if foot in number:
                feet, _, inches = number.partition(foot)
                sign = -1 if feet.startswith("-") else 1
                rest = plain_number(inches.strip(" ").removeprefix("-").strip(" "))
                whole = plain_number(feet.strip(" ").removeprefix("-").removeprefix("+").strip(" "))
                if rest is None or whole is None or not 0 <= rest < 12:
                    return None
                return sign * (12 * whole + rest) * PER_UNIT["in"]
    value = plain_number(number)
    return None if value is None or not (unit or fallback) else value * ALL_UNITS[unit or fallback]


def plain_number(number):
    """A fraction, a mixed one or a decimal, by Python's own means."""
    sign = -1 if number.startswith("-") else 1
    number = number.removeprefix("-").removeprefix("+").strip(" ")
    if not number or number[0] in "+-":
        return None
    try:
        if "/" in number:
            *whole, ratio = re.sub(r" */ *", "/", number).replace("-", " ").split()
            above, below = ratio.split("/")
            if len(whole) > 1 or any(not part.isdigit() for part in (*whole, above, below)):
                return None
            return sign * (Fraction(int(above), int(below)) + sum(int(part) for part in whole))
        return sign * Fraction(decimal_text(number))
    except (ValueError, ZeroDivisionError):
        return None


def decimal_text(number):
    """The last of points and commas is the decimal one when both occur or there is one."""
    last = max(number.rfind("."), number.rfind(","))
    marks = {mark for mark in number if mark in ".,"}
    count = sum(number.count(mark) for mark in marks)
    if count > 1 and len(marks) == 1:
        return number.replace(marks.pop(), "")
    if count:
        return re.sub("[.,]", "", number[:last]) + "." + number[last + 1 :]
    return number


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_changed_values_are_read_right_or_refused(tmp_path, chunk):
    source, path, read = random.Random(2_000 + chunk), tmp_path / "s.toml", 0
    for _ in range(VALUES):
        text = source.choice(TEXTS)
        default = tomllib.loads(text)["units"]
        path.write_bytes(text.encode())
        before = read_survey(path, CATALOGUE)
        key = source.choice([key for key in PLACES if re.search(rf"^{key} = ", text, re.MULTILINE)])
        value = written(source, float(PLACES[key](before)))
        quoted = '"' + value.replace('"', '\\"') + '"'
        start, end = re.search(rf"^{key} = (.*)$", text, re.MULTILINE).span(1)
        changed = text[:start] + quoted + text[end:]
        survey = read_spoilt(path, changed.encode())
        if survey is None:
            continue
        read += 1
        expected = independent_mm(value, default)
        assert expected is not None, value
        got = PLACES[key](survey)
        assert math.isclose(got, expected[0], rel_tol=1e-12, abs_tol=1e-12), (value, got, expected)
        assert math.isclose(getattr(got, "plus_minus", 0.0), expected[1], rel_tol=1e-12), (value, expected)
        assert unchanged(before, survey) <= {key}
    assert read > VALUES // 10


def unchanged(before, after):
    """The keys of PLACES whose values differ."""
    return {key for key, place in PLACES.items() if float(place(before)) != float(place(after))}


def test_the_run_is_as_long_as_it_claims():
    assert CHUNKS * (BYTES + TOKENS + VALUES) >= 200_000
