"""The text of a STEP file, written the same way every time (ISO 10303-21).

The kernel's own text differs from run to run in three places: the header holds the time; colour records
come in the order of memory addresses; and occurrence ids count on through the life of the process, which
moves line breaks too. It also loses the names of occurrences of one product that stand at the same place
in two groups. The geometry before the colours always comes in the same order, so only the header, the
occurrences and the colour records at the end are rewritten.

Words: an *entity* is one `#number = KEYWORD(...);`; the *styles* are the entities from the first colour
record to the end, with the properties of the solids (validation properties) that follow the colours.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import count
from types import MappingProxyType
from typing import Literal

from mountgen.errors import KernelError

Schema = Literal["AP214", "AP242"]
SCHEMAS: Mapping[Schema, str] = MappingProxyType(
    {
        "AP214": "AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }",
        "AP242": "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF { 1 0 10303 442 1 1 4 }",
    }
)
"""Names of the schemas as files state them (ISO 10303-214, ISO 10303-242)."""
_STYLE_ROOT = "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION"
_PROPERTY_ROOTS = ("SHAPE_DEFINITION_REPRESENTATION(", "PROPERTY_DEFINITION_REPRESENTATION(")
_ENTITY = re.compile(r"#(\d+) = (.*?);\n", re.DOTALL)
_REFERENCE = re.compile(r"#(\d+)")
_BREAK = re.compile(r"\n\s*")
_OCCURRENCE = re.compile(
    r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\(\s*'\d+'\s*,\s*'(?:[^']|'')*'\s*,\s*''\s*,"
    r"\s*(#\d+)\s*,\s*(#\d+)\s*,\s*\$\s*\)"
)
_STYLED = re.compile(r"STYLED_ITEM\('[^']*',\([^)]*\),\s*#(\d+)\)")
_FOREIGN = re.compile("[^\x20-\x7e]+")


@dataclass(frozen=True)
class StepHeader:
    """What the file says of itself; `time_stamp` is ISO 8601 and comes from outside: no clock is read."""

    file_name: str
    time_stamp: str
    schema: Schema
    description: str = "print-head mount"
    system: str = "mountgen"


def canonical(text: bytes, header: StepHeader, occurrences: Sequence[str] = ()) -> bytes:
    """The kernel's STEP file with this header, these names of occurrences (parents first, as in the
    tree) and repeatable ids and colour records; KernelError if the file has other occurrences."""
    whole = text.decode("latin-1")
    data_at = whole.index("DATA;\n")
    styles_at = _styles_start(whole)
    end_at = whole.rindex("ENDSEC;")
    body = _plain_strings(_named_occurrences(whole[data_at:styles_at], occurrences))
    styles = _ordered_styles(whole[styles_at:end_at])
    return (_header_text(header) + body + styles + whole[end_at:]).encode("ascii")


def encoded(text: str) -> str:
    """A string as Part 21 writes it: quotes and backslashes doubled, the rest of Unicode in hexadecimal.

    Source: ISO 10303-21, encoding of strings, control directives X2 and X4.
    """
    doubled = text.replace("\\", "\\\\").replace("'", "''")
    return _FOREIGN.sub(lambda match: _hexadecimal(match[0]), doubled)


def _hexadecimal(text: str) -> str:
    if max(text) <= "\uffff":
        return f"\\X2\\{''.join(f'{ord(c):04X}' for c in text)}\\X0\\"
    return f"\\X4\\{''.join(f'{ord(c):08X}' for c in text)}\\X0\\"


def _header_text(header: StepHeader) -> str:
    name, stamp = encoded(header.file_name), encoded(header.time_stamp)
    system = encoded(header.system)
    return (
        "ISO-10303-21;\nHEADER;\n"
        f"FILE_DESCRIPTION(('{encoded(header.description)}'),'2;1');\n"
        f"FILE_NAME('{name}','{stamp}',(''),(''),'Open CASCADE','{system}','');\n"
        f"FILE_SCHEMA(('{SCHEMAS[header.schema]}'));\nENDSEC;\n"
    )


def _styles_start(whole: str) -> int:
    """Where the first colour record starts; the end of the data if there is none."""
    first = whole.find(f" = {_STYLE_ROOT}(")
    return whole.rindex("\n", 0, first) + 1 if first >= 0 else whole.rindex("ENDSEC;")


def _named_occurrences(body: str, names: Sequence[str]) -> str:
    found = len(_OCCURRENCE.findall(body))
    if found != len(names):
        raise KernelError(f"the STEP file has {found} occurrences, the assembly {len(names)}")
    numbered = iter(enumerate(map(encoded, names), start=1))
    return _OCCURRENCE.sub(lambda match: _occurrence(match, *next(numbered)), body)


def _occurrence(match: re.Match[str], number: int, name: str) -> str:
    return f"NEXT_ASSEMBLY_USAGE_OCCURRENCE('{number}','{name}','',{match[1]},{match[2]},$)"


def _plain_strings(body: str) -> str:
    """Names that the kernel wrote in UTF-8 as Part 21 asks: ASCII with the rest in hexadecimal."""
    if body.isascii():
        return body
    pieces = body.split("'")
    for i in range(1, len(pieces), 2):
        if not pieces[i].isascii():
            whole = pieces[i].replace("\n", "").encode("latin-1").decode("utf-8")
            pieces[i] = _FOREIGN.sub(lambda match: _hexadecimal(match[0]), whole)
    return "'".join(pieces)


def _ordered_styles(styles: str) -> str:
    """Colour records in the order of what they style, then the properties of the solids in the kernel's own
    order, numbered in order of use; KernelError when the kernel wrote something else there."""
    entities = {int(number): _BREAK.sub("", text) for number, text in _ENTITY.findall(styles)}
    roots = [number for number, text in entities.items() if text.startswith(_STYLE_ROOT)]
    roots.sort(key=lambda number: _styled(number, entities))
    order: dict[int, int] = {}
    numbers = count(min(entities, default=0))
    properties = [number for number, text in entities.items() if text.startswith(_PROPERTY_ROOTS)]
    for root in (*roots, *properties):
        _number(root, entities, order, numbers)
    if len(order) != len(entities):
        raise KernelError("the STEP file ends with records that are neither colours nor properties")
    return "".join(f"#{order[old]} = {_renumbered(entities[old], order)};\n" for old in order)


def _styled(root: int, entities: dict[int, str]) -> list[int]:
    """The numbers of the solids that a colour record styles."""
    items = [int(n) for n in _REFERENCE.findall(entities[root]) if int(n) in entities]
    return sorted(int(match[1]) for n in items if (match := _STYLED.match(entities[n])))


def _number(entity: int, entities: dict[int, str], order: dict[int, int], numbers: count[int]) -> None:
    """Give the entity, then those it uses, the next free numbers."""
    order[entity] = next(numbers)
    for used in map(int, _REFERENCE.findall(entities[entity])):
        if used in entities and used not in order:
            _number(used, entities, order, numbers)


def _renumbered(text: str, order: dict[int, int]) -> str:
    return _REFERENCE.sub(lambda match: f"#{order.get(int(match[1]), int(match[1]))}", text)
