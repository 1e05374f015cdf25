// Numbers as people write them: German and English marks, mixed fractions, units, +/-.
//
// Words: a *mark* is a comma or a point; the *decimal mark* is the one a person prefers ("," or ".").
// What is sent to the server always has a point for decimals and nothing between thousands.

const RUN = /[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+/g;
const SPACED = /(?<![0-9.,/])([1-9][0-9]{0,2})((?:[ \u00a0\u202f][0-9]{3})+)(?![0-9]| ?\/)/g;
const GROUPED = /^[1-9][0-9]{0,2}(?:[.,][0-9]{3})+$/;
const UNITS = { mm: 1, cm: 10, m: 1000, in: 25.4, "in.": 25.4, inch: 25.4, inches: 25.4, '"': 25.4, ft: 304.8, "'": 304.8 };
const VULGAR = { "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8" };
const RATIO = "(?:(\\d+)(?: |- ?))?(\\d+) ?/ ?(\\d+)";
const PLAIN = new RegExp(`^([+-]?) ?(?:${RATIO}|(\\d*\\.?\\d+(?:e[+-]?\\d+)?)) ?([a-z."']*)$`, "i");
const FEET = new RegExp(`^([+-]?) ?(\\d+) ?(?:ft|') ?-? ?(?:${RATIO}|(\\d*\\.?\\d+)) ?(?:in|")$`, "i");

/**
 * One spelling for every number in a text: "1.250,5 mm" and "1,250.5 mm" both give "1250.5 mm".
 *
 * The rules, in this order, for each run of digits and marks:
 * 1. both marks: the last one is decimal, the others group thousands;
 * 2. one mark more than once: it groups thousands;
 * 3. one mark, once, with exactly three digits behind it and one to three before it, the first not 0
 *    ("1,250", "1.250"): it could be either, so the preferred decimal mark decides, and `unsure` is true;
 * 4. one mark otherwise: it is decimal ("3,2", "0,125", "12.5");
 * 5. blanks group thousands where three digits follow each ("1 250 mm"), and `unsure` is true; never before
 *    a fraction ("2 100/128 in").
 * Groups that are not of three digits stay as they are, for the server to refuse.
 *
 * @param {string} text what a person typed
 * @param {"."|","} decimal the preferred decimal mark
 * @returns {{text: string, unsure: boolean}}
 */
export function normalise(text, decimal) {
  let unsure = false;
  const plain = text.replace(/[½¼¾⅛⅜⅝⅞]/g, (one) => ` ${VULGAR[one]}`).replace(/[−–]/g, "-");
  const joined = plain.replace(SPACED, (all, first, rest) => {
    unsure = true;
    return first + rest.replace(/[^0-9]/g, "");
  });
  const shown = joined.replace(RUN, (run) => {
    const [number, either] = oneNumber(run, decimal);
    unsure ||= either;
    return number;
  });
  return { text: shown.replace(/ +/g, " ").trim(), unsure };
}

function oneNumber(run, decimal) {
  const marks = run.match(/[.,]/g) ?? [];
  if (marks.length === 0) return [run, false];
  const last = marks.at(-1);
  if (new Set(marks).size === 2) {
    const at = run.lastIndexOf(last);
    const whole = run.slice(0, at);
    return whole.includes(last) || !GROUPED.test(whole) ? [run, false] : [`${digits(whole)}.${run.slice(at + 1)}`, false];
  }
  if (marks.length > 1) return [GROUPED.test(run) ? digits(run) : run, false];
  if (GROUPED.test(run)) return [last === decimal ? run.replace(last, ".") : digits(run), true];
  return [run.replace(last, "."), false];
}

const digits = (text) => text.replace(/[^0-9]/g, "");

/**
 * A length in mm, as far as the browser can tell; null where it cannot.
 *
 * @param {string} text a normalised text such as "2 1/4 in", "850 +/- 5 mm" or "12"
 * @param {"mm"|"in"} unit what a bare number means
 * @returns {{mm: number, off: number, unit: string}|null} `off` is the +/- in mm, `unit` what was written
 */
export function readLength(text, unit) {
  const [middle, band, more] = text.replace(/\+ ?\/ ?-|\+-/, "±").split("±").map((part) => part.trim());
  if (more !== undefined) return null;
  const limit = band === undefined ? null : part(band);
  const value = part(middle);
  if (value === null || (band !== undefined && limit === null)) return null;
  const written = value.unit || limit?.unit || "";
  const size = UNITS[written || unit];
  const bandSize = UNITS[limit?.unit || written || unit];
  if (size === undefined || bandSize === undefined) return null;
  return { mm: value.number * size, off: limit ? limit.number * bandSize : 0, unit: written };
}

function part(text) {
  const both = FEET.exec(text);
  if (both) {
    const inches = 12 * Number(both[2]) + amount(both[3], both[4], both[5], both[6]);
    return finite({ number: both[1] === "-" ? -inches : inches, unit: "in" });
  }
  const match = PLAIN.exec(text);
  if (match === null) return null;
  const size = amount(match[2], match[3], match[4], match[5]);
  return finite({ number: match[1] === "-" ? -size : size, unit: match[6].toLowerCase() });
}

const amount = (whole, above, below, plain) =>
  above === undefined ? Number(plain) : Number(whole ?? 0) + Number(above) / Number(below);

const finite = (found) => (Number.isFinite(found.number) ? found : null);

/** A number with no more than `places` decimals and no zeros at its end. */
export function rounded(value, places) {
  const text = value.toFixed(places);
  return (places > 0 ? text.replace(/\.?0+$/, "") : text).replace(/^-0$/, "0");
}

/** A length in mm as text in the preferred unit, to read (not to send). */
export function lengthText(mm, unit) {
  return unit === "in" ? `${rounded(mm / 25.4, 3)} in` : `${rounded(mm, 2)} mm`;
}

/**
 * A value of a check as it stands in `check --json`, every digit; lengths in inches when preferred.
 *
 * @returns {string} such as "2.72938 mm"
 */
export function exactText(value, unit, preferred) {
  if (value === null) return "–";
  if (unit === "mm" && preferred === "in") return `${rounded(value / 25.4, 5)} in`;
  return `${value} ${unit}`.trim();
}
