"""A drawn section as a rail of the catalogue, and as a profile file, so that it can be kept and named."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator

from mountgen.catalogue.rails import DrawnFlange, DrawnRail, DrawnSlot, DrawnWeb
from mountgen.geometry import Contour, Vec2, Vec3
from mountgen.section.records import Flange, Section, TSlot, Web
from mountgen.section.words import title

ASSUMED_MATERIAL = "steel-s235"
DIGITS = 6
"""Decimals of a coordinate in mm."""
BULGE_DIGITS = 9


def as_rail(section: Section, name: str, material: str = ASSUMED_MATERIAL) -> DrawnRail:
    """The section as a rail, its numbers rounded as a file keeps them.

    No drawing says what it is made of: `material` is a name in profiles/materials.
    """
    return DrawnRail(
        name=name,
        source=f"drawing {section.path.name}",
        title=title(section),
        standard="none: read from a drawing",
        shape=section.kind,
        material=material,
        depth=_rounded(section.depth),
        width=_rounded(section.width),
        thickness=_rounded(section.thickness),
        lip=_rounded(section.lip),
        outline=_corners(section.outline),
        holes=tuple(_corners(hole) for hole in section.holes),
        web=None if section.web is None else _web_of(section.web),
        flange=tuple(_flange_of(flange) for flange in section.flanges),
        slot=tuple(_slot_of(slot) for slot in section.slots),
    )


def _web_of(web: Web) -> DrawnWeb:
    return DrawnWeb(thickness=_rounded(web.thickness), plain=_ends(web.plain), inner=_ends(web.inner))


def _flange_of(flange: Flange) -> DrawnFlange:
    thickness, reach = _rounded(flange.thickness), _rounded(flange.reach)
    return DrawnFlange(at=flange.at, side=flange.side, thickness=thickness, reach=reach)


def _slot_of(slot: TSlot) -> DrawnSlot:
    return DrawnSlot(
        side=slot.side,
        middle=_rounded(slot.middle),
        opening=_rounded(slot.opening),
        lip=_rounded(slot.lip),
        inner_width=_rounded(slot.inner_width),
        depth=_rounded(slot.depth),
    )


def _corners(contour: Contour) -> tuple[Vec3, ...]:
    return tuple((_rounded(v.x), _rounded(v.y), round(v.bulge, BULGE_DIGITS) + 0.0) for v in contour.vertices)


def _ends(span: Vec2) -> Vec2:
    return _rounded(span[0]), _rounded(span[1])


def _rounded(value: float) -> float:
    return round(float(value), DIGITS) + 0.0


def section_toml(section: Section, name: str, material: str = ASSUMED_MATERIAL) -> str:
    """A profile file (TOML) of kind "drawn": what `as_rail` gives, with the reader's notes."""
    rail = as_rail(section, name, material)
    return "\n".join([*_notes(section), *_lines(rail)]) + "\n"


def _notes(section: Section) -> Iterator[str]:
    yield f"# Read from {_plain(section.path.name)}:"
    yield from (f"# - {_plain(note)}" for note in section.notes)


def _lines(rail: DrawnRail) -> Iterator[str]:
    for key in ("name", "kind", "title", "source", "standard", "shape"):
        yield f"{key} = {_quoted(getattr(rail, key))}"
    yield f"material = {_quoted(rail.material)}  # not in the drawing: check it"
    for key in ("depth", "width", "thickness", "lip"):
        yield f"{key} = {getattr(rail, key)!r}"
    yield f"outline = {_contour(rail.outline)}"
    yield f"holes = [{', '.join(_contour(hole) for hole in rail.holes)}]"
    yield from _web(rail.web)
    yield from _flanges(rail)
    yield from _slots(rail)


def _web(web: DrawnWeb | None) -> Iterator[str]:
    if web is None:
        return
    yield "\n[web]"
    yield f"thickness = {web.thickness!r}"
    yield f"plain = {_list(web.plain)}"
    if web.inner is not None:
        yield f"inner = {_list(web.inner)}"


def _flanges(rail: DrawnRail) -> Iterator[str]:
    for flange in rail.flange:
        yield "\n[[flange]]"
        yield f'at = "{flange.at}"'
        yield f'side = "{flange.side}"'
        yield f"thickness = {flange.thickness!r}"
        yield f"reach = {flange.reach!r}"


def _slots(rail: DrawnRail) -> Iterator[str]:
    for slot in rail.slot:
        yield "\n[[slot]]"
        yield f'side = "{slot.side}"'
        for key in ("middle", "opening", "lip", "inner_width", "depth"):
            yield f"{key} = {getattr(slot, key)!r}"


def _contour(corners: Iterable[Vec3]) -> str:
    return "[" + ", ".join(_list(corner) for corner in corners) + "]"


def _list(values: Iterable[float]) -> str:
    return "[" + ", ".join(repr(value) for value in values) + "]"


def _quoted(text: str) -> str:
    """A TOML string: JSON's escapes are TOML's, but for the one control character JSON leaves alone."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")


def _plain(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in text)
