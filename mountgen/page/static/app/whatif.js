// What if: a slider for each of the chief values. The verdict follows while it moves.

import { byId, fill, h } from "./dom.js";
import { unquoted } from "./entries.js";
import { wordsOf } from "./fields.js";
import { lengthText, normalise, readLength, rounded } from "./number.js";
import { preferences } from "./preferences.js";
import { countOf, listen, set, state, unset, valueOf } from "./state.js";

const STEPS = 80;
let shownFor = "";
const sliders = new Map();

export function startWhatIf() {
  listen(["answer", "product", "preferences"], show);
}

function keys() {
  const product = countOf("product") ? ["height", "bulge", "gap", "code.above_base", "code.from_near"].map((one) => `product[${state.product + 1}].${one}`) : [];
  return ["line.speed", "standoff.target", "rail.top_above_surface", "guides.near_y", ...product].filter((key) => valueOf(key) !== undefined);
}

function show() {
  if (!state.answer) return;
  const wanted = keys();
  const now = JSON.stringify([wanted, preferences.unit, state.text]);
  if (now !== shownFor) {
    sliders.clear();
    fill(byId("whatif"), wanted.map(slider));
  }
  shownFor = now;
  for (const [key, [input, output]] of sliders) {
    const value = readValue(unquoted(valueOf(key)));
    if (!value) continue;
    if (document.activeElement !== input) input.value = value.number;
    output.textContent = shown(value);
  }
}

/** A number with what stands behind it: its unit, or "mm" and the +/-. */
function readValue(text) {
  const plain = normalise(text, ".").text;
  const length = readLength(plain, valueOf("units") ?? "mm");
  if (length) return { number: length.mm, off: length.off, unit: "mm" };
  const other = /^(-?\d+(?:\.\d+)?) ?(.+)$/.exec(plain);
  return other ? { number: Number(other[1]), off: 0, unit: other[2] } : null;
}

const shown = (value) => (value.unit === "mm" ? lengthText(value.number, preferences.unit) : `${rounded(value.number, 2)} ${value.unit}`);

function slider(key) {
  const start = readValue(unquoted(state.settings[key] ?? state.values[key]));
  if (!start) return null;
  const reach = span(key, start);
  const step = stepOf(reach);
  const id = `whatif-${key.replace(/\W+/g, "-")}`;
  const low = Math.round((start.number - reach.down) / step) * step;
  const output = h("output", { for: id });
  const input = h("input", {
    id, type: "range", min: low, max: start.number + reach.up, step: "any",
    oninput: () => move(key, start, input.value, step),
  });
  sliders.set(key, [input, output]);
  return h("div", { class: "slider" }, h("label", { for: id }, wordsOf(key)), input, output,
    h("button", { type: "button", onclick: () => unset(key), "aria-label": `Back to the survey: ${wordsOf(key)}` }, "Back"));
}

/** How far a slider goes each way, in the value's unit. */
function span(key, { number, unit }) {
  if (unit !== "mm") return { down: number * 0.9, up: number };
  const size = Math.max(Math.abs(number) * 0.5, key.includes("standoff") || key.includes("bulge") ? 3 : 30);
  const mayBeNegative = key.startsWith("rail.");
  return { down: mayBeNegative ? size : Math.min(size, number), up: size };
}

function stepOf(reach) {
  const rough = (reach.down + reach.up) / STEPS;
  return 10 ** Math.floor(Math.log10(rough)) * (rough > 5 * 10 ** Math.floor(Math.log10(rough)) ? 5 : 1);
}

function move(key, start, typed, step) {
  const number = Number(rounded(Math.round(Number(typed) / step) * step, 3));
  const band = start.off ? ` +/- ${rounded(start.off, 4)}` : "";
  set({ [key]: `${number}${band} ${start.unit}` });
}
