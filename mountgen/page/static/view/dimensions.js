// Dimension lines, lettering and a scale bar of a drawing, as SVG. World y runs up, the picture's down.

const NAMESPACE = "http://www.w3.org/2000/svg";

export function el(name, attributes, text) {
  const element = document.createElementNS(NAMESPACE, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  if (text !== undefined) element.textContent = text;
  return element;
}

const round = (value) => Math.round(value * 100) / 100;

/** A dimension along an axis of the picture, `step` rows beyond `at` on the other axis. */
export function dimension({ axis, from, to, at, step, text }, { letter }) {
  const line = at + Math.sign(step) * letter * (1.1 + 1.9 * (Math.abs(step) - 0.5));
  const [low, high] = [Math.min(from, to), Math.max(from, to)];
  const point = (along, off) => (axis === 0 ? [round(along), round(-off)] : [round(off), round(-along)]);
  const over = Math.sign(step) * letter * 0.35;
  const tight = high - low < letter * 1.6;
  const ends = tight ? [low - letter * 1.4, high + letter * 1.4] : [low, high];
  const group = el("g", {});
  const strokes = [[point(low, at), point(low, line + over)], [point(high, at), point(high, line + over)], ends.map((end) => point(end, line))];
  group.append(el("path", { class: "dim", d: strokes.map(([a, b]) => `M${a.join(" ")}L${b.join(" ")}`).join("") }));
  group.append(tip(point, low, line, tight ? -letter : letter), tip(point, high, line, tight ? letter : -letter));
  group.append(lettering(point, tight ? ends[1] + letter : (low + high) / 2, line, axis, letter, text));
  return group;
}

/** An arrow's tip at the end of a dimension line, its body towards `back`. */
function tip(point, along, line, back) {
  const reach = 0.75 * back;
  const half = Math.abs(back) * 0.16;
  const corners = [point(along, line), point(along + reach, line + half), point(along + reach, line - half)];
  return el("path", { class: "tip", d: `M${corners.map((corner) => corner.join(" ")).join("L")}Z` });
}

function lettering(point, along, line, axis, letter, text) {
  const [x, y] = point(along, line);
  const turned = axis === 0 ? {} : { transform: `rotate(-90 ${x} ${y})` };
  return el("text", { x, y: round(y - letter * 0.25), "font-size": round(letter), "text-anchor": "middle", ...turned }, text);
}

/** 100 mm or 4 in, in the lower left corner. */
export function scaleBar({ low, letter }, units) {
  const long = units === "in" ? 101.6 : 100;
  const [x, y] = [low[0] + letter, -low[1] - letter];
  const group = el("g", {});
  group.append(el("path", { class: "dim", d: `M${round(x)} ${round(y - letter / 3)}v${round(letter / 1.5)}m0 ${round(-letter / 3)}h${long}m0 ${round(-letter / 3)}v${round(letter / 1.5)}` }));
  group.append(el("text", { x: round(x + long + letter * 0.5), y: round(y + letter * 0.35), "font-size": round(letter) }, units === "in" ? "4 in" : "100 mm"));
  return group;
}
