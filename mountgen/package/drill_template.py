"""The drill template: the rail's web at full size, on paper to tape to the rail, and as DXF.

Its frame is that of the person who drills: x along the line from the print line, y up from the rail's top
edge (0), seen from the operator's side. Nothing in it is ever mirrored: a right-to-left mount has its holes
on the other side of the print line, and its flow arrow points left.

Words: the *fold* is the top edge where paper can be hung over it; where a flange stands in front of the
web, the sheet is cut off at a *cut* instead, a measured distance below the edge. A *tile* is what one page
shows; neighbours share an overlap, in which *joining marks* are laid on each other.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from mountgen.detail.records import FAR_RAIL, Detail, RailHole
from mountgen.geometry import Contour, Placement, Vec2, Vertex
from mountgen.package.cut_sheet import edition
from mountgen.package.dxf_flavour import Flavour
from mountgen.package.far_rail import far_holes, near_holes, seen_from_behind
from mountgen.package.records import Dossier
from mountgen.sheet.tree import Flange, SheetPart
from mountgen.survey.records import Survey

TAB = 22.0
"""mm of paper above the rail's top edge, to fold back or to write on."""
BESIDE, BELOW = 8.0, 10.0
"""mm of paper beside and below the outline of what is bolted on."""
OVERLAP = 12.0
"""mm that neighbouring pages share."""
SQUARE = 1e-6


@dataclass(frozen=True)
class Template:
    """Everything that is drawn: holes, outlines of the legs that lie on the web, how the sheet is hung, and
    from where it is `seen`. Of a far rail all is as it looks from there.

    `cuts` are how far below the top edge the sheet is cut off above and below; 0 where it need not be:
    there it is folded over the top edge, or hangs over the bottom edge.
    """

    survey: Survey
    issued: str
    holes: tuple[RailHole, ...]
    legs: tuple[Contour, ...]
    cuts: Vec2
    name: str = "drill-template"
    seen: str = "the rail's web seen from the operator's side, true size"

    @property
    def depth(self) -> float:
        return self.survey.rail.section.depth

    def centre(self, hole: RailHole) -> Vec2:
        """A hole's centre in the template's frame."""
        return (hole.x, hole.z - float(self.survey.rail.top_above_surface))

    @property
    def bounds(self) -> tuple[Vec2, Vec2]:
        """The stretch that must be on paper: low and high corner."""
        boxes = [leg.bounds for leg in self.legs]
        for hole in self.holes:
            (x, y), r = self.centre(hole), hole.diameter / 2
            boxes.append((x - r, y - r, x + r, y + r))
        low = (min(b[0] for b in boxes) - BESIDE, min(b[1] for b in boxes) - BELOW)
        return low, (max(b[2] for b in boxes) + BESIDE, TAB)


@dataclass(frozen=True)
class Tile:
    """What one page shows: its number (from 1), and its low and high corner."""

    number: int
    low: Vec2
    high: Vec2

    def holds(self, point: Vec2) -> bool:
        return all(a <= p <= b for a, p, b in zip(self.low, point, self.high, strict=True))


@dataclass(frozen=True)
class JoiningMark:
    """A point that two pages share, and the name by which it is found on both."""

    name: str
    at: Vec2


@dataclass(frozen=True)
class Tiling:
    """All pages, row by row from the upper left, and what joins them."""

    tiles: tuple[Tile, ...]
    marks: tuple[JoiningMark, ...]


def write_drill_template(folder: Path, dossier: Dossier, flavour: Flavour) -> None:
    """`drill-template.pdf` and `.dxf` in the new folder `folder`, and those of the far rail; nothing
    when the mount drills no holes."""
    from mountgen.package.drill_template_dxf import template_drawing
    from mountgen.package.drill_template_page import template_pdf

    made = [one for one in (drill_template(dossier), far_template(dossier)) if one is not None]
    if not made:
        return
    folder.mkdir()
    for template in made:
        (folder / f"{template.name}.pdf").write_bytes(template_pdf(template))
        (folder / f"{template.name}.dxf").write_text(template_drawing(template, flavour), encoding="ascii")


def drill_template(dossier: Dossier) -> Template | None:
    """The template of a mount, None when its rail is not drilled."""
    detail, survey = dossier.detail, dossier.survey
    holes, top = near_holes(detail), float(survey.rail.top_above_surface)
    if not holes:
        return None
    legs = tuple(leg.moved(0.0, -top) for leg in _legs(detail, "rail"))
    return Template(survey, edition(dossier), holes, legs, _cuts(survey))


def far_template(dossier: Dossier) -> Template | None:
    """The template of the far rail, None where there are no holes in it."""
    detail, survey = dossier.detail, seen_from_behind(dossier.survey)
    holes, top = far_holes(detail), float(survey.rail.top_above_surface)
    if not holes:
        return None
    legs = tuple(leg.moved(0.0, -top).mirrored() for leg in _legs(detail, FAR_RAIL))
    seen = "the FAR rail's web seen from behind the line, true size"
    return Template(survey, edition(dossier), holes, legs, _cuts(survey), "drill-template-far", seen)


def _cuts(survey: Survey) -> Vec2:
    """Where the web's outer face becomes flat, above and below, if something stands in front of it beyond
    that, or if the web does not run up to the top edge; else 0."""
    section = survey.rail.section
    low, high = section.web_flat
    in_front = [cover for cover in section.covers if cover.low[0] < 0.0]
    top = any(c.high[1] > high for c in in_front) or section.covers[0].high[1] < 0.0
    bottom = any(c.low[1] < low for c in in_front)
    return (-high if top else 0.0, -low if bottom else 0.0)


def _legs(detail: Detail, rail: str) -> Iterator[Contour]:
    """Outline (x and z of the world) of every flange that a rail screw's head draws against the web."""
    for name in _outside(detail, rail):
        instance = next(i for i in detail.instances if i.name == name)
        part = detail.parts[instance.part]
        if isinstance(part, SheetPart):
            for flange, inner in part.placed_flanges():
                place = instance.placement.then(inner)
                if abs(place.z_axis[1]) > 1.0 - SQUARE:
                    yield _seen(flange, place)


def _outside(detail: Detail, rail: str) -> tuple[str, ...]:
    """The instances on the outer side of a rail, in the joints that go through it."""
    found: dict[str, None] = {}
    for joint in detail.joints:
        names = [member.instance for member in joint.members]
        if rail in names:
            found |= dict.fromkeys(names[: names.index(rail)])
    return tuple(found)


def _seen(flange: Flange, place: Placement) -> Contour:
    """A flange's outline from the operator's side; one that is seen from behind turns its arcs round."""
    turn = -1.0 if place.z_axis[1] > 0.0 else 1.0
    points = ((place.point((v.x, v.y, 0.0)), v.bulge) for v in flange.outline.vertices)
    return Contour(tuple(Vertex(p[0], p[2], turn * bulge) for p, bulge in points))


def tiling(template: Template, window: Vec2) -> Tiling:
    """The pages whose windows (mm of paper, width and height) cover the template.

    The print line is taken in when that costs no page more.
    """
    low, high = template.bounds
    wider = (min(low[0], -BESIDE), max(high[0], BESIDE))
    if _count(wider[1] - wider[0], window[0]) == _count(high[0] - low[0], window[0]):
        low, high = (wider[0], low[1]), (wider[1], high[1])
    across, down = (_count(high[i] - low[i], window[i]) for i in (0, 1))
    steps = (window[0] - OVERLAP, window[1] - OVERLAP)
    left = (low[0] + high[0] - window[0] - (across - 1) * steps[0]) / 2
    tiles = []
    for number in range(across * down):
        row, column = divmod(number, across)
        corner = (left + column * steps[0], high[1] - window[1] - row * steps[1])
        tiles.append(Tile(number + 1, corner, (corner[0] + window[0], corner[1] + window[1])))
    return Tiling(tuple(tiles), tuple(_marks(tiles)))


def _count(extent: float, window: float) -> int:
    return max(1, math.ceil((extent - OVERLAP) / (window - OVERLAP)))


def _marks(tiles: list[Tile]) -> Iterator[JoiningMark]:
    """Two marks in every overlap of two neighbours, named J1, J2 ..."""
    number = 0
    for i, one in enumerate(tiles):
        for other in tiles[i + 1 :]:
            for at in _shared(one, other):
                number += 1
                yield JoiningMark(f"J{number}", at)


def _shared(one: Tile, other: Tile) -> list[Vec2]:
    """A quarter from either end of the strip that two tiles share; none where only corners meet."""
    low = tuple(max(a, b) for a, b in zip(one.low, other.low, strict=True))
    high = tuple(min(a, b) for a, b in zip(one.high, other.high, strict=True))
    wide, tall = high[0] - low[0], high[1] - low[1]
    if min(wide, tall) <= 0.0 or max(wide, tall) <= OVERLAP + SQUARE:
        return []
    middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
    if wide < tall:
        return [(middle[0], middle[1] + tall / 4), (middle[0], middle[1] - tall / 4)]
    return [(middle[0] - wide / 4, middle[1]), (middle[0] + wide / 4, middle[1])]
