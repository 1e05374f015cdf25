// The model of the page. createModel(element) draws a scene (see the server's page/scene.py) into an element.

import { Box3, Vector3 } from "../vendor/three.module.min.js";
import { drawView } from "./drawings.js";
import { Exact, readExact } from "./exact.js";
import { Clearances, Names } from "./marks.js";
import { Objects } from "./objects.js";
import { between, moveOf, side } from "./places.js";
import { Printing } from "./printing.js";
import { Section } from "./section.js";
import { boxAround, Stage } from "./stage.js";
import { loadStyle, themeOf, watchTheme } from "./theme.js";

const MOVING = 320;
const HELP = "drag or arrow keys: turn; two fingers, right button or shift and arrows: push; + and -: nearer, farther; Home: whole";

export function createModel(element) {
  return new Model(element).told();
}

class Model {
  constructor(element) {
    this.element = element;
    this.views = new Map();
    this.at = { product: 0, travel: 0, share: 0, from: 0, way: 1 };
    this.hidden = new Set();
    this.shown = { clearances: true, keepouts: false, service: false };
    this.cut = { axis: null, at: 0.5 };
    loadStyle(element.ownerDocument);
    element.classList.add("model-view");
    this.startStage();
  }

  /** Without WebGL there is no stage: drawings stand in its place. */
  startStage() {
    const theme = themeOf(this.element);
    try {
      this.stage = new Stage(this.element, theme);
    } catch {
      this.plain = document.createElement("div");
      this.element.append(this.plain);
      this.views.set(this.plain, "front");
      return;
    }
    this.sectioning = new Section(this.stage.scene);
    this.clearances = new Clearances(this.stage, this.stage.scene);
    this.names = new Names(this.stage, () => this.touchable());
    this.printing = new Printing(this.stage, this.clearances, () => this.theme());
    this.help = document.createElement("p");
    this.help.className = "model-keys";
    this.help.textContent = HELP;
    this.element.append(this.help);
    this.stopTheme = watchTheme(this.element, () => this.theme());
  }

  told() {
    const calls = ["show", "product", "explode", "section", "hide", "overlays", "view2d", "exact", "dispose"];
    return Object.fromEntries(calls.map((call) => [call, (...args) => this[call](...args)]));
  }

  /** Draws another scene; the camera stays where it was unless the line runs the other way now. */
  show(scene) {
    const again = this.scene && side(this.scene) === side(scene);
    this.scene = scene;
    this.at = { ...this.at, product: Math.min(this.at.product, scene.products.length - 1), way: 1 };
    this.at.from = this.at.product;
    if (this.stage) {
      this.exactly?.dispose();
      this.exactly = undefined;
      this.objects?.dispose();
      this.objects = new Objects(scene);
      this.stage.scene.add(this.objects.root);
      this.objects.hide(this.hidden);
      this.place();
      if (!again) this.stage.look(this.box(), side(scene));
      this.theme();
      this.overlays(this.shown);
      this.section3d();
      this.describe();
    }
    this.redraw();
  }

  /** The head goes to a product's setting; the product is `travel` (-1 to 1) on its way past it. */
  product(index, travel = 0) {
    if (!this.scene) return;
    const product = Math.min(Math.max(index, 0), this.scene.products.length - 1);
    const other = product !== this.at.product;
    if (other) Object.assign(this.at, { from: this.at.product, way: 0, started: undefined });
    Object.assign(this.at, { product, travel });
    if (this.stage) {
      if (other && this.calm()) this.at.way = 1;
      if (other) this.step();
      else this.place();
      this.overlays(this.shown);
      this.describe();
    }
    if (other) this.redraw();
  }

  calm() {
    return matchMedia("(prefers-reduced-motion: reduce)").matches;
  }

  /** One step of the way to a setting, and the next with the next frame until it is there. */
  step(now = performance.now()) {
    cancelAnimationFrame(this.moving);
    this.at.started ??= now;
    if (this.at.way < 1) this.at.way = Math.min(1, Math.max(0, (now - this.at.started) / MOVING));
    this.place();
    if (this.at.way < 1) this.moving = requestAnimationFrame((time) => this.step(time));
  }

  place() {
    const { product, from, way, share, travel } = this.at;
    const moves = (name) => between(moveOf(this.scene, name, from), moveOf(this.scene, name, product), way);
    this.objects.place(moves, share);
    this.objects.showProduct(product, travel);
    this.sectioning.follow();
    this.stage.request();
  }

  /** Draws the parts apart: 0 together, 1 all the way. */
  explode(share) {
    this.at.share = share;
    if (!this.stage || !this.scene) return;
    this.place();
    this.overlays(this.shown);
  }

  /** Cuts the model square to "x", "y" or "z" at a share of its size; null shows it whole. */
  section(axis, at = 0.5) {
    this.cut = { axis, at };
    if (this.stage && this.scene) this.section3d();
  }

  section3d() {
    const eye = this.stage.camera.position;
    const planes = this.sectioning.set(this.cut.axis, this.cut.at, this.box(), eye, this.objects.solid);
    this.objects.cut(planes);
    this.planes = planes;
    this.sectioning.follow();
    this.stage.request();
  }

  /** Hides the parts of these names, ids or numbers; all others are shown. */
  hide(names) {
    this.hidden = new Set(names);
    if (this.stage && this.scene) {
      this.objects.hide(this.hidden);
      this.sectioning.follow();
      this.stage.request();
    }
    this.redraw();
  }

  overlays({ clearances, keepouts, service }) {
    if (this.shown.keepouts !== keepouts) this.redraw();
    this.shown = { clearances, keepouts, service };
    if (!this.stage || !this.scene) return;
    this.objects.keepouts.visible = Boolean(keepouts);
    this.objects.service.visible = Boolean(service);
    const here = (one) => one.product === null || one.product === this.at.product;
    this.clearances.show(clearances && this.at.share === 0 ? this.scene.clearances.filter(here) : []);
    this.stage.request();
  }

  /** Draws "front", "side" or "top" into an element, and again whenever the scene or the product changes. */
  view2d(element, which) {
    this.views.set(element, which);
    this.redraw();
  }

  redraw() {
    this.drawing ??= requestAnimationFrame(() => {
      this.drawing = undefined;
      if (!this.scene) return;
      const state = { scene: this.scene, product: this.at.product, hidden: this.hidden, keepouts: this.shown.keepouts };
      for (const [element, which] of this.views) drawView(element, which, state);
    });
  }

  /** Shows the exact build of a GLB file in place of the layout; null goes back to the layout. */
  async exact(url) {
    if (!this.stage || !this.scene) return;
    const scene = this.scene;
    const found = url ? await readExact(url, scene) : null;
    if (scene !== this.scene) return;
    this.exactly?.dispose();
    this.exactly = found ? new Exact(this.objects, found) : undefined;
    this.place();
    this.section3d();
  }

  box() {
    const box = boxAround(this.objects.parts.values());
    const { near_y: near, height } = this.scene.products[this.at.product];
    return box.union(new Box3(new Vector3(-90, -10, -30), new Vector3(90, near + 60, height)));
  }

  touchable() {
    if (!this.objects) return { meshes: [], keeps: () => false };
    const shown = [this.objects.keepouts, this.objects.service].filter((group) => group.visible).flatMap((group) => group.children);
    const meshes = [...this.objects.solid, ...shown, this.objects.product.children[0]];
    return { meshes, keeps: (point) => (this.planes ?? []).every((plane) => plane.distanceToPoint(point) >= 0) };
  }

  theme() {
    const theme = themeOf(this.element);
    this.stage.setTheme(theme);
    this.clearances.setTheme(theme);
    this.objects?.setEdges(theme.ink, 0.5);
  }

  describe() {
    const name = this.scene.products[this.at.product].name;
    this.stage.canvas.setAttribute("aria-label", `Model of the mount, set for ${name}. ${HELP}`);
  }

  dispose() {
    cancelAnimationFrame(this.drawing);
    cancelAnimationFrame(this.moving);
    for (const element of this.views.keys()) element.replaceChildren();
    this.views.clear();
    this.exactly?.dispose();
    for (const one of [this.objects, this.sectioning, this.clearances, this.names, this.printing, this.stage]) one?.dispose();
    this.stopTheme?.();
    for (const one of [this.help, this.plain]) one?.remove();
    this.element.classList.remove("model-view");
    this.scene = undefined;
  }
}
