// Draws a flat pattern from its DXF: the file that goes to the workshop is what is shown.
//
// Reads LINE, CIRCLE, ARC, and LWPOLYLINE or the older POLYLINE (with bulges) of the entities section, in mm; names what it leaves out.

import { h, s } from "./dom.js";
import { lengthText } from "./number.js";
import { preferences } from "./preferences.js";

const SHAPES = { LINE: line, CIRCLE: circle, ARC: arc, LWPOLYLINE: polyline, POLYLINE: polyline };
const OF_VERTEX = [10, 20, 42];
const EDGE = 0.06;

/** A figure of the drawing with its size and the meaning of its lines. */
export function dxfFigure(text, name) {
  const entities = read(text);
  const drawn = entities.filter((one) => SHAPES[one.type]).map((one) => ({ ...SHAPES[one.type](one.pairs), layer: value(one.pairs, 8) ?? "0" }));
  const missing = [...new Set(entities.filter((one) => !SHAPES[one.type]).map((one) => one.type))];
  if (drawn.length === 0) return h("p", { class: "fault" }, "There is nothing in this file that can be drawn here; download it.");
  const box = bounds(drawn.filter((one) => one.layer !== "MARK").flatMap((one) => one.points));
  const words = `${lengthText(box.wide, preferences.unit)} × ${lengthText(box.tall, preferences.unit)} over all`;
  const layers = [...new Set(drawn.map((one) => one.layer))].sort();
  const legend = layers.map((layer) => h("li", {}, s("svg", { viewBox: "0 0 30 8", "aria-hidden": "true" }, s("path", { d: "M0 4H30", class: kindOf(layer) })), layer));
  const left = missing.length ? ` Not drawn here: ${missing.join(", ")}.` : "";
  return h("figure", { class: "flat" }, picture(drawn, box, `${name}, ${words}`), h("figcaption", {}, `${words}.${left}`), h("ul", { class: "layers" }, legend));
}

function picture(drawn, box, words) {
  const pad = Math.max(box.wide, box.tall) * EDGE;
  const view = [box.left - pad, -box.top - pad, box.wide + 2 * pad, box.tall + 2 * pad].join(" ");
  const paths = drawn.map((one) => s("path", { d: one.path, class: kindOf(one.layer) }));
  return s("svg", { viewBox: view, role: "img", "aria-label": words }, paths);
}

/** How a layer's lines are drawn: its name in letters that a style sheet takes. */
const kindOf = (layer) => `layer-${layer.toLowerCase().replace(/[^a-z0-9]+/g, "-")}`;

/** The entities with their pairs of group code and value; a polyline has those of its vertices. */
function read(text) {
  const lines = text.split(/\r?\n/);
  const entities = [];
  let take = () => false;
  for (let i = 0; i + 1 < lines.length; i += 2) {
    const [code, content] = [Number(lines[i]), lines[i + 1].trim()];
    if (code === 2 && content === "ENTITIES") take = () => true;
    else if (code === 0 && content === "ENDSEC") take = () => false;
    else if (code === 0 && take(0)) take = begun(entities, content);
    else if (take(code) && entities.length) entities.at(-1).pairs.push([code, content]);
  }
  return entities;
}

/** Begins an entity, or a vertex of the polyline in hand; says which group codes count from here. */
function begun(entities, type) {
  if (type === "VERTEX") return (code) => code === 0 || OF_VERTEX.includes(code);
  if (type === "SEQEND") return (code) => code === 0;
  entities.push({ type, pairs: [] });
  return type === "POLYLINE" ? (code) => !OF_VERTEX.includes(code) : () => true;
}

const value = (pairs, code) => pairs.find((pair) => pair[0] === code)?.[1];
const number = (pairs, code) => Number(value(pairs, code) ?? 0);
const at = (x, y) => `${x} ${-y}`;

function line(pairs) {
  const [x0, y0, x1, y1] = [10, 20, 11, 21].map((code) => number(pairs, code));
  return { path: `M${at(x0, y0)}L${at(x1, y1)}`, points: [[x0, y0], [x1, y1]] };
}

function circle(pairs) {
  const [x, y, r] = [10, 20, 40].map((code) => number(pairs, code));
  const path = `M${at(x - r, y)}A${r} ${r} 0 1 0 ${at(x + r, y)}A${r} ${r} 0 1 0 ${at(x - r, y)}Z`;
  return { path, points: [[x - r, y - r], [x + r, y + r]] };
}

/** Counter-clockwise from the first angle to the second, degrees. */
function arc(pairs) {
  const [x, y, r, from, to] = [10, 20, 40, 50, 51].map((code) => number(pairs, code));
  const turn = ((((to - from) % 360) + 360) % 360) || 360;
  const ends = [from, from + turn].map((angle) => onCircle(x, y, r, angle));
  const path = `M${at(...ends[0])}A${r} ${r} 0 ${Number(turn > 180)} 0 ${at(...ends[1])}`;
  return { path, points: [...ends, ...extremes(x, y, r, from, turn)] };
}

const onCircle = (x, y, r, deg) => [x + r * Math.cos((deg * Math.PI) / 180), y + r * Math.sin((deg * Math.PI) / 180)];

/** The points of an arc that lie farthest right, up, left and down, as far as it has them. */
function extremes(x, y, r, from, turn) {
  return [0, 90, 180, 270].filter((deg) => (((deg - from) % 360) + 360) % 360 <= turn).map((deg) => onCircle(x, y, r, deg));
}

function polyline(pairs) {
  const points = [];
  for (const [code, content] of pairs) {
    if (code === 10) points.push({ x: Number(content), y: 0, bulge: 0 });
    else if (code === 20 && points.length) points.at(-1).y = Number(content);
    else if (code === 42 && points.length) points.at(-1).bulge = Number(content);
  }
  const closed = (number(pairs, 70) & 1) === 1;
  const ends = closed ? [...points, points[0]] : points;
  const steps = ends.slice(1).map((end, i) => step(ends[i], end));
  const path = `M${at(points[0].x, points[0].y)}${steps.map((one) => one.path).join("")}${closed ? "Z" : ""}`;
  return { path, points: [...points.map((one) => [one.x, one.y]), ...steps.flatMap((one) => one.points)] };
}

/** A straight step, or an arc whose bulge is the tangent of a quarter of its angle (counter-clockwise above 0). */
function step(from, to) {
  const b = from.bulge;
  if (b === 0) return { path: `L${at(to.x, to.y)}`, points: [] };
  const [dx, dy] = [to.x - from.x, to.y - from.y];
  const r = (Math.hypot(dx, dy) * (1 + b * b)) / (4 * Math.abs(b));
  const side = (1 - b * b) / (4 * b);
  const [cx, cy] = [(from.x + to.x) / 2 - dy * side, (from.y + to.y) / 2 + dx * side];
  const first = b > 0 ? from : to;
  const start = (Math.atan2(first.y - cy, first.x - cx) * 180) / Math.PI;
  const turn = (4 * Math.atan(Math.abs(b)) * 180) / Math.PI;
  const path = `A${r} ${r} 0 ${Number(turn > 180)} ${Number(b < 0)} ${at(to.x, to.y)}`;
  return { path, points: extremes(cx, cy, r, start, turn) };
}

function bounds(points) {
  const [xs, ys] = [points.map((one) => one[0]), points.map((one) => one[1])];
  const [left, top] = [Math.min(...xs), Math.max(...ys)];
  return { left, top, wide: Math.max(...xs) - left, tall: top - Math.min(...ys) };
}
