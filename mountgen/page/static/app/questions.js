// Questions that take the server some seconds, asked when a person wants them: options, and how wrong each
// measured value may be.

import { postJson } from "./api.js";
import { byId, fill, h, sentence } from "./dom.js";
import { wordsOf } from "./fields.js";
import { exactText } from "./number.js";
import { preferences } from "./preferences.js";
import { asked, listen, set, state } from "./state.js";

export function startQuestions() {
  onPress("ask-sensitivity", "sensitivity", showSensitivity);
  onPress("ask-options", "options", showOptions);
  listen(["survey"], () => ["sensitivity", "options"].forEach((name) => {
    if (byId(`${name}-rows`).childElementCount) byId(`${name}-said`).textContent = "Asked before the last change; ask again.";
  }));
}

function onPress(button, name, show) {
  byId(button).addEventListener("click", async () => {
    byId(button).disabled = true;
    byId(`${name}-said`).textContent = "Working it out; this takes some seconds.";
    try {
      byId(`${name}-said`).textContent = show(await postJson(`/api/${name}`, asked()));
    } catch (error) {
      byId(`${name}-said`).textContent = sentence(error.message);
    }
    byId(button).disabled = false;
  });
}

function showSensitivity(told) {
  const rows = told.report?.sensitivity ?? told.sensitivity;
  byId("sensitivity-table").hidden = rows.length === 0;
  fill(byId("sensitivity-rows"), rows.map(sensitivityRow));
  return rows.length ? "The most critical value first." : "Nothing to say: the mount is not feasible as it is, see what helps.";
}

function sensitivityRow(one) {
  const text = (value) => exactText(value, one.unit, preferences.unit);
  const turn = ({ by, check }) => (by === null ? "no turn" : `${text(by)}: ${check}`);
  return h("tr", {}, h("th", { scope: "row" }, wordsOf(one.key), h("code", {}, one.key)),
    h("td", { "data-name": "May be off", class: "number" }, text(one.off)),
    h("td", { "data-name": "Turns when lower by" }, turn(one.lower)),
    h("td", { "data-name": "Turns when higher by" }, turn(one.higher)));
}

function showOptions(told) {
  fill(byId("options-rows"), told.options.map(option));
  return told.options.length ? "" : "No family of mounts was found for this line.";
}

function option(one) {
  const facts = Object.entries(one.facts ?? {}).map(([name, value]) => h("li", {}, `${name}: `, h("b", {}, String(value))));
  const apply = one.settings && Object.keys(one.settings).length
    ? h("button", { type: "button", class: "chief", onclick: () => set(one.settings), "aria-label": `Take ${one.title}` }, "Take this one") : null;
  return h("li", { class: "option", "data-verdict-kind": one.verdict }, h("h4", {}, one.title), h("p", {}, sentence(one.headline ?? one.verdict)),
    h("ul", {}, facts, (one.tightest ?? []).map((text) => h("li", {}, text))), apply);
}
