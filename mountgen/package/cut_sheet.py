"""The sheets of `cut-and-drill.pdf`: lists, bars, the rail, then a drawing of every sheet part."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from mountgen.detail.records import Detail, EndFeature, ExtrusionPart
from mountgen.fabrication import lists
from mountgen.package.drawing import SheetBody, beside_block, draw_notes, finish, part_sheets, table_sheets
from mountgen.package.drawing_assembly import Lines, draw_assembly, items_of, unseen
from mountgen.package.drawing_bar import BarOrder, bar_sheet
from mountgen.package.drawing_frame import Title, heading
from mountgen.package.drawing_labels import Patch
from mountgen.package.drawing_notes import PartOrder, scale_text
from mountgen.package.drawing_paper import CAPTION, CLEAR, Style, style_for
from mountgen.package.drawing_rail import RailView, arrange_rail, draw_rail, rail_tables, rail_view
from mountgen.package.drawing_tables import Table, draw_table, table_patch
from mountgen.package.drawing_words import length, length_unit
from mountgen.package.far_rail import far_holes, near_holes, seen_from_behind
from mountgen.package.rail_marks import mark_notes
from mountgen.package.records import Dossier
from mountgen.package.slope import slope_in_words
from mountgen.sheet.tree import SheetPart
from mountgen.study import Study
from mountgen.units import System

CAUTIONS = (
    "Lock the line out by the line owner's procedure before you measure, drill or fit anything.",
    "Local codes and the line owner's rules come before anything written here.",
    "Cut edges are sharp until they are deburred: wear gloves.",
    "Before drilling, look for cables and moving parts behind the web.",
    "Measure the print line and the rail once more before the first hole.",
)
RAIL_SEEN = ("Seen from the operator's side, towards the line.",)
FAR_SEEN = (
    "Seen from behind the line, towards the operator: x runs the other way than on the near rail.",
    "Only if the far rail is the near one's profile, mirrored, at the same height: this was assumed.",
)
FAR_ALSO = ("Two rails: the far one is drilled by the sheet and the template of its own.",)
RAIL_NOTES = (
    "x runs along the rail from the print line: to the right positive, to the left negative.",
    "Depths run down from the rail's top edge.",
    "Centre-punch, drill a pilot hole, then drill to size; deburr every side that can be reached.",
    "Collect the chips: none may fall into drives, sensors or product.",
)
ASSEMBLY_NOTES = (
    "Numbers are the items of the bill of material on sheet 1; of equal parts one is marked.",
    "Isometric picture, not to scale, of the mount set for the first product.",
    "Order of assembly and torques: set-up.pdf.",
)
RIVET_NOTES = (
    "Blind rivet nuts: deburr and countersink the hole lightly, so that the head sits flush under the leg.",
    "Set them by the tool maker's stroke for this wall; try one in a piece of the same wall first.",
)


@dataclass(frozen=True)
class Sheet:
    """A finished sheet: its size in mm and its SVG."""

    width: float
    height: float
    svg: str


def cut_and_drill_sheets(dossier: Dossier) -> list[Sheet]:
    """Every sheet, numbered through."""
    bodies = [
        *_list_sheets(dossier),
        *_assembly_sheets(dossier),
        *_rail_sheets(dossier),
        *_bar_sheets(dossier),
        *_part_sheets(dossier),
    ]
    sheets = (finish(body, (i, len(bodies))) for i, body in enumerate(bodies, 1))
    return [Sheet(*body.paper.size, svg) for body, svg in zip(bodies, sheets, strict=True)]


def drawing_style(dossier: Dossier) -> Style:
    """Paper and projection of the dossier's drawings."""
    return style_for(dossier.survey.units)


def issued(dossier: Dossier | Study) -> str:
    """What stands for a date: the survey that everything was derived from."""
    return f"with survey {dossier.survey.source_sha256[:8]}"


def edition(dossier: Dossier | Study) -> str:
    """What a document without a title block is issued with: the survey, and the revision if there is one."""
    revision = dossier.survey.revision
    return f"{issued(dossier)}, revision {revision}" if revision else issued(dossier)


def part_order(dossier: Dossier, part: SheetPart) -> PartOrder:
    number, survey = part.number, dossier.survey
    flat = dossier.flats[number]
    return PartOrder(
        part,
        flat,
        dossier.views[number] if flat.bend_lines else (),
        dossier.detail.quantity(number),
        dossier.masses[number],
        survey.name,
        issued(dossier),
        survey.units,
        drawing_style(dossier),
        survey.revision,
    )


def bill_of_material(dossier: Dossier) -> Table:
    """Every part: made ones first, then what is bought; the last row is the whole mass."""
    bill = lists.bill_of_material(dossier.detail, dossier.flats, dossier.masses)
    rows = [
        (
            str(row.item),
            row.number,
            row.name,
            _designation(row, dossier.survey.units),
            row.material,
            str(row.quantity),
            f"{row.mass_kg:.3f}",
            f"{row.whole_kg:.3f}",
        )
        for row in bill
    ]
    rows.append(("", "", "Whole mount", "", "", "", "", f"{lists.whole_mass(bill):.3f}"))
    heads = ("Item", "Number", "Name", "Designation", "Material", "Qty", "kg each", "kg")
    return Table("Bill of material", heads, tuple(rows))


def _designation(row: lists.BillRow, units: System) -> str:
    if not row.size:
        return row.designation
    if len(row.size) == 1:
        return f"{row.designation}, {length_unit(row.size[0], units)} long"
    return f"{row.designation} {' × '.join(length(side, units) for side in row.size)}"


def bar_tables(dossier: Dossier) -> list[Table]:
    """The cut list of the extrusions and the work on each bar."""
    units = dossier.survey.units
    unit = "mm" if units == "mm" else "mm [in]"
    rows = tuple(
        (row.number, row.name, row.stock, length(row.length, units), str(row.quantity), row.ends, row.finish)
        for row in lists.bar_cuts(dossier.detail)
    )
    heads = ("Number", "Name", "Section", f"Length, {unit}", "Qty", "Ends", "Finish")
    tables = [Table("Cut list of bars (ISO 2768-m)", heads, rows)] if rows else []
    return [*tables, *_work_table(dossier, dossier.detail.extrusions, unit)]


def _work_table(dossier: Dossier, bars: Sequence[ExtrusionPart], unit: str) -> Iterator[Table]:
    rows = tuple((bar.number, *_work(bar, feature, dossier)) for bar in bars for feature in bar.features)
    if rows:
        yield Table("Work on the bars", ("Number", "Work", "Where", "Side", f"Depth, {unit}"), rows)


def _work(bar: ExtrusionPart, feature: EndFeature, dossier: Dossier) -> tuple[str, str, str, str]:
    units = dossier.survey.units
    diameter = f"Ø{length(feature.diameter, units)}"
    if feature.kind == "end_tap":
        end = "datum end" if feature.at < bar.length / 2 else "far end"
        return (f"tap {feature.size}, core {diameter}", end, feature.face, length(feature.depth, units))
    where = f"{length(feature.at, units)} from the datum end"
    size = f"drill {diameter}" + (f" for {feature.size}" if feature.size else "")
    return (size, where, feature.face, length(feature.depth, units))


def _title(dossier: Dossier, name: str, document: str) -> Title:
    survey = dossier.survey
    units = "mm" if survey.units == "mm" else "mm [inch]"
    projection = drawing_style(dossier).projection
    return Title(
        owner=survey.name,
        number=survey.source_sha256[:8],
        name=name,
        document=document,
        issued=issued(dossier),
        scale="–",
        units=units,
        projection=projection,
        revision=survey.revision,
    )


def _list_sheets(dossier: Dossier) -> Iterator[SheetBody]:
    title = _title(dossier, "Mount for a print head", "Bill of material, cut list")
    tables = [bill_of_material(dossier), *bar_tables(dossier)]
    paper = drawing_style(dossier).large
    first, *rest = table_sheets(tables, paper, title)
    cautions = draw_notes("Cautions", CAUTIONS, beside_block(paper, CAUTIONS))
    yield replace(first, marks=(*first.marks, *cautions))
    yield from rest


def _assembly_sheets(dossier: Dossier) -> Iterator[SheetBody]:
    """The mount put together, with its parts and devices; and pulled apart, with its fasteners too."""
    items, shown = items_of(dossier.detail), dossier.pictures
    parts = {item: names for item, names in items.items() if any(name in shown.assembled for name in names)}
    yield _picture_sheet(dossier, "Assembly drawing", shown.assembled, parts)
    yield _picture_sheet(dossier, "Exploded view", shown.exploded, items)


def _picture_sheet(
    dossier: Dossier, name: str, lines: Lines, items: Mapping[str, Sequence[str]]
) -> SheetBody:
    paper = drawing_style(dossier).large
    hidden = unseen(lines, items)
    notes = [*ASSEMBLY_NOTES, *([f"Not seen from here: items {', '.join(hidden)}."] if hidden else [])]
    beside = beside_block(paper, notes)
    low = (paper.space.low[0] + CLEAR, paper.space.low[1] + CLEAR + 6.0)
    bottom = min(paper.above_block, beside.low[1] - CLEAR)
    area = Patch(low, (paper.space.high[0] - CLEAR, bottom))
    marks = [
        heading(name, (low[0], low[1] - 2.0)),
        *draw_assembly(lines, items, area),
        *draw_notes("Notes", notes, beside),
    ]
    return SheetBody(paper, _title(dossier, "Mount for a print head", name), tuple(marks))


def _rail_sheets(dossier: Dossier) -> Iterator[SheetBody]:
    """Every rail with its holes; none when nothing is drilled."""
    detail, survey = dossier.detail, dossier.survey
    near, far = near_holes(detail), far_holes(detail)
    if near:
        view = rail_view(survey, near)
        also = FAR_ALSO if far else ()
        yield _rail_sheet(dossier, view, "Rail", (*RAIL_SEEN, *also, *_rail_notes(dossier, view)))
    if far:
        view = rail_view(seen_from_behind(survey), far)
        yield _rail_sheet(dossier, view, "Far rail", (*FAR_SEEN, *_rail_notes(dossier, view)))


def _rail_sheet(dossier: Dossier, view: RailView, name: str, told: tuple[str, ...]) -> SheetBody:
    """One rail, with what is `told` of it."""
    paper = drawing_style(dossier).large
    low = (paper.space.low[0] + CLEAR, paper.space.low[1] + CLEAR)
    tables = rail_tables(view)
    notes = (*CAUTIONS[:1], *CAUTIONS[3:], *told)
    beside = beside_block(paper, notes)
    bottom = min(paper.above_block, beside.low[1] - CLEAR)
    area = Patch((low[0], low[1] + CAPTION), (paper.space.high[0] - CLEAR, bottom))
    found = arrange_rail(view, tables, (area.high[0] - area.low[0], area.high[1] - area.low[1]))
    scale, at = found.scale, [(area.low[0] + x, area.low[1] + y) for x, y in found.tables]
    taken = [table_patch(*one) for one in zip(tables, at, strict=True)]
    marks = [
        heading(f"{name}, drilling  {scale_text(scale)}", (low[0], low[1] + 4.0)),
        *draw_rail(view, scale, area, taken),
        *(mark for table, corner in zip(tables, at, strict=True) for mark in draw_table(table, corner)),
        *draw_notes("Drilling", notes, beside),
    ]
    title = replace(_title(dossier, f"{name} drilling", "Drilling drawing"), scale=scale_text(scale))
    return SheetBody(paper, title, tuple(marks))


def _rail_notes(dossier: Dossier, view: RailView) -> Iterator[str]:
    yield from RAIL_NOTES
    yield from mark_notes(view.survey, view.mark)
    if any("rivet nut" in hole.holds for hole in view.holes):
        yield from RIVET_NOTES
    yield from _slope_notes(dossier)


def _slope_notes(dossier: Dossier) -> Iterator[str]:
    """That x and depths follow the rail on a bed that is not level."""
    if slope := slope_in_words(dossier.survey):
        yield f"Here {slope}: x runs along the rail, depths square to it, not plumb."


def _bar_sheets(dossier: Dossier) -> Iterator[SheetBody]:
    unit = "mm" if dossier.survey.units == "mm" else "mm [in]"
    for bar in dossier.detail.extrusions:
        title = replace(_title(dossier, bar.name, "Part drawing"), number=bar.number)
        order = BarOrder(
            bar,
            dossier.detail.quantity(bar.number),
            dossier.masses[bar.number],
            title,
            dossier.survey.units,
            drawing_style(dossier),
            lists.squareness(bar.section.size),
            tuple(_work_table(dossier, [bar], unit)),
            tuple(screws_along(dossier.detail, bar.number)),
        )
        yield bar_sheet(order)


def screws_along(detail: Detail, number: str) -> Iterator[tuple[float, str]]:
    """Where joints sit along a bar, mm from its datum end, and what they hold."""
    for bar in (one for one in detail.instances if one.part == number):
        for joint in detail.joints:
            if any(member.instance == bar.name for member in joint.members):
                yield bar.placement.local_point(joint.point)[2], f"{joint.id} {joint.title}"


def _part_sheets(dossier: Dossier) -> Iterable[SheetBody]:
    for part in dossier.detail.sheets:
        yield from part_sheets(part_order(dossier, part))
