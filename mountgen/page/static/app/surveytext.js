// Edits of a survey's text that are no single value: tables added, copied and taken out.
//
// A *block* is a header such as [[product]] with its lines, and the tables that belong to it
// ([product.code]); comments above the next header belong to that one.

const HEADER = /^\s*\[\[?\s*([A-Za-z0-9_."-]+)\s*\]\]?\s*(?:#.*)?$/;

/** First and last line (behind) of the block of the `count`-th header of this name; null when there is none. */
function range(lines, name, count) {
  let seen = 0;
  let start = -1;
  for (let i = 0; i < lines.length; i += 1) {
    const header = HEADER.exec(lines[i])?.[1];
    if (header === undefined) continue;
    if (start >= 0 && !header.startsWith(`${name}.`)) return [start, beforeComments(lines, start, i)];
    if (start < 0 && header === name && (seen += 1) === count) start = i;
  }
  return start < 0 ? null : [start, lines.length];
}

function beforeComments(lines, start, end) {
  let last = end;
  while (last > start + 1 && /^\s*#/.test(lines[last - 1])) last -= 1;
  return last;
}

/** The text without the block. */
export function withoutBlock(text, name, count = 1) {
  const lines = text.split("\n");
  const found = range(lines, name, count);
  if (found) lines.splice(found[0], found[1] - found[0]);
  return lines.join("\n");
}

/** The text with a copy of the block behind it; `change` makes the copy's lines from the block's. */
export function withCopy(text, name, count, change) {
  const lines = text.split("\n");
  const found = range(lines, name, count);
  if (!found) return text;
  const block = lines.slice(found[0], found[1]);
  if (block.at(-1) !== "") block.push("");
  lines.splice(found[1], 0, ...change(block));
  return lines.join("\n");
}

/** The text with new lines at its end. */
export const withLines = (text, added) => `${text.replace(/\s*$/, "")}\n\n${added.join("\n")}\n`;

/** The text with one value out of it, its line kept as a comment. `key` is such as "product[2].code.below_top". */
export function withoutKey(text, key) {
  const lines = text.split("\n");
  const path = key.split(".");
  const last = path.pop();
  const count = Number(/\[(\d+)\]/.exec(key)?.[1] ?? 1);
  const at = lineOf(lines, path.map((part) => part.replace(/\[\d+\]/, "")).join("."), count, last);
  if (at >= 0) lines[at] = `# ${lines[at]}`;
  return lines.join("\n");
}

function lineOf(lines, table, count, name) {
  let seen = 0;
  let inside = table === "";
  for (let i = 0; i < lines.length; i += 1) {
    const header = HEADER.exec(lines[i])?.[1];
    if (header !== undefined) inside = header === table && (seen += 1) === count;
    else if (inside && new RegExp(`^\\s*${name}\\s*=`).test(lines[i])) return i;
  }
  return -1;
}
