// Canvas, camera, lights and controls. A picture is drawn when something changed, never in an endless loop.

import {
  Box3, Color, DirectionalLight, HemisphereLight, PerspectiveCamera, Scene, Spherical, Vector3, WebGLRenderer,
} from "../vendor/three.module.min.js";
import { OrbitControls } from "../vendor/OrbitControls.js";

const TURN = Math.PI / 24;
const ZOOM = 1.15;
const PAPER = [1600, 1100];

export class Stage {
  /** Throws where the browser has no WebGL. */
  constructor(element, theme) {
    this.element = element;
    this.canvas = element.ownerDocument.createElement("canvas");
    const context = this.canvas.getContext("webgl2", { antialias: true, stencil: true });
    if (!context) throw new Error("this browser has no WebGL");
    this.renderer = new WebGLRenderer({ canvas: this.canvas, context });
    this.renderer.localClippingEnabled = true;
    this.canvas.tabIndex = 0;
    this.canvas.setAttribute("role", "application");
    this.canvas.setAttribute("aria-roledescription", "3D model");
    element.append(this.canvas);
    this.scene = new Scene();
    this.camera = new PerspectiveCamera(32, 1, 5, 20000);
    this.camera.up.set(0, 0, 1);
    this.onDraw = new Set();
    this.addLights();
    this.addControls();
    this.setTheme(theme);
    this.resizes = new ResizeObserver(() => this.resize());
    this.resizes.observe(element);
    this.resize();
  }

  addLights() {
    const sky = new HemisphereLight(0xffffff, 0x8a8f96, 1.9);
    sky.position.set(0, 0, 1);
    const sun = new DirectionalLight(0xffffff, 1.7);
    const fill = new DirectionalLight(0xffffff, 0.5);
    sun.position.set(-0.4, -1, 1.1);
    fill.position.set(1, 0.6, 0.2);
    this.scene.add(sky, sun, fill);
  }

  addControls() {
    this.controls = new OrbitControls(this.camera, this.canvas);
    this.controls.enableDamping = false;
    this.controls.addEventListener("change", () => this.request());
    this.keys = (event) => this.key(event);
    this.wheels = (event) => {
      if (document.activeElement !== this.canvas && !event.ctrlKey) event.stopPropagation();
    };
    this.canvas.addEventListener("keydown", this.keys);
    this.element.addEventListener("wheel", this.wheels, { capture: true, passive: true });
  }

  /** Arrows turn, with shift they push; + and - go nearer and farther; Home is the first view. */
  key(event) {
    const steps = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const nearer = { "+": 1 / ZOOM, "=": 1 / ZOOM, "-": ZOOM };
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.key in steps) {
      const [across, up] = steps[event.key];
      if (event.shiftKey) this.push(across, up);
      else this.orbit(across * TURN, up * TURN);
    } else if (event.key in nearer) this.orbit(0, 0, nearer[event.key]);
    else if (event.key === "Home") this.look();
    else return;
    event.preventDefault();
  }

  /** Turns the camera about what it looks at. */
  orbit(around, down, farther = 1) {
    const from = this.camera.position.clone().sub(this.controls.target);
    const flat = new Spherical().setFromCartesianCoords(from.x, from.z, -from.y);
    flat.theta += around;
    flat.phi = Math.min(Math.max(flat.phi + down, 0.02), Math.PI - 0.02);
    flat.radius *= farther;
    const to = new Vector3().setFromSpherical(flat);
    this.camera.position.set(to.x, -to.z, to.y).add(this.controls.target);
    this.controls.update();
    this.request();
  }

  push(across, up) {
    const step = this.camera.position.distanceTo(this.controls.target) / 20;
    const shift = new Vector3(across, -up, 0).multiplyScalar(step).applyQuaternion(this.camera.quaternion);
    this.camera.position.add(shift);
    this.controls.target.add(shift);
    this.controls.update();
    this.request();
  }

  /** The first view: from the mount's side, over the shoulder, all of a box in the picture. */
  look(box = this.box, way = this.way) {
    Object.assign(this, { box, way });
    if (!box || box.isEmpty()) return;
    const middle = box.getCenter(new Vector3());
    const radius = box.getSize(new Vector3()).length() / 2;
    const half = (this.camera.fov * Math.PI) / 360;
    const across = Math.min(1, this.camera.aspect);
    const distance = (radius * 0.92) / Math.sin(Math.atan(Math.tan(half) * across));
    this.controls.target.copy(middle);
    this.camera.position.set(-0.55 * way, -1, 0.62).normalize().multiplyScalar(distance).add(middle);
    this.controls.update();
    this.request();
  }

  setTheme(theme) {
    this.scene.background = new Color().setStyle(theme.paper);
    this.request();
  }

  resize() {
    const { clientWidth: width, clientHeight: height } = this.element;
    if (width === 0 || height === 0) return;
    const first = this.camera.aspect === 1 && this.size === undefined;
    this.size = [width, height];
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.renderer.setSize(width, height);
    this.camera.aspect = width / height;
    this.camera.updateProjectionMatrix();
    if (first) this.look();
    this.request();
  }

  /** Asks for a picture with the browser's next frame. */
  request() {
    this.frame ??= requestAnimationFrame(() => {
      this.frame = undefined;
      this.draw();
    });
  }

  draw() {
    this.renderer.render(this.scene, this.camera);
    for (const told of this.onDraw) told();
  }

  /** Draws once as large as paper asks for, calls `paint(canvas, size)`, and goes back to the screen. */
  onPaper(paint) {
    const { width, height } = { width: PAPER[0], height: PAPER[1] };
    this.renderer.setPixelRatio(1);
    this.renderer.setSize(width, height, false);
    this.camera.aspect = width / height;
    this.camera.updateProjectionMatrix();
    this.renderer.render(this.scene, this.camera);
    paint(this.canvas, [width, height]);
    this.resize();
  }

  /** Where a point of the world is in a picture of this size; null behind the camera. */
  toPicture(point, [width, height] = this.size) {
    const seen = point.clone().project(this.camera);
    if (seen.z > 1) return null;
    return [((seen.x + 1) / 2) * width, ((1 - seen.y) / 2) * height];
  }

  dispose() {
    cancelAnimationFrame(this.frame);
    this.resizes.disconnect();
    this.canvas.removeEventListener("keydown", this.keys);
    this.element.removeEventListener("wheel", this.wheels, { capture: true });
    this.controls.dispose();
    this.renderer.dispose();
    this.renderer.forceContextLoss();
    this.canvas.remove();
  }
}

/** The box around objects that are shown. */
export function boxAround(objects) {
  const box = new Box3();
  for (const one of objects) box.expandByObject(one);
  return box;
}
