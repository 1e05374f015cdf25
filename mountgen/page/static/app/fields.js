// The fields of a survey in the order in which a surveyor measures, with the letters of the printed form.
//
// kind: length | signed (may be negative) | number | text | choice | name (of a record) | pair (two lengths)
// A text with `whole` is a number with its unit: it is whole when it matches.
// `key` has [n] where the number of the product or keepout goes.

const length = (letter, key, label, more = {}) => ({ letter, key, label, kind: "length", ...more });
const pair = (letter, key, label, words, more = {}) => ({ letter, key, label, kind: "pair", words, ...more });
const choice = (letter, key, label, choices, more = {}) => ({ letter, key, label, kind: "choice", choices, ...more });
const number = (letter, key, label, unit, more = {}) => ({ letter, key, label, kind: "number", unit, ...more });
const text = (letter, key, label, more = {}) => ({ letter, key, label, kind: "text", ...more });
const name = (key, label, list) => ({ letter: "", key, label, kind: "name", list });

const SPEED = /^[\d.,/ ]+ ?(?:(?:mm|cm|m|in|ft) ?\/ ?(?:s|min)|fpm)$/i;
const MASS = /^[\d.,/ ]+ ?(?:kg|g|lb|oz)$/i;
const TURNS = /^[\d.,]+ ?rpm$/i;

const rollers = { when: ["line.surface", "rollers"] };
const nearSide = { when: ["product[n].code.face", "near_side"] };
const top = { when: ["product[n].code.face", "top"] };

export const GROUPS = [
  {
    id: "line",
    title: "Line",
    fields: [
      choice("", "line.flow", "products run", [["left_to_right", "left to right"], ["right_to_left", "right to left"]]),
      text("U", "line.speed", "fastest line speed", { whole: SPEED, hint: "with its unit, such as 30 m/min or 90 ft/min" }),
      length("A", "line.surface_height", "floor to conveying surface"),
      choice("", "line.surface", "carried by", [["belt", "belt"], ["rollers", "rollers"], ["chain", "chain"]]),
      length("B", "line.roller_pitch", "roller to roller", rollers),
      length("C", "line.roller_diameter", "roller diameter", rollers),
      length("D", "line.roller_axle_diameter", "axle diameter", rollers),
      length("E", "line.first_roller_at", "print line to a roller's axle", rollers),
      length("F", "line.bed_from_y", "rail's outer face to bed"),
      number("V", "line.slope_deg", "slope in the flow, rising +", "deg"),
      choice("", "line.environment", "surroundings", [["dry", "dry"], ["dusty", "dusty"], ["washdown", "washdown"]]),
      text("", "line.drive_speed", "turns of the drive's motor", { whole: TURNS, hint: "such as 1400 rpm, off its plate" }),
    ],
  },
  {
    id: "rail",
    title: "Rail",
    fields: [
      name("rail.profile", "rail profile", "rails"),
      length("G", "rail.top_above_surface", "rail top over surface, below −"),
      choice("", "rail.opens", "flanges point", [["in", "in, to the products"], ["out", "out, to you"]]),
      length("J", "rail.far_rail_at", "outer face to outer face"),
      length("K", "rail.free_from", "free rail begins at x ="),
      length("L", "rail.free_to", "free rail ends at x ="),
      length("W", "rail.supports_apart", "from leg to leg"),
      choice("", "rail.attach", "mount may be", [
        ['["bolted", "clamped"]', "bolted or clamped"],
        ['["bolted"]', "bolted only"],
        ['["clamped"]', "clamped only"],
      ]),
    ],
    list: {
      name: "rail.keepout",
      one: "thing in the way",
      letter: "T",
      fields: [
        text("", "rail.keepout[n].what", "what stands there"),
        pair("T", "rail.keepout[n].x", "along the line, x", ["from", "to"]),
        pair("", "rail.keepout[n].y", "across the line, y", ["from", "to"]),
        pair("", "rail.keepout[n].z", "height, z", ["from", "to"]),
      ],
    },
  },
  {
    id: "guides",
    title: "Guides",
    table: "guides",
    fields: [
      length("M", "guides.near_y", "near guide's inner face"),
      length("N", "guides.far_y", "far guide's inner face"),
      pair("P", "guides.z", "guides' edges over the surface", ["lower", "upper"]),
      pair("Q", "guides.open", "near guide open", ["from x", "to x"]),
      length("R", "guides.depth", "guide and its bracket"),
      length("S", "guides.play", "play at the guide"),
    ],
  },
  {
    id: "product",
    title: "Products",
    products: true,
    fields: [
      text("", "product[n].name", "name"),
      length("a", "product[n].length", "length along the flow"),
      length("b", "product[n].width", "width across"),
      length("c", "product[n].height", "height"),
      length("d", "product[n].clearance_height", "highest point, flaps included"),
      length("e", "product[n].gap", "gap to the next, at least"),
      choice("", "product[n].against", "placed by", [["near", "near guide"], ["far", "far guide"], ["centre", "centre"]]),
      length("f", "product[n].near_side_at", "near side at, without guides"),
      length("n", "product[n].bulge", "bulge of the printed face"),
      number("p", "product[n].skew_deg", "skew", "deg"),
      text("q", "product[n].mass", "mass", { whole: MASS, hint: "with its unit, such as 1.2 kg or 2 lb 10 oz" }),
    ],
  },
  {
    id: "code",
    title: "Code",
    products: true,
    fields: [
      choice("", "product[n].code.face", "printed on", [["near_side", "near side"], ["top", "top"]]),
      pair("g", "product[n].code.size", "code", ["long", "high"]),
      length("h", "product[n].code.from_leading", "from leading edge"),
      length("j", "product[n].code.above_base", "bottom over the surface", nearSide),
      length("k", "product[n].code.below_top", "or top below the product's top", nearSide),
      length("m", "product[n].code.from_near", "from near side", top),
    ],
  },
  {
    id: "standoff",
    title: "Stand-off",
    fields: [
      length("r", "standoff.target", "nozzle to product"),
      pair("", "standoff.best", "good print", ["from", "to"]),
      pair("", "standoff.acceptable", "print that still reads", ["from", "to"]),
      length("", "standoff.setting", "how finely it is set"),
    ],
  },
  {
    id: "devices",
    title: "Devices",
    fields: [
      name("head.device", "print head", "heads"),
      name("sensor.device", "photo-eye", "sensors"),
      length("s", "sensor.distance", "photo-eye to nozzles, if it is given"),
      name("encoder.device", "encoder", "encoders"),
      name("controller.device", "controller", "controllers"),
    ],
  },
];

/** The field's key for one product or keepout, counted from 0. */
export const keyAt = (key, index) => key.replace("[n]", `[${index + 1}]`);

/** The field of a key; undefined where none has it. */
export function fieldOf(key) {
  const plain = key.replace(/\[\d+\]/, "[n]");
  return GROUPS.flatMap((group) => [...group.fields, ...(group.list?.fields ?? [])]).find((field) => field.key === plain);
}

/** What a key measures, in words; the key itself where no field has it. */
export const wordsOf = (key) => fieldOf(key)?.label ?? key;
