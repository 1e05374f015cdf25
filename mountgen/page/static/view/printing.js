// On paper the model is a picture: taken when the browser is about to print, in the colours of paper.

import { Color } from "../vendor/three.module.min.js";

export class Printing {
  constructor(stage, clearances, back) {
    this.stage = stage;
    this.clearances = clearances;
    this.back = back;
    this.picture = document.createElement("img");
    this.picture.className = "model-print";
    this.picture.alt = "The model of the mount as it was turned on the screen";
    stage.element.append(this.picture);
    this.listening = new AbortController();
    window.addEventListener("beforeprint", () => this.take(), { signal: this.listening.signal });
    window.addEventListener("afterprint", () => this.picture.removeAttribute("src"), { signal: this.listening.signal });
  }

  take() {
    if (!this.stage.size) return;
    this.stage.scene.background = new Color(0xffffff);
    this.stage.onPaper((canvas, size) => {
      const copy = document.createElement("canvas");
      [copy.width, copy.height] = size;
      const pen = copy.getContext("2d");
      pen.drawImage(canvas, 0, 0);
      this.clearances.paint(pen, size);
      this.picture.src = copy.toDataURL("image/png");
    });
    this.back();
  }

  dispose() {
    this.listening.abort();
    this.picture.remove();
  }
}
