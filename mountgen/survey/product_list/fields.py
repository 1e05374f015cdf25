"""The fields a list may have: how a header names them, in which unit, and what range is plausible.

A header is compared without regard to capitals, spaces, underscores and hyphens. It may end in a unit:
'Länge (mm)', 'length_in', 'Width [cm]', 'Breite in mm'.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import Literal

from mountgen.units import ANGLE, LENGTH, MASS
from mountgen.units import Kind as Quantity

Kind = Literal["name", "length", "angle", "mass", "choice"]


@dataclass(frozen=True)
class ListField:
    """One field: `words` are the headers it goes by besides its own name; numbers lie in low..high."""

    name: str
    kind: Kind
    low: float = 0.0
    high: float = 0.0
    words: tuple[str, ...] = ()
    choices: Mapping[str, str] = field(default_factory=dict)


_LONGEST_SIDE = 3_000.0
"""mm; no product of a packing line is longer."""
_NAME_WORDS = (
    "article", "article name", "article no", "article number", "item", "product", "product name", "sku",
    "artikel", "artikelname", "artikelnr", "artikelnummer", "artikel nr", "bezeichnung", "produkt",
)  # fmt: skip
_AGAINST = {"near": "near", "far": "far", "centre": "centre", "center": "centre"}
_FACES = {"near side": "near_side", "top": "top"}

FIELDS = {
    item.name: item
    for item in (
        ListField("name", "name", words=_NAME_WORDS),
        ListField("length", "length", 0.1, _LONGEST_SIDE, ("l", "länge", "laenge")),
        ListField("width", "length", 0.1, _LONGEST_SIDE, ("w", "b", "breadth", "breite")),
        ListField("height", "length", 0.1, _LONGEST_SIDE, ("h", "höhe", "hoehe")),
        ListField("gap", "length", 0.0, 10_000.0, ("spacing", "abstand")),
        ListField("against", "choice", choices=_AGAINST),
        ListField("near_side_at", "length", -500.0, _LONGEST_SIDE),
        ListField("face", "choice", choices=_FACES),
        ListField("code_along", "length", 0.1, _LONGEST_SIDE),
        ListField("code_across", "length", 0.1, _LONGEST_SIDE),
        ListField("from_leading", "length", 0.0, 10_000.0),
        ListField("above_base", "length", 0.0, 10_000.0),
        ListField("below_top", "length", 0.0, 10_000.0),
        ListField("from_near", "length", 0.0, 10_000.0),
        ListField("bulge", "length", 0.0, 50.0),
        ListField("skew_deg", "angle", 0.0, 45.0, ("skew",)),
        ListField("mass", "mass", 0.001, 500.0, ("weight", "masse", "gewicht")),
    )
}
QUANTITIES: Mapping[str, Quantity] = MappingProxyType({"length": LENGTH, "angle": ANGLE, "mass": MASS})
"""The kinds of fields that hold numbers."""
REQUIRED = ("name", "length", "width", "height")
SIZES = ("length", "width", "height")

_MORE_WORDS = {
    **dict.fromkeys(("millimeter", "millimetre", "millimeters", "millimetres"), "mm"),
    **dict.fromkeys(("centimeter", "centimetre", "zentimeter"), "cm"),
    "zoll": "in",
    "degrees": "deg",
    "grad": "deg",
    **dict.fromkeys(("kilogram", "kilogramm"), "kg"),
    **dict.fromkeys(("gram", "gramm"), "g"),
}
FOREIGN_UNITS = frozenset({"dm", "µm", "μm", "um", "km", "yd", "mil", "thou", "pt", "px", "twip"})
"""Units of length that a list may have and this reader does not know: never to be taken for none."""
_IN_BRACKETS = re.compile(r"(?P<base>.*?)\s*[(\[<{]\s*(?:in\s+)?(?P<unit>[^()\[\]<>{}]+?)\s*[)\]>}]")
_BEHIND = re.compile(r"(?P<base>.+?)[\s_,/.:-]+(?:in[\s_]+)?(?P<unit>[^\s_,/:-]+)")


def plain_header(text: str) -> str:
    """A header without capitals and with one spelling of spaces, underscores and hyphens."""
    composed = unicodedata.normalize("NFC", text).casefold()
    return re.sub(r"[\s_-]+", " ", composed).strip(" :*.")


def split_header(text: str) -> tuple[str, str | None]:
    """The words of a header and what may be its unit: ('länge', 'mm'); the unit is not looked up yet."""
    tidy = unicodedata.normalize("NFC", text).casefold().strip(" :*\t\r\n")
    match = _IN_BRACKETS.fullmatch(tidy) or _BEHIND.fullmatch(tidy)
    return (plain_header(match["base"]), match["unit"]) if match else (plain_header(tidy), None)


def unit_word(text: str, kind: Kind) -> str | None:
    """The unit that a word of a header stands for, in any case; None when it is no unit of this kind."""
    word = text.casefold().strip()
    return QUANTITIES[kind].unit(_MORE_WORDS.get(word, word)) if kind in QUANTITIES else None


def recognise(header: str) -> tuple[ListField, str | None] | None:
    """The field that a header names by itself, and its unit if it carries one."""
    whole = _by_word().get(plain_header(header))
    if whole:
        return whole, None
    base, written = split_header(header)
    found = _by_word().get(base)
    if found is None or written is None or found.kind not in QUANTITIES:
        return None
    unit = unit_word(written, found.kind)
    return (found, unit) if unit else None


@cache
def _by_word() -> dict[str, ListField]:
    return {plain_header(word): item for item in FIELDS.values() for word in (item.name, *item.words)}


@cache
def unit_ratio(unit: str) -> Fraction:
    """How many mm (or degrees, or kg) one `unit` is, exactly."""
    return next(kind.in_base(unit) for kind in QUANTITIES.values() if kind.unit(unit))
