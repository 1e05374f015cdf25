// The answer first: feasible, tight or not; the three tightest margins; what would help, at one press.

import { faultText, postJson } from "./api.js";
import { byId, fill, h, sentence } from "./dom.js";
import { asked, listen, set, state } from "./state.js";

const SHORT = { feasible: "Feasible", tight: "Tight", "not feasible": "Not feasible" };
const KIND = { feasible: "pass", tight: "caution", "not feasible": "fail" };
const QUIET = 700;
/** ms without a change before a screen reader is told. */

const IDLE = 1200;
/** ms without a change before remedies are looked for. */

let told = 0;
let soon = 0;
let looking = null;
let advice = { key: "", answer: null };

export function startAnswer() {
  listen(["answer", "faults"], show);
  listen(["answer", "survey"], lookSoon);
  listen(["asked"], () => byId("answer").setAttribute("aria-busy", "true"));
}

function show() {
  byId("answer").setAttribute("aria-busy", "false");
  const headline = state.faults.length ? faultWords() : state.answer ? state.answer.told.headline : "";
  const kind = state.faults.length ? "wrong" : (KIND[state.answer?.report.verdict] ?? "none");
  for (const place of document.querySelectorAll("[data-verdict]")) place.dataset.verdict = kind;
  byId("headline").textContent = headline;
  byId("bar-verdict").textContent = state.faults.length ? "Mend the input" : (SHORT[state.answer?.report.verdict] ?? "");
  byId("bar-tightest").textContent = state.faults.length ? faultText(state.faults[0]) : (state.answer?.told.tightest[0] ?? "");
  announce(headline);
  if (!state.answer || state.faults.length) return;
  byId("counted").textContent = `${state.answer.report.name}: ${state.answer.told.counted}`;
  fill(byId("tightest"), state.answer.told.tightest.map((text) => h("li", {}, text)));
  showRemedies();
}

function faultWords() {
  const count = state.faults.length;
  return count === 1 ? "One value cannot be used" : `${count} values cannot be used`;
}

function announce(headline) {
  clearTimeout(told);
  const first = state.answer && !state.faults.length ? (state.answer.told.tightest[0] ?? "") : "";
  told = setTimeout(() => (byId("status").textContent = `${sentence(headline)} ${first}`), QUIET);
}

function showRemedies() {
  const given = adviceNow() ?? state.answer;
  const remedies = given.remedies ?? [];
  const wanted = state.answer.report.verdict === "not feasible";
  byId("remedies").hidden = !wanted && remedies.length === 0;
  byId("helps").textContent = given.told.helps || (wanted ? "Changes are tried in a moment." : "");
  fill(byId("remedy-list"), remedies.map((remedy) => h("li", {}, h("span", {}, sentence(remedy.text)), applyButton(remedy))));
}

function applyButton(remedy) {
  if (!remedy.settings || Object.keys(remedy.settings).length === 0) return null;
  const onclick = () => set(remedy.settings);
  return h("button", { type: "button", class: "chief", onclick, "aria-label": `Apply: ${remedy.text}` }, "Apply");
}

const questionNow = () => JSON.stringify(asked());

/** What was found for the survey as it is; null when nothing was looked for. */
const adviceNow = () => (advice.key === questionNow() ? advice.answer : null);

/** Looks for remedies once a person has stopped changing things: it takes the server some seconds. */
function lookSoon() {
  clearTimeout(soon);
  looking?.abort();
  if (state.answer && !state.faults.length && !state.answer.advised && !adviceNow()) soon = setTimeout(look, IDLE);
}

async function look() {
  const mine = new AbortController();
  looking = mine;
  const key = questionNow();
  byId("helps").textContent = "Trying changes; this takes some seconds.";
  try {
    advice = { key, answer: await postJson("/api/advice", asked(), mine.signal) };
  } catch (error) {
    if (!mine.signal.aborted) byId("helps").textContent = sentence(error.message);
    return;
  }
  if (key === questionNow()) show();
}
