"""The feasibility page: self-contained, escaped, readable, and there even when nothing was found."""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from drawing_samples import mount, renamed

from mountgen.checks.records import Check
from mountgen.package.feasibility import (
    MOST_PRODUCTS,
    STYLE,
    amount,
    closeness,
    feasibility_page,
    in_words,
    write_feasibility,
)
from mountgen.package.feasibility_scene import line_boxes
from mountgen.package.records import Findings, SceneBox

EVIL = "<script>alert(1)</script> & \"x\" 'y'"
VOID = {"meta", "br", "rect", "path", "line"}


def findings(**changes) -> Findings:
    dossier = mount()
    plain = Findings(
        dossier.survey,
        dossier.verdict,
        dossier.checks,
        dossier.setup,
        dossier.scene,
        dossier.effects,
        dossier.holding,
    )
    return replace(plain, **changes)


class Reader(HTMLParser):
    """Collects tags, attributes and text, and checks that every tag is closed in order."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict]] = []
        self.text = ""
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open and self.open[-1] != "style":
            self.text += data


def check(**changes) -> Check:
    base = Check("sag", "sag at the nozzle", "pass", 0.2, 0.5, "mm", 0.3, "beam theory")
    return replace(base, **changes)


def test_the_page_is_whole_and_needs_nothing_else():
    page = feasibility_page(findings())
    reader = Reader(page)
    assert reader.open == []
    assert not re.search(r"(?:src|href)\s*=|@import|url\(|https?:", page)
    assert "script" not in {tag for tag, _ in reader.tags}
    assert [tag for tag, _ in reader.tags].count("svg") == 3


def test_every_check_is_in_the_table_with_source_and_remedy():
    text = Reader(feasibility_page(findings())).text.lower()
    for one in mount().checks:
        assert one.title.lower() in text
        assert one.source.lower() in text
        assert one.remedy.rstrip(".").lower() in text


def test_the_verdict_comes_first_in_words():
    failed = check(verdict="fail", value=0.7, margin=-0.2, remedy="a 3 mm plate instead of 2 mm")
    page = Reader(feasibility_page(findings(verdict="not feasible", checks=(failed, check()))))
    order = [page.text.index(words) for words in ("Not feasible", "What is tightest", "All checks")]
    assert order == sorted(order)
    assert "0.20 mm short. A 3 mm plate instead of 2 mm." in page.text


def test_nothing_found_still_gives_a_page():
    bare = findings(verdict="not feasible", setup=None, scene=(), checks=())
    page = Reader(feasibility_page(bare))
    assert page.open == []
    assert "Not feasible" in page.text
    assert "Settings for each product" not in page.text


def test_failures_are_tightest_then_the_smallest_share_of_the_limit():
    wide, narrow = check(margin=0.4), check(margin=0.01)
    tight, failed = check(verdict="caution", margin=0.45), check(verdict="fail", margin=-0.1)
    assert sorted((wide, narrow, tight, failed), key=closeness) == [failed, tight, narrow, wide]


def test_a_share_of_nearly_all_is_near_by_what_it_leaves():
    """99.8 % where 99.5 are needed leave six tenths of what may fail; 2 % of 2.1 % leave a twentieth."""
    nearly_all = check(unit="%", value=99.8, limit=99.5, margin=0.3)
    little = check(unit="%", value=2.0, limit=2.1, margin=0.1)
    assert closeness(nearly_all)[1] == pytest.approx(0.6)
    assert sorted((nearly_all, little), key=closeness) == [little, nearly_all]


def test_a_check_in_words_says_which_side_of_the_limit_is_good():
    assert in_words(check(), "mm") == "0.20 mm, where at most 0.50 mm is allowed: 0.30 mm left"
    above = check(value=12.0, limit=10.0, margin=2.0)
    assert in_words(above, "mm") == "12.0 mm, where at least 10.0 mm is needed: 2.00 mm left"


def test_small_inches_are_decimals():
    assert amount(0.254, "mm", "in") == "0.01 in"
    assert amount(57.15, "mm", "in") == "2 1/4 in"
    assert amount(1.5, "hole diameters", "in") == "1.5 hole diameters"


def test_users_text_is_escaped_everywhere():
    evil = renamed(mount(), EVIL)
    scene = (SceneBox(EVIL, mount().scene[0].box, (0.1, 0.2, 0.3)),)
    bad = check(title=EVIL, source=EVIL, remedy=EVIL, unit=EVIL)
    page = feasibility_page(replace(evil, scene=scene, checks=(bad,)))
    reader = Reader(page)
    assert "<script" not in page
    assert reader.open == []
    assert reader.text.count("<script>alert(1)</script>") >= 6


def test_pictures_are_to_scale():
    """The picture along the line: the scene's post is 25 mm wide (y) and 400 high, the bar 100 mm."""
    page = feasibility_page(findings())
    figure = re.search(r"<svg.*?</svg>", page, re.DOTALL).group()
    sizes = re.search(r'width="([\d.]+)" height="([\d.]+)" fill="[^"]*"><title>post<', figure)
    wide, tall = (float(size) for size in sizes.groups())
    assert tall / wide == pytest.approx(400 / 25, rel=1e-4)
    start, end = (float(n) for n in re.search(r'class="bar" d="M([\d.]+) .*?H([\d.]+)m', figure).groups())
    assert (end - start) / 100 == pytest.approx(wide / 25, rel=1e-4)


def test_the_far_rail_mirrors_the_near_one():
    survey = mount().survey
    rails = [box.box for box in line_boxes(survey) if box.name == "side rail"]
    near, far = rails[::2], rails[1::2]
    for a, b in zip(near, far, strict=True):
        assert a.low[1] + b.high[1] == pytest.approx(survey.rail.far_rail_at)
        assert a.high[1] + b.low[1] == pytest.approx(survey.rail.far_rail_at)


def test_a_million_products_do_not_make_a_million_rows():
    many = replace(mount().setup, products=(mount().setup.products[0],) * 5000)
    page = feasibility_page(findings(setup=many))
    assert f"And {5000 - MOST_PRODUCTS} more" in page
    assert len(page) < 200_000


def luminance(colour: str) -> float:
    """WCAG 2.2, relative luminance."""
    shares = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def palettes() -> list[dict[str, str]]:
    blocks = re.findall(r":root \{([^}]*)\}", STYLE.read_text(encoding="utf-8"))
    found = [dict(re.findall(r"--(\w+): (#\w+);", block)) for block in blocks]
    return [{name: full(colour) for name, colour in palette.items()} for palette in found]


def full(colour: str) -> str:
    """#abc as #aabbcc."""
    return colour if len(colour) == 7 else "#" + "".join(2 * digit for digit in colour[1:])


@pytest.mark.parametrize("ground", ["paper", "panel"])
@pytest.mark.parametrize("ink", ["ink", "quiet", "pass", "caution", "fail"])
def test_contrast_in_light_dark_and_print(ink, ground):
    """WCAG 2.2, 1.4.3: at least 4.5 to 1."""
    assert len(palettes()) == 3
    for palette in palettes():
        high, low = sorted((luminance(palette[ink]), luminance(palette[ground])), reverse=True)
        assert (high + 0.05) / (low + 0.05) >= 4.5


def test_the_page_needs_neither_kernel_nor_typst(tmp_path):
    code = (
        "import sys, mountgen.package.feasibility\n"
        "heavy = {'OCP', 'cadquery', 'typst', 'ezdxf'} & set(sys.modules)\n"
        "sys.exit(str(heavy) if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    write_feasibility(tmp_path / "page.html", findings())
    assert (tmp_path / "page.html").read_text(encoding="utf-8").startswith("<!doctype html>")
