// One field of the form: its label with the letter of the sketch, its input, what was understood, its fault.

import { h } from "./dom.js";
import {
  items, lengthShown, lengthTyped, localised, pairWritten, quantityTyped, textWritten, unquoted,
} from "./entries.js";
import { preferences } from "./preferences.js";
import { editText, focusOn, set, state, valueOf } from "./state.js";
import { withoutKey } from "./surveytext.js";

/** Makes the row of `field` for one key. */
export function fieldRow(field, key) {
  const row = h("div", { class: `field ${field.kind}`, "data-key": key });
  const id = idOf(key);
  const notes = [
    field.hint ? h("p", { class: "hint", id: `${id}-hint` }, field.hint) : null,
    h("p", { class: "understood", id: `${id}-read` }),
    h("p", { class: "fault", id: `${id}-fault` }),
  ];
  row.append(...MAKERS[field.kind](field, key, id), ...notes.filter(Boolean));
  row.addEventListener("focusin", () => focusOn(key));
  return row;
}

/** An id for a key, without what an id does not take. */
export const idOf = (key) => `field-${key.replace(/[^A-Za-z0-9_]+/g, "-")}`;

const letterOf = (field) => (field.letter ? h("span", { class: "letter", "aria-hidden": "true" }, field.letter) : null);
const labelOf = (field, id) => h("label", { for: id }, letterOf(field), h("span", {}, field.label));
const described = (id) => `${id}-hint ${id}-read ${id}-fault`;

const MAKERS = {
  length: (field, key, id) => [labelOf(field, id), measure(key, id, [id], {})],
  number: (field, key, id) => [labelOf(field, id), h("div", { class: "entry" }, typedInput(key, id, quantityTyped), unitMark(field.unit))],
  text: (field, key, id) => [labelOf(field, id), typedInput(key, id, field.whole ? quantityTyped : plainTyped, field.whole)],
  name: (field, key, id) => [labelOf(field, id), typedInput(key, id, plainTyped, /^$/, { list: `names-${field.list}` })],
  choice: chooser,
  pair: pairOfInputs,
};

const plainTyped = (typed) => ({ written: textWritten(typed.trim()), understood: "" });
const unitMark = (unit) => h("span", { class: "unit" }, unit);

/** An input of a text. While a person types, only what is `whole` is sent. */
function typedInput(key, id, read, whole = /(?:)/, more = {}) {
  return h("input", {
    id, type: "text", autocomplete: "off", spellcheck: "false", "aria-describedby": described(id), ...more,
    oninput: ({ target }) => whole.test(target.value.trim()) && typed(target, key, read),
    onchange: ({ target }) => typed(target, key, read),
  });
}

function typed(input, key, read) {
  const told = read(input.value);
  showUnderstood(key, told.understood);
  if (input.value.trim() === "") clear(key);
  else set({ [key]: told.written });
}

/** An input of a length with its unit behind it. */
function measure(key, id, ids, more) {
  const input = h("input", {
    id, type: "text", autocomplete: "off", autocapitalize: "off", spellcheck: "false",
    "aria-describedby": described(idOf(key)), ...more,
    oninput: () => measured(key, ids, false),
    onchange: () => measured(key, ids, true),
  });
  return h("div", { class: "entry" }, input, unitMark(preferences.unit));
}

/** Takes the one or two lengths of a field. While a person types, what is no length yet is not sent. */
function measured(key, ids, done) {
  const inputs = ids.map((id) => document.getElementById(id));
  if (inputs.every((input) => input.value.trim() === "")) {
    clear(key);
    return;
  }
  const told = inputs.map((input) => lengthTyped(input.value));
  showUnderstood(key, told.map((one) => one.understood).filter(Boolean).join("; "));
  if (!done && told.some((one) => one.mm === null)) return;
  set({ [key]: ids.length === 1 ? told[0].written : pairWritten(told.map((one) => one.written)) });
}

function pairOfInputs(field, key, id) {
  const ids = [`${id}-0`, `${id}-1`];
  const both = field.words.map((word, i) => h("label", { for: ids[i], class: "half" }, word, measure(key, ids[i], ids, {})));
  return [h("fieldset", {}, h("legend", {}, letterOf(field), h("span", {}, field.label)), h("div", { class: "both" }, both))];
}

function chooser(field, key, id) {
  const options = [["", "–"], ...field.choices].map(([value, words]) => h("option", { value }, words));
  const select = h("select", {
    id, "aria-describedby": described(id),
    onchange: (event) => (event.target.value === "" ? clear(key) : set({ [key]: event.target.value })),
  }, options);
  return [labelOf(field, id), select];
}

/** Takes a value out: what was set for it, and what the survey's text says. */
function clear(key) {
  const { [key]: _, ...rest } = state.settings;
  if (valueOf(key) === undefined && state.settings[key] === undefined) return;
  delete state.values[key];
  editText(withoutKey(state.text, key), rest);
}

function showUnderstood(key, text) {
  document.getElementById(`${idOf(key)}-read`).textContent = text;
}

/** Shows the value that now stands, unless a person is typing there. */
export function syncRow(field, row) {
  const { key } = row.dataset;
  const value = valueOf(key);
  const inputs = [...row.querySelectorAll("input, select")];
  if (inputs.includes(document.activeElement) && document.activeElement.tagName === "INPUT") return;
  const texts = shownOf(field, value);
  inputs.forEach((input, i) => {
    input.value = texts[i] ?? "";
  });
  if (field.kind === "length" || field.kind === "pair") {
    row.querySelectorAll(".unit").forEach((mark) => (mark.textContent = preferences.unit));
    const told = texts.filter(Boolean).map((text) => lengthTyped(text).understood).filter(Boolean);
    showUnderstood(key, told.join("; "));
  }
}

function shownOf(field, value) {
  if (field.kind === "length") return [lengthShown(value)];
  if (field.kind === "pair") return items(value).map((text) => lengthShown(text));
  if (field.kind === "choice") return [value ?? ""];
  return [field.kind === "number" || field.whole ? localised(unquoted(value)) : unquoted(value)];
}
