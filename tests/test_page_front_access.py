"""The page against WCAG 2.2 A and AA, by the rules of axe-core; touch targets and keys by measuring."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from axe_playwright_python.sync_playwright import Axe

if TYPE_CHECKING:
    from playwright.sync_api import Page

TABLET, DESK = (820, 1180), (1440, 900)
Browse = Callable[..., "Page"]
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}


def violations(page: Page, rules: dict[str, object]) -> list[str]:
    found = Axe().run(page, options=rules).response
    return [f"{one['id']}: {node['html'][:160]}" for one in found["violations"] for node in one["nodes"]]


def unfold(page: Page) -> None:
    page.click("[data-starter=seed-cartons]")
    page.wait_for_selector("#answer[data-verdict=pass]")
    page.eval_on_selector_all("#results > details, #text-box", "all => all.forEach(box => (box.open = true))")
    page.click("[data-group=product] > summary")


def test_axe_finds_nothing(browse: Browse) -> None:
    page = browse(TABLET)
    page.wait_for_selector("[data-starter=seed-cartons]")
    assert violations(page, RULES) == []
    unfold(page)
    assert violations(page, RULES) == []


def test_dark_has_contrast_enough(browse: Browse) -> None:
    page = browse(DESK, color_scheme="dark")
    unfold(page)
    assert violations(page, {"runOnly": {"type": "rule", "values": ["color-contrast"]}}) == []


def test_what_is_touched_is_44_px_high(browse: Browse) -> None:
    page = browse(TABLET)
    page.click("[data-starter=seed-cartons]")
    page.wait_for_selector("#answer[data-verdict=pass]")
    small = page.eval_on_selector_all(
        "button, select, input:not([type=checkbox]), summary, nav a",
        "all => all.filter(one => one.checkVisibility() && one.getBoundingClientRect().height < 44)"
        ".map(one => one.outerHTML.slice(0, 120))",
    )
    assert small == []


def test_keys_alone_lead_from_the_start_to_a_new_verdict(browse: Browse) -> None:
    page = browse(DESK)
    page.wait_for_selector("[data-starter=carton-side]")
    page.focus("[data-starter=carton-side]")
    page.keyboard.press("Enter")
    page.wait_for_selector("#answer[data-verdict=pass]")
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.id") == "field-line-speed":
            break
    page.keyboard.press("Control+A")
    page.keyboard.type("20 m/min")
    page.wait_for_selector("#changed:visible")
    assert page.inner_text("#changed-list b") == "20 m/min"
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
    assert outline == "3px"


def test_the_verdict_is_said_to_a_screen_reader(browse: Browse) -> None:
    page = browse(TABLET)
    page.click("[data-starter=carton-side]")
    page.locator("#status", has_text="Feasible").wait_for(state="attached")
    assert page.get_attribute("#status", "aria-live") == "polite"


def test_light_and_dark_by_choice(browse: Browse) -> None:
    page = browse(TABLET, color_scheme="light")
    paper = "getComputedStyle(document.body).backgroundColor"
    light = page.evaluate(paper)
    page.select_option("#prefer-theme", "dark")
    assert page.evaluate(paper) != light
    page.reload()
    assert page.evaluate(paper) != light
