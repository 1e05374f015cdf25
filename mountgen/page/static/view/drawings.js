// Front, side and top as drawings to scale: hidden faces covered, chief dimensions, for people who read drawings.

import { Matrix4 } from "../vendor/three.module.min.js";
import { dimension, el, scaleBar } from "./dimensions.js";
import { facesOf, LOOKS } from "./faces.js";
import { codeCorners, moveMatrix, moveOf, partMatrix, productBox, side } from "./places.js";
import { boxPrism } from "./prisms.js";
import { lengthText } from "./theme.js";

const AROUND = 55;
const STILL = new Matrix4();

/** Draws one view into an element, in place of what was there. `state`: scene, product, hidden names, whether
 *  keepouts are shown. */
export function drawView(element, which, state) {
  const look = LOOKS[which];
  const { scene, product } = state;
  const parts = scene.parts.filter((part) => ![part.name, part.id, part.number].some((name) => state.hidden.has(name)));
  const mount = parts.flatMap((part) => partFaces(scene, part, product, look));
  const site = siteThings(scene).flatMap((thing) => facesOf(thing, STILL, look));
  const box = productBox(scene, product, 0);
  const frame = frameOf(mount.length ? mount : site, box, look);
  const svg = picture(look, frame, scene.products[product].name);
  for (const face of [...site, ...mount].sort((a, b) => a.depth - b.depth)) addFace(svg, face, frame);
  addProduct(svg, state, box, look);
  if (state.keepouts) addKeepouts(svg, scene, look);
  addDimensions(svg, which, { scene, product, box, frame, mount: extent(mount) });
  element.replaceChildren(svg);
}

function partFaces(scene, part, product, look) {
  const matrix = partMatrix(part, moveOf(scene, part.way, product), 0);
  return facesOf({ prisms: scene.solids[part.number], name: part.label, kind: "face" }, matrix, look);
}

const sites = new WeakMap();

function siteThings(scene) {
  if (!sites.has(scene)) {
    const guides = scene.boxes.filter((one) => one.kind === "guide");
    sites.set(scene, [...scene.line, ...guides].map((one) => ({
      prisms: one.solid ?? [boxPrism(one.low, one.high)], name: one.name, kind: "site",
    })));
  }
  return sites.get(scene);
}

function extent(faces) {
  const box = { low: [Infinity, Infinity], high: [-Infinity, -Infinity] };
  for (const face of faces) for (const ring of face.rings) for (const point of ring) grow(box, point);
  return box;
}

function grow(box, point) {
  for (const k of [0, 1]) {
    box.low[k] = Math.min(box.low[k], point[k]);
    box.high[k] = Math.max(box.high[k], point[k]);
  }
}

/** What the picture shows: the mount, the rail's depth and the near part of the product. */
function frameOf(faces, product, look) {
  const box = extent(faces);
  const axes = [look.right, look.up];
  const near = product.low[1] + 70;
  const limits = { 0: [-60, 60], 1: [-20, near], 2: [-40, product.high[2]] };
  grow(box, axes.map((axis) => limits[axis][0]));
  grow(box, axes.map((axis) => limits[axis][1]));
  const long = Math.max(box.high[0] - box.low[0], box.high[1] - box.low[1]);
  const around = AROUND + long / 9;
  const low = box.low.map((value) => value - around);
  const high = box.high.map((value) => value + around * 0.8);
  return { low, high, letter: Math.max(high[0] - low[0], (high[1] - low[1]) * 0.9) / 38 };
}

function picture(look, { low, high }, product) {
  const size = [low[0], -high[1], high[0] - low[0], high[1] - low[1]].map((value) => value.toFixed(1));
  const svg = el("svg", { viewBox: size.join(" "), class: "model-drawing", role: "img" });
  svg.append(el("title", {}, `${look.title}; set for ${product}`));
  return svg;
}

const path = (ring) => `M${ring.map(([x, y]) => `${round(x)} ${round(-y)}`).join("L")}Z`;
const round = (value) => Math.round(value * 100) / 100;

function addFace(svg, face, { low, high }) {
  const box = extent([face]);
  const outside = [0, 1].some((k) => box.high[k] < low[k] || box.low[k] > high[k]);
  if (outside) return;
  const shape = el("path", { class: face.kind, d: face.rings.map(path).join("") });
  shape.append(el("title", {}, face.name));
  svg.append(shape);
  for (const ring of face.inner) svg.append(el("path", { class: `${face.kind} inner`, d: path(ring) }));
}

function addProduct(svg, { scene, product }, box, { right, up, eye }) {
  const corner = ([a, b]) => [a[right], b[up]];
  const [x0, y0] = corner([box.low, box.low]);
  const [x1, y1] = corner([box.high, box.high]);
  svg.append(el("path", { class: "product", d: path([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]) }));
  const code = codeCorners(scene, product, 0).map((point) => [point[right], point[up]]);
  const faced = scene.products[product].code.face === "top" ? eye[2] : -eye[1];
  if (faced) svg.append(el("path", { class: "code", d: path(code) }));
}

function addKeepouts(svg, scene, { right, up }) {
  for (const { low, high, name } of scene.boxes.filter((one) => one.kind === "keepout")) {
    const ring = [[low[right], low[up]], [high[right], low[up]], [high[right], high[up]], [low[right], high[up]]];
    const shape = el("path", { class: "keepout", d: path(ring) });
    shape.append(el("title", {}, `keep out: ${name}`));
    svg.append(shape);
  }
}

function addDimensions(svg, which, told) {
  const text = (mm) => lengthText(mm, told.scene.units, false);
  for (const one of DIMENSIONS[which](told)) svg.append(dimension({ ...one, text: one.text ?? text(Math.abs(one.to - one.from)) }, told.frame));
  if (which !== "side") svg.append(printLine(told.frame));
  svg.append(scaleBar(told.frame, told.scene.units));
}

function printLine({ low, high, letter }) {
  const group = el("g", {});
  group.append(el("path", { class: "axis", d: `M0 ${round(-high[1] + letter * 1.6)}V${round(-low[1])}` }));
  group.append(el("text", { x: 0, y: round(-high[1] + letter * 1.3), "font-size": round(letter), "text-anchor": "middle" }, "print line"));
  return group;
}

/** Each: along which axis of the picture it measures, from where to where, and at which place of the other. */
const DIMENSIONS = {
  front: ({ scene, mount, box, product }) => [
    { axis: 0, from: 0, to: side(scene) > 0 ? mount.high[0] : mount.low[0], at: mount.low[1], step: -1 },
    { axis: 0, from: scene.beam.at[0][0], to: 0, at: mount.low[1], step: -1 },
    { axis: 1, from: 0, to: mount.high[1], at: outer(scene, mount, 1), step: side(scene) },
    { axis: 1, from: mount.low[1], to: 0, at: outer(scene, mount, 1), step: side(scene) },
    { axis: 1, from: 0, to: codeHeight(scene, product), at: outer(scene, mount, -1), step: -side(scene) },
    { axis: 1, from: 0, to: box.high[2], at: outer(scene, mount, -1), step: -2 * side(scene) },
  ].filter(large),
  side: ({ scene, mount, box }) => [
    { axis: 0, from: mount.low[0], to: 0, at: mount.low[1], step: -1 },
    { axis: 0, from: 0, to: mount.high[0], at: mount.low[1], step: -1 },
    { axis: 0, from: 0, to: box.low[1], at: mount.low[1], step: -2 },
    { axis: 1, from: 0, to: mount.high[1], at: mount.low[0], step: -1 },
    { axis: 1, from: mount.low[1], to: 0, at: mount.low[0], step: -1 },
    { axis: 1, from: 0, to: box.high[2], at: Math.max(mount.high[0], box.low[1] + 70), step: 1 },
  ].filter(large),
  top: ({ scene, mount, box }) => [
    { axis: 0, from: 0, to: side(scene) > 0 ? mount.high[0] : mount.low[0], at: mount.low[1], step: -1 },
    { axis: 0, from: scene.beam.at[0][0], to: 0, at: mount.low[1], step: -1 },
    { axis: 1, from: mount.low[1], to: 0, at: outer(scene, mount, 1), step: side(scene) },
    { axis: 1, from: 0, to: box.low[1], at: outer(scene, mount, 1), step: side(scene) },
  ].filter(large),
};

const large = ({ from, to }) => Math.abs(to - from) > 1;
const outer = (scene, mount, way) => (side(scene) * way > 0 ? mount.high[0] : mount.low[0]);

/** z of the middle of a code on the near side; 0 for one on the top. */
function codeHeight(scene, product) {
  const { face, low, across } = scene.products[product].code;
  return face === "top" ? 0 : low + across / 2;
}
