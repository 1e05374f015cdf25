// The line as the sketch draws it: lengths in mm of the world frame, read from the survey's values.
//
// Where a value is missing or cannot be read, a plain stand-in is drawn, so that the sketch never vanishes
// while a person types. It decides nothing: verdicts come from the server.

import { millimetres, pairOf, unquoted } from "./entries.js";
import { countOf, state, valueOf } from "./state.js";

const or = (key, standIn) => millimetres(key) ?? standIn;

/** Everything that the sketch and its marks need. */
export function lineModel() {
  const flow = valueOf("line.flow") === "right_to_left" ? -1 : 1;
  const base = { ...conveyor(), ...rail(), flow, guides: guides(), keepouts: keepouts(), standoff: or("standoff.target", 3) };
  base.eye = -flow * or("sensor.distance", 60);
  base.product = product(base, state.product + 1);
  base.top = Math.max(base.product?.highest ?? 0, base.guides?.z[1] ?? 0, 60);
  return base;
}

function conveyor() {
  const pitch = Math.max(or("line.roller_pitch", 75), 5);
  const first = or("line.first_roller_at", pitch / 2);
  const surface = valueOf("line.surface") ?? "belt";
  return {
    surface,
    rollers: [first, first + pitch],
    pitch,
    firstRoller: first,
    rollerRadius: or("line.roller_diameter", 50) / 2,
    axleRadius: or("line.roller_axle_diameter", 12) / 2,
    bed: or("line.bed_from_y", 8),
    height: or("line.surface_height", 850),
  };
}

/** The rail as a channel of the sizes in its profile's name ("…-120x40x2.5"); 100 x 40 where it names none. */
function rail() {
  const sizes = /(\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)/.exec(unquoted(valueOf("rail.profile")));
  const metric = sizes && Number(sizes[1]) > 15;
  const [depth, flange] = metric ? [Number(sizes[1]), Number(sizes[2])] : [100, 40];
  const opensIn = valueOf("rail.opens") === "in";
  const top = or("rail.top_above_surface", -6);
  return {
    railDepth: depth,
    railTop: top,
    opensIn,
    railOut: opensIn ? 0 : -flange,
    railIn: opensIn ? flange : 0,
    flange,
    farRail: or("rail.far_rail_at", 560),
    free: [or("rail.free_from", -400), or("rail.free_to", 400)],
    supports: or("rail.supports_apart", 1500),
    floor: top - depth - 70,
  };
}

function guides() {
  if (valueOf("guides.near_y") === undefined && valueOf("guides.far_y") === undefined) return null;
  return {
    near: or("guides.near_y", 60),
    far: or("guides.far_y", 480),
    z: pairOf("guides.z") ?? [40, 70],
    open: pairOf("guides.open"),
    depth: or("guides.depth", 25),
    play: or("guides.play", 0),
  };
}

function keepouts() {
  return Array.from({ length: countOf("rail.keepout") }, (_, i) => {
    const key = `rail.keepout[${i + 1}]`;
    const [x, z] = [pairOf(`${key}.x`), pairOf(`${key}.z`)];
    return x && z ? { name: unquoted(valueOf(`${key}.what`)), x, y: pairOf(`${key}.y`) ?? [-30, 30], z } : null;
  });
}

/** The product whose code begins at the print line. */
function product(base, number) {
  const key = `product[${number}]`;
  const [length, width, height] = ["length", "width", "height"].map((one) => millimetres(`${key}.${one}`));
  if (length === undefined || width === undefined || height === undefined) return null;
  const lead = base.flow * or(`${key}.code.from_leading`, 40);
  const shown = { length, width, height, lead, rear: lead - base.flow * length, near: nearSide(base, key, width) };
  const highest = Math.max(or(`${key}.clearance_height`, height), height);
  return { ...shown, ...code(key, shown), gap: or(`${key}.gap`, 200), bulge: or(`${key}.bulge`, 1), highest };
}

function nearSide(base, key, width) {
  const given = millimetres(`${key}.near_side_at`);
  if (given !== undefined) return given;
  const { near, far } = base.guides ?? { near: 60, far: base.farRail - 60 };
  const against = valueOf(`${key}.against`);
  if (against === "far") return far - width;
  return against === "centre" ? (near + far - width) / 2 : near;
}

function code(key, { near, height }) {
  const size = pairOf(`${key}.code.size`) ?? [80, 12];
  const below = millimetres(`${key}.code.below_top`);
  return {
    top: valueOf(`${key}.code.face`) === "top",
    code: size,
    codeZ: below === undefined ? or(`${key}.code.above_base`, 30) : height - below - size[1],
    codeY: near + or(`${key}.code.from_near`, 50),
  };
}
