// The faces of the scene's prisms that look at the eye, flat in a picture, from the farthest to the nearest.

import { Vector3 } from "../vendor/three.module.min.js";
import { matrixOf } from "./places.js";
import { corners, openAt, unfolded } from "./prisms.js";

const SEEN = 0.02;
const SMALL = 1e-3;

/** How a picture looks at the world: which axes run right and up, and the way to the eye. */
export const LOOKS = {
  front: { right: 0, up: 2, eye: [0, -1, 0], title: "Front view: you look across the line from the mount's side" },
  side: { right: 1, up: 2, eye: [1, 0, 0], title: "Side view: you look along the line from its right end" },
  top: { right: 0, up: 1, eye: [0, 0, 1], title: "Top view: you look from above; the mount stands at the lower side" },
};

const made = new WeakMap();

function prepared(prisms) {
  if (!made.has(prisms)) made.set(prisms, prisms.map((prism) => ({ ...unfolded(prism), own: matrixOf(prism.frame) })));
  return made.get(prisms);
}

/** The faces of one thing: [{ rings, inner, depth, name, kind }], rings as flat points of the picture. */
export function facesOf(thing, matrix, look) {
  const eye = new Vector3(...look.eye);
  const faces = [];
  for (const prism of prepared(thing.prisms)) {
    const place = matrix.clone().multiply(prism.own);
    const flat = (point, z) => new Vector3(point[0], point[1], z).applyMatrix4(place);
    const axis = new Vector3().setFromMatrixColumn(place, 2).dot(eye);
    if (Math.abs(axis) > SEEN) faces.push(end(prism, axis > 0, flat));
    if (Math.abs(axis) < 1 - SMALL) faces.push(...walls(prism, flat, place, eye));
  }
  return faces.map((face) => seen(face, thing, look, eye));
}

/** The end that looks at the eye, with the holes that go through and the outlines of those that do not. */
function end(prism, top, flat) {
  const z = top ? prism.height : 0;
  const open = openAt(prism, top);
  const through = open.filter((hole) => openAt(prism, !top).includes(hole));
  const blind = open.filter((hole) => !through.includes(hole));
  const points = (ring) => ring.map((point) => flat(point, z));
  return { rings: [prism.outer, ...through.map((hole) => hole.ring)].map(points), inner: blind.map((hole) => points(hole.ring)) };
}

/** The runs of side wall between corners, as far as they look at the eye. */
function walls(prism, flat, place, eye) {
  const { outer, height } = prism;
  const sharp = corners(outer);
  const count = outer.length;
  const facing = outer.map(([x, y], n) => {
    const [a, b] = outer[(n + 1) % count];
    return new Vector3(b - y, x - a, 0).transformDirection(place).dot(eye) > SEEN;
  });
  const starts = facing.map((yes, n) => yes && (sharp[n] || !facing[(n + count - 1) % count]));
  const runs = [];
  for (let first = 0; first < count; first++) {
    if (!starts[first]) continue;
    const run = [outer[first]];
    let n = first;
    do {
      n = (n + 1) % count;
      run.push(outer[n]);
    } while (facing[n] && !starts[n] && run.length <= count);
    runs.push(run);
  }
  if (facing.every(Boolean) && runs.length === 0) runs.push([...outer, outer[0]]);
  return runs.map((run) => ({
    rings: [[...run.map((point) => flat(point, 0)), ...run.toReversed().map((point) => flat(point, height))]],
    inner: [],
  }));
}

function seen({ rings, inner }, { name, kind }, look, eye) {
  const depths = rings[0].map((point) => point.dot(eye));
  const picture = (ring) => ring.map((point) => [point.getComponent(look.right), point.getComponent(look.up)]);
  return { rings: rings.map(picture), inner: inner.map(picture), depth: Math.max(...depths), name, kind };
}
