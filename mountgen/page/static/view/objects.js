// The scene as objects to draw: parts that move, the line, products, and what is shown on demand.

import {
  BufferGeometry, Color, DoubleSide, EdgesGeometry, Float32BufferAttribute, Group, LineBasicMaterial, LineSegments,
  Matrix4, Mesh, MeshBasicMaterial, MeshStandardMaterial,
} from "../vendor/three.module.min.js";
import { boxPrism, meshOf } from "./prisms.js";
import { codeCorners, matrixOf, moveMatrix, partMatrix, productBox } from "./places.js";

const EDGE = 0x23292e;

/** Everything of one scene. `solid` are the meshes that a section cuts and a pointer finds. */
export class Objects {
  constructor(scene) {
    this.told = scene;
    this.root = new Group();
    this.parts = new Map();
    this.solid = [];
    this.materials = new Map();
    this.edges = this.kept(new LineBasicMaterial({ color: EDGE, transparent: true, opacity: 0.55 }));
    this.geometries = new Map(Object.entries(scene.solids).map(([number, prisms]) => [number, this.geometry(prisms)]));
    this.addParts();
    this.addLine();
    this.addProduct();
    this.addOverlays();
  }

  kept(material) {
    this.materials.set(material.uuid, material);
    return material;
  }

  paint(colour) {
    const key = colour.join();
    if (!this.materials.has(key)) {
      const [r, g, b] = colour;
      const material = new MeshStandardMaterial({ color: new Color().setRGB(r, g, b, "srgb"), roughness: 0.72 });
      Object.assign(material, { polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1, side: DoubleSide });
      this.materials.set(key, material);
    }
    return this.materials.get(key);
  }

  clear(colour, opacity) {
    return this.kept(new MeshBasicMaterial({ color: colour, transparent: true, opacity, depthWrite: false }));
  }

  /** Faces and edges of prisms. */
  geometry(prisms) {
    const mesh = meshOf(prisms);
    const faces = new BufferGeometry();
    faces.setAttribute("position", new Float32BufferAttribute(mesh.positions, 3));
    faces.setAttribute("normal", new Float32BufferAttribute(mesh.normals, 3));
    const edges = new BufferGeometry();
    edges.setAttribute("position", new Float32BufferAttribute(mesh.edges, 3));
    return { faces, edges };
  }

  /** A mesh with its edges, under a name that a pointer shows. */
  body({ faces, edges }, material, label) {
    const mesh = new Mesh(faces, material);
    mesh.userData.label = label;
    mesh.add(new LineSegments(edges, this.edges));
    mesh.matrixAutoUpdate = false;
    return mesh;
  }

  addParts() {
    for (const part of this.told.parts) {
      const mesh = this.body(this.geometries.get(part.number), this.paint(part.colour), part.label);
      mesh.userData.part = part;
      this.parts.set(part.id, mesh);
      this.solid.push(mesh);
      this.root.add(mesh);
    }
  }

  addLine() {
    const things = [...this.told.line, ...this.told.boxes.filter((box) => box.kind !== "keepout")];
    for (const thing of things) {
      const prisms = thing.solid ?? [boxPrism(thing.low, thing.high)];
      const geometry = this.keep(this.geometry(prisms));
      const mesh = this.body(geometry, this.paint(thing.colour), thing.name);
      this.solid.push(mesh);
      this.root.add(mesh);
    }
    for (const [x, z, diameter] of this.told.holes) this.root.add(this.drilled(x, z, diameter));
    this.root.add(this.flow());
  }

  keep(geometry) {
    this.geometries.set(`line ${this.geometries.size}`, geometry);
    return geometry;
  }

  /** A drilled hole of the rail, as a dark disc on its web. */
  drilled(x, z, diameter) {
    this.dark ??= this.kept(new MeshBasicMaterial({ color: 0x15181a }));
    const r = diameter / 2;
    const disc = { outline: [-r, 0, 1, r, 0, 1], height: 0.4, frame: [x, 0.2, z, 1, 0, 0, 0, -1, 0] };
    return new Mesh(this.keep(this.geometry([disc])).faces, this.dark);
  }

  /** An arrow on the line, the way that products run. */
  flow() {
    const far = Math.max(...this.told.line.filter((one) => one.kind === "rail").map((one) => one.solid[0].frame[1]));
    const way = this.told.flow === "+x" ? 1 : -1;
    const start = -way * (this.told.products[0].length / 2 + 150);
    const points = [[0, -6], [70, -6], [70, -18], [110, 0], [70, 18], [70, 6], [0, 6]];
    const outline = points.flatMap(([x, y]) => [x, y * way, 0]);
    const arrow = { outline, height: 0.3, frame: [start, far * 0.8, 0.6, way, 0, 0, 0, 0, 1] };
    this.arrow = this.kept(new MeshBasicMaterial({ color: 0x2d6f96, side: DoubleSide }));
    return new Mesh(this.keep(this.geometry([arrow])).faces, this.arrow);
  }

  addProduct() {
    this.product = new Group();
    this.wall = this.clear(0xc9a15c, 0.42);
    this.ink = this.kept(new MeshBasicMaterial({ color: 0x1b2226, side: DoubleSide }));
    this.unit = this.keep(this.geometry([boxPrism([0, 0, 0], [1, 1, 1])]));
    const box = this.body(this.unit, this.wall, "");
    const code = new Mesh(new BufferGeometry(), this.ink);
    this.product.add(box, code);
    this.root.add(this.product);
  }

  /** Puts the product on its way past the head. */
  showProduct(index, travel) {
    const [box, code] = this.product.children;
    const { low, high } = productBox(this.told, index, travel);
    const [a, b, c] = high.map((value, k) => value - low[k]);
    box.matrix.makeScale(a, b, c).setPosition(...low);
    box.matrixWorldNeedsUpdate = true;
    box.userData.label = `product: ${this.told.products[index].name}`;
    const [p, q, r, s] = codeCorners(this.told, index, travel);
    code.geometry.setAttribute("position", new Float32BufferAttribute([p, q, r, p, r, s].flat(), 3));
    code.geometry.computeBoundingSphere();
  }

  addOverlays() {
    this.keepouts = new Group();
    this.service = new Group();
    const red = this.clear(0xb03a33, 0.3);
    for (const one of this.told.boxes.filter((box) => box.kind === "keepout")) {
      this.keepouts.add(this.body(this.keep(this.geometry([boxPrism(one.low, one.high)])), red, `keep out: ${one.name}`));
    }
    const room = this.body(this.keep(this.geometry(this.told.service.solid)), this.clear(0x3a8a5c, 0.28), this.told.service.name);
    this.service.add(room);
    this.beam = new LineSegments(this.beamGeometry(), this.kept(new LineBasicMaterial({ color: 0xd03b3b })));
    this.beam.matrixAutoUpdate = false;
    this.keepouts.visible = this.service.visible = false;
    this.root.add(this.keepouts, this.service, this.beam);
  }

  beamGeometry() {
    const geometry = new BufferGeometry();
    geometry.setAttribute("position", new Float32BufferAttribute(this.told.beam.at.flat(), 3));
    this.geometries.set("beam", { faces: geometry, edges: geometry });
    return geometry;
  }

  /** Everything in its place: `moves(way)` tells the move of each way. */
  place(moves, share) {
    for (const mesh of this.parts.values()) {
      const part = mesh.userData.part;
      set(mesh, partMatrix(part, moves(part.way), share));
    }
    const { service, beam } = this.told;
    set(this.service.children[0], moveMatrix(moves(service.way)).multiply(matrixOf(service.frame)));
    set(this.beam, moveMatrix(moves(beam.way)));
    this.beam.visible = share === 0;
  }

  hide(names) {
    const hidden = new Set(names);
    for (const mesh of this.parts.values()) {
      const { name, id, number } = mesh.userData.part;
      mesh.visible = ![name, id, number].some((one) => hidden.has(one));
    }
  }

  /** Cuts what is solid by planes, or by none. */
  cut(planes) {
    for (const material of this.materials.values()) material.clippingPlanes = planes.length ? planes : null;
  }

  setEdges(colour, opacity) {
    this.edges.color.setStyle(colour);
    this.edges.opacity = opacity;
  }

  dispose() {
    for (const { faces, edges } of this.geometries.values()) [faces, edges].forEach((one) => one.dispose());
    for (const material of this.materials.values()) material.dispose();
    this.product.children[1].geometry.dispose();
    this.root.removeFromParent();
  }
}

function set(object, matrix) {
  object.matrix.copy(matrix ?? new Matrix4());
  object.matrixWorldNeedsUpdate = true;
}

/** Edges of a mesh that came from a file. */
export const edgesOf = (geometry) => new EdgesGeometry(geometry, 25);
