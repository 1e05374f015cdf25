// Clearances as dimension lines in the model, with their text beside them, and the name under the pointer.

import { BufferGeometry, Float32BufferAttribute, LineBasicMaterial, LineSegments, Raycaster, Vector2, Vector3 } from "../vendor/three.module.min.js";
import { el } from "./dimensions.js";

const TICK = 4;
const LIFT = 26;
const STILL = 6;

/** The dimension lines of one product's setting. */
export class Clearances {
  constructor(stage, root) {
    this.stage = stage;
    const line = () => new LineSegments(new BufferGeometry(), new LineBasicMaterial({ depthTest: false }));
    this.lines = { fits: line(), fails: line() };
    for (const one of Object.values(this.lines)) {
      one.renderOrder = 5;
      one.frustumCulled = false;
      root.add(one);
    }
    this.labels = [];
    this.leads = el("svg", { class: "model-leads", "aria-hidden": "true" });
    this.lead = el("path", {});
    this.leads.append(this.lead);
    stage.element.append(this.leads);
    this.told = () => this.follow();
    stage.onDraw.add(this.told);
  }

  setTheme(theme) {
    this.lines.fits.material.color.setStyle(theme.hand);
    this.lines.fails.material.color.setStyle(theme.fail);
  }

  /** Shows these clearances alone. */
  show(clearances) {
    for (const { element } of this.labels) element.remove();
    for (const fits of [true, false]) {
      const points = clearances.filter((one) => one.fits === fits).flatMap((one) => strokes(one.at));
      const { geometry } = this.lines[fits ? "fits" : "fails"];
      geometry.setAttribute("position", new Float32BufferAttribute(points, 3));
    }
    this.labels = clearances.map((one) => this.label(one));
    this.stage.request();
  }

  label(one) {
    const element = document.createElement("div");
    element.className = one.fits ? "model-mark" : "model-mark fails";
    element.textContent = textOf(one);
    element.title = `${one.from} to ${one.to}: ${one.text}, ${limitText(one)}`;
    this.stage.element.append(element);
    return { element, text: element.textContent, at: middle(one.at), fails: !one.fits };
  }

  /** Puts the labels beside their lines, none over another. */
  follow() {
    const taken = [];
    const leads = [];
    for (const { element, at } of this.labels) {
      const seen = this.stage.toPicture(at);
      element.hidden = !seen;
      if (!seen) continue;
      const spot = freeSpot(seen, [element.offsetWidth, element.offsetHeight], this.stage.size, taken);
      taken.push(spot);
      leads.push(leadText(seen, spot));
      element.style.transform = `translate(${Math.round(spot.x)}px, ${Math.round(spot.y)}px)`;
    }
    this.lead.setAttribute("d", leads.join(""));
  }

  /** The same words in a picture for paper. */
  paint(pen, size) {
    const taken = [];
    pen.font = "20px sans-serif";
    for (const { text, at, fails } of this.labels) {
      const seen = this.stage.toPicture(at, size);
      if (!seen) continue;
      const spot = freeSpot(seen, [pen.measureText(text).width + 12, 28], size, taken);
      taken.push(spot);
      pen.strokeStyle = "#52606a";
      pen.stroke(new Path2D(leadText(seen, spot)));
      pen.fillStyle = "#ffffff";
      pen.fillRect(spot.x, spot.y, spot.wide, spot.tall);
      pen.fillStyle = fails ? "#a01f28" : "#1b2226";
      pen.fillText(text, spot.x + 6, spot.y + 20);
    }
  }

  dispose() {
    this.stage.onDraw.delete(this.told);
    this.leads.remove();
    for (const { element } of this.labels) element.remove();
    for (const one of Object.values(this.lines)) {
      one.removeFromParent();
      one.geometry.dispose();
      one.material.dispose();
    }
  }
}

function textOf(one) {
  const what = one.check === "standoff" ? "stand-off" : `${one.from} – ${one.to}`;
  return `${what}: ${one.text}`;
}

function limitText({ limit: [low, high] }) {
  return high === null ? `asked for at least ${low} mm` : `allowed from ${low} to ${high} mm`;
}

function middle([p, q]) {
  return new Vector3(...p).lerp(new Vector3(...q), 0.5);
}

/** The line between two points and a cross stroke at each end. */
function strokes([p, q]) {
  const [a, b] = [new Vector3(...p), new Vector3(...q)];
  const along = b.clone().sub(a).normalize();
  const across = new Vector3(Math.abs(along.x) > 0.7 ? 0 : 1, Math.abs(along.x) > 0.7 ? 1 : 0, 0).cross(along).normalize();
  const tick = (at) => [at.clone().addScaledVector(across, TICK), at.clone().addScaledVector(across, -TICK)];
  return [a, b, ...tick(a), ...tick(b)].flatMap((point) => point.toArray());
}

/** A place for a label near a point, inside the picture, down where another one is. */
function freeSpot([x, y], [wide, tall], [width, height], taken) {
  const left = Math.min(Math.max(x + LIFT, 2), width - wide - 2);
  const spot = { x: left, y: Math.min(Math.max(y - tall - LIFT, 2), height - tall - 2), wide, tall };
  const meets = (other) =>
    spot.x < other.x + other.wide && other.x < spot.x + wide && spot.y < other.y + other.tall && other.y < spot.y + tall;
  for (let tries = 0; tries < taken.length && taken.some(meets); tries++) {
    spot.y = taken.find(meets).y + taken.find(meets).tall + 1;
  }
  return spot;
}

/** From a point to the label's nearer lower corner. */
function leadText([x, y], spot) {
  const across = x > spot.x + spot.wide / 2 ? spot.x + spot.wide : spot.x;
  return `M${x.toFixed(1)} ${y.toFixed(1)}L${across.toFixed(1)} ${(spot.y + spot.tall).toFixed(1)}`;
}

/** The name of what the pointer is on, or was tapped. */
export class Names {
  constructor(stage, found) {
    this.stage = stage;
    this.found = found;
    this.ray = new Raycaster();
    this.element = document.createElement("div");
    this.element.className = "model-mark model-name";
    this.element.hidden = true;
    stage.element.append(this.element);
    this.listening = new AbortController();
    const options = { signal: this.listening.signal };
    stage.canvas.addEventListener("pointermove", (event) => event.pointerType === "mouse" && this.later(event), options);
    stage.canvas.addEventListener("pointerdown", (event) => (this.down = [event.clientX, event.clientY]), options);
    stage.canvas.addEventListener("pointerup", (event) => this.tapped(event), options);
    stage.canvas.addEventListener("pointerleave", (event) => event.pointerType === "mouse" && this.show(null), options);
  }

  tapped(event) {
    const still = this.down && Math.hypot(event.clientX - this.down[0], event.clientY - this.down[1]) < STILL;
    if (still) this.find(event);
  }

  later(event) {
    this.last = event;
    this.frame ??= requestAnimationFrame(() => {
      this.frame = undefined;
      if (this.last.buttons === 0) this.find(this.last);
      else this.show(null);
    });
  }

  find(event) {
    const { left, top, width, height } = this.stage.canvas.getBoundingClientRect();
    const at = [event.clientX - left, event.clientY - top];
    this.ray.setFromCamera(new Vector2((at[0] / width) * 2 - 1, 1 - (at[1] / height) * 2), this.stage.camera);
    const { meshes, keeps } = this.found();
    const hit = this.ray.intersectObjects(meshes, false).find((one) => one.object.visible && keeps(one.point));
    this.show(hit?.object.userData.label ?? null, at);
  }

  show(label, at) {
    this.element.hidden = !label;
    if (!label) return;
    this.element.textContent = label;
    const [width, height] = this.stage.size;
    const x = Math.min(at[0] + 12, width - this.element.offsetWidth - 2);
    const y = Math.min(at[1] + 16, height - this.element.offsetHeight - 2);
    this.element.style.transform = `translate(${Math.max(x, 2)}px, ${Math.max(y, 2)}px)`;
  }

  dispose() {
    cancelAnimationFrame(this.frame);
    this.listening.abort();
    this.element.remove();
  }
}
