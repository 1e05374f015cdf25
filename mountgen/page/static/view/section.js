// A section: a plane that cuts the model away on one side, and the cut faces on it.

import {
  AlwaysStencilFunc, BackSide, CanvasTexture, DecrementWrapStencilOp, DoubleSide, FrontSide, Group, IncrementWrapStencilOp,
  Mesh, MeshBasicMaterial, NotEqualStencilFunc, Plane, PlaneGeometry, RepeatWrapping, ReplaceStencilOp, Vector3,
} from "../vendor/three.module.min.js";

const AXES = { x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };
const HATCH = 9;

export class Section {
  constructor(root) {
    this.plane = new Plane();
    this.group = new Group();
    root.add(this.group);
    this.counting = [[BackSide, IncrementWrapStencilOp], [FrontSide, DecrementWrapStencilOp]].map(([side, op]) =>
      counter(side, op, this.plane));
    this.hatch = hatch();
    this.face = new Mesh(new PlaneGeometry(1, 1), new MeshBasicMaterial({
      map: this.hatch, side: DoubleSide, stencilWrite: true, stencilRef: 0, stencilFunc: NotEqualStencilFunc,
      stencilFail: ReplaceStencilOp, stencilZFail: ReplaceStencilOp, stencilZPass: ReplaceStencilOp,
    }));
    this.face.renderOrder = 2;
    this.face.onAfterRender = (renderer) => renderer.clearStencil();
  }

  /** Cuts square to an axis at a share (0 to 1) of a box; what lies towards the eye goes. Returns the planes. */
  set(axis, share, box, eye, solid) {
    this.group.clear();
    if (!axis) return [];
    const normal = new Vector3(...AXES[axis]);
    const at = box.min[axis] + share * (box.max[axis] - box.min[axis]);
    const towards = eye[axis] > (box.min[axis] + box.max[axis]) / 2 ? -1 : 1;
    this.plane.set(normal.clone().multiplyScalar(towards), -towards * at);
    this.addCounters(solid);
    this.addFace(axis, at, box);
    return [this.plane];
  }

  addCounters(solid) {
    for (const mesh of solid) {
      for (const material of this.counting) {
        const copy = new Mesh(mesh.geometry, material);
        copy.matrixAutoUpdate = false;
        copy.matrix = mesh.matrix;
        copy.userData.of = mesh;
        copy.renderOrder = 1;
        this.group.add(copy);
      }
    }
  }

  addFace(axis, at, box) {
    const size = box.getSize(new Vector3()).length() * 4;
    this.face.scale.set(size, size, 1);
    this.hatch.repeat.set(size / HATCH, size / HATCH);
    box.getCenter(this.face.position)[axis] = at;
    this.face.rotation.set(axis === "y" ? Math.PI / 2 : 0, axis === "x" ? Math.PI / 2 : 0, 0);
    this.group.add(this.face);
  }

  /** Hidden parts have no cut faces, and those that moved have them where they are. */
  follow() {
    for (const copy of this.group.children) {
      if (!copy.userData.of) continue;
      copy.visible = copy.userData.of.visible;
      copy.matrixWorldNeedsUpdate = true;
    }
  }

  dispose() {
    this.group.removeFromParent();
    this.face.geometry.dispose();
    for (const one of [this.face.material, this.hatch, ...this.counting]) one.dispose();
  }
}

function counter(side, op, plane) {
  return new MeshBasicMaterial({
    side, colorWrite: false, depthWrite: false, depthTest: false, stencilWrite: true, stencilFunc: AlwaysStencilFunc,
    stencilFail: op, stencilZFail: op, stencilZPass: op, clippingPlanes: [plane],
  });
}

/** Lines at 45 degrees. */
function hatch() {
  const canvas = document.createElement("canvas");
  canvas.width = canvas.height = 64;
  const pen = canvas.getContext("2d");
  pen.fillStyle = "#e6dcc3";
  pen.fillRect(0, 0, 64, 64);
  pen.strokeStyle = "#6d5524";
  pen.lineWidth = 7;
  for (const at of [-64, 0, 64]) {
    pen.beginPath();
    pen.moveTo(at - 8, 72);
    pen.lineTo(at + 72, -8);
    pen.stroke();
  }
  const texture = new CanvasTexture(canvas);
  texture.wrapS = texture.wrapT = RepeatWrapping;
  texture.colorSpace = "srgb";
  texture.anisotropy = 8;
  return texture;
}
