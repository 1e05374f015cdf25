"""The page in a browser: the path of each of its three users, at a tablet's size and at a desk's.

The console stays empty and nothing is asked for from elsewhere: `browse` looks at both after each test.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from conftest import CARTONS

if TYPE_CHECKING:
    from playwright.sync_api import Page

TABLET, DESK = (820, 1180), (1440, 900)
ANSWERED = "#answer:is([data-verdict=pass], [data-verdict=caution], [data-verdict=fail])"
Browse = Callable[..., "Page"]
UNDERSTOOD = [
    ("2 1/4 in", "= 57.15 mm", "2 1/4 in"),
    ("1.250,5", "", "1250.5"),
    ("1,250.5 mm", "", "1250.5 mm"),
    ("1,250", "understood as 1250 mm", "1250"),
    ("850,5 +/- 5", "", "850.5 +/- 5"),
]
"""What is typed as the height of the surface, what is told of it, what is set."""
CELLS = """rows => rows.map(row => ({
    id: row.dataset.check,
    texts: [...row.querySelectorAll(".number")].map(cell => cell.textContent),
}))"""


def begin(page: Page, starter: str) -> None:
    page.click(f"[data-starter={starter}]")
    page.wait_for_selector(ANSWERED)


def open_group(page: Page, group: str) -> None:
    page.click(f"[data-group={group}] > summary")


def verdict(page: Page, kind: str) -> None:
    page.wait_for_selector(f"#answer[data-verdict={kind}][aria-busy=false]")


def test_sales_engineer_on_a_tablet_answers_and_takes_a_remedy(browse: Browse) -> None:
    page = browse(TABLET)
    begin(page, "carton-side")
    assert page.inner_text("#headline") == "Feasible"
    assert page.locator("#tightest li").count() == 3
    open_group(page, "guides")
    page.fill("#field-guides-open-0", "-60")
    verdict(page, "fail")
    apply = page.locator("#remedy-list button").first
    apply.wait_for()
    apply.click()
    page.wait_for_selector("#answer:is([data-verdict=pass], [data-verdict=caution])")
    assert page.locator("#changed-list li").count() >= 1


def test_a_field_says_what_it_understood(browse: Browse) -> None:
    page = browse(DESK, locale="en-GB")
    begin(page, "carton-side")
    for typed, understood, set_to in UNDERSTOOD:
        page.fill("#field-line-surface_height", typed)
        assert page.text_content("#field-line-surface_height-read") == understood
        assert page.inner_text("#changed-list b") == set_to


def test_a_browser_that_writes_commas_is_read_with_commas(browse: Browse) -> None:
    page = browse(DESK, locale="de-DE")
    begin(page, "carton-side")
    assert page.input_value("#field-line-first_roller_at") == "37,5"
    page.fill("#field-line-surface_height", "1.250")
    assert page.inner_text("#changed-list b") == "1250"


def test_the_field_in_hand_is_shown_in_the_sketch(browse: Browse) -> None:
    page = browse(TABLET)
    begin(page, "carton-side")
    open_group(page, "product")
    page.focus("#field-product-1-width")
    assert page.text_content("#sketch-across .dimension text") == "190 mm"
    page.locator("#sketch-above .balloon", has_text="a").click()
    assert page.evaluate("document.activeElement.id") == "field-product-1-length"
    assert page.text_content("#sketch-above .dimension text") == "280 mm"


def test_a_fault_stands_at_its_field_and_goes_when_it_is_mended(browse: Browse) -> None:
    page = browse(TABLET, refused="status of 422")
    begin(page, "carton-side")
    page.fill("#field-line-speed", "fast")
    page.press("#field-line-speed", "Tab")
    page.wait_for_selector("#field-line-speed[aria-invalid=true]")
    assert "m/min" in page.inner_text("#field-line-speed-fault")
    assert page.inner_text("#headline") == "One value cannot be used"
    page.fill("#field-line-speed", "0,5 m/s")
    verdict(page, "pass")
    assert page.inner_text("#field-line-speed-fault") == ""


def test_numbers_are_those_of_check_json_to_the_last_digit(browse: Browse, run: Callable[..., Any]) -> None:
    checks = json.loads(run("check", CARTONS, "--json").out)["checks"]
    page = browse(DESK)
    begin(page, "seed-cartons")
    page.click("#checks-box > summary")
    rows = page.eval_on_selector_all("#check-rows tr", CELLS)
    assert [row["id"] for row in rows] == [check["id"] for check in checks]
    for row, check in zip(rows, checks, strict=True):
        texts = [text.removesuffix(check["unit"]) for text in row["texts"]]
        assert [float(text) for text in texts] == [check[key] for key in ("value", "limit", "margin")]


def test_integrator_moves_a_value_shares_it_and_prints(browse: Browse, tmp_path: Path) -> None:
    page = browse(DESK)
    begin(page, "compost-sacks")
    page.click("#whatif-box > summary")
    page.fill("#whatif-line-speed", "30")
    assert page.locator("#changed-list b").inner_text().startswith("30 ")
    for chart in ("histogram", "reach"):
        page.locator(f"#results > details:has(#{chart}) > summary").click()
        assert page.locator(f"#{chart} svg").is_visible()
    with page.expect_download() as saved:
        page.click("#save-survey")
    path = tmp_path / "saved.toml"
    saved.value.save_as(path)
    assert tomllib.loads(path.read_text(encoding="utf-8"))["line"]["speed"].startswith("30 ")
    page.click("#copy-link")
    link = page.wait_for_selector("#link:visible").input_value()
    other = browse(TABLET, link.split("/", 3)[3])
    other.wait_for_selector(ANSWERED)
    assert other.input_value("#field-line-speed").startswith("30 ")


def test_integrator_compares_families_and_takes_one(browse: Browse) -> None:
    page = browse(DESK)
    begin(page, "carton-side")
    page.click("#options-box > summary")
    page.click("#ask-options")
    page.locator("#options-rows > li[data-status=works]", has_text="rail mast").wait_for()
    assert page.locator("#options-rows > li[data-status=unfit]", has_text="no T-slots").count() == 1
    page.click("[aria-label='Take the rail mast']")
    page.wait_for_selector("#changed:visible")
    assert page.inner_text("#changed-list b") == "rail_mast"
    verdict(page, "pass")


def test_products_and_things_in_the_way_come_and_go(browse: Browse) -> None:
    page = browse(DESK)
    begin(page, "seed-cartons")
    open_group(page, "product")
    page.click("text=Add a copy")
    page.wait_for_selector("label:has-text('product, 2 of 5')")
    assert page.input_value("#field-product-2-name") == "carton S 2"
    page.locator("[data-group=product] >> text=Take it out").click()
    page.wait_for_selector("label:has-text('product, 1 of 4')")
    open_group(page, "rail")
    page.locator("[data-group=rail] >> text=Take it out").first.click()
    page.wait_for_selector("#field-rail-keepout-2--what", state="detached")
    assert page.input_value("#field-rail-keepout-1-what") == "drive guard"


def test_inch_is_shown_where_inch_is_preferred(browse: Browse) -> None:
    page = browse(DESK)
    begin(page, "seed-trays-inch")
    assert page.input_value("#prefer-unit") == "in"
    assert page.input_value("#field-line-surface_height") == "33 1/2 +/- 1/4"
    page.select_option("#prefer-unit", "mm")
    assert page.input_value("#field-line-surface_height") == "33 1/2 +/- 1/4 in"
    page.click("#checks-box > summary")
    assert " mm" in page.inner_text("#check-rows tr:first-child .number >> nth=0")


@pytest.mark.campaign
def test_edit_to_verdict_is_measured(browse: Browse, record_property: Callable[[str, object], None]) -> None:
    page = browse(TABLET)
    begin(page, "seed-cartons")
    for number in range(12):
        page.fill("#field-line-first_roller_at", str(37.5 + number / 10))
        page.wait_for_selector("#answer[aria-busy=false]")
    times = sorted(page.evaluate("performance.getEntriesByName('edit to verdict').map(one => one.duration)"))
    assert len(times) >= 12
    assert all(re.fullmatch(r"\d+(\.\d+)?", str(one)) for one in times)
    record_property("edit_to_verdict_ms_median", times[len(times) // 2])
    record_property("edit_to_verdict_ms_p95", times[int(len(times) * 0.95)])
