"""The fabricator's tables, before they become a file: columns with a kind, rows of plain values.

Lengths stand in mm; a survey in inches has them in inches in a column beside. A value is rounded to what
its kind shows, so that what stands in a cell is what a person reads there.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from mountgen.fabrication.lists import (
    BendRow,
    BillRow,
    CutRow,
    HoleRow,
    bend_list,
    bill_of_material,
    cut_list,
    drill_list,
    whole_mass,
)
from mountgen.fabrication.times import MACHINES, Making, PartTime
from mountgen.package.drawing_words import MM_PER_INCH
from mountgen.package.records import Dossier
from mountgen.shop.records import Shop
from mountgen.survey.records import Survey
from mountgen.units import System

Kind = Literal["text", "count", "length", "inch", "angle", "mass", "time", "money"]
Value = str | int | float | None

FLOOR_NOTE = (
    "Floor, drilled on site: x from the print line, to the right positive; y from the outer face of the "
    "rail's web, under the line positive.",
)

DECIMALS: dict[Kind, int] = {"length": 2, "inch": 3, "angle": 2, "mass": 3, "time": 1, "money": 2}
"""Places after the point; texts and counts have none."""


@dataclass(frozen=True)
class Column:
    """A head, with its unit, and what stands under it."""

    head: str
    kind: Kind = "text"


@dataclass(frozen=True)
class Table:
    """One table: `name` is that of its file, `notes` what one must know to read it, `sums` how many of the
    last rows are sums, `basis` whose figures it rests on beside the survey's."""

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Value, ...], ...]
    notes: tuple[str, ...] = ()
    sums: int = 0
    basis: str = ""


@dataclass(frozen=True)
class Page:
    """Tables that stand below each other on one sheet of a workbook."""

    title: str
    tables: tuple[Table, ...]


def fabricator_pages(dossier: Dossier, making: Making, shop: Shop) -> tuple[Page, ...]:
    """Bill of material, cut list, drill list, bend list, times and cost."""
    tables = (_bill(dossier), _cuts(dossier), _holes(dossier), _bends(dossier, shop))
    units = dossier.survey.units
    pages = (Page(table.title, (in_units(table, units),)) for table in tables)
    times = (in_units(table, units) for table in (_parts(making), _machines(making)))
    return (*pages, Page("Times and cost", tuple(times)))


def issue_line(survey: Survey) -> str:
    """Which survey the tables were made from, and in which unit they are."""
    revision = f", revision {survey.revision}" if survey.revision else ""
    units = "mm" if survey.units == "mm" else "mm, beside them in inches"
    return f"Survey {survey.name}{revision}, hash {survey.source_sha256[:8]}. Lengths in {units}."


def in_units(table: Table, units: System) -> Table:
    """The table rounded, for a survey in inches with every length in inches beside it."""
    shown = [_shown(column, units) for column in table.columns]
    columns = tuple(column for beside in shown for column in beside)
    rows = tuple(
        tuple(
            _rounded(value, column.kind)
            for value, beside in zip(row, shown, strict=True)
            for column in beside
        )
        for row in table.rows
    )
    return replace(table, columns=columns, rows=rows)


def _shown(column: Column, units: System) -> tuple[Column, ...]:
    if column.kind != "length":
        return (column,)
    here = Column(f"{column.head}, mm", "length")
    return (here,) if units == "mm" else (here, Column(f"{column.head}, in", "inch"))


def _rounded(value: Value, kind: Kind) -> Value:
    if value is None or isinstance(value, str) or kind not in DECIMALS:
        return value
    shown = value / MM_PER_INCH if kind == "inch" else float(value)
    return round(shown, DECIMALS[kind]) + 0.0


def _bill(dossier: Dossier) -> Table:
    rows = bill_of_material(dossier.detail, dossier.flats, dossier.masses)
    columns = (
        Column("Item", "count"),
        Column("Number"),
        Column("Name"),
        Column("Designation"),
        Column("Length", "length"),
        Column("Width", "length"),
        Column("Thickness", "length"),
        Column("Material"),
        Column("Finish"),
        Column("Qty", "count"),
        Column("Each, kg", "mass"),
        Column("All, kg", "mass"),
    )
    whole: tuple[Value, ...] = (None, "", "Whole mount", "", *(None,) * 3, "", "", None, None)
    cells = (*(_bill_cells(row) for row in rows), (*whole, whole_mass(rows)))
    notes = ("Sizes are those of the blank. Parts without sizes are bought by their designation.",)
    return Table("bill-of-material", "Bill of material", columns, cells, notes, 1)


def _bill_cells(row: BillRow) -> tuple[Value, ...]:
    size = (*row.size, *(None,) * (3 - len(row.size)))
    named = (row.item, row.number, row.name, row.designation)
    return (*named, *size, row.material, row.finish, row.quantity, row.mass_kg, row.whole_kg)


def _cuts(dossier: Dossier) -> Table:
    columns = (
        Column("Number"),
        Column("Name"),
        Column("Stock"),
        Column("Material"),
        Column("Length", "length"),
        Column("Width", "length"),
        Column("Thickness", "length"),
        Column("Qty", "count"),
        Column("Ends"),
        Column("Work"),
        Column("Finish"),
    )
    rows = tuple(_cut_cells(row) for row in cut_list(dossier.detail, dossier.flats))
    notes = (
        "Bars are cut to length. Of a sheet part, the rectangle around its flat: cut it from "
        "flat/<number>.dxf, which is drawn in mm. General tolerances ISO 2768-m.",
    )
    return Table("cut-list", "Cut list", columns, rows, notes)


def _cut_cells(row: CutRow) -> tuple[Value, ...]:
    sizes = (row.length, row.width, row.thickness)
    named = (row.number, row.name, row.stock, row.material)
    return (*named, *sizes, row.quantity, row.ends, row.work, row.finish)


def _holes(dossier: Dossier) -> Table:
    columns = (
        Column("Part"),
        Column("Qty", "count"),
        Column("Hole"),
        Column("Kind"),
        Column("From"),
        Column("x", "length"),
        Column("y", "length"),
        Column("Ø or width", "length"),
        Column("Slot length", "length"),
        Column("Arc R", "length"),
        Column("Angle, °", "angle"),
        Column("to, °", "angle"),
        Column("For"),
        Column("Tap"),
        Column("Depth", "length"),
        Column("Through"),
        Column("Side"),
        Column("Countersink"),
    )
    rows = tuple(_hole_cells(row) for row in drill_list(dossier.survey, dossier.detail, dossier.flats))
    notes = (
        "Sheet: x right, y up from the lower left corner of the flat; the laser cuts it, a thread to its "
        "core. Bar: x from the datum end.",
        "Rail, drilled on site: x from the print line, to the right positive; y down from the top edge.",
        *(FLOOR_NOTE if dossier.detail.floor_holes else ()),
        "x and y of an arc slot are its arc's centre. Angles run counter-clockwise from x.",
    )
    return Table("drill-list", "Drill list", columns, rows, notes)


def _hole_cells(row: HoleRow) -> tuple[Value, ...]:
    named = (row.part, row.quantity, row.tag, row.kind, row.datum)
    sizes = (row.x, row.y, row.width, row.length, row.radius, row.angle_deg, row.end_deg)
    through = "yes" if row.through else "no"
    return (*named, *sizes, row.fits, row.thread, row.depth, through, row.face, row.countersink)


def _bends(dossier: Dossier, shop: Shop) -> Table:
    columns = (
        Column("Part"),
        Column("Qty", "count"),
        Column("Bend"),
        Column("Way"),
        Column("Turned by, °", "angle"),
        Column("Inside R", "length"),
        Column("Bend length", "length"),
        Column("Thickness", "length"),
        Column("Allowance", "length"),
        Column("Deduction", "length"),
        Column("Rule"),
        Column("Die V", "length"),
    )
    rows = tuple(_bend_cells(row) for row in bend_list(dossier.detail, dossier.flats, shop))
    notes = (
        "Up bends towards you as the flat is drawn. The angle is what the sheet is turned through, not the "
        "angle between the legs.",
        "The flat holds the allowances already: cut it as drawn. The deduction is what the two outside "
        "lengths are longer than the flat.",
    )
    return Table("bend-list", "Bend list", columns, rows, notes)


def _bend_cells(row: BendRow) -> tuple[Value, ...]:
    sizes = (row.angle_deg, row.inside_radius, row.width, row.thickness, row.allowance, row.deduction)
    return (row.part, row.quantity, row.tag, row.direction, *sizes, row.rule, row.die)


def _parts(making: Making) -> Table:
    """What every part takes, all of its pieces together; the last row sums them."""
    columns = (
        Column("Part"),
        Column("Name"),
        Column("Qty", "count"),
        Column("Outline", "length"),
        Column("Inner cuts", "length"),
        Column("Engraved", "length"),
        *(Column(head, "count") for head in ("Pierces", "Bends", "Saw cuts", "Drilled", "Tapped")),
        Column("Blanks, kg", "mass"),
        *(Column(f"{machine.capitalize()}, s", "time") for machine in MACHINES),
        Column("All, s", "time"),
        *(Column(f"{what}, {making.currency}", "money") for what in ("Material", "Machines", "All")),
    )
    figures = [_part_figures(part) for part in making.parts]
    named = (
        (part.work.number, part.work.name, *row) for part, row in zip(making.parts, figures, strict=True)
    )
    sums = tuple(sum(column) for column in zip(*figures, strict=True))
    notes = (
        f"Estimate. Times and prices: {making.source}.",
        "All pieces of a part together, without set-up. Material is paid for the whole blank.",
        "Drilled are fits that are reamed and holes across bars; the laser cuts all other holes.",
    )
    rows = (*named, ("", "All parts", *sums))
    return Table("times-and-cost", "Parts", columns, rows, notes, 1, making.source)


def _part_figures(part: PartTime) -> tuple[float, ...]:
    work, count = part.work, part.work.quantity
    lengths = (work.outline_mm, work.inner_mm, work.engraved_mm)
    counts = (work.pierces, work.bends, work.saw_cuts, work.drilled, work.tapped)
    times = (*(part.times[machine] for machine in MACHINES), part.time_s)
    costs = (part.material_cost, part.machine_cost, part.cost)
    return (count, *(count * one for one in (*lengths, *counts, work.blank_kg, *times, *costs)))


def _machines(making: Making) -> Table:
    """The machines with their set-up, the material, and the whole job."""
    columns = (
        Column("Machine"),
        *(Column(head, "time") for head in ("Work, s", "Set-up, s", "All, s")),
        Column(f"{making.currency} an hour", "money"),
        Column(f"Cost, {making.currency}", "money"),
    )
    machines = (
        (one.machine, one.work_s, one.setup_s, one.time_s, one.per_hour, one.cost) for one in making.machines
    )
    material = ("material", None, None, None, None, making.material_cost)
    whole = ("whole job", None, None, making.time_s, None, making.cost)
    notes = (f"Estimate. Times and prices: {making.source}. A machine is set up once for the job.",)
    rows = (*machines, material, whole)
    return Table("machines", "Machines and the whole job", columns, rows, notes, 1, making.source)
