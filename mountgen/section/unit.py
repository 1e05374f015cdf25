"""Which unit a drawing's numbers are in.

A drawing says it in its header ($INSUNITS) or not at all; what the user says goes before the header.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from mountgen.section.faults import SectionError, number, refusal

Units = Literal["mm", "cm", "in"]

IN_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, "ft": 304.8, "m": 1000.0}
HEADER = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}
"""$INSUNITS numbers (DXF reference, header variables) that a section may be drawn in."""
NAMES = {"mm": "millimetres", "cm": "centimetres", "in": "inches", "ft": "feet", "m": "metres"}
SHALLOWEST, DEEPEST = 20.0, 600.0
"""mm; a conveyor's side rail is no less and no more than this deep (common practice)."""
OPTION = 'say `--units mm` or `--units in`, or in the survey\'s [rail]: units = "mm" or "in"'


@dataclass(frozen=True)
class Unit:
    """A unit with its size in mm and the sentence that tells where it is from."""

    name: str
    reason: str

    @property
    def mm(self) -> float:
        return IN_MM[self.name]


def resolved(path: Path, header: int, given: Units | None, extent: float) -> Unit:
    """The unit to read a drawing in. `extent` is its larger extent in its own unit, for the message.

    SectionError when neither the header nor the user says one, or the header's is not for sections.
    """
    said = HEADER.get(header)
    if given is not None:
        return Unit(given, _given_reason(header, given))
    if said is not None:
        return Unit(said, f"the drawing is in {NAMES[said]}, as its header says")
    found = "its header names no unit" if header == 0 else f"its header names unit number {header}"
    readings = ", ".join(f"{number(extent * IN_MM[u])} mm if in {NAMES[u]}" for u in ("mm", "cm", "in"))
    raise refusal(path, f"{found}; what is drawn is {readings} across", "a unit: mm, cm, in, ft or m", OPTION)


def _given_reason(header: int, given: Units) -> str:
    said = HEADER.get(header)
    if said == given:
        return f"the drawing is in {NAMES[given]}, as its header and the user say"
    if said is None:
        return f"the drawing names no unit that counts here; it was read in {NAMES[given]}, as the user says"
    return f"the drawing's header says {NAMES[said]}; it was read in {NAMES[given]}, as the user says"


def implausible(path: Path, depth: float, unit: Unit) -> SectionError:
    """The error for a section that is too small or too large to be a rail; `depth` in mm."""
    own = depth / unit.mm
    others = [name for name in ("mm", "in", "cm", "m") if name != unit.name]
    fitting = [name for name in others if SHALLOWEST <= own * IN_MM[name] <= DEEPEST]
    name = next(iter(fitting or others))
    other = f"read in {NAMES[name]} it would be {number(own * IN_MM[name])} mm"
    option = f"say `--units {name}`" if name in ("mm", "cm", "in") else "draw it to size"
    return refusal(
        path,
        f"the section is {number(depth)} mm deep, read in {NAMES[unit.name]}; {other}",
        f"a rail {number(SHALLOWEST)} to {number(DEEPEST)} mm deep",
        f"{option} if that is right, or mend the drawing",
    )
