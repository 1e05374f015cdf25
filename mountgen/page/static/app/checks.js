// All checks with value, limit, margin and source, every digit as `check --json` prints it.

import { byId, fill, h, s, sentence } from "./dom.js";
import { exactText } from "./number.js";
import { preferences } from "./preferences.js";
import { listen, state } from "./state.js";

const WORDS = { pass: "passes", caution: "tight", fail: "fails" };
const RANK = { fail: 0, caution: 1, pass: 2 };

export function startChecks() {
  listen(["answer", "preferences"], show);
  byId("check-order").addEventListener("change", show);
}

function show() {
  if (!state.answer) return;
  const { checks, assumptions } = state.answer.report;
  const sorted = byId("check-order").value === "margin" ? [...checks].sort(closest) : checks;
  fill(byId("check-rows"), sorted.map(row));
  byId("check-count").textContent = `${checks.length} checks`;
  fill(byId("assumptions"), assumptions.map(assumption));
  byId("assumption-count").textContent = assumptions.length === 0 ? "none" : `${assumptions.length}`;
}

const closest = (a, b) => RANK[a.verdict] - RANK[b.verdict] || share(a) - share(b);

/** The margin as a share of its limit; of a share that must nearly be all, by what it leaves to all. */
function share(check) {
  const limit = check.unit === "%" && check.limit > 50 ? 100 - check.limit : check.limit;
  return check.margin / (Math.abs(limit) || Math.abs(check.value) || 1);
}

function row(check) {
  const text = (value) => exactText(value, check.unit, preferences.unit);
  return h("tr", { class: check.verdict, "data-check": check.id },
    h("th", { scope: "row" }, sentence(check.title).slice(0, -1)),
    cell("Value", text(check.value), check.value),
    cell("Limit", text(check.limit), check.limit),
    cell("Left", text(check.margin), check.margin),
    h("td", { "data-name": "Margin" }, bar(check), h("span", { class: "word" }, WORDS[check.verdict])),
    h("td", { "data-name": "Source", class: "source" }, check.source, check.remedy ? h("em", {}, sentence(check.remedy)) : null));
}

const cell = (name, text, value) => h("td", { "data-name": name, "data-value": JSON.stringify(value), class: "number" }, text);

/** How much of the limit is left: the bar ends at the margin, the tick at its foot is the limit. */
function bar(check) {
  const width = Math.min(Math.max(share(check), 0), 1) * 60;
  return s("svg", { viewBox: "0 0 64 12", class: "bar", "aria-hidden": "true" },
    s("line", { x1: 2, y1: 0, x2: 2, y2: 12 }), s("line", { x1: 2, y1: 6, x2: 62, y2: 6, class: "track" }),
    s("rect", { x: 2, y: 2, width: Math.max(width, check.verdict === "fail" ? 0 : 1), height: 8 }));
}

function assumption(one) {
  return h("li", {}, h("code", {}, one.key), " ", h("b", {}, one.value), `: ${one.reason}.`, one.effect ? h("em", {}, ` ${sentence(one.effect)}`) : null);
}
