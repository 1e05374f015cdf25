"""A measured spectrum from a text file: a header line, then frequency and density, one pair a line.

The header says the unit of the density: `frequency [Hz], density [g2/Hz]` or `f (Hz); (m/s2)2/Hz`. Columns
stand apart by a comma, a semicolon or a tab; behind one of the latter two a number may have a decimal comma.
Empty lines and lines that begin with # are passed over. Everything else that does not fit is a fault.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np

from mountgen.errors import Fault, SurveyError
from mountgen.files.text import FileKind, decoded, read_bytes
from mountgen.mechanics.vibration import Spectrum
from mountgen.units import quoted
from mountgen.units.kinds import ACCELERATION

SPECTRUM = FileKind("spectrum", 2_000_000, SurveyError)
"""A spectrum of a hundred thousand lines is longer than any analyser writes."""
MOST_FAULTS = 20
LARGEST = 1e9
"""Of either number; no accelerometer measures such."""
DELIMITERS = ("\t", ";", ",")
_NUMBER = re.compile(r"[0-9]+(?:[.][0-9]*)?(?:[eE][+-]?[0-9]{1,2})?|[.][0-9]+(?:[eE][+-]?[0-9]{1,2})?")
_DENSITIES = {"g2/hz": 1.0} | dict.fromkeys(
    ("(m/s2)2/hz", "(ms-2)2/hz", "m2/s4/hz", "m2/s3"), float(1 / ACCELERATION.in_base("g") * 1000) ** 2
)
"""Each density in g2/Hz, by its unit without spaces, capitals and superscripts."""
_EXPECTED_HEADER = "a header such as 'frequency [Hz], density [g2/Hz]' or '..., density [(m/s2)2/Hz]'"
_EXPECTED_ROW = "a frequency and a density, both plain numbers above zero and below 1e9"

Line = tuple[int, str]


def read_spectrum(path: Path) -> Spectrum:
    """The spectrum in `path`, in Hz and g2/Hz. Raises SurveyError with the faults found, by line."""
    text = decoded(path, read_bytes(path, SPECTRUM), SPECTRUM)
    lines = [(number, line) for number, line in enumerate(text.splitlines(), 1) if _holds(line)]
    if not lines:
        raise SurveyError([Fault(str(path), "the file is empty", _EXPECTED_HEADER, "write the spectrum")])
    delimiter, factor = _header(path, lines[0])
    faults: list[Fault] = []
    rows: list[tuple[int, float, float]] = []
    for line in lines[1:]:
        read = _row(path, line, delimiter)
        if isinstance(read, Fault):
            faults.append(read)
        else:
            rows.append(read)
    faults += _falling(path, rows)
    if not faults and len(rows) < 2:
        found = f"{len(rows)} rows below the header"
        faults.append(Fault(str(path), found, "at least two rows", "write the whole spectrum"))
    if faults:
        raise SurveyError(faults[:MOST_FAULTS])
    frequencies, densities = (np.array(column, np.float64) for column in list(zip(*rows, strict=True))[1:])
    return Spectrum(frequencies, densities * factor)


def _holds(line: str) -> bool:
    return bool(line.strip()) and not line.lstrip().startswith("#")


def _header(path: Path, line: Line) -> tuple[str, float]:
    """What stands between the columns, and g2/Hz in one unit of the density."""
    number, text = line
    delimiter = next((mark for mark in DELIMITERS if mark in text), None)
    cells = [_plain(cell) for cell in text.split(delimiter)] if delimiter else []
    units = [unit for unit in _DENSITIES if len(cells) == 2 and _names(cells[1], unit)]
    if len(units) != 1 or delimiter is None or "hz" not in cells[0] or "/" in cells[0]:
        fault = Fault(f"{path}:{number}", quoted(text.strip()), _EXPECTED_HEADER, "write such a first line")
        raise SurveyError([fault])
    return delimiter, _DENSITIES[units[0]]


def _plain(cell: str) -> str:
    """Without spaces, capitals and superscripts."""
    return re.sub(r"[\s^]", "", cell.translate(str.maketrans("²⁴³⁻", "243-")).lower())


def _names(cell: str, unit: str) -> bool:
    return re.search(rf"(?<![a-z0-9/]){re.escape(unit)}(?![a-z0-9/])", cell) is not None


def _row(path: Path, line: Line, delimiter: str) -> tuple[int, float, float] | Fault:
    number, text = line
    cells = [cell.strip() for cell in text.split(delimiter)]
    if delimiter != ",":
        cells = [cell.replace(",", ".", 1) for cell in cells]
    if len(cells) == 2 and all(_NUMBER.fullmatch(cell) for cell in cells):
        frequency, density = (float(cell) for cell in cells)
        if 0 < frequency < LARGEST and 0 < density < LARGEST:
            return number, frequency, density
    return Fault(f"{path}:{number}", quoted(text.strip()), _EXPECTED_ROW, "correct the line or take it out")


def _falling(path: Path, rows: list[tuple[int, float, float]]) -> Iterator[Fault]:
    for (_, before, _), (number, frequency, _) in pairwise(rows):
        if frequency <= before:
            found = f"{frequency:g} Hz behind {before:g} Hz"
            yield Fault(
                f"{path}:{number}", found, "frequencies that rise", "sort the lines, keep one of equals"
            )
