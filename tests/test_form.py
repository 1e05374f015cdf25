"""The printed survey form: one page, every letter drawn and asked for, nothing over anything else."""

import itertools
import re

import pypdf
import pytest

from mountgen.package.form import CAUTIONS, TICKS, WATCH, form_pdf
from mountgen.package.form_front import SIZE as FRONT_SIZE
from mountgen.package.form_front import front_view
from mountgen.package.form_marks import BADGE
from mountgen.package.form_plan import SIZE as PLAN_SIZE
from mountgen.package.form_plan import plan_view
from mountgen.package.svg_text import text_width
from mountgen.survey.asked import LINE, PRODUCT

VIEWS = [(front_view, FRONT_SIZE), (plan_view, PLAN_SIZE)]
IN_THE_TABLE_ALONE = {"V", "W", "q"}
"""Neither view shows what the slope is measured against, the next leg, or a weight."""
PAPERS = {"mm": (210.0, 297.0), "in": (215.9, 279.4)}
"""ISO 216 A4; ANSI/ASME Y14.1 size A."""


def letters(svg):
    """Each letter in a ring with the ring's middle."""
    rings = re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="2.3".*?<text class="letter"[^>]*>(\w)<', svg)
    return [(letter, (float(x), float(y))) for x, y, letter in rings]


def notes(svg):
    """Each note as the box that it covers: left, top, right, bottom."""
    found = re.findall(r'<text class="note" x="([\d.]+)" y="([\d.]+)"[^>]*>([^<]+)<', svg)
    for x, y, text in found:
        half = text_width(text, 1.9) / 2
        yield text, (float(x) - half, float(y) - 1.9, float(x) + half, float(y) + 0.6)


def test_every_letter_is_drawn():
    drawn = {letter for view, _ in VIEWS for letter, _ in letters(view())}
    assert drawn == {asked.letter for asked in (*LINE, *PRODUCT)} - IN_THE_TABLE_ALONE


@pytest.mark.parametrize(("view", "size"), VIEWS)
def test_nothing_covers_a_letter_or_leaves_the_view(view, size):
    svg = view()
    for (one, a), (other, b) in itertools.combinations(letters(svg), 2):
        assert (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 > (2 * BADGE) ** 2, (one, other)
    boxes = [
        *((letter, (x - BADGE, y - BADGE, x + BADGE, y + BADGE)) for letter, (x, y) in letters(svg)),
        *notes(svg),
    ]
    for name, (left, top, right, bottom) in boxes:
        assert min(left, top) > 0 and right < size[0] and bottom < size[1], name
    for (one, a), (other, b) in itertools.combinations(boxes, 2):
        apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
        assert apart or len(one) == len(other) == 1, (one, other)


@pytest.mark.parametrize(("view", "size"), VIEWS)
def test_no_arrow_ends_under_a_letter(view, size):
    """The ring is white: an arrow's tip under it could not be seen."""
    svg = view()
    tips = re.findall(r'<polygon points="([\d.]+),([\d.]+)', svg)
    assert len(tips) > 10
    for letter, (x, y) in letters(svg):
        for tip_x, tip_y in tips:
            assert (float(tip_x) - x) ** 2 + (float(tip_y) - y) ** 2 > BADGE**2, letter


@pytest.fixture(scope="module", params=["mm", "in"])
def form(request, tmp_path_factory):
    path = tmp_path_factory.mktemp("form") / "form.pdf"
    path.write_bytes(form_pdf(request.param))
    return request.param, path


def test_one_page_of_the_right_paper(form):
    units, path = form
    (page,) = pypdf.PdfReader(path).pages
    shown = [float(side) * 25.4 / 72 for side in page.mediabox[2:]]
    assert shown == pytest.approx(PAPERS[units], abs=0.1)


def test_what_the_page_says(form):
    units, path = form
    text = " ".join(pypdf.PdfReader(path).pages[0].extract_text().split())
    for words in (*CAUTIONS, *WATCH, *(choice for _, choices in TICKS for choice in choices)):
        assert words in text
    assert ("all in mm" if units == "mm" else "all in inches") in text
    for asked in (*LINE, *PRODUCT):
        if asked.letter != "T":
            assert asked.what in text
    assert "T What is in the way" in text
    assert "locked out" in text
    assert "Local codes" in text


def test_the_page_is_tagged_and_always_the_same(form, tmp_path):
    units, path = form
    again = tmp_path / "again.pdf"
    again.write_bytes(form_pdf(units))
    assert again.read_bytes() == path.read_bytes()
    catalogue = pypdf.PdfReader(path).trailer["/Root"]
    assert catalogue["/MarkInfo"]["/Marked"]
    assert str(catalogue["/Lang"]) == "en"
