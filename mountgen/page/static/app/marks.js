// What each field measures, as dimension lines in the sketch. All in mm of the world frame.
//
// A mark is { view: "across" | "above", from: [u, v], to: [u, v] }; across shows (y, z), above shows (x, y).
// `line` is what `linemodel.js` reads from the survey.

const across = (from, to) => ({ view: "across", from, to });
const above = (from, to) => ({ view: "above", from, to });

const LINE = {
  "line.speed": (m) => above([m.flow * -90, m.farRail - 70], [m.flow * 90, m.farRail - 70]),
  "line.flow": (m) => above([m.flow * -90, m.farRail - 70], [m.flow * 90, m.farRail - 70]),
  "line.surface_height": (m) => across([m.farRail + 40, m.floor], [m.farRail + 40, 0]),
  "line.roller_pitch": (m) => above([m.rollers[0], m.farRail - 140], [m.rollers[1], m.farRail - 140]),
  "line.roller_diameter": (m) => above([m.rollers[1] + m.pitch - m.rollerRadius, m.bed + 60], [m.rollers[1] + m.pitch + m.rollerRadius, m.bed + 60]),
  "line.roller_axle_diameter": (m) => above([m.rollers[1] - m.axleRadius, m.bed - 4], [m.rollers[1] + m.axleRadius, m.bed - 4]),
  "line.first_roller_at": (m) => above([0, m.farRail - 200], [m.firstRoller, m.farRail - 200]),
  "line.bed_from_y": (m) => across([0, 14], [m.bed, 14]),
  "rail.profile": (m) => across([m.railOut - 14, m.railTop - m.railDepth], [m.railOut - 14, m.railTop]),
  "rail.opens": (m) => across([m.railIn, m.railTop - m.railDepth - 12], [m.railOut, m.railTop - m.railDepth - 12]),
  "rail.top_above_surface": (m) => across([m.railOut - 34, 0], [m.railOut - 34, m.railTop]),
  "rail.far_rail_at": (m) => across([0, m.railTop - m.railDepth - 30], [m.farRail, m.railTop - m.railDepth - 30]),
  "rail.free_from": (m) => above([m.free[0], -30], [0, -30]),
  "rail.free_to": (m) => above([0, -30], [m.free[1], -30]),
  "rail.supports_apart": (m) => above([-m.supports / 2, -60], [m.supports / 2, -60]),
};

const GUIDES = {
  "guides.near_y": (m) => across([0, m.guides.z[1] + 22], [m.guides.near, m.guides.z[1] + 22]),
  "guides.far_y": (m) => across([0, m.top + 34], [m.guides.far, m.top + 34]),
  "guides.z": (m) => across([m.guides.far + m.guides.depth + 16, m.guides.z[0]], [m.guides.far + m.guides.depth + 16, m.guides.z[1]]),
  "guides.open": (m) => m.guides.open && above([m.guides.open[0], m.guides.near - 12], [m.guides.open[1], m.guides.near - 12]),
  "guides.depth": (m) => across([m.guides.near - m.guides.depth, m.guides.z[0] - 12], [m.guides.near, m.guides.z[0] - 12]),
  "guides.play": (m) => across([m.guides.near, m.guides.z[0] - 12], [m.guides.near + m.guides.play, m.guides.z[0] - 12]),
};

const PRODUCT = {
  name: (m, p) => above([p.rear, p.near + p.width / 2], [p.lead, p.near + p.width / 2]),
  length: (m, p) => above([p.rear, p.near + p.width * 0.6], [p.lead, p.near + p.width * 0.6]),
  width: (m, p) => across([p.near, p.height * 0.62], [p.near + p.width, p.height * 0.62]),
  height: (m, p) => across([p.near + p.width * 0.8, 0], [p.near + p.width * 0.8, p.height]),
  clearance_height: (m, p) => across([p.near + p.width * 0.6, 0], [p.near + p.width * 0.6, p.highest]),
  gap: (m, p) => above([p.rear - m.flow * p.gap, p.near + p.width * 0.4], [p.rear, p.near + p.width * 0.4]),
  near_side_at: (m, p) => across([0, p.height + 14], [p.near, p.height + 14]),
  against: (m, p) => across([0, p.height + 14], [p.near, p.height + 14]),
  bulge: (m, p) => (p.top
    ? across([p.near + p.width / 2, p.height], [p.near + p.width / 2, p.height + p.bulge])
    : across([p.near - p.bulge, p.height * 0.5], [p.near, p.height * 0.5])),
  skew_deg: (m, p) => above([p.rear, p.near], [p.lead, p.near]),
  mass: (m, p) => across([p.near, 0], [p.near + p.width, 0]),
};

const CODE = {
  face: (m, p) => (p.top ? across([p.near, p.height], [p.near + p.width, p.height]) : across([p.near, 0], [p.near, p.height])),
  size: (m, p) => (p.top ? above([0, p.codeY + p.code[1] + 12], [-m.flow * p.code[0], p.codeY + p.code[1] + 12]) : across([p.near + 16, p.codeZ], [p.near + 16, p.codeZ + p.code[1]])),
  from_leading: (m, p) => above([0, p.near + 24], [p.lead, p.near + 24]),
  above_base: (m, p) => across([p.near - 14, 0], [p.near - 14, p.codeZ]),
  below_top: (m, p) => across([p.near - 14, p.codeZ + p.code[1]], [p.near - 14, p.height]),
  from_near: (m, p) => across([p.near, p.height + 14], [p.codeY, p.height + 14]),
};

const standoff = (m, p) => (p.top
  ? across([p.codeY + p.code[1] / 2, p.height], [p.codeY + p.code[1] / 2, p.height + m.standoff])
  : across([p.near - m.standoff, p.codeZ + p.code[1] / 2], [p.near, p.codeZ + p.code[1] / 2]));

const DEVICES = {
  "head.device": standoff,
  "sensor.device": (m, p) => above([m.eye, p.near - 40], [0, p.near - 40]),
  "sensor.distance": (m, p) => above([m.eye, p.near - 40], [0, p.near - 40]),
};

/** The mark of a key, or null where the sketch has nothing to show for it. */
export function markOf(key, line) {
  const product = line.product;
  const plain = key.replace(/\[\d+\]/, "");
  if (LINE[plain]) return usable(LINE[plain](line));
  if (GUIDES[plain]) return line.guides ? usable(GUIDES[plain](line)) : null;
  if (DEVICES[plain]) return product ? usable(DEVICES[plain](line, product)) : null;
  if (plain.startsWith("standoff.")) return product ? usable(standoff(line, product)) : null;
  if (plain.startsWith("rail.keepout")) return keepoutMark(key, line);
  const [, code, name] = /^product\.(code\.)?(\w+)$/.exec(plain) ?? [];
  const make = (code ? CODE : PRODUCT)[name];
  return product && make ? usable(make(line, product)) : null;
}

function keepoutMark(key, line) {
  const box = line.keepouts[Number(/\[(\d+)\]/.exec(key)[1]) - 1];
  if (!box) return null;
  const along = () => above([box.x[0], box.y[0] - 12], [box.x[1], box.y[0] - 12]);
  const deep = () => above([box.x[1] + 12, box.y[0]], [box.x[1] + 12, box.y[1]]);
  const high = () => across([box.y[1] + 12, box.z[0]], [box.y[1] + 12, box.z[1]]);
  return { y: deep, z: high }[key.split(".").at(-1)]?.() ?? along();
}

/** A mark whose numbers are all known. */
function usable(mark) {
  return mark && [...mark.from, ...mark.to].every(Number.isFinite) ? mark : null;
}
