"""Where units exist: text to numbers on the way in, numbers to text on the way out.

Inside mountgen a length is a float in mm, a speed in mm/s, an angle in degrees. People write
`2 1/4 in`, `5'-3 1/2"`, `3,2 mm`, `850 +/- 5 mm`; this module has its own exact grammar (fractions, never
floats) for that and asks pint for the conversion factors only.

Words: a *quantity* is a number with or without a unit; a *measured* value is a float that remembers how
far it may be off. What could be read in two ways is refused with both readings, never guessed.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Literal, Self

if TYPE_CHECKING:
    from pint import UnitRegistry

System = Literal["mm", "in"]

LONGEST = 1_000_000
"""mm; no length of a packing line is longer."""
FASTEST = 100_000
"""mm/s; no conveyor is faster."""
LONGEST_TEXT = 60
"""Characters; no length takes more to write."""

LENGTH_UNITS = {
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "in": "inch",
    "in.": "inch",
    "inch": "inch",
    "inches": "inch",
    '"': "inch",
    "ft": "foot",
    "ft.": "foot",
    "foot": "foot",
    "feet": "foot",
    "'": "foot",
}
SPEED_UNITS = {
    "m/min": "m/min",
    "m/s": "m/s",
    "cm/s": "cm/s",
    "mm/s": "mm/s",
    "mm/min": "mm/min",
    "ft/min": "foot/min",
    "fpm": "foot/min",
    "ft/s": "foot/s",
    "in/s": "inch/s",
    "in/min": "inch/min",
}
ANGLE_UNITS = {"deg": "deg", "°": "deg"}
_CAPITALS_COUNT = frozenset({"mm", "cm", "m", "m/min", "m/s", "cm/s", "mm/s", "mm/min"})
_ANY_CASE = frozenset((*LENGTH_UNITS, *SPEED_UNITS, *ANGLE_UNITS)) - _CAPITALS_COUNT
"""Units that may be written in capitals; in metric ones a capital changes the prefix."""

_LENGTH_EXPECTED = "a length such as 850 mm, 3,2 mm, 2 1/4 in or 850 +/- 5 mm (units: mm, cm, m, in, ft)"
_SPEED_EXPECTED = "a speed with its unit, such as 30 m/min, 0.5 m/s or 100 ft/min"
_ANGLE_EXPECTED = "an angle in degrees, such as 1.5 or 1.5 deg"

_NUMBER = r"(?:[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,2})?"
_RATIO = r"(?:[0-9]+(?: |- ?))?[0-9]+ ?/ ?[0-9]+"
_QUANTITY = re.compile(
    rf"(?P<sign>[+−-]?) ?(?P<number>{_RATIO}|{_NUMBER}) ?(?P<unit>[a-zA-Z°'\"][^0-9,+-]*)?"
)
_FEET_INCHES = re.compile(
    rf"(?P<sign>[+−-]?) ?(?P<feet>[0-9]+) ?(?:'|ft\.?|foot|feet) ?-? ?"
    rf"(?P<inches>{_RATIO}|{_NUMBER}) ?(?:\"|in\.?|inch|inches)",
    re.IGNORECASE,
)
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?:[.,][0-9]{3})+")
MINUS = ("-", "−")
"""Either may stand before a number; only the first, a hyphen, may join 2-1/4."""
_SAME = str.maketrans("–’‘′‛“”″⁄\u00a0\u202f\u2009\t", "−''''\"\"\"/    ")


class UnitError(ValueError):
    """Text that is no length, speed or angle: what was `found`, what is `expected`, what to do."""

    def __init__(self, found: str, expected: str, action: str = "write it like that") -> None:
        self.found = found
        self.expected = expected
        self.action = action
        super().__init__(f"{found}; expected {expected}; {action}")


class Measured(float):
    """A value with its uncertainty: half the width of the band it lies in, in the same unit."""

    plus_minus: float

    def __new__(cls, value: float, plus_minus: float = 0.0) -> Self:
        made = super().__new__(cls, value)
        made.plus_minus = plus_minus
        return made

    def __reduce__(self) -> tuple[type[Measured], tuple[float, float]]:
        return (Measured, (float(self), self.plus_minus))


@dataclass(frozen=True)
class _Kind:
    """One kind of quantity: its units, the unit it is kept in, and the largest size that makes sense."""

    units: dict[str, str]
    kept_in: str
    largest: int
    expected: str


_LENGTH = _Kind(LENGTH_UNITS, "mm", LONGEST, _LENGTH_EXPECTED)
_SPEED = _Kind(SPEED_UNITS, "mm/s", FASTEST, _SPEED_EXPECTED)
_ANGLE = _Kind(ANGLE_UNITS, "deg", 360, _ANGLE_EXPECTED)


@dataclass(frozen=True)
class _Quantity:
    """A signed exact number and the unit written behind it, '' for none."""

    value: Fraction
    unit: str


def read_length(text: str | float, default: System | None, *, negative: bool = False) -> Measured:
    """A length in mm with its uncertainty.

    A bare number is in `default`, or an error that asks for a unit. A value below zero, or one that its
    own uncertainty takes below zero, is refused unless `negative`. Raises UnitError.
    """
    if isinstance(text, str):
        value, plus_minus = _read_band(text, default)
    else:
        value, plus_minus = _in_kept_unit(_bare(text, _LENGTH), _LENGTH, default, text), Fraction(0)
    _refuse_absurd(max(abs(value), plus_minus), _LENGTH, text)
    if not negative and value - plus_minus < 0:
        raise UnitError(f"{quoted(text)}, which is or may be below zero", "a length that is not negative")
    return Measured(float(value), float(plus_minus))


def read_speed(text: str | float) -> float:
    """A speed in mm/s, from text that carries its unit. Raises UnitError."""
    quantity = _read_quantity(text, _SPEED) if isinstance(text, str) else _bare(text, _SPEED)
    value = _in_kept_unit(quantity, _SPEED, None, text)
    _refuse_absurd(value, _SPEED, text)
    if value < 0:
        raise UnitError(f"{quoted(text)}, which is below zero", "a speed that is not negative")
    return float(value)


def read_angle(text: str | float, *, negative: bool = False) -> float:
    """An angle in degrees; a bare number is in degrees. Raises UnitError."""
    quantity = _read_quantity(text, _ANGLE) if isinstance(text, str) else _bare(text, _ANGLE)
    value = _in_kept_unit(quantity, _ANGLE, "deg", text)
    _refuse_absurd(value, _ANGLE, text)
    if value < 0 and not negative:
        raise UnitError(f"{quoted(text)}, which is below zero", "an angle that is not negative")
    return float(value)


def format_length(mm: float, units: System, decimals: int = 1) -> str:
    """A length for people: '57.2 mm', or inches to the nearest 1/64: '2 1/4 in'.

    `decimals` counts for mm; inches get two more. Inches that are no whole number of 64ths at that
    precision show their decimals behind: '2 1/4 in (2.252)'.
    """
    if units == "mm":
        return f"{_rounded(mm, decimals)} mm"
    inches = mm / float(_factor("inch", "mm"))
    sixty_fourths = round(inches * 64)
    shown = f"{_mixed(sixty_fourths)} in"
    exact = abs(inches - sixty_fourths / 64) < 0.5 * 10.0 ** -(decimals + 2)
    return shown if exact else f"{shown} ({_rounded(inches, decimals + 2)})"


def format_speed(mm_per_s: float, units: System, decimals: int = 1) -> str:
    """A speed for people: '30.0 m/min' or '98.4 ft/min'."""
    if units == "mm":
        return f"{_rounded(mm_per_s / float(_factor('m/min', 'mm/s')), decimals)} m/min"
    return f"{_rounded(mm_per_s / float(_factor('foot/min', 'mm/s')), decimals)} ft/min"


def _rounded(value: float, decimals: int) -> str:
    """Fixed decimals, halves of the written number away from zero, and never a minus before a zero."""
    step = Decimal(1).scaleb(-decimals)
    rounded = Decimal(repr(float(value))).quantize(step, ROUND_HALF_UP)
    return f"{abs(rounded) if rounded == 0 else rounded}"


def _mixed(sixty_fourths: int) -> str:
    """A number of 64ths as a mixed fraction: 144 is '2 1/4'."""
    sign = "-" if sixty_fourths < 0 else ""
    whole, rest = divmod(abs(sixty_fourths), 64)
    if rest == 0:
        return f"{sign}{whole}"
    fraction = Fraction(rest, 64)
    return f"{sign}{whole} {fraction}" if whole else f"{sign}{fraction}"


@cache
def _registry() -> UnitRegistry[Fraction]:
    """A small exact pint registry of our own units.

    International yard and pound agreement of 1959 (NIST SP 811, appendix B): 1 in is 25.4 mm exactly.
    """
    import pint  # late: what needs no conversion does not pay for it

    registry: UnitRegistry[Fraction] = pint.UnitRegistry(None, non_int_type=Fraction)
    for definition in (
        "mm = [length]",
        "cm = 10 * mm",
        "m = 1000 * mm",
        "inch = 25.4 * mm",
        "foot = 12 * inch",
        "s = [time]",
        "min = 60 * s",
        "deg = []",
    ):
        registry.define(definition)
    return registry


@cache
def _factor(unit: str, kept_in: str) -> Fraction:
    return Fraction(_registry().convert(Fraction(1), unit, kept_in))


def _read_band(text: str, default: System | None) -> tuple[Fraction, Fraction]:
    """Value and uncertainty in mm; a unit on one side of +/- serves for both."""
    parts = _tidy(text, _LENGTH).split("±")
    if len(parts) > 2:
        raise UnitError(f"{quoted(text)}, with more than one +/-", _LENGTH.expected)
    quantities = [_parse(part.strip(), _LENGTH, text) for part in parts]
    written = [quantity.unit for quantity in quantities if quantity.unit]
    fallback = written[0] if written else default
    values = [_in_kept_unit(quantity, _LENGTH, fallback, text) for quantity in quantities]
    plus_minus = values[1] if len(values) == 2 else Fraction(0)
    if plus_minus < 0:
        raise UnitError(f"{quoted(text)}, with an uncertainty below zero", _LENGTH.expected)
    return values[0], plus_minus


def _read_quantity(text: str, kind: _Kind) -> _Quantity:
    tidy = _tidy(text, kind)
    if "±" in tidy:
        raise UnitError(f"{quoted(text)}, with +/-", kind.expected, "leave the +/- out")
    return _parse(tidy, kind, text)


def _bare(number: float, kind: _Kind) -> _Quantity:
    """A number that stood in the file without quotes."""
    if isinstance(number, bool) or not isinstance(number, int | float):
        raise UnitError(quoted(number), kind.expected)
    if isinstance(number, float) and not math.isfinite(number):
        raise UnitError(f"{number}, which is no size", kind.expected)
    return _Quantity(Fraction(repr(number)) if isinstance(number, float) else Fraction(number), "")


def _in_kept_unit(quantity: _Quantity, kind: _Kind, fallback: str | None, text: object) -> Fraction:
    unit = quantity.unit or fallback
    if unit is None:
        raise UnitError(f"{quoted(text)} without a unit", kind.expected, "add the unit")
    return quantity.value * _factor(kind.units[unit], kind.kept_in)


def _refuse_absurd(value: Fraction, kind: _Kind, text: object) -> None:
    if abs(value) > kind.largest:
        raise UnitError(
            f"{quoted(text)}, which is absurdly large",
            f"at most {kind.largest} {kind.kept_in}",
            "check the number and its unit",
        )


def _tidy(text: str, kind: _Kind) -> str:
    """One spelling for every dash, quote, space, +/- and vulgar fraction."""
    if not text.strip():
        raise UnitError("an empty text", kind.expected)
    if len(text) > LONGEST_TEXT:
        raise UnitError(f"a text of {len(text)} characters", kind.expected)
    spread = "".join(_spread_fraction(letter) for letter in text.translate(_SAME))
    spread = re.sub(r"\+ ?/ ?[−-]|\+[−-]", "±", spread.replace("''", '"'))
    return re.sub(r" +", " ", spread).strip()


def _spread_fraction(letter: str) -> str:
    """'½' as ' 1/2 ', anything else as it is."""
    decomposed = unicodedata.decomposition(letter)
    if not decomposed.startswith("<fraction>"):
        return letter
    return f" {unicodedata.normalize('NFKC', letter).replace('⁄', '/')} "


def _parse(part: str, kind: _Kind, text: str) -> _Quantity:
    both = _FEET_INCHES.fullmatch(part)
    if both and kind is _LENGTH:
        return _feet_and_inches(both, text)
    match = _QUANTITY.fullmatch(part)
    if match is None:
        raise UnitError(quoted(text), kind.expected)
    value = _number(match["number"], kind, text)
    return _Quantity(-value if match["sign"] in MINUS else value, _unit(match["unit"] or "", kind, text))


def _feet_and_inches(match: re.Match[str], text: str) -> _Quantity:
    inches = _number(match["inches"], _LENGTH, text)
    if inches >= 12:
        raise UnitError(f"{quoted(text)}, with 12 inches or more behind the feet", _LENGTH.expected)
    total = 12 * int(match["feet"]) + inches
    return _Quantity(-total if match["sign"] in MINUS else total, "in")


def _unit(written: str, kind: _Kind, text: str) -> str:
    """The unit as the tables spell it; capitals count in metric units (M is mega, never milli)."""
    name = re.sub(r" ?/ ?", "/", written.strip())
    if not name or name in kind.units:
        return name
    low = name.lower()
    if low in _ANY_CASE and low in kind.units:
        return low
    action = f"write the unit as '{low}'" if low in kind.units else "write one number and one such unit"
    raise UnitError(f"{quoted(text)}, with the unit {quoted(name)}", kind.expected, action)


def _number(written: str, kind: _Kind, text: str) -> Fraction:
    """The exact value of '2 1/4', '2-1/4', '1/8', '3.2', '3,2', '1.299,99' or '1e3'."""
    if "/" not in written:
        return _decimal(written, kind, text)
    *whole, ratio = re.split(r"[ -]+(?=[0-9]+ ?/)", written)
    above, below = (int(digits) for digits in ratio.split("/"))
    if below == 0:
        raise UnitError(f"{quoted(text)}, which divides by zero", kind.expected)
    if whole and above >= below:
        raise UnitError(
            f"{quoted(text)}, with {above}/{below} behind a whole number",
            "a fraction below one behind a whole number, such as 2 1/4",
        )
    return Fraction(above, below) + (int(whole[0]) if whole else 0)


def _decimal(written: str, kind: _Kind, text: str) -> Fraction:
    """A decimal number; the last separator is the decimal one, unless it may separate thousands."""
    digits, _, exponent = written.lower().partition("e")
    marks = [mark for mark in digits if mark in ",."]
    if marks == [","] and _GROUPED.fullmatch(digits):
        small, large = digits.replace(",", "."), digits.replace(",", "")
        raise UnitError(
            f"{quoted(text)}, which can be read as {float(small):g} or as {large}",
            "a number that can be read in one way",
            f"write {float(small):g} or {large}",
        )
    plain = _without_thousands(digits, marks)
    if plain is None:
        raise UnitError(f"{quoted(text)}, with mixed-up commas and points", kind.expected)
    return Fraction(plain) * Fraction(10) ** int(exponent or 0)


def _without_thousands(digits: str, marks: list[str]) -> str | None:
    """Digits with a decimal point at most; None when the separators make no sense."""
    if len(marks) <= 1:
        return digits.replace(",", ".")
    if len(set(marks)) == 1:
        return re.sub("[,.]", "", digits) if _GROUPED.fullmatch(digits) else None
    whole, _, rest = digits.rpartition(marks[-1])
    if marks[-1] in whole or not _GROUPED.fullmatch(whole):
        return None
    return re.sub("[,.]", "", whole) + "." + rest


def quoted(value: object) -> str:
    """A value as it was written, on one line and cut to a readable length, for an error."""
    text = "".join(letter if letter.isprintable() else repr(letter)[1:-1] for letter in str(value))
    shown = f"'{text}'" if isinstance(value, str) else text
    return shown if len(shown) <= LONGEST_TEXT + 2 else shown[:LONGEST_TEXT] + "..."
