// Builds: asked for, waited for in a queue, watched, cancelled; and the files of those that are done.

import { getJson, postJson, remove } from "./api.js";
import { byId, fill, h, sentence } from "./dom.js";
import { fileList } from "./packagefiles.js";
import { asked, listen, state, tell } from "./state.js";

const EVERY = 600;
/** ms between two looks at what is being built. */
const WORDS = { queued: "waiting", running: "being built", done: "done", failed: "failed", cancelled: "cancelled" };

const shown = new Map();
const asks = new Map();
let timer = 0;

export function startBuilds() {
  byId("build").addEventListener("click", build);
  listen(["answer", "faults"], () => {
    byId("build").disabled = !state.answer || state.faults.length > 0;
  });
  look();
}

async function build() {
  const question = asked();
  try {
    const { id } = await postJson("/api/builds", question);
    asks.set(id, JSON.stringify(question));
    byId("build-fault").textContent = "";
  } catch (error) {
    byId("build-fault").textContent = sentence(error.message);
  }
  look();
}

/** Looks at the list now, and again soon while anything is waiting or being built. */
async function look() {
  clearTimeout(timer);
  let builds = [];
  try {
    builds = await getJson("/api/builds");
  } catch (error) {
    byId("build-fault").textContent = sentence(error.message);
    timer = setTimeout(look, 5 * EVERY);
    return;
  }
  for (const one of builds) await update(one);
  byId("builds-none").hidden = builds.length > 0;
  if (builds.some((one) => isOpen(one.state))) timer = setTimeout(look, EVERY);
}

const isOpen = (word) => word === "queued" || word === "running";

async function update(summary) {
  const before = shown.get(summary.id);
  if (before && before.state === summary.state && !isOpen(summary.state)) return;
  const one = { ...summary, ...(await getJson(`/api/builds/${summary.id}`)) };
  const element = before?.element ?? byId("builds").insertBefore(h("li", { class: "build" }), byId("builds").firstChild);
  shown.set(summary.id, { state: one.state, element });
  element.dataset.state = one.state;
  if (before && isOpen(one.state) && before.state === one.state) showProgress(element, one);
  else fill(element, parts(one));
  if (before && before.state !== one.state) byId("status").textContent = `${nameOf(one)}: ${WORDS[one.state]}.`;
  if (one.state === "done" && asks.get(one.id) === JSON.stringify(asked())) offerExact(one);
}

/** The exact model of the survey in hand, for the pane of the model. */
function offerExact(one) {
  const file = one.files.find(({ path }) => path === "assembly.glb");
  state.exact = file ? `/api/builds/${one.id}/files/${file.path}` : "";
  tell("exact");
}

const nameOf = (one) => one.name ?? `build ${one.id}`;

function parts(one) {
  const head = h("h3", {}, nameOf(one), " ", h("span", { class: "state" }, WORDS[one.state]));
  if (isOpen(one.state)) return [head, progress(one), h("button", { type: "button", onclick: () => cancel(one.id) }, "Cancel")];
  const message = one.message ? h("p", {}, sentence(one.message)) : null;
  return one.state === "done" ? [head, message, fileList(one)] : [head, message];
}

function progress(one) {
  const id = `progress-${one.id}`;
  return h("p", { class: "progress" }, h("label", { for: id }, stepWords(one)), h("progress", { id, max: one.of || 1, value: one.done ?? 0 }));
}

const stepWords = (one) => (one.state === "queued" ? "waiting for its turn" : (one.step ?? "starting"));

function showProgress(element, one) {
  element.querySelector("label").textContent = stepWords(one);
  Object.assign(element.querySelector("progress"), { max: one.of || 1, value: one.done ?? 0 });
}

async function cancel(id) {
  await remove(`/api/builds/${id}`);
  look();
}
