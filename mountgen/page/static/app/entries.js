// Between a field and a survey's value: what an input shows, and what is set when a person types.

import { lengthText, normalise, readLength } from "./number.js";
import { preferences } from "./preferences.js";
import { valueOf } from "./state.js";

const PLAIN = /^-?\d+(?:\.\d+)?$/;
const ENDS_WITH_UNIT = { mm: /^([^a-z'"]*[^a-z'"\s])\s*mm$/i, in: /^([^a-z'"]*[^a-z'"\s])\s*(?:in|")$/i };

/** The unit of the survey's bare numbers, "" where it says none. */
export const surveyUnit = () => valueOf("units") ?? "";

/** A survey's text value without the quotes that TOML may need. */
export function unquoted(value) {
  if (value === undefined) return "";
  return value.startsWith('"') ? JSON.parse(value) : value;
}

/** The items of a survey's list, as texts. */
export function items(value) {
  if (value === undefined) return [];
  try {
    return JSON.parse(value).map(String);
  } catch {
    return []; // no list that the page can show item by item: the server says what is wrong with it
  }
}

/** A survey's number with the decimal mark that is preferred, as a person would type it. */
export const localised = (text) => (preferences.decimal === "," ? text.replace(/(\d)\.(?=\d)/g, "$1,") : text);

/** What an input shows of a length: its unit is left out where it is the preferred one. */
export function lengthShown(value) {
  if (value === undefined) return "";
  return localised(withoutPreferred(unquoted(value)));
}

function withoutPreferred(text) {
  const short = ENDS_WITH_UNIT[preferences.unit].exec(text);
  if (short) return short[1];
  const bare = readLength(normalise(text, ".").text, "mm")?.unit === "";
  return bare && surveyUnit() && surveyUnit() !== preferences.unit ? `${text} ${surveyUnit()}` : text;
}

/**
 * What was typed as a length: `written` is set, `understood` is told beside the field where it says more
 * than what was typed; `mm` is null for what is no length yet.
 */
export function lengthTyped(typed) {
  const { text, unsure } = normalise(typed, preferences.decimal);
  const read = readLength(text, preferences.unit);
  const bare = read !== null && read.unit === "";
  const written = !bare || surveyUnit() === preferences.unit ? text : `${text} ${preferences.unit}`;
  return { written, mm: read?.mm ?? null, understood: read ? understood(text, read, unsure) : "" };
}

function understood(text, read, unsure) {
  const shown = lengthText(read.mm, preferences.unit);
  if (unsure) return `understood as ${read.unit ? text : `${text} ${preferences.unit}`}`;
  const other = read.unit !== "" && !ENDS_WITH_UNIT[preferences.unit].test(text);
  const fraction = text.includes("/") && !/^[^/]*\+ ?\/ ?-[^/]*$/.test(text);
  return other || fraction ? `= ${shown}` : "";
}

/** A pair of lengths as a TOML list. */
export function pairWritten(texts) {
  return `[${texts.map((text) => (PLAIN.test(text) ? text : JSON.stringify(text))).join(", ")}]`;
}

/** A text as the server takes it for a text and for nothing else. */
export function textWritten(text) {
  const safe = /^[A-Za-z][^="[\]{}#]*$/.test(text) && !/^(?:true|false|inf|nan)$/.test(text);
  return safe || text === "" ? text : JSON.stringify(text);
}

/** A number with a unit of its own (a speed, a mass, an angle), its marks made plain. */
export function quantityTyped(typed) {
  const { text, unsure } = normalise(typed, preferences.decimal);
  return { written: PLAIN.test(text) ? text : textWritten(text), understood: unsure ? `understood as ${text}` : "" };
}

/** A length of the survey in mm; undefined where there is none, or none that can be read. */
export function millimetres(key) {
  return lengthOf(valueOf(key));
}

/** Both lengths of a pair in mm; undefined where they cannot be read. */
export function pairOf(key) {
  const both = items(valueOf(key)).map((text) => lengthOf(text));
  return both.length === 2 && both.every((one) => one !== undefined) ? both : undefined;
}

function lengthOf(value) {
  if (value === undefined) return undefined;
  return readLength(normalise(unquoted(value), ".").text, surveyUnit() || "mm")?.mm;
}
