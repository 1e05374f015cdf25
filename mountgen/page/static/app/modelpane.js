// The pane of the model: the controls around what view/model.js draws.

import { byId, fill, h } from "./dom.js";
import { listen, showProduct, state } from "./state.js";

let model = null;
let loading = null;

export function startModelPane() {
  byId("model-box").addEventListener("toggle", () => byId("model-box").open && ready());
  document.querySelector('a[href="#model-box"]').addEventListener("click", () => (byId("model-box").open = true));
  listen(["answer"], () => model && byId("model-box").open && showScene());
  listen(["product"], () => model && showMove());
  listen(["survey", "exact"], offerExact);
  byId("show-exact").addEventListener("change", () => model?.exact(byId("show-exact").checked ? state.exact : null));
  byId("model-product").addEventListener("input", () => showProduct(Number(byId("model-product").value)));
  byId("model-travel").addEventListener("input", showMove);
  byId("model-explode").addEventListener("input", () => model?.explode(Number(byId("model-explode").value)));
  byId("section-axis").addEventListener("change", showSection);
  byId("section-at").addEventListener("input", showSection);
  for (const name of ["clearances", "keepouts", "service"]) byId(`show-${name}`).addEventListener("change", showOverlays);
}

/** Loads the drawing code once, when a person first opens the pane. */
async function ready() {
  loading ??= import("../view/model.js");
  try {
    const { createModel } = await loading;
    model ??= begun(createModel);
  } catch (error) {
    byId("model-fault").textContent = `The model cannot be drawn in this browser (${error.message}). The sketch and the drawings in the package show the same.`;
    return;
  }
  showScene();
}

function begun(createModel) {
  const made = createModel(byId("model"));
  for (const which of ["front", "side", "top"]) made.view2d(byId(`view-${which}`), which);
  return made;
}

/** The exact build can be shown while it is that of the survey in hand. */
function offerExact() {
  const box = byId("show-exact");
  box.disabled = state.exact === "";
  if (box.checked && box.disabled) {
    box.checked = false;
    model?.exact(null);
  }
}

function showScene() {
  const scene = state.answer?.scene;
  byId("model-fault").textContent = scene ? "" : "There is no mount to show for this survey.";
  if (!scene) return;
  model.show(scene);
  showControls(scene);
  showMove();
  showOverlays();
}

function showControls(scene) {
  const count = scene.products.length;
  Object.assign(byId("model-product"), { max: Math.max(count - 1, 0), value: Math.min(state.product, count - 1) });
  const names = [...new Set(scene.parts.map((part) => part.name))].sort();
  if (byId("hide-list").dataset.names === names.join()) return;
  byId("hide-list").dataset.names = names.join();
  fill(byId("hide-list"), names.map((name) => h("li", {}, h("label", {}, h("input", { type: "checkbox", checked: true, value: name, onchange: hide }), " ", name))));
}

function hide() {
  const hidden = [...byId("hide-list").querySelectorAll("input:not(:checked)")].map((box) => box.value);
  model.hide(hidden);
}

function showMove() {
  const index = Math.min(state.product, (state.answer?.scene?.products.length ?? 1) - 1);
  byId("model-product").value = index;
  byId("model-product-name").textContent = state.answer?.scene?.products[index]?.name ?? "";
  model?.product(index, Number(byId("model-travel").value));
}

function showSection() {
  const axis = byId("section-axis").value;
  byId("section-at").disabled = axis === "";
  model?.section(axis || null, Number(byId("section-at").value));
}

function showOverlays() {
  model?.overlays(Object.fromEntries(["clearances", "keepouts", "service"].map((name) => [name, byId(`show-${name}`).checked])));
}
