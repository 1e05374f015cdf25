// The live sketch: the line across (left, the mount stands left) and from above, drawn from the survey's values.

import { byId, fill, s } from "./dom.js";
import { fieldOf, GROUPS, keyAt, wordsOf } from "./fields.js";
import { idOf } from "./fieldrow.js";
import { lineModel } from "./linemodel.js";
import { markOf } from "./marks.js";
import { listen, state, valueOf } from "./state.js";
import { items, surveyUnit, unquoted } from "./entries.js";

const WIDTHS = { across: 455, above: 350 };
const TALL = 270;
const EDGE = 12;

/** Draws the sketch now, and anew with each change of what it shows. */
export function startSketch() {
  listen(["survey", "answer", "focus", "product", "preferences"], draw);
}

function draw() {
  if (!state.text) return;
  const line = lineModel();
  fill(byId("sketch-across"), view("across", line));
  fill(byId("sketch-above"), view("above", line));
  byId("sketch-words").textContent = state.focus ? focusWords() : "Touch a field, or a letter in the sketch.";
}

function focusWords() {
  return `${wordsOf(state.focus)}: ${withUnit(state.focus)}`;
}

/** The value of a key with the unit that a bare number has. */
function withUnit(key) {
  const value = valueOf(key);
  if (value === undefined) return "not given";
  const kind = fieldOf(key)?.kind;
  const texts = kind === "pair" ? items(value) : [unquoted(value)];
  const bare = (text) => (kind === "length" || kind === "pair") && /\d$/.test(text);
  return texts.map((text) => (bare(text) ? `${text} ${surveyUnit()}` : text)).join(", ");
}

function view(name, line) {
  const frame = frameOf(name, line);
  const shapes = name === "across" ? acrossShapes(line, frame) : aboveShapes(line, frame);
  const words = name === "across"
    ? "Seen along the line from its right end; you stand on the left."
    : "Seen from above; you stand at the bottom, products run " + (line.flow > 0 ? "to the right." : "to the left.");
  return s("svg", { viewBox: `0 0 ${WIDTHS[name]} ${TALL}`, role: "img", "aria-label": words }, shapes, marksOf(name, line, frame));
}

/** Millimetres to units of the picture: everything of interest inside its edges. */
function frameOf(name, line) {
  const box = line.product;
  const [low, high] = name === "across"
    ? [[line.railOut - 44, line.floor - 6], [line.farRail + 70, line.top + 50]]
    : [[Math.min(-260, box ? Math.min(box.rear, box.lead) - 60 : 0), -80], [Math.max(260, box ? Math.max(box.rear, box.lead) + 60 : 0), line.farRail + 50]];
  const wide = WIDTHS[name];
  const scale = Math.min((wide - 2 * EDGE) / (high[0] - low[0]), (TALL - 2 * EDGE) / (high[1] - low[1]));
  const left = (wide - scale * (high[0] - low[0])) / 2;
  const bottom = (TALL + scale * (high[1] - low[1])) / 2;
  const inside = (value, limit) => Math.min(Math.max(value, 4), limit - 4);
  return {
    wide,
    u: (value) => inside(left + scale * (value - low[0]), wide),
    v: (value) => inside(bottom - scale * (value - low[1]), TALL),
  };
}

function rectangle(frame, from, to, kind, words = "") {
  const [x0, x1] = [frame.u(from[0]), frame.u(to[0])].sort((a, b) => a - b);
  const [y0, y1] = [frame.v(from[1]), frame.v(to[1])].sort((a, b) => a - b);
  const size = { x: x0, y: y0, width: Math.max(x1 - x0, 1), height: Math.max(y1 - y0, 1), class: kind };
  return s("rect", size, words ? s("title", {}, words) : null);
}

const segment = (frame, from, to, kind) =>
  s("line", { x1: frame.u(from[0]), y1: frame.v(from[1]), x2: frame.u(to[0]), y2: frame.v(to[1]), class: kind });

const words = (frame, at, text, anchor = "middle") =>
  s("text", { x: frame.u(at[0]), y: frame.v(at[1]), "text-anchor": anchor, class: "words" }, text);

function acrossShapes(line, frame) {
  const { farRail, floor, bed, product } = line;
  const shapes = [
    segment(frame, [line.railOut - 60, floor], [farRail + 60, floor], "floor"),
    rectangle(frame, [bed, -2 * line.rollerRadius * (line.surface === "rollers" ? 1 : 0.4)], [farRail - bed, 0], "bed", "conveying surface"),
    channel(frame, line, 1),
    channel(frame, line, -1),
  ];
  if (line.guides) shapes.push(...guidesAcross(line, frame));
  for (const box of line.keepouts.filter(Boolean)) shapes.push(rectangle(frame, [box.y[0], box.z[0]], [box.y[1], box.z[1]], "keepout", box.name));
  if (product) shapes.push(...productAcross(line, frame, product), headAcross(line, frame, product));
  return shapes;
}

/** A rail as a channel; the far one is the near one's mirror image. */
function channel(frame, line, side) {
  const at = side > 0 ? 0 : line.farRail;
  const tip = at + side * (line.opensIn ? line.flange : -line.flange);
  const [top, low] = [line.railTop, line.railTop - line.railDepth];
  const points = [[tip, top], [at, top], [at, low], [tip, low]].map(([u, v]) => `${frame.u(u)},${frame.v(v)}`);
  return s("polyline", { points: points.join(" "), class: "rail" }, s("title", {}, side > 0 ? "near rail" : "far rail"));
}

function guidesAcross(line, frame) {
  const { near, far, depth, z } = line.guides;
  return [
    rectangle(frame, [near - depth, z[0]], [near, z[1]], line.guides.open ? "guide open" : "guide", "near guide"),
    rectangle(frame, [far, z[0]], [far + depth, z[1]], "guide", "far guide"),
  ];
}

function productAcross(line, frame, p) {
  const code = p.top
    ? segment(frame, [p.codeY, p.height], [p.codeY + p.code[1], p.height], "code")
    : segment(frame, [p.near, p.codeZ], [p.near, p.codeZ + p.code[1]], "code");
  const shown = [rectangle(frame, [p.near, 0], [p.near + p.width, p.height], "product", "product"), code];
  if (p.highest > p.height) shown.push(rectangle(frame, [p.near, p.height], [p.near + p.width, p.highest], "flaps", "flaps"));
  return shown;
}

/** The head as a plain block with its nozzles at the stand-off: its real size comes with the model. */
function headAcross(line, frame, p) {
  if (p.top) {
    const [y, z] = [p.codeY + p.code[1] / 2, p.height + line.standoff];
    return rectangle(frame, [y - 28, z], [y + 28, z + 46], "head", "print head");
  }
  const [y, z] = [p.near - line.standoff, p.codeZ + p.code[1] / 2];
  return rectangle(frame, [y - 46, z - 28], [y, z + 28], "head", "print head");
}

function aboveShapes(line, frame) {
  const { farRail, flow, product } = line;
  const ends = [-2000, 2000];
  const shapes = [rectangle(frame, [ends[0], line.bed], [ends[1], farRail - line.bed], "bed", "conveying surface")];
  if (line.surface === "rollers") shapes.push(...rollers(line, frame));
  shapes.push(rectangle(frame, [ends[0], line.railOut], [ends[1], line.railIn], "rail-above", "near rail"));
  shapes.push(rectangle(frame, [line.free[0], line.railOut], [line.free[1], line.railIn], "free", "free stretch of the rail"));
  shapes.push(rectangle(frame, [ends[0], farRail - line.railIn], [ends[1], farRail - line.railOut], "rail-above", "far rail"));
  if (line.guides) shapes.push(...guidesAbove(line, frame, ends));
  for (const box of line.keepouts.filter(Boolean)) shapes.push(rectangle(frame, [box.x[0], box.y[0]], [box.x[1], box.y[1]], "keepout", box.name));
  if (product) shapes.push(...productAbove(line, frame, product));
  shapes.push(segment(frame, [0, -80], [0, farRail + 40], "print-line"), words(frame, [0, farRail + 46], "print line"));
  shapes.push(words(frame, [flow * 210, farRail + 46], flow > 0 ? "flow →" : "← flow"));
  return shapes;
}

function rollers(line, frame) {
  const shown = [];
  const first = line.firstRoller - Math.ceil((line.firstRoller + 900) / line.pitch) * line.pitch;
  for (let x = first; x < 900 && shown.length < 400; x += line.pitch) {
    shown.push(rectangle(frame, [x - line.rollerRadius, line.bed], [x + line.rollerRadius, line.farRail - line.bed], "roller"));
  }
  return shown;
}

function guidesAbove(line, frame, ends) {
  const { near, far, depth, open } = line.guides;
  const pieces = open ? [[ends[0], open[0]], [open[1], ends[1]]] : [ends];
  return [
    ...pieces.map(([from, to]) => rectangle(frame, [from, near - depth], [to, near], "guide", "near guide")),
    rectangle(frame, [ends[0], far], [ends[1], far + depth], "guide", "far guide"),
  ];
}

function productAbove(line, frame, p) {
  const next = p.rear - line.flow * p.gap;
  const codeAt = p.top ? [p.codeY, p.codeY + p.code[1]] : [p.near - 3, p.near + 3];
  return [
    rectangle(frame, [next, p.near], [next - line.flow * p.length, p.near + p.width], "product next", "next product"),
    rectangle(frame, [p.rear, p.near], [p.lead, p.near + p.width], "product", "product"),
    rectangle(frame, [0, codeAt[0]], [-line.flow * p.code[0], codeAt[1]], "code", "code"),
    p.top
      ? rectangle(frame, [-22, p.codeY - 20], [22, p.codeY + p.code[1] + 20], "head", "print head")
      : rectangle(frame, [-22, p.near - line.standoff - 46], [22, p.near - line.standoff], "head", "print head"),
    rectangle(frame, [line.eye - 9, p.near - 60], [line.eye + 9, p.near - 18], "eye", "photo-eye"),
  ];
}

/** The letters of the open group quietly, and the field in hand as a dimension line. */
function marksOf(name, line, frame) {
  const keys = openKeys();
  const shown = keys.flatMap(({ key, letter }) => {
    const mark = markOf(key, line);
    return mark && mark.view === name && key !== state.focus ? [balloon(key, letter, mark, frame)] : [];
  });
  const focus = state.focus ? markOf(state.focus, line) : null;
  if (focus && focus.view === name) shown.push(dimension(focus, frame));
  return shown;
}

function openKeys() {
  const open = document.querySelector("#groups > details[open]")?.dataset.group;
  const group = GROUPS.find((one) => one.id === open);
  const fields = (group?.fields ?? []).filter((field) => field.letter);
  return fields.map((field) => ({ key: keyAt(field.key, state.product), letter: field.letter })).filter(({ key }) => inputOf(key));
}

/** The field of a key, the first where it has two; null where the form does not show it. */
const inputOf = (key) => byId(idOf(key)) ?? byId(`${idOf(key)}-0`);

/** A letter that leads to its field when it is touched; the field itself serves the keyboard. */
function balloon(key, letter, mark, frame) {
  const [x, y] = middle(mark, frame);
  const go = () => inputOf(key)?.focus();
  return s("g", { class: "balloon", onclick: go }, thin(mark, frame), s("circle", { cx: x, cy: y, r: 10 }), s("text", { x, y: y + 4.5, "text-anchor": "middle" }, letter));
}

const middle = ({ from, to }, frame) => [(frame.u(from[0]) + frame.u(to[0])) / 2, (frame.v(from[1]) + frame.v(to[1])) / 2];
const thin = ({ from, to }, frame) => segment(frame, from, to, "thin");

function dimension(mark, frame) {
  const ends = [[frame.u(mark.from[0]), frame.v(mark.from[1])], [frame.u(mark.to[0]), frame.v(mark.to[1])]];
  const [dx, dy] = [ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]];
  const size = Math.hypot(dx, dy) || 1;
  const [nx, ny] = [(-dy / size) * 9, (dx / size) * 9];
  const ticks = ends.map(([x, y]) => s("line", { x1: x - nx, y1: y - ny, x2: x + nx, y2: y + ny }));
  const [x, y] = middle(mark, frame);
  const label = withUnit(state.focus);
  const flat = Math.abs(dx) >= Math.abs(dy);
  const place = flat ? { x: Math.min(Math.max(x, 50), frame.wide - 50), y: y - 8 } : { x: x + 8, y };
  const anchor = flat ? "middle" : "start";
  return s("g", { class: "dimension" },
    s("line", { x1: ends[0][0], y1: ends[0][1], x2: ends[1][0], y2: ends[1][1] }), ticks,
    s("text", { ...place, "text-anchor": anchor }, label));
}
