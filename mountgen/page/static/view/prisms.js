// Prisms of the scene as points, faces and edges. Plain numbers, no drawing library but for triangles.

import { ShapeUtils, Vector2 } from "../vendor/three.module.min.js";

const SHARP = Math.cos((25 * Math.PI) / 180);
const STEP = Math.PI / 12;
const NEAR = 1e-6;

/** The closed polygon of a flat list x, y, bulge ...; counter-clockwise, or clockwise for a hole. */
export function ring(flat, hole = false) {
  const points = [];
  for (let at = 0; at < flat.length; at += 3) {
    const next = (at + 3) % flat.length;
    walk(points, [flat[at], flat[at + 1]], [flat[next], flat[next + 1]], flat[at + 2]);
  }
  return area(points) > 0 === hole ? points.reverse() : points;
}

/** Adds the start of an edge, and of an arc the points along it; bulge is tan(sweep / 4), + to the left. */
function walk(points, [x0, y0], [x1, y1], bulge) {
  points.push([x0, y0]);
  if (bulge === 0) return;
  const sweep = 4 * Math.atan(bulge);
  const k = (1 / bulge - bulge) / 4;
  const cx = (x0 + x1) / 2 - k * (y1 - y0);
  const cy = (y0 + y1) / 2 + k * (x1 - x0);
  const steps = Math.max(2, Math.ceil(Math.abs(sweep) / STEP));
  for (let n = 1; n < steps; n++) {
    const cos = Math.cos((sweep * n) / steps);
    const sin = Math.sin((sweep * n) / steps);
    points.push([cx + cos * (x0 - cx) - sin * (y0 - cy), cy + sin * (x0 - cx) + cos * (y0 - cy)]);
  }
}

function area(points) {
  return points.reduce((sum, [x, y], n) => {
    const [a, b] = points[(n + 1) % points.length];
    return sum + (x * b - a * y) / 2;
  }, 0);
}

/** For every edge n -> n + 1 the unit normal to its right: out of the material. */
export function normals(points) {
  return points.map(([x, y], n) => {
    const [a, b] = points[(n + 1) % points.length];
    const long = Math.hypot(a - x, b - y) || 1;
    return [(b - y) / long, (x - a) / long];
  });
}

/** For every point whether the outline has a corner there. */
export function corners(points) {
  const out = normals(points);
  return out.map(([x, y], n) => {
    const [a, b] = out[(n + out.length - 1) % out.length];
    return a * x + b * y < SHARP;
  });
}

/** A prism with its polygons made: outer ring, holes with their rings and ends, height, frame. */
export function unfolded(prism) {
  const holes = (prism.holes ?? []).map((hole) => ({
    ring: ring(hole.outline, true),
    from: hole.from ?? 0,
    to: hole.to ?? prism.height,
  }));
  return { outer: ring(prism.outline), holes, height: prism.height, frame: prism.frame };
}

/** The holes that are open at one end of a prism. */
export function openAt(prism, top) {
  return prism.holes.filter((hole) => (top ? hole.to > prism.height - NEAR : hole.from < NEAR));
}

/** Triangles and feature edges of several prisms: { positions, normals, edges }, each a flat list. */
export function meshOf(prisms) {
  const mesh = { positions: [], normals: [], edges: [] };
  for (const prism of prisms) addPrism(mesh, unfolded(prism));
  return mesh;
}

function addPrism(mesh, prism) {
  const start = { positions: mesh.positions.length, edges: mesh.edges.length };
  addWall(mesh, prism.outer, 0, prism.height);
  for (const hole of prism.holes) {
    addWall(mesh, hole.ring, hole.from, hole.to);
    if (hole.from > NEAR) addFace(mesh, hole.ring.toReversed(), [], hole.from, 1);
    if (hole.to < prism.height - NEAR) addFace(mesh, hole.ring.toReversed(), [], hole.to, -1);
  }
  for (const top of [false, true]) {
    const open = openAt(prism, top).map((hole) => hole.ring);
    addFace(mesh, prism.outer, open, top ? prism.height : 0, top ? 1 : -1);
  }
  if (prism.frame) place(mesh, start, prism.frame);
}

/** The side walls along a ring, smooth where it has no corner, with their edges. */
function addWall(mesh, points, low, high) {
  const out = normals(points);
  const sharp = corners(points);
  const count = points.length;
  const shaded = (edge, point) => {
    if (sharp[point]) return out[edge];
    const [a, b] = [out[(point + count - 1) % count], out[point]];
    const long = Math.hypot(a[0] + b[0], a[1] + b[1]);
    return [(a[0] + b[0]) / long, (a[1] + b[1]) / long];
  };
  for (let n = 0; n < count; n++) {
    const next = (n + 1) % count;
    const corner = [[n, low], [next, low], [next, high], [n, low], [next, high], [n, high]];
    for (const [at, z] of corner) {
      mesh.positions.push(points[at][0], points[at][1], z);
      mesh.normals.push(...shaded(n, at), 0);
    }
    for (const z of [low, high]) mesh.edges.push(...points[n], z, ...points[next], z);
    if (sharp[n]) mesh.edges.push(...points[n], low, ...points[n], high);
  }
}

function addFace(mesh, outer, holes, z, way) {
  const flat = [...outer, ...holes.flat()];
  const vectors = (points) => points.map(([x, y]) => new Vector2(x, y));
  for (const face of ShapeUtils.triangulateShape(vectors(outer), holes.map(vectors))) {
    for (const at of way > 0 ? face : face.toReversed()) {
      mesh.positions.push(flat[at][0], flat[at][1], z);
      mesh.normals.push(0, 0, way);
    }
  }
}

/** Moves what was added since `start` into a frame. */
function place(mesh, start, frame) {
  const axes = axesOf(frame);
  for (const [list, first] of [[mesh.positions, start.positions], [mesh.edges, start.edges]]) {
    turn(list, first, axes, frame);
  }
  turn(mesh.normals, start.positions, axes, [0, 0, 0]);
}

function turn(list, first, [x, y, z], origin) {
  for (let at = first; at < list.length; at += 3) {
    const [a, b, c] = list.slice(at, at + 3);
    for (let k = 0; k < 3; k++) list[at + k] = origin[k] + a * x[k] + b * y[k] + c * z[k];
  }
}

/** x, y and z axis of a frame of nine numbers: origin, x axis, z axis. */
export function axesOf(frame) {
  const x = frame.slice(3, 6);
  const z = frame.slice(6, 9);
  const y = [z[1] * x[2] - z[2] * x[1], z[2] * x[0] - z[0] * x[2], z[0] * x[1] - z[1] * x[0]];
  return [x, y, z];
}

/** A box as a prism. */
export function boxPrism(low, high) {
  const [x0, y0, z0] = low;
  const [x1, y1, z1] = high;
  const outline = [x0, y0, 0, x1, y0, 0, x1, y1, 0, x0, y1, 0];
  return { outline, height: z1 - z0, frame: [0, 0, z0, 1, 0, 0, 0, 0, 1] };
}
