"""A drawn section as a profile file, so that it can be kept and named like any other rail."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator

from mountgen.geometry import Contour, Vec2
from mountgen.section.records import Section
from mountgen.section.words import title

ASSUMED_MATERIAL = "steel-s235"
DIGITS = 6
"""Decimals of a coordinate in mm."""


def section_toml(section: Section, name: str, material: str = ASSUMED_MATERIAL) -> str:
    """A profile file (TOML) of kind "drawn": sizes, web, contours as [x, y, bulge] in the rail's frame.

    No drawing says what it is made of: `material` is a name in profiles/materials.
    """
    return "\n".join(_lines(section, name, material)) + "\n"


def _lines(section: Section, name: str, material: str) -> Iterator[str]:
    yield f"# Read from {_plain(section.path.name)}:"
    yield from (f"# - {_plain(note)}" for note in section.notes)
    yield f"name = {_quoted(name)}"
    yield 'kind = "drawn"'
    yield f"title = {_quoted(title(section))}"
    yield f"source = {_quoted(f'drawing {section.path.name}')}"
    yield 'standard = "none: read from a drawing"'
    yield f"shape = {_quoted(section.kind)}"
    yield f"material = {_quoted(material)}  # not in the drawing: check it"
    yield f"depth = {_number(section.depth)}"
    yield f"width = {_number(section.width)}"
    yield f"thickness = {_number(section.thickness)}"
    yield f"lip = {_number(section.lip)}"
    yield f"outline = {_contour(section.outline)}"
    yield f"holes = [{', '.join(_contour(hole) for hole in section.holes)}]"
    yield from _web(section)
    yield from _flanges(section)
    yield from _slots(section)


def _web(section: Section) -> Iterator[str]:
    if section.web is not None:
        yield "\n[web]"
        yield f"thickness = {_number(section.web.thickness)}"
        yield f"plain = {_span(section.web.plain)}"
        yield f"inner = {_span(section.web.inner)}"


def _flanges(section: Section) -> Iterator[str]:
    for flange in section.flanges:
        yield "\n[[flange]]"
        yield f'at = "{flange.at}"'
        yield f'side = "{flange.side}"'
        yield f"thickness = {_number(flange.thickness)}"
        yield f"reach = {_number(flange.reach)}"


def _slots(section: Section) -> Iterator[str]:
    for slot in section.slots:
        yield "\n[[slot]]"
        yield f'side = "{slot.side}"'
        for key in ("middle", "opening", "lip", "inner_width", "depth"):
            yield f"{key} = {_number(getattr(slot, key))}"


def _contour(contour: Contour) -> str:
    return "[" + ", ".join(_list((v.x, v.y, v.bulge)) for v in contour.vertices) + "]"


def _span(span: Vec2) -> str:
    return _list(span)


def _list(values: Iterable[float]) -> str:
    return "[" + ", ".join(_number(value) for value in values) + "]"


def _number(value: float) -> str:
    return repr(round(float(value), DIGITS) + 0.0)


def _quoted(text: str) -> str:
    """A TOML string: JSON's escapes are TOML's, but for the one control character JSON leaves alone."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")


def _plain(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in text)
