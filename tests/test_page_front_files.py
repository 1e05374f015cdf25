"""The page's files in a browser: a fabricator's path, flats drawn from their DXF, shared links."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import ezdxf
import ezdxf.bbox
import pytest
from test_flat_dxf import RULE, bracket

from mountgen.package.dxf_flavour import Flavour
from mountgen.package.flat_dxf import flat_drawing
from mountgen.sheet.flat import unfold

if TYPE_CHECKING:
    from playwright.sync_api import Page

DESK = (1440, 900)
Browse = Callable[..., "Page"]
DRAWN = "text => import('/app/dxf.js').then(dxf => dxf.dxfFigure(text, 'flat').textContent)"
VERSIONS = ("R12", "R2000")


def test_fabricator_builds_looks_and_takes_the_files(browse: Browse, tmp_path: Path) -> None:
    page = browse(DESK)
    page.click("[data-starter=compost-sacks]")
    page.locator("#build:enabled").click()
    page.locator(".build[data-state=running] progress").wait_for()
    page.click("#build")
    waiting = page.locator(".build[data-state=queued]")
    waiting.locator("button").click()
    page.locator(".build[data-state=cancelled]").wait_for()
    page.locator(".build[data-state=done]").wait_for(timeout=90_000)
    assert "locked out" in page.inner_text(".build[data-state=done] .safety")
    shown_in_page(page, "set-up.pdf", "img")
    assert page.locator(".pages img").first.evaluate("one => one.decode().then(() => one.naturalWidth)") > 300
    shown_in_page(page, "flat/C10.dxf", "svg path.layer-cut-outer")
    with page.expect_download() as single:
        page.locator(".files li", has_text="flat/C10.dxf").locator("a").click()
    with page.expect_download() as whole:
        page.click("text=Download the whole package")
    with zipfile.ZipFile(io.BytesIO(Path(whole.value.path()).read_bytes())) as archive:
        assert Path(single.value.path()).read_bytes() == archive.read("compost-sacks/flat/C10.dxf")


def shown_in_page(page: Page, path: str, what: str) -> None:
    item = page.locator(".files li", has_text=path)
    item.locator("summary").click()
    item.locator(what).first.wait_for()


@pytest.mark.parametrize("version", VERSIONS)
def test_flats_are_drawn_at_the_size_that_another_reader_finds(browse: Browse, version: str) -> None:
    part = bracket()
    text = flat_drawing(part, unfold(part, RULE), Flavour(version))
    figure = browse(DESK).evaluate(DRAWN, text)
    outline = [one for one in ezdxf.read(io.StringIO(text)).modelspace() if one.dxf.layer != "MARK"]
    size = ezdxf.bbox.extents(outline).size
    wide, tall = (float(words.removesuffix(" mm")) for words in figure.split(" over all")[0].split(" × "))
    assert (wide, tall) == (pytest.approx(size.x, abs=0.0051), pytest.approx(size.y, abs=0.0051))
    assert "Not drawn" not in figure


def test_an_arc_reaches_beyond_its_ends(browse: Browse) -> None:
    """Half a disc: its ends lie on the y axis, its outline reaches 10 mm to the right of it."""
    pairs = (
        "0 SECTION 2 ENTITIES 0 LWPOLYLINE 8 CUT_OUTER 70 1 10 0 20 -10 42 1 10 0 20 10 "
        "0 LINE 8 CUT_INNER 10 0 20 0 11 5 21 0 0 ENDSEC"
    )
    text = "\n".join(pairs.split()) + "\n"
    assert browse(DESK).evaluate(DRAWN, text).startswith("10 mm × 20 mm")


def test_a_link_gives_the_survey_back(browse: Browse) -> None:
    page = browse(DESK)
    again = "text => import('/app/link.js').then(async link => link.surveyOfLink(await link.linkOf(text)))"
    for text in ("", "name = 'ü – ½ ✓'\n", "x = 1\n" * 5000):
        assert page.evaluate(again, text) == text


def test_a_link_that_was_cut_off_leads_to_the_start(browse: Browse) -> None:
    page = browse(DESK, "#s=q1YqSy0")
    page.wait_for_selector("[data-starter=carton-side]")
    assert "cut off" in page.inner_text("#start-fault")
