"""The flavour of DXF that a shop's programs read: its version, and what the shop calls its layers.

R12 is what the oldest nesting and cutting programs read: it has no LWPOLYLINE and states no unit, so closed
paths are POLYLINE there, and the numbers are millimetres as everywhere.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from mountgen.errors import Fault, InputError

DxfVersion = Literal["R12", "R2000", "R2010"]

FLAT_LAYERS = {
    "CUT_OUTER": (7, "Continuous"),
    "CUT_INNER": (1, "Continuous"),
    "BEND_UP": (3, "DASHED"),
    "BEND_DOWN": (5, "LONG_DASH_DOT"),
    "MARK": (6, "Continuous"),
}
"""Colour index and line type of each layer of a flat."""
TEMPLATE_LAYERS = {
    "RAIL_EDGE": (7, "Continuous"),
    "HOLES": (1, "Continuous"),
    "MARK": (6, "Continuous"),
    "LEG": (5, "Continuous"),
}
"""The same of the drill template."""
NEST_LAYERS = {
    "SHEET": (8, "DASHED"),
    "CUT_OUTER": FLAT_LAYERS["CUT_OUTER"],
    "CUT_INNER": FLAT_LAYERS["CUT_INNER"],
    "MARK": FLAT_LAYERS["MARK"],
}
"""The same of a nested sheet; SHEET, its border, is not cut."""
RENAMED = tuple(dict.fromkeys((*FLAT_LAYERS, *TEMPLATE_LAYERS, *NEST_LAYERS)))
_LAYER_NAME = re.compile(r"[A-Z0-9_$-]{1,31}")


@dataclass(frozen=True)
class Flavour:
    """`layers` are the shop's own names, by ours; those that are not in it keep ours."""

    version: DxfVersion = "R2000"
    layers: Mapping[str, str] = field(default_factory=dict)

    def layer(self, ours: str) -> str:
        return self.layers.get(ours, ours)


def read_layers(path: Path) -> dict[str, str]:
    """The shop's layer names from a TOML file with one line a layer, such as CUT_OUTER = "CONTOUR".

    InputError for what is no such file, a layer that mountgen does not write, a name that DXF R12 does not
    allow (it goes for every version), or two cut layers of one name.
    """
    try:
        raw = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        expected = 'one line a layer, such as CUT_OUTER = "CONTOUR"'
        raise InputError([Fault(str(path), f"cannot be read ({error})", expected, "correct it")]) from error
    faults = list(_layer_faults(path, raw))
    if faults:
        raise InputError(faults)
    return {ours: str(name) for ours, name in raw.items()}


def _layer_faults(path: Path, raw: Mapping[str, object]) -> Iterator[Fault]:
    names: dict[object, str] = {}
    for ours, name in raw.items():
        if ours not in RENAMED:
            known = ", ".join(RENAMED)
            yield Fault(str(path), f"layer {ours!r}", f"one of {known}", "write one of them, or leave it out")
        if not isinstance(name, str) or not _LAYER_NAME.fullmatch(name):
            expected = "1 to 31 capital letters, digits, '_', '-' or '$'"
            yield Fault(str(path), f"{name!r} as the name of {ours}", expected, "write such a name")
        if name in names:
            found = f"{name!r} for {names[name]} and for {ours}"
            yield Fault(str(path), found, "a name of its own for each layer", "rename one of them")
        names[name] = ours
