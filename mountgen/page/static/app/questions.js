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
  return told.notes.join(" ");
}

function option(one) {
  const apply = Object.keys(one.settings).length
    ? h("button", { type: "button", class: "chief", onclick: () => set(one.settings), "aria-label": `Take the ${one.title}` }, "Take this one") : null;
  return h("li", { class: "option", "data-status": one.status }, h("h4", {}, one.title), h("p", {}, sentence(one.headline)),
    one.mounts.map(mount), h("ul", {}, one.missing.map((text) => h("li", {}, text.replace(/^- /, "")))), apply);
}

function mount(one) {
  const figures = Object.entries(one.figures).map(([name, value]) => h("div", {}, h("dt", {}, name), h("dd", {}, value)));
  return h("section", {}, h("h5", {}, sentence(one.best.join(", "))), h("p", {}, one.made), h("dl", { class: "figures" }, figures));
}
