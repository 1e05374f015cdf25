"""The pages of the drill template: every tile at full size, with bars to check the print by.

A page has, from the top: a head with the survey and the arrows for up and flow; the window that shows the
tile, with upright check bars at its left; and the foot: lying check bars, what to drill, cautions.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from mountgen.detail.records import RailHole
from mountgen.geometry import Contour, Vec2, Vertex
from mountgen.package.check_bars import (
    BAR_STEP,
    BARS,
    LYING_BAR,
    MARGIN,
    PAPER,
    PRINT_TRUE,
    lying_bars,
    upright_bars,
)
from mountgen.package.drawing_words import length_unit, plain
from mountgen.package.drill_template import OVERLAP, Template, Tile, Tiling, tiling
from mountgen.package.rail_marks import find_mark
from mountgen.package.svg import (
    BEND,
    CENTRE,
    HIDDEN,
    MEDIUM,
    NARROW,
    SMALL,
    VISIBLE,
    Anchor,
    Pen,
    Words,
    arrow,
    box,
    curve,
    line,
    ring,
    sheet,
    words,
)
from mountgen.package.svg_text import displayable, shortened, wrapped
from mountgen.package.typeset import typeset
from mountgen.units import System

HEAD, FOOT = 17.0, 62.0
LINE_SPACE = 4.2
ARROW_DOWN = 7.0
"""mm from the top of the page's tab to the arrow towards the print line."""
FINE = Pen(0.18)
ANCHORS: tuple[Anchor, Anchor] = ("start", "end")
CAUTIONS = (
    "Lock the line out by the line owner's procedure before you drill, and try to start it before you trust "
    "the lock.",
    "Look behind the web first: cables, air lines, rollers and shafts. Wear eye protection. Break every "
    "hole's edges.",
    "This sheet defers to local codes and to the line owner's rules.",
)


@dataclass(frozen=True)
class Page:
    """One page to draw."""

    template: Template
    tiling: Tiling
    tile: Tile

    @property
    def units(self) -> System:
        return self.template.survey.units

    @property
    def paper(self) -> Vec2:
        return PAPER[self.units]

    @property
    def corner(self) -> Vec2:
        """Upper left corner of the window on the paper."""
        return (MARGIN + BAR_STEP * len(BARS[self.units]), MARGIN + HEAD)

    def point(self, at: Vec2) -> Vec2:
        """Where a point of the template lies on the paper."""
        return (self.corner[0] + at[0] - self.tile.low[0], self.corner[1] + self.tile.high[1] - at[1])


def template_pdf(template: Template) -> bytes:
    """The template as PDF, one SVG unit a millimetre of paper; the same template gives the same bytes."""
    title = displayable(f"Drill template: {template.survey.name}")
    data = {"title": title, "paper": PAPER[template.survey.units], "sheets": list(template_pages(template))}
    return typeset("drill-template.typ", data)


def template_pages(template: Template) -> Iterator[str]:
    """Every page as SVG."""
    tiles = tiling(template, window_size(template.survey.units))
    for tile in tiles.tiles:
        page = Page(template, tiles, tile)
        yield sheet(page.paper, _page(page))


def window_size(units: System) -> Vec2:
    """How much of the web one page shows, mm."""
    width, height = PAPER[units]
    return (width - 2 * MARGIN - BAR_STEP * len(BARS[units]), height - 2 * MARGIN - HEAD - FOOT)


def _page(page: Page) -> Iterator[str]:
    size = window_size(page.units)
    yield from _head(page)
    yield from upright_bars(page.units, page.corner[1])
    yield f'<clipPath id="window"><path d="{_window_path(page.corner, size)}"/></clipPath>'
    yield '<g clip-path="url(#window)">'
    yield from _rail(page)
    for leg in page.template.legs:
        yield curve(_on_paper(page, leg), HIDDEN, "leg")
    for hole in page.template.holes:
        yield from _hole(page, hole)
    yield from _joining_marks(page)
    yield "</g>"
    yield from _print_line(page)
    yield box(page.corner, size, FINE, "window")
    yield from _foot(page)


def _window_path(corner: Vec2, size: Vec2) -> str:
    (x, y), (w, h) = corner, size
    return f"M{x:g} {y:g}h{w:g}v{h:g}h{-w:g}Z"


def _on_paper(page: Page, contour: Contour) -> Contour:
    """The contour with y downwards: arcs turn the other way."""
    corners = ((page.point((v.x, v.y)), v.bulge) for v in contour.vertices)
    return Contour(tuple(Vertex(x, y, -bulge) for (x, y), bulge in corners))


def _head(page: Page) -> Iterator[str]:
    """Survey, hash and page on the left; up and flow on the right."""
    x, y, right = MARGIN, MARGIN, page.paper[0] - MARGIN
    name = shortened(f"Drill template: {page.template.survey.name}", MEDIUM, right - x - 62.0, bold=True)
    yield words(Words(name, (x, y + 4.5), MEDIUM, bold=True))
    number = f"page {page.tile.number} of {len(page.tiling.tiles)}"
    yield words(Words(f"{number}, issued {page.template.issued}, 1:1", (x, y + 9.5)))
    yield words(Words(page.template.seen, (x, y + 13.7)))
    rightwards = page.template.survey.line.flow == "left_to_right"
    a, b = (right - 40.0, right - 18.0) if rightwards else (right - 18.0, right - 40.0)
    yield line((a, y + 7.0), (b, y + 7.0), VISIBLE, "flow")
    yield arrow((b, y + 7.0), (b - a, 0.0))
    yield words(Words("flow", (right - 29.0, y + 5.0), anchor="middle"))
    yield line((right - 3.0, y + 13.0), (right - 3.0, y + 1.0), VISIBLE, "up")
    yield arrow((right - 3.0, y + 1.0), (0.0, -1.0))
    yield words(Words("up", (right - 6.0, y + 8.5), anchor="end"))


def _rail(page: Page) -> Iterator[str]:
    """The rail's edges, and the line at which the sheet is folded or cut."""
    template, (left, right) = page.template, (page.tile.low[0], page.tile.high[0])
    for y, role in ((0.0, "top-edge"), (-template.depth, "bottom-edge")):
        yield line(page.point((left, y)), page.point((right, y)), VISIBLE, role)
    for cut in (cut for cut in template.cuts if cut):
        yield line(page.point((left, -cut)), page.point((right, -cut)), BEND, "cut")
    start, end = _free_of_upright(page)
    over = wrapped(_top_words(template), SMALL, end - start)
    for i, text in enumerate(over):
        yield words(Words(text, page.point((start, 1.5 + (len(over) - 1 - i) * LINE_SPACE))))
    for i, text in enumerate(wrapped(_bottom_words(template), SMALL, end - start)):
        yield words(Words(text, page.point((start, -template.depth - (i + 1) * LINE_SPACE))))


def _free_of_upright(page: Page) -> Vec2:
    """The wider stretch of the page beside the upright line on it."""
    beside = OVERLAP + 2.0 if page.tiling.marks else 2.0
    left, right = page.tile.low[0] + beside, page.tile.high[0] - beside
    at = _upright(page)
    return (at + 2.0, right) if right - at > at - left else (left, at - 2.0)


def _top_words(template: Template) -> str:
    cut = template.cuts[0]
    if not cut:
        return "Top edge of the rail: fold back along this line and hang the sheet over the edge."
    return (
        "Top edge of the rail: the web's flat begins lower. Cut the sheet off at the dashed line and hold "
        f"that cut {length_unit(cut, template.survey.units)} below the top edge, measured with a square."
    )


def _bottom_words(template: Template) -> str:
    if not template.cuts[1]:
        return "Bottom edge of the rail."
    return (
        "Bottom edge of the rail: cut the sheet off at the dashed line, a flange stands in front of the web."
    )


def _hole(page: Page, hole: RailHole) -> Iterator[str]:
    """Circle, cross, punch mark, and the tag towards the middle of the holes."""
    template = page.template
    (x, y), r = page.point(template.centre(hole)), hole.diameter / 2
    middle = sum(h.x for h in template.holes) / len(template.holes)
    side: tuple[float, Anchor] = (-1.0, "end") if hole.x > middle else (1.0, "start")
    at = x + side[0] * (r + 0.8)
    yield ring((x, y), r, NARROW, f"hole {hole.tag}")
    yield ring((x, y), 1.0, FINE, "punch")
    yield line((x - r - 3.0, y), (x + r + 3.0, y), FINE, "centre")
    yield line((x, y - r - 3.0), (x, y + r + 3.0), FINE, "centre")
    yield words(Words(hole.tag, (at, y - 1.0), anchor=side[1], bold=True))
    yield words(Words(f"Ø{plain(hole.diameter)}", (at, y + 1.0 + SMALL), anchor=side[1]))


def _joining_marks(page: Page) -> Iterator[str]:
    for mark in page.tiling.marks:
        if page.tile.holds(mark.at):
            x, y = page.point(mark.at)
            yield ring((x, y), 2.0, FINE, f"joining {mark.name}")
            yield line((x - 5.0, y), (x + 5.0, y), FINE)
            yield line((x, y - 5.0), (x, y + 5.0), FINE)
            yield words(Words(mark.name, (x + 0.8, y - 2.6), 2.0))


def _print_line(page: Page) -> Iterator[str]:
    """The print line itself, or from line R of this page how far away it lies."""
    tile, at = page.tile, _upright(page)
    role = "reference" if at else "print-line"
    yield line(page.point((at, tile.high[1])), page.point((at, tile.low[1])), CENTRE, role)
    level = tile.high[1] - (ARROW_DOWN if tile.holds((at, 0.0)) else OVERLAP + ARROW_DOWN)
    start, end = _free_of_upright(page)
    place, anchor = (start, ANCHORS[0]) if start > at else (end, ANCHORS[1])
    words_at = page.point((place, level + 1.2))
    if not at:
        yield words(Words("print line, x = 0", words_at, anchor=anchor, bold=True))
        return
    side, edge = ("left", tile.low[0]) if at > 0.0 else ("right", tile.high[0])
    tip, tail = page.point((edge, level)), page.point((at, level))
    yield line(tail, tip, NARROW, "to-print-line")
    yield arrow(tip, (tip[0] - tail[0], 0.0))
    distance = f"print line {length_unit(abs(at), page.units)} to the {side} of line R"
    yield words(Words(distance, words_at, anchor=anchor))
    other = ANCHORS[1] if start > at else ANCHORS[0]
    yield words(Words("R", (2 * tail[0] - words_at[0], words_at[1]), anchor=other, bold=True))


def _upright(page: Page) -> float:
    """Where the page's upright line stands: the print line, else the column of holes that is nearest to
    it, else (no hole on the page) about the middle."""
    tile = page.tile
    if tile.low[0] <= 0.0 <= tile.high[0]:
        return 0.0
    columns = [hole.x for hole in page.template.holes if tile.holds(page.template.centre(hole))]
    return min(columns, key=abs) if columns else round((tile.low[0] + tile.high[0]) / 2)


def _foot(page: Page) -> Iterator[str]:
    """Lying bars, what to drill, how to join, cautions."""
    x, y = MARGIN, page.corner[1] + window_size(page.units)[1] + 5.0
    yield words(Words(PRINT_TRUE, (x, y), bold=True))
    y += 3.0
    yield from lying_bars(page.units, (x, y))
    y += LYING_BAR * len(BARS[page.units]) + 1.5
    for text in _instructions(page):
        y += LINE_SPACE
        yield words(Words(text, (x, y)))


def _instructions(page: Page) -> Iterator[str]:
    width = page.paper[0] - 2 * MARGIN
    for text in (*drilling(page.template), *_joining(page.tiling), _control(page.template), *CAUTIONS):
        yield from wrapped(text, SMALL, width)


def drilling(template: Template) -> list[str]:
    """What to drill, holes that are alike in one sentence."""
    alike: dict[tuple[float, str], list[str]] = {}
    for hole in template.holes:
        alike.setdefault((hole.diameter, hole.holds), []).append(hole.tag)
    told = []
    for (diameter, holds), tags in alike.items():
        then = f"set a {holds} into each" if holds else "plain holes"
        size = length_unit(diameter, template.survey.units)
        told.append(f"{', '.join(tags)}: punch through the crosses, drill Ø{size}, {then}.")
    return told


def _control(template: Template) -> str:
    """Where one hole must come to lie, to be checked with a rule."""
    hole, units = template.holes[0], template.survey.units
    x, y = template.centre(hole)
    mark = find_mark(template.survey, [one.x for one in template.holes])
    found = f" It lies {_beside(x - mark.x, units)} the {mark.what}." if mark else ""
    return (
        f"Check with a rule before you drill: {hole.tag} lies {_beside(x, units)} the print line and "
        f"{length_unit(-y, units)} below the rail's top edge.{found}"
    )


def _beside(x: float, units: System) -> str:
    """Where something lies along the rail: '12 mm to the right of'."""
    return f"{length_unit(abs(x), units)} to the {'right' if x > 0.0 else 'left'} of"


def _joining(pages: Tiling) -> list[str]:
    if not pages.marks:
        return []
    first, last = pages.marks[0].name, pages.marks[-1].name
    return [f"Lay the pages over each other so that equal joining marks ({first} to {last}) meet; tape them."]
