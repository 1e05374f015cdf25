// Where a survey comes from: a starter, a file that is dropped or chosen, a link, or the one in hand before.

import { getJson } from "./api.js";
import { byId, fill, h } from "./dom.js";
import { draftKept } from "./draft.js";
import { surveyOfLink } from "./link.js";
import { preferUnit } from "./preferences.js";
import { state, takeSurvey } from "./state.js";

const LARGEST = 20_000_000;

/** Shows what there is to start from; a link's survey is opened at once. */
export async function startStart() {
  byId("own-file").addEventListener("change", (event) => takeFiles(event.target.files));
  for (const kind of ["dragover", "drop"]) document.addEventListener(kind, dropped);
  byId("other-survey").addEventListener("click", () => showStart(true));
  window.addEventListener("hashchange", openLink);
  if (!(await openLink())) showStart(true);
  const starters = await getJson("/api/starters");
  fill(byId("starters"), starters.map(card), draftCard());
}

function showStart(shown) {
  byId("start").hidden = !shown;
  byId("work").hidden = shown;
  if (shown) byId("start-title").focus();
}

function card(starter) {
  const go = () => open(starter.text);
  return h("li", {}, h("button", { type: "button", onclick: go, "data-starter": starter.id }, h("b", {}, starter.title), h("span", {}, starter.about)));
}

function draftCard() {
  const draft = draftKept();
  if (!draft) return null;
  const go = () => open(draft.text, draft.settings, draft.files);
  return h("li", {}, h("button", { type: "button", onclick: go, "data-starter": "draft" }, h("b", {}, "Go on where you were"), h("span", {}, "The survey that was last in hand in this browser.")));
}

/** Opens a survey in the unit that it was measured in. */
function open(text, settings = {}, files = {}) {
  const unit = /^\s*units\s*=\s*"(mm|in)"/m.exec(text)?.[1];
  if (unit) preferUnit(unit);
  showStart(false);
  takeSurvey(text, settings, files);
  byId("headline").focus({ preventScroll: true });
}

function dropped(event) {
  if (!event.dataTransfer?.types.includes("Files")) return;
  event.preventDefault();
  if (event.type === "drop") takeFiles(event.dataTransfer.files);
}

/** A survey, or a list or drawing that the survey in hand names. */
async function takeFiles(files) {
  const chosen = [...files];
  const large = chosen.find((file) => file.size > LARGEST);
  if (large) return say(`${large.name} is larger than ${LARGEST / 1e6} MB.`);
  const survey = chosen.find((file) => file.name.toLowerCase().endsWith(".toml"));
  const others = chosen.filter((file) => file !== survey);
  const beside = Object.fromEntries(await Promise.all(others.map(async (file) => [file.name, await base64(file)])));
  if (survey) return open(await survey.text(), {}, beside);
  if (state.text) return takeSurvey(state.text, state.settings, { ...state.files, ...beside });
  return say("Drop a survey (.toml) first, or together with the files that it names.");
}

const say = (words) => (byId("start-fault").textContent = words);

function base64(file) {
  return new Promise((done, failed) => {
    const reader = new FileReader();
    reader.onload = () => done(reader.result.slice(reader.result.indexOf(",") + 1));
    reader.onerror = () => failed(reader.error);
    reader.readAsDataURL(file);
  });
}

async function openLink() {
  if (!location.hash.startsWith("#s=")) return false;
  try {
    open(await surveyOfLink(location.hash.slice(3)));
  } catch {
    say("The link holds no survey that can be read; it may have been cut off.");
    return false;
  }
  return true;
}
