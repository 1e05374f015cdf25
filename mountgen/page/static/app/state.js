// What the page knows: the survey's text, what was set over it, and the last answer of the server.
//
// There is one state. Parts of the page read it and say with `listen` which change they follow.

const followers = new Map();

export const state = {
  /** @type {string} the survey as TOML; empty before one is chosen */
  text: "",
  /** @type {Record<string, string>} key to value, as for `--set` */
  settings: {},
  /** @type {Record<string, string>} files that the survey names, base64 by name */
  files: {},
  /** @type {Record<string, string>} every value as written, settings included, of the last good check */
  values: {},
  /** @type {object|null} the last good answer of /api/check */
  answer: null,
  /** @type {object[]} what was wrong with the last input */
  faults: [],
  /** which product the page shows, counted from 0 */
  product: 0,
  /** @type {string} where the exact model of this survey is, "" while it was not built */
  exact: "",
  /** the key of the field in hand, "" for none */
  focus: "",
};

/** Calls `follow` after each change of this kind: "survey", "answer", "faults", "focus", "product", "preferences", "exact", "asked". */
export function listen(kinds, follow) {
  for (const kind of kinds) followers.set(kind, [...(followers.get(kind) ?? []), follow]);
}

export function tell(kind) {
  if (kind === "survey") state.exact = "";
  for (const follow of followers.get(kind) ?? []) follow();
}

/** Takes another survey. */
export function takeSurvey(text, settings = {}, files = {}) {
  const fresh = { values: {}, answer: null, faults: [], product: 0, focus: "" };
  Object.assign(state, fresh, { text, settings: { ...settings }, files: { ...files } });
  tell("survey");
}

/** Edits the survey's text and keeps what was set over it. */
export function editText(text, settings = state.settings) {
  Object.assign(state, { text, settings: { ...settings } });
  tell("survey");
}

/** Sets one value, or several at once, over the survey. */
export function set(changes) {
  state.settings = { ...state.settings, ...changes };
  tell("survey");
}

/** Takes back what was set for a key. */
export function unset(key) {
  const { [key]: _, ...rest } = state.settings;
  state.settings = rest;
  tell("survey");
}

export function showProduct(index) {
  state.product = index;
  tell("product");
}

export function focusOn(key) {
  state.focus = key;
  tell("focus");
}

/** A value as it now stands: what was set, or what the survey says. */
export const valueOf = (key) => state.settings[key] ?? state.values[key];

/** What every request about this survey carries. */
export const asked = () => ({ text: state.text, settings: state.settings, files: state.files });

/** The numbers of the tables of a list, such as the products: 1 to how many there are. */
export function countOf(list) {
  const pattern = new RegExp(`^${list.replace(".", "\\.")}\\[(\\d+)\\]`);
  const keys = [...Object.keys(state.values), ...Object.keys(state.settings)];
  return keys.reduce((most, key) => Math.max(most, Number(pattern.exec(key)?.[1] ?? 0)), 0);
}
