"""Designations of screw threads: many spellings, one name."""

from __future__ import annotations

import re
from fractions import Fraction

from mountgen.units.errors import LONGEST_TEXT, UnitError, quoted

COARSE_PITCH = {
    **{"M2": "0.4", "M2.5": "0.45", "M3": "0.5", "M4": "0.7", "M5": "0.8", "M6": "1"},
    **{"M8": "1.25", "M10": "1.5", "M12": "1.75", "M16": "2", "M20": "2.5"},
}
"""mm. ISO 261, coarse series."""
UNIFIED = {
    **{"#4": (40, 48), "#6": (32, 40), "#8": (32, 36), "#10": (24, 32), "1/4": (20, 28)},
    **{"5/16": (18, 24), "3/8": (16, 24), "1/2": (13, 20), "5/8": (11, 18), "3/4": (10, 16)},
}
"""Threads an inch, coarse (UNC) and fine (UNF). ASME B1.1."""
_METRIC = re.compile(
    r"m ?(?P<size>[0-9]{1,2}(?:[.,][0-9])?)(?: ?[x×*] ?(?P<pitch>[0-9](?:[.,][0-9]{1,2})?))?"
)
_INCH = re.compile(
    r"(?:(?:#|no\.? ?)(?P<number>[0-9]{1,2})|(?P<size>[0-9] ?/ ?[0-9]{1,2}) ?[\"″”]?) ?- ?"
    r"(?P<count>[0-9]{1,2}) ?(?P<series>unc|unf)?"
)
_EXPECTED = "a thread such as M6, M8x1, 1/4-20 or #10-24"


def read_thread(text: str) -> str:
    """The thread's one name: 'M6' for 'm6' or 'M6 x 1.0', 'M8x1' (fine), '1/4-20' for '1/4"-20 UNC'.

    Sizes: ISO 261 M2 to M20; ASME B1.1 #4 to 3/4 in, coarse and fine. Raises UnitError.
    """
    if len(text) > LONGEST_TEXT:
        raise UnitError(f"a text of {len(text)} characters", _EXPECTED)
    tidy = " ".join(text.split()).lower()
    if metric := _METRIC.fullmatch(tidy):
        return _metric(metric, text)
    if inch := _INCH.fullmatch(tidy):
        return _inch(inch, text)
    raise UnitError(quoted(text), _EXPECTED)


def _metric(match: re.Match[str], text: str) -> str:
    name = f"M{match['size'].replace(',', '.')}"
    coarse = COARSE_PITCH.get(name)
    if coarse is None:
        raise UnitError(f"{quoted(text)}, which is no size of ISO 261", "one of " + ", ".join(COARSE_PITCH))
    pitch = Fraction((match["pitch"] or coarse).replace(",", "."))
    if not 0 < pitch <= Fraction(coarse):
        raise UnitError(
            f"{quoted(text)}, with a pitch that {name} does not have", f"{name} or {name}x{coarse}"
        )
    return name if pitch == Fraction(coarse) else f"{name}x{float(pitch):g}"


def _inch(match: re.Match[str], text: str) -> str:
    size = f"#{match['number']}" if match["number"] else match["size"].replace(" ", "")
    series = dict(zip(("unc", "unf"), UNIFIED.get(size, ()), strict=False))
    if not series:
        raise UnitError(f"{quoted(text)}, which is no size of ASME B1.1", "one of " + ", ".join(UNIFIED))
    count = int(match["count"])
    fitting = {match["series"]: series[match["series"]]} if match["series"] else series
    if count not in fitting.values():
        names = " or ".join(f"{size}-{threads}" for threads in fitting.values())
        raise UnitError(f"{quoted(text)}, with a number of threads that it does not have", names)
    return f"{size}-{count}"
