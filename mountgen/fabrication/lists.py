"""What the shop orders, cuts, drills and bends: one record a row, as plain numbers (mm, deg, kg).

Words: *made* parts are cut here, *bought* ones are ordered by their designation. A *blank* is the rectangle
of sheet or the length of bar that a part is made from. Places of holes count from a *datum*: in a flat its
lower left corner, on a bar its datum end, on the rail the print line (x) and the top edge (y, downwards), on
the floor the print line and the outer face of the rail's web (y, under the line).

Drawings and tables show these rows and compute none of them again.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from mountgen.detail.records import BoughtPart, Cable, Detail, EndFeature, ExtrusionPart, Part
from mountgen.sheet.flat import BendLine, FlatPattern, PlacedHole
from mountgen.sheet.tree import ArcSlot, RoundHole, SheetPart, Slot
from mountgen.shop.records import Shop
from mountgen.survey.records import Survey

Flats = Mapping[str, FlatPattern]
Masses = Mapping[str, float]

RAIL, FLOOR = "rail", "floor"
"""Stand where a part's number stands, for the holes that are drilled on site."""
SQUARENESS = ((10.0, "1°"), (50.0, "0°30'"), (120.0, "0°20'"), (400.0, "0°10'"))
"""ISO 2768-1, table 3, class m: angular deviation by the length of the shorter side, up to (mm)."""
CABLE_STEP = 100.0
"""mm; cables are asked for in whole steps."""
FLUSH = "light, for a flush head"
"""The countersink of a hole for a blind rivet nut."""


@dataclass(frozen=True)
class BillRow:
    """One item of the bill of material. `size` is that of the blank: (length,) of a bar or cable, (width,
    height, thickness) of a sheet part, () of a bought part; `designation` is what it is ordered by."""

    item: int
    number: str
    name: str
    designation: str
    size: tuple[float, ...]
    material: str
    finish: str
    quantity: int
    mass_kg: float
    """Of one piece."""

    @property
    def whole_kg(self) -> float:
        return self.quantity * self.mass_kg


@dataclass(frozen=True)
class CutRow:
    """One blank to cut, with what is done to it afterwards. `width` and `thickness` are None for a bar,
    `ends` is '' for a sheet."""

    number: str
    name: str
    stock: str
    material: str
    length: float
    width: float | None
    thickness: float | None
    quantity: int
    ends: str
    work: str
    finish: str


@dataclass(frozen=True)
class HoleRow:
    """One hole of one piece. `width` is the diameter, of a slot its width, of a thread its core; `length` is
    a straight slot's overall length; an arc slot has a `radius` about (x, y). Angles run counter-clockwise
    from x: of a slot its long axis, of an arc slot from `angle_deg` to `end_deg`."""

    part: str
    quantity: int
    tag: str
    kind: str
    datum: Literal["corner", "end", "print line, top edge", "print line, web"]
    x: float
    y: float | None
    width: float
    fits: str
    """What passes through or is fitted: 'M6', '5 H7', 'press nut M6', or ''."""
    thread: str
    """What is tapped, or ''."""
    depth: float
    through: bool
    length: float | None = None
    radius: float | None = None
    angle_deg: float | None = None
    end_deg: float | None = None
    face: str = ""
    countersink: str = ""


@dataclass(frozen=True)
class BendRow:
    """One bend of one piece; `angle_deg` is what the sheet is turned through, `die` the V opening."""

    part: str
    quantity: int
    tag: str
    direction: str
    angle_deg: float
    inside_radius: float
    width: float
    thickness: float
    allowance: float
    deduction: float
    rule: str
    die: float


def bill_of_material(detail: Detail, flats: Flats, masses: Masses) -> tuple[BillRow, ...]:
    """Every part once: made ones first, then what is bought; items count from 1."""
    parts = detail.parts.values()
    rows = [
        _bill_row(item, part, detail.quantity(part.number), flats, masses)
        for item, part in enumerate(parts, 1)
    ]
    return (*rows, *(_cable_row(item, cable) for item, cable in enumerate(detail.cables, len(rows) + 1)))


def _cable_row(item: int, cable: Cable) -> BillRow:
    """A cable by the length that its route needs, in whole steps upwards."""
    least = CABLE_STEP * math.ceil(cable.needed / CABLE_STEP)
    kind = f"fixed to the {cable.device}, in use" if cable.own else "flexible sensor cable, at least"
    return BillRow(item, cable.number, f"cable of the {cable.device}", kind, (least,), "", "", 1, 0.0)


def whole_mass(rows: Sequence[BillRow]) -> float:
    """Mass of the whole mount, kg."""
    return sum(row.whole_kg for row in rows)


def _bill_row(item: int, part: Part, quantity: int, flats: Flats, masses: Masses) -> BillRow:
    number = part.number
    if isinstance(part, BoughtPart):
        own: tuple[str, tuple[float, ...], str, float] = (part.designation, (), "", part.mass_kg)
    elif isinstance(part, ExtrusionPart):
        own = (part.section.title, (part.length,), part.finish, masses[number])
    else:
        own = ("sheet", (*flats[number].size, part.thickness), part.finish, masses[number])
    designation, size, finish, mass = own
    return BillRow(item, number, part.name, designation, size, part.material, finish, quantity, mass)


def cut_list(detail: Detail, flats: Flats) -> tuple[CutRow, ...]:
    """Every made part's blank: bars, then sheets."""
    sheets = (_sheet_row(p, flats[p.number], detail.quantity(p.number)) for p in detail.sheets)
    return (*bar_cuts(detail), *sheets)


def bar_cuts(detail: Detail) -> tuple[CutRow, ...]:
    """The cut list's bars."""
    return tuple(_bar_row(bar, detail.quantity(bar.number)) for bar in detail.extrusions)


def _bar_row(bar: ExtrusionPart, quantity: int) -> CutRow:
    counts = [(kind, sum(f.kind == kind for f in bar.features)) for kind in ("end_tap", "cross_hole")]
    return CutRow(
        number=bar.number,
        name=bar.name,
        stock=bar.section.title,
        material=bar.material,
        length=bar.length,
        width=None,
        thickness=None,
        quantity=quantity,
        ends=f"both square ±{squareness(bar.section.size)}",
        work=_counted(*((count, kind.replace("_", " ")) for kind, count in counts)),
        finish=bar.finish or "as delivered",
    )


def _sheet_row(part: SheetPart, flat: FlatPattern, quantity: int) -> CutRow:
    return CutRow(
        number=part.number,
        name=part.name,
        stock="sheet",
        material=part.material,
        length=flat.size[0],
        width=flat.size[1],
        thickness=part.thickness,
        quantity=quantity,
        ends="",
        work=_counted((len(flat.holes), "hole"), (len(flat.bend_lines), "bend")),
        finish=part.finish or "none",
    )


def _counted(*things: tuple[int, str]) -> str:
    """'2 holes, 1 bend'; 'none' for nothing."""
    told = [f"{count} {name}{'s' if count > 1 else ''}" for count, name in things if count]
    return ", ".join(told) or "none"


def squareness(side: float) -> str:
    """How far an end may be off square: ISO 2768-1 table 3, class m. `side` of the section in mm."""
    return next(text for up_to, text in SQUARENESS if side <= up_to)


def drill_list(survey: Survey, detail: Detail, flats: Flats) -> tuple[HoleRow, ...]:
    """Every hole: of the sheets in the flat, of the bars, and what is drilled into rail or floor on site."""
    sheets = (
        _flat_hole(placed, part, detail.quantity(part.number))
        for part in detail.sheets
        for placed in flats[part.number].holes
    )
    bars = (row for bar in detail.extrusions for row in _bar_holes(bar, detail.quantity(bar.number)))
    return (*sheets, *bars, *rail_holes(survey, detail), *_floor_holes(detail))


def _flat_hole(placed: PlacedHole, part: SheetPart, quantity: int) -> HoleRow:
    hole = placed.hole
    row = HoleRow(
        part.number,
        quantity,
        placed.tag,
        hole.kind.replace("_", " "),
        "corner",
        *hole.centre,
        hole.diameter if isinstance(hole, RoundHole) else hole.width,
        hole.size,
        hole.size if hole.kind == "tapped" else "",
        part.thickness,
        through=True,
    )
    if isinstance(hole, Slot):
        return replace(row, length=hole.length, angle_deg=hole.angle_deg % 180.0)
    if isinstance(hole, ArcSlot):
        start, end = upright_angles(hole)
        return replace(row, radius=hole.radius, angle_deg=start, end_deg=end)
    return row


def upright_angles(slot: ArcSlot) -> tuple[float, float]:
    """Start and end of an arc slot with the start from -180 up to, not including, 180 deg."""
    turn = 360.0 * ((slot.start_deg + 180.0) // 360.0)
    return slot.start_deg - turn, slot.end_deg - turn


def _bar_holes(bar: ExtrusionPart, quantity: int) -> Iterator[HoleRow]:
    """Taps are tagged T1, T2 ..., holes across the bar H1, H2 ..., in the order of the bar's work."""
    counts = {"end_tap": 0, "cross_hole": 0}
    for feature in bar.features:
        counts[feature.kind] += 1
        yield _bar_hole(bar, feature, quantity, counts[feature.kind])


def _bar_hole(bar: ExtrusionPart, feature: EndFeature, quantity: int, count: int) -> HoleRow:
    is_tap = feature.kind == "end_tap"
    return HoleRow(
        bar.number,
        quantity,
        f"{'T' if is_tap else 'H'}{count}",
        feature.kind.replace("_", " "),
        "end",
        feature.at,
        None,
        feature.diameter,
        feature.size,
        feature.size if is_tap else "",
        feature.depth,
        through=not is_tap and feature.depth >= bar.section.size,
        face=feature.face,
    )


def rail_holes(survey: Survey, detail: Detail) -> Iterator[HoleRow]:
    """The holes of the rails' webs, drilled through on site; those of a far rail as seen from behind it."""
    for hole in detail.rail_holes:
        is_far = hole.rail != RAIL
        yield HoleRow(
            hole.rail,
            1,
            hole.tag,
            "rail hole" + (", seen from behind the line" if is_far else ""),
            "print line, top edge",
            -hole.x if is_far else hole.x,
            below_top(survey, hole.z),
            hole.diameter,
            hole.holds,
            "",
            survey.rail.section.web_thickness,
            through=True,
            countersink=FLUSH if "rivet nut" in hole.holds else "",
        )


def _floor_holes(detail: Detail) -> Iterator[HoleRow]:
    """The holes for a stand's anchors."""
    for hole in detail.floor_holes:
        yield HoleRow(
            FLOOR,
            1,
            hole.tag,
            "floor hole",
            "print line, web",
            hole.x,
            hole.y,
            hole.diameter,
            "anchor",
            "",
            hole.depth,
            through=False,
        )


def below_top(survey: Survey, z: float) -> float:
    """How far below the rail's top edge a height of the world frame lies, mm."""
    return float(survey.rail.top_above_surface) - z


def bend_list(detail: Detail, flats: Flats, shop: Shop) -> tuple[BendRow, ...]:
    """Every bend in the order in which the parts are listed, with the die of the shop that suits it."""
    return tuple(
        _bend_row(bend, part, detail.quantity(part.number), flats[part.number].rule, shop)
        for part in detail.sheets
        for bend in flats[part.number].bend_lines
    )


def _bend_row(bend: BendLine, part: SheetPart, quantity: int, rule: str, shop: Shop) -> BendRow:
    (x0, y0), (x1, y1) = bend.start, bend.end
    return BendRow(
        part=part.number,
        quantity=quantity,
        tag=bend.tag,
        direction=bend.direction,
        angle_deg=bend.angle_deg,
        inside_radius=bend.inside_radius,
        width=((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5,
        thickness=part.thickness,
        allowance=bend.allowance,
        deduction=bend.deduction,
        rule=rule,
        die=shop.die(part.material, part.thickness, bend.inside_radius).opening,
    )
