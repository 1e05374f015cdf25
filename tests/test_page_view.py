"""The model view in a browser with WebGL in software: what it draws, moves, cuts, names and prints.

Pictures are compared pixel by pixel with others of the same browser, never with stored ones.
"""

from __future__ import annotations

import base64
import json
import re
import shutil
import threading
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache, partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from conftest import SURVEYS
from shops import SHOP

import mountgen.page
from mountgen.catalogue.reader import Catalogue
from mountgen.detail.records import Detail
from mountgen.geometry import add
from mountgen.page.scene import scene_of
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.xdist_group("view")
"""One window for all of them."""
STATIC = Path(mountgen.page.__file__).parent / "static"
FRAME = """<!doctype html><html lang="en"><title>view</title><link rel="icon" href="data:,">
<body><div id="model" style="width:400px;height:300px"></div>
<div id="front" style="width:400px"></div><div id="side" style="width:400px"></div>
<div id="top" style="width:400px"></div>
<script type="module" src="/begin.js"></script></body></html>"""
BEGIN = """import { createModel } from "/view/model.js";
window.begin = async () => {
  window.model = createModel(document.getElementById("model"));
  const scene = await (await fetch("/scene.json")).json();
  model.show(scene);
  for (const which of ["front", "side", "top"]) model.view2d(document.getElementById(which), which);
};
await begin();
window.ready = true;"""
DIFFER = """async ([a, b]) => {
  const pixels = async (data) => {
    const bitmap = await createImageBitmap(await (await fetch("data:image/png;base64," + data)).blob());
    const pen = new OffscreenCanvas(bitmap.width, bitmap.height).getContext("2d");
    pen.drawImage(bitmap, 0, 0);
    return pen.getImageData(0, 0, bitmap.width, bitmap.height).data;
  };
  const [p, q] = [await pixels(a), await pixels(b)];
  let other = 0;
  for (let at = 0; at < p.length; at += 4) {
    const far = [0, 1, 2].reduce((sum, k) => sum + Math.abs(p[at + k] - q[at + k]), 0);
    if (far > 24) other++;
  }
  return (4 * other) / p.length;
}"""
"""The share of pixels that two pictures differ in."""
COLOURS = """async (data) => {
  const bitmap = await createImageBitmap(await (await fetch("data:image/png;base64," + data)).blob());
  const pen = new OffscreenCanvas(bitmap.width, bitmap.height).getContext("2d");
  pen.drawImage(bitmap, 0, 0);
  const { data: pixels } = pen.getImageData(0, 0, bitmap.width, bitmap.height);
  return new Set(new Uint32Array(pixels.buffer)).size;
}"""
EXTENT = """([which, label]) => {
  const faces = [...document.querySelectorAll(`#${which} path`)].filter((one) =>
    one.querySelector("title")?.textContent.startsWith(label));
  const boxes = faces.map((one) => one.getBBox());
  const low = Math.min(...boxes.map((one) => one.y));
  return [low, Math.max(...boxes.map((one) => one.y + one.height)) - low];
}"""
"""Top edge and height of a part in a drawing, in the drawing's own units."""


@cache
def cartons() -> Study:
    catalogue = Catalogue()
    return study(read_survey(SURVEYS / "seed-cartons.toml", catalogue), catalogue, SHOP)


class Handler(SimpleHTTPRequestHandler):
    """The view's files, one scene, and a page that shows it."""

    made: dict[str, tuple[str, bytes]]

    def do_GET(self) -> None:
        if self.path not in self.made:
            super().do_GET()
            return
        kind, body = self.made[self.path]
        self.send_response(200)
        self.send_header("content-type", kind)
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_: Any) -> None:
        pass


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    scene = json.dumps(scene_of(cartons())).encode()
    folder = tmp_path_factory.mktemp("glb")
    Handler.made = {
        "/frame": ("text/html", FRAME.encode()),
        "/begin.js": ("text/javascript", BEGIN.encode()),
        "/scene.json": ("application/json", scene),
        "/exact.glb": ("model/gltf-binary", glb(folder / "exact.glb", 0.0)),
        "/raised.glb": ("model/gltf-binary", glb(folder / "raised.glb", 60.0)),
    }
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Handler, directory=str(STATIC)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()


def glb(path: Path, raised: float) -> bytes:
    """The kernel's own file of post and controller, the latter moved up."""
    from mountgen.build.solids import assembly, model
    from mountgen.kernel.exchange import write_glb

    write_glb(
        path, assembly("mount", model(some_parts(raised), {cartons().scene.layout.post.material: 2700.0}))
    )
    return path.read_bytes()


def some_parts(raised: float) -> Detail:
    made = cartons().detail
    post, controller = (next(i for i in made.instances if i.name == name) for name in ("post", "controller"))
    origin = add(controller.placement.origin, (0.0, 0.0, raised))
    moved = replace(controller, placement=replace(controller.placement, origin=origin))
    return replace(
        made,
        sheets=(),
        extrusions=tuple(part for part in made.extrusions if part.number == post.part),
        bought=tuple(part for part in made.bought if part.number == controller.part),
        instances=(post, moved),
        joints=(),
    )


@dataclass
class View:
    page: Page
    troubles: list[str]

    def tell(self, script: str) -> None:
        """Runs a script and waits until the model stands still."""
        self.page.evaluate(script)
        self.page.wait_for_timeout(60)
        self.page.evaluate(
            "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
        )

    def picture(self) -> str:
        return base64.b64encode(self.page.locator("#model canvas").screenshot()).decode()

    def differ(self, a: str, b: str) -> float:
        return float(self.page.evaluate(DIFFER, [a, b]))

    def marks(self) -> list[str]:
        return self.page.locator(".model-mark:not(.model-name)").all_text_contents()


@pytest.fixture(scope="module")
def window(chromium: Browser, address: str) -> Iterator[View]:
    """One browser window with software WebGL and no movement; its console must stay empty."""
    flags = ["--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
    browser = chromium.browser_type.launch(executable_path=shutil.which("chromium"), args=flags)
    page = browser.new_page(viewport={"width": 900, "height": 800}, reduced_motion="reduce")
    page.set_default_timeout(30_000)
    found = View(page, [])
    page.on("console", lambda said: found.troubles.append(said.text))
    page.on("pageerror", lambda error: found.troubles.append(str(error)))
    page.goto(f"{address}/frame")
    page.wait_for_function("window.ready")
    yield found
    browser.close()
    assert [one for one in found.troubles if "ReadPixels" not in one] == []


@pytest.fixture
def view(window: View) -> View:
    """The window as it begins: first product, together, whole, all parts, clearances alone."""
    window.tell("""() => {
        model.product(0, 0); model.explode(0); model.section(null); model.hide([]);
        model.overlays({ clearances: true, keepouts: false, service: false });
    }""")
    window.page.locator("#model canvas").press("Home")
    window.page.mouse.move(5, 700)
    window.tell("document.activeElement.blur()")
    return window


def test_a_model_is_drawn_with_its_clearances(view: View) -> None:
    assert view.page.evaluate(COLOURS, view.picture()) > 200
    assert "stand-off: 3.2 mm" in view.marks()
    told = [one for one in scene_of(cartons())["clearances"] if one["product"] in (None, 0)]
    assert sorted(mark.split(": ")[1] for mark in view.marks()) == sorted(one["text"] for one in told)


def test_a_model_that_stands_still_is_not_drawn_again(view: View) -> None:
    count = """() => new Promise((done) => {
        const ask = window.requestAnimationFrame;
        let asked = 0;
        window.requestAnimationFrame = (...args) => { asked++; return ask(...args); };
        setTimeout(() => { window.requestAnimationFrame = ask; done(asked); }, 300);
    })"""
    assert view.page.evaluate(count) == 0


def test_the_head_moves_to_a_products_setting(view: View) -> None:
    before, (head, _) = view.picture(), view.page.evaluate(EXTENT, ["side", "S01 print head"])
    post = view.page.evaluate(EXTENT, ["side", "B10 post"])
    view.tell("model.product(3, 0)")
    settings = cartons().scene.layout.settings
    raised = float(settings.pivot_z[3] - settings.pivot_z[0])
    assert head - view.page.evaluate(EXTENT, ["side", "S01 print head"])[0] == pytest.approx(raised, abs=0.1)
    assert view.page.evaluate(EXTENT, ["side", "B10 post"]) == post
    assert view.differ(before, view.picture()) > 0.02
    assert "carton XL" in view.page.get_attribute("#model canvas", "aria-label")


def test_the_product_travels_past(view: View) -> None:
    before = view.picture()
    view.tell("model.product(0, 1)")
    gone = view.picture()
    view.tell("model.hide([]); model.product(0, -1)")
    assert view.differ(before, gone) > 0.02
    assert view.differ(gone, view.picture()) > 0.001


def test_parts_are_drawn_apart_and_together_again(view: View) -> None:
    """Gaps between parts that are apart would mislead, so none is told."""
    view.tell("model.overlays({ clearances: false })")
    before = view.picture()
    view.tell("model.explode(1)")
    assert view.differ(before, view.picture()) > 0.05
    view.tell("model.overlays({ clearances: true })")
    assert view.marks() == []
    view.tell("model.overlays({ clearances: false }); model.explode(0)")
    assert view.differ(before, view.picture()) == 0.0


@pytest.mark.parametrize("axis", ["x", "y", "z"])
def test_a_section_cuts_the_model_and_hatches_what_it_cuts(view: View, axis: str) -> None:
    before = view.picture()
    view.tell(f"model.section('{axis}', 0.5)")
    cut = view.picture()
    assert view.differ(before, cut) > 0.05
    hatched = """async (data) => {
      const bitmap = await createImageBitmap(await (await fetch("data:image/png;base64," + data)).blob());
      const pen = new OffscreenCanvas(bitmap.width, bitmap.height).getContext("2d");
      pen.drawImage(bitmap, 0, 0);
      const d = pen.getImageData(0, 0, bitmap.width, bitmap.height).data;
      let count = 0;
      for (let at = 0; at < d.length; at += 4) {
        count += Math.abs(d[at] - 230) + Math.abs(d[at + 1] - 220) + Math.abs(d[at + 2] - 195) < 12;
      }
      return count;
    }"""
    assert view.page.evaluate(hatched, cut) > 40 + 2 * view.page.evaluate(hatched, before)


def test_a_hidden_part_is_gone_from_model_and_drawings(view: View) -> None:
    before = view.picture()
    view.tell("model.hide(['controller', 'post'])")
    assert view.differ(before, view.picture()) > 0.05
    labels = view.page.locator("#front path title").all_text_contents()
    assert not [label for label in labels if label.startswith("B10 post")]
    assert [label for label in labels if label.startswith("B11 arm")]


def test_what_is_under_the_pointer_is_named_with_its_number(view: View) -> None:
    box = view.page.locator("#model canvas").bounding_box()
    assert box is not None
    names = set()
    for share in (0.4, 0.5, 0.55, 0.6, 0.7):
        view.page.mouse.move(box["x"] + share * box["width"], box["y"] + 0.45 * box["height"])
        view.tell("() => 0")
        names |= set(view.page.locator(".model-name:visible").all_text_contents())
    assert [name for name in names if re.match(r"[A-Z]\d\d", name)], names


def test_keepouts_and_service_room_are_shown_on_demand(view: View) -> None:
    before = view.picture()
    view.tell("model.overlays({ clearances: true, keepouts: true, service: false })")
    keepouts = view.picture()
    view.tell("model.overlays({ clearances: true, keepouts: false, service: true })")
    assert view.differ(before, keepouts) > 0.002
    assert view.differ(before, view.picture()) > 0.002


def test_keys_turn_and_bring_nearer_and_home_comes_back(view: View) -> None:
    before, canvas = view.picture(), view.page.locator("#model canvas")
    for key in ("ArrowLeft", "ArrowUp", "+", "Shift+ArrowRight"):
        last = view.picture()
        canvas.press(key)
        view.tell("() => 0")
        assert view.differ(last, view.picture()) > 0.02, key
    canvas.press("Home")
    view.tell("document.activeElement.blur()")
    assert view.differ(before, view.picture()) < 0.001


def test_drawings_are_to_scale_and_dimensioned(view: View) -> None:
    post = cartons().scene.layout.post_length
    for which in ("front", "side"):
        assert view.page.evaluate(EXTENT, [which, "B10 post"])[1] == pytest.approx(post, abs=0.02)
    dimensions = view.page.locator("#front svg > g text").all_text_contents()
    product = scene_of(cartons())["products"][0]
    assert f"{product['height']:g}" in dimensions
    assert f"{product['code']['low'] + product['code']['across'] / 2:g}" in dimensions
    assert "100 mm" in dimensions


def test_the_exact_build_stands_where_the_layout_stood(view: View) -> None:
    """Kernel and prisms give the same bodies; only facets of roundings differ. One that the file has higher
    is seen higher: it is the file's body that is shown."""
    before = view.picture()
    view.page.evaluate("() => model.exact('/exact.glb')")
    view.tell("() => 0")
    assert view.differ(before, view.picture()) < 0.005
    view.page.evaluate("() => model.exact('/raised.glb')")
    view.tell("() => 0")
    assert view.differ(before, view.picture()) > 0.02
    view.page.evaluate("() => model.exact(null)")
    view.tell("() => 0")
    assert view.differ(before, view.picture()) == 0.0


def test_on_paper_the_model_is_a_picture(view: View) -> None:
    view.page.evaluate("() => window.dispatchEvent(new Event('beforeprint'))")
    source = view.page.get_attribute(".model-print", "src")
    assert source and view.page.evaluate(COLOURS, source.split(",")[1]) > 200
    view.page.evaluate("() => window.dispatchEvent(new Event('afterprint'))")
    assert view.page.get_attribute(".model-print", "src") is None


def test_what_is_taken_down_can_be_begun_again(view: View) -> None:
    before = view.picture()
    view.tell("model.dispose()")
    assert view.page.inner_html("#model") == ""
    assert view.page.inner_html("#front") == ""
    view.tell("begin()")
    view.page.wait_for_selector("#top svg")
    view.tell("() => 0")
    assert view.differ(before, view.picture()) < 0.001


def test_without_webgl_the_drawings_stand_in(chromium: Browser, address: str) -> None:
    page = chromium.new_page()
    troubles: list[str] = []
    page.on("console", lambda said: troubles.append(said.text))
    page.on("pageerror", lambda error: troubles.append(str(error)))
    page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null")
    page.goto(f"{address}/frame")
    page.wait_for_function("window.ready")
    page.wait_for_selector("#model svg.model-drawing")
    page.evaluate("model.product(1, 0); model.explode(1); model.section('x', 0.2); model.exact('/exact.glb')")
    page.evaluate("model.overlays({ clearances: true, keepouts: true, service: true })")
    page.wait_for_selector("#front .keepout")
    assert page.locator("#model canvas").count() == 0
    page.close()
    assert troubles == []
