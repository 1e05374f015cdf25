// The files of a finished package: each opened in the page as pictures where it has any, each to download.

import { getJson, getText } from "./api.js";
import { fill, h } from "./dom.js";
import { dxfFigure } from "./dxf.js";

const DRAWN = /\.(?:pdf|dxf)$/;
const GROUPS = [
  ["Start here", (path) => /^(?:READ|feasibility)/i.test(path)],
  ["To cut and drill", (path) => /^(?:cut-and-drill|flat\/|rail\/|nest\/)/.test(path)],
  ["To fit and set up", (path) => /^(?:set-up|changeover|scale)/.test(path)],
  ["Models", (path) => /\.(?:step|glb)$/.test(path)],
  ["Everything else", () => true],
];
const CAUTION = "Drill and fit on a stopped line only, locked out by its owner's procedure. Check the first hole against the drawing before the next one.";

/** Everything of one build: the whole as a zip, and file by file. */
export function fileList(build) {
  const base = `/api/builds/${build.id}`;
  const left = [...build.files];
  const groups = GROUPS.map(([title, belongs]) => {
    const here = left.filter((file) => belongs(file.path));
    here.forEach((file) => left.splice(left.indexOf(file), 1));
    return here.length ? groupOf(title, here, base) : null;
  });
  return h("div", {},
    h("p", { class: "safety" }, CAUTION),
    h("p", {}, h("a", { class: "button", href: `${base}/package.zip`, download: "" }, "Download the whole package (zip)")),
    groups.filter(Boolean));
}

function groupOf(title, files, base) {
  return h("section", { class: "files" }, h("h4", {}, title), h("ul", {}, files.map((file) => fileItem(file, base))));
}

function fileItem(file, base) {
  const address = `${base}/files/${encoded(file.path)}`;
  const link = h("a", { href: address, download: file.path.split("/").at(-1), "aria-label": `Download ${file.path}` }, "Download");
  const take = h("span", { class: "take" }, sizeText(file.bytes), link);
  if (!DRAWN.test(file.path)) return h("li", {}, h("span", { class: "path" }, file.path), take);
  const pages = h("div", { class: "pages" });
  const box = h("details", {}, h("summary", {}, h("span", { class: "path" }, file.path)), pages);
  box.addEventListener("toggle", () => box.open && pages.childElementCount === 0 && showPages(pages, file.path, base));
  return h("li", {}, box, take);
}

const encoded = (path) => path.split("/").map(encodeURIComponent).join("/");

/** A file's size, 1 kB being 1000 bytes. */
const sizeText = (bytes) => (bytes < 1e6 ? `${Math.max(1, Math.round(bytes / 1000))} kB` : `${(bytes / 1e6).toFixed(1)} MB`);

/** What a file shows: the flat of a DXF, the pages of a PDF one under the other. */
async function showPages(place, path, base) {
  fill(place, h("p", {}, "Drawing it."));
  try {
    if (path.endsWith(".dxf")) fill(place, dxfFigure(await getText(`${base}/files/${encoded(path)}`), path));
    else fill(place, pagesOf(path, base, (await getJson(`${base}/pages/${encoded(path)}`)).pages));
  } catch (error) {
    fill(place, h("p", { class: "fault" }, `It cannot be shown here (${error.message}); download it.`));
  }
}

function pagesOf(path, base, count) {
  return Array.from({ length: count }, (_, i) =>
    h("img", { src: `${base}/page/${i + 1}/${encoded(path)}`, alt: `${path}, page ${i + 1} of ${count}`, loading: "lazy" }));
}
