// Colours from the page's style sheet, as the browser resolves them for light or dark.

const WANTED = {
  paper: "var(--sheet, #ffffff)",
  ink: "var(--ink, #1b2226)",
  soft: "var(--soft, #52606a)",
  line: "var(--line, #c6cdd1)",
  hand: "var(--hand, #0a5a85)",
  fail: "var(--fail, #a01f28)",
};

/** { paper, ink, soft, line, hand, fail } as CSS colours. */
export function themeOf(element) {
  const probe = element.ownerDocument.createElement("span");
  element.append(probe);
  const found = {};
  for (const [name, colour] of Object.entries(WANTED)) {
    probe.style.color = colour;
    found[name] = getComputedStyle(probe).color;
  }
  probe.remove();
  return found;
}

/** Calls `changed` when the page turns light or dark; returns what stops it. */
export function watchTheme(element, changed) {
  const root = element.ownerDocument.documentElement;
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const observer = new MutationObserver(changed);
  dark.addEventListener("change", changed);
  observer.observe(root, { attributes: true });
  return () => {
    dark.removeEventListener("change", changed);
    observer.disconnect();
  };
}

/** A length in mm for people, as the survey's units are. */
export function lengthText(mm, units, unit = true) {
  if (units === "in") return `${(mm / 25.4).toFixed(2)}${unit ? " in" : ""}`;
  return `${Number(mm.toFixed(1))}${unit ? " mm" : ""}`;
}

/** The style sheet of the view, asked for once. */
export function loadStyle(document) {
  const href = new URL("./view.css", import.meta.url).href;
  if (document.querySelector(`link[href="${href}"]`)) return;
  const link = document.createElement("link");
  link.rel = "stylesheet";
  link.href = href;
  document.head.append(link);
}
