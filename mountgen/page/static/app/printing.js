// A printout shows what folds out, too.

export function startPrinting() {
  let folded = [];
  window.addEventListener("beforeprint", () => {
    folded = [...document.querySelectorAll("#results details[data-print]:not([open])")];
    folded.forEach((box) => (box.open = true));
  });
  window.addEventListener("afterprint", () => folded.forEach((box) => (box.open = false)));
}
