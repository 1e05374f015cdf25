// What a person prefers: unit, decimal mark, light or dark. Kept in this browser only.

import { byId } from "./dom.js";
import { tell } from "./state.js";

const KEPT = "mountgen-preferences";

export const preferences = { unit: "mm", decimal: decimalHere(), theme: "system", ...kept() };

function decimalHere() {
  return new Intl.NumberFormat(navigator.language).format(1.5).includes(",") ? "," : ".";
}

function kept() {
  try {
    return JSON.parse(localStorage.getItem(KEPT) ?? "{}");
  } catch {
    return {}; // a store that is refused or holds no JSON says nothing of what is preferred
  }
}

function keep() {
  try {
    localStorage.setItem(KEPT, JSON.stringify(preferences));
  } catch {
    byId("status").textContent = "This browser keeps no preferences; they hold until the page is closed.";
  }
}

/** Ties the three choices at the top of the page to the preferences. */
export function startPreferences() {
  for (const name of ["unit", "decimal", "theme"]) {
    const choice = byId(`prefer-${name}`);
    choice.value = preferences[name];
    choice.addEventListener("change", () => {
      preferences[name] = choice.value;
      keep();
      showTheme();
      tell("preferences");
    });
  }
  showTheme();
}

function showTheme() {
  document.documentElement.dataset.theme = preferences.theme;
}

/** Prefers the unit that a survey was measured in. */
export function preferUnit(unit) {
  preferences.unit = unit;
  byId("prefer-unit").value = unit;
  keep();
  tell("preferences");
}
