"""The drawing of a cut bar: its side with its slots, its end face, and all work from the datum end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from mountgen.catalogue.sections import extrusion_contours
from mountgen.detail.records import EndFeature, ExtrusionPart
from mountgen.package.drawing import SheetBody, draw_notes, notes_height
from mountgen.package.drawing_flat import DATUM_RADIUS, DIMENSION_GAP, OVERSHOOT, Window
from mountgen.package.drawing_folded import draw_width
from mountgen.package.drawing_frame import Title, heading
from mountgen.package.drawing_labels import Patch
from mountgen.package.drawing_notes import scale_text
from mountgen.package.drawing_ordinates import Edge, Ordinate, depth, draw_ordinates, merged
from mountgen.package.drawing_paper import CAPTION, CLEAR, SCALES, Style
from mountgen.package.drawing_tables import Table, draw_table, shelved
from mountgen.package.drawing_words import length, length_unit
from mountgen.package.svg import (
    CENTRE,
    HIDDEN,
    NARROW,
    SMALL,
    VISIBLE,
    Words,
    box,
    curve,
    line,
    ring,
    words,
)
from mountgen.units import System

END_SCALES = (2.0, 1.0, 0.5)
"""ISO 5455; of the end face."""


@dataclass(frozen=True)
class BarOrder:
    """One bar as it is ordered. `work` is its table, `squareness` how far an end may be off square, as text;
    `fixed` lists what is clamped to it at the first product's setting: where from the datum end, and what."""

    part: ExtrusionPart
    quantity: int
    mass_kg: float
    title: Title
    units: System
    style: Style
    squareness: str
    work: tuple[Table, ...]
    fixed: tuple[tuple[float, str], ...]


def bar_sheet(order: BarOrder) -> SheetBody:
    """The bar's sheet, upright: side, end face, tables and notes."""
    paper = order.style.small
    low, high = paper.space.low, paper.space.high
    left, width = low[0] + CLEAR, high[0] - low[0] - 2 * CLEAR
    notes = _notes(order)
    block = Patch((left, paper.above_block - notes_height(notes, width)), (high[0] - CLEAR, high[1]))
    placed, tall = shelved([*_fixed_table(order), *order.work], width)
    tables_top = block.low[1] - CLEAR - tall
    area = Patch((left, low[1] + CLEAR), (high[0] - CLEAR, tables_top - CLEAR))
    scale = bar_scale(order, area)
    marks = [
        *_side_view(order, area, scale),
        *_end_view(order, area, scale),
        *(mark for table, (x, y) in placed for mark in draw_table(table, (left + x, tables_top + y))),
        *draw_notes("Notes", notes, block),
    ]
    title = replace(order.title, scale=scale_text(scale))
    return SheetBody(paper, title, tuple(marks))


def bar_scale(order: BarOrder, area: Patch) -> float:
    """The largest scale of ISO 5455, not above full size, at which the bar's length fits."""
    room = area.high[0] - area.low[0] - 2 * OVERSHOOT - 2 * CLEAR
    fitting = (s for s in SCALES if s <= 1.0 and s * order.part.length <= room)
    return next(fitting, SCALES[-1])


def _side_window(order: BarOrder, area: Patch, scale: float) -> Window:
    """The bar lies with its datum end left; its middle line runs along x."""
    rise = CAPTION + 2 * SMALL + DIMENSION_GAP + scale * order.part.section.size / 2 + 2.0
    return Window((area.low[0] + CLEAR, area.low[1] + rise), scale)


def _side_view(order: BarOrder, area: Patch, scale: float) -> Iterator[str]:
    window, part = _side_window(order, area, scale), order.part
    half = part.section.size / 2
    yield heading(f"Bar  {scale_text(scale)}", (area.low[0], area.low[1] + 4.0))
    low, high = window.point((0.0, half)), window.point((part.length, -half))
    yield box(low, (high[0] - low[0], high[1] - low[1]), VISIBLE, "outline")
    for y in _slot_lines(part):
        yield line(window.point((0.0, y)), window.point((part.length, y)), NARROW, "slot")
    x0, x1 = low[0] - OVERSHOOT, high[0] + OVERSHOOT
    yield line((x0, window.origin[1]), (x1, window.origin[1]), CENTRE, "centre")
    yield ring(window.point((0.0, -half)), DATUM_RADIUS, NARROW, "datum")
    datum = (low[0] + DATUM_RADIUS + 1.0, high[1] + SMALL + 1.5)
    if not part.features:
        yield words(Words("datum end", datum), "tag")
    for feature in part.features:
        yield from _feature(feature, part, window)
    yield from draw_width(length(part.length, order.units), (low[0], high[0]), low[1])
    yield from _ordinates(order, window)


def _slot_lines(part: ExtrusionPart) -> tuple[float, ...]:
    mouth = part.section.slot_width / 2
    return (-mouth, mouth)


def _feature(feature: EndFeature, part: ExtrusionPart, window: Window) -> Iterator[str]:
    """A cross hole as a circle; a tapped end as hidden lines of its thread."""
    if feature.kind == "cross_hole":
        centre = window.point((feature.at, 0.0))
        yield ring(centre, window.scale * feature.diameter / 2, VISIBLE, "hole")
        return
    way = 1.0 if feature.at < part.length / 2 else -1.0
    for side in (-feature.diameter / 2, feature.diameter / 2):
        start, end = (feature.at, side), (feature.at + way * feature.depth, side)
        yield line(window.point(start), window.point(end), HIDDEN, "thread")


def _ordinates(order: BarOrder, window: Window) -> Iterator[str]:
    """Places of the work on the bar from the datum end, under the bar."""
    holes = [feature.at for feature in order.part.features if feature.kind == "cross_hole"]
    if not holes:
        return
    edge = Edge("bottom", window.point((0.0, -order.part.section.size / 2))[1])
    row = [
        Ordinate(at, length(at, order.units), window.point((at, 0.0))[0], window.origin[1])
        for at in (0.0, *holes)
    ]
    yield from draw_ordinates(merged(row, edge), edge)


def _end_view(order: BarOrder, area: Patch, scale: float) -> Iterator[str]:
    """The end face with its slots, width and height."""
    section = order.part.section
    top = _side_window(order, area, scale).origin[1] + scale * section.size / 2 + _ordinates_depth(order)
    top += 2 * CLEAR
    room = area.high[1] - top - CAPTION - DIMENSION_GAP - 4.0 * SMALL
    shown = next((s for s in END_SCALES if s * section.size <= room), END_SCALES[-1])
    half = shown * section.size / 2
    middle = (area.low[0] + CLEAR + half + 8.0, top + CAPTION + DIMENSION_GAP + 2 * SMALL + half)
    window = Window(middle, shown)
    yield heading(f"End face  {scale_text(shown)}", (area.low[0], top + 4.0))
    outline, hollows = extrusion_contours(section)
    for contour in (outline, *hollows):
        yield curve(window.contour(contour), VISIBLE, "section")
    span = (middle[0] - half, middle[0] + half)
    yield from draw_width(length(section.size, order.units), span, middle[1] - half)


def _ordinates_depth(order: BarOrder) -> float:
    places = [f.at for f in order.part.features if f.kind == "cross_hole"]
    return depth(length(at, order.units) for at in (0.0, *places)) if places else 0.0


def _fixed_table(order: BarOrder) -> Iterator[Table]:
    if order.fixed:
        unit = "mm" if order.units == "mm" else "mm [in]"
        rows = tuple((length(at, order.units), what) for at, what in sorted(order.fixed))
        name = "Screws in its slots, set for the first product"
        yield Table(name, (f"from datum end, {unit}", "What"), rows)


def _notes(order: BarOrder) -> Sequence[str]:
    part = order.part
    return (
        f"Section {part.section.title}, material {part.material}.",
        f"Cut to {length_unit(part.length, order.units)}; both ends square within {order.squareness}.",
        f"Quantity {order.quantity}. Mass {order.mass_kg:.3f} kg each.",
        f"Finish: {part.finish or 'as delivered'}.",
        "General tolerances ISO 2768-m. All work is measured from the datum end (small circle).",
        "Deburr all edges; clear the slots of chips, so that nuts slide.",
    )
