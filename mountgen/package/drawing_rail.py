"""The rail as the person who drills it sees it: web from the operator's side, print line, holes, keepouts.

Holes are measured along the rail from the print line (left is negative) and down from the rail's top edge;
a mark that can be found on site, M1, is shown with its place, and the table tells the holes' from it too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from mountgen.detail.records import RailHole
from mountgen.fabrication.lists import below_top
from mountgen.geometry import Vec2
from mountgen.package.drawing_arrangement import pack
from mountgen.package.drawing_flat import Window, text_patch
from mountgen.package.drawing_labels import Patch, Segment, Surroundings, Wish, draw_labels, place_labels
from mountgen.package.drawing_ordinates import Edge, Ordinate, depth, draw_ordinates, merged, ordinate_words
from mountgen.package.drawing_tables import Table
from mountgen.package.drawing_words import length
from mountgen.package.rail_marks import RailMark, axles_between, find_mark
from mountgen.package.svg import (
    BEND,
    CENTRE,
    HIDDEN,
    NARROW,
    VISIBLE,
    Pen,
    Words,
    arrow,
    box,
    line,
    ring,
    words,
)
from mountgen.survey.records import Keepout, Survey
from mountgen.units import System

BESIDE = 60.0
"""mm of rail shown beyond the outermost hole."""
SCALES = (1.0, 0.5, 0.2, 0.1, 0.05)
"""ISO 5455; the rail is never drawn larger than it is."""
ABOVE = 22.0
"""mm of paper between the place given and the rail's top edge."""
RIGHT = 8.0
"""mm of paper right of the view, for tags."""
OVERSHOOT = 2.0


@dataclass(frozen=True)
class RailView:
    """The stretch of rail to draw (x), its depth, and what is on it; depths count from the top edge."""

    survey: Survey
    holes: tuple[RailHole, ...]
    span: Vec2
    mark: RailMark | None

    @property
    def units(self) -> System:
        return self.survey.units

    @property
    def depth(self) -> float:
        return self.survey.rail.section.depth

    def below_top(self, z: float) -> float:
        """How far below the rail's top edge a height of the world frame lies."""
        return below_top(self.survey, z)

    @property
    def keepouts(self) -> tuple[Keepout, ...]:
        """Those that reach into the stretch that is drawn."""
        shown = (k for k in self.survey.rail.keepouts if k.x[1] > self.span[0] and k.x[0] < self.span[1])
        return tuple(shown)


def rail_view(survey: Survey, holes: Sequence[RailHole]) -> RailView:
    """The stretch that holds every hole, the print line and the mark."""
    mark = find_mark(survey, [hole.x for hole in holes])
    xs = [0.0, *(hole.x for hole in holes), *([mark.x] if mark else [])]
    return RailView(survey, tuple(holes), (min(xs) - BESIDE, max(xs) + BESIDE), mark)


@dataclass(frozen=True)
class RailSheet:
    """The view's scale, and from the upper left corner of the room: its place and those of the tables."""

    scale: float
    view: Vec2
    tables: tuple[Vec2, ...]


def arrange_rail(view: RailView, tables: Sequence[Table], room: Vec2) -> RailSheet:
    """The largest scale at which the view and the tables fit beside or below each other into `room` (mm of
    paper); at the smallest they may run over its end."""
    sizes = [(table.width, table.height) for table in tables]
    for scale in SCALES:
        corners = pack([_view_size(view, scale)], sizes, room)
        if corners is not None:
            return RailSheet(scale, corners[0], tuple(corners[1:]))
    return RailSheet(SCALES[-1], (0.0, 0.0), tuple((0.0, 0.0) for _ in tables))


def _view_size(view: RailView, scale: float) -> Vec2:
    side = _side_depth(view)
    wide, tall = view.span[1] - view.span[0], view.depth
    return (side + scale * wide + RIGHT, ABOVE + scale * tall + side)


def _side_depth(view: RailView) -> float:
    """Paper that the longest ordinate takes, mm."""
    values = (*(hole.x for hole in view.holes), *(view.below_top(h.z) for h in view.holes), view.depth)
    return depth(length(value, view.units) for value in values)


def rail_tables(view: RailView) -> list[Table]:
    """Every hole, and what must be kept clear of."""
    unit = "mm" if view.units == "mm" else "mm [in]"
    set_in = any(hole.holds for hole in view.holes)
    rows = tuple(
        (
            hole.tag,
            length(hole.x, view.units),
            *([length(hole.x - view.mark.x, view.units)] if view.mark else []),
            length(view.below_top(hole.z), view.units),
            f"Ø{length(hole.diameter, view.units)}",
            *([hole.holds] if set_in else []),
            hole.joint,
        )
        for hole in view.holes
    )
    from_mark = (f"x from M1, {unit}",) if view.mark else ()
    places = ("Hole", f"x from print line, {unit}", *from_mark, f"below top edge, {unit}", "Drill")
    heads = (*places, *(["Then set in"] if set_in else []), "Joint")
    tables = [Table("Holes in the rail's web", heads, rows)]
    if view.keepouts:
        tables.append(_keepout_table(view, unit))
    return tables


def _keepout_table(view: RailView, unit: str) -> Table:
    units = view.units
    rows = tuple(
        (
            f"K{i}",
            keepout.what,
            f"{length(keepout.x[0], units)} to {length(keepout.x[1], units)}",
            f"{length(view.below_top(keepout.z[1]), units)} to {length(view.below_top(keepout.z[0]), units)}",
        )
        for i, keepout in enumerate(view.keepouts, 1)
    )
    return Table("Keep clear of", ("Mark", "What", f"x, {unit}", f"below top edge, {unit}"), rows)


def draw_rail(view: RailView, scale: float, area: Patch, tables: Sequence[Patch]) -> Iterator[str]:
    """All marks of the view, from the upper left corner of `area`; labels keep off its tables."""
    left = area.low[0] + _side_depth(view)
    window = Window((left - scale * view.span[0], area.low[1] + ABOVE), scale)
    yield from _web(view, window)
    yield from _print_line(view, window)
    for keepout in view.keepouts:
        yield from _keepout(view, window, keepout)
    yield from _axles(view, window)
    if view.mark:
        yield line(*_mark_line(view.mark, view, window), CENTRE, "mark")
    for hole in view.holes:
        centre = window.point(_place(view, hole))
        yield ring(centre, scale * hole.diameter / 2, VISIBLE, f"hole {hole.tag}")
        yield from (line(*segment, CENTRE, "centre") for segment in _cross(view, hole, window))
    rows = _rows(view, window)
    for edge, row in rows:
        yield from draw_ordinates(row, edge)
    around = _surroundings(view, window, area)
    around = replace(around, patches=(*around.patches, *tables))
    yield from draw_labels(place_labels(_wishes(view, window), around))


def _place(view: RailView, hole: RailHole) -> Vec2:
    return (hole.x, -view.below_top(hole.z))


def _web(view: RailView, window: Window) -> Iterator[str]:
    """Top and bottom edge, the flanges behind or before the web, and the broken ends."""
    x0, x1 = view.span
    for down in (0.0, view.depth):
        yield line(window.point((x0, -down)), window.point((x1, -down)), VISIBLE, "rail")
    for y, pen in flange_edges(view):
        yield line(window.point((x0, y)), window.point((x1, y)), pen, "flange")
    for x in (x0, x1):
        yield line(window.point((x, 0.0)), window.point((x, -view.depth)), BEND, "break")


def flange_edges(view: RailView) -> Iterator[tuple[float, Pen]]:
    """Height of every flange's inner edge, hidden when the flange stands behind the web."""
    section = view.survey.rail.section
    for flange, edge in ((section.top_flange, "low"), (section.bottom_flange, "high")):
        if flange is not None:
            before = flange.low[0] < 0.0
            yield (flange.low if edge == "low" else flange.high)[1], NARROW if before else HIDDEN


def _print_line(view: RailView, window: Window) -> Iterator[str]:
    """The print line, named, and the direction of flow."""
    x, top = window.point((0.0, 0.0))
    yield line((x, top - 8.0), window.point((0.0, -view.depth)), CENTRE, "print-line")
    yield words(Words("print line, x = 0", (x, top - 9.5), anchor="middle"))
    rightwards = view.survey.line.flow == "left_to_right"
    start = window.point((view.span[0], 0.0))[0]
    a, b = (start, start + 18.0) if rightwards else (start + 18.0, start)
    yield line((a, top - 15.0), (b, top - 15.0))
    yield arrow((b, top - 15.0), (b - a, 0.0))
    yield words(Words("flow", (start + 20.0, top - 14.0)))


def _keepout_patch(view: RailView, window: Window, keepout: Keepout) -> Patch:
    """The keepout on the paper, cut off at the ends of the view and of the web."""
    x0, x1 = max(keepout.x[0], view.span[0]), min(keepout.x[1], view.span[1])
    top = min(max(view.below_top(keepout.z[1]), 0.0), view.depth)
    bottom = max(min(view.below_top(keepout.z[0]), view.depth), 0.0)
    return Patch(window.point((x0, -top)), window.point((x1, -bottom)))


def _keepout(view: RailView, window: Window, keepout: Keepout) -> Iterator[str]:
    patch = _keepout_patch(view, window, keepout)
    (x0, y0), (x1, y1) = patch.low, patch.high
    yield box((x0, y0), (x1 - x0, y1 - y0), NARROW, "keepout")
    yield line((x0, y0), (x1, y1))
    yield line((x0, y1), (x1, y0))


def _axle_rings(view: RailView, window: Window) -> Iterator[tuple[Vec2, float]]:
    """Middle and radius on the paper of every roller's axle that ends in the web."""
    across = view.survey.line.roller_axle_diameter
    down = view.below_top(-view.survey.line.roller_diameter / 2)
    if 0.0 < down < view.depth:
        for axle in axles_between(view.survey, *view.span):
            yield window.point((axle.x, -down)), window.scale * across / 2


def _axles(view: RailView, window: Window) -> Iterator[str]:
    """The axles as narrow circles with an upright centre line: only their x is a mark."""
    for (x, y), radius in _axle_rings(view, window):
        yield ring((x, y), radius, NARROW, "axle")
        yield line((x, y - radius - OVERSHOOT), (x, y + radius + OVERSHOOT), CENTRE, "centre")


def _mark_line(mark: RailMark, view: RailView, window: Window) -> Segment:
    """Upright through the mark, from over the rail to its lower edge."""
    x, top = window.point((mark.x, 0.0))
    return ((x, top - 4.0), window.point((mark.x, -view.depth)))


def _cross(view: RailView, hole: RailHole, window: Window) -> list[Segment]:
    x, y = window.point(_place(view, hole))
    arm = window.scale * hole.diameter / 2 + OVERSHOOT
    return [((x - arm, y), (x + arm, y)), ((x, y - arm), (x, y + arm))]


def _rows(view: RailView, window: Window) -> list[tuple[Edge, list[Ordinate]]]:
    """Ordinates along the bottom edge from the print line, along the left end from the top edge."""
    left, top = window.point((view.span[0], 0.0))
    bottom = Edge("bottom", window.point((0.0, -view.depth))[1])
    side = Edge("left", left)
    along, down = [], [Ordinate(0.0, "0", top, left), _ordinate_of_bottom(view, window)]
    along.append(Ordinate(0.0, "0", window.origin[0], bottom.across))
    if view.mark:
        x = window.point((view.mark.x, 0.0))[0]
        along.append(Ordinate(view.mark.x, length(view.mark.x, view.units), x, bottom.across))
    for hole in view.holes:
        x, y = window.point(_place(view, hole))
        reach = window.scale * hole.diameter / 2
        below = view.below_top(hole.z)
        along.append(Ordinate(hole.x, length(hole.x, view.units), x, y + reach))
        down.append(Ordinate(below, length(below, view.units), y, x - reach))
    return [(bottom, merged(along, bottom)), (side, merged(down, side))]


def _ordinate_of_bottom(view: RailView, window: Window) -> Ordinate:
    left, bottom = window.point((view.span[0], -view.depth))
    return Ordinate(view.depth, length(view.depth, view.units), bottom, left)


def _wishes(view: RailView, window: Window) -> list[Wish]:
    holes = [
        Wish(hole.tag, window.point(_place(view, hole)), window.scale * hole.diameter / 2 + 0.3)
        for hole in view.holes
    ]
    marks = [Wish("M1", _mark_line(view.mark, view, window)[0], 0.3)] if view.mark else []
    for i, keepout in enumerate(view.keepouts, 1):
        patch = _keepout_patch(view, window, keepout)
        middle = ((patch.low[0] + patch.high[0]) / 2, (patch.low[1] + patch.high[1]) / 2)
        marks.append(Wish(f"K{i}", middle, (patch.high[1] - patch.low[1]) / 2))
    return holes + marks


def _surroundings(view: RailView, window: Window, area: Patch) -> Surroundings:
    patches = [_keepout_patch(view, window, keepout) for keepout in view.keepouts]
    patches += [Patch((x - r, y - r), (x + r, y + r)) for (x, y), r in _axle_rings(view, window)]
    lines: list[Segment] = [(window.point((0.0, 40.0)), window.point((0.0, -view.depth)))]
    for hole in view.holes:
        x, y = window.point(_place(view, hole))
        r = window.scale * hole.diameter / 2
        patches.append(Patch((x - r, y - r), (x + r, y + r)))
        lines += _cross(view, hole, window)
    if view.mark:
        lines.append(_mark_line(view.mark, view, window))
    x, top = window.origin
    print_line = Words("print line, x = 0", (x, top - 9.5), anchor="middle")
    patches.append(text_patch(print_line))
    for edge, row in _rows(view, window):
        patches += [text_patch(text) for text in ordinate_words(row, edge)]
        lines += [(edge.point(o.along, o.start), edge.point(o.along, edge.across)) for o in row]
    for down in (0.0, view.depth):
        lines.append((window.point((view.span[0], -down)), window.point((view.span[1], -down))))
    return Surroundings(area, tuple(patches), tuple(lines))
