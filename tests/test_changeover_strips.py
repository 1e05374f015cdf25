"""The scale strips, measured on what the PDF draws.

Published: ISO 216 (A4 is 210 x 297 mm), 1 in = 25.4 mm exactly.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from io import BytesIO
from itertools import pairwise

import pytest
from changeover_samples import plan, plan_of, studied
from drawing_samples import overlapping, texts, with_role
from pdf_drawn import MM_PER_POINT, drawn
from pypdf import PdfReader

from mountgen.layout.readings import ScaleZero
from mountgen.package.changeover import Changeover
from mountgen.package.check_bars import PRINT_TRUE
from mountgen.package.scale_strip import Piece, pieces, short_names, strips_of
from mountgen.package.scale_strip_page import LONGEST, WIDTH, strip_pages, strips_pdf

EXAMPLES = ("seed-cartons", "compost-sacks", "seed-trays-inch")
EXACT = 0.05
"""mm; a tenth of a pencil line."""
MARK = 4.6
"""mm; length of a mark's wide line."""
PRODUCTS = [(f"p{i}", 300.0 + 60.0 * i, 50.0 + i, 0.0, 90.0) for i in range(4)]


@dataclass(frozen=True)
class OnPaper:
    """A piece as the PDF draws it: its left edge, and every level line by its length and its height over
    the piece's lower end, mm."""

    left: float
    lines: tuple[tuple[float, float], ...]

    def heights(self, long: float) -> list[float]:
        return sorted(y for length, y in self.lines if abs(length - long) < 1e-3)


def columns(page, width: float) -> list[OnPaper]:
    """The pieces of a page from the left."""
    level = [d for d in page if len(d.points) == 2 and d.height < 1e-3]
    bottoms = {}
    for d in level:
        if abs(d.width - width) < 1e-3:
            left = round(min(x for x, _ in d.points), 2)
            bottoms[left] = min(d.middle[1], bottoms.get(left, math.inf))
    return [
        OnPaper(
            left,
            tuple((d.width, d.middle[1] - low) for d in level if left - 0.1 < d.middle[0] < left + width),
        )
        for left, low in sorted(bottoms.items())
    ]


def shown(made: Changeover) -> list[tuple[Piece, OnPaper]]:
    """Every piece of a plan that fits one page, and where it is on paper."""
    found = strips_of(made)
    (page,) = drawn(strips_pdf(found))
    every = [piece for strip in found.strips for piece in pieces(strip, LONGEST)]
    return list(zip(every, columns(page, WIDTH[made.survey.units]), strict=True))


def tall(made):
    """The plan with a post and an arm long enough for several pages."""
    return replace(made, post_zero=ScaleZero(0.0, 1000.0), arm_zero=ScaleZero(40.0, 800.0))


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_tick_lies_at_its_millimetre(example):
    """Whole cm are 4.5 mm long, half ones 3.5, the others 2.5; all from the piece's lower end."""
    long = {0: 4.5, 5: 3.5}
    inches = 4.5 if example == "seed-trays-inch" else None
    for piece, paper in shown(plan(example)):
        whole = range(math.ceil(piece.low), math.floor(piece.high) + 1)
        for length in (4.5, 3.5, 2.5):
            wanted = [mm - piece.low for mm in whole if long.get(mm % 10, 2.5) == length]
            if length != inches:
                assert paper.heights(length) == pytest.approx(wanted, abs=EXACT)


@pytest.mark.parametrize("example", EXAMPLES)
def test_marks_lie_at_the_set_up_numbers_from_the_end_of_the_bar(example):
    made, setup = plan(example), studied(example).setup
    step = made.survey.standoff.setting
    for name, wanted in (
        ("post", {s.post_scale_mm for s in setup.products}),
        ("arm", {s.arm_scale_mm for s in setup.products}),
    ):
        on_paper = [y + p.low for p, paper in shown(made) if p.strip == name for y in paper.heights(MARK)]
        assert on_paper
        for reading in wanted:
            assert min(abs(at - reading) for at in on_paper) < EXACT + step / 2
        for at in on_paper:
            assert min(abs(at - reading) for reading in wanted) < EXACT + step / 2


def test_a_mark_is_as_far_from_the_end_as_its_reading_says():
    """123.4 mm above the end of the post; 60.6 mm from that of an arm whose scale begins at 40."""
    made = replace(plan_of([("bean", 123.4, 100.6, 0.0, 90.0)]), arm_zero=ScaleZero(40.0, 200.0))
    (_, post), (_, arm) = shown(made)
    assert post.heights(MARK) == pytest.approx([123.4], abs=EXACT)
    assert arm.heights(MARK) == pytest.approx([60.6], abs=EXACT)


def test_sixteenths_of_an_inch_stand_beside_the_millimetres():
    """Odd sixteenths are 1.7 mm long, odd eighths 2.4 mm."""
    for piece, paper in shown(plan("seed-trays-inch")):
        for length, first in ((1.7, 1), (2.4, 2)):
            every = [n * 25.4 / 16 for n in range(first, 400, 2 * first)]
            wanted = [mm - piece.low for mm in every if piece.low <= mm <= piece.high]
            assert paper.heights(length) == pytest.approx(wanted, abs=EXACT)


@pytest.mark.parametrize(
    ("example", "lengths"), [("seed-cartons", [100.0]), ("seed-trays-inch", [100.0, 101.6])]
)
def test_check_bars_are_true_both_ways(example, lengths):
    (page,) = drawn(strips_pdf(strips_of(plan(example))))
    straight = [d for d in page if not d.curved and len(d.points) == 2]
    for long in lengths:
        level = [d for d in straight if abs(d.width - long) < EXACT and d.height < EXACT]
        upright = [d for d in straight if abs(d.height - long) < EXACT and d.width < EXACT]
        assert (len(level), len(upright)) == (1, 1)


@pytest.mark.parametrize(("units", "paper"), [("mm", (210.0, 297.0)), ("in", (8.5 * 25.4, 11 * 25.4))])
def test_long_strips_go_on_over_pages_of_a4_or_letter(units, paper):
    rows = [("bean", 950.0, 700.0, 0.0, 90.0), ("pea", 400.0, 100.0, 0.0, 90.0)]
    pages = PdfReader(BytesIO(strips_pdf(strips_of(tall(plan_of(rows, units=units)))))).pages
    assert len(pages) >= 2
    for page in pages:
        size = (float(page.mediabox.width) * MM_PER_POINT, float(page.mediabox.height) * MM_PER_POINT)
        assert size == pytest.approx(paper, abs=EXACT)
        assert PRINT_TRUE in page.extract_text()


def test_pieces_join_without_a_gap_and_every_mark_is_on_one():
    (post, arm) = strips_of(tall(plan_of(PRODUCTS))).strips
    assert (post.low, arm.low) == (0.0, 40.0)
    for strip in (post, arm):
        made = pieces(strip, LONGEST)
        assert (made[0].low, made[-1].high) == (strip.low, strip.high)
        assert all(a.high == b.low for a, b in pairwise(made))
        assert all(piece.high - piece.low <= LONGEST for piece in made)
        assert [piece.last for piece in made] == [False] * (len(made) - 1) + [True]
        assert all(any(p.low <= mark.at <= p.high for p in made) for mark in strip.marks)
    assert [mark.at for mark in post.marks] == [300.0, 360.0, 420.0, 480.0]


def test_crowded_names_keep_apart_and_near_their_marks_and_the_others_are_counted():
    rows = [(f"p{i}", 100.0 + i * 0.6, 50.0, 0.0, 90.0) for i in range(60)]
    made = strips_of(plan_of(rows))
    post = made.strips[0]
    assert 10 <= len(post.marks) < 60
    assert post.unmarked == 60 - len(post.marks)
    assert f"Readings without room for a mark: {post.unmarked}." in made.legend
    labels = [mark.label_at for mark in post.marks]
    assert all(b - a > 2.9 for a, b in pairwise(labels))
    assert all(abs(mark.label_at - mark.at) <= 3.0 for mark in post.marks)


def test_the_readings_of_most_products_are_marked_first():
    rows = [(f"p{i}", 100.0 + i * 0.6, 50.0, 0.0, 90.0) for i in range(60)]
    often = [(f"q{i}", 118.0, 50.0, 0.0, 90.0) for i in range(3)]
    post = strips_of(plan_of([*rows, *often])).strips[0]
    assert any(mark.at == pytest.approx(118.0, abs=0.3) for mark in post.marks)


def test_one_reading_of_many_groups_has_one_short_name():
    cases = ([0], [0, 2], [0, 1], [1, 2, 3], [0, 2, 5], [30, 31, 32], [800, 900])
    assert [short_names(places) for places in cases] == ["A", "A C", "A B", "B–D", "A…", "AE…", "…"]


def test_names_stay_on_the_strip():
    rows = [(f"p{i}", 100.0 + 7.0 * i, 50.0 + 20.0 * (i % 3), 0.0, 90.0) for i in range(40)]
    for svg in strip_pages(strips_of(plan_of(rows))):
        rights = sorted(float(e.attrib["x1"]) for e in with_role(svg, "outline"))
        names = [t for t in texts(svg) if re.fullmatch(r"[A-Z]{1,2}(…|[ –][A-Z]+)?", t.text)]
        assert names
        for name in names:
            assert any(0.0 <= right - name.patch.high[0] < 7.0 for right in rights), name.text


@pytest.mark.parametrize("example", EXAMPLES)
def test_no_text_lies_on_another_or_off_the_paper(example):
    for svg in strip_pages(strips_of(plan(example))):
        found = list(texts(svg))
        assert overlapping(found) == []
        assert all(t.patch.low[0] >= 5.0 for t in found)
    (page,) = PdfReader(BytesIO(strips_pdf(strips_of(plan(example))))).pages
    text = " ".join(page.extract_text().split())
    for words in (
        "post's sawn lower end",
        "arm's sawn operator end",
        "underside of the cross plate",
        "lock out",
    ):
        assert words in text, words
