// Sharing: the survey as a file and as a link, the report as a page of its own and as a PDF.

import { postBlob, postJson } from "./api.js";
import { byId, save, sentence } from "./dom.js";
import { unquoted } from "./entries.js";
import { linkOf } from "./link.js";
import { asked, editText, listen, state, valueOf } from "./state.js";

const LONG_LINK = 8000;
/** Characters; some mail programs break longer links. */

export function startShare() {
  const doing = { "save-survey": saveSurvey, "copy-link": copyLink, "save-html": () => saveReport("html"), "save-pdf": () => saveReport("pdf"), print: () => window.print() };
  for (const [id, act] of Object.entries(doing)) {
    byId(id).addEventListener("click", () => Promise.resolve(act()).catch((error) => say(error.message)));
  }
  listen(["survey"], () => {
    if (document.activeElement !== byId("survey-text")) byId("survey-text").value = state.text;
    byId("link").hidden = true;
  });
  byId("survey-text").addEventListener("change", () => editText(byId("survey-text").value));
  byId("merge").addEventListener("click", async () => editText(await merged(), {}));
}

const say = (words) => (byId("share-said").textContent = sentence(words));

const name = () => unquoted(valueOf("name")) || "survey";

/** The survey's text with everything that was set written into it. */
async function merged() {
  return (await postJson("/api/survey", asked())).text;
}

async function saveSurvey() {
  save(`${name()}.toml`, new Blob([await merged()], { type: "application/toml" }));
  say(`${name()}.toml was saved`);
}

async function copyLink() {
  const address = new URL(`#s=${await linkOf(await merged())}`, location.href.split("#")[0]).href;
  const place = byId("link");
  place.hidden = false;
  place.value = address;
  place.select();
  const files = Object.keys(state.files).length ? " The files that the survey names do not go with it." : "";
  const long = address.length > LONG_LINK ? ` It has ${address.length} characters; a file is safer to send.` : "";
  const copied = await navigator.clipboard?.writeText(address).then(() => true, () => false);
  say(`${copied ? "The link was copied." : "Copy the link from the field."}${files}${long}`);
}

async function saveReport(as) {
  say("The report is being written");
  const blob = await postBlob(`/api/report${as === "pdf" ? "?as=pdf" : ""}`, asked());
  save(`${name()}-feasibility.${as}`, blob);
  say(`${name()}-feasibility.${as} was saved`);
}
