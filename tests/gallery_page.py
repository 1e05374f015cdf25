"""Pictures of the page for the README: at a tablet's size with a remedy, at a desk's with the model.

    python tests/gallery_page.py ADDRESS [FOLDER]

ADDRESS is where `mountgen serve` says the page is; pictures go to outputs/gallery (or FOLDER). Needs
chromium.
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

GALLERY = Path(__file__).resolve().parents[1] / "outputs/gallery"
TABLET, DESK = (820, 1180), (1440, 900)


def main() -> None:
    address, folder = sys.argv[1], Path(sys.argv[2]) if len(sys.argv) > 2 else GALLERY
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"))
        _with_remedy(_opened(browser, address, TABLET, "carton-side"), folder / "page-tablet.png")
        _with_model(_opened(browser, address, DESK, "seed-cartons"), folder / "page-desk.png")
        browser.close()


def _opened(browser: Browser, address: str, size: tuple[int, int], starter: str) -> Page:
    page = browser.new_context(viewport={"width": size[0], "height": size[1]}).new_page()
    page.set_default_timeout(120_000)
    page.goto(address)
    page.click(f"[data-starter={starter}]")
    page.wait_for_selector("#answer[data-verdict=pass]")
    return page


def _with_remedy(page: Page, path: Path) -> None:
    """The opening of the near guide is too short on its left."""
    page.click("[data-group=guides] > summary")
    page.fill("#field-guides-open-0", "-60")
    page.locator("#remedy-list button").first.wait_for()
    page.evaluate("scrollTo(0, 0)")
    page.screenshot(path=path)


def _with_model(page: Page, path: Path) -> None:
    page.click("#model-box > summary")
    page.wait_for_selector("#view-front svg")
    page.wait_for_timeout(3_000)
    page.screenshot(path=path)


if __name__ == "__main__":
    main()
