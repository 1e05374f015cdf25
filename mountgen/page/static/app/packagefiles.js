// The files of a finished package: each opened in the page as pictures where it has any, each to download.

import { faultText } from "./api.js";
import { fill, h } from "./dom.js";

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
  const link = h("a", { href: address, download: file.path.split("/").at(-1) }, "Download");
  const size = h("span", { class: "size" }, sizeText(file.bytes));
  if (!DRAWN.test(file.path)) return h("li", {}, h("span", { class: "path" }, file.path), size, link);
  const pages = h("div", { class: "pages" });
  const box = h("details", {}, h("summary", {}, h("span", { class: "path" }, file.path)), pages);
  box.addEventListener("toggle", () => box.open && pages.childElementCount === 0 && showPages(pages, file.path, base));
  return h("li", {}, box, size, link);
}

const encoded = (path) => path.split("/").map(encodeURIComponent).join("/");

/** A file's size, 1 kB being 1000 bytes. */
const sizeText = (bytes) => (bytes < 1e6 ? `${Math.max(1, Math.round(bytes / 1000))} kB` : `${(bytes / 1e6).toFixed(1)} MB`);

/** The pages of a drawing, one under the other, as the server pictures them. */
async function showPages(place, path, base) {
  fill(place, h("p", {}, "Drawing the pages."));
  let count = 1;
  for (let page = 1; page <= count; page += 1) {
    const response = await fetch(`${base}/pictures/${encoded(path)}?page=${page}`);
    if (!response.ok) {
      const told = await response.json().catch(() => null);
      return fill(place, h("p", { class: "fault" }, told?.faults ? told.faults.map(faultText).join("; ") : "It cannot be shown here; download it."));
    }
    count = Number(response.headers.get("x-pages") ?? 1);
    const src = URL.createObjectURL(await response.blob());
    if (page === 1) fill(place);
    place.append(h("img", { src, alt: `${path}, page ${page} of ${count}`, loading: "lazy" }));
  }
  return undefined;
}
