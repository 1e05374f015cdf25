"""The drill template, measured on what the PDF draws and on what the DXF holds.

Published here: ISO 216 (A4 is 210 x 297 mm) and PDF's unit of 1/72 in (ISO 32000-1, 8.3.2.3).
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import cache
from io import BytesIO, StringIO
from itertools import combinations
from xml.etree import ElementTree

import ezdxf
import pytest
from drawing_samples import mount, overlapping, texts, with_role
from pdf_drawn import MM_PER_POINT, Drawn, drawn
from pypdf import PdfReader

from mountgen.catalogue.rail_section import rail_section
from mountgen.catalogue.reader import Catalogue
from mountgen.geometry import Vec2, rectangle
from mountgen.package.check_bars import PRINT_TRUE
from mountgen.package.drill_template import OVERLAP, Template, drill_template, tiling, write_drill_template
from mountgen.package.drill_template_dxf import template_drawing
from mountgen.package.drill_template_page import template_pages, template_pdf, window_size
from mountgen.package.dxf_flavour import Flavour

EXAMPLES = ("seed-cartons", "compost-sacks", "seed-trays-inch")
EXACT = 0.05
"""mm; a tenth of a pencil line, and what the paper itself grows by when it gets damp."""
SVG = "{http://www.w3.org/2000/svg}"


def rings(page: list[Drawn], diameter: float) -> list[Vec2]:
    """Middles of the circles of a diameter."""
    found = [d for d in page if d.curved and d.width == pytest.approx(diameter, abs=EXACT)]
    return sorted(d.middle for d in found if d.height == pytest.approx(diameter, abs=EXACT))


@cache
def template(example: str = "seed-cartons") -> Template:
    found = drill_template(mount(example))
    assert found is not None
    return found


def large(units: str = "mm") -> Template:
    """Holes so far apart that they need two pages across and two down, far to the left of the print line."""
    places = ((-450.0, -20.0), (-180.0, -20.0), (-450.0, -300.0), (-180.0, -300.0))
    top = float(template().survey.rail.top_above_surface)
    holes = tuple(
        replace(hole, x=x, z=top + y) for hole, (x, y) in zip(template().holes, places, strict=True)
    )
    survey = replace(template().survey, units=units)
    return replace(template(), survey=survey, holes=holes, legs=(rectangle(-470, -320, -160, -5),))


def page_texts(data: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(data)).pages]


@pytest.mark.parametrize("example", EXAMPLES)
def test_hole_centres_on_paper_are_as_far_apart_as_in_the_rail(example):
    pages = drawn(template_pdf(template(example)))
    holes = mount(example).detail.rail_holes
    assert len(pages) == 1
    middles = rings(pages[0], holes[0].diameter)
    assert len(middles) == len(holes)
    on_paper = sorted(math.dist(a, b) for a, b in combinations(middles, 2))
    in_rail = sorted(math.dist((a.x, a.z), (b.x, b.z)) for a, b in combinations(holes, 2))
    assert on_paper == pytest.approx(in_rail, abs=EXACT)


@pytest.mark.parametrize("example", EXAMPLES)
def test_holes_on_paper_lie_as_in_the_rail_not_mirrored(example):
    """Every centre from the first, with its signs: x to the right and z up on the paper."""
    (page,) = drawn(template_pdf(template(example)))
    holes = sorted((h.x, h.z) for h in mount(example).detail.rail_holes)
    middles = rings(page, mount(example).detail.rail_holes[0].diameter)
    for hole, middle in zip(holes, middles, strict=True):
        shift = [m - h for m, h in zip(middles[0], holes[0], strict=True)]
        assert [m - h for m, h in zip(middle, hole, strict=True)] == pytest.approx(shift, abs=EXACT)


@pytest.mark.parametrize(
    ("example", "lengths"), [("seed-cartons", [100.0]), ("seed-trays-inch", [100.0, 101.6])]
)
def test_check_bars_are_true_both_ways(example, lengths):
    """4 in are 101.6 mm (1 in = 25.4 mm exactly)."""
    (page,) = drawn(template_pdf(template(example)))
    straight = [d for d in page if not d.curved and len(d.points) == 2]
    for long in lengths:
        lying = [d for d in straight if abs(d.width - long) < EXACT and d.height < EXACT]
        upright = [d for d in straight if abs(d.height - long) < EXACT and d.width < EXACT]
        assert (len(lying), len(upright)) == (1, 1)


@pytest.mark.parametrize(("units", "paper"), [("mm", (210.0, 297.0)), ("in", (8.5 * 25.4, 11 * 25.4))])
def test_pages_are_a4_or_letter(units, paper):
    for page in PdfReader(BytesIO(template_pdf(large(units)))).pages:
        size = (float(page.mediabox.width) * MM_PER_POINT, float(page.mediabox.height) * MM_PER_POINT)
        assert size == pytest.approx(paper, abs=EXACT)


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_holes_stand_below_the_top_edge_and_beside_the_print_line(example):
    """Or beside line R, as far from the print line as the page says."""
    (svg,) = template_pages(template(example))
    (edge,) = with_role(svg, "top-edge")
    (line,) = with_role(svg, "print-line") or with_role(svg, "reference")
    told = re.search(r"print line ([\d.]+) mm(?: \[[\d.]+ in\])? to the (left|right) of line R", svg)
    at = 0.0 if told is None else float(told[1]) * (1.0 if told[2] == "left" else -1.0)
    top = float(mount(example).survey.rail.top_above_surface)
    for hole in mount(example).detail.rail_holes:
        (ring,) = with_role(svg, f"hole {hole.tag}")
        assert float(ring.attrib["cx"]) - float(line.attrib["x1"]) == pytest.approx(hole.x - at, abs=0.001)
        assert float(ring.attrib["cy"]) - float(edge.attrib["y1"]) == pytest.approx(top - hole.z, abs=0.001)


def test_the_words_that_must_not_be_missed():
    data = template_pdf(template())
    first = mount().detail.rail_holes[0]
    below = float(mount().survey.rail.top_above_surface) - first.z
    place = f"{first.x:g} mm to the right of the print line and {below:g} mm below the rail's top edge."
    (text,) = page_texts(data)
    for words in (
        PRINT_TRUE,
        "page 1 of 1",
        "seed-cartons",
        template().survey.source_sha256[:8],
        "Lock the line out by the line owner's procedure",
        "cables",
        "eye protection",
        "local codes",
        "R1, R2, R3, R4: punch through the crosses, drill Ø7 mm, plain holes.",
        f"R1 lies {place}",
    ):
        assert words in text, words


def test_what_is_set_into_a_hole_is_said():
    holes = tuple(replace(h, diameter=9.0, holds="blind rivet nut M6") for h in template().holes)
    (text,) = page_texts(template_pdf(replace(template(), holes=holes)))
    assert "drill Ø9 mm, set a blind rivet nut M6 into each." in text


@pytest.mark.parametrize(("example", "sign"), [("seed-cartons", 1.0), ("compost-sacks", -1.0)])
def test_the_flow_arrow_points_with_the_flow(example, sign):
    (svg,) = template_pages(template(example))
    (flow,), (up,) = with_role(svg, "flow"), with_role(svg, "up")
    assert (float(flow.attrib["x2"]) - float(flow.attrib["x1"])) * sign > 0.0
    assert float(up.attrib["y2"]) < float(up.attrib["y1"])
    assert "scale" not in svg


@pytest.mark.parametrize("example", EXAMPLES)
def test_no_text_lies_on_another(example):
    for svg in template_pages(template(example)):
        assert overlapping(list(texts(svg))) == []


@pytest.mark.parametrize("units", ["mm", "in"])
def test_everything_written_stays_on_the_paper(units):
    for svg in template_pages(large(units)):
        width, height = (float(n) for n in ElementTree.fromstring(svg).attrib["viewBox"].split()[2:])
        shown = [
            t for t in texts(svg) if not re.fullmatch(r"J\d+|R\d|Ø.*", t.text) and "edge of the" not in t.text
        ]
        assert all(t.patch.low[0] >= 5.0 and t.patch.high[0] <= width - 5.0 for t in shown)
        assert all(t.patch.high[1] <= height - 5.0 for t in shown if t.patch.low[1] > height - 80.0)


def test_a_large_template_is_tiled_with_marks_that_fit_each_other():
    made, window = large(), window_size("mm")
    pages = tiling(made, window)
    assert len(pages.tiles) == 4
    assert all(tile.high[0] - tile.low[0] == pytest.approx(window[0]) for tile in pages.tiles)
    low, high = made.bounds
    assert min(t.low[0] for t in pages.tiles) <= low[0] and max(t.high[0] for t in pages.tiles) >= high[0]
    assert min(t.low[1] for t in pages.tiles) <= low[1] and max(t.high[1] for t in pages.tiles) >= high[1]
    assert pages.tiles[0].high[0] - pages.tiles[1].low[0] == pytest.approx(OVERLAP)
    assert pages.tiles[0].low[1] - pages.tiles[2].high[1] == pytest.approx(-OVERLAP)
    assert len(pages.marks) == 8
    assert all(sum(tile.holds(mark.at) for tile in pages.tiles) == 2 for mark in pages.marks)


def test_pages_laid_mark_on_mark_have_the_holes_in_place():
    """Holes of different pages, each measured from the joining mark that its page shares with the next."""
    first, second, *_ = template_pages(large())
    offset = []
    for svg, tag in ((first, "R1"), (second, "R2")):
        (hole,), (mark,) = with_role(svg, f"hole {tag}"), with_role(svg, "joining J1")
        del mark.attrib["class"]
        offset.append([float(hole.attrib[c]) - float(mark.attrib[c]) for c in ("cx", "cy")])
    (ax, ay), (bx, by) = offset
    assert (bx - ax, by - ay) == pytest.approx((270.0, 0.0), abs=0.001)


def test_a_print_line_off_the_sheet_is_told_by_its_distance():
    text = page_texts(template_pdf(large()))
    assert "page 4 of 4" in text[3]
    assert "print line 450 mm to the right of line R" in text[0]
    assert "print line 180 mm to the right of line R" in text[1]
    svg = list(template_pages(large()))[1]
    (line,), (hole,) = with_role(svg, "reference"), with_role(svg, "hole R2")
    assert line.attrib["x1"] == hole.attrib["cx"]
    (to,) = with_role(svg, "to-print-line")
    assert float(to.attrib["x2"]) > float(to.attrib["x1"])


@pytest.mark.parametrize(
    ("profile", "opens", "cuts"),
    [
        ("channel-formed-120x40x2.5", "in", (False, False)),
        ("channel-formed-120x40x2.5", "out", (True, True)),
        ("z-formed-100x40x2.5", "in", (False, True)),
        ("z-formed-100x40x2.5", "out", (True, False)),
        ("flat-80x8", "in", (False, False)),
        ("tube-80x40x3", "in", (False, False)),
        ("angle-formed-80x40x3", "in", (False, False)),
    ],
)
def test_the_sheet_is_cut_where_a_flange_stands_in_front(profile, opens, cuts):
    dossier = mount()
    rail = replace(dossier.survey.rail, profile=Catalogue().rail(profile), opens=opens)
    made = drill_template(replace(dossier, survey=replace(dossier.survey, rail=rail)))
    assert made is not None
    assert tuple(cut > 0.0 for cut in made.cuts) == cuts
    low, high = rail_section(rail.profile, opens).web_flat
    assert made.cuts == (-high if cuts[0] else 0.0, -low if cuts[1] else 0.0)
    (svg,) = template_pages(made)
    assert len(with_role(svg, "cut")) == sum(cuts)
    assert ("fold back along" in svg) != cuts[0]


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_leg_holds_its_holes_and_its_slots_place(example):
    """The rail angle's leg lies around every hole it is bolted to, as large as in its own drawing."""
    made = template(example)
    (leg,) = made.legs
    x0, y0, x1, y1 = leg.bounds
    assert all(x0 < x < x1 and y0 < y < y1 for x, y in map(made.centre, made.holes))
    (part,) = (p for p in mount(example).detail.sheets if p.name == "rail angle")
    assert leg.area == pytest.approx(part.root.outline.area)
    assert (x1 - x0, y1 - y0) == pytest.approx(
        (
            part.root.outline.bounds[2] - part.root.outline.bounds[0],
            part.root.outline.bounds[3] - part.root.outline.bounds[1],
        )
    )


def test_no_holes_no_files(tmp_path):
    bare = replace(mount(), detail=replace(mount().detail, rail_holes=()))
    assert drill_template(bare) is None
    write_drill_template(tmp_path / "rail", bare, Flavour())
    assert list(tmp_path.iterdir()) == []


def test_the_same_mount_gives_the_same_bytes(tmp_path):
    for name in ("one", "two"):
        write_drill_template(tmp_path / name, mount(), Flavour())
    for file in ("drill-template.pdf", "drill-template.dxf"):
        assert (tmp_path / "one" / file).read_bytes() == (tmp_path / "two" / file).read_bytes()


@pytest.mark.parametrize("example", EXAMPLES)
def test_dxf_holds_holes_edges_and_leg_in_millimetres(example):
    document = ezdxf.read(StringIO(template_drawing(template(example), Flavour())))
    assert not document.audit().errors and not document.audit().fixes
    assert document.header["$INSUNITS"] == 4
    space, top = document.modelspace(), float(mount(example).survey.rail.top_above_surface)
    circles = space.query('CIRCLE[layer=="HOLES"]')
    held = {(*c.dxf.center.xyz, 2 * c.dxf.radius) for c in circles}
    assert held == {(h.x, h.z - top, 0.0, h.diameter) for h in mount(example).detail.rail_holes}
    edges = {line.dxf.start.y for line in space.query('LINE[layer=="RAIL_EDGE"]')}
    assert edges == {0.0, -mount(example).survey.rail.section.depth}
    legs = space.query('LWPOLYLINE[layer=="LEG"]')
    assert [leg.closed for leg in legs] == [True]
    assert {e.dxf.layer for e in space} == {"RAIL_EDGE", "HOLES", "MARK", "LEG"}
    upright = [e for e in space.query('LINE[layer=="MARK"]') if e.dxf.start.x == e.dxf.end.x == 0.0]
    assert len(upright) == 1


@pytest.mark.parametrize(("example", "sign"), [("seed-cartons", 1.0), ("compost-sacks", -1.0)])
def test_dxf_flow_arrow_has_its_head_downstream(example, sign):
    """Two short strokes meet the long one at the end it points to."""
    space = ezdxf.read(StringIO(template_drawing(template(example), Flavour()))).modelspace()
    marks = list(space.query('LINE[layer=="MARK"]'))
    ends = [end for e in marks for end in ((e.dxf.start.x, e.dxf.start.y), (e.dxf.end.x, e.dxf.end.y))]
    tip = next(end for end in ends if ends.count(end) == 3)
    (shaft,) = (e for e in marks if tip in {(e.dxf.end.x, e.dxf.end.y)} and e.dxf.start.y == tip[1])
    assert (tip[0] - shaft.dxf.start.x) * sign > 0.0
