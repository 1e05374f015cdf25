// The exact build in place of the layout: each body of a GLB file under the part of its name.

import { LineSegments, Matrix4, Mesh } from "../vendor/three.module.min.js";
import { GLTFLoader } from "../vendor/GLTFLoader.js";
import { matrixOf } from "./places.js";
import { edgesOf } from "./objects.js";

/** Metres with y up, as the file has them, to the world's millimetres with z up. */
const TO_WORLD = new Matrix4().makeRotationX(Math.PI / 2).multiply(new Matrix4().makeScale(1000, 1000, 1000));

/** Reads a file and gives for each part's id its geometries, in the part's own frame. */
export async function readExact(url, scene) {
  const { scene: root } = await new GLTFLoader().loadAsync(url);
  root.updateMatrixWorld(true);
  const parts = new Map(scene.parts.map((part) => [part.id, part]));
  const found = new Map();
  root.traverse((node) => {
    const part = parts.get(node.userData.name ?? node.name);
    if (!part || found.has(part.id)) return;
    const into = matrixOf(part.frame).invert().multiply(TO_WORLD);
    found.set(part.id, geometries(node, into));
  });
  return found;
}

function geometries(node, into) {
  const list = [];
  node.traverse((child) => {
    if (!child.isMesh) return;
    const geometry = child.geometry.clone();
    geometry.applyMatrix4(into.clone().multiply(child.matrixWorld));
    list.push(geometry);
    child.geometry.dispose();
  });
  return list;
}

/** Shows exact bodies in place of prisms; what the file does not hold stays as it is. */
export class Exact {
  constructor(objects, found) {
    this.objects = objects;
    this.found = found;
    this.edges = [];
    for (const [id, list] of found) {
      const mesh = objects.parts.get(id);
      mesh.userData.layout = { geometry: mesh.geometry, children: [...mesh.children] };
      mesh.remove(...mesh.children);
      mesh.geometry = list[0];
      for (const geometry of list.slice(1)) mesh.add(new Mesh(geometry, mesh.material));
      for (const geometry of list) mesh.add(this.lines(geometry));
    }
  }

  lines(geometry) {
    const edges = edgesOf(geometry);
    this.edges.push(edges);
    return new LineSegments(edges, this.objects.edges);
  }

  /** Back to the layout. */
  dispose() {
    for (const id of this.found.keys()) {
      const mesh = this.objects.parts.get(id);
      const { geometry, children } = mesh.userData.layout;
      mesh.remove(...mesh.children);
      mesh.geometry = geometry;
      mesh.add(...children);
    }
    for (const one of [...this.edges, ...[...this.found.values()].flat()]) one.dispose();
  }
}
