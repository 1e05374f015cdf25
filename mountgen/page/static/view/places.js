// Where everything of a scene stands for a product, a travel and a share of the explosion.

import { Matrix4, Vector3 } from "../vendor/three.module.min.js";
import { axesOf } from "./prisms.js";

const STILL = [0, 0, 0];

/** A frame of nine numbers as a matrix. */
export function matrixOf(frame) {
  if (!frame) return new Matrix4();
  const [x, y, z] = axesOf(frame).map((axis) => new Vector3(...axis));
  return new Matrix4().makeBasis(x, y, z).setPosition(...frame.slice(0, 3));
}

/** A way's move to a product: degrees about x, then mm in y and z. */
export function moveOf(scene, way, product) {
  return scene.moves[way]?.[product] ?? STILL;
}

/** The move that lies `share` of the way between two. */
export function between(from, to, share) {
  return from.map((value, n) => value + share * (to[n] - value));
}

export function moveMatrix([turn, dy, dz]) {
  return new Matrix4().makeRotationX((turn * Math.PI) / 180).setPosition(0, dy, dz);
}

/** A part's place: its frame, moved, drawn apart. */
export function partMatrix(part, move, share) {
  const matrix = moveMatrix(move).multiply(matrixOf(part.frame));
  const shift = new Vector3(...part.explode).multiplyScalar(share);
  return new Matrix4().makeTranslation(shift).multiply(matrix);
}

export const side = (scene) => (scene.flow === "+x" ? 1 : -1);

/** The box of a product, its code in the middle of the print line, `travel` (-1 to 1) of the shown line on. */
export function productBox(scene, index, travel) {
  const product = scene.products[index];
  const way = side(scene);
  const lead = product.code.from_leading + product.code.length / 2 + runOf(scene, product) * travel;
  const x = [way * (lead - product.length), way * lead].sort((a, b) => a - b);
  const { near_y: near, width, height } = product;
  return { low: [x[0], near, 0], high: [x[1], near + width, height] };
}

function runOf(scene, product) {
  return Math.max(...scene.span.map(Math.abs)) + product.length / 2;
}

/** The four corners of a product's code, a little off its face. */
export function codeCorners(scene, index, travel) {
  const product = scene.products[index];
  const { code } = product;
  const middle = side(scene) * runOf(scene, product) * travel;
  const [x0, x1] = [middle - code.length / 2, middle + code.length / 2];
  const [low, high] = [code.low, code.low + code.across];
  const at = code.face === "top"
    ? (x, across) => [x, across, product.height + 0.3]
    : (x, across) => [x, product.near_y - 0.3, across];
  return [at(x0, low), at(x1, low), at(x1, high), at(x0, high)];
}
