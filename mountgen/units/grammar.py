"""What a person may write for a quantity: numbers, fractions, feet and inches, a unit, a band.

Everything is read into exact fractions. The grammar takes no unit that its kind does not list.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from mountgen.units.errors import LONGEST_TEXT, UnitError, quoted
from mountgen.units.kinds import Kind, Pair

_NUMBER = r"(?:[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,2})?"
_RATIO = r"(?:[0-9]+(?: |- ?))?[0-9]+ ?/ ?[0-9]+"
_UNIT = r"[a-zA-Zµ°'\"](?:[^0-9,+-]|(?<=[a-zA-Z])-(?=[a-zA-Z]))*"
_QUANTITY = re.compile(rf"(?P<sign>[+−-]?) ?(?P<number>{_RATIO}|{_NUMBER}) ?(?P<unit>{_UNIT})?")
_UNEVEN = re.compile(
    rf"(?P<middle>.+?) ?\(? ?(?P<first>[+−-]) ?(?P<one>{_NUMBER}) ?(?P<unit>[a-zA-Z\"]*) ?[/,;]? ?"
    rf"(?P<second>[+−-]) ?(?P<two>{_NUMBER}) ?\)? ?(?P<last>[a-zA-Z\"]*) ?\)?"
)
_THREAD = re.compile(r"(?:[mM] ?[0-9]+|#[0-9]+ ?- ?[0-9]+|[0-9]+ ?/ ?[0-9]+ ?\"? ?- ?[0-9]+)(?:[ xX×].*)?")
_SEVERAL = re.compile(r".*[0-9a-zA-Z'\"] ?[×xX*] ?[.,]?[0-9].*")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?:[.,][0-9]{3})+")
MINUS = ("-", "−")
"""Either may stand before a number; only the first, a hyphen, may join 2-1/4."""
_SAME = str.maketrans("–’‘′‛´ʹ“”″ʺ⁄∕μ⋅∙\t", "−''''''\"\"\"\"//µ·· ")


@dataclass(frozen=True)
class Quantity:
    """A signed exact number and the unit written behind it, '' for none."""

    value: Fraction
    unit: str


def read_parts(text: str, kind: Kind) -> list[Quantity]:
    """The quantity that `text` holds, and behind it that of its +/-, if there is one. Raises UnitError."""
    parts = _tidy(text, kind).split("±")
    if len(parts) > 1 and not kind.takes_band:
        raise UnitError(f"{quoted(text)}, with +/-", kind.expected, "leave the +/- out")
    if len(parts) > 2:
        raise UnitError(f"{quoted(text)}, with more than one +/-", kind.expected)
    return [_parse(part.strip(" "), kind, text) for part in parts]


def _tidy(text: str, kind: Kind) -> str:
    """One spelling for every dash, quote, space, +/-, square and vulgar fraction."""
    if not text.strip():
        raise UnitError("an empty text", kind.expected)
    if len(text) > LONGEST_TEXT:
        raise UnitError(f"a text of {len(text)} characters", kind.expected)
    spread = "".join(_plain(letter) for letter in text.translate(_SAME))
    spread = re.sub(r"\+ ?/ ?[−-]|\+[−-]", "±", spread.replace("''", '"'))
    spread = re.sub(r"(?<=/)( ?s)\^?2(?= *$)", r"\1²", spread)
    return re.sub(r" +", " ", spread).strip(" ")


def _plain(letter: str) -> str:
    """'½' as ' 1/2 ', any kind of space as ' ', anything else as it is."""
    if unicodedata.category(letter) == "Zs":
        return " "
    if not unicodedata.decomposition(letter).startswith("<fraction>"):
        return letter
    return f" {unicodedata.normalize('NFKC', letter).replace('⁄', '/')} "


def _parse(part: str, kind: Kind, text: str) -> Quantity:
    both = _pair_pattern(kind.pair).fullmatch(part) if kind.pair else None
    if both and kind.pair:
        return _large_and_small(both, kind, kind.pair, text)
    match = _QUANTITY.fullmatch(part)
    if match is None:
        raise _misread(part, kind, text)
    value = _number(match["number"], kind, text)
    return Quantity(-value if match["sign"] in MINUS else value, _unit(match["unit"] or "", kind, text))


@cache
def _pair_pattern(pair: Pair) -> re.Pattern[str]:
    large, small = ("|".join(re.escape(name) for name in names) for names in (pair.large, pair.small))
    return re.compile(
        rf"(?P<sign>[+−-]?) ?(?P<large>[0-9]+) ?(?:{large}) ?-? ?(?P<small>{_RATIO}|{_NUMBER}) ?(?:{small})",
        re.IGNORECASE,
    )


def _large_and_small(match: re.Match[str], kind: Kind, pair: Pair, text: str) -> Quantity:
    """Feet and inches, pounds and ounces, as a number of the smaller unit."""
    small, large = pair.small[-1], pair.large[-1]
    rest = _number(match["small"], kind, text)
    if rest >= pair.count:
        raise UnitError(
            f"{quoted(text)}, with {pair.count} {small} or more behind the {large}", kind.expected
        )
    total = pair.count * int(match["large"]) + rest
    return Quantity(-total if match["sign"] in MINUS else total, small)


def _misread(part: str, kind: Kind, text: str) -> UnitError:
    """Says what the text seems to be, where that helps to mend it."""
    uneven = _UNEVEN.fullmatch(part)
    if uneven and kind.takes_band and uneven["first"] != uneven["second"]:
        action = _even_band(uneven, kind, text)
        return UnitError(f"{quoted(text)}, with two different tolerances", "an even band, +/-", action)
    if _THREAD.fullmatch(part):
        return UnitError(f"{quoted(text)}, which is a thread, not a {kind.name}", kind.expected)
    if _SEVERAL.fullmatch(part):
        action = "write each one on its own, such as [80, 12]"
        return UnitError(f"{quoted(text)}, which is more than one {kind.name}", kind.expected, action)
    return UnitError(quoted(text), kind.expected)


def _even_band(match: re.Match[str], kind: Kind, text: str) -> str:
    """'100 +1/-2 mm' covers 98 to 101: '99.5 +/- 1.5 mm'."""
    middle = _QUANTITY.fullmatch(match["middle"])
    written = [match["last"], match["unit"], (middle["unit"] or "").strip() if middle else ""]
    units = {unit for unit in written if unit}
    if middle is None or len(units) > 1:
        return "write the middle of the band +/- half its width"
    nominal = _number(middle["number"], kind, text) * (-1 if middle["sign"] in MINUS else 1)
    sides = [
        _number(match[size], kind, text) * (1 if match[sign] == "+" else -1)
        for sign, size in (("first", "one"), ("second", "two"))
    ]
    centre, half = nominal + sum(sides) / 2, abs(sides[0] - sides[1]) / 2
    return f"write {float(centre):g} +/- {float(half):g} {''.join(units)}".rstrip()


def _unit(written: str, kind: Kind, text: str) -> str:
    """The unit's name, if it is one of this kind."""
    name = re.sub(r" ?/ ?", "/", written.strip(" "))
    product = re.sub(r" ?[·*-] ?| ", "·", name)
    if not name or kind.unit(name):
        return name
    if kind.unit(product):
        return product
    symbol = kind.respelt(name) or kind.respelt(product)
    action = f"write the unit as '{symbol}'" if symbol else "write one number and one such unit"
    raise UnitError(f"{quoted(text)}, with the unit {quoted(name)}", kind.expected, action)


def _number(written: str, kind: Kind, text: str) -> Fraction:
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


def _decimal(written: str, kind: Kind, text: str) -> Fraction:
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
