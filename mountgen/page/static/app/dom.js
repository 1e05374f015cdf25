// Elements made without markup in strings: text is always text, so nothing a survey says can become markup.

const SVG = "http://www.w3.org/2000/svg";

/** An HTML element. Attributes that begin with "on" are listeners; null, false and undefined are left out. */
export function h(name, attributes = {}, ...children) {
  return filled(document.createElement(name), attributes, children);
}

/** The same for SVG. */
export function s(name, attributes = {}, ...children) {
  return filled(document.createElementNS(SVG, name), attributes, children);
}

function filled(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? "" : String(value));
  }
  element.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

export const byId = (id) => document.getElementById(id);

/** Puts new children in the place of the old ones. */
export function fill(element, ...children) {
  element.replaceChildren(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
}

/** A text with a capital and a full stop. */
export function sentence(text) {
  const shown = text.charAt(0).toUpperCase() + text.slice(1);
  return /[.!?]$/.test(shown) ? shown : `${shown}.`;
}

/** Hands a file to the browser to be saved. */
export function save(name, blob) {
  const address = URL.createObjectURL(blob);
  h("a", { href: address, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
