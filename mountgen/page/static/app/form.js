// The form: groups that fold, one open at a time, in the order in which a surveyor measures.

import { byId, fill, h } from "./dom.js";
import { faultText, getJson } from "./api.js";
import { unquoted } from "./entries.js";
import { GROUPS, keyAt } from "./fields.js";
import { fieldRow, idOf, syncRow } from "./fieldrow.js";
import { countOf, editText, focusOn, listen, set, showProduct, state, unset, valueOf } from "./state.js";
import { withCopy, withLines, withoutBlock } from "./surveytext.js";
import { wordsOf } from "./fields.js";

let built = "";
const rows = new Map();

export async function startForm() {
  listen(["survey", "answer", "product", "preferences"], show);
  listen(["faults", "answer", "product"], showFaults);
  const lists = Object.entries(await getJson("/api/names"));
  fill(byId("names"), lists.map(([kind, names]) => h("datalist", { id: `names-${kind}` }, names.map((value) => h("option", { value })))));
}

/** What decides which rows there are; while it stays, inputs stay too, and with them the cursor. */
function structure() {
  const faces = GROUPS.flatMap((group) => group.fields).filter((field) => field.when).map((field) => isWanted(field));
  return JSON.stringify([state.product, countOf("product"), countOf("rail.keepout"), hasGuides(), "products.file" in state.values, faces]);
}

const hasGuides = () => valueOf("guides.near_y") !== undefined || valueOf("guides.far_y") !== undefined;

function show() {
  if (!state.text) return;
  const now = structure();
  if (now !== built) build();
  built = now;
  for (const [row, field] of rows) syncRow(field, row);
  showChanged();
}

function build() {
  const inHand = document.activeElement?.id;
  const open = document.querySelector("#groups > details[open]")?.dataset.group ?? "line";
  rows.clear();
  fill(byId("groups"), GROUPS.map((group) => groupElement(group, group.id === open)));
  if (inHand) byId(inHand)?.focus();
}

function groupElement(group, open) {
  const summary = h("summary", {}, h("span", {}, group.title), h("span", { class: "group-faults" }));
  const box = h("details", { name: "groups", "data-group": group.id, open }, summary, ...contents(group));
  box.addEventListener("toggle", () => box.open && focusOn(""));
  return box;
}

function contents(group) {
  if (group.table === "guides" && !hasGuides()) return [h("p", {}, "No guides on this line."), button("Add guides", addGuides)];
  const parts = group.products ? [productChoice(group.id)] : [];
  if (group.products && countOf("product") === 0) return [...parts, h("p", {}, listWords())];
  parts.push(h("div", { class: "fields" }, group.fields.filter(isWanted).map((field) => rowOf(field, state.product))));
  if (group.table === "guides") parts.push(button("Take the guides out", () => editText(withoutBlock(state.text, "guides"), without("guides."))));
  if (group.list) parts.push(...listOf(group.list));
  return parts;
}

const listWords = () => `Products come from ${unquoted(valueOf("products.file")) || "no list yet"}. Change that list, or edit the survey's text.`;

function isWanted(field) {
  if (!field.when) return true;
  return valueOf(keyAt(field.when[0], state.product)) === field.when[1];
}

function rowOf(field, index) {
  const row = fieldRow(field, keyAt(field.key, index));
  rows.set(row, field);
  return row;
}

const button = (words, onclick, more = {}) => h("button", { type: "button", onclick, ...more }, words);

function productChoice(id) {
  const count = countOf("product");
  const options = Array.from({ length: count }, (_, i) => h("option", { value: i, selected: i === state.product }, unquoted(valueOf(`product[${i + 1}].name`))));
  const choose = h("select", { id: `shown-${id}`, onchange: (event) => showProduct(Number(event.target.value)) }, options);
  const chooser = h("div", { class: "field choice" }, h("label", { for: `shown-${id}` }, `product, ${state.product + 1} of ${count}`), choose);
  if (id !== "product") return chooser;
  return h("div", {}, chooser, h("div", { class: "buttons" }, button("Add a copy", copyProduct), count > 1 ? button("Take it out", dropProduct) : null));
}

function copyProduct() {
  const [number, count] = [state.product + 1, countOf("product")];
  const name = freeName(unquoted(valueOf(`product[${number}].name`)), count);
  const renamed = (block) => block.map((line) => line.replace(/^(\s*name\s*=\s*).*$/, `$1${JSON.stringify(name)}`));
  state.product = number;
  editText(withCopy(state.text, "product", number, renamed), renumbered("product", number, 1));
}

function freeName(name, count) {
  const taken = new Set(Array.from({ length: count }, (_, i) => unquoted(valueOf(`product[${i + 1}].name`))));
  let next = 2;
  while (taken.has(`${name} ${next}`)) next += 1;
  return `${name} ${next}`;
}

function dropProduct() {
  const number = state.product + 1;
  state.product = Math.max(0, number - 2);
  editText(withoutBlock(state.text, "product", number), renumbered("product", number, -1));
}

/** What was set, after a table was added behind `number` (by 1) or taken out (by -1). */
function renumbered(list, number, by) {
  state.values = {};
  const pattern = new RegExp(`^${list.replace(".", "\\.")}\\[(\\d+)\\](.*)$`);
  return Object.fromEntries(Object.entries(state.settings).flatMap(([key, value]) => {
    const match = pattern.exec(key);
    if (!match || Number(match[1]) < number || (by > 0 && Number(match[1]) === number)) return [[key, value]];
    return by < 0 && Number(match[1]) === number ? [] : [[`${list}[${Number(match[1]) + by}]${match[2]}`, value]];
  }));
}

const without = (start) => {
  state.values = {};
  return Object.fromEntries(Object.entries(state.settings).filter(([key]) => !key.startsWith(start)));
};

function addGuides() {
  const near = valueOf("product[1].near_side_at") ?? "75 mm";
  set({ "guides.near_y": near, "guides.far_y": "480 mm", "guides.z": '["40 mm", "70 mm"]' });
}

function listOf(list) {
  const count = countOf(list.name);
  const boxes = Array.from({ length: count }, (_, i) =>
    h("fieldset", { class: "listed" }, h("legend", {}, `${list.letter} ${list.one} ${i + 1}`), list.fields.map((field) => rowOf(field, i)),
      button("Take it out", () => editText(withoutBlock(state.text, list.name, i + 1), renumbered(list.name, i + 1, -1)))));
  const add = button(`Add a ${list.one}`, () => editText(withLines(state.text, [`[[${list.name}]]`, 'what = "in the way"', 'x = ["200 mm", "260 mm"]', 'z = ["-60 mm", "-20 mm"]'])));
  return [...boxes, add];
}

/** What stands over the survey's text, each with a way back. */
function showChanged() {
  const keys = Object.keys(state.settings);
  byId("changed").hidden = keys.length === 0;
  fill(byId("changed-list"), keys.map((key) =>
    h("li", {}, h("span", {}, `${wordsOf(key)}: `), h("b", {}, unquoted(state.settings[key])), " ", button("Take back", () => unset(key), { "aria-label": `Take back ${wordsOf(key)}` }))));
}

/** Faults at their fields; those that belong to none that is shown, above the form. */
function showFaults() {
  document.querySelectorAll("#groups .fault").forEach((place) => (place.textContent = ""));
  document.querySelectorAll("#groups [aria-invalid]").forEach((input) => input.removeAttribute("aria-invalid"));
  const homeless = state.faults.filter((fault) => !placed(fault));
  fill(byId("faults"), homeless.map((fault) => h("li", {}, `${fault.where ?? ""}${fault.where ? ": " : ""}${faultText(fault)}`)));
  byId("faults").hidden = homeless.length === 0;
  for (const group of document.querySelectorAll("#groups > details")) {
    const count = [...group.querySelectorAll(".fault")].filter((place) => place.textContent).length;
    group.querySelector(".group-faults").textContent = count ? `${count} to mend` : "";
  }
}

function placed(fault) {
  const key = keyOf(fault);
  const row = [...rows.keys()].find((one) => one.dataset.key === key || one.dataset.key === key.replace(/\[\d+\]$/, ""));
  if (!row) return false;
  byId(`${idOf(row.dataset.key)}-fault`).textContent = faultText(fault);
  row.querySelectorAll("input, select").forEach((input) => input.setAttribute("aria-invalid", "true"));
  return true;
}

/** The key that a fault is about: its own, or the one that was set. */
const keyOf = (fault) => fault.key ?? /^--set ([^=]+)/.exec(fault.where ?? "")?.[1]?.trim() ?? "";
