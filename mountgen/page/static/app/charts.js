// Two pictures of numbers: how the stand-off is spread over all products, and where the arm can be put.

import { byId, fill, s } from "./dom.js";
import { lengthText, rounded } from "./number.js";
import { preferences } from "./preferences.js";
import { listen, state } from "./state.js";

const WIDE = 640;
const TALL = 240;
const LEFT = 40;
const FOOT = 34;

export function startCharts() {
  listen(["answer", "preferences"], () => {
    if (!state.answer) return;
    showHistogram(state.answer.histogram);
    showReach(state.answer.reach);
  });
}

const line = (x1, y1, x2, y2, kind) => s("line", { x1, y1, x2, y2, class: kind });
const label = (x, y, text, anchor = "middle") => s("text", { x, y, "text-anchor": anchor }, text);

function showHistogram(told) {
  if (!told?.edges?.length) return;
  const [low, high] = [Math.min(told.edges[0], told.acceptable[0]), Math.max(told.edges.at(-1), told.acceptable[1])];
  const pad = (high - low) * 0.04;
  const x = (mm) => LEFT + ((mm - low + pad) / (high - low + 2 * pad)) * (WIDE - LEFT - 12);
  const most = Math.max(...told.shares);
  const y = (share) => TALL - FOOT - (share / most) * (TALL - FOOT - 26);
  const bars = told.shares.map((share, i) =>
    s("rect", { x: x(told.edges[i]), y: y(share), width: Math.max(x(told.edges[i + 1]) - x(told.edges[i]) - 0.5, 0.5), height: TALL - FOOT - y(share), class: "share" }));
  const shapes = [...bands(told, x), ...bars, line(x(told.target), 10, x(told.target), TALL - FOOT, "target"), label(x(told.target), 10, `target ${lengthText(told.target, preferences.unit)}`), axis(x, low, high)];
  const words = `Stand-off of all sampled products: from ${lengthText(told.edges[0], preferences.unit)} to ${lengthText(told.edges.at(-1), preferences.unit)}; ` +
    `good print from ${bandText(told.best)}, print that still reads from ${bandText(told.acceptable)}.`;
  fill(byId("histogram"), s("svg", { viewBox: `0 0 ${WIDE} ${TALL}`, role: "img", "aria-label": words }, shapes));
  byId("histogram-words").textContent = words;
}

const bandText = ([from, to]) => `${lengthText(from, preferences.unit)} to ${lengthText(to, preferences.unit)}`;

function bands(told, x) {
  const band = ([from, to], kind, words, top) => [
    s("rect", { x: x(from), y: top, width: x(to) - x(from), height: TALL - FOOT - top, class: kind }),
    label(x(from) + 4, top + 14, words, "start"),
  ];
  return [...band(told.acceptable, "acceptable", "still reads", 16), ...band(told.best, "best", "good print", 34)];
}

/** A scale under a picture in the preferred unit. */
function axis(x, low, high) {
  const unit = preferences.unit === "in" ? 25.4 : 1;
  const step = stepFor((high - low) / unit) * unit;
  const marks = [];
  for (let at = Math.ceil(low / step) * step; at <= high + 1e-9; at += step) {
    marks.push(line(x(at), TALL - FOOT, x(at), TALL - FOOT + 5, "axis"), label(x(at), TALL - FOOT + 19, rounded(at / unit, 3)));
  }
  return s("g", {}, line(LEFT, TALL - FOOT, WIDE - 8, TALL - FOOT, "axis"), marks, label(WIDE - 8, TALL - 2, preferences.unit, "end"));
}

/** A round step that gives four to ten marks. */
function stepFor(span) {
  const rough = span / 6;
  const power = 10 ** Math.floor(Math.log10(rough));
  return [1, 2, 5, 10].find((factor) => factor * power >= rough) * power;
}

function showReach(told) {
  if (!told?.products?.length) return;
  const tall = 300;
  const [ys, zs] = [[...told.y, ...told.products.map((one) => one.y)], [...told.z, ...told.products.map((one) => one.z)]];
  const [y0, y1, z0, z1] = [Math.min(...ys) - 40, Math.max(...ys) + 40, Math.min(...zs) - 40, Math.max(...zs) + 40];
  const scale = Math.min((WIDE - 220) / (y1 - y0), (tall - 30) / (z1 - z0));
  const [u, v] = [(y) => 60 + scale * (y - y0), (z) => tall - 15 - scale * (z - z0)];
  const envelope = s("rect", { x: u(told.y[0]), y: v(told.z[1]), width: scale * (told.y[1] - told.y[0]), height: scale * (told.z[1] - told.z[0]), class: "envelope" });
  const words = `The arm's tip can be put ${bandText(told.y)} across the line and ${bandText(told.z)} over the surface.`;
  const shapes = [envelope, label(u(told.y[0]) - 6, v(told.z[1]) + 4, lengthText(told.z[1], preferences.unit), "end"), label(u(told.y[0]) - 6, v(told.z[0]) + 4, lengthText(told.z[0], preferences.unit), "end"), ...settings(told, u, v)];
  fill(byId("reach"), s("svg", { viewBox: `0 0 ${WIDE} ${tall}`, role: "img", "aria-label": words }, shapes));
  byId("reach-words").textContent = words;
}

const MOST_NAMED = 14;

/** Each product's setting with its name, names kept apart by 15 units. */
function settings(told, u, v) {
  const shown = [...told.products].sort((a, b) => b.z - a.z).slice(0, MOST_NAMED);
  let lowest = -Infinity;
  return shown.flatMap((one) => {
    const at = Math.max(v(one.z) + 4, lowest + 15);
    lowest = at;
    const right = Math.max(...told.products.map((other) => u(other.y))) + 30;
    return [
      s("circle", { cx: u(one.y), cy: v(one.z), r: 4, class: "setting" }),
      line(u(one.y) + 5, v(one.z), right - 4, at - 4, "leader"),
      label(right, at, `${one.name}: ${lengthText(one.z, preferences.unit)}`, "start"),
    ];
  });
}
